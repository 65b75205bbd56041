//! Plates: what a place is to the chord, by its number or its letter.

use crate::app::appearance::{Called, NamedBy};
use crate::app::lanes_view::Role;
use crate::ui::language::{notes, spell};
use leptos::prelude::*;

/// The least height of a plate with two names.
const TALL: f64 = 23.0;

/// What a plate says, and where.
pub(super) struct Face {
    /// Its upper left corner.
    pub corner: (f64, f64),
    /// Its width and height.
    pub size: (f64, f64),
    /// Its name, and the name below where both stand one over the other: each with the height of its foot.
    pub first: (f64, String),
    pub second: Option<(f64, String)>,
}

impl Face {
    /// That of a plate around `centre`, of at least the width and height of `size`.
    pub(super) fn of(called: &Called, naming: NamedBy, centre: (f64, f64), size: (f64, f64)) -> Self {
        let both = naming == NamedBy::Both && !called.letter.is_empty();
        let height = if both { size.1.max(TALL) } else { size.1 };
        let first = match naming {
            NamedBy::Both => called.number.clone(),
            naming => called.by(naming, spell),
        };
        Self {
            corner: (centre.0 - size.0 / 2.0, centre.1 - height / 2.0),
            size: (size.0, height),
            first: (centre.1 + if both { -1.0 } else { 4.2 }, first),
            second: both.then(|| (centre.1 + 9.4, format!("{} ", notes(&called.letter)))),
        }
    }
}

/// The class by which a plate is drawn.
pub(super) fn class(role: Role) -> String {
    format!("plate {}", role.word())
}

/// A plate with a note's name.
pub(super) fn plate(
    role: Role,
    centre: (f64, f64),
    size: (f64, f64),
    called: Signal<Called>,
    naming: Signal<NamedBy>,
) -> impl IntoView {
    let face = move || {
        let face = called.with(|called| Face::of(called, naming.get(), centre, size));
        let second = face
            .second
            .map(|(y, name)| view! { <text class="second-name" x=centre.0 y=y>{name}</text> });
        view! {
            <rect x=face.corner.0 y=face.corner.1 width=face.size.0 height=face.size.1 rx="3"></rect>
            {second}
            <text x=centre.0 y=face.first.0>{face.first.1}</text>
        }
    };
    view! { <g class=class(role)>{face}</g> }
}
