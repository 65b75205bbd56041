//! A chart as it is understood: the song in time, and what the reader has to say about the text.

use super::heading::Field;
use crate::theory::{
    Accidental, ChordSpan, Hit, Key, Letter, Metre, Mode, NoteName, Numeral, Swing, Tempo, Timeline, TimelineBar,
};
use std::sync::Arc;

/// A change of the text that mends something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// What it does, as a button says it.
    pub label: String,
    /// The whole text after it.
    pub text: String,
}

/// Something to be said about a place in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// Line, counted from 1.
    pub line: usize,
    /// Column, counted from 1.
    pub column: usize,
    /// What is wrong or worth a second look, and what to do.
    pub words: String,
    /// Ways to mend it at one tap.
    pub fixes: Vec<Fix>,
}

/// What was understood of a chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reading {
    /// The song's name, where the chart gives one.
    pub title: Option<String>,
    /// The song in time; nothing while there is no bar to play.
    pub song: Option<Arc<Timeline>>,
    /// What could not be understood.
    pub problems: Vec<Note>,
    /// What was understood but may not be meant.
    pub remarks: Vec<Note>,
}

impl Reading {
    /// Reads a chart in its plain form: a heading and a `;`, then one number a bar, `(1 4)` for bars that are
    /// shared evenly, `Verse:` for a section, `/` or a line end as they please.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let (heading, body) = text.split_once(';').unwrap_or(("", text));
        let mut reader = Reader::new();
        for field in heading.split(',').map(str::trim).filter(|f| !f.is_empty()) {
            reader.read_field(field);
        }
        let mut problems = Vec::new();
        let mut remarks = Vec::new();
        let mut shared: Option<Vec<Numeral>> = None;
        for word in body.split_whitespace().filter(|word| *word != "/") {
            if let Some(name) = word.strip_suffix(':').filter(|name| !name.is_empty()) {
                reader.section = Some(name.to_owned());
                continue;
            }
            if word.starts_with('(') {
                shared = Some(Vec::new());
            }
            let number = word.trim_start_matches('(').trim_end_matches(')');
            if number == "7" {
                let words = "A plain 7 is the chord on the major seventh. Players who say \"seven\" mostly mean b7.";
                let mut note = note_at(text, number, words.to_owned());
                note.fixes = vec![fix_at(text, number, "b7")];
                remarks.push(note);
            }
            match (number.parse::<Numeral>(), &mut shared) {
                (Ok(numeral), Some(bar)) => bar.push(numeral),
                (Ok(numeral), None) => reader.add_bar(&[numeral]),
                (Err(_), _) if number.is_empty() => {}
                (Err(error), _) => problems.push(note_at(text, word, error.to_string())),
            }
            if word.ends_with(')') {
                reader.add_bar(&shared.take().unwrap_or_default());
            }
        }
        reader.add_bar(&shared.unwrap_or_default());
        Self {
            title: reader.title,
            song: (!reader.song.bars.is_empty()).then(|| Arc::new(reader.song)),
            problems,
            remarks,
        }
    }
}

/// What has been read so far.
struct Reader {
    song: Timeline,
    metre: Metre,
    title: Option<String>,
    /// The section that the next bar opens.
    section: Option<String>,
}

impl Reader {
    fn new() -> Self {
        let key = Key {
            tonic: NoteName::new(Letter::C, Accidental::NATURAL),
            mode: Mode::Major,
        };
        let song = Timeline {
            key,
            tempo: Tempo(100.0),
            swing: Swing::Straight,
            style: None,
            bars: Vec::new(),
            spans: Vec::new(),
        };
        Self {
            song,
            metre: Metre::COMMON,
            title: None,
            section: None,
        }
    }

    fn read_field(&mut self, field: &str) {
        let song = &mut self.song;
        match Field::of(field) {
            Some(Field::Key) => {
                let name = field.strip_prefix("key").unwrap_or(field).trim();
                song.key = name.parse().unwrap_or(song.key);
            }
            Some(Field::Tempo) => {
                let figures = field.trim_start_matches("tempo").trim_end_matches("bpm").trim();
                let tempo = figures.parse().ok().filter(|tempo| (20.0..=400.0).contains(tempo));
                song.tempo = tempo.map_or(song.tempo, Tempo);
            }
            Some(Field::Metre) => self.metre = metre(field).unwrap_or(self.metre),
            Some(Field::Swing) if field == "swung" => song.swing = Swing::Swung,
            Some(Field::Swing) => song.swing = Swing::Straight,
            Some(Field::Style) => song.style = Some(field.to_owned()),
            None => self.title = Some(field.to_owned()),
        }
    }

    /// A bar shared evenly by its chords; none, no bar.
    #[allow(clippy::cast_precision_loss)]
    fn add_bar(&mut self, numerals: &[Numeral]) {
        if numerals.is_empty() {
            return;
        }
        let (song, metre) = (&mut self.song, self.metre);
        let (start, bar) = (song.length(), song.bars.len());
        let length = metre.bar().scaled(1.0 / numerals.len() as f64);
        for (place, numeral) in numerals.iter().enumerate() {
            song.spans.push(ChordSpan {
                start: start + length.scaled(place as f64),
                length,
                bar,
                key: song.key,
                numeral: *numeral,
                chord: numeral.chord(song.key),
                hit: Hit::Played,
                pushed: false,
            });
        }
        song.bars.push(TimelineBar {
            start,
            metre,
            section: self.section.take(),
            written: bar,
        });
    }
}

fn metre(field: &str) -> Option<Metre> {
    let (count, unit) = field.split_once('/')?;
    let (count, unit) = (count.trim().parse().ok()?, unit.trim().parse().ok()?);
    ((1..=16).contains(&count) && [2, 4, 8, 16].contains(&unit)).then_some(Metre { count, unit })
}

/// A note at a word, which is a slice of `text`.
fn note_at(text: &str, word: &str, words: String) -> Note {
    let at = word.as_ptr() as usize - text.as_ptr() as usize;
    let before = text.get(..at).unwrap_or_default();
    let line = before.rsplit('\n').next().unwrap_or_default();
    Note {
        line: before.matches('\n').count() + 1,
        column: line.chars().count() + 1,
        words,
        fixes: Vec::new(),
    }
}

/// The fix that writes `instead` in the place of a word, which is a slice of `text`.
fn fix_at(text: &str, word: &str, instead: &str) -> Fix {
    let at = word.as_ptr() as usize - text.as_ptr() as usize;
    let (before, rest) = text.split_at(at);
    let after = rest.get(word.len()..).unwrap_or_default();
    Fix {
        label: format!("Write {instead}"),
        text: format!("{before}{instead}{after}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_chart_is_read() {
        let reading = Reading::of("key A, 132, rock; 1 1 4 1 / b7 4 1 5");
        let song = reading.song.unwrap();
        assert_eq!(song.bars.len(), 8);
        assert_eq!(song.spans[4].chord.root.to_string(), "G");
        assert!(reading.problems.is_empty());
    }

    #[test]
    fn sections_shared_bars_and_the_metre_are_read() {
        let reading = Reading::of("Mill Song, key F, 120, 3/4, waltz, swung; Verse: 1 (4 5) 1 Chorus: 6-");
        let song = reading.song.unwrap();
        assert_eq!(reading.title.as_deref(), Some("Mill Song"));
        assert_eq!((song.bars.len(), song.spans.len()), (4, 5));
        assert_eq!(song.length().0, 12.0);
        assert_eq!(song.spans[2].start.0, 4.5);
        assert_eq!(song.bars[3].section.as_deref(), Some("Chorus"));
        assert_eq!((song.style.as_deref(), song.swing), (Some("waltz"), Swing::Swung));
    }

    #[test]
    fn a_plain_seven_is_pointed_out_and_mended_at_one_tap_but_not_changed() {
        let reading = Reading::of("key A; 1 (7 4) 1");
        let remark = &reading.remarks[0];
        assert_eq!((remark.line, remark.column), (1, 11));
        assert_eq!(remark.fixes[0].text, "key A; 1 (b7 4) 1");
        assert_eq!(reading.song.unwrap().spans[1].chord.root.to_string(), "G#");
        assert!(Reading::of("key A; 1 b7 47").remarks.is_empty());
    }

    #[test]
    fn odd_text_is_read_without_a_panic() {
        for text in ["", ";", "(((", ")", "1 (4", "key ;", "é: 1", "0/0, 1/0; 1", ":"] {
            let _ = Reading::of(text);
        }
    }

    #[test]
    fn what_is_not_understood_is_pointed_at() {
        let reading = Reading::of("key A; 1 4\n5 what 1");
        assert_eq!((reading.problems[0].line, reading.problems[0].column), (2, 3));
        assert_eq!(reading.song.unwrap().bars.len(), 4);
    }
}
