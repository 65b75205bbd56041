//! Every way to sound a chord's tones on one, two or three strings, with what the search needs to know of each.
//!
//! *Invariant:* a voicing sounds chord tones only, and every change it presses moves one of its strings.

use super::slant::{self, Slanted};
use crate::solo::reach::Reach;
use crate::solo::stroke::Grip;
use crate::steel::{Change, ChangeId, Control, Instrument, Place, Stance, StringNumber, StringSet, Travel, body};
use crate::theory::{Chord, NoteNumber, PitchClass, Quality, Seconds};
use smallvec::SmallVec;
use std::collections::{BTreeMap, HashMap};

/// Frets beyond this are hard to see and to hold in tune. Common practice, no source.
pub(super) const HIGHEST_FRET: u8 = 19;
/// What a string outside the tuning's main chord costs, and what holding changes costs. Taste, no source.
const OUTER_STRING: f64 = 0.3;
const PEDAL: f64 = 0.08;
const SIDE_LEVER: f64 = 0.14;
const UPWARD_LEVER: f64 = 0.6;
const HALF_PRESS: f64 = 0.6;
/// What a slant gains that sounds what no straight grip can. Taste, no source.
const BROUGHT: f64 = 1.2;
/// A grip of three reaches over at most this many strings.
const WIDEST_TRIPLE: usize = 6;
/// A grip of two likewise.
const WIDEST_PAIR: usize = 5;

/// The open note of every string in every stance.
pub(super) struct Notes {
    pub(super) stances: Vec<Stance>,
    /// By stance, then string; nothing where the pull lands between notes.
    open: Vec<Vec<Option<NoteNumber>>>,
    /// By stance: for each pressed change the strings it moves.
    moved: Vec<Vec<StringSet>>,
    index: BTreeMap<Stance, usize>,
    /// What holding each stance costs.
    efforts: Vec<f64>,
    /// How long feet and knees need, by stance before and stance after.
    change_times: Vec<Vec<Seconds>>,
    /// Every way to slant the bar, with nothing pressed; none where slants are not wanted.
    pub(super) slanted: Vec<Slanted>,
    /// By place: its index among them.
    slanted_at: HashMap<Place, usize>,
}

impl Notes {
    pub(super) fn new(reach: &Reach<'_>, slants: bool, allowed: impl Fn(Stance) -> bool) -> Self {
        let instrument = reach.instrument();
        let stances: Vec<_> = body::stances(instrument).into_iter().filter(|s| allowed(*s)).collect();
        let open = stances
            .iter()
            .map(|stance| {
                let place = Place::straight(0, *stance);
                instrument.string_numbers().map(|s| instrument.note(s, place)).collect()
            })
            .collect();
        let moved = stances
            .iter()
            .map(|stance| {
                stance
                    .pressed()
                    .filter_map(|c| instrument.change(c))
                    .map(Change::strings)
                    .collect()
            })
            .collect();
        let index = stances.iter().enumerate().map(|(i, s)| (*s, i)).collect();
        let times_from = |from: &Stance| stances.iter().map(|to| reach.stance_change(*from, *to)).collect();
        let change_times = stances.iter().map(times_from).collect();
        let slanted = if slants {
            slant::all(reach, HIGHEST_FRET)
        } else {
            Vec::new()
        };
        let efforts = stances.iter().map(|s| effort(instrument, *s)).collect();
        Self {
            stances,
            open,
            moved,
            index,
            efforts,
            change_times,
            slanted_at: slanted.iter().enumerate().map(|(i, s)| (s.place, i)).collect(),
            slanted,
        }
    }

    /// The note of a string at a fret in the stance at `index`.
    pub(super) fn at(&self, index: usize, string: StringNumber, fret: u8) -> Option<NoteNumber> {
        let open = self.open.get(index)?.get(string.index()).copied()??;
        open.0.checked_add(fret).filter(|n| *n <= 127).map(NoteNumber)
    }

    /// The stance's index, when a body can hold it and the player allows it.
    pub(super) fn index_of(&self, stance: Stance) -> Option<usize> {
        self.index.get(&stance).copied()
    }

    /// What holding the stance at `index` costs.
    pub(super) fn effort(&self, index: usize) -> f64 {
        self.efforts.get(index).copied().unwrap_or_default()
    }

    /// How long feet and knees need from one stance to another; for ever where one of them can't be held.
    pub(super) fn change_time(&self, from: Stance, to: Stance) -> Seconds {
        let known = self.index_of(from).zip(self.index_of(to));
        known.map_or(Seconds(f64::INFINITY), |(a, b)| self.change_time_at(a, b))
    }

    /// The same by the stances' indices.
    pub(super) fn change_time_at(&self, from: usize, to: usize) -> Seconds {
        let time = self.change_times.get(from).and_then(|row| row.get(to));
        time.copied().unwrap_or(Seconds(f64::INFINITY))
    }

    /// The note of a string at a place.
    pub(super) fn note(&self, string: StringNumber, place: Place) -> Option<NoteNumber> {
        let fret = match place.slant {
            None => place.fret,
            Some(_) => self.slanted(place)?.fret(string)?,
        };
        self.at(self.index_of(place.stance)?, string, fret)
    }

    /// A place as one of those that the bar can be slanted at.
    pub(super) fn slanted(&self, place: Place) -> Option<&Slanted> {
        self.slanted.get(*self.slanted_at.get(&place)?)
    }

    /// Whether every pressed change moves one of `strings`.
    pub(super) fn all_used(&self, index: usize, strings: StringSet) -> bool {
        self.moved
            .get(index)
            .is_some_and(|sets| sets.iter().all(|s| !s.and(strings).is_empty()))
    }
}

/// What holding a stance costs: levers more than pedals, upward ones and half presses most.
fn effort(instrument: &Instrument, stance: Stance) -> f64 {
    let of = |id: ChangeId| {
        let half = if stance.travel(id) == Travel::HALF {
            HALF_PRESS
        } else {
            0.0
        };
        let control = instrument.change(id).map(|c| c.control);
        half + match control {
            Some(Control::Pedal(_)) | None => PEDAL,
            Some(Control::LeftKneeVertical | Control::RightKneeVertical) => UPWARD_LEVER,
            Some(_) => SIDE_LEVER,
        }
    };
    stance.pressed().map(of).sum()
}

/// A grip that sounds chord tones.
#[derive(Debug, Clone)]
pub(super) struct Voicing {
    pub(super) grip: Grip,
    /// The notes from the lowest up.
    pub(super) notes: SmallVec<[NoteNumber; 3]>,
    /// Cost of holding it: changes pressed, missing third, dull or wide intervals, open strings, high frets.
    pub(super) cost: f64,
}

impl Voicing {
    pub(super) fn top(&self) -> NoteNumber {
        self.notes.last().copied().unwrap_or(NoteNumber(0))
    }
}

/// The string sets that two or three picks take.
fn string_sets(instrument: &Instrument) -> Vec<StringSet> {
    let strings: Vec<_> = instrument.string_numbers().collect();
    let one = |i: usize| strings.get(i).map_or(StringSet::EMPTY, |s| StringSet::EMPTY.with(*s));
    let n = strings.len();
    let mut sets: Vec<StringSet> = (0..n).map(one).collect();
    for i in 0..n {
        for j in i + 1..n.min(i + WIDEST_PAIR) {
            sets.push(one(i).or(one(j)));
        }
        for j in i + 1..n {
            for k in j + 1..n.min(i + WIDEST_TRIPLE) {
                sets.push(one(i).or(one(j)).or(one(k)));
            }
        }
    }
    sets
}

/// All voicings of a chord, each (fret, strings, notes) once, with its easiest stance.
pub(super) fn voicings(instrument: &Instrument, notes: &Notes, chord: &Chord) -> Vec<Voicing> {
    let classes: SmallVec<[PitchClass; 6]> = chord.tones().map(|(_, name)| name.class()).collect();
    let third = classes.get(1).copied();
    let sets = string_sets(instrument);
    let main = main_strings(instrument);
    #[allow(clippy::cast_precision_loss)]
    let outer = |set: StringSet| set.minus(main).len() as f64 * OUTER_STRING;
    let mut found: Vec<Voicing> = Vec::new();
    for fret in 0..=HIGHEST_FRET {
        let mut here: Vec<Voicing> = Vec::new();
        for (index, stance) in notes.stances.iter().enumerate() {
            // Which strings sound a chord tone at this fret and stance.
            let sounding: [Option<NoteNumber>; StringNumber::MOST] = std::array::from_fn(|s| {
                let string = StringNumber::from_index(s)?;
                notes.at(index, string, fret).filter(|n| classes.contains(&n.class()))
            });
            let tones: StringSet = instrument
                .string_numbers()
                .filter(|s| sounding[s.index()].is_some())
                .collect();
            for set in sets.iter().filter(|set| set.minus(tones).is_empty()) {
                if !notes.all_used(index, *set) {
                    continue;
                }
                let mut heard: SmallVec<[NoteNumber; 3]> = set.iter().filter_map(|s| sounding[s.index()]).collect();
                heard.sort_unstable();
                let cost = cost(&heard, fret, third) + notes.effort(index) + outer(*set);
                here.push(Voicing {
                    grip: Grip {
                        place: Place::straight(fret, *stance),
                        strings: *set,
                    },
                    notes: heard,
                    cost,
                });
            }
        }
        here.extend(slanted_voicings(notes, &classes, third, fret).map(|v| Voicing {
            cost: v.cost + outer(v.grip.strings),
            ..v
        }));
        here.sort_by(|a, b| {
            (a.grip.strings, &a.notes)
                .cmp(&(b.grip.strings, &b.notes))
                .then(a.cost.total_cmp(&b.cost))
        });
        here.dedup_by(|b, a| a.grip.strings == b.grip.strings && a.notes == b.notes);
        found.append(&mut here);
    }
    prefer_what_only_slants_bring(&mut found, &classes);
    found
}

/// Makes a slant cheaper that sounds more of what tells a chord, its third and its sixth or seventh, than any straight
/// grip does: that is what the bar is slanted for.
fn prefer_what_only_slants_bring(voicings: &mut [Voicing], classes: &[PitchClass]) {
    let telling: SmallVec<[PitchClass; 2]> = [1, 3].into_iter().filter_map(|i| classes.get(i).copied()).collect();
    let told = |v: &Voicing| {
        telling
            .iter()
            .filter(|t| v.notes.iter().any(|n| n.class() == **t))
            .count()
    };
    let slanted = |v: &Voicing| v.grip.place.slant.is_some();
    let straight = voicings.iter().filter(|v| !slanted(v)).map(told).max().unwrap_or(0);
    for voicing in voicings.iter_mut().filter(|v| slanted(v)) {
        if told(voicing) > straight {
            voicing.cost -= BROUGHT;
        }
    }
}

/// What a slanted bar at a fret sounds of a chord: the two strings it is turned over, alone and with one between.
fn slanted_voicings<'n>(
    notes: &'n Notes,
    classes: &'n [PitchClass],
    third: Option<PitchClass>,
    fret: u8,
) -> impl Iterator<Item = Voicing> + 'n {
    let here = notes.slanted.iter().filter(move |s| s.place.fret == fret);
    here.flat_map(|slanted| slanted.sets.iter().map(move |set| (slanted, *set)))
        .filter_map(move |(slanted, strings)| {
            let sound = |s| notes.note(s, slanted.place).filter(|n| classes.contains(&n.class()));
            let heard: Option<SmallVec<[NoteNumber; 3]>> = strings.iter().map(sound).collect();
            let mut heard = heard?;
            heard.sort_unstable();
            Some(Voicing {
                grip: Grip {
                    place: slanted.place,
                    strings,
                },
                cost: cost(&heard, fret, third) + slanted.cost,
                notes: heard,
            })
        })
}

/// The strings of the open tuning's fullest major or minor triad: where grips are at home.
fn main_strings(instrument: &Instrument) -> StringSet {
    let open: Vec<(StringNumber, PitchClass)> = instrument
        .string_numbers()
        .zip(&instrument.strings)
        .map(|(number, spec)| (number, spec.pitch.name.class()))
        .collect();
    let within = |root: PitchClass, quality: Quality| -> StringSet {
        let sizes: Vec<_> = quality.intervals().iter().map(|i| i.size()).collect();
        open.iter()
            .filter(|(_, class)| sizes.contains(&class.above(root)))
            .map(|(number, _)| *number)
            .collect()
    };
    let triads = open
        .iter()
        .flat_map(|(_, root)| [Quality::Major, Quality::Minor].map(|q| within(*root, q)));
    triads.max_by_key(|set| set.len()).unwrap_or_default()
}

/// What a grip costs by its notes and fret. Weights are taste, no source.
fn cost(notes: &[NoteNumber], fret: u8, third: Option<PitchClass>) -> f64 {
    let open_strings = if fret == 0 { 1.2 } else { 0.0 };
    let high = f64::from(fret.saturating_sub(15)) * 0.25;
    let low_notes = notes
        .first()
        .map_or(0.0, |n| f64::from(52_u8.saturating_sub(n.0)) * 0.15);
    let no_third = match third {
        Some(third) if !notes.iter().any(|n| n.class() == third) => 0.5,
        _ => 0.0,
    };
    let intervals: f64 = notes
        .windows(2)
        .map(|pair| match pair {
            [a, b] => match b.above(*a).0 {
                3 | 4 | 8 | 9 => 0.0,
                5 | 7 => 0.25,
                6 | 10 => 0.4,
                1 | 2 => 0.8,
                0 | 12 => 1.2,
                _ => 1.0,
            },
            _ => 0.0,
        })
        .sum();
    let doubled = if notes.len() == 3 && notes.first().map(|n| n.class()) == notes.last().map(|n| n.class()) {
        0.4
    } else {
        0.0
    };
    open_strings + high + low_notes + no_third + intervals + doubled
}
