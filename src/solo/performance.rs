//! The performance: bar, pedals, plucks, blocks and volume over time.
//!
//! *Invariant:* nothing that can be computed from these lanes is stored beside them.

use crate::steel::{ChangeId, Fret, Instrument, Lie, StringNumber, StringSet, Travel};
use crate::theory::{Beats, Cents, Height, Hertz, Tempo, rank};
use serde::{Deserialize, Serialize};

/// How a value moves from one to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Shape {
    /// At one speed.
    Even,
    /// Starts and ends gently, as a hand does.
    #[default]
    Eased,
    /// Fast at first, then settling.
    Early,
    /// Slow at first, then arriving fast.
    Late,
}

impl Shape {
    /// The part of the way done after the part `x` (0..=1) of the time.
    #[must_use]
    pub fn part(self, x: f64) -> f64 {
        let x = x.clamp(0.0, 1.0);
        match self {
            Self::Even => x,
            Self::Eased => x * x * (3.0 - 2.0 * x),
            Self::Early => 1.0 - (1.0 - x) * (1.0 - x),
            Self::Late => x * x,
        }
    }

    /// How much faster the movement is at its fastest than on average: the steepest slope of [`Self::part`].
    #[must_use]
    pub fn peak(self) -> f64 {
        match self {
            Self::Even => 1.0,
            Self::Eased => 1.5,
            Self::Early | Self::Late => 2.0,
        }
    }
}

/// One movement of a [`Curve`]: from wherever it is at `at` to `to`, taking `length`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Turn {
    /// When the movement starts.
    pub at: Beats,
    /// How long it takes; zero is a jump.
    pub length: Beats,
    /// Where it ends (frets, travel or volume, by lane).
    pub to: f64,
    /// How it gets there.
    pub shape: Shape,
}

/// A value over time: it holds, moves, and holds again.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Curve {
    /// The value before the first turn.
    pub first: f64,
    /// The movements in order of time.
    pub turns: Vec<Turn>,
}

impl Curve {
    /// A curve that holds `value` for good.
    #[must_use]
    pub fn holding(value: f64) -> Self {
        Self {
            first: value,
            turns: Vec::new(),
        }
    }

    /// The value at `at`.
    #[must_use]
    pub fn value(&self, at: Beats) -> f64 {
        let after = self.turns.partition_point(|t| t.at <= at);
        let Some(turn) = after.checked_sub(1).and_then(|i| self.turns.get(i)) else {
            return self.first;
        };
        let gone = (at - turn.at).0;
        if gone >= turn.length.0 {
            return turn.to;
        }
        let from = self.start_of(after - 1);
        from + (turn.to - from) * turn.shape.part(gone / turn.length.0)
    }

    /// The value a turn starts from: the curve's value just as it begins.
    fn start_of(&self, index: usize) -> f64 {
        let (Some(turn), Some(before)) = (self.turns.get(index), index.checked_sub(1)) else {
            return self.first;
        };
        let Some(last) = self.turns.get(before) else {
            return self.first;
        };
        let gone = (turn.at - last.at).0;
        if gone >= last.length.0 {
            return last.to;
        }
        let from = self.start_of(before);
        from + (last.to - from) * last.shape.part(gone / last.length.0)
    }

    /// Whether it holds zero for good.
    #[must_use]
    pub fn is_still_at_zero(&self) -> bool {
        self.first == 0.0 && self.turns.is_empty()
    }

    /// The movements that take place, in order of time: each ends where the next one cuts it off,
    /// and those that lead nowhere are left out.
    pub fn movements(&self) -> impl Iterator<Item = Movement> + '_ {
        self.turns.iter().enumerate().filter_map(|(i, turn)| {
            let whole = turn.at + turn.length.max(Beats::ZERO);
            let end = self
                .turns
                .get(i + 1)
                .map_or(whole, |next| whole.min(next.at).max(turn.at));
            let from = self.start_of(i);
            let to = if end < whole { self.start_of(i + 1) } else { turn.to };
            ((to - from).abs() > 1e-9).then_some(Movement {
                start: turn.at,
                end,
                from,
                to,
                shape: turn.shape,
            })
        })
    }

    /// Whether the value moves anywhere inside `from`..`to`.
    #[must_use]
    pub fn moves_between(&self, from: Beats, to: Beats) -> bool {
        self.turns
            .iter()
            .enumerate()
            .any(|(i, t)| t.at < to && t.at + t.length > from && (t.to - self.start_of(i)).abs() > 1e-9)
    }
}

/// A stretch of a [`Curve`] during which its value moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Movement {
    /// When it sets off.
    pub start: Beats,
    /// When it has arrived, or is cut off by the next movement.
    pub end: Beats,
    /// The value it sets off from (frets, travel or volume, by lane).
    pub from: f64,
    /// The value it comes to.
    pub to: f64,
    /// How it gets there.
    pub shape: Shape,
}

/// A stretch during which the bar moves, along the neck or turning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarMovement {
    /// When it sets off.
    pub start: Beats,
    /// When it has arrived, or is cut off by the next movement.
    pub end: Beats,
    /// Where it lay.
    pub from: Lie,
    /// Where it lies then.
    pub to: Lie,
    /// How it gets there.
    pub shape: Shape,
}

/// A bar at `far` on string 1, turned by so many frets up to the last string.
fn lie(far: f64, slant: f64) -> Lie {
    Lie {
        far: Fret(far),
        near: Fret(far + slant),
    }
}

/// Which finger plucks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Finger {
    Thumb,
    Index,
    Middle,
    Ring,
}

impl Finger {
    /// What a player calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Thumb => key!("the thumb"),
            Self::Index => key!("the index finger"),
            Self::Middle => key!("the middle finger"),
            Self::Ring => key!("the ring finger"),
        }
    }
}

/// How a string is touched when it is plucked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Touch {
    /// An ordinary pluck.
    #[default]
    Plain,
    /// A harmonic, the string touched this many frets above the bar: 12, 7 or 5.
    Harmonic(u8),
}

/// One pluck of one string.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pluck {
    /// When.
    pub at: Beats,
    /// Which string.
    pub string: StringNumber,
    /// With which finger.
    pub finger: Finger,
    /// How hard, 0..=1.
    pub strength: f64,
    /// Plain or harmonic.
    pub touch: Touch,
}

/// What stops the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BlockKind {
    /// The finger comes back to its string.
    Pick,
    /// The side of the hand lands on the strings.
    Palm,
    /// The bar is lifted, or the left hand's fingers damp behind it.
    Bar,
}

/// Strings stopped from sounding.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// When.
    pub at: Beats,
    /// Which strings.
    pub strings: StringSet,
    /// By what.
    pub kind: BlockKind,
}

/// A stretch of vibrato by the bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Vibrato {
    /// When it begins to be heard.
    pub at: Beats,
    /// How long it lasts.
    pub length: Beats,
    /// Swings a second; 4 to 7 is usual.
    pub rate: Hertz,
    /// How far to each side of the pitch.
    pub depth: Cents,
    /// Time over which it grows to its full depth.
    pub onset: Beats,
}

/// What the player's hands, feet and knees do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Performance {
    /// Its length.
    pub length: Beats,
    /// Bar position in frets, on string 1; 0 is no bar.
    pub bar: Curve,
    /// How many frets farther from the nut the bar lies on the last string than on string 1: 0 is straight across,
    /// less than 0 a forward slant.
    #[serde(default, skip_serializing_if = "Curve::is_still_at_zero")]
    pub slant: Curve,
    /// Vibrato on top of the bar's path, in order of time, not overlapping.
    pub vibrato: Vec<Vibrato>,
    /// Travel of each change 0..=1, by [`ChangeId`]; one for each change of the instrument.
    pub travels: Vec<Curve>,
    /// Plucks in order of time.
    pub plucks: Vec<Pluck>,
    /// Blocks in order of time.
    pub blocks: Vec<Block>,
    /// Volume pedal, 0..=1.
    pub volume: Curve,
}

impl Performance {
    /// Nothing happens for `length` on an instrument with `changes` changes.
    #[must_use]
    pub fn silent(length: Beats, changes: usize) -> Self {
        Self {
            length,
            bar: Curve::holding(0.0),
            slant: Curve::default(),
            vibrato: Vec::new(),
            travels: vec![Curve::default(); changes],
            plucks: Vec::new(),
            blocks: Vec::new(),
            volume: Curve::holding(0.7),
        }
    }

    /// How far `change` is pressed at `at`.
    #[must_use]
    pub fn travel(&self, change: ChangeId, at: Beats) -> Travel {
        self.travels
            .get(change.index())
            .map_or(Travel::UP, |c| Travel(c.value(at)))
    }

    /// The bar's path at `at` on string 1, without vibrato; of a straight bar, on every string.
    #[must_use]
    pub fn bar_at(&self, at: Beats) -> Fret {
        Fret(self.bar.value(at))
    }

    /// Where the bar lies at `at`, without vibrato.
    #[must_use]
    pub fn lie_at(&self, at: Beats) -> Lie {
        let far = self.bar.value(at);
        Lie {
            far: Fret(far),
            near: Fret(far + self.slant.value(at)),
        }
    }

    /// Where the bar stops `string` at `at`, without vibrato.
    #[must_use]
    pub fn fret_on(&self, instrument: &Instrument, string: StringNumber, at: Beats) -> Fret {
        if self.slant.is_still_at_zero() {
            return self.bar_at(at);
        }
        self.lie_at(at).on(instrument, string)
    }

    /// The bar's movements in order of time, along the neck and turning.
    #[must_use]
    pub fn bar_movements(&self) -> Vec<BarMovement> {
        let along = self.bar.movements();
        let mut found: Vec<BarMovement> = along
            .map(|m| {
                let across = |at, jumped: f64| if m.end > m.start { self.slant.value(at) } else { jumped };
                let turn = self.slant.movements().find(|t| t.start == m.start && t.end == m.end);
                let still = self.slant.value(m.start);
                let (from, to) = turn.map_or((still, still), |t| (t.from, t.to));
                BarMovement {
                    start: m.start,
                    end: m.end,
                    from: lie(m.from, across(m.start, from)),
                    to: lie(m.to, across(m.end, to)),
                    shape: m.shape,
                }
            })
            .collect();
        for t in self.slant.movements() {
            if found.iter().any(|m| m.start == t.start && m.end == t.end) {
                continue;
            }
            found.push(BarMovement {
                start: t.start,
                end: t.end,
                from: lie(self.bar.value(t.start), t.from),
                to: lie(self.bar.value(t.end), t.to),
                shape: t.shape,
            });
        }
        found.sort_by_cached_key(|one| rank(one.start.0));
        found
    }

    /// The vibrato's displacement of the bar at `at`; its rate is in clock time, so it needs the tempo.
    #[must_use]
    pub fn vibrato_at(&self, at: Beats, tempo: Tempo) -> Cents {
        let after = self.vibrato.partition_point(|v| v.at <= at);
        let Some(v) = after.checked_sub(1).and_then(|i| self.vibrato.get(i)) else {
            return Cents(0.0);
        };
        let gone = at - v.at;
        if gone.0 >= v.length.0 {
            return Cents(0.0);
        }
        let grown = if v.onset.0 > 0.0 {
            (gone.0 / v.onset.0).min(1.0)
        } else {
            1.0
        };
        let turns = gone.at(tempo).0 * v.rate.0;
        Cents(v.depth.0 * grown * (std::f64::consts::TAU * turns).sin())
    }

    /// The height `string` would sound at `at` (whether or not it is ringing), vibrato included.
    #[must_use]
    pub fn height(&self, instrument: &Instrument, string: StringNumber, at: Beats, tempo: Tempo) -> Option<Height> {
        let plain = instrument.height(string, self.fret_on(instrument, string, at), |c| self.travel(c, at))?;
        Some(plain.shifted(self.vibrato_at(at, tempo)))
    }
}
