//! Every way to slant the bar that a player's hand can, reckoned once.
//!
//! *Invariant:* a slant is held by the far string of the two it is exact on, so each is listed once; nothing is
//! pressed under it.

use super::palette::HIGHEST_FRET;
use crate::solo::reach::Reach;
use crate::steel::slant::MOST_FRETS;
use crate::steel::{Place, Slant, Stance, StringNumber, StringSet};
use smallvec::SmallVec;

/// A slant reaches over at most this many strings.
const WIDEST: usize = 5;
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

/// Every slant on an instrument that a player's hand can hold.
pub(in crate::solo) fn all(reach: &Reach<'_>) -> Vec<Slanted> {
    let strings: Vec<StringNumber> = reach.instrument().string_numbers().collect();
    let mut found = Vec::new();
    for fret in 1..=HIGHEST_FRET {
        for (i, hold) in strings.iter().enumerate() {
            for turn in strings.iter().take(i + WIDEST).skip(i + 1) {
                for frets in (-MOST_FRETS..=MOST_FRETS).filter(|f| *f != 0) {
                    let slant = Slant {
                        hold: *hold,
                        turn: *turn,
                        frets,
                    };
                    found.extend(slanted(reach, fret, slant));
                }
            }
        }
    }
    found
}

fn slanted(reach: &Reach<'_>, fret: u8, slant: Slant) -> Option<Slanted> {
    let instrument = reach.instrument();
    let place = Place {
        slant: Some(slant),
        ..Place::straight(fret, Stance::OPEN)
    };
    let other = fret.checked_add_signed(slant.frets)?;
    if !(1..=HIGHEST_FRET).contains(&other) || !reach.can_slant(place) {
        return None;
    }
    let frets = std::array::from_fn(|index| {
        let string = StringNumber::from_index(index).filter(|s| s.index() < instrument.strings.len())?;
        place.whole_fret_on(instrument, string)
    });
    let two = StringSet::EMPTY.with(slant.hold).with(slant.turn);
    let between = instrument
        .string_numbers()
        .filter(|s| *s > slant.hold && *s < slant.turn && frets.get(s.index()).is_some_and(Option::is_some));
    let sets: SmallVec<[StringSet; 4]> = std::iter::once(two).chain(between.map(|s| two.with(s))).collect();
    let off = sets.iter().filter_map(|set| place.worst_of(instrument, *set));
    let worst = off.map(|(_, cents)| cents.0.abs()).fold(0.0, f64::max);
    let turned = reach.lie(place).turned(instrument).0;
    Some(Slanted {
        place,
        sets,
        cost: SLANTED + turned * DEGREE + worst * CENT,
        frets,
    })
}
