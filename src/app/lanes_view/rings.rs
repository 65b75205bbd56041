//! The strings: a mark for each pluck, and how its ring ends.

use super::Role;
use crate::app::appearance::Called;
use crate::solo::{End, Finger, Meaning, Note, Touch};
use crate::steel::{Instrument, StringNumber};
use crate::theory::{Beats, Timeline};

/// How a ring ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// It dies away.
    Dies,
    /// It is stopped: drawn as a stroke across.
    Stopped,
    /// The next pluck of the string takes over, or the performance ends.
    Replaced,
}

/// One pluck and its ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// The pluck.
    pub at: Beats,
    /// When it is silent.
    pub end: Beats,
    /// How it ends.
    pub fate: Fate,
    /// How hard it is plucked, 0..=1.
    pub strength: f64,
    /// Which finger plucks it.
    pub finger: Finger,
    /// Whether it is a harmonic.
    pub harmonic: bool,
    /// Its degree in the chord of the moment, and its letter; empty where there is no chord.
    pub called: Called,
    /// What it is to the chord.
    pub role: Role,
    /// The moments at which its pitch has moved, and what it then is.
    pub turns: Vec<(Beats, Called, Role)>,
}

/// One string's row.
#[derive(Debug, Clone, PartialEq)]
pub struct StringRow {
    /// The string.
    pub string: StringNumber,
    /// Its open note.
    pub name: String,
    /// Its plucks in order of time.
    pub rings: Vec<Ring>,
}

pub(super) fn rows(instrument: &Instrument, notes: &[Note], timeline: &Timeline) -> Vec<StringRow> {
    instrument
        .string_numbers()
        .zip(&instrument.strings)
        .map(|(string, spec)| StringRow {
            string,
            name: spec.pitch.name.to_string(),
            rings: notes
                .iter()
                .filter(|n| n.string() == string)
                .map(|n| ring(n, timeline))
                .collect(),
        })
        .collect()
}

fn ring(note: &Note, timeline: &Timeline) -> Ring {
    let rests: Vec<_> = note.rests().filter(|(at, _)| *at < note.end).collect();
    // A string plucked on the way is named for where it arrives.
    let (first_at, first) = rests.first().copied().unwrap_or((note.start(), note.height));
    let (called, role) = degree(first, first_at, timeline);
    let mut turns: Vec<(Beats, Called, Role)> = Vec::new();
    for (at, height) in rests.into_iter().skip(1) {
        let (now, role) = degree(height, at, timeline);
        if turns.last().map_or(&called, |t| &t.1) != &now {
            turns.push((at, now, role));
        }
    }
    Ring {
        at: note.start(),
        end: note.end,
        fate: match note.ended_by {
            End::Decay => Fate::Dies,
            End::Block(_) => Fate::Stopped,
            End::Pluck | End::Over => Fate::Replaced,
        },
        strength: note.pluck.strength,
        finger: note.pluck.finger,
        harmonic: matches!(note.pluck.touch, Touch::Harmonic(_)),
        called,
        role,
        turns,
    }
}

fn degree(height: crate::theory::Height, at: Beats, timeline: &Timeline) -> (Called, Role) {
    timeline.span_at(at).map_or((Called::default(), Role::Tension), |span| {
        let meaning = Meaning::of(height, span);
        let called = Called {
            number: meaning.degree(),
            letter: meaning.pitch.name.to_string(),
        };
        (called, Role::of(&meaning))
    })
}

impl Role {
    /// What a height is to its chord.
    #[must_use]
    pub fn of(meaning: &Meaning) -> Self {
        match meaning.tone {
            Some(tone) if tone.0.size().0 == 0 => Self::Root,
            Some(_) => Self::Tone,
            None => Self::Tension,
        }
    }
}
