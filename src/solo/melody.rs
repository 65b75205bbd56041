//! A melody to shadow: what the singer sings in the bars of the solo, bar by bar.
//!
//! Written as words, bars parted by `|`: a degree of the key, or `-` for a rest, each with its length in felt beats
//! after a colon where it is not one. A note lies in the octave nearest to the one before, unless `+` or `-` before
//! it says upwards or downwards.
//!
//! *Invariant:* what is printed is read back as the same melody; it sings at least once, in at most [`Melody::BARS`]
//! bars of at most [`Melody::MOST`] words.

use super::lengths;
use crate::theory::{Key, NoteNumber, ScaleDegree};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// Which way the voice goes to a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Nearest,
    Up,
    Down,
}

/// What is sung for a while, or that nothing is.
type Word = Option<(Way, ScaleDegree)>;

/// A note of a melody, or a rest of a bar taken out by its notes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sung {
    /// When, in felt beats from the start of its bar.
    pub at: f64,
    /// How long, in felt beats.
    pub length: f64,
    /// A degree of the key.
    pub degree: ScaleDegree,
    /// 1 when the voice rises to it, -1 when it falls, 0 when it stays or begins.
    pub step: i8,
}

/// A melody.
///
/// ```
/// let melody: leadbar::solo::Melody = "3 2:0.5 1:0.5 -:2 | 5 +1:3".parse()?;
/// let second: Vec<_> = melody.bar(1).iter().map(|n| (n.at, n.degree.to_string(), n.step)).collect();
/// assert_eq!(second, [(0.0, "5".to_owned(), -1), (1.0, "1".to_owned(), 1)]);
/// assert_eq!(melody.to_string(), "3 2:0.5 1:0.5 -:2 | 5 +1:3");
/// # Ok::<(), leadbar::solo::melody::MelodyError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Melody {
    /// Each word with its length in felt beats.
    bars: Vec<Vec<(Word, f64)>>,
}

/// Why a melody can't be read; bars are counted from 1.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum MelodyError {
    /// Not a degree or a rest.
    #[error(
        "bar {bar}: \"{word}\" is no part of a melody: write degrees of the key such as 3 or b7, +1 or -5 to go up or \
         down to one, - for a rest"
    )]
    Word {
        /// Which bar.
        bar: usize,
        /// What was written.
        word: String,
    },
    /// No length.
    Length {
        /// Which bar.
        bar: usize,
        /// What was written.
        word: String,
    },
    /// Nothing is sung.
    Empty,
    /// Too many words.
    TooMany {
        /// Which bar.
        bar: usize,
    },
    /// Too many bars.
    TooLong,
}

impl MelodyError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Word { bar, word } => said!(
                "bar {bar}: \"{word}\" is no part of a melody: write degrees of the key such as 3 or b7, +1 or -5 to go up or down to one, - for a rest",
                bar,
                word
            ),
            Self::Length { bar, word } => said!(
                "bar {bar}: \"{word}\" has no length: write it in beats after a colon, such as 5:0.5, from 0.25 to 8",
                bar,
                word
            ),
            Self::Empty => said!("a melody needs a note: write degrees of the key such as 3 2 1, with | between bars"),
            Self::TooMany { bar } => said!(
                "bar {bar} has more than {most} notes: leave some out, or part the bars by |",
                bar,
                most = Melody::MOST
            ),
            Self::TooLong => said!(
                "a melody has {most} bars at most: write only those of the solo",
                most = Melody::BARS
            ),
        }
    }
}

impl Melody {
    /// Words of a bar at most.
    pub const MOST: usize = 24;
    /// Bars at most.
    pub const BARS: usize = 64;

    /// How many bars are written.
    #[must_use]
    pub fn bars(&self) -> usize {
        self.bars.len()
    }

    /// What is sung in a bar, counted from 0; nothing behind the last one.
    #[must_use]
    pub fn bar(&self, index: usize) -> Vec<Sung> {
        let Some(words) = self.bars.get(index) else {
            return Vec::new();
        };
        let earlier = self.bars.iter().take(index).flatten();
        let mut before = earlier
            .filter_map(|(word, _)| *word)
            .next_back()
            .map(|(_, degree)| degree);
        let mut at = 0.0;
        let mut sung = Vec::new();
        for (word, length) in words {
            if let Some((way, degree)) = *word {
                let step = step(before, way, degree);
                let length = *length;
                sung.push(Sung {
                    at,
                    length,
                    degree,
                    step,
                });
                before = Some(degree);
            }
            at += length;
        }
        sung
    }

    /// How long a bar is written, in felt beats.
    #[must_use]
    pub fn length(&self, index: usize) -> f64 {
        let words = self.bars.get(index).into_iter().flatten();
        words.map(|(_, length)| length).sum()
    }
}

/// The word for a note picked by hand, after the one picked before: told up or down only where that is not the
/// nearest way.
///
/// ```
/// use leadbar::{solo::melody, theory::{Key, NoteNumber}};
/// let key: Key = "G".parse()?;
/// // From the G above middle C to the B near it, to the B an octave on, and down to the A.
/// let word = |to| melody::word_for(key, Some(NoteNumber(67)), NoteNumber(to));
/// assert_eq!([word(71), word(83), word(57)], ["3", "+3", "-2"]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn word_for(key: Key, before: Option<NoteNumber>, note: NoteNumber) -> String {
    let degree = key.degree_of(note.class());
    let way = match before.map_or(0, |before| note.above(before).0) {
        7.. => "+",
        ..=-6 => "-",
        _ => "",
    };
    format!("{way}{degree}")
}

fn step(before: Option<ScaleDegree>, way: Way, degree: ScaleDegree) -> i8 {
    let Some(before) = before else { return 0 };
    let up = degree.interval().size().0 - before.interval().size().0;
    match (way, up.rem_euclid(12)) {
        (Way::Up, _) => 1,
        (Way::Down, _) => -1,
        (Way::Nearest, 0) => 0,
        (Way::Nearest, 1..=6) => 1,
        (Way::Nearest, _) => -1,
    }
}

fn word(written: &str, bar: usize) -> Result<(Word, f64), MelodyError> {
    let fault = || written.to_owned();
    let (word, length) = lengths::parted(written).ok_or_else(|| MelodyError::Length { bar, word: fault() })?;
    if word == "-" {
        return Ok((None, length));
    }
    let (way, degree) = match (word.strip_prefix('+'), word.strip_prefix('-')) {
        (Some(up), _) => (Way::Up, up),
        (_, Some(down)) => (Way::Down, down),
        _ => (Way::Nearest, word),
    };
    let degree = degree.parse().map_err(|_| MelodyError::Word { bar, word: fault() })?;
    Ok((Some((way, degree)), length))
}

impl FromStr for Melody {
    type Err = MelodyError;

    fn from_str(text: &str) -> Result<Self, MelodyError> {
        let mut bars = Vec::new();
        for (index, written) in text.trim().trim_matches('|').split('|').enumerate() {
            if index == Self::BARS {
                return Err(MelodyError::TooLong);
            }
            let bar = index + 1;
            let words: Vec<_> = written.split_whitespace().take(Self::MOST + 1).collect();
            if words.len() > Self::MOST {
                return Err(MelodyError::TooMany { bar });
            }
            let words = words.into_iter().map(|w| word(w, bar)).collect::<Result<Vec<_>, _>>()?;
            // A bar without a word is a rest, so that it can be written down.
            bars.push(if words.is_empty() { vec![(None, 1.0)] } else { words });
        }
        let sings = bars.iter().flatten().any(|(word, _)| word.is_some());
        if sings {
            Ok(Self { bars })
        } else {
            Err(MelodyError::Empty)
        }
    }
}

impl fmt::Display for Melody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, bar) in self.bars.iter().enumerate() {
            f.write_str(if i == 0 { "" } else { " |" })?;
            for (j, (word, length)) in bar.iter().enumerate() {
                f.write_str(if i + j == 0 { "" } else { " " })?;
                match word {
                    None => f.write_str("-")?,
                    Some((Way::Nearest, degree)) => write!(f, "{degree}")?,
                    Some((Way::Up, degree)) => write!(f, "+{degree}")?,
                    Some((Way::Down, degree)) => write!(f, "-{degree}")?,
                }
                lengths::write(f, *length)?;
            }
        }
        Ok(())
    }
}

impl From<Melody> for String {
    fn from(melody: Melody) -> Self {
        melody.to_string()
    }
}

impl TryFrom<String> for Melody {
    type Error = MelodyError;

    fn try_from(text: String) -> Result<Self, MelodyError> {
        text.parse()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_melody_is_answered_with_the_bar_and_what_to_write() {
        for (text, said) in [
            ("", "needs a note"),
            ("- | -", "needs a note"),
            ("3 | 9 1", "bar 2: \"9\" is no part"),
            ("3 | +", "bar 2: \"+\" is no part"),
            ("3:40", "bar 1: \"3:40\" has no length"),
            ("3:inf", "from 0.25 to 8"),
            (&"1 ".repeat(25), "bar 1 has more than 24"),
            (&"1 |".repeat(66), "64 bars at most"),
        ] {
            let error = text.parse::<Melody>().unwrap_err().to_string();
            assert!(error.contains(said), "{text}: {error}");
        }
    }

    #[test]
    fn the_voice_goes_the_nearest_way_unless_it_is_told() {
        let melody: Melody = "5 1 -1 +5 | - b7 | | 6:2".parse().unwrap();
        let steps = |bar| melody.bar(bar).iter().map(|n| n.step).collect::<Vec<_>>();
        assert_eq!(steps(0), [0, 1, -1, 1]);
        assert_eq!(steps(1), [1]);
        assert_eq!((steps(2), steps(3), steps(4)), (vec![], vec![-1], vec![]));
        assert!((melody.bar(1)[0].at - 1.0).abs() < 1e-9);
        assert!((melody.length(3) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_printed_is_read_back() {
        for text in ["3 2:0.5 1:0.5 -:2 | 5 +1:3", "1 | | -b7:1.5", "| 3", "| | 3 |"] {
            let melody: Melody = text.parse().unwrap();
            assert_eq!(
                melody.to_string().parse::<Melody>().unwrap(),
                melody,
                "{text}: {melody}"
            );
        }
    }
}
