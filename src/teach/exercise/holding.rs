//! What makes a hold right: its strings belong to the chord, the chord is whole, and a body can do it.
//!
//! *Invariant:* judged from what the strings sound; no list of right places is kept.

use super::mark::Criterion;
use super::setting::Setting;
use crate::solo::stroke::Grip;
use crate::steel::hold::{Inversion, Tones, essential};
use crate::steel::{Instrument, StringNumber, body};
use crate::theory::{Chord, ChordTone, NoteNumber};
use crate::words::Said;

/// A grip as a student reads it: "3-4-5 at fret 8, A+B".
pub(super) fn words(instrument: &Instrument, grip: Grip) -> Said {
    let pressed = crate::teach::rows::stance_name(instrument, grip.place.stance);
    let pressed = if pressed == "-" {
        said!("nothing pressed")
    } else {
        Said::from(pressed)
    };
    said!(
        "{strings} at fret {fret}, {pressed}",
        strings = grip.strings,
        fret = grip.place.fret,
        pressed
    )
}

/// What each string of a grip sounds, from the lowest note up; nothing for a string between two notes.
pub(super) fn sounded(instrument: &Instrument, grip: Grip) -> Vec<(StringNumber, Option<NoteNumber>)> {
    let mut notes: Vec<_> = grip
        .strings
        .iter()
        .map(|s| (s, instrument.note(s, grip.place)))
        .collect();
    notes.sort_by_key(|(_, note)| *note);
    notes
}

/// The highest note of a grip.
pub(super) fn top(instrument: &Instrument, grip: Grip) -> Option<NoteNumber> {
    sounded(instrument, grip).last().and_then(|(_, note)| *note)
}

/// Which tone of the chord lies lowest in a grip.
pub(super) fn inversion(instrument: &Instrument, grip: Grip, chord: &Chord) -> Option<Inversion> {
    let (_, lowest) = sounded(instrument, grip).first().copied()?;
    chord.tone_of(lowest?.class()).map(Inversion::of)
}

/// The tones a hold of the chord must sound.
fn needed(chord: &Chord, tones: Tones) -> Vec<ChordTone> {
    match tones {
        Tones::All => chord.tones().map(|(tone, _)| tone).collect(),
        Tones::Essential => essential(chord).into_iter().collect(),
        Tones::Any => Vec::new(),
    }
}

/// The criteria of one hold of a chord; `tones` says how much of it must sound.
pub(super) fn judge(s: &Setting, grip: Grip, chord: &Chord, tones: Tones) -> Vec<Criterion> {
    vec![notes(s, grip, chord), whole(s, grip, chord, tones), hands(s, grip)]
}

/// Every string belongs to the chord.
fn notes(s: &Setting, grip: Grip, chord: &Chord) -> Criterion {
    let sounded = sounded(&s.instrument, grip);
    let foreign = sounded
        .iter()
        .find(|(_, note)| note.is_none_or(|n| chord.tone_of(n.class()).is_none()));
    let belong = sounded
        .iter()
        .filter(|(_, n)| n.is_some_and(|n| chord.tone_of(n.class()).is_some()))
        .count();
    let symbol = Said::notes(chord.symbol());
    match foreign {
        _ if sounded.is_empty() => Criterion::missed(
            said!("notes"),
            0,
            3,
            said!("No string is picked."),
            said!("Pick three strings."),
        ),
        None => Criterion::met(
            said!("notes"),
            3,
            said!("Every string belongs to {chord}.", chord = symbol),
        ),
        Some((string, note)) => {
            let why = match note {
                Some(note) => said!(
                    "String {string} sounds {note}, which is not in {chord}: the ear hears another chord.",
                    string,
                    note = Said::notes(s.key.spell(note.class())),
                    chord = symbol
                ),
                None => said!(
                    "String {string} lies between two notes, which is not in {chord}: the ear hears another chord.",
                    string,
                    chord = symbol
                ),
            };
            let next = said!("Leave string {string} out, or move what makes it so.", string);
            let part = if belong * 2 >= sounded.len() { 1 } else { 0 };
            Criterion::missed(said!("notes"), part, 3, why, next)
        }
    }
}

/// Nothing that makes the chord is left out.
fn whole(s: &Setting, grip: Grip, chord: &Chord, tones: Tones) -> Criterion {
    let sounded = sounded(&s.instrument, grip);
    let has = |tone: &ChordTone| {
        sounded
            .iter()
            .any(|(_, n)| n.is_some_and(|n| chord.tone_of(n.class()) == Some(*tone)))
    };
    let needed = needed(chord, tones);
    let missing = needed.iter().filter(|t| !has(t)).count();
    match needed.iter().find(|t| !has(t)) {
        None => Criterion::met(
            said!("whole"),
            2,
            said!("All that makes {chord} is there.", chord = Said::notes(chord.symbol())),
        ),
        Some(tone) => {
            let part = u16::from(missing == 1 && needed.len() > 2);
            let why = said!(
                "The {tone} is missing: without it this could be another chord.",
                tone = tone.label()
            );
            Criterion::missed(
                said!("whole"),
                part,
                2,
                why,
                said!("Find the {tone} on a string nearby.", tone = tone.label()),
            )
        }
    }
}

/// A body can hold and pick it.
pub(super) fn hands(s: &Setting, grip: Grip) -> Criterion {
    let picks = s.limits.picks;
    let beyond = grip
        .strings
        .iter()
        .find(|string| string.index() >= s.instrument.strings.len());
    if let Some(string) = beyond {
        let why = said!("This instrument has no string {string}.", string);
        return Criterion::missed(said!("hands"), 0, 2, why, said!("Pick strings that are there."));
    }
    if grip.place.fret > s.instrument.frets {
        let why = said!("Fret {fret} is beyond the neck.", fret = grip.place.fret);
        return Criterion::missed(said!("hands"), 0, 2, why, said!("Take it an octave lower."));
    }
    if grip.strings.len() > picks {
        let why = said!(
            "{strings} strings at once, with {picks} picks.",
            strings = grip.strings.len(),
            picks
        );
        return Criterion::missed(said!("hands"), 1, 2, why, said!("Leave out what is doubled."));
    }
    match body::can_hold(&s.instrument, grip.place.stance) {
        Ok(()) => Criterion::met(said!("hands"), 2, said!("Hands, feet and knees can do it.")),
        Err(breach) => Criterion::missed(
            said!("hands"),
            0,
            2,
            breach.said().as_sentence(),
            said!("Let one of them go, and find the note elsewhere."),
        ),
    }
}

/// The criteria of several holds made one of each name: in full only where each is, with the reason of the first
/// that is not.
pub(super) fn merged(each: Vec<Vec<Criterion>>) -> Vec<Criterion> {
    let mut merged: Vec<Criterion> = Vec::new();
    let count = each.len();
    for (index, criteria) in each.into_iter().enumerate() {
        for mut criterion in criteria {
            if count > 1 && !criterion.is_met() {
                criterion.why = said!("Place {number}: {why}", number = index + 1, why = criterion.why);
                criterion.place = Some(index);
            }
            match merged.iter_mut().find(|m| m.name == criterion.name) {
                None => merged.push(criterion),
                Some(kept) if kept.is_met() && !criterion.is_met() => *kept = criterion,
                Some(kept) => kept.points = kept.points.min(criterion.points).min(kept.of),
            }
        }
    }
    merged
}

/// No points in any of the criteria of holds, because there are too few or too many.
pub(super) fn wrong_count(found: usize, wanted: usize) -> Criterion {
    let why = said!("{found} of {wanted} places are held.", found, wanted);
    let next = if found < wanted {
        said!("Hold the next one.")
    } else {
        said!("Take away what is too much.")
    };
    #[allow(clippy::cast_possible_truncation)] // held within two points
    let part = if found < wanted {
        (2 * found / wanted.max(1)) as u16
    } else {
        1
    };
    Criterion::missed(said!("places"), part, 3, why, next)
}
