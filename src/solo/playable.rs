//! Whether a body could play a performance: every breach with its moment, what it is, and by how much.
//!
//! *Invariant:* judges lanes alone, whoever made them; knows nothing of moves or the planner.

use super::limits::Limits;
use super::notes::{Note, notes};
use super::performance::{Finger, Performance, Pluck, Touch};
use crate::steel::Degrees;
use crate::steel::{Fret, Instrument, Lie, Millimetres, StringNumber, body, slant};
use crate::theory::{Beats, Cents, Seconds, Tempo, rank};
use crate::words::Said;
use serde::{Deserialize, Serialize};

/// What a body can't do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Trouble {
    /// The bar would have to be faster than it can.
    BarTooFast {
        /// Needed time.
        needed: Seconds,
        /// Given time.
        given: Seconds,
    },
    /// A string rings through a jump of the bar.
    RingsThroughJump(StringNumber),
    /// A pedal or lever would have to be faster.
    ChangeTooFast {
        /// Its name.
        change: String,
        /// Needed time.
        needed: Seconds,
        /// Given time.
        given: Seconds,
    },
    /// Pedals and levers that can't be held at once.
    Stance(Said),
    /// More strings at once than picks.
    TooManyStrings {
        /// Strings plucked.
        strings: usize,
        /// Picks there are.
        picks: usize,
    },
    /// One finger on two strings at once.
    FingerTwice(Finger),
    /// The thumb above a finger, or fingers crossed.
    FingersCrossed,
    /// The right hand would have to be faster.
    PluckTooSoon {
        /// The finger that comes too soon.
        finger: Finger,
        /// Needed time.
        needed: Seconds,
        /// Given time.
        given: Seconds,
    },
    /// The bar beyond the neck's ends.
    OffTheNeck(Fret),
    /// The bar turned farther than it can be held in tune.
    SlantTooSteep {
        /// How far it would be turned from straight across.
        needed: Degrees,
        /// How far it can be.
        most: Degrees,
    },
    /// A string that a slanted bar leaves between two frets.
    BesideTheFret {
        /// Which.
        string: StringNumber,
        /// How far it sounds above its note.
        off: Cents,
    },
    /// A harmonic touched where there is no neck left.
    HarmonicOffTheNeck(Fret),
    /// A string the instrument has not.
    NoSuchString(StringNumber),
}

impl Trouble {
    /// What it is, and what to do about it.
    #[must_use]
    pub fn said(&self) -> Said {
        let ms = |s: &Seconds| (s.0 * 1000.0).round();
        let whole = |value: f64| format!("{value:.0}");
        match self {
            Self::BarTooFast { needed, given } => said!(
                "the bar has {given} ms and needs {needed} ms: slide from nearer, or give it more time",
                given = ms(given),
                needed = ms(needed)
            ),
            Self::RingsThroughJump(string) => {
                said!("string {string} rings while the bar jumps: block it first", string)
            }
            Self::ChangeTooFast { change, needed, given } => said!(
                "{change} has {given} ms and needs {needed} ms: press earlier or squeeze longer",
                change,
                given = ms(given),
                needed = ms(needed)
            ),
            Self::Stance(why) => why.clone(),
            Self::TooManyStrings { strings, picks } => said!(
                "{strings} strings at once with {picks} picks: leave some out, or rake them",
                strings,
                picks
            ),
            Self::FingerTwice(finger) => said!(
                "{finger} takes two strings at once: give one to another finger",
                finger = Said::of(finger.name())
            ),
            Self::FingersCrossed => said!("the fingers cross: thumb on the lowest string, the others above it"),
            Self::PluckTooSoon { finger, needed, given } => said!(
                "{finger} comes again after {given} ms and needs {needed} ms: leave a note out",
                finger = Said::of(finger.name()),
                given = ms(given),
                needed = ms(needed)
            ),
            Self::OffTheNeck(fret) => said!(
                "fret {fret} is not on the neck: stay between 0 and the last fret",
                fret = Said::number(format_args!("{:.1}", fret.0))
            ),
            Self::SlantTooSteep { needed, most } => said!(
                "the bar would be turned by {needed} degrees and can be by {most}: slant over strings farther apart, or higher up the neck",
                needed = whole(needed.0),
                most = whole(most.0)
            ),
            Self::BesideTheFret { string, off } if off.0 < 0.0 => said!(
                "the slanted bar leaves string {string} {off} cents flat: a straight bar stops two strings exactly, so leave it out",
                string,
                off = whole(-off.0)
            ),
            Self::BesideTheFret { string, off } => said!(
                "the slanted bar leaves string {string} {off} cents sharp: a straight bar stops two strings exactly, so leave it out",
                string,
                off = whole(off.0)
            ),
            Self::HarmonicOffTheNeck(fret) => said!(
                "the harmonic would be touched at fret {fret}, beyond the last one: play it farther down the neck",
                fret = whole(fret.0)
            ),
            Self::NoSuchString(string) => said!("this instrument has no string {string}", string),
        }
    }
}

/// One breach.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Breach {
    /// When.
    pub at: Beats,
    /// What.
    pub trouble: Trouble,
}

/// Everything in a performance that a body with these limits can't do, in order of time. Empty: playable.
#[must_use]
pub fn report(performance: &Performance, instrument: &Instrument, tempo: Tempo, limits: &Limits) -> Vec<Breach> {
    let check = Check {
        performance,
        instrument,
        tempo,
        limits,
    };
    let heard = notes(performance, instrument, tempo);
    let mut breaches = check.bar();
    breaches.extend(check.slants(&heard));
    breaches.extend(check.ringing(&heard));
    breaches.extend(check.travels());
    breaches.extend(check.stances());
    breaches.extend(check.plucks());
    breaches.sort_by_cached_key(|one| rank(one.at.0));
    breaches
}

/// Plucks within this are one stroke.
const TOGETHER: Seconds = Seconds(0.004);

struct Check<'a> {
    performance: &'a Performance,
    instrument: &'a Instrument,
    tempo: Tempo,
    limits: &'a Limits,
}

impl Check<'_> {
    fn bar(&self) -> Vec<Breach> {
        let mut breaches = Vec::new();
        for m in self.performance.bar_movements() {
            let (way, turn) = self.way(m.from, m.to);
            let needed = self.limits.bar_glide(way, turn);
            let given = m.end - m.start;
            if !Limits::fits(needed, given, self.tempo) {
                let given = given.at(self.tempo);
                breaches.push(Breach {
                    at: m.start,
                    trouble: Trouble::BarTooFast { needed, given },
                });
            }
            let on_neck = 0.0..=f64::from(self.instrument.frets);
            let off = [m.to.far, m.to.near].into_iter().find(|f| !on_neck.contains(&f.0));
            breaches.extend(off.map(|fret| Breach {
                at: m.end,
                trouble: Trouble::OffTheNeck(fret),
            }));
        }
        breaches
    }

    /// How far the farther moving end of the bar goes, and how far the bar turns.
    fn way(&self, from: Lie, to: Lie) -> (Millimetres, Degrees) {
        let signed = |lie: Lie| lie.turned(self.instrument).0.copysign(lie.near.0 - lie.far.0);
        let turn = Degrees((signed(from) - signed(to)).abs());
        (from.way_to(to, self.instrument.scale_length), turn)
    }

    /// Slants: how far the bar is turned wherever it comes to rest, and what is plucked or carried there out of tune.
    fn slants(&self, heard: &[Note]) -> Vec<Breach> {
        if self.performance.slant.is_still_at_zero() {
            return Vec::new();
        }
        let arrivals = self.performance.bar_movements().into_iter().map(|m| (m.end, m.to));
        let start = (Beats::ZERO, self.performance.lie_at(Beats::ZERO));
        let most = self.limits.slant;
        let mut breaches: Vec<Breach> = Vec::new();
        for (at, lie) in std::iter::once(start).chain(arrivals) {
            let needed = lie.turned(self.instrument);
            if needed.0 > most.0 + 1e-6 {
                let trouble = Trouble::SlantTooSteep { needed, most };
                breaches.push(Breach { at, trouble });
            }
        }
        breaches.extend(heard.iter().flat_map(|note| self.beside(note)));
        breaches
    }

    /// The moments at which a note rests under a slanted bar and not on its fret.
    fn beside<'n>(&'n self, note: &'n Note) -> impl Iterator<Item = Breach> + 'n {
        note.rests().filter_map(|(at, _)| {
            let lie = self.performance.lie_at(at);
            let fret = lie.on(self.instrument, note.string()).0;
            let off = Cents((fret - fret.round()) * 100.0);
            (!lie.is_straight() && off.0.abs() > slant::IN_TUNE.0 + 1e-6).then(|| Breach {
                at,
                trouble: Trouble::BesideTheFret {
                    string: note.string(),
                    off,
                },
            })
        })
    }

    /// A glide that strings ring through must be no faster, at its fastest, than the bar glides under control.
    fn ringing(&self, heard: &[Note]) -> Vec<Breach> {
        let mut breaches = Vec::new();
        for m in self.performance.bar_movements() {
            let (way, turn) = self.way(m.from, m.to);
            let needed = self.limits.bar_glide(way, turn).0 * m.shape.peak();
            let seconds = (m.end - m.start).at(self.tempo).0;
            if needed <= seconds * 1.001 {
                continue;
            }
            for note in heard.iter().filter(|n| n.start() < m.end && n.end.0 > m.start.0 + 1e-6) {
                breaches.push(Breach {
                    at: m.start,
                    trouble: Trouble::RingsThroughJump(note.string()),
                });
            }
        }
        breaches
    }

    fn travels(&self) -> Vec<Breach> {
        let mut breaches = Vec::new();
        for (change, lane) in self.instrument.changes.iter().zip(&self.performance.travels) {
            for m in lane.movements() {
                let needed = Seconds(self.limits.full_travel.0 * (m.to - m.from).abs());
                let given = m.end - m.start;
                if !Limits::fits(needed, given, self.tempo) {
                    let given = given.at(self.tempo);
                    let trouble = Trouble::ChangeTooFast {
                        change: change.name.clone(),
                        needed,
                        given,
                    };
                    breaches.push(Breach { at: m.start, trouble });
                }
            }
        }
        breaches
    }

    /// Looks at feet and knees at the start, middle and end of every movement: between those nothing changes.
    fn stances(&self) -> Vec<Breach> {
        let lanes = &self.performance.travels;
        let mut moments: Vec<Beats> = vec![Beats::ZERO];
        for m in lanes.iter().flat_map(super::Curve::movements) {
            moments.extend([m.start, Beats(f64::midpoint(m.start.0, m.end.0)), m.end]);
        }
        moments.sort_by_cached_key(|one| rank(one.0));
        moments.dedup();
        let mut breaches: Vec<Breach> = Vec::new();
        for at in moments {
            if let Err(breach) = body::can_hold_travels(self.instrument, |c| self.performance.travel(c, at)) {
                let trouble = Trouble::Stance(breach.said());
                if breaches.last().is_none_or(|last| last.trouble != trouble) {
                    breaches.push(Breach { at, trouble });
                }
            }
        }
        breaches
    }

    fn plucks(&self) -> Vec<Breach> {
        let mut breaches = Vec::new();
        let mut before: Vec<Pluck> = Vec::new();
        for stroke in self
            .performance
            .plucks
            .chunk_by(|a, b| (b.at - a.at).at(self.tempo).0 <= TOGETHER.0)
        {
            let Some(first) = stroke.first() else { continue };
            breaches.extend(
                self.one_stroke(stroke)
                    .into_iter()
                    .map(|trouble| Breach { at: first.at, trouble }),
            );
            breaches.extend(self.too_soon(&before, stroke));
            before = stroke.to_vec();
        }
        breaches
    }

    fn one_stroke(&self, stroke: &[Pluck]) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        if stroke.len() > self.limits.picks {
            troubles.push(Trouble::TooManyStrings {
                strings: stroke.len(),
                picks: self.limits.picks,
            });
        }
        let mut by_string = stroke.to_vec();
        by_string.sort_by_cached_key(|p| i64::from(p.string.number()));
        for pair in by_string.windows(2) {
            let [far, near] = pair else { continue };
            if far.finger == near.finger {
                troubles.push(Trouble::FingerTwice(far.finger));
            } else if far.finger < near.finger {
                // Finger order is thumb, index, middle, ring; the thumb belongs on the nearest string.
                troubles.push(Trouble::FingersCrossed);
            }
        }
        let missing = stroke
            .iter()
            .find(|p| p.string.index() >= self.instrument.strings.len());
        troubles.extend(missing.map(|p| Trouble::NoSuchString(p.string)));
        troubles.extend(stroke.iter().find_map(|p| self.touched_off_the_neck(p)));
        troubles
    }

    fn touched_off_the_neck(&self, pluck: &Pluck) -> Option<Trouble> {
        let Touch::Harmonic(above) = pluck.touch else {
            return None;
        };
        let stopped = self.performance.fret_on(self.instrument, pluck.string, pluck.at);
        let touched = Fret(stopped.0 + f64::from(above));
        let last = f64::from(self.instrument.frets);
        (touched.0 > last + 1e-6).then_some(Trouble::HarmonicOffTheNeck(touched))
    }

    /// Whether the thumb goes on from one string to the one above it, as in a rake.
    fn sweeps_on(before: &[Pluck], stroke: &[Pluck]) -> bool {
        match (before, stroke) {
            ([a], [b]) => {
                let thumb = a.finger == Finger::Thumb && b.finger == Finger::Thumb;
                thumb && a.string.index() == b.string.index() + 1
            }
            _ => false,
        }
    }

    fn too_soon(&self, before: &[Pluck], stroke: &[Pluck]) -> Option<Breach> {
        let (last, first) = (before.first()?, stroke.first()?);
        let given = first.at - last.at;
        stroke.iter().find_map(|pluck| {
            let same = before.iter().any(|b| b.finger == pluck.finger);
            let needed = if Self::sweeps_on(before, stroke) {
                self.limits.sweep
            } else if same {
                self.limits.same_finger
            } else {
                self.limits.between_plucks
            };
            (!Limits::fits(needed, given, self.tempo)).then(|| Breach {
                at: pluck.at,
                trouble: Trouble::PluckTooSoon {
                    finger: pluck.finger,
                    needed,
                    given: given.at(self.tempo),
                },
            })
        })
    }
}
