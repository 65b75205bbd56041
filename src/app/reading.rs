//! A chart as it is understood: the song in time, and what the reader has to say about the text.

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
    /// Reads a chart in its plainest form: `key A, 132, rock; 1 1 4 1 / b7 4 1 5`, one number a bar, 4/4.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let (heading, body) = text.split_once(';').unwrap_or(("", text));
        let mut song = Timeline {
            key: Key {
                tonic: NoteName::new(Letter::C, Accidental::NATURAL),
                mode: Mode::Major,
            },
            tempo: Tempo(100.0),
            swing: Swing::Straight,
            style: None,
            bars: Vec::new(),
            spans: Vec::new(),
        };
        let mut problems = Vec::new();
        for field in heading.split(',').map(str::trim).filter(|f| !f.is_empty()) {
            read_field(field, &mut song);
        }
        let words = body.split_whitespace().filter(|word| *word != "/");
        for word in words {
            match word.parse::<Numeral>() {
                Ok(numeral) => add_bar(&mut song, numeral),
                Err(error) => problems.push(note_at(text, word, error.to_string())),
            }
        }
        Self {
            title: None,
            song: (!song.bars.is_empty()).then(|| Arc::new(song)),
            problems,
            remarks: Vec::new(),
        }
    }
}

fn read_field(field: &str, song: &mut Timeline) {
    if let Some(key) = field.strip_prefix("key ").and_then(|key| key.trim().parse().ok()) {
        song.key = key;
    } else if let Some(tempo) = field.parse().ok().filter(|tempo| (20.0..=400.0).contains(tempo)) {
        song.tempo = Tempo(tempo);
    } else {
        song.style = Some(field.to_owned());
    }
}

fn add_bar(song: &mut Timeline, numeral: Numeral) {
    let start = song.length();
    let metre = Metre::COMMON;
    let bar = song.bars.len();
    song.spans.push(ChordSpan {
        start,
        length: metre.bar(),
        bar,
        key: song.key,
        numeral,
        chord: numeral.chord(song.key),
        hit: Hit::Played,
        pushed: false,
    });
    song.bars.push(TimelineBar {
        start,
        metre,
        section: None,
        written: bar,
    });
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
    fn what_is_not_understood_is_pointed_at() {
        let reading = Reading::of("key A; 1 4\n5 what 1");
        assert_eq!((reading.problems[0].line, reading.problems[0].column), (2, 3));
        assert_eq!(reading.song.unwrap().bars.len(), 4);
    }
}
