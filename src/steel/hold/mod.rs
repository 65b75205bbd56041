//! Holds: every way an instrument sounds a chord, with what is pressed, which strings are picked and what they sound.
//!
//! *Invariant:* a hold is found by computing what its strings sound where a body can hold it; no table of positions
//! or grips is kept, so none can be wrong for an instrument nobody has thought of.

mod effort;
mod finder;
mod grip;
mod homes;
mod query;

pub use effort::Effort;
pub use finder::Finder;
pub use homes::{home_near, homes, slanted};
pub use query::{HoldQuery, Tones, essential};

use super::instrument::{Instrument, StringNumber, StringSet};
use super::neck::Place;
use crate::theory::{Chord, ChordTone, NoteNumber};
use serde::{Deserialize, Serialize};
use smallvec::SmallVec;

/// A string of a hold and what it sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Voice {
    /// The string.
    pub string: StringNumber,
    /// The note it sounds.
    pub note: NoteNumber,
    /// Which tone of the chord that is.
    pub tone: ChordTone,
}

/// Which tone of a chord lies lowest among those picked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Inversion {
    /// The root.
    Root,
    /// The third, or what stands for it.
    First,
    /// The fifth.
    Second,
    /// The sixth or seventh.
    Third,
    /// A tone above the seventh.
    Colour,
}

impl Inversion {
    /// The inversion with `lowest` at the bottom.
    ///
    /// ```
    /// use leadbar::steel::hold::Inversion;
    /// use leadbar::theory::ChordTone;
    /// assert_eq!(Inversion::of(ChordTone::ROOT), Inversion::Root);
    /// ```
    #[must_use]
    pub fn of(lowest: ChordTone) -> Self {
        match lowest.0.steps() {
            0 => Self::Root,
            1..=3 => Self::First,
            4 => Self::Second,
            5..=6 => Self::Third,
            _ => Self::Colour,
        }
    }

    /// As players say it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Root => key!("root position"),
            Self::First => key!("first inversion"),
            Self::Second => key!("second inversion"),
            Self::Third => key!("third inversion"),
            Self::Colour => key!("colour tone lowest"),
        }
    }
}

/// One way to sound a chord: where the bar is, what is pressed, which strings are picked, what they sound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hold {
    /// The bar and what is pressed.
    pub place: Place,
    /// The strings to pick.
    pub strings: StringSet,
    /// What they sound, from the lowest note up; of two alike, the far string first.
    pub voices: SmallVec<[Voice; 4]>,
    /// Which tone lies lowest.
    pub inversion: Inversion,
    /// What it asks of the player.
    pub effort: Effort,
}

impl Hold {
    /// The highest voice: the one that is heard as melody. A hold has at least one voice.
    #[must_use]
    pub fn top(&self) -> Option<Voice> {
        self.voices.last().copied()
    }

    /// What `string` sounds; nothing when it is not picked.
    #[must_use]
    pub fn voice(&self, string: StringNumber) -> Option<Voice> {
        self.voices.iter().find(|v| v.string == string).copied()
    }

    /// The tones of `chord`, which this is a hold of, that no string sounds.
    pub fn missing<'h>(&'h self, chord: &'h Chord) -> impl Iterator<Item = ChordTone> + 'h {
        chord
            .tones()
            .map(|(tone, _)| tone)
            .filter(|tone| self.voices.iter().all(|v| v.tone != *tone))
    }
}

/// Every way to sound `chord` that `query` asks for, by fret from the nut, then by stance in the query's order.
///
/// For many chords on one instrument a [`Finder`] is quicker: it reckons the stances once.
///
/// ```
/// use leadbar::steel::{Instrument, hold::{HoldQuery, enumerate}};
/// let e9 = Instrument::shipped("e9").unwrap();
/// let holds = enumerate(&e9, &"G".parse().unwrap(), &HoldQuery::default());
/// // Without pedals a G lies at fret 3: strings 3, 4 and 5 sound 5 1 3 from the lowest up.
/// let open = holds.iter().find(|h| h.place.stance.is_open() && h.strings.to_string() == "3-4-5").unwrap();
/// assert_eq!(open.place.fret, 3);
/// assert_eq!(open.voices.iter().map(|v| v.tone.label()).collect::<Vec<_>>(), ["5", "1", "3"]);
/// ```
#[must_use]
pub fn enumerate(instrument: &Instrument, chord: &Chord, query: &HoldQuery) -> Vec<Hold> {
    Finder::new(instrument, query).holds(chord)
}

/// Of holds that sound the same notes on the same strings at one fret, the one that asks least; order is kept.
///
/// Several stances may do, since a change that only doubles another moves nothing further.
#[must_use]
pub fn easiest(holds: Vec<Hold>) -> Vec<Hold> {
    let mut kept: Vec<Hold> = Vec::with_capacity(holds.len());
    let mut seen = std::collections::HashMap::new();
    for hold in holds {
        let notes: SmallVec<[(StringNumber, NoteNumber); 4]> = hold.voices.iter().map(|v| (v.string, v.note)).collect();
        match seen.entry((hold.place.fret, notes)) {
            std::collections::hash_map::Entry::Vacant(new) => {
                new.insert(kept.len());
                kept.push(hold);
            }
            std::collections::hash_map::Entry::Occupied(at) => {
                if let Some(other) = kept.get_mut(*at.get()).filter(|other| hold.effort < other.effort) {
                    *other = hold;
                }
            }
        }
    }
    kept
}
