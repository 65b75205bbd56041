//! Packages that learning platforms run, by SCORM 1.2: ADL, "SCORM Version 1.2, The SCORM Content Aggregation Model"
//! and "The SCORM Run-Time Environment", both of 2001.
//!
//! A package is a copy of the whole page with a manifest, and with one line in its entry page that says what is inside.
//! It sends nothing anywhere: it calls the functions that the platform's own page offers.
//!
//! *Invariant:* what is told a platform is computed here; the page only hands it over.

mod manifest;
mod report;
mod suspend;

pub use manifest::{CONTENT, ENTRY, Manifest, PackageError, entry_page, listed};
pub use report::{Report, Standing, Status, timespan};
pub use suspend::{
    MOST_SUSPENDED, ResumeError, Suspended, resume_attempt, resume_progress, suspend_attempt, suspend_progress,
};

use super::Assignment;
use super::course;
use crate::exchange::link::{self, LinkError};

/// What a package holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// Work that a teacher set.
    Work(Box<Assignment>),
    /// The whole course.
    Course,
}

/// How the entry page says that it holds the course.
const COURSE: &str = "course";

impl Content {
    /// As one word, for the entry page.
    ///
    /// # Errors
    /// When the work is too long for a link.
    pub fn word(&self) -> Result<String, LinkError> {
        match self {
            Self::Work(work) => link::write(work.as_ref()),
            Self::Course => Ok(COURSE.to_owned()),
        }
    }

    /// Reads the word of an entry page.
    ///
    /// # Errors
    /// When it is no word that was written here.
    pub fn read(word: &str) -> Result<Self, LinkError> {
        match word {
            COURSE => Ok(Self::Course),
            word => link::read(word).map(|work| Self::Work(Box::new(work))),
        }
    }

    /// What the platform calls it.
    #[must_use]
    pub fn title(&self) -> String {
        match self {
            Self::Work(work) if work.title.trim().is_empty() => "Work".to_owned(),
            Self::Work(work) => work.title.trim().to_owned(),
            Self::Course => course::TITLE.to_owned(),
        }
    }

    /// What sets it apart from other packages on one platform.
    #[must_use]
    pub fn id(&self) -> String {
        match self {
            Self::Work(work) => format!("leadbar-{}", work.id()),
            Self::Course => "leadbar-course".to_owned(),
        }
    }
}
