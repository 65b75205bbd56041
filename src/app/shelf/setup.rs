//! How the page was left: the desk, and the song that lay on it.

use super::{SCHEMA, SongId};
use crate::app::desk::Desk;
use crate::exchange::json;
use serde::{Deserialize, Serialize};

/// The desk and the song that was open last.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    schema: u32,
    song: String,
    desk: Desk,
}

impl Setup {
    /// What is to be kept.
    #[must_use]
    pub fn of(desk: &Desk, song: SongId) -> Self {
        Self {
            schema: SCHEMA,
            song: song.to_string(),
            desk: desk.clone(),
        }
    }

    /// As text.
    #[must_use]
    pub fn to_text(&self) -> String {
        // Plain data: there is nothing in it that JSON has no form for.
        json::text(self)
    }

    /// Reads what was kept: a desk that can't be read is set up anew.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    /// The song that was open.
    #[must_use]
    pub fn song(&self) -> Option<SongId> {
        self.song.parse().ok().filter(|id| *id != SongId::NONE)
    }

    /// The desk, its levels within their ranges.
    #[must_use]
    pub fn desk(self) -> Desk {
        let levels = self.desk.levels.sane();
        Desk { levels, ..self.desk }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::desk::View;

    #[test]
    fn the_page_is_found_as_it_was_left_and_a_damaged_desk_is_set_up_anew() {
        let desk = Desk {
            view: View::Rig,
            ..Desk::default()
        };
        let setup = Setup::of(&desk, SongId::new(5));
        let back = Setup::from_text(&setup.to_text()).unwrap();
        assert_eq!((back.song(), back.desk()), (Some(SongId::new(5)), desk));
        assert_eq!(Setup::from_text("{\"schema\":2"), None);
        assert_eq!(Setup::of(&Desk::default(), SongId::NONE).song(), None);
    }
}
