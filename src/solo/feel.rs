//! Attitudes: the feel of a solo as weights and habits, read from data files.
//!
//! *Invariant:* a feel is taste, never a limit; what a body can do stands in [`super::limits`].

use super::moves::Kind;
use super::stroke::Wave;
use crate::theory::{Beats, Cents, Hertz, Metre, Seconds, Tempo};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use thiserror::Error;

/// Where in a phrase a rhythm belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum CellRole {
    /// The figure that returns.
    Call,
    /// What goes between.
    Answer,
    /// The end of a phrase, with room to breathe after it.
    Breath,
    /// The end of the solo.
    Close,
}

/// A rhythm for one bar, in felt beats counted from 1 as players count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cell {
    /// Felt beats in the bar it is made for: 2, 3 or 4.
    pub pulses: u8,
    /// When something happens: 1 is the first beat, 2.5 the "and" of two.
    pub hits: Vec<f64>,
    /// When the last sound is stopped; `pulses + 1` rings through the bar.
    pub until: f64,
    /// Where in a phrase it belongs.
    pub role: CellRole,
    /// How readily it is taken, against the others.
    #[serde(default = "one")]
    pub weight: f64,
}

fn one() -> f64 {
    1.0
}

fn some() -> f64 {
    0.7
}

impl Cell {
    /// Hits for each felt beat.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn density(&self) -> f64 {
        self.hits.len() as f64 / f64::from(self.pulses)
    }

    fn breach(&self) -> Option<String> {
        let end = f64::from(self.pulses) + 1.0;
        let rising = self.hits.windows(2).all(|w| matches!(w, [a, b] if a < b));
        let (first, last) = (self.hits.first()?, self.hits.last()?);
        if !(2..=4).contains(&self.pulses) {
            Some(format!("pulses = {} must be 2, 3 or 4", self.pulses))
        } else if !rising || *first < 1.0 || *last >= self.until || self.until > end {
            Some(format!(
                "hits {:?} must rise from 1 and lie before until = {}, at most {end}",
                self.hits, self.until
            ))
        } else {
            None
        }
    }
}

/// Vibrato habits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VibratoHabit {
    /// Swings a second.
    pub rate: Hertz,
    /// To each side.
    pub depth: Cents,
    /// Time before it has grown.
    pub onset: Seconds,
}

/// Habits of the hands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hand {
    /// From how many frets away slides come: nearest and farthest.
    pub slide_frets: [u8; 2],
    /// How long a slide of one fret takes; longer ones take longer by the root of their length.
    pub slide_time: Seconds,
    /// How long a squeeze takes.
    pub squeeze_time: Seconds,
    /// Part of the room to the next note that is held, 0.3 (short) ..= 1 (ringing).
    pub ring: f64,
    /// How many strings a chord likes: 1, 2 or 3.
    pub strings: u8,
    /// How gladly pedals and levers are held: 0 bar only, 1 wherever they help.
    #[serde(default = "one")]
    pub pedals: f64,
    /// Whether held chords swell on the volume pedal.
    pub swell: bool,
    /// How hard, 0..=1.
    pub strength: f64,
    /// How much a phrase swells to its goal and tapers off: 0 all alike, 1 as much as a singer.
    #[serde(default = "some")]
    pub dynamics: f64,
    /// Vibrato.
    pub vibrato: VibratoHabit,
}

/// An attitude: which moves it likes and how the hands carry them out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feel {
    /// Short name in requests.
    pub id: String,
    /// What a player calls it.
    pub name: String,
    /// One sentence on how it sounds.
    pub about: String,
    /// How readily each move is chosen: 0 never, 1 gladly. Moves not named count as 0.2.
    pub weights: BTreeMap<Kind, f64>,
    /// Habits of the hands.
    pub hand: Hand,
    /// Its rhythms.
    pub cells: Vec<Cell>,
}

/// Why a feel file can't be used.
#[derive(Debug, Error)]
pub enum FeelError {
    /// Not the right form.
    #[error("the feel file can't be read: {0}. Compare it with a file in static/feels")]
    Form(#[from] toml::de::Error),
    /// A rhythm contradicts itself.
    #[error("feel \"{feel}\", cell {cell}: {what}")]
    Cell {
        /// The feel's id.
        feel: String,
        /// Which cell, counted from 1.
        cell: usize,
        /// What is wrong and what is right.
        what: String,
    },
    /// A role has no rhythm for a number of felt beats.
    #[error("feel \"{feel}\" has no {role:?} cell for {pulses} felt beats: add one")]
    Missing {
        /// The feel's id.
        feel: String,
        /// The role without a cell.
        role: CellRole,
        /// For how many felt beats.
        pulses: u8,
    },
}

/// How gladly a move is chosen when a feel is silent on it.
const SILENT_WEIGHT: f64 = 0.2;

impl Feel {
    /// Reads a feel file.
    ///
    /// # Errors
    /// When the form is wrong (with line and field), a rhythm contradicts itself, or a role lacks a rhythm.
    pub fn parse(text: &str) -> Result<Self, FeelError> {
        let feel: Self = toml::from_str(text)?;
        for (i, cell) in feel.cells.iter().enumerate() {
            let what = if cell.hits.is_empty() {
                Some("hits is empty".to_owned())
            } else {
                cell.breach()
            };
            if let Some(what) = what {
                return Err(FeelError::Cell {
                    feel: feel.id,
                    cell: i + 1,
                    what,
                });
            }
        }
        for role in [CellRole::Call, CellRole::Answer, CellRole::Breath, CellRole::Close] {
            if let Some(pulses) = (2..=4).find(|p| feel.cells_for(*p, role).next().is_none()) {
                return Err(FeelError::Missing {
                    feel: feel.id,
                    role,
                    pulses,
                });
            }
        }
        Ok(feel)
    }

    /// The shipped feels as they are written.
    pub(crate) const SHIPPED: [&str; 7] = [
        include_str!("../../static/feels/driven.toml"),
        include_str!("../../static/feels/country.toml"),
        include_str!("../../static/feels/ballad.toml"),
        include_str!("../../static/feels/blues.toml"),
        include_str!("../../static/feels/swing.toml"),
        include_str!("../../static/feels/ambient.toml"),
        include_str!("../../static/feels/bottleneck.toml"),
    ];

    /// The shipped feels.
    ///
    /// # Errors
    /// When a shipped file is broken, which a test rules out.
    pub fn shipped() -> Result<Vec<Self>, FeelError> {
        Self::SHIPPED.into_iter().map(Self::parse).collect()
    }

    /// How gladly `kind` is chosen, 0..=1.
    #[must_use]
    pub fn weight(&self, kind: Kind) -> f64 {
        self.weights
            .get(&kind)
            .copied()
            .unwrap_or(SILENT_WEIGHT)
            .clamp(0.0, 1.0)
    }

    /// This feel with `part` (0..=1) of another in it: what both weigh or measure lies between the two, the rhythms
    /// of both are there, each as readily taken as its feel counts.
    ///
    /// ```
    /// use leadbar::solo::{Feel, Kind};
    /// let feels = Feel::shipped().unwrap();
    /// let (driven, ballad) = (&feels[0], &feels[2]);
    /// let half = driven.blended(ballad, 0.5);
    /// let middle = f64::midpoint(driven.weight(Kind::Roll), ballad.weight(Kind::Roll));
    /// assert!((half.weight(Kind::Roll) - middle).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn blended(&self, other: &Self, part: f64) -> Self {
        let part = if part.is_finite() { part.clamp(0.0, 1.0) } else { 0.0 };
        let between = |a: f64, b: f64| a + (b - a) * part;
        let weights = Kind::ALL.map(|kind| (kind, between(self.weight(kind), other.weight(kind))));
        let (own, new) = (&self.hand, &other.hand);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between two small counts
        let count = |a: u8, b: u8| between(f64::from(a), f64::from(b)).round() as u8;
        let [near, far] = own.slide_frets;
        let [other_near, other_far] = new.slide_frets;
        let cells = |feel: &Self, by: f64| -> Vec<Cell> {
            let weighed = feel.cells.iter().map(|c| Cell {
                weight: c.weight * by,
                ..c.clone()
            });
            weighed.filter(|c| c.weight > 0.0).collect()
        };
        let (a, b) = (own.vibrato, new.vibrato);
        Self {
            id: format!("{}-{}", self.id, other.id),
            name: format!("{} with {}", self.name, other.name.to_lowercase()),
            about: format!("{} {}", self.about, other.about),
            weights: weights.into_iter().collect(),
            hand: Hand {
                slide_frets: [count(near, other_near), count(far, other_far)],
                slide_time: Seconds(between(own.slide_time.0, new.slide_time.0)),
                squeeze_time: Seconds(between(own.squeeze_time.0, new.squeeze_time.0)),
                ring: between(own.ring, new.ring),
                strings: count(own.strings, new.strings),
                pedals: between(own.pedals, new.pedals),
                swell: if part < 0.5 { own.swell } else { new.swell },
                strength: between(own.strength, new.strength),
                dynamics: between(own.dynamics, new.dynamics),
                vibrato: VibratoHabit {
                    rate: Hertz(between(a.rate.0, b.rate.0)),
                    depth: Cents(between(a.depth.0, b.depth.0)),
                    onset: Seconds(between(a.onset.0, b.onset.0)),
                },
            },
            cells: [cells(self, 1.0 - part), cells(other, part)].concat(),
        }
    }

    /// The rhythms for a bar of `pulses` felt beats in a role.
    pub fn cells_for(&self, pulses: u8, role: CellRole) -> impl Iterator<Item = &Cell> {
        self.cells.iter().filter(move |c| c.pulses == pulses && c.role == role)
    }

    /// The vibrato of a held note at a tempo.
    #[must_use]
    pub fn wave(&self, tempo: Tempo) -> Option<Wave> {
        let VibratoHabit { rate, depth, onset } = self.hand.vibrato;
        (depth.0 > 0.0).then(|| Wave {
            rate,
            depth,
            onset: onset.at(tempo),
        })
    }

    /// How long a slide over `frets` takes at a tempo.
    #[must_use]
    pub fn slide_time(&self, frets: u8, tempo: Tempo) -> Beats {
        Seconds(self.hand.slide_time.0 * f64::from(frets.max(1)).sqrt()).at(tempo)
    }
}

/// The felt beats of a bar, split into groups that cells exist for: 5 is 3 + 2, 7 is 4 + 3.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub fn pulse_groups(metre: Metre) -> Vec<u8> {
    let mut left = (metre.bar().0 / metre.pulse().0).round().max(1.0) as u8;
    let mut groups = Vec::new();
    while left > 0 {
        let take = match left {
            1..=4 => left,
            5 => 3,
            _ => 4,
        };
        groups.push(take);
        left -= take;
    }
    groups
}
