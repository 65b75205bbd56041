//! How players say where the bar is, what is pressed and which strings sound.
//!
//! *Invariant:* names come from the instrument; nothing here knows a chord or a song.

use super::stroke::Grip;
use crate::steel::{ChangeId, Instrument, Place, Stance, StringSet, Travel};
use crate::words::Said;

/// "fret 8", "fret 10 with A and B".
pub(super) fn place(instrument: &Instrument, place: Place) -> Said {
    let fret = frets_of(place);
    if place.stance.is_open() {
        fret
    } else {
        said!("{fret} with {stance}", fret, stance = held(instrument, place.stance))
    }
}

/// "fret 8"; of a slanted bar "frets 5 and 6, slanted forward".
pub(super) fn frets_of(place: Place) -> Said {
    let Some(slant) = place.slant else {
        return said!("fret {fret}", fret = place.fret);
    };
    let other = place.fret.saturating_add_signed(slant.frets);
    said!(
        "frets {fret} and {other}, slanted {name}",
        fret = place.fret,
        other,
        name = Said::of(slant.way().name())
    )
}

/// How a bar is slanted: which string is where, how far it is turned, and what a third string is off; nothing for
/// a straight one.
pub(super) fn slant(instrument: &Instrument, grip: Grip) -> Option<Said> {
    let Grip { place, strings } = grip;
    let slant = place.slant?;
    let turned = place.lie(instrument).turned(instrument).0;
    let other = place.fret.saturating_add_signed(slant.frets);
    let third = match place.worst_of(instrument, strings) {
        Some((string, off)) if off.0.abs() >= 0.05 => {
            let side = if off.0 > 0.0 { said!("above") } else { said!("below") };
            said!(
                "; string {string} between them lies {off} cents {side} its fret",
                string,
                off = Said::number(format_args!("{:.1}", off.0.abs())),
                side
            )
        }
        _ => Said::default(),
    };
    Some(said!(
        "The bar is slanted {name}, {turned} degrees from straight: string {hold} at fret {fret}, string {turn} at fret {other}{third}.",
        name = Said::of(slant.way().name()),
        turned = format!("{turned:.0}"),
        hold = slant.hold,
        fret = place.fret,
        turn = slant.turn,
        other,
        third
    ))
}

/// "A and B", "half A", "F lever".
pub(super) fn held(instrument: &Instrument, stance: Stance) -> Said {
    join(stance.pressed().map(|c| change(instrument, stance, c)).collect())
}

/// A change as it is pressed in a stance.
pub(super) fn change(instrument: &Instrument, stance: Stance, id: ChangeId) -> Said {
    let Some(change) = instrument.change(id) else {
        return Said::default();
    };
    let (half, name) = (stance.travel(id) == Travel::HALF, &change.name);
    match (half, change.control.is_pedal()) {
        (false, true) => name.into(),
        (true, true) => said!("half {name}", name),
        (false, false) => said!("{name} lever", name),
        (true, false) => said!("half {name} lever", name),
    }
}

/// What feet and knees do between two stances.
pub(super) fn footwork(instrument: &Instrument, from: Stance, to: Stance) -> Said {
    let changed = |wanted: fn(f64, f64) -> bool, stance: Stance| {
        let changed = instrument
            .change_ids()
            .filter(move |c| wanted(from.travel(*c).0, to.travel(*c).0));
        changed.map(|c| change(instrument, stance, c)).collect::<Vec<_>>()
    };
    let down = changed(|a, b| b > a, to);
    let up = changed(|a, b| b < a, from);
    match (down.is_empty(), up.is_empty()) {
        (true, true) => said!("nothing pressed"),
        (false, true) => said!("{down} down", down = join(down)),
        (true, false) => said!("{up} up", up = join(up)),
        (false, false) => said!("{up} up and {down} down", up = join(up), down = join(down)),
    }
}

/// "string 5", "strings 3 and 5".
pub(super) fn strings(strings: StringSet) -> Said {
    let numbers = join(strings.iter().map(Said::from).collect());
    said!(strings.len() => "string {numbers}", "strings {numbers}", numbers)
}

/// "1 fret", "3 frets": how far, whichever way.
pub(super) fn frets(gap: f64) -> Said {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // frets of a neck
    let number = gap.abs().round() as u64;
    said!(number => "{n} fret", "{n} frets")
}

/// "A", "A and B", "A, B and F".
pub(super) fn join(mut words: Vec<Said>) -> Said {
    match words.pop() {
        None => Said::default(),
        Some(last) if words.is_empty() => last,
        Some(last) => said!("{several} and {last}", several = Said::joined(words, ", "), last),
    }
}
