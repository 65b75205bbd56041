//! What was heard of a recording and corrected, as it is kept on the device until it is used or another one is heard.
//!
//! *Invariant:* what can't be read in full is let go: the recording can be heard again.

use super::{Hearing, Source};
use crate::exchange::json;
use crate::listen::song::HeardSong;
use serde::{Deserialize, Serialize};

/// The form this version writes, and the only one it reads.
const SCHEMA: u32 = 1;

#[derive(Serialize, Deserialize)]
struct Kept {
    schema: u32,
    source: Source,
    song: HeardSong,
}

impl Hearing {
    /// As text: the song as it is corrected by now. The way back is not in it.
    #[must_use]
    pub fn to_text(&self) -> String {
        let kept = Kept {
            schema: SCHEMA,
            source: self.source.clone(),
            song: self.song.clone(),
        };
        // Plain data: there is nothing in it that JSON has no form for.
        json::text(&kept)
    }

    /// Reads what was kept; nothing where it is damaged or of another version.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        let kept: Kept = serde_json::from_str(text).ok()?;
        let good = kept.schema == SCHEMA && kept.song.is_whole() && kept.source.length.0.is_finite();
        good.then(|| Self::new(kept.source, kept.song))
    }
}
