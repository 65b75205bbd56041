//! Chords: a root, a quality and perhaps another bass.

use super::interval::Interval;
use super::pitch::{NoteName, PitchClass, Semitones};
use serde::{Deserialize, Serialize};

/// The kind of a chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Quality {
    Major,
    Minor,
    Diminished,
    Augmented,
    Power,
    Sus2,
    Sus4,
    Six,
    MinorSix,
    Seven,
    MajorSeven,
    MinorSeven,
    MinorMajorSeven,
    DiminishedSeven,
    HalfDiminished,
    Nine,
    AddNine,
    MinorNine,
    MajorNine,
    SevenSus4,
    SevenSharpNine,
    SevenFlatNine,
    Thirteen,
}

impl Quality {
    /// The chord's tones as intervals above the root, root first, rising.
    ///
    /// Source: the chord symbols of the trade; checked against reference libraries in `tests/outside`.
    #[must_use]
    pub fn intervals(self) -> &'static [Interval] {
        const fn i(steps: i16, size: i16) -> Interval {
            Interval::new(steps, Semitones(size))
        }
        const ROOT: Interval = i(0, 0);
        const M2: Interval = i(1, 2);
        const MIN3: Interval = i(2, 3);
        const MAJ3: Interval = i(2, 4);
        const P4: Interval = i(3, 5);
        const DIM5: Interval = i(4, 6);
        const P5: Interval = i(4, 7);
        const AUG5: Interval = i(4, 8);
        const M6: Interval = i(5, 9);
        const DIM7: Interval = i(6, 9);
        const MIN7: Interval = i(6, 10);
        const MAJ7: Interval = i(6, 11);
        const MIN9: Interval = i(8, 13);
        const MAJ9: Interval = i(8, 14);
        const AUG9: Interval = i(8, 15);
        const MAJ13: Interval = i(12, 21);
        match self {
            Self::Major => &[ROOT, MAJ3, P5],
            Self::Minor => &[ROOT, MIN3, P5],
            Self::Diminished => &[ROOT, MIN3, DIM5],
            Self::Augmented => &[ROOT, MAJ3, AUG5],
            Self::Power => &[ROOT, P5],
            Self::Sus2 => &[ROOT, M2, P5],
            Self::Sus4 => &[ROOT, P4, P5],
            Self::Six => &[ROOT, MAJ3, P5, M6],
            Self::MinorSix => &[ROOT, MIN3, P5, M6],
            Self::Seven => &[ROOT, MAJ3, P5, MIN7],
            Self::MajorSeven => &[ROOT, MAJ3, P5, MAJ7],
            Self::MinorSeven => &[ROOT, MIN3, P5, MIN7],
            Self::MinorMajorSeven => &[ROOT, MIN3, P5, MAJ7],
            Self::DiminishedSeven => &[ROOT, MIN3, DIM5, DIM7],
            Self::HalfDiminished => &[ROOT, MIN3, DIM5, MIN7],
            Self::Nine => &[ROOT, MAJ3, P5, MIN7, MAJ9],
            Self::AddNine => &[ROOT, MAJ3, P5, MAJ9],
            Self::MinorNine => &[ROOT, MIN3, P5, MIN7, MAJ9],
            Self::MajorNine => &[ROOT, MAJ3, P5, MAJ7, MAJ9],
            Self::SevenSus4 => &[ROOT, P4, P5, MIN7],
            Self::SevenSharpNine => &[ROOT, MAJ3, P5, MIN7, AUG9],
            Self::SevenFlatNine => &[ROOT, MAJ3, P5, MIN7, MIN9],
            Self::Thirteen => &[ROOT, MAJ3, P5, MIN7, MAJ9, MAJ13],
        }
    }
}

/// A tone's place in its chord, named as players do: 1, b3, 3, 5, b7, 9 ...
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct ChordTone(pub Interval);

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
    /// The chord's tone of pitch class `class`, or nothing when the class is foreign to the chord.
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

    /// The chord's tones, spelled, root first.
    pub fn tones(&self) -> impl Iterator<Item = (ChordTone, NoteName)> + '_ {
        self.quality
            .intervals()
            .iter()
            .map(|i| (ChordTone(*i), i.above(self.root)))
    }
}
