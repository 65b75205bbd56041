//! Every way to slant the bar that a player's hand can, reckoned once.
//!
//! *Invariant:* a slant is held by the far string of the two it is exact on, so each is listed once; nothing is
//! pressed under it.

use crate::solo::reach::Reach;
use crate::steel::{Instrument, Place, StringNumber, StringSet, slant};
use smallvec::SmallVec;

/// What a slant costs, what a degree of it costs, and what a cent costs that a third string is off. Taste, no source.
const SLANTED: f64 = 0.3;
const DEGREE: f64 = 0.004;
const CENT: f64 = 0.02;

/// A way to slant the bar.
#[derive(Debug, Clone)]
pub(in crate::solo) struct Slanted {
    /// Bar and slant, nothing pressed.
    pub(in crate::solo) place: Place,
    /// The strings that are in tune under it: the two it is turned over, and those with one between.
    pub(in crate::solo) sets: SmallVec<[StringSet; 4]>,
    /// What holding it costs.
    pub(in crate::solo) cost: f64,
    /// The whole fret of each string, where it is near enough to one.
    frets: [Option<u8>; StringNumber::MOST],
}

impl Slanted {
    /// The whole fret at which it stops a string; nothing where that would be out of tune.
    pub(in crate::solo) fn fret(&self, string: StringNumber) -> Option<u8> {
        self.frets.get(string.index()).copied().flatten()
    }
}

/// Every slant on an instrument, up to a fret, that a player's hand can hold.
pub(in crate::solo) fn all(reach: &Reach<'_>, highest: u8) -> Vec<Slanted> {
    let instrument = reach.instrument();
    let places = slant::places(instrument, highest, reach.limits().slant);
    places.into_iter().map(|place| slanted(instrument, place)).collect()
}

fn slanted(instrument: &Instrument, place: Place) -> Slanted {
    let frets = std::array::from_fn(|index| {
        let string = StringNumber::from_index(index).filter(|s| s.index() < instrument.strings.len())?;
        place.whole_fret_on(instrument, string)
    });
    let sets = slant::grips(instrument, place);
    let off = sets.iter().filter_map(|set| place.worst_of(instrument, *set));
    let worst = off.map(|(_, cents)| cents.0.abs()).fold(0.0, f64::max);
    let turned = place.lie(instrument).turned(instrument).0;
    Slanted {
        place,
        sets,
        cost: SLANTED + turned * DEGREE + worst * CENT,
        frets,
    }
}
