//! The shipped attitudes and limits, each read once, when it is first asked for.

use super::bench::Refused;
use crate::solo::{Feel, Level, Limits, Request};
use std::borrow::Cow;
use std::sync::OnceLock;

/// How many attitudes are shipped.
pub const COUNT: usize = Feel::SHIPPED.len();

/// The shipped attitudes, without those whose file is broken, which a test rules out.
pub fn shipped() -> impl Iterator<Item = &'static Feel> {
    static FEELS: [OnceLock<Option<Feel>>; COUNT] = [const { OnceLock::new() }; COUNT];
    let read =
        |(feel, text): (&'static OnceLock<Option<Feel>>, &str)| feel.get_or_init(|| Feel::parse(text).ok()).as_ref();
    FEELS.iter().zip(Feel::SHIPPED).filter_map(read)
}

/// The attitude of this id, or the first one.
#[must_use]
pub fn by_id(id: &str) -> Option<&'static Feel> {
    shipped().find(|feel| feel.id == id).or_else(|| shipped().next())
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
            assert!(shipped().any(|feel| feel.id == song.feel), "{}", song.id);
        }
        assert_eq!(shipped().count(), COUNT);
        assert!(Level::ALL.iter().all(|level| limits(*level).is_some()));
    }
}
