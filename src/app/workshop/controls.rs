//! Which pedal or lever a new change goes on, and what it is called.

use crate::steel::{Control, Instrument};

/// The controls in the order in which a builder would use them.
#[must_use = "an iterator does nothing by itself"]
pub fn controls() -> impl Iterator<Item = Control> {
    let knees = [
        Control::LeftKneeLeft,
        Control::LeftKneeRight,
        Control::RightKneeLeft,
        Control::RightKneeRight,
        Control::LeftKneeVertical,
        Control::RightKneeVertical,
    ];
    let pedals = |numbers: std::ops::RangeInclusive<u8>| numbers.map(Control::Pedal);
    pedals(1..=3).chain(knees).chain(pedals(4..=Control::MOST_PEDALS))
}

/// A control's short form, with a figure where that is taken.
pub(super) fn free_name(instrument: &Instrument, control: Control) -> String {
    let short = control.to_string();
    let others = (2_u8..).map(|n| format!("{short} {n}"));
    std::iter::once(short.clone())
        .chain(others)
        .find(|name| instrument.change_named(name).is_none())
        .unwrap_or(short)
}
