//! What is read of texts that were kept. A first visit has none, so its frame comes without the code.

use super::saving::Unsaved;
use crate::app::shelf::{Record, RecordError, Setup, Taken};
use crate::app::snapshot::{Snapshot, SnapshotError};
use crate::platform::apart::apart;

apart! {
    /// Reads a record.
    pub(super) fn record(text: String) -> Result<Taken, RecordError>, in later {
        Record::take(&text)
    }

    /// Reads how the page was left.
    pub(super) fn setup(text: String) -> Option<Setup>, in later {
        Setup::from_text(&text)
    }

    /// Reads what could not be put on the shelf.
    pub(super) fn unsaved(text: String) -> Option<Unsaved>, in later {
        serde_json::from_str(&text).ok()
    }

    /// Reads what the first versions kept.
    pub(super) fn snapshot(text: String) -> Result<Snapshot, SnapshotError>, in later {
        Snapshot::from_text(&text)
    }
}
