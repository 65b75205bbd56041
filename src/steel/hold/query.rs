//! What is asked of a search for holds.

use crate::steel::body::PICKS;
use crate::steel::instrument::Stance;
use crate::theory::{Chord, ChordTone, Semitones};
use smallvec::SmallVec;
use std::ops::RangeInclusive;

/// Which of a chord's tones must sound. No other note ever does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tones {
    /// Every one.
    All,
    /// At least those without which the chord isn't heard: see [`essential`].
    #[default]
    Essential,
    /// Whichever there are: each string sounds one.
    Any,
}

/// What to look for.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldQuery {
    /// The frets to look at; those the instrument has not are passed over.
    pub frets: RangeInclusive<u8>,
    /// How many strings are picked.
    pub strings: RangeInclusive<usize>,
    /// The strings a grip reaches over, its first and last included.
    pub reach: usize,
    /// Which tones must sound.
    pub tones: Tones,
    /// Whether every change pressed must move a string of the grip. One that another change outdoes on that
    /// string counts as moving it.
    pub needed: bool,
    /// The stances to look at in place of all that a body can hold.
    pub stances: Option<Vec<Stance>>,
}

impl Default for HoldQuery {
    /// Three picks over at most six strings on the whole neck, nothing pressed for nothing.
    fn default() -> Self {
        Self {
            frets: 0..=24,
            strings: PICKS..=PICKS,
            reach: 6,
            tones: Tones::Essential,
            needed: true,
            stances: None,
        }
    }
}

/// The tones without which a chord isn't heard, never more than three picks can sound.
///
/// From four tones on a perfect fifth may go; while more than three are left, first the root (the bass plays it),
/// then the ninth. Common practice, no source.
///
/// ```
/// use leadbar::steel::hold::essential;
/// let of = |chord: &str| essential(&chord.parse().unwrap()).iter().map(|t| t.label()).collect::<Vec<_>>();
/// assert_eq!(of("Am"), ["1", "b3", "5"]);
/// assert_eq!(of("D7"), ["1", "3", "b7"]);
/// assert_eq!(of("Bm7b5"), ["b3", "b5", "b7"]);
/// assert_eq!(of("G13"), ["3", "b7", "13"]);
/// ```
#[must_use]
pub fn essential(chord: &Chord) -> SmallVec<[ChordTone; 3]> {
    const FIFTH: Semitones = Semitones(7);
    const NINTH_STEPS: i16 = 8;
    let mut tones: SmallVec<[ChordTone; 6]> = chord.tones().map(|(tone, _)| tone).collect();
    let spare: [fn(&ChordTone) -> bool; 3] = [|t| t.0.size() == FIFTH, |t| t.is_root(), |t| t.0.steps() == NINTH_STEPS];
    for spare in spare {
        if tones.len() > PICKS {
            tones.retain(|t| !spare(t));
        }
    }
    tones.into_iter().collect()
}
