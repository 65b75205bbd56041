//! What a lesson shows, ready to draw and to play.
//!
//! *Invariant:* a picture is computed from what the block says by the same functions as the neck and the lanes; nothing
//! is drawn that could not be played.

use super::feels;
use super::neck_view::{Degree, FretLine, Hold, NeckFrame, NeckString, lone_chord, under_bar};
use super::planning::Ask;
use crate::solo::{Draft, Pass, Performance};
use crate::sound::Score;
use crate::steel::{Instrument, StringSet};
use crate::teach::lesson::{NeckBlock, PassBlock, Playing, pass_of};
use crate::theory::{ChordSpan, Timeline};
use crate::words::Said;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// Frets drawn to each side of the bar.
const AROUND: u8 = 3;

/// Something that can be seen as lanes and tab, and heard.
#[derive(Debug, Clone)]
pub struct Example {
    /// The song.
    pub timeline: Arc<Timeline>,
    /// The instrument.
    pub instrument: Arc<Instrument>,
    /// What hands, feet and knees do.
    pub performance: Arc<Performance>,
    /// The three together, for the sound.
    pub score: Arc<Score>,
}

impl Example {
    /// A performance over a song.
    #[must_use]
    pub fn of(performance: Performance, timeline: Timeline, instrument: Instrument) -> Self {
        Self {
            score: Arc::new(Score::new(instrument.clone(), performance.clone(), timeline.clone())),
            timeline: Arc::new(timeline),
            instrument: Arc::new(instrument),
            performance: Arc::new(performance),
        }
    }

    /// A song with a silent steel.
    #[must_use]
    pub fn silent(timeline: Timeline, instrument: Instrument) -> Self {
        let performance = Performance::silent(timeline.length(), instrument.changes.len());
        Self::of(performance, timeline, instrument)
    }

    /// A written pass; nothing for one that has to be drafted, see [`ask`].
    #[must_use]
    pub fn written(block: &PassBlock) -> Option<Self> {
        match &block.playing {
            Playing::Written(strokes) => Self::of_pass(block, &pass_of(strokes, block.timeline.length())),
            Playing::Drafted(_) => None,
        }
    }

    /// The first pass of a draft that [`ask`] asked for.
    #[must_use]
    pub fn drafted(block: &PassBlock, draft: &Draft) -> Option<Self> {
        Self::of_pass(block, draft.passes.first()?)
    }

    fn of_pass(block: &PassBlock, pass: &Pass) -> Option<Self> {
        let performance = pass.performance(
            &block.instrument,
            feels::limits(pass.request.level)?,
            block.timeline.tempo,
        );
        Some(Self::of(performance, block.timeline.clone(), block.instrument.clone()))
    }
}

/// What to ask of the planner for a pass that has to be drafted.
#[must_use]
pub fn ask(block: &PassBlock) -> Option<Ask> {
    match &block.playing {
        Playing::Written(_) => None,
        Playing::Drafted(asked) => Some(Ask {
            song: block.timeline.clone(),
            instrument: block.instrument.clone(),
            request: asked.1.clone(),
        }),
    }
}

/// A string of a [`NeckCard`].
#[derive(Debug, Clone, PartialEq)]
pub struct CardString {
    /// Which string, how thick, and its name.
    pub string: NeckString,
    /// What it is to the chord under the bar; nothing where it is not looked at.
    pub degree: Option<Degree>,
    /// Whether it is one of those looked at.
    pub picked: bool,
}

/// A stretch of the neck around one place.
#[derive(Debug, Clone, PartialEq)]
pub struct NeckCard {
    /// The fret lines in sight, their places from 0 (left edge) to 1.
    pub frets: Vec<FretLine>,
    /// The strings from 1.
    pub strings: Vec<CardString>,
    /// Where the bar lies, from 0 to 1.
    pub bar: f64,
    /// The fret in words.
    pub fret: Said,
    /// What is pressed, in words.
    pub stance: Said,
    /// The chord by number and letters; nothing where no chord is shown.
    pub chord: Option<(String, String)>,
    /// What each string looked at sounds, for who does not see the picture.
    pub spoken: Said,
}

/// The chord of a block as the neck wants it.
#[must_use]
pub fn span_of(block: &NeckBlock) -> Option<ChordSpan> {
    block.chord.map(|numeral| lone_chord(numeral, block.key))
}

/// What a block holds.
#[must_use]
pub fn hold_of(block: &NeckBlock) -> Hold {
    Hold::holding(block.place, &block.instrument)
}

/// The strings to pluck: those of the block, or all that sound its chord.
#[must_use]
pub fn picked_of(block: &NeckBlock) -> StringSet {
    if block.strings.is_empty() {
        block.instrument.string_numbers().collect()
    } else {
        block.strings
    }
}

impl NeckCard {
    /// The picture of a place.
    #[must_use]
    pub fn of(block: &NeckBlock) -> Self {
        let frame = NeckFrame::of(&block.instrument);
        let hold = hold_of(block);
        let span = span_of(block);
        let degrees = under_bar(&block.instrument, &hold, span.as_ref());
        let picked = picked_of(block);
        let window = window(block.place.fret, block.instrument.frets);
        let (left, right) = (frame.cell(*window.start()).0, frame.cell(*window.end()).1);
        let part = |along: f64| (along - left) / (right - left);
        let frets = frame.frets.iter().filter(|f| window.contains(&f.number));
        let strings = frame.strings.iter().map(|s| {
            let looked_at = picked.contains(s.string);
            CardString {
                string: s.clone(),
                degree: degrees.get(s.string.index()).cloned().flatten().filter(|_| looked_at),
                picked: looked_at,
            }
        });
        let chord = span.map(|s| (s.numeral.to_string(), s.chord.to_string()));
        let fret = fret_words(block.place.fret);
        let stance = hold.stance_name(&block.instrument);
        let strings: Vec<_> = strings.collect();
        Self {
            spoken: spoken(&strings),
            frets: frets
                .map(|f| FretLine {
                    along: part(f.along),
                    ..*f
                })
                .collect(),
            strings,
            bar: part(frame.along(block.place.bar())),
            fret,
            stance,
            chord,
        }
    }
}

/// The frets in sight: some to each side, as many near the ends.
fn window(fret: u8, last: u8) -> RangeInclusive<u8> {
    let first = fret.saturating_sub(AROUND).min(last.saturating_sub(2 * AROUND));
    first..=(first + 2 * AROUND).min(last)
}

fn fret_words(fret: u8) -> Said {
    if fret == 0 {
        said!("Open¦strings without the bar")
    } else {
        said!("Fret {fret}", fret)
    }
}

fn spoken(strings: &[CardString]) -> Said {
    let picked = strings.iter().filter(|s| s.picked);
    let words = picked.map(|s| match &s.degree {
        Some(degree) => said!(
            "string {string} sounds {degree}",
            string = s.string.string,
            degree = &degree.called.number
        ),
        None => said!("string {string}", string = s.string.string),
    });
    Said::joined(words, ", ")
}

/// One bar of a chord, for a silent band to stand under a neck that is only plucked.
#[must_use]
pub fn still(span: Option<&ChordSpan>) -> Timeline {
    let heading = span.map_or_else(String::new, |s| format!("key {}; ", s.key));
    let number = span.map_or_else(|| "1".to_owned(), |s| s.numeral.to_string());
    crate::theory::chart::parse(&format!("{heading}{number}"))
        .chart
        .timeline()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::Course;
    use crate::teach::lesson::Lesson;

    fn necks(lesson: &Lesson) -> Vec<NeckBlock> {
        let lives = lesson.lives();
        let necks = lives.into_iter().filter_map(|live| match live {
            crate::teach::Live::Neck(neck) => Some(neck.clone()),
            _ => None,
        });
        necks.collect()
    }

    #[test]
    fn a_picture_shows_the_degrees_of_the_strings_looked_at() {
        let course = Course::shipped();
        let homes = necks(course.lesson("three-homes").unwrap());
        let figures = |block: &NeckBlock| -> Vec<String> {
            let card = NeckCard::of(block);
            let degrees = card.strings.into_iter().filter_map(|s| s.degree);
            degrees.map(|d| d.called.number).collect()
        };
        let seen: Vec<Vec<String>> = homes.iter().map(figures).collect();
        assert_eq!(seen, [["1", "5", "3"], ["3", "1", "5"], ["5", "3", "1"]]);
    }

    #[test]
    fn the_bar_is_always_in_the_picture_and_the_frets_go_to_the_right() {
        for lesson in Course::shipped().lessons {
            for block in necks(&lesson) {
                let card = NeckCard::of(&block);
                assert!((0.0..=1.0).contains(&card.bar), "{}", lesson.file);
                assert!(card.frets.windows(2).all(|f| f[0].along < f[1].along));
                assert!(card.frets.iter().all(|f| (-1e-9..=1.0).contains(&f.along)));
            }
        }
    }

    #[test]
    fn the_frets_in_sight_stay_on_the_neck() {
        assert_eq!(window(0, 24), 0..=6);
        assert_eq!(window(10, 24), 7..=13);
        assert_eq!(window(24, 24), 18..=24);
        assert_eq!(window(1, 2), 0..=2);
    }
}
