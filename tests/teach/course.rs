//! The shipped course: every lesson is read, every example can be played, every exercise is solved by its model answer
//! and fails its typical wrong ones.

use leadbar::solo::{Limits, playable};
use leadbar::teach::lesson::{ExerciseBlock, PassBlock};
use leadbar::teach::{Course, Live};

/// Seeds tried of an exercise that is new each time.
const SEEDS: std::ops::Range<u64> = 1..6;

#[test]
fn every_shipped_lesson_is_read_without_a_fault() {
    let faults: Vec<String> = Course::shipped().faults.iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_example_can_be_played_and_every_exercise_solved() {
    let mut faults = Vec::new();
    for lesson in &Course::shipped().lessons {
        for live in lesson.lives() {
            let said = match live {
                Live::Pass(pass) => unplayable(pass),
                Live::Exercise(block) => unsolved(block),
                Live::Chart(_) | Live::Neck(_) => Vec::new(),
            };
            faults.extend(said.into_iter().map(|words| format!("{}: {words}", lesson.file)));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What a body can't do of an example.
fn unplayable(block: &PassBlock) -> Vec<String> {
    let limits = Limits::steady().unwrap();
    let caption = block.caption.as_deref().unwrap_or("an example");
    match block.pass(&limits) {
        Err(error) => vec![format!("{caption}: {error}")],
        Ok(pass) => {
            let tempo = block.timeline.tempo;
            let performance = pass.performance(&block.instrument, &limits, tempo);
            let breaches = playable::report(&performance, &block.instrument, tempo, &limits);
            breaches
                .iter()
                .map(|b| format!("{caption}: beat {}: {}", b.at, b.trouble.said().english()))
                .collect()
        }
    }
}

/// What is wrong with the marks of an exercise.
fn unsolved(block: &ExerciseBlock) -> Vec<String> {
    let kind = block.exercise.kind;
    let seeds = block.seed.map_or(SEEDS, |s| s..s + 1);
    let mut faults = Vec::new();
    for seed in seeds {
        let task = match block.exercise.task(seed) {
            Ok(task) => task,
            Err(error) => {
                faults.push(format!("{kind}, seed {seed}: {error}"));
                continue;
            }
        };
        if !task.mark(&task.model_answer()).is_right() {
            faults.push(format!("{kind}, seed {seed}: its model answer is not right"));
        }
        let passed = task.typical_wrong().into_iter().filter(|w| task.mark(w).is_right());
        faults.extend(passed.map(|w| format!("{kind}, seed {seed}: {w:?} passes")));
    }
    faults
}
