//! How players say where the bar is, what is pressed and which strings sound.
//!
//! *Invariant:* names come from the instrument; nothing here knows a chord or a song.

use super::stroke::Grip;
use crate::steel::{ChangeId, Instrument, Place, Stance, StringSet, Travel};

/// "fret 8", "fret 10 with A and B".
pub(super) fn place(instrument: &Instrument, place: Place) -> String {
    let fret = frets_of(place);
    if place.stance.is_open() {
        fret
    } else {
        format!("{fret} with {}", held(instrument, place.stance))
    }
}

/// "fret 8"; of a slanted bar "frets 5 and 6, slanted forward".
pub(super) fn frets_of(place: Place) -> String {
    let Some(slant) = place.slant else {
        return format!("fret {}", place.fret);
    };
    let other = place.fret.saturating_add_signed(slant.frets);
    format!("frets {} and {other}, slanted {}", place.fret, slant.way().name())
}

/// How a bar is slanted: which string is where, how far it is turned, and what a third string is off; nothing for
/// a straight one.
pub(super) fn slant(instrument: &Instrument, grip: Grip) -> Option<String> {
    let Grip { place, strings } = grip;
    let slant = place.slant?;
    let turned = place.lie(instrument).turned(instrument).0;
    let other = place.fret.saturating_add_signed(slant.frets);
    let third = match place.worst_of(instrument, strings) {
        Some((string, off)) if off.0.abs() >= 0.05 => {
            let side = if off.0 > 0.0 { "above" } else { "below" };
            format!(
                "; string {string} between them lies {:.1} cents {side} its fret",
                off.0.abs()
            )
        }
        _ => String::new(),
    };
    Some(format!(
        "The bar is slanted {}, {turned:.0} degrees from straight: string {} at fret {}, string {} at fret {other}{third}.",
        slant.way().name(),
        slant.hold,
        place.fret,
        slant.turn,
    ))
}

/// "A and B", "half A", "F lever".
pub(super) fn held(instrument: &Instrument, stance: Stance) -> String {
    join(stance.pressed().map(|c| change(instrument, stance, c)).collect())
}

/// A change as it is pressed in a stance.
pub(super) fn change(instrument: &Instrument, stance: Stance, id: ChangeId) -> String {
    let Some(change) = instrument.change(id) else {
        return String::new();
    };
    let half = if stance.travel(id) == Travel::HALF { "half " } else { "" };
    let kind = if change.control.is_pedal() { "" } else { " lever" };
    format!("{half}{}{kind}", change.name)
}

/// What feet and knees do between two stances.
pub(super) fn footwork(instrument: &Instrument, from: Stance, to: Stance) -> String {
    let changed = |wanted: fn(f64, f64) -> bool, stance: Stance| {
        let changed = instrument
            .change_ids()
            .filter(move |c| wanted(from.travel(*c).0, to.travel(*c).0));
        changed.map(|c| change(instrument, stance, c)).collect::<Vec<_>>()
    };
    let down = changed(|a, b| b > a, to);
    let up = changed(|a, b| b < a, from);
    match (down.is_empty(), up.is_empty()) {
        (true, true) => "nothing pressed".to_owned(),
        (false, true) => format!("{} down", join(down)),
        (true, false) => format!("{} up", join(up)),
        (false, false) => format!("{} up and {} down", join(up), join(down)),
    }
}

/// "string 5", "strings 3 and 5".
pub(super) fn strings(strings: StringSet) -> String {
    let numbers: Vec<String> = strings.iter().map(|s| s.to_string()).collect();
    let plural = if numbers.len() > 1 { "strings" } else { "string" };
    format!("{plural} {}", join(numbers))
}

/// "1 fret", "3 frets": how far, whichever way.
pub(super) fn frets(gap: f64) -> String {
    let number = format!("{:.0}", gap.abs());
    let plural = if number == "1" { "fret" } else { "frets" };
    format!("{number} {plural}")
}

/// "A", "A and B", "A, B and F".
pub(super) fn join(mut words: Vec<String>) -> String {
    match words.pop() {
        None => String::new(),
        Some(last) if words.is_empty() => last,
        Some(last) => format!("{} and {last}", words.join(", ")),
    }
}
