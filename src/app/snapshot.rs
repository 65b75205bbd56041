//! A session as it is kept on the device.
//!
//! *Invariant:* whatever version wrote it, reading never loses the chart: what cannot be understood falls back
//! to what a fresh session has.

use super::desk::Desk;
use super::work::Work;
use crate::exchange::json;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The form this version writes.
pub const SCHEMA: u32 = 1;

/// Work and desk, with the version of their form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// Which form the rest has.
    pub schema: u32,
    /// The work in hand.
    pub work: Work,
    /// The desk it lies on.
    pub desk: Desk,
}

/// Why kept work cannot be taken up again as it was.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum SnapshotError {
    /// Nothing of it can be read.
    Unreadable,
    /// Only the chart can be read.
    ChartOnly {
        /// The chart.
        chart: String,
    },
}

impl SnapshotError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Unreadable => said!("the work kept on this device can't be read; a demo song is open instead"),
            Self::ChartOnly { .. } => {
                said!("only the chart of the work kept on this device could be read; the rest starts fresh")
            }
        }
    }
}

impl Snapshot {
    /// What is to be kept.
    #[must_use]
    pub fn of(work: &Work, desk: &Desk) -> Self {
        Self {
            schema: SCHEMA,
            work: work.clone(),
            desk: desk.clone(),
        }
    }

    /// As text. It cannot fail for want of memory or form: all fields are plain data.
    #[must_use]
    pub fn to_text(&self) -> String {
        json::text(self)
    }

    /// Reads kept work.
    ///
    /// # Errors
    /// When it is damaged or of a newer form; the error holds the chart if that much can be read.
    pub fn from_text(text: &str) -> Result<Self, SnapshotError> {
        let value: serde_json::Value = serde_json::from_str(text).map_err(|_| SnapshotError::Unreadable)?;
        let chart = value["work"]["chart"].as_str();
        let chart_only = chart.map_or(SnapshotError::Unreadable, |chart| SnapshotError::ChartOnly {
            chart: chart.to_owned(),
        });
        match serde_json::from_value::<Self>(value) {
            Ok(mut snapshot) if snapshot.schema == SCHEMA => {
                snapshot.desk.levels = snapshot.desk.levels.sane();
                Ok(snapshot)
            }
            _ => Err(chart_only),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn snapshot() -> Snapshot {
        Snapshot::of(&Work::on("key Eb; 1 4 5 1"), &Desk::default())
    }

    #[test]
    fn what_is_kept_comes_back_as_it_was() {
        let kept = snapshot();
        assert_eq!(Snapshot::from_text(&kept.to_text()), Ok(kept));
    }

    #[test]
    fn a_newer_form_still_gives_the_chart() {
        let text = snapshot().to_text().replace("\"schema\":1", "\"schema\":99");
        let chart = "key Eb; 1 4 5 1".to_owned();
        assert_eq!(Snapshot::from_text(&text), Err(SnapshotError::ChartOnly { chart }));
    }

    #[test]
    fn damaged_text_is_refused_without_a_panic() {
        let whole = snapshot().to_text();
        for end in (0..whole.len()).filter(|end| whole.is_char_boundary(*end)) {
            assert!(Snapshot::from_text(&whole[..end]).is_err());
        }
    }
}
