//! Where a chord lives: at each fret the easiest hold, if there is one.
//!
//! *Invariant:* homes are holds; nothing is a home that [`Finder`] does not find.

use super::Hold;
use super::finder::Finder;
use super::query::HoldQuery;
use crate::steel::instrument::Instrument;
use crate::steel::neck::Fret;
use crate::theory::Chord;

/// The last fret looked at: an octave further up everything comes again.
const LAST_FRET: u8 = 12;

/// The most homes of a chord: more are curiosities that nobody looks for.
const MOST: usize = 6;

/// The homes of a chord from the nut upwards, at most one for each fret: the hold that asks least of the player.
/// Where there are more than six, the easiest six.
///
/// ```
/// use leadbar::steel::{Instrument, hold::homes};
/// let e9 = Instrument::shipped("e9").unwrap();
/// let g = homes(&e9, &"G".parse().unwrap());
/// let fret_10 = g.iter().find(|h| h.place.fret == 10).unwrap();
/// assert_eq!(fret_10.place.stance, e9.stance_of(&["A", "B"]).unwrap());
/// ```
#[must_use]
pub fn homes(instrument: &Instrument, chord: &Chord) -> Vec<Hold> {
    let query = HoldQuery {
        frets: 0..=LAST_FRET,
        ..HoldQuery::default()
    };
    let mut homes: Vec<Hold> = Vec::new();
    for hold in Finder::new(instrument, &query).holds(chord) {
        match homes.last_mut().filter(|home| home.place.fret == hold.place.fret) {
            Some(home) if hold.effort < home.effort => *home = hold,
            Some(_) => {}
            None => homes.push(hold),
        }
    }
    homes.sort_by_key(|home| home.effort);
    homes.truncate(MOST);
    homes.sort_by_key(|home| home.place.fret);
    homes
}

/// The home of a chord nearest to where the bar is; of two as near, the one that asks less.
#[must_use]
pub fn home_near(instrument: &Instrument, chord: &Chord, bar: Fret) -> Option<Hold> {
    let away = |home: &Hold| (home.place.bar().0 - bar.0).abs();
    let nearer = |a: &Hold, b: &Hold| away(a).total_cmp(&away(b)).then(a.effort.cmp(&b.effort));
    homes(instrument, chord).into_iter().min_by(nearer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::body;
    use crate::steel::hold::essential;
    use crate::steel::instrument::shipped;
    use crate::steel::neck::{Place, Stance};
    use crate::theory::{NoteName, Quality};

    fn e9() -> Instrument {
        Instrument::shipped("e9").unwrap()
    }

    /// Computed from the tuning: with k the fret of the root without pedals, a major chord lives at k, at k + 3 with
    /// A and F, at k + 7 with A and B.
    #[test]
    fn a_major_chord_lives_at_its_three_classic_places() {
        let e9 = e9();
        for (k, root) in ["E", "F", "F#", "G", "Ab", "A"].iter().enumerate() {
            let k = u8::try_from(k).unwrap();
            let found = homes(&e9, &root.parse().unwrap());
            let places: Vec<Place> = found.iter().map(|h| h.place).collect();
            for (fret, names) in [(k, &[][..]), (k + 3, &["A", "F"]), (k + 7, &["A", "B"])] {
                let place = Place::straight(fret, e9.stance_of(names).unwrap());
                assert!(places.contains(&place), "{root}: {place:?} is not in {places:?}");
            }
        }
    }

    #[test]
    fn homes_are_few_and_come_from_the_nut_upwards_one_for_each_fret() {
        for id in shipped::ids() {
            let instrument = Instrument::shipped(id).unwrap();
            for quality in Quality::ALL {
                let chord = Chord::new("Bb".parse::<NoteName>().unwrap(), quality);
                let found = homes(&instrument, &chord);
                assert!(found.len() <= MOST);
                assert!(found.windows(2).all(|w| w[0].place.fret < w[1].place.fret));
                for home in &found {
                    assert!(body::can_hold(&instrument, home.place.stance).is_ok());
                    let missing: Vec<_> = home.missing(&chord).collect();
                    assert!(essential(&chord).iter().all(|tone| !missing.contains(tone)));
                }
            }
        }
    }

    #[test]
    fn the_nearest_home_is_the_one_where_the_hand_is() {
        let near = home_near(&e9(), &"G".parse().unwrap(), Fret(3.4)).unwrap();
        assert_eq!((near.place.fret, near.place.stance), (3, Stance::OPEN));
    }
}
