//! A place on the neck, shown in a lesson.

use crate::steel::instrument::shipped;
use crate::steel::{Instrument, Place, Stance, StringNumber, StringSet, body};
use crate::teach::document::Fields;
use crate::teach::fault::FaultKind;
use crate::theory::{Chord, Key, Numeral};

/// A place on the neck: where the bar is, what is pressed, which strings are looked at, and over which chord.
#[derive(Debug, Clone, PartialEq)]
pub struct NeckBlock {
    /// The instrument.
    pub instrument: Instrument,
    /// Bar and changes.
    pub place: Place,
    /// The strings looked at; empty for all.
    pub strings: StringSet,
    /// The chord whose tones are shown, as a number in `key`.
    pub chord: Option<Numeral>,
    /// The key the number counts from.
    pub key: Key,
    /// A line below it.
    pub caption: Option<String>,
}

impl NeckBlock {
    /// The chord by name.
    #[must_use]
    pub fn chord(&self) -> Option<Chord> {
        self.chord.map(|n| n.chord(self.key))
    }
}

const KEYS: [&str; 8] = [
    "instrument",
    "fret",
    "changes",
    "strings",
    "chord",
    "key",
    "trap",
    "caption",
];

pub(super) fn read(fields: &mut Fields<'_, '_>) -> Option<NeckBlock> {
    fields.only(&KEYS);
    let instrument = instrument(fields)?;
    let frets = instrument.frets;
    let fret = fields
        .require("fret", "fret = 3")
        .then(|| fields.whole("fret", 0..=frets))
        .flatten();
    let stance = stance(fields, &instrument);
    let strings = strings(fields, &instrument);
    let chord = fields.read::<Numeral>("chord");
    let key = fields.read::<Key>("key");
    if chord.is_some() && !fields.has("key") {
        fields.fault(
            "chord",
            FaultKind::Together("a number needs its key: write for example key = \"G\""),
        );
    }
    let trap = fields.flag("trap");
    let caption = fields.text("caption").map(str::to_owned);
    let block = NeckBlock {
        place: Place::straight(fret?, stance?),
        instrument,
        strings,
        chord,
        key: key.unwrap_or(Key::C),
        caption,
    };
    check_tones(fields, &block, trap);
    Some(block)
}

/// Notes strings that sound no tone of the chord they are shown for, unless that is the point.
fn check_tones(fields: &mut Fields<'_, '_>, block: &NeckBlock, trap: bool) {
    let Some(chord) = block.chord() else { return };
    let sounded = block.strings.iter().map(|s| (s, block.instrument.note(s, block.place)));
    let foreign =
        sounded.filter(|(_, note)| !note.is_some_and(|n| chord.tones().any(|(_, name)| name.class() == n.class())));
    let foreign: Vec<_> = foreign.collect();
    match (foreign.first(), trap) {
        (Some((string, note)), false) => {
            let kind = FaultKind::Foreign {
                string: string.number(),
                note: note.map_or_else(
                    || "between two notes".to_owned(),
                    |n| block.key.spell(n.class()).to_string(),
                ),
                chord: chord.symbol(),
            };
            fields.fault("strings", kind);
        }
        (None, true) => fields.fault("trap", FaultKind::NoTrap),
        _ => {}
    }
}

/// The instrument named, or the default where none is.
pub(super) fn instrument(fields: &mut Fields<'_, '_>) -> Option<Instrument> {
    let known: Vec<_> = shipped::ids().map(|id| (id.to_owned(), id)).collect();
    let id = if fields.has("instrument") {
        fields.one_of("instrument", "instrument", &known)?
    } else {
        shipped::ids().next()?
    };
    Instrument::shipped(id)
}

fn stance(fields: &mut Fields<'_, '_>, instrument: &Instrument) -> Option<Stance> {
    let mut stance = Stance::OPEN;
    for (name, travel) in fields.named_numbers("changes") {
        let Some(id) = instrument.change_named(name) else {
            fields.fault("changes", FaultKind::no_such_change(instrument, name));
            return None;
        };
        stance = match travel {
            1.0 => stance.with(id),
            0.5 => stance.with_half(id),
            _ => {
                let wanted = "1 for pressed or 0.5 for half, as in { A = 1, B = 0.5 }";
                fields.fault("changes", FaultKind::Kind { key: "changes", wanted });
                return None;
            }
        };
    }
    fields.told("changes", body::can_hold(instrument, stance))?;
    Some(stance)
}

#[allow(clippy::cast_possible_truncation)] // at most 14 strings
fn strings(fields: &mut Fields<'_, '_>, instrument: &Instrument) -> StringSet {
    let most = instrument.strings.len() as u8;
    fields
        .wholes("strings", 1..=most)
        .into_iter()
        .filter_map(StringNumber::new)
        .collect()
}
