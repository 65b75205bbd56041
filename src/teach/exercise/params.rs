//! An exercise's parameters as a lesson file writes them.

use super::{Exercise, Kind};
use crate::steel::Instrument;
use crate::steel::instrument::shipped;
use crate::teach::document::Fields;
use crate::teach::fault::FaultKind;
use crate::theory::{Tempo, chart};

/// Keys of every exercise block.
const COMMON: [&str; 4] = ["kind", "seed", "skill", "caption"];

/// What `seed` says when each try is to be a new one.
const NEW: &str = "new each time";

/// Reads the exercise of a block.
pub(in crate::teach) fn read(fields: &mut Fields<'_, '_>) -> Option<Exercise> {
    let kinds: Vec<(String, Kind)> = Kind::ALL.iter().map(|k| (k.id().to_owned(), *k)).collect();
    fields.require("kind", "kind = \"find-chord\"");
    let kind = fields.one_of("kind", "kind of exercise", &kinds)?;
    let known: Vec<&'static str> = COMMON.iter().chain(kind.parameters()).copied().collect();
    fields.only(&known);
    let mut exercise = Exercise::of(kind);
    exercise.keys = fields.reads("key");
    exercise.chords = fields.reads("chords");
    exercise.chart = chart_body(fields);
    exercise.instrument = instrument(fields);
    exercise.changes = fields.texts("changes").into_iter().map(str::to_owned).collect();
    check_changes(fields, &exercise);
    exercise.bars = fields.whole("bars", 1..=8);
    exercise.places = fields.whole("places", 1..=4);
    exercise.tempo = fields.number("tempo", 40.0..=200.0).map(Tempo);
    Some(exercise)
}

/// The block's seed: its only task's, or nothing when each try is a new one. Nothing at all when it can't be read.
#[allow(clippy::option_option)]
pub(in crate::teach) fn seed(fields: &mut Fields<'_, '_>) -> Option<Option<u64>> {
    if !fields.has("seed") {
        return Some(None);
    }
    match fields.word("seed") {
        Some(NEW) => Some(None),
        Some(_) => {
            let wanted = "a whole number, or \"new each time\"";
            fields.fault("seed", FaultKind::Kind { key: "seed", wanted });
            None
        }
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0..=1e9
        None => fields.number("seed", 0.0..=1e9).map(|n| Some(n as u64)),
    }
}

/// Bars as numbers; the heading is the task's.
fn chart_body(fields: &mut Fields<'_, '_>) -> Option<String> {
    let text = fields.text("chart")?;
    let parsed = chart::parse(&format!("key C; {text}"));
    for problem in &parsed.problems {
        fields.fault("chart", FaultKind::Told(problem.words.english()));
    }
    parsed.problems.is_empty().then(|| text.to_owned())
}

fn instrument(fields: &mut Fields<'_, '_>) -> Option<String> {
    let known: Vec<(String, String)> = shipped::ids().map(|id| (id.to_owned(), id.to_owned())).collect();
    fields.one_of("instrument", "instrument", &known)
}

fn check_changes(fields: &mut Fields<'_, '_>, exercise: &Exercise) {
    let id = exercise.instrument.as_deref().or_else(|| shipped::ids().next());
    let Some(instrument) = id.and_then(Instrument::shipped) else {
        return;
    };
    for name in &exercise.changes {
        if instrument.change_named(name).is_none() {
            fields.fault("changes", FaultKind::no_such_change(&instrument, name));
        }
    }
}
