//! A project's text read song by song, so that a fault in one costs none of the others.

use super::{MARK, MOST_BYTES, Opened, Project, ProjectError, SCHEMA};
use crate::app::lineage::{Kept, Lineage};
use crate::app::work::Work;
use crate::exchange::trust;
use crate::words::Said;
use serde_json::{Map, Value};
use std::sync::Arc;

/// The most sentences about what could not be read.
const MOST_NOTES: usize = 20;

pub(super) fn read(text: &str) -> Result<Opened, ProjectError> {
    if text.len() > MOST_BYTES {
        return Err(ProjectError::TooLarge);
    }
    let value: Value = serde_json::from_str(text).map_err(|error| ProjectError::NotJson {
        line: error.line(),
        column: error.column(),
    })?;
    let Value::Object(mut file) = value else {
        return Err(ProjectError::NotAProject);
    };
    let songs = songs(&mut file)?;
    let schema = file.get("schema").and_then(Value::as_u64).unwrap_or_default();
    if schema > u64::from(SCHEMA) {
        return Err(ProjectError::Newer {
            charts: songs.iter().filter_map(chart).collect(),
        });
    }
    let mut reader = Reader::default();
    let songs = songs.into_iter().filter_map(|song| reader.song(song)).collect();
    for known in ["leadbar", "schema"] {
        file.remove(known);
    }
    let mut project = Project::of(songs);
    project.other = file;
    reader.notes.truncate(MOST_NOTES);
    Ok(Opened {
        project,
        notes: reader.notes,
    })
}

/// Reads one song by itself: what was understood of it, and what was not.
pub(in crate::app) fn read_song(song: Value) -> (Option<Work>, Vec<Said>) {
    let mut reader = Reader::default();
    let work = reader.song(song);
    (work, reader.notes)
}

/// The songs of a file, taken out of it: a project's, or the one that a device kept.
fn songs(file: &mut Map<String, Value>) -> Result<Vec<Value>, ProjectError> {
    if file.get("leadbar").and_then(Value::as_str) == Some(MARK) {
        return match file.remove("songs") {
            Some(Value::Array(songs)) => Ok(songs),
            _ => Err(ProjectError::NotAProject),
        };
    }
    match file.remove("work") {
        Some(work) if chart(&work).is_some() => {
            file.remove("desk");
            Ok(vec![work])
        }
        _ => Err(ProjectError::NotAProject),
    }
}

fn chart(song: &Value) -> Option<String> {
    song.get("chart").and_then(Value::as_str).map(str::to_owned)
}

/// Reads songs and gathers what could not be read of them.
#[derive(Default)]
struct Reader {
    notes: Vec<Said>,
    /// The songs seen so far.
    seen: usize,
}

impl Reader {
    fn song(&mut self, mut song: Value) -> Option<Work> {
        self.seen += 1;
        let Some(text) = chart(&song) else {
            self.note(said!(
                "Song {number} has no chart, so it is left out.",
                number = self.seen
            ));
            return None;
        };
        if trust::chart(&text).is_err() {
            self.note(said!(
                "Song {number} has a chart that is too long, so it is left out.",
                number = self.seen
            ));
            return None;
        }
        let kept = song.get_mut("kept").map(Value::take);
        if let Some(fields) = song.as_object_mut() {
            fields.remove("kept");
        }
        let mut work = match serde_json::from_value::<Work>(song) {
            Ok(work) if trust::request(&work.request).is_ok() => work,
            _ => {
                self.note(said!(
                    "Song {number} could be read in part only: its chart is here, the rest starts fresh.",
                    number = self.seen
                ));
                Work::on(&text)
            }
        };
        if !work.takes.is_empty() {
            work.takes = Arc::new(Arc::unwrap_or_clone(work.takes).believed());
        }
        work.attitudes = std::mem::take(&mut work.attitudes).believed();
        if let Some(kept) = kept {
            work.kept = self.kept(kept);
        }
        Some(work)
    }

    fn kept(&mut self, kept: Value) -> Lineage {
        let sound = |kept: &Kept| {
            let looked_over = trust::chart(&kept.chart).and_then(|()| trust::pass(&kept.pass));
            looked_over.map_err(|doubt| doubt.said())
        };
        let (lineage, doubts) = Lineage::read(kept, sound);
        for (index, why) in doubts {
            self.note(said!(
                "Song {number} has a kept pass, number {pass}, that can't be read: {why}.",
                number = self.seen,
                pass = index + 1,
                why
            ));
        }
        lineage
    }

    fn note(&mut self, words: Said) {
        self.notes.push(words);
    }
}
