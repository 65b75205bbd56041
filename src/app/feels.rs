//! The shipped attitudes and limits, read once.

use super::bench::Refused;
use crate::solo::{Feel, Level, Limits, Request};
use std::borrow::Cow;
use std::sync::OnceLock;

/// The shipped attitudes. Empty only when a shipped file is broken, which a test rules out.
#[must_use]
pub fn shipped() -> &'static [Feel] {
    static FEELS: OnceLock<Vec<Feel>> = OnceLock::new();
    FEELS.get_or_init(|| Feel::shipped().unwrap_or_default())
}

/// The attitude of this id, or the first one.
#[must_use]
pub fn by_id(id: &str) -> Option<&'static Feel> {
    shipped()
        .iter()
        .find(|feel| feel.id == id)
        .or_else(|| shipped().first())
}

/// The attitude a request asks for, another one mixed in where it wishes so.
#[must_use]
pub fn wanted(request: &Request) -> Option<Cow<'static, Feel>> {
    let own = by_id(&request.feel)?;
    let other = request
        .blend
        .as_ref()
        .and_then(|blend| Some((by_id(&blend.with)?, blend.part)));
    Some(match other {
        Some((other, part)) if part > 0.0 => Cow::Owned(own.blended(other, part)),
        _ => Cow::Borrowed(own),
    })
}

/// Why nothing can be worked out when the shipped attitudes or limits can't be read.
#[must_use]
pub(super) fn unread() -> Refused {
    Refused(said!(
        "the attitudes that come with the page can't be read: load the page again"
    ))
}

/// What a player of a level can do: the limits that passes for them are drafted and checked with.
#[must_use]
pub fn limits(level: Level) -> Option<&'static Limits> {
    static LIMITS: [OnceLock<Option<Limits>>; Level::ALL.len()] = [const { OnceLock::new() }; Level::ALL.len()];
    LIMITS
        .get(level as usize)?
        .get_or_init(|| Limits::of(level).ok())
        .as_ref()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::DEMO_SONGS;

    #[test]
    fn every_demo_song_names_a_shipped_attitude() {
        for song in DEMO_SONGS {
            assert!(shipped().iter().any(|feel| feel.id == song.feel), "{}", song.id);
        }
        assert!(Level::ALL.iter().all(|level| limits(*level).is_some()));
    }
}
