//! The bar turned by hand: over which strings, and how far it may go.
//!
//! *Invariant:* the far string of a turn keeps its fret; a turn that has come to nothing is a straight bar.

use crate::solo::stroke::Grip;
use crate::steel::{Slant, neck::MOST_FRETS};

/// How the bar of a grip is turned over its outer strings; nothing where there is one string, or no bar.
pub(super) fn of(grip: Grip) -> Option<Slant> {
    let (hold, turn) = (grip.strings.iter().min()?, grip.strings.iter().max()?);
    let straight = Slant { hold, turn, frets: 0 };
    (hold != turn && grip.place.fret > 0).then(|| grip.place.slant.unwrap_or(straight))
}

/// Turned so many frets further.
pub(super) fn turned(slant: Slant, frets: i32) -> Slant {
    let most = i32::from(MOST_FRETS);
    let frets = i32::from(slant.frets).saturating_add(frets).clamp(-most, most);
    Slant {
        frets: i8::try_from(frets).unwrap_or(slant.frets),
        ..slant
    }
}

/// Turned no farther than leaves the bar on the neck, held at `fret`.
pub(super) fn within(slant: Slant, fret: u8, frets: u8) -> Slant {
    let room = |from: u8, to: u8| {
        i8::try_from(to.saturating_sub(from))
            .unwrap_or(MOST_FRETS)
            .min(MOST_FRETS)
    };
    Slant {
        frets: slant.frets.clamp(-room(1, fret), room(fret, frets)),
        ..slant
    }
}
