//! The project file: everything a player has made, as readable JSON that later versions still open.
//!
//! ```json
//! {
//!   "leadbar": "project",
//!   "schema": 2,
//!   "songs": [
//!     { "chart": "key G; 1 4 5 1", "rig": { … }, "request": { … }, "kept": [ { "pass": … } ] }
//!   ]
//! }
//! ```
//!
//! A song is a [`Work`]: its chart as text, the instrument with what it has not got, what is asked of the solo,
//! and the passes that were kept, each with the chart it was made over. Keys that this version does not know are
//! kept as they are and written again.
//!
//! *Invariant:* reading never loses a chart that can be read, and believes no pass that `exchange::trust` doubts.

mod reading;
#[cfg(test)]
mod tests;

pub(super) use reading::read_song;

use super::work::Work;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use thiserror::Error;

/// The form this version writes. The first knew no slanted bar: it would have played such a pass straight.
pub const SCHEMA: u32 = 2;
/// The largest file that is read, in bytes.
pub const MOST_BYTES: usize = 32 << 20;

/// What tells a project file from other JSON.
const MARK: &str = "project";

/// Everything a player has made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Project {
    /// Always "project".
    leadbar: String,
    /// Which form the rest has.
    schema: u32,
    /// The songs, the one in hand first.
    pub songs: Vec<Work>,
    /// What this version does not know.
    #[serde(flatten)]
    pub other: Map<String, Value>,
}

/// A project as far as it could be read, and what could not be.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// What was understood.
    pub project: Project,
    /// What was not, each as a sentence for the player.
    pub notes: Vec<Said>,
}

/// Why a file can't be opened as a project.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum ProjectError {
    /// It is larger than [`MOST_BYTES`].
    TooLarge,
    /// It is not JSON.
    NotJson {
        /// Line, counted from 1.
        line: usize,
        /// Column, counted from 1.
        column: usize,
    },
    /// It is JSON of something else.
    NotAProject,
    /// A newer version wrote it.
    Newer {
        /// The charts that can be read.
        charts: Vec<String>,
    },
}

impl ProjectError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLarge => said!("this file is larger than any project: it is not opened"),
            Self::NotJson { line, column } => said!(
                "this is not a project file: line {line}, column {column} can't be read",
                line,
                column
            ),
            Self::NotAProject => said!("this file holds no project: choose one that was saved from this page"),
            Self::Newer { charts } => said!(
                "this project was saved by a newer version: load the page again, then open it again. \
                 The file stays as it is; {charts} of its charts can be opened meanwhile",
                charts = charts.len()
            ),
        }
    }
}

impl Project {
    /// A project of these songs.
    #[must_use]
    pub fn of(songs: Vec<Work>) -> Self {
        Self {
            leadbar: MARK.to_owned(),
            schema: SCHEMA,
            songs,
            other: Map::new(),
        }
    }

    /// The file's text.
    ///
    /// ```
    /// use leadbar::app::{Work, project::Project};
    /// let project = Project::of(vec![Work::on("key G; 1 4 5 1")]);
    /// let opened = Project::from_text(&project.to_text())?;
    /// assert_eq!((opened.project, opened.notes.len()), (project, 0));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn to_text(&self) -> String {
        // Plain data: there is nothing in it that JSON has no form for.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// Reads a file's text: a project, or the work as an earlier version kept it on the device.
    ///
    /// # Errors
    /// When it is no project, or of a newer form; then the error holds the charts that can be read.
    pub fn from_text(text: &str) -> Result<Opened, ProjectError> {
        reading::read(text)
    }
}
