//! A motif of the player's own: when something is struck and, where it matters, on which degree.
//!
//! Written as words: a degree of the scale of whatever chord is in force, or `x` for any tone, or `-` for a rest, each
//! with its length in felt beats after a colon where it is not one.
//!
//! *Invariant:* what is printed is read back as the same motif; a motif strikes at least once and at most
//! [`Motif::MOST`] times.

use super::lengths::{self, LENGTHS};
use crate::theory::{Accidental, Beats, PitchClass, Scale, ScaleDegree, Seconds, Tempo};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// The finest division a tapped rhythm is rounded to, in felt beats.
const GRID: f64 = 0.5;

/// What happens for a while.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Word {
    /// Nothing.
    Rest,
    /// Any tone.
    Any,
    /// This degree of the chord's scale on top.
    Degree(ScaleDegree),
}

/// A motif.
///
/// ```
/// let motif: leadbar::solo::Motif = "3 5:0.5 x:0.5 -".parse()?;
/// assert_eq!(motif.strikes().map(|(at, _)| at).collect::<Vec<_>>(), [0.0, 1.0, 1.5]);
/// assert_eq!(motif.to_string(), "3 5:0.5 x:0.5 -");
/// # Ok::<(), leadbar::solo::motif::MotifError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Motif {
    /// Each with its length in felt beats.
    words: Vec<(Word, f64)>,
}

/// Why a motif can't be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum MotifError {
    /// Not a degree, a stroke or a rest.
    Word(String),
    /// No length.
    Length(String),
    /// Nothing is struck.
    Empty,
    /// Too long.
    TooMany,
}

impl MotifError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Word(word) => said!(
                "\"{word}\" is no part of a motif: write degrees such as 3 or b7, x for any tone, - for a rest",
                word
            ),
            Self::Length(word) => said!(
                "\"{word}\" has no length: write it in beats after a colon, such as 5:0.5, from 0.25 to 8",
                word
            ),
            Self::Empty => said!("a motif needs a note: write degrees such as 3 5 6, or x for any tone"),
            Self::TooMany => said!("a motif has {most} notes at most: leave some out", most = Motif::MOST),
        }
    }
}

impl Motif {
    /// Strokes of a motif at most.
    pub const MOST: usize = 16;

    /// When it strikes, in felt beats from its start, and on which degree where one is asked for.
    pub fn strikes(&self) -> impl Iterator<Item = (f64, Option<ScaleDegree>)> + '_ {
        let starts = self.words.iter().scan(0.0, |at, (word, length)| {
            let start = *at;
            *at += length;
            Some((start, *word))
        });
        starts.filter_map(|(at, word)| match word {
            Word::Rest => None,
            Word::Any => Some((at, None)),
            Word::Degree(degree) => Some((at, Some(degree))),
        })
    }

    /// How long its notes last together, a closing rest left out, in felt beats.
    #[must_use]
    pub fn length(&self) -> f64 {
        let sounding = self.words.iter().rposition(|(word, _)| *word != Word::Rest);
        let words = self.words.iter().take(sounding.map_or(0, |last| last + 1));
        words.map(|(_, length)| length).sum()
    }

    /// The rhythm tapped at some moments, rounded to halves of a beat at a tempo; the last note lasts a beat.
    /// Nothing when nothing was tapped.
    ///
    /// ```
    /// use leadbar::{solo::Motif, theory::{Seconds, Tempo}};
    /// let tapped = [10.0, 10.52, 10.74].map(Seconds);
    /// assert_eq!(Motif::tapped(&tapped, Tempo(120.0)).unwrap().to_string(), "x x:0.5 x");
    /// ```
    #[must_use]
    pub fn tapped(moments: &[Seconds], tempo: Tempo) -> Option<Self> {
        let beat = |pair: &[Seconds]| match pair {
            [a, b] => {
                let Beats(gone) = Seconds(b.0 - a.0).at(tempo);
                ((gone / GRID).round() * GRID).clamp(GRID, *LENGTHS.end())
            }
            _ => 1.0,
        };
        let last = moments.first().map(|_| (Word::Any, 1.0));
        let words: Vec<_> = moments.windows(2).map(|w| (Word::Any, beat(w))).chain(last).collect();
        Self::of(words).ok()
    }

    fn of(words: Vec<(Word, f64)>) -> Result<Self, MotifError> {
        match words.iter().filter(|(word, _)| *word != Word::Rest).count() {
            0 => Err(MotifError::Empty),
            n if n > Self::MOST || words.len() > 2 * Self::MOST => Err(MotifError::TooMany),
            _ => Ok(Self { words }),
        }
    }
}

/// The note that a degree names in the scale of a chord; nothing where the scale has no such degree.
///
/// ```
/// use leadbar::{solo::motif, theory::{NoteName, Scale, ScaleKind}};
/// let root: NoteName = "D".parse()?;
/// let scale = Scale::named(root, ScaleKind::Major);
/// assert_eq!(motif::tone("b7".parse()?, &scale), Some("C".parse::<NoteName>()?.class()));
/// assert_eq!(motif::degree("C".parse::<NoteName>()?.class(), &scale), Some("b7".parse()?));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn tone(degree: ScaleDegree, scale: &Scale) -> Option<PitchClass> {
    let note = scale.notes().nth(usize::from(degree.number() - 1))?;
    let class = i16::from(note.class().number()) + i16::from(degree.accidental.0);
    Some(PitchClass::new(class))
}

/// The degree that names a note in the scale of a chord: plain where the scale has it, else the one above flattened,
/// or the one below raised where that is the scale's 4. Nothing where a scale of fewer than seven notes has none near.
#[must_use]
pub fn degree(note: PitchClass, scale: &Scale) -> Option<ScaleDegree> {
    let altered = |accidental| (1..=7).filter_map(move |n| ScaleDegree::new(n, accidental));
    let raised_four = ScaleDegree::new(4, Accidental::SHARP);
    let names = |d: &ScaleDegree| tone(*d, scale) == Some(note);
    altered(Accidental::NATURAL)
        .chain(raised_four)
        .chain(altered(Accidental(-1)))
        .chain(altered(Accidental::SHARP))
        .find(names)
}

impl FromStr for Motif {
    type Err = MotifError;

    fn from_str(text: &str) -> Result<Self, MotifError> {
        let split = text.split(|c: char| c.is_whitespace() || c == ',');
        let words = split.filter(|w| !w.is_empty()).map(|written| {
            let (word, length) = lengths::parted(written).ok_or_else(|| MotifError::Length(written.to_owned()))?;
            let word = match word {
                "-" => Word::Rest,
                "x" | "X" => Word::Any,
                degree => Word::Degree(degree.parse().map_err(|_| MotifError::Word(written.to_owned()))?),
            };
            Ok((word, length))
        });
        Self::of(words.collect::<Result<_, _>>()?)
    }
}

impl fmt::Display for Motif {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, (word, length)) in self.words.iter().enumerate() {
            f.write_str(if i == 0 { "" } else { " " })?;
            match word {
                Word::Rest => f.write_str("-")?,
                Word::Any => f.write_str("x")?,
                Word::Degree(degree) => write!(f, "{degree}")?,
            }
            lengths::write(f, *length)?;
        }
        Ok(())
    }
}

impl From<Motif> for String {
    fn from(motif: Motif) -> Self {
        motif.to_string()
    }
}

impl TryFrom<String> for Motif {
    type Error = MotifError;

    fn try_from(text: String) -> Result<Self, MotifError> {
        text.parse()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_motif_is_answered_with_what_to_write() {
        for (text, said) in [
            ("", "needs a note"),
            ("- -", "needs a note"),
            ("3 9", "\"9\" is no part"),
            ("3:0.1", "from 0.25 to 8"),
            ("3:NaN", "from 0.25 to 8"),
            (&"x ".repeat(17), "16 notes at most"),
        ] {
            let error = text.parse::<Motif>().unwrap_err().to_string();
            assert!(error.contains(said), "{text}: {error}");
        }
    }

    #[test]
    fn a_motif_lasts_until_its_last_note_ends() {
        let motif: Motif = "- 3:0.5, b7:1.5 -:2".parse().unwrap();
        assert!((motif.length() - 3.0).abs() < 1e-9);
        let strikes: Vec<_> = motif.strikes().map(|(at, d)| (at, d.map(|d| d.to_string()))).collect();
        assert_eq!(strikes, [(1.0, Some("3".to_owned())), (1.5, Some("b7".to_owned()))]);
    }

    #[test]
    fn every_note_has_a_degree_over_every_chord_that_names_it() {
        let key = "A".parse().unwrap();
        for chord in ["A", "Bm", "D", "E7", "G", "Bdim", "F#m", "C#m7"] {
            let scale = Scale::for_chord(key, &chord.parse().unwrap());
            for note in (0..12).map(PitchClass::new) {
                let named = degree(note, &scale).unwrap();
                assert_eq!(tone(named, &scale), Some(note), "{note:?} over {chord}: {named}");
            }
        }
    }

    #[test]
    fn what_is_printed_is_read_back() {
        for text in ["3 5 6:2", "x:0.5 -:0.25 #4 b3:1.75"] {
            let motif: Motif = text.parse().unwrap();
            assert_eq!(motif.to_string().parse::<Motif>().unwrap(), motif);
        }
    }
}
