//! Editing by hand: the handles of a stroke, where each may go, and the move that comes of it.
//!
//! *Invariant:* a handle only goes where the stroke stays in order and is heard; whether a body can play it is told
//! beside it ([`super::proposal`]), never by refusing the hand.

mod handle;
mod slant;
mod snap;
mod typed;
mod words;

pub use handle::{Handle, Hold, Setting, Site};
pub use snap::grid;
pub use typed::{ReadBar, TypedBar};
pub use words::difference;

use crate::solo::moves::Kind;
use crate::solo::stroke::{Arrival, Stroke};
use crate::solo::{Move, Pass};
use crate::steel::{Fret, Instrument};
use crate::theory::{Beats, Timeline};
use std::ops::RangeInclusive;

/// A stroke sounds, and strokes lie apart, at least this long.
const SHORTEST: Beats = Beats(0.125);
/// The farthest a slide comes from, in frets.
const FARTHEST: f64 = 12.0;
/// How long a slide takes that is pulled out of a struck note.
const NEW_SLIDE: Beats = Beats(0.25);
/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// A stroke in hand: the move as it is by now, where it stands in its pass.
#[derive(Debug, Clone, Copy)]
pub struct InHand<'a> {
    /// The pass that is edited.
    pub pass: &'a Pass,
    /// Which move of it, from 0.
    pub index: usize,
    /// That move as the hand has made it so far.
    pub action: &'a Move,
    /// Which stroke of it, from 0.
    pub stroke: usize,
    /// The song.
    pub song: &'a Timeline,
    /// The instrument.
    pub instrument: &'a Instrument,
}

impl InHand<'_> {
    /// The stroke, with times from the start of the song.
    fn own(&self) -> Option<Stroke> {
        self.action.timed().nth(self.stroke)
    }

    /// The handles of the stroke, each where it stands by now; none of a locked move.
    #[must_use]
    pub fn holds(&self) -> Vec<Hold> {
        let locked = self.pass.moves.get(self.index).is_none_or(|own| own.locked);
        let Some(own) = self.own().filter(|_| !locked) else {
            return Vec::new();
        };
        Handle::ALL
            .into_iter()
            .filter_map(|handle| {
                let setting = self.setting(handle)?;
                Some(Hold {
                    setting,
                    at: match handle {
                        Handle::When | Handle::From => own.at,
                        Handle::Ring => own.until,
                        Handle::Length | Handle::Curve | Handle::Slant => own.at + own.arrival.settles_after(),
                    },
                    site: self.site(handle, &own)?,
                    words: words::setting(setting, &own, self),
                })
            })
            .collect()
    }

    /// How a handle is set; nothing where the stroke has none such.
    #[must_use]
    pub fn setting(&self, handle: Handle) -> Option<Setting> {
        let own = self.own()?;
        Some(match (handle, own.arrival) {
            (Handle::When, _) => Setting::When(own.at),
            (Handle::Ring, _) => Setting::Ring(own.until),
            (Handle::From, Arrival::Slid { from, .. }) => Setting::From(from),
            (Handle::From, Arrival::Struck) if own.grip.place.fret > 0 => Setting::From(own.grip.place.bar()),
            (Handle::Length, arrival) => Setting::Length(arrival.time()?),
            (Handle::Curve, arrival) => arrival.time().map(|_| Setting::Curve(own.shape))?,
            (Handle::Slant, _) => Setting::Slant(slant::of(own.grip)?),
            (Handle::From, _) => return None,
        })
    }

    /// The same handle, `steps` of its grid further (or back), as far as it may go.
    #[must_use]
    pub fn stepped(&self, setting: Setting, steps: i32) -> Setting {
        self.within(match setting {
            Setting::When(at) => Setting::When(snap::along(self.song, at, steps)),
            Setting::Ring(until) => Setting::Ring(snap::along(self.song, until, steps)),
            Setting::From(fret) => Setting::From(Fret(fret.0.round() + f64::from(steps))),
            Setting::Length(time) => Setting::Length(snap::length(time, steps)),
            Setting::Curve(shape) => Setting::Curve(snap::shape(shape, steps)),
            Setting::Slant(own) => Setting::Slant(slant::turned(own, steps)),
        })
    }

    /// The same handle dragged so far in time and frets, come to rest on its grid.
    #[must_use]
    pub fn dragged(&self, setting: Setting, by: Beats, frets: Fret) -> Setting {
        self.within(match setting {
            Setting::When(at) => Setting::When(snap::nearest(self.song, at + by)),
            Setting::Ring(until) => Setting::Ring(snap::nearest(self.song, until + by)),
            Setting::From(fret) => Setting::From(Fret((fret.0 + frets.0).round())),
            Setting::Length(time) => Setting::Length(snap::length(time + by, 0)),
            Setting::Curve(shape) => {
                // A shape for every two frets' height of the hand.
                #[allow(clippy::cast_possible_truncation)] // a few
                let steps = (frets.0 / 2.0).round() as i32;
                Setting::Curve(snap::shape(shape, steps))
            }
            #[allow(clippy::cast_possible_truncation)] // a neck has some tens
            Setting::Slant(own) => Setting::Slant(slant::turned(own, frets.0.round() as i32)),
        })
    }

    /// The move with the handle set so.
    #[must_use]
    pub fn set(&self, setting: Setting) -> Option<Move> {
        let mut strokes: Vec<Stroke> = self.action.timed().collect();
        let before = self.stroke.checked_sub(1);
        let own = strokes.get_mut(self.stroke)?;
        let was = own.at;
        match self.within(setting) {
            Setting::When(at) => {
                own.at = at;
                own.until = own.until.max(at + own.arrival.settles_after() + SHORTEST);
                // What rang up to this stroke still does.
                if let Some(last) = before.and_then(|i| strokes.get_mut(i))
                    && (last.until - was).0.abs() < EPSILON.0
                {
                    last.until = at;
                }
            }
            Setting::Ring(until) => own.until = until,
            Setting::From(from) => {
                own.arrival = match own.arrival {
                    _ if from == own.grip.place.bar() => Arrival::Struck,
                    Arrival::Slid { time, .. } => Arrival::Slid { from, time },
                    _ => Arrival::Slid {
                        from,
                        time: NEW_SLIDE.min((own.until - own.at).scaled(0.5)),
                    },
                }
            }
            Setting::Length(time) => own.arrival = own.arrival.lasting(time),
            Setting::Curve(shape) => own.shape = shape,
            Setting::Slant(slant) => own.grip.place.slant = (slant.frets != 0).then_some(slant),
        }
        Some(self.rebuilt(strokes))
    }

    /// The move made of strokes with times from the start of the song; it still ends where it ends.
    fn rebuilt(&self, strokes: Vec<Stroke>) -> Move {
        let at = strokes.first().map_or(self.action.at, |first| first.at);
        let own = |s: Stroke| Stroke {
            at: s.at - at,
            until: s.until - at,
            ..s
        };
        let named_by_arrival = matches!(self.action.kind, Kind::Strike | Kind::SlideIn);
        let kind = match strokes.as_slice() {
            [only] if named_by_arrival => Kind::of_arrival(only.arrival),
            _ => self.action.kind,
        };
        Move {
            kind,
            at,
            length: self.action.end() - at,
            strokes: strokes.into_iter().map(own).collect(),
            locked: self.action.locked,
        }
    }

    /// A setting kept where it may go.
    fn within(&self, setting: Setting) -> Setting {
        let kept = |at: Beats, range: RangeInclusive<Beats>| at.max(*range.start()).min(*range.end());
        match setting {
            Setting::When(at) => Setting::When(kept(at, self.room_of_when())),
            Setting::Ring(until) => Setting::Ring(kept(until, self.room_of_ring())),
            Setting::Length(time) => Setting::Length(kept(time, self.room_of_length())),
            Setting::From(fret) => {
                let here = self.own().map_or(0.0, |own| own.grip.place.bar().0);
                let most = f64::from(self.instrument.frets).min(here + FARTHEST);
                Setting::From(Fret(fret.0.clamp((here - FARTHEST).max(1.0), most.max(1.0))))
            }
            shape @ Setting::Curve(_) => shape,
            Setting::Slant(slant) => {
                let fret = self.own().map_or(0, |own| own.grip.place.fret);
                Setting::Slant(slant::within(slant, fret, self.instrument.frets))
            }
        }
    }

    fn room_of_when(&self) -> RangeInclusive<Beats> {
        let strokes: Vec<Stroke> = self.action.timed().collect();
        let beside = |index: Option<usize>| index.and_then(|i| strokes.get(i)).map(|s| s.at);
        let before = beside(self.stroke.checked_sub(1)).or_else(|| {
            let last = self.pass.moves.get(self.index.checked_sub(1)?)?;
            // A locked move keeps its whole time; another is cut short.
            Some(if last.locked {
                last.end() - SHORTEST
            } else {
                last.timed().last()?.at
            })
        });
        let next = beside(Some(self.stroke + 1)).unwrap_or_else(|| self.end());
        let least = before.map_or(Beats::ZERO, |before| before + SHORTEST);
        least..=(next - SHORTEST).max(least)
    }

    fn room_of_ring(&self) -> RangeInclusive<Beats> {
        let Some(own) = self.own() else {
            return Beats::ZERO..=Beats::ZERO;
        };
        let least = own.at + own.arrival.settles_after() + SHORTEST;
        // What is plucked with others' strings may ring on under them; the song ends for all.
        let next = self
            .action
            .timed()
            .nth(self.stroke + 1)
            .map_or_else(|| self.end(), |s| s.at);
        least..=next.max(own.until).min(self.pass.length).max(least)
    }

    fn room_of_length(&self) -> RangeInclusive<Beats> {
        let Some(own) = self.own() else {
            return Beats::ZERO..=Beats::ZERO;
        };
        let held = own.until - own.at - SHORTEST;
        let most = if matches!(own.arrival, Arrival::Leaned { .. }) {
            held.scaled(1.0 / 3.0)
        } else {
            held
        };
        snap::LENGTH..=most.max(snap::LENGTH)
    }

    /// When the next move begins, or the song ends.
    fn end(&self) -> Beats {
        self.pass.moves.get(self.index + 1).map_or(self.pass.length, |m| m.at)
    }

    /// Where a handle is drawn.
    fn site(&self, handle: Handle, own: &Stroke) -> Option<Site> {
        let string = own.grip.strings.iter().next()?;
        let here = own.grip.place.stance;
        let other = match own.arrival {
            Arrival::Squeezed { from, .. } => Some(from),
            Arrival::Leaned { through, .. } => Some(through),
            Arrival::Carried { .. } => self.before().map(|before| before.grip.place.stance),
            Arrival::Struck | Arrival::Slid { .. } => None,
        };
        let moved = other.and_then(|other| {
            let mut changes = self.instrument.change_ids();
            changes.find(|c| here.travel(*c) != other.travel(*c))
        });
        let slides = match own.arrival {
            Arrival::Carried { .. } => self.before().is_some_and(|b| b.grip.place.fret != own.grip.place.fret),
            _ => false,
        };
        Some(match (handle, self.setting(Handle::From)) {
            (Handle::When | Handle::Ring, _) => Site::Row(string),
            (Handle::From, Some(Setting::From(fret))) => Site::Path(fret),
            (Handle::Slant, _) => Site::Path(own.grip.place.lie(self.instrument).near),
            (_, _) => match moved.filter(|_| !slides) {
                Some(change) => Site::Ribbon(change),
                None => Site::Path(own.grip.place.bar()),
            },
        })
    }

    /// The stroke before this one.
    fn before(&self) -> Option<Stroke> {
        match self.stroke.checked_sub(1) {
            Some(before) => self.action.timed().nth(before),
            None => self.pass.moves.get(self.index.checked_sub(1)?)?.timed().last(),
        }
    }
}

#[cfg(test)]
mod tests;
