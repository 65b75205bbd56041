//! Lessons: a file of Markdown with a TOML head, and in it things to see, hear and try.
//!
//! ````text
//! +++
//! id = "grips"
//! title = "Three strings at a time"
//! part = "The neck"
//! needs = ["three-homes"]
//! skills = ["Find a major chord"]
//! minutes = 12
//! +++
//! Text, with blocks fenced by ``` whose word is chart, neck, pass or exercise.
//! ````
//!
//! *Invariant:* reading gives what was understood and every fault, each with its line and its remedy.

mod chart;
mod live;
mod neck;
mod pass;
mod prose;
#[cfg(test)]
mod tests;

pub use chart::ChartBlock;
pub use live::{ExerciseBlock, Live};
pub use neck::NeckBlock;
pub use pass::{PassBlock, Playing, pass_of};
pub use prose::{Block, Span};

use super::document::{self, Fields, Said};
use super::fault::{Fault, FaultKind};

/// What is told of a lesson before it is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// Short name: the file's, without its number.
    pub id: String,
    /// What the student reads.
    pub title: String,
    /// The part of the course, as the student reads it.
    pub part: String,
    /// Ids of the lessons it builds on.
    pub needs: Vec<String>,
    /// What its exercises train, in words; mastery is kept for each.
    pub skills: Vec<String>,
    /// How long it takes, in minutes.
    pub minutes: u8,
}

/// A lesson.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Its file, as it is named in the tree.
    pub file: String,
    /// Its head.
    pub head: Head,
    /// Its text and live blocks in order.
    pub blocks: Vec<Block>,
}

/// What was understood of a lesson's file, and what was not.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// The lesson; nothing when its head could not be read.
    pub lesson: Option<Lesson>,
    /// Every fault, in the order of the lines.
    pub faults: Vec<Fault>,
}

impl Lesson {
    /// The live blocks in order, those within lists and asides included.
    #[must_use]
    pub fn lives(&self) -> Vec<&Live> {
        let mut found = Vec::new();
        collect_lives(&self.blocks, &mut found);
        found
    }

    /// The exercises in order.
    pub fn exercises(&self) -> impl Iterator<Item = &ExerciseBlock> {
        self.lives().into_iter().filter_map(|live| match live {
            Live::Exercise(exercise) => Some(exercise),
            _ => None,
        })
    }
}

fn collect_lives<'l>(blocks: &'l [Block], found: &mut Vec<&'l Live>) {
    for block in blocks {
        match block {
            Block::Live(live) => found.push(live),
            Block::Aside(inner) => collect_lives(inner, found),
            Block::List(_, items) => items.iter().for_each(|item| collect_lives(item, found)),
            _ => {}
        }
    }
}

/// Reads the lesson of a file; `file` is its name in the tree, such as `lessons/02-neck/03-grips.md`.
#[must_use]
pub fn parse(file: &str, text: &str) -> Parsed {
    let mut said = Said::new(file);
    let lesson = lesson(file, text, &mut said);
    let mut faults = said.faults;
    faults.sort_by_key(|f| f.line);
    Parsed { lesson, faults }
}

/// Reads a lesson's head alone: enough for a list of lessons.
#[must_use]
pub fn parse_head(file: &str, text: &str) -> Option<Head> {
    let mut said = Said::new(file);
    let (head, _, _) = split(text, &mut said)?;
    document::read(head, 2, &mut said, read_head)
}

fn lesson(file: &str, text: &str, said: &mut Said) -> Option<Lesson> {
    let (head, body, body_line) = split(text, said)?;
    let head = document::read(head, 2, said, read_head);
    let skills = head.as_ref().map_or(Vec::new(), |h| h.skills.clone());
    let blocks = prose::parse(body, body_line, &skills, said);
    let head = head?;
    match id_of(file) {
        None => said.fault(1, FaultKind::FileName),
        Some(id) if id != head.id => said.fault(2, FaultKind::IdOfFile(head.id.clone(), id.to_owned())),
        Some(_) => {}
    }
    let file = file.to_owned();
    Some(Lesson { file, head, blocks })
}

/// Head, body, and the line the body begins on.
fn split<'t>(text: &'t str, said: &mut Said) -> Option<(&'t str, &'t str, usize)> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let Some(rest) = text
        .strip_prefix("+++")
        .and_then(|r| r.trim_start_matches('\r').strip_prefix('\n'))
    else {
        said.fault(1, FaultKind::NoHead);
        return None;
    };
    let mut at = 0;
    for line in rest.split_inclusive('\n') {
        if line.trim_end() == "+++" {
            let head = rest.get(..at)?;
            let body = rest.get(at + line.len()..)?;
            return Some((head, body, head.matches('\n').count() + 3));
        }
        at += line.len();
    }
    said.fault(1, FaultKind::OpenHead);
    None
}

fn read_head(fields: &mut Fields<'_, '_>) -> Option<Head> {
    fields.only(&["id", "title", "part", "needs", "skills", "minutes"]);
    let owned = |texts: Vec<&str>| texts.into_iter().map(str::to_owned).collect::<Vec<_>>();
    let id = fields.words("id", "id = \"grips\"").map(str::to_owned);
    let title = fields
        .words("title", "title = \"Three strings at a time\"")
        .map(str::to_owned);
    let part = fields.words("part", "part = \"The neck\"").map(str::to_owned);
    let needs = owned(fields.texts("needs"));
    fields.require("skills", "skills = [\"Find a major chord\"]");
    let skills = owned(fields.texts("skills"));
    let minutes = fields
        .require("minutes", "minutes = 12")
        .then(|| fields.whole("minutes", 1..=90))
        .flatten();
    Some(Head {
        id: id?,
        title: title?,
        part: part?,
        needs,
        skills,
        minutes: minutes?,
    })
}

/// The lesson's id in its file's name: `lessons/02-neck/03-grips.md` is "grips".
pub(super) fn id_of(file: &str) -> Option<&str> {
    let (folder, name) = file.rsplit_once('/')?;
    after_number(folder.rsplit('/').next()?)?;
    after_number(name.strip_suffix(".md")?)
}

/// What follows two digits and a dash.
fn after_number(name: &str) -> Option<&str> {
    let (number, rest) = name.split_once('-')?;
    (number.len() == 2 && number.bytes().all(|b| b.is_ascii_digit()) && !rest.is_empty()).then_some(rest)
}
