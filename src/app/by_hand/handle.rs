//! The handles of a stroke.

use crate::solo::Shape;
use crate::steel::{ChangeId, Fret, Slant, StringNumber};
use crate::theory::Beats;
use crate::words::Said;

/// Something of a stroke that can be taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Handle {
    /// When it is played.
    When,
    /// When it stops.
    Ring,
    /// The fret a slide comes from.
    From,
    /// How long a slide, squeeze, lean or carry takes.
    Length,
    /// How it gets there.
    Curve,
    /// How the bar is turned.
    Slant,
}

impl Handle {
    /// Every handle, in the order they are gone through.
    pub const ALL: [Self; 6] = [
        Self::When,
        Self::From,
        Self::Length,
        Self::Curve,
        Self::Slant,
        Self::Ring,
    ];

    /// What a player calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::When => key!("Played"),
            Self::Ring => key!("Stops"),
            Self::From => key!("Comes from"),
            Self::Length => key!("Takes"),
            Self::Curve => key!("Moves"),
            Self::Slant => key!("Bar"),
        }
    }

    /// Whether it goes up and down; the others go along the song.
    #[must_use]
    pub fn is_upright(self) -> bool {
        matches!(self, Self::From | Self::Curve | Self::Slant)
    }
}

/// How a handle is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Setting {
    /// The moment it is played, from the start of the song.
    When(Beats),
    /// The moment it stops, from the start of the song.
    Ring(Beats),
    /// The fret it slides from; its own where it does not slide.
    From(Fret),
    /// How long it takes to arrive.
    Length(Beats),
    /// How it gets there.
    Curve(Shape),
    /// How the bar is turned; of no frets, it lies straight.
    Slant(Slant),
}

impl Setting {
    /// Whose setting it is.
    #[must_use]
    pub fn handle(self) -> Handle {
        match self {
            Self::When(_) => Handle::When,
            Self::Ring(_) => Handle::Ring,
            Self::From(_) => Handle::From,
            Self::Length(_) => Handle::Length,
            Self::Curve(_) => Handle::Curve,
            Self::Slant(_) => Handle::Slant,
        }
    }
}

impl Setting {
    /// Its figure, for those who are told the handle's place: beats, frets (of a slant, those it is turned by) or the shape's place from fast to slow.
    #[must_use]
    pub fn figure(self) -> f64 {
        match self {
            Self::When(at) | Self::Ring(at) | Self::Length(at) => at.0,
            Self::From(fret) => fret.0,
            Self::Slant(slant) => f64::from(slant.frets),
            Self::Curve(shape) => match shape {
                Shape::Early => 0.0,
                Shape::Even => 1.0,
                Shape::Eased => 2.0,
                Shape::Late => 3.0,
            },
        }
    }
}

/// Where a handle is drawn, by the lane it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Site {
    /// On the bar's path, at a fret.
    Path(Fret),
    /// On the ribbon of a pedal or lever.
    Ribbon(ChangeId),
    /// On a string's row.
    Row(StringNumber),
}

/// A handle where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// How it is set.
    pub setting: Setting,
    /// The moment it stands at.
    pub at: Beats,
    /// The lane it stands in.
    pub site: Site,
    /// The setting in words.
    pub words: Said,
}
