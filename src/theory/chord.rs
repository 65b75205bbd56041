//! Chords: a root, a quality and perhaps another bass.
//!
//! *Invariant:* a chord's tones are spelled from its root by letters, whatever the key.

use super::interval::Interval;
use super::key::{Key, Mode};
use super::pitch::{NoteName, PitchClass, PitchError};
pub use super::quality::Quality;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// A tone's place in its chord, named as players do: 1, b3, 3, 5, b7, 9 ...
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct ChordTone(pub Interval);

impl ChordTone {
    /// The root.
    pub const ROOT: Self = Self(Interval::UNISON);

    /// The label a player reads on the neck: "1", "b3", "#5", "bb7", "b9" ...
    ///
    /// ```
    /// use leadbar::theory::Quality;
    /// use leadbar::theory::ChordTone;
    /// let labels: Vec<String> = Quality::SevenFlatNine.intervals().iter().map(|i| ChordTone(*i).label()).collect();
    /// assert_eq!(labels, ["1", "3", "5", "b7", "b9"]);
    /// ```
    #[must_use]
    pub fn label(self) -> String {
        self.to_string()
    }

    /// Whether this is the chord's root.
    ///
    /// ```
    /// use leadbar::theory::ChordTone;
    /// assert!(ChordTone::ROOT.is_root());
    /// ```
    #[must_use]
    pub fn is_root(self) -> bool {
        self.0.steps() == 0
    }

    /// Whether it lies above the seventh: a ninth or thirteenth, a colour rather than a pillar of the chord.
    ///
    /// ```
    /// use leadbar::theory::{ChordTone, Quality};
    /// let ninth = Quality::AddNine.intervals().last().copied().map(ChordTone);
    /// assert!(ninth.is_some_and(ChordTone::is_tension));
    /// ```
    #[must_use]
    pub fn is_tension(self) -> bool {
        self.0.steps() > 7
    }
}

impl fmt::Display for ChordTone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.0.alteration(), i32::from(self.0.steps()) + 1)
    }
}

/// A chord by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Chord {
    /// Its root.
    pub root: NoteName,
    /// Its kind.
    pub quality: Quality,
    /// The bass, where it is not the root.
    pub bass: Option<NoteName>,
}

impl Chord {
    /// A chord in root position.
    ///
    /// ```
    /// use leadbar::theory::{Chord, Quality};
    /// assert_eq!(Chord::new("F#".parse()?, Quality::MinorSeven).symbol(), "F#m7");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub const fn new(root: NoteName, quality: Quality) -> Self {
        Self {
            root,
            quality,
            bass: None,
        }
    }

    /// This chord over `bass`; over its own root it is the plain chord.
    ///
    /// ```
    /// use leadbar::theory::{Chord, Quality};
    /// let g = Chord::new("G".parse()?, Quality::Major);
    /// assert_eq!(g.over("B".parse()?).symbol(), "G/B");
    /// assert_eq!(g.over("G".parse()?), g);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn over(self, bass: NoteName) -> Self {
        Self {
            bass: (bass != self.root).then_some(bass),
            ..self
        }
    }

    /// The symbol in letters, such as "Bbm7" or "G/B"; it reads back as the same chord.
    ///
    /// ```
    /// use leadbar::theory::Chord;
    /// assert_eq!("C-7b5/Gb".parse::<Chord>()?.symbol(), "Cm7b5/Gb");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn symbol(&self) -> String {
        self.to_string()
    }

    /// The chord's tone of pitch class `class`, or nothing when the class is foreign to the chord.
    ///
    /// ```
    /// use leadbar::theory::{Chord, NoteName};
    /// let d: Chord = "D".parse()?;
    /// let tone = |name: &str| Ok::<_, leadbar::theory::PitchError>(d.tone_of(name.parse::<NoteName>()?.class()));
    /// assert_eq!(tone("F#")?.map(|t| t.label()).as_deref(), Some("3"));
    /// assert_eq!(tone("F")?, None);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn tone_of(&self, class: PitchClass) -> Option<ChordTone> {
        let up = class.above(self.root.class()).0;
        self.quality
            .intervals()
            .iter()
            .copied()
            .find(|i| i.size().0.rem_euclid(12) == up)
            .map(ChordTone)
    }

    /// The chord's tones, spelled, root first. A bass that is foreign to the chord is not among them.
    ///
    /// ```
    /// use leadbar::theory::Chord;
    /// let names: Vec<String> = "F#7".parse::<Chord>()?.tones().map(|(_, name)| name.to_string()).collect();
    /// assert_eq!(names, ["F#", "A#", "C#", "E"]);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn tones(&self) -> impl Iterator<Item = (ChordTone, NoteName)> + '_ {
        self.quality
            .intervals()
            .iter()
            .map(|i| (ChordTone(*i), i.above(self.root)))
    }

    /// The lowest note asked for: the bass, or the root.
    ///
    /// ```
    /// use leadbar::theory::Chord;
    /// assert_eq!("A/C#".parse::<Chord>()?.lowest().to_string(), "C#");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn lowest(&self) -> NoteName {
        self.bass.unwrap_or(self.root)
    }

    /// Any pitch class spelled as this chord suggests: its own tones and its bass by their letters, others as if
    /// the root were the tonic.
    ///
    /// ```
    /// use leadbar::theory::{Chord, NoteName};
    /// let chord: Chord = "Db".parse()?;
    /// assert_eq!(chord.spell("E#".parse::<NoteName>()?.class()).to_string(), "F");
    /// assert_eq!(chord.spell("F#".parse::<NoteName>()?.class()).to_string(), "Gb");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn spell(&self, class: PitchClass) -> NoteName {
        if let Some(tone) = self.tone_of(class) {
            return tone.0.above(self.root);
        }
        if let Some(bass) = self.bass.filter(|b| b.class() == class) {
            return bass;
        }
        let mode = if self.quality.has_minor_third() {
            Mode::Minor
        } else {
            Mode::Major
        };
        Key::new(self.root, mode).spell(class)
    }
}

impl fmt::Display for Chord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.root, self.quality.suffix())?;
        match self.bass.filter(|b| *b != self.root) {
            Some(bass) => write!(f, "/{bass}"),
            None => Ok(()),
        }
    }
}

/// Why a text is not a chord symbol.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum ChordError {
    /// It does not begin with a note.
    Root(String),
    /// What follows the root is no known kind.
    Quality(String),
    /// The bass is no note.
    Bass(String),
}

impl ChordError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Root(what) => said!(
                "\"{what}\" is not a chord: write a root A to G and its kind, as in D, F#m or A7",
                what
            ),
            Self::Quality(what) => said!(
                "\"{what}\" is not a kind of chord known here: write one such as m, 7, maj7, m7, sus4, dim or add9",
                what
            ),
            Self::Bass(what) => said!(
                "the bass \"{what}\" is not a note: write a note after the slash, as in G/B",
                what
            ),
        }
    }
}

impl FromStr for Chord {
    type Err = ChordError;

    fn from_str(text: &str) -> Result<Self, ChordError> {
        let (head, bass) = match text.split_once('/') {
            Some((head, bass)) => (head, Some(bass)),
            None => (text, None),
        };
        let (root, rest) = NoteName::split(head)
            .filter(|_| head.starts_with(|c: char| c.is_ascii_uppercase()))
            .ok_or_else(|| ChordError::Root(text.to_owned()))?;
        let quality = Quality::from_suffix(rest).ok_or_else(|| ChordError::Quality(rest.to_owned()))?;
        let chord = Self::new(root, quality);
        let Some(bass) = bass else { return Ok(chord) };
        let bass = bass
            .parse()
            .map_err(|_: PitchError| ChordError::Bass(bass.to_owned()))?;
        Ok(chord.over(bass))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_chord_reads_back_from_its_symbol() {
        for root in NoteName::all_within(1) {
            for quality in Quality::ALL {
                let chord = Chord::new(root, quality);
                assert_eq!(chord.symbol().parse(), Ok(chord), "{chord}");
                let slashed = chord.over(Interval::between(root, root).above(root));
                assert_eq!(slashed, chord, "over its own root a chord is plain");
            }
        }
    }

    #[test]
    fn a_wrong_symbol_says_which_part_is_wrong() {
        assert_eq!("H7".parse::<Chord>(), Err(ChordError::Root("H7".into())));
        assert_eq!("am".parse::<Chord>(), Err(ChordError::Root("am".into())));
        assert_eq!("A7b13".parse::<Chord>(), Err(ChordError::Quality("7b13".into())));
        assert_eq!("A/x".parse::<Chord>(), Err(ChordError::Bass("x".into())));
        assert_eq!("".parse::<Chord>(), Err(ChordError::Root(String::new())));
    }

    #[test]
    fn every_tone_is_labelled_as_players_say_it() {
        let all: std::collections::BTreeSet<String> = Quality::ALL
            .iter()
            .flat_map(|q| q.intervals())
            .map(|i| ChordTone(*i).label())
            .collect();
        let expected = [
            "#5", "#9", "1", "13", "2", "3", "4", "5", "6", "7", "9", "b3", "b5", "b7", "b9", "bb7",
        ];
        assert_eq!(all.into_iter().collect::<Vec<_>>(), expected);
    }
}
