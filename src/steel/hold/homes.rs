//! Where a chord lives: at each fret the easiest hold, if there is one.
//!
//! Without pedals the bar is slanted: such homes are found too.
//!
//! *Invariant:* homes are holds; no straight one is a home that [`Finder`] does not find.

use super::effort::{self, Effort};
use super::finder::Finder;
use super::query::{HoldQuery, essential};
use super::{Hold, Inversion, Voice};
use crate::steel::instrument::Instrument;
use crate::steel::slant;
use crate::steel::units::Fret;
use crate::theory::Chord;
use smallvec::SmallVec;

/// The last fret looked at: an octave further up everything comes again.
const LAST_FRET: u8 = 12;

/// The last fret looked at for slants: an octave up frets lie closer and the bar is turned less, so that more of them
/// can be held.
const LAST_SLANTED: u8 = 17;

/// The most homes of a chord: more are curiosities that nobody looks for.
const MOST: usize = 6;

/// The homes of a chord from the nut upwards, at most one for each fret: the hold that asks least of the player.
/// Where there are more than six, the easiest six. On an instrument without changes some are slanted.
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
    if instrument.changes.is_empty() {
        for hold in slanted(instrument, chord) {
            match homes.iter_mut().find(|home| home.place.fret == hold.place.fret) {
                Some(home) if hold.effort < home.effort => *home = hold,
                Some(_) => {}
                None => homes.push(hold),
            }
        }
    }
    homes.sort_by_key(|home| home.effort);
    homes.truncate(MOST);
    homes.sort_by_key(|home| home.place.fret);
    homes
}

/// What slanting the bar asks, and each degree it is turned: more than any straight hold. Taste, no source.
const SLANTED: u16 = 40;

/// Every slanted bar that sounds what a chord must have, as a hand usually holds it and with nothing pressed.
#[must_use]
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "an angle below a right one"
)]
pub fn slanted(instrument: &Instrument, chord: &Chord) -> Vec<Hold> {
    let needed = essential(chord);
    let mut found = Vec::new();
    for place in slant::places(instrument, LAST_SLANTED.min(instrument.frets), slant::USUAL) {
        let turned = place.lie(instrument).turned(instrument).0.round() as u16;
        for strings in slant::grips(instrument, place) {
            let voice = |string| {
                let note = instrument.note(string, place)?;
                let tone = chord.tone_of(note.class())?;
                Some(Voice { string, note, tone })
            };
            let voices: Option<SmallVec<[Voice; 4]>> = strings.iter().map(voice).collect();
            let Some(mut voices) = voices.filter(|all| needed.iter().all(|t| all.iter().any(|v| v.tone == *t))) else {
                continue;
            };
            voices.sort_by_key(|v| v.note);
            let Some(lowest) = voices.first() else { continue };
            found.push(Hold {
                place,
                strings,
                inversion: Inversion::of(lowest.tone),
                effort: effort::of_strings(instrument, strings) + Effort(SLANTED + turned),
                voices,
            });
        }
    }
    found
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
    use crate::steel::{Place, Stance};
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
    fn without_pedals_a_seventh_chord_lives_under_slanted_bars_and_every_voice_is_in_tune() {
        let kinds = [
            ("c6-lap-6", "7"),
            ("c6-lap-8", "7"),
            ("open-d", "6"),
            ("open-e", "7"),
            ("open-g", "7"),
        ];
        for (id, kind) in kinds {
            let lap = Instrument::shipped(id).unwrap();
            let mut living = 0;
            for root in ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"] {
                let chord: Chord = format!("{root}{kind}").parse().unwrap();
                let found = homes(&lap, &chord);
                living += usize::from(!found.is_empty());
                for home in &found {
                    assert!(home.place.slant.is_some(), "{id}: a straight bar has it too");
                    let missing: Vec<_> = home.missing(&chord).collect();
                    assert!(essential(&chord).iter().all(|tone| !missing.contains(tone)));
                    let (_, off) = home.place.worst_of(&lap, home.strings).unwrap();
                    assert!(off.0.abs() <= slant::IN_TUNE.0 + 1e-6, "{id}: {off}");
                    for voice in &home.voices {
                        assert_eq!(lap.note(voice.string, home.place), Some(voice.note));
                    }
                }
            }
            println!("{id}: {living} of 12 roots of {kind}");
            assert!(living > 0, "{id}");
        }
    }

    #[test]
    fn the_nearest_home_is_the_one_where_the_hand_is() {
        let near = home_near(&e9(), &"G".parse().unwrap(), Fret(3.4)).unwrap();
        assert_eq!((near.place.fret, near.place.stance), (3, Stance::OPEN));
    }
}
