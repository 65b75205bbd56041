//! Where a chord lives: for each fret the easiest grip that sounds it, with what is pressed.
//!
//! *Invariant:* every home is found by computing what its strings sound; no table of positions is kept.

use crate::steel::{Fret, Instrument, Place, Stance, StringNumber, StringSet, body};
use crate::theory::{Chord, ChordTone, NoteNumber, Semitones};

/// The frets looked at: an octave further up everything comes again.
const LAST_FRET: u8 = 12;
/// The widest grip, from its first string to its last.
const WIDEST: usize = 6;
/// A perfect fifth, the tone that is left out first.
const FIFTH: Semitones = Semitones(7);
/// What a pressed change costs, and how much more one that must be held half way.
const PRESS: u32 = 10;
const HALF_PRESS: u32 = 6;
/// What each string skipped inside the grip costs.
const SKIP: u32 = 3;
/// What each string away from the middle of the neck costs.
const OFF_MIDDLE: u32 = 1;

/// Which tone of a chord lies lowest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Inversion {
    /// The root.
    Root,
    /// The third, or what stands for it.
    First,
    /// The fifth.
    Second,
    /// A tone above the fifth.
    Third,
}

impl Inversion {
    /// As players say it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Root => "root position",
            Self::First => "first inversion",
            Self::Second => "second inversion",
            Self::Third => "third inversion",
        }
    }

    fn of(lowest: ChordTone) -> Self {
        match lowest.0.steps() {
            0 => Self::Root,
            1..=3 => Self::First,
            4 => Self::Second,
            _ => Self::Third,
        }
    }
}

/// One place where a chord lives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Home {
    /// The bar and what is pressed.
    pub place: Place,
    /// The strings to pluck.
    pub strings: StringSet,
    /// Which tone lies lowest.
    pub inversion: Inversion,
}

/// The homes of a chord from the nut upwards, at most one for each fret: the one that asks least of the body.
#[must_use]
pub fn homes(instrument: &Instrument, chord: &Chord) -> Vec<Home> {
    let essential = essential(chord);
    let stances = body::stances(instrument);
    (0..=LAST_FRET.min(instrument.frets))
        .filter_map(|fret| {
            let found = stances.iter().filter_map(|stance| {
                let place = Place { fret, stance: *stance };
                best_grip(instrument, chord, &essential, place)
            });
            found.min_by_key(|(cost, _)| *cost).map(|(_, home)| home)
        })
        .collect()
}

/// The home of a chord nearest to where the bar is.
#[must_use]
pub fn home_near(instrument: &Instrument, chord: &Chord, bar: Fret) -> Option<Home> {
    let away = |home: &Home| (home.place.bar().0 - bar.0).abs();
    homes(instrument, chord)
        .into_iter()
        .min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// The tones without which the chord is not heard: a perfect fifth can go from four tones on, the root from five.
fn essential(chord: &Chord) -> Vec<ChordTone> {
    let tones: Vec<ChordTone> = chord.tones().map(|(tone, _)| tone).collect();
    let count = tones.len();
    let spare = |t: &ChordTone| (count >= 4 && t.0.size() == FIFTH) || (count >= 5 && t.is_root());
    tones.into_iter().filter(|t| !spare(t)).collect()
}

/// A string that sounds a tone of the chord.
#[derive(Clone, Copy)]
struct Voice {
    string: StringNumber,
    note: NoteNumber,
    tone: ChordTone,
}

/// The cheapest strings at a place that sound each essential tone once, and nothing else.
fn best_grip(instrument: &Instrument, chord: &Chord, essential: &[ChordTone], place: Place) -> Option<(u32, Home)> {
    let voices: Vec<Voice> = instrument
        .string_numbers()
        .filter_map(|string| {
            let note = instrument.note(string, place)?;
            let tone = chord.tone_of(note.class()).filter(|t| essential.contains(t))?;
            Some(Voice { string, note, tone })
        })
        .collect();
    let mut best: Option<(u32, Home)> = None;
    grow(&voices, essential.len(), &mut Vec::new(), &mut |grip| {
        let strings: StringSet = grip.iter().map(|v| v.string).collect();
        let needed = place.stance.pressed().all(|id| {
            let moved = instrument.change(id).map_or(StringSet::EMPTY, |c| c.strings());
            !moved.and(strings).is_empty()
        });
        let cost = cost(instrument, grip, place.stance);
        let Some(lowest) = grip.iter().min_by_key(|v| v.note) else {
            return;
        };
        if needed && best.as_ref().is_none_or(|(least, _)| cost < *least) {
            let inversion = Inversion::of(lowest.tone);
            best = Some((
                cost,
                Home {
                    place,
                    strings,
                    inversion,
                },
            ));
        }
    });
    best
}

/// Hands every grip of `size` different tones within [`WIDEST`] strings to `found`.
fn grow(voices: &[Voice], size: usize, grip: &mut Vec<Voice>, found: &mut impl FnMut(&[Voice])) {
    if grip.len() == size {
        return found(grip);
    }
    for (index, voice) in voices.iter().enumerate() {
        let wide = grip
            .first()
            .is_some_and(|f| voice.string.index() - f.string.index() >= WIDEST);
        if wide || grip.iter().any(|g| g.tone == voice.tone) {
            continue;
        }
        grip.push(*voice);
        grow(voices.get(index + 1..).unwrap_or_default(), size, grip, found);
        grip.pop();
    }
}

#[allow(clippy::cast_possible_truncation)] // at most fourteen strings
fn cost(instrument: &Instrument, grip: &[Voice], stance: Stance) -> u32 {
    let (Some(first), Some(last)) = (grip.first(), grip.last()) else {
        return 0;
    };
    let presses: u32 = stance
        .pressed()
        .map(|id| {
            if stance == stance.with(id) {
                PRESS
            } else {
                PRESS + HALF_PRESS
            }
        })
        .sum();
    let span = last.string.index() - first.string.index() + 1;
    let middle = first.string.index() + last.string.index();
    let off = middle.abs_diff(instrument.strings.len().saturating_sub(1)) / 2;
    presses + SKIP * (span - grip.len()) as u32 + OFF_MIDDLE * off as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::e9;
    use crate::steel::shipped;
    use crate::theory::Quality;

    fn found(chord: &str) -> Vec<(u8, Vec<String>)> {
        let e9 = e9();
        homes(&e9, &chord.parse().expect("a chord"))
            .iter()
            .map(|h| {
                let pressed = h.place.stance.pressed();
                let names = pressed.filter_map(|id| e9.change(id)).map(|c| c.name.clone()).collect();
                (h.place.fret, names)
            })
            .collect()
    }

    /// Computed from the tuning: with k the fret of the root without pedals, a major chord lives at k, at k + 3 with
    /// A and F, at k + 7 with A and B.
    #[test]
    fn a_major_chord_lives_at_its_three_classic_places() {
        let names = |list: &[&str]| list.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
        let g = found("G");
        for home in [(3, names(&[])), (6, names(&["A", "F"])), (10, names(&["A", "B"]))] {
            assert!(g.contains(&home), "{home:?} not in {g:?}");
        }
    }

    #[test]
    fn every_home_sounds_its_chord_and_can_be_held() {
        for id in shipped::ids() {
            let instrument = Instrument::shipped(id).expect("it is shipped");
            for quality in Quality::ALL {
                let chord = Chord::new("Bb".parse().expect("a note"), quality);
                for home in homes(&instrument, &chord) {
                    assert!(body::can_hold(&instrument, home.place.stance).is_ok());
                    let mut tones = home.strings.iter().map(|s| {
                        let note = instrument
                            .note(s, home.place)
                            .expect("a string of the grip sounds a note");
                        chord.tone_of(note.class()).expect("a tone of the chord")
                    });
                    let lowest = home.strings.iter().filter_map(|s| instrument.note(s, home.place)).min();
                    let lowest = lowest.and_then(|n| chord.tone_of(n.class())).expect("a lowest tone");
                    assert_eq!(home.inversion, Inversion::of(lowest));
                    let wanted = essential(&chord);
                    assert_eq!(home.strings.len(), wanted.len());
                    assert!(tones.all(|t| wanted.contains(&t)));
                }
            }
        }
    }

    #[test]
    fn the_nearest_home_is_the_one_where_the_hand_is() {
        let e9 = e9();
        let g = "G".parse().expect("a chord");
        assert_eq!(
            home_near(&e9, &g, Fret(3.4)).map(|h| h.place),
            Some(Place {
                fret: 3,
                stance: Stance::OPEN
            })
        );
    }

    #[test]
    fn homes_come_from_the_nut_upwards_one_for_each_fret() {
        let frets: Vec<u8> = found("Am").iter().map(|h| h.0).collect();
        assert!(!frets.is_empty());
        assert!(frets.windows(2).all(|w| w[0] < w[1]));
    }
}
