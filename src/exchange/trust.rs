//! What comes from outside (a file, a link) is looked over here before anything is computed from it.
//!
//! *Invariant:* a pass that has been looked over can be woven, drawn and played in time and memory in proportion
//! to its length, whoever wrote it.

use crate::solo::stroke::{Arrival, Grip, Stroke, Wave};
use crate::solo::{Move, Pass, Request};
use crate::steel::StringNumber;
use crate::theory::Beats;
use crate::words::Said;
use thiserror::Error;

/// The longest chart, in bytes: some fifty times the longest that a song needs.
pub const MOST_CHART: usize = 100_000;
/// The longest song: two thousand bars of the longest metre.
pub const MOST_LENGTH: Beats = Beats(2000.0 * 32.0);
/// The most strokes of a pass.
pub const MOST_STROKES: usize = 20_000;
/// The highest fret a bar can be laid on; past it the strings are too short to sound.
pub const MOST_FRET: u8 = 36;

/// The longest name of a feel, in bytes.
const MOST_NAME: usize = 200;
/// The most changes that can be avoided.
const MOST_CHANGES: usize = 16;
/// The longest that bar or pedals may take to arrive.
const MOST_ARRIVAL: Beats = Beats(64.0);
/// The fastest and the deepest vibrato, in hertz and cents.
const MOST_WAVE: (f64, f64) = (20.0, 200.0);

/// Why something from outside is not believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum Doubt {
    /// The chart is longer than [`MOST_CHART`].
    Chart,
    /// A wish is out of range.
    Request,
    /// The song's length is none, or more than [`MOST_LENGTH`].
    Length,
    /// There are more than [`MOST_STROKES`].
    TooMany,
    /// A move, counted from 0, is empty, out of order, or holds a figure out of range.
    Move(usize),
}

impl Doubt {
    /// What is wrong.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Chart => said!("its chart is too long"),
            Self::Request => said!("what it asks of the solo is out of range"),
            Self::Length => said!("its length is out of range"),
            Self::TooMany => said!("it has more strokes than a song can hold"),
            Self::Move(index) => said!("its move {number} is out of range", number = index + 1),
        }
    }
}

/// Looks over a chart's text.
///
/// # Errors
/// When it is too long.
pub fn chart(text: &str) -> Result<(), Doubt> {
    if text.len() <= MOST_CHART {
        Ok(())
    } else {
        Err(Doubt::Chart)
    }
}

/// Looks over a wish.
///
/// # Errors
/// When one of its figures is out of range.
pub fn request(request: &Request) -> Result<(), Doubt> {
    let frets = [request.start_fret, request.high_fret, request.end_fret];
    let bars = request
        .bars
        .as_ref()
        .is_none_or(|b| b.start <= b.end && b.end <= crate::theory::chart::MOST_BARS);
    let blend = request
        .blend
        .as_ref()
        .is_none_or(|b| b.with.len() <= MOST_NAME && (0.0..=1.0).contains(&b.part));
    let fine = frets.iter().all(|f| *f <= MOST_FRET)
        && (0.0..=1.0).contains(&request.density)
        && bars
        && request.feel.len() <= MOST_NAME
        && blend
        && request.avoided.len() <= MOST_CHANGES;
    if fine { Ok(()) } else { Err(Doubt::Request) }
}

/// Looks over a pass with the wish it was made for.
///
/// # Errors
/// When a figure is out of range, or the moves are out of order.
pub fn pass(pass: &Pass) -> Result<(), Doubt> {
    request(&pass.request)?;
    if !within(pass.length, MOST_LENGTH) {
        return Err(Doubt::Length);
    }
    let strokes: usize = pass.moves.iter().map(|m| m.strokes.len()).sum();
    if strokes.max(pass.moves.len()) > MOST_STROKES {
        return Err(Doubt::TooMany);
    }
    let mut last = Beats::ZERO;
    for (index, action) in pass.moves.iter().enumerate() {
        if action.at < last || !is_sound(action, pass.length) {
            return Err(Doubt::Move(index));
        }
        last = action.at;
    }
    Ok(())
}

fn is_sound(action: &Move, end: Beats) -> bool {
    let in_order = action.strokes.is_sorted_by(|a, b| a.at <= b.at);
    within(action.at, end)
        && within(action.length, end)
        && !action.strokes.is_empty()
        && in_order
        && action.strokes.iter().all(stroke)
}

fn stroke(stroke: &Stroke) -> bool {
    let arrival = match stroke.arrival {
        Arrival::Struck => true,
        Arrival::Slid { from, time } => (0.0..=f64::from(MOST_FRET)).contains(&from.0) && within(time, MOST_ARRIVAL),
        Arrival::Squeezed { time, .. } | Arrival::Leaned { time, .. } | Arrival::Carried { time } => {
            within(time, MOST_ARRIVAL)
        }
    };
    let wave = stroke.wave.is_none_or(|Wave { rate, depth, onset }| {
        (0.0..=MOST_WAVE.0).contains(&rate.0) && (0.0..=MOST_WAVE.1).contains(&depth.0) && within(onset, MOST_ARRIVAL)
    });
    let Grip { place, strings } = stroke.grip;
    let known = strings.len() == strings.iter().count() && strings.len() <= StringNumber::MOST;
    within(stroke.at, MOST_LENGTH)
        && within(stroke.until, MOST_LENGTH)
        && (0.0..=1.0).contains(&stroke.strength)
        && place.fret <= MOST_FRET
        && place
            .slant
            .is_none_or(|s| s.is_sound() && place.fret.checked_add_signed(s.frets).is_some())
        && known
        && arrival
        && wave
}

/// Whether a length is a figure between nothing and `most`.
fn within(length: Beats, most: Beats) -> bool {
    (0.0..=most.0).contains(&length.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solo::Kind;
    use crate::steel::{Fret, Place, Slant, Stance, StringSet};
    use crate::theory::{Cents, Hertz};
    use std::sync::Arc;

    fn sample() -> Pass {
        let strings: StringSet = [4, 5].into_iter().filter_map(StringNumber::new).collect();
        let grip = Grip {
            place: Place::straight(3, Stance::OPEN),
            strings,
        };
        let stroke = Stroke::struck(grip, Beats::ZERO, Beats(1.0));
        let one = |at: f64| Move {
            kind: Kind::Strike,
            at: Beats(at),
            length: Beats(1.0),
            strokes: vec![stroke],
            locked: false,
        };
        Pass {
            moves: vec![Arc::new(one(0.0)), Arc::new(one(2.0))],
            request: Request::default(),
            length: Beats(16.0),
        }
    }

    fn spoiled(spoil: impl FnOnce(&mut Pass)) -> Result<(), Doubt> {
        let mut changed = sample();
        spoil(&mut changed);
        pass(&changed)
    }

    fn slant(hold: u8, turn: u8, frets: i8) -> Slant {
        let string = |number| StringNumber::new(number).unwrap();
        Slant {
            hold: string(hold),
            turn: string(turn),
            frets,
        }
    }

    #[test]
    fn a_sound_pass_is_believed() {
        assert_eq!(pass(&sample()), Ok(()));
    }

    #[test]
    fn figures_out_of_range_are_found_wherever_they_stand() {
        type Spoil = fn(&mut Stroke);
        let spoils: [Spoil; 13] = [
            |s| s.grip.place.slant = Some(slant(2, 2, 1)),
            |s| s.grip.place.slant = Some(slant(2, 4, 100)),
            |s| s.at = Beats(-1.0),
            |s| s.at = Beats(f64::NAN),
            |s| s.until = Beats(f64::INFINITY),
            |s| s.strength = 1e9,
            |s| s.grip.place.fret = 200,
            |s| s.grip.strings = serde_json::from_str("32768").unwrap(),
            |s| {
                s.arrival = Arrival::Slid {
                    from: Fret(-1.0),
                    time: Beats(0.5),
                }
            },
            |s| s.arrival = Arrival::Carried { time: Beats(1e12) },
            |s| {
                s.wave = Some(Wave {
                    rate: Hertz(1e6),
                    depth: Cents(1.0),
                    onset: Beats(0.0),
                })
            },
            |s| {
                s.wave = Some(Wave {
                    rate: Hertz(5.0),
                    depth: Cents(f64::NAN),
                    onset: Beats(0.0),
                })
            },
            |s| {
                s.arrival = Arrival::Slid {
                    from: Fret(f64::NAN),
                    time: Beats(0.5),
                }
            },
        ];
        for (index, spoil) in spoils.into_iter().enumerate() {
            assert_eq!(
                spoiled(|p| spoil(&mut Arc::make_mut(&mut p.moves[1]).strokes[0])),
                Err(Doubt::Move(1)),
                "{index}"
            );
        }
        assert_eq!(
            spoiled(|p| Arc::make_mut(&mut p.moves[1]).at = Beats(-0.5)),
            Err(Doubt::Move(1))
        );
        assert_eq!(spoiled(|p| p.moves.swap(0, 1)), Err(Doubt::Move(1)));
        assert_eq!(
            spoiled(|p| Arc::make_mut(&mut p.moves[0]).strokes.clear()),
            Err(Doubt::Move(0))
        );
        assert_eq!(spoiled(|p| p.length = Beats(1e300)), Err(Doubt::Length));
        assert_eq!(spoiled(|p| p.request.density = f64::NAN), Err(Doubt::Request));
        assert_eq!(spoiled(|p| p.request.bars = Some(5..usize::MAX)), Err(Doubt::Request));
        assert_eq!(chart(&"1 ".repeat(MOST_CHART)), Err(Doubt::Chart));
    }

    #[test]
    fn a_pass_of_countless_strokes_is_refused() {
        let many = spoiled(|p| {
            let stroke = p.moves[0].strokes[0];
            Arc::make_mut(&mut p.moves[0]).strokes = vec![stroke; MOST_STROKES + 1];
        });
        assert_eq!(many, Err(Doubt::TooMany));
    }
}
