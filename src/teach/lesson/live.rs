//! The live blocks of a lesson: what can be seen, heard or tried.

use super::chart::{self, ChartBlock};
use super::neck::{self, NeckBlock};
use super::pass::{self, PassBlock};
use crate::teach::document::{self, Fields, Said};
use crate::teach::exercise::{Exercise, params};
use crate::teach::fault::{FaultKind, nearest};

/// The words that make a fenced block live.
const WORDS: [&str; 4] = ["chart", "neck", "pass", "exercise"];

/// A live block.
#[derive(Debug, Clone, PartialEq)]
pub enum Live {
    /// A chart that can be played.
    Chart(ChartBlock),
    /// A place on the neck.
    Neck(NeckBlock),
    /// Something played.
    Pass(PassBlock),
    /// Something to do.
    Exercise(ExerciseBlock),
}

/// An exercise in a lesson.
#[derive(Debug, Clone, PartialEq)]
pub struct ExerciseBlock {
    /// What is asked.
    pub exercise: Exercise,
    /// The seed of its only task; nothing when each try has a new one.
    pub seed: Option<u64>,
    /// The skill it trains: one of the lesson's.
    pub skill: String,
    /// A line above it.
    pub caption: Option<String>,
}

/// Reads the block fenced with `word` whose text begins at `line`.
pub(super) fn parse(word: &str, text: &str, line: usize, skills: &[String], said: &mut Said) -> Option<Live> {
    match word {
        "chart" => chart::read(text, line, said).map(Live::Chart),
        "neck" => document::read(text, line, said, neck::read).map(Live::Neck),
        "pass" => document::read(text, line, said, pass::read).map(Live::Pass),
        "exercise" => document::read(text, line, said, |f| exercise(f, skills)).map(Live::Exercise),
        other => {
            let near = nearest(other, &WORDS).map(|w| (*w).to_owned());
            let known = WORDS.iter().map(|w| (*w).to_owned()).collect();
            let (what, word) = ("live block", other.to_owned());
            let kind = FaultKind::NoSuch {
                what,
                word,
                near,
                known,
            };
            said.fault(line.saturating_sub(1), kind);
            None
        }
    }
}

fn exercise(fields: &mut Fields<'_, '_>, skills: &[String]) -> Option<ExerciseBlock> {
    let exercise = params::read(fields);
    let seed = params::seed(fields);
    let caption = fields.text("caption").map(str::to_owned);
    let skill = match fields.text("skill") {
        Some(skill) => {
            if !skills.iter().any(|s| s == skill) {
                fields.fault("skill", FaultKind::Skill(skill.to_owned()));
            }
            Some(skill.to_owned())
        }
        None => skills.first().cloned(),
    };
    Some(ExerciseBlock {
        exercise: exercise?,
        seed: seed?,
        skill: skill?,
        caption,
    })
}
