//! Changes: what pedals and knee levers do to the strings.

use super::strings::{StringNumber, StringSet};
use crate::steel::units::Travel;
use crate::theory::Cents;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Which part of the body works a change, and by which movement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Control {
    /// A floor pedal, counted from the left, 1..=12.
    Pedal(u8),
    /// Left knee moving left.
    LeftKneeLeft,
    /// Left knee moving right.
    LeftKneeRight,
    /// Left knee moving up.
    LeftKneeVertical,
    /// Right knee moving left.
    RightKneeLeft,
    /// Right knee moving right.
    RightKneeRight,
    /// Right knee moving up.
    RightKneeVertical,
}

impl Control {
    /// The most pedals an instrument may have.
    pub const MOST_PEDALS: u8 = 12;

    const KNEES: [(Self, &'static str); 6] = [
        (Self::LeftKneeLeft, "LKL"),
        (Self::LeftKneeRight, "LKR"),
        (Self::LeftKneeVertical, "LKV"),
        (Self::RightKneeLeft, "RKL"),
        (Self::RightKneeRight, "RKR"),
        (Self::RightKneeVertical, "RKV"),
    ];

    /// Whether the foot works it.
    #[must_use]
    pub fn is_pedal(self) -> bool {
        matches!(self, Self::Pedal(_))
    }
}

/// The trade's short form: P1, LKL, RKV ...
impl fmt::Display for Control {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Self::Pedal(number) = self {
            return write!(f, "P{number}");
        }
        let short = Self::KNEES
            .iter()
            .find(|(c, _)| c == self)
            .map_or("", |(_, short)| short);
        f.write_str(short)
    }
}

/// A text that is no control; holds the text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no pedal or lever: write P1 to P12, LKL, LKR, LKV, RKL, RKR or RKV")]
pub struct ControlError(pub String);

impl FromStr for Control {
    type Err = ControlError;

    fn from_str(text: &str) -> Result<Self, ControlError> {
        let short = text.trim().to_ascii_uppercase();
        if let Some((control, _)) = Self::KNEES.iter().find(|(_, s)| *s == short) {
            return Ok(*control);
        }
        short
            .strip_prefix('P')
            .and_then(|number| number.parse().ok())
            .filter(|number| (1..=Self::MOST_PEDALS).contains(number))
            .map(Self::Pedal)
            .ok_or_else(|| ControlError(text.to_owned()))
    }
}

/// A change by its place in [`Instrument::changes`](super::Instrument::changes).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ChangeId(pub u8);

impl ChangeId {
    /// The most changes an instrument may have.
    pub const MOST: usize = 16;

    /// Its place in [`Instrument::changes`](super::Instrument::changes).
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// What one change does to one string.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pull {
    /// The string.
    pub string: StringNumber,
    /// How far at full travel; a raise is positive, a lower negative.
    pub by: Cents,
    /// Travel at which the string begins to move.
    pub from: Travel,
    /// Travel at which it has arrived.
    pub to: Travel,
}

impl Pull {
    /// A pull over the whole travel.
    #[must_use]
    pub fn whole(string: StringNumber, by: Cents) -> Self {
        Self {
            string,
            by,
            from: Travel::UP,
            to: Travel::DOWN,
        }
    }

    /// The whole semitones it is meant for, or its own size where it lies between two notes: a tempered pull is off
    /// by less than [`IN_TUNE`](super::IN_TUNE).
    #[must_use]
    pub fn meant(&self) -> Cents {
        super::whole(self.by).map_or(self.by, |semitones| Cents(f64::from(semitones.0) * 100.0))
    }

    /// Whether it ends on a note, and not between two.
    #[must_use]
    pub fn is_to_a_note(&self) -> bool {
        super::whole(self.by).is_some()
    }

    /// How far the string has moved when its change has travelled `travel`.
    #[must_use]
    pub fn at(&self, travel: Travel) -> Cents {
        Cents(travel.part_between(self.from, self.to) * self.by.0)
    }
}

/// A place on the way of a change where a player can hold it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Half {
    /// A stop that is felt.
    Stop(Travel),
    /// Found by ear alone.
    ByEar(Travel),
}

impl Half {
    /// Where it is on the way.
    #[must_use]
    pub fn travel(self) -> Travel {
        match self {
            Self::Stop(travel) | Self::ByEar(travel) => travel,
        }
    }
}

/// A pedal's or lever's work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What players call it: "A", "B", "E" ...
    pub name: String,
    /// What works it.
    pub control: Control,
    /// What it pulls, by string from 1.
    pub pulls: Vec<Pull>,
    /// Where it can be held on the way, if anywhere.
    pub half: Option<Half>,
}

impl Change {
    /// The strings it pulls.
    #[must_use]
    pub fn strings(&self) -> StringSet {
        self.pulls.iter().map(|p| p.string).collect()
    }
}
