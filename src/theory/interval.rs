//! Spelled intervals.

use super::pitch::{Accidental, Letter, NoteName, Semitones};
use serde::{Deserialize, Serialize};

/// A spelled interval upwards: how many letters, how many semitones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Interval {
    /// Letters away: a unison is 0, a third 2, a ninth 8.
    steps: i16,
    /// Its size.
    size: Semitones,
}

impl Interval {
    /// An interval from letters (0 = unison) and semitones.
    #[must_use]
    pub const fn new(steps: i16, size: Semitones) -> Self {
        Self { steps, size }
    }

    /// Letters away; a third is 2.
    #[must_use]
    pub fn steps(self) -> i16 {
        self.steps
    }

    /// Size in semitones.
    #[must_use]
    pub fn size(self) -> Semitones {
        self.size
    }

    /// The note this interval above `root`, spelled by its letter.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn above(self, root: NoteName) -> NoteName {
        let letter: Letter = root.letter.plus(self.steps);
        let wanted = i16::from(root.class().number()) + self.size.0;
        let off = (wanted - letter.natural().0).rem_euclid(12);
        let signed = if off > 6 { off - 12 } else { off };
        NoteName::new(letter, Accidental(signed as i8))
    }
}
