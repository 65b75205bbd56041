//! The course that comes with the program: every lesson file of the tree, in the order of their numbers.
//!
//! *Invariant:* the list is the folder's; adding a lesson needs no Rust.

use super::document::Said;
use super::fault::{Fault, FaultKind};
use super::lesson::{self, Block, Head, Lesson, Span};
use std::collections::HashMap;

/// What the course is called.
pub const TITLE: &str = "From a number to a solo";

/// File and text of each lesson, by name; made by the build script from the folder.
const FILES: &[(&str, &str)] = &include!(concat!(env!("OUT_DIR"), "/lessons.rs"));

/// The lessons of the course that were understood, and every fault of their files.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Course {
    /// The lessons in order.
    pub lessons: Vec<Lesson>,
    /// What is wrong with them; a test keeps this empty for those that are shipped.
    pub faults: Vec<Fault>,
}

/// The heads of the shipped lessons in order: enough to list them.
#[must_use]
pub fn heads() -> Vec<Head> {
    FILES
        .iter()
        .filter_map(|(file, text)| lesson::parse_head(file, text))
        .collect()
}

/// The shipped lesson called `id`.
#[must_use]
pub fn lesson(id: &str) -> Option<Lesson> {
    let file = FILES.iter().find(|(file, _)| lesson::id_of(file) == Some(id));
    file.and_then(|(file, text)| lesson::parse(file, text).lesson)
}

impl Course {
    /// The course that comes with the program.
    #[must_use]
    pub fn shipped() -> Self {
        Self::of(FILES)
    }

    /// The course of these files and texts, in their order.
    #[must_use]
    pub fn of(files: &[(&str, &str)]) -> Self {
        let mut course = Self::default();
        for (file, text) in files {
            let parsed = lesson::parse(file, text);
            course.faults.extend(parsed.faults);
            course.lessons.extend(parsed.lesson);
        }
        let faults = course.between();
        course.faults.extend(faults);
        course
    }

    /// The lesson called `id`.
    #[must_use]
    pub fn lesson(&self, id: &str) -> Option<&Lesson> {
        self.lessons.iter().find(|l| l.head.id == id)
    }

    /// What is wrong between the lessons: ids taken twice, needs and links that lead nowhere.
    fn between(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        let mut order: HashMap<&str, usize> = HashMap::new();
        for (index, lesson) in self.lessons.iter().enumerate() {
            if let Some(first) = order.get(lesson.head.id.as_str()).and_then(|i| self.lessons.get(*i)) {
                let mut said = Said::new(&lesson.file);
                said.fault(2, FaultKind::Taken(lesson.head.id.clone(), first.file.clone()));
                faults.extend(said.faults);
            } else {
                order.insert(&lesson.head.id, index);
            }
        }
        for (index, lesson) in self.lessons.iter().enumerate() {
            let mut said = Said::new(&lesson.file);
            for need in &lesson.head.needs {
                match order.get(need.as_str()) {
                    None => said.fault(2, FaultKind::NoLesson(need.clone())),
                    Some(other) if *other >= index => said.fault(2, FaultKind::Later(need.clone())),
                    Some(_) => {}
                }
            }
            let mut links = Vec::new();
            links_of(&lesson.blocks, &mut links);
            for link in links.into_iter().filter(|l| !order.contains_key(l)) {
                said.fault(1, FaultKind::NoLesson(link.to_owned()));
            }
            faults.extend(said.faults);
        }
        faults
    }
}

fn links_of<'l>(blocks: &'l [Block], found: &mut Vec<&'l str>) {
    for block in blocks {
        match block {
            Block::Heading(_, spans) | Block::Paragraph(spans) => links_in(spans, found),
            Block::List(_, items) => items.iter().for_each(|item| links_of(item, found)),
            Block::Aside(inner) => links_of(inner, found),
            Block::Table(head, rows) => {
                let cells = head.iter().chain(rows.iter().flatten());
                cells.for_each(|cell| links_in(cell, found));
            }
            Block::Plain(_) | Block::Live(_) => {}
        }
    }
}

fn links_in<'l>(spans: &'l [Span], found: &mut Vec<&'l str>) {
    for span in spans {
        match span {
            Span::Lesson { id, .. } => found.push(id),
            Span::Emphasis(inner) | Span::Strong(inner) => links_in(inner, found),
            Span::Text(_) | Span::Code(_) | Span::Break => {}
        }
    }
}
