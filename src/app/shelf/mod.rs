//! The shelf: every song on the device, each a record of its own.
//!
//! ```json
//! { "schema": 2, "revision": 7, "changed": 1767225600000, "name": "Mill Song", "touched": true, "work": { … } }
//! ```
//!
//! *Invariant:* a record is written over only by someone who has seen it (see [`Label::fits`]), and never if it can't
//! be read in full: what is understood of it is then opened as another song, and the record stays as it is.

mod names;
mod patience;
mod setup;
mod versions;

pub use super::song_id::SongId;
pub use names::renamed;
pub use patience::patience;
pub use setup::Setup;
pub use versions::{due, spare};

use super::project::read_song;
use super::reading::Reading;
use super::songs::DEMO_SONGS;
use super::work::Work;
use crate::exchange::json;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use thiserror::Error;

/// The form this version writes. The first was the one piece of work of [`super::snapshot`].
pub const SCHEMA: u32 = 2;

/// A moment by the device's clock, in milliseconds since 1970 began (UTC).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct When(pub u64);

/// What a record says about itself without its work being read.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Label {
    /// Which form it has.
    pub schema: u32,
    /// How often it has been written; each writing adds one.
    pub revision: u32,
    /// When it was written.
    pub changed: When,
    /// What the song is called.
    #[serde(default)]
    pub name: String,
    /// Whether the player has done anything to it.
    #[serde(default)]
    pub touched: bool,
    /// When it was removed, if it was.
    #[serde(default)]
    pub removed: Option<When>,
}

impl Label {
    /// Whether whoever saw `seen` (nothing: no record) may write over this one (nothing: there is none).
    #[must_use]
    pub fn fits(there: Option<&Self>, seen: Option<u32>) -> bool {
        there.map(|label| label.revision) == seen && there.is_none_or(|label| label.schema <= SCHEMA)
    }
}

/// A song as it is kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Record {
    schema: u32,
    /// How often it has been written; each writing adds one.
    pub revision: u32,
    /// When it was written.
    pub changed: When,
    name: String,
    /// Whether the player has done anything to it.
    pub touched: bool,
    /// When it was removed, if it was: it can still be brought back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub removed: Option<When>,
    /// The song.
    pub work: Work,
}

/// A record as far as it could be read.
#[derive(Debug, Clone, PartialEq)]
pub enum Taken {
    /// All of it.
    Whole(Box<Record>),
    /// Some of it: to be gone on with as another song.
    InPart {
        /// What was understood.
        work: Box<Work>,
        /// What was not, as a sentence for the player.
        note: Said,
    },
}

/// Why a record gives nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum RecordError {
    /// Not even its chart can be read.
    Unreadable,
}

impl RecordError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Unreadable => said!("This song can't be read. It stays on the device as it is."),
        }
    }
}

impl Record {
    /// What is to be kept of a song, written after `seen`.
    #[must_use]
    pub fn of(work: &Work, seen: Option<u32>, changed: When, touched: bool) -> Self {
        Self {
            schema: SCHEMA,
            revision: seen.unwrap_or_default().wrapping_add(1),
            changed,
            name: name_of(work),
            touched,
            removed: None,
            work: work.clone(),
        }
    }

    /// As text.
    #[must_use]
    pub fn to_text(&self) -> String {
        // Plain data: there is nothing in it that JSON has no form for.
        json::text(self)
    }

    /// Reads a record.
    ///
    /// # Errors
    /// When not even its chart can be read.
    pub fn take(text: &str) -> Result<Taken, RecordError> {
        let value: Value = serde_json::from_str(text).map_err(|_| RecordError::Unreadable)?;
        let newer = value.get("schema").and_then(Value::as_u64).unwrap_or_default() > u64::from(SCHEMA);
        let song = value.get("work").cloned().unwrap_or_default();
        let (work, mut notes) = read_song(song);
        let work = work.ok_or(RecordError::Unreadable)?;
        if newer {
            notes = vec![said!(
                "A newer version keeps this song: it stays as it is, and what could be read of it is open as another."
            )];
        }
        if notes.is_empty()
            && let Ok(record) = serde_json::from_value::<Self>(value)
        {
            return Ok(Taken::Whole(Box::new(Self { work, ..record })));
        }
        let note = notes
            .into_iter()
            .next()
            .unwrap_or_else(|| said!("This song could be read in part only."));
        Ok(Taken::InPart {
            work: Box::new(work),
            note,
        })
    }
}

/// What a song is called on the shelf.
#[must_use]
pub fn name_of(work: &Work) -> String {
    Reading::of(&work.chart)
        .title
        .unwrap_or_else(|| "Untitled song".to_owned())
}

/// Whether a song that has just been opened can be had again from elsewhere: it comes with the page, is empty, or is
/// that of a pass that is kept. As long as nothing is done to it, it need not stay on the shelf.
#[must_use]
pub fn is_to_be_had_again(work: &Work) -> bool {
    work.chart.trim().is_empty()
        || DEMO_SONGS.iter().any(|demo| demo.chart == &*work.chart)
        || work.kept.iter().any(|kept| kept.chart == work.chart)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A record's label; the page has the browser read the text.
    fn label(text: &str) -> Option<Label> {
        serde_json::from_str(text).ok()
    }

    fn record() -> Record {
        Record::of(&Work::on("Mill Song, key Eb; 1 4 5 1"), Some(3), When(1000), true)
    }

    #[test]
    fn what_is_kept_comes_back_as_it_was() {
        let text = record().to_text();
        assert_eq!(Record::take(&text), Ok(Taken::Whole(Box::new(record()))));
        let label = label(&text).unwrap();
        assert_eq!(
            (label.revision, label.name.as_str(), label.changed),
            (4, "Mill Song", When(1000))
        );
    }

    #[test]
    fn the_first_record_of_this_form_still_opens() {
        let Ok(Taken::Whole(record)) = Record::take(include_str!("record-2.json")) else {
            panic!("not whole")
        };
        assert_eq!(&*record.work.chart, "Mill Song, key Eb; 1 4 5 1");
        assert_eq!(record.work.request.feel, "blues");
        assert_eq!(record.work.kept.len(), 1);
    }

    #[test]
    fn nobody_writes_over_what_they_have_not_seen() {
        let there = label(&record().to_text());
        assert!(Label::fits(there.as_ref(), Some(4)));
        assert!(!Label::fits(there.as_ref(), Some(3)), "written meanwhile");
        assert!(!Label::fits(there.as_ref(), None), "there already");
        assert!(!Label::fits(None, Some(4)), "gone meanwhile");
        assert!(Label::fits(None, None));
        let newer = label(&record().to_text().replace("\"schema\":2", "\"schema\":9"));
        assert!(
            !Label::fits(newer.as_ref(), Some(4)),
            "a newer version's stays as it is"
        );
    }

    #[test]
    fn a_newer_form_gives_what_can_be_read_as_another_song() {
        let text = record().to_text().replace("\"schema\":2", "\"schema\":9");
        let Ok(Taken::InPart { work, note }) = Record::take(&text) else {
            panic!("whole")
        };
        assert_eq!(work.chart, record().work.chart);
        assert!(note.english().contains("newer version"), "{note:?}");
        let changed = text.replace("\"request\"", "\"asked\"");
        assert!(matches!(Record::take(&changed), Ok(Taken::InPart { .. })));
    }

    #[test]
    fn damaged_records_are_refused_without_a_panic() {
        let whole = record().to_text();
        for end in (0..whole.len()).filter(|end| whole.is_char_boundary(*end)) {
            assert_eq!(Record::take(&whole[..end]), Err(RecordError::Unreadable));
            assert_eq!(label(&whole[..end]), None);
        }
        assert_eq!(Record::take("[]"), Err(RecordError::Unreadable));
    }

    #[test]
    fn only_what_can_be_had_again_need_not_stay() {
        assert!(is_to_be_had_again(&Work::on(DEMO_SONGS[2].chart)));
        assert!(is_to_be_had_again(&Work::on(" \n")));
        assert!(!is_to_be_had_again(&Work::on("key G; 1 4 5 1")));
    }

    #[test]
    fn a_songs_name_is_read_back() {
        let id = SongId::new(0xabc);
        assert_eq!(id.to_string().parse(), Ok(id));
        assert_ne!(SongId::new(u64::MAX).next(), SongId::NONE);
        assert!("song".parse::<SongId>().is_err());
    }
}
