//! Things small enough to travel in a page's address, behind the `#`: nothing is sent to any server.
//!
//! A link is `open=` and, in the alphabet of addresses (base64url, RFC 4648 section 5, unpadded):
//!
//! | bytes | what |
//! |---|---|
//! | 1 | the version of this form, [`VERSION`] |
//! | 1 | what is inside, a [`Kind`] |
//! | 4 | CRC-32 of the other bytes, smallest byte first |
//! | the rest | JSON in UTF-8, deflated (RFC 1951) |
//!
//! *Invariant:* whatever the text, reading it takes time and memory bounded by [`MOST_CHARACTERS`] and
//! [`MOST_BYTES`], and nothing of it is believed before [`Linked::check`] has passed it. The checksum finds
//! damage; it proves nothing about who made the link.

use crate::words::Said;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::decompress_to_vec_with_limit;
use serde::Serialize;
use serde::de::DeserializeOwned;
use thiserror::Error;

/// The form that is written. The first knew no slanted bar: its pages would play such a pass straight, unsaid, so
/// they must refuse what is written now.
pub const VERSION: u8 = 2;
/// The oldest form that is read.
const OLDEST: u8 = 1;
/// The longest link that is written or read, in characters. Browsers take far more; mails and forms do not.
pub const MOST_CHARACTERS: usize = 16_384;
/// From this many characters on a link is apt to be broken by what carries it. A judgement, not a measurement.
pub const LONG_CHARACTERS: usize = 2_000;
/// The most that a link may hold once it is inflated, in bytes.
pub const MOST_BYTES: usize = 1 << 18;

/// What every link begins with.
const LEAD: &str = "open=";
/// Version, kind and checksum.
const HEAD: usize = 6;
/// How hard deflate tries, 0 to 10.
const EFFORT: u8 = 9;

/// What is inside a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A song: its chart and what is asked of the solo.
    Song,
    /// A pass with the chart and the instrument it is for.
    Pass,
    /// Work that a teacher sets.
    Assignment,
    /// What a student hands in.
    Answer,
    /// An instrument by itself.
    Instrument,
}

impl Kind {
    const ALL: [Self; 5] = [Self::Song, Self::Pass, Self::Assignment, Self::Answer, Self::Instrument];

    fn byte(self) -> u8 {
        match self {
            Self::Song => b's',
            Self::Pass => b'p',
            Self::Assignment => b'a',
            Self::Answer => b'h',
            Self::Instrument => b'i',
        }
    }

    fn of(byte: u8) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.byte() == byte)
    }

    /// What a player calls it, to be looked up.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Song => key!("song¦what a link holds"),
            Self::Pass => key!("solo¦what a link holds"),
            Self::Assignment => key!("assignment¦what a link holds"),
            Self::Answer => key!("answer¦what a link holds"),
            Self::Instrument => key!("instrument¦what a link holds"),
        }
    }
}

/// Something that travels by link.
pub trait Linked: Serialize + DeserializeOwned {
    /// What kind of thing it is.
    const KIND: Kind;

    /// Whether every figure in it lies where the rest of the program expects it.
    ///
    /// # Errors
    /// When it does not: what is wrong, as a sentence for the person who opened the link.
    fn check(&self) -> Result<(), Said>;
}

/// Why a link can't be made or opened.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum LinkError {
    /// It would be longer than [`MOST_CHARACTERS`].
    TooLong {
        /// How long it would be, or is.
        characters: usize,
    },
    /// The text is no link of this page.
    NotALink,
    /// Characters were lost or changed on the way.
    Damaged,
    /// It was made by a newer page.
    Newer,
    /// There is something else inside.
    OtherKind {
        /// What is inside.
        found: Kind,
        /// What was wanted.
        wanted: Kind,
    },
    /// Inflated, it is larger than [`MOST_BYTES`].
    TooMuch,
    /// What is inside can't be understood.
    Unreadable(Said),
}

impl LinkError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLong { characters } => said!(
                "this is too long for a link ({characters} characters): send it as a file",
                characters
            ),
            Self::NotALink => said!("this link is not one of Leadbar's: ask for it again, or for a file"),
            Self::Damaged => said!("this link was cut or changed on its way: copy the whole of it, or ask for a file"),
            Self::Newer => said!(
                "this link was made by a newer version of the page: load the page again, then open the link again"
            ),
            Self::OtherKind { found, wanted } => said!(
                "this link holds another thing ({found}) than was wanted ({wanted})",
                found = Said::of(found.name()),
                wanted = Said::of(wanted.name())
            ),
            Self::TooMuch => said!("this link unpacks to more than any song needs, so it is not opened"),
            Self::Unreadable(what) => said!("what is inside this link can't be read: {what}", what),
        }
    }
}

/// What goes into a link, before it is deflated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Content {
    kind: Kind,
    json: Vec<u8>,
}

impl Content {
    /// What goes into the link to `value`.
    ///
    /// # Errors
    /// [`LinkError::TooLong`] when it is more than a link may hold.
    pub fn of<T: Linked>(value: &T) -> Result<Self, LinkError> {
        let json = super::json::bytes(value).map_err(|error| LinkError::Unreadable(Said::from(error)))?;
        if json.len() > MOST_BYTES {
            return Err(LinkError::TooLong { characters: json.len() });
        }
        Ok(Self { kind: T::KIND, json })
    }

    /// What is to be deflated (RFC 1951).
    #[must_use]
    pub fn json(&self) -> &[u8] {
        &self.json
    }

    /// The content deflated here, at once. It takes 280 kB meanwhile: what a page does often it had better leave to the
    /// browser.
    #[must_use]
    pub fn deflated(&self) -> Vec<u8> {
        compress_to_vec(&self.json, EFFORT)
    }

    /// The link, without the page's address and the `#`. `deflated` is [`Content::json`], deflated by whomever.
    ///
    /// # Errors
    /// [`LinkError::TooLong`] when it would be longer than a link may be.
    pub fn link(&self, deflated: &[u8]) -> Result<String, LinkError> {
        let (version, kind) = (VERSION, self.kind.byte());
        let mut bytes = vec![version, kind];
        bytes.extend(checksum(version, kind, deflated).to_le_bytes());
        bytes.extend_from_slice(deflated);
        let link = format!("{LEAD}{}", URL_SAFE_NO_PAD.encode(bytes));
        match link.len() {
            0..=MOST_CHARACTERS => Ok(link),
            characters => Err(LinkError::TooLong { characters }),
        }
    }
}

/// The link to `value`, without the page's address and the `#`.
///
/// # Errors
/// [`LinkError::TooLong`] when it would be longer than a link may be.
pub fn write<T: Linked>(value: &T) -> Result<String, LinkError> {
    let content = Content::of(value)?;
    content.link(&content.deflated())
}

/// Whether the part of an address behind the `#` is meant as a link of ours.
#[must_use]
pub fn is_link(fragment: &str) -> bool {
    fragment.trim_start_matches('#').starts_with(LEAD)
}

/// What kind of thing a link holds.
///
/// # Errors
/// When it is no undamaged link of a version that this page knows.
pub fn kind(fragment: &str) -> Result<Kind, LinkError> {
    Ok(unwrapped(fragment)?.0)
}

/// What is inside a link. The text may begin with the `#` of an address.
///
/// # Errors
/// When it is damaged, newer, too large, holds something else, or does not pass its check.
pub fn read<T: Linked>(fragment: &str) -> Result<T, LinkError> {
    let (kind, body) = unwrapped(fragment)?;
    if kind != T::KIND {
        return Err(LinkError::OtherKind {
            found: kind,
            wanted: T::KIND,
        });
    }
    let json = decompress_to_vec_with_limit(&body, MOST_BYTES).map_err(|error| match error.status {
        miniz_oxide::inflate::TINFLStatus::HasMoreOutput => LinkError::TooMuch,
        _ => LinkError::Damaged,
    })?;
    let value: T = serde_json::from_slice(&json).map_err(|error| LinkError::Unreadable(Said::from(error)))?;
    value.check().map_err(LinkError::Unreadable)?;
    Ok(value)
}

/// The kind of an undamaged link, and what is still deflated.
fn unwrapped(fragment: &str) -> Result<(Kind, Vec<u8>), LinkError> {
    let fragment = fragment.trim().trim_start_matches('#');
    let characters = fragment.len();
    if characters > MOST_CHARACTERS {
        return Err(LinkError::TooLong { characters });
    }
    let text = fragment.strip_prefix(LEAD).ok_or(LinkError::NotALink)?;
    let bytes = URL_SAFE_NO_PAD.decode(text).map_err(|_| LinkError::Damaged)?;
    let Some(([version, kind, sum @ ..], body)) = bytes.split_first_chunk::<HEAD>() else {
        return Err(LinkError::Damaged);
    };
    if u32::from_le_bytes(*sum) != checksum(*version, *kind, body) {
        return Err(LinkError::Damaged);
    }
    match Kind::of(*kind) {
        Some(kind) if (OLDEST..=VERSION).contains(version) => Ok((kind, body.to_vec())),
        _ => Err(LinkError::Newer),
    }
}

fn checksum(version: u8, kind: u8, body: &[u8]) -> u32 {
    let mut sum = crc32fast::Hasher::new();
    sum.update(&[version, kind]);
    sum.update(body);
    sum.finalize()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde::Deserialize;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    struct Note {
        words: String,
        figure: f64,
    }

    impl Linked for Note {
        const KIND: Kind = Kind::Song;

        fn check(&self) -> Result<(), Said> {
            if self.figure.abs() <= 100.0 {
                Ok(())
            } else {
                Err(said!("the figure is out of reach"))
            }
        }
    }

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    struct Other;

    impl Linked for Other {
        const KIND: Kind = Kind::Pass;

        fn check(&self) -> Result<(), Said> {
            Ok(())
        }
    }

    fn note(words: &str) -> Note {
        Note {
            words: words.to_owned(),
            figure: 1.5,
        }
    }

    /// A link around any bytes, as somebody who means harm would make it.
    fn forged(version: u8, json: &[u8]) -> String {
        let body = compress_to_vec(json, EFFORT);
        let mut bytes = vec![version, b's'];
        bytes.extend(checksum(version, b's', &body).to_le_bytes());
        bytes.extend(body);
        format!("{LEAD}{}", URL_SAFE_NO_PAD.encode(bytes))
    }

    #[test]
    fn the_checksum_is_the_published_crc_32() {
        // The check value of CRC-32/ISO-HDLC in the CRC catalogue: the nine digits give CBF43926.
        assert_eq!(checksum(b'1', b'2', b"3456789"), 0xCBF4_3926);
    }

    #[test]
    fn any_character_lost_or_changed_is_found() {
        let link = write(&note("1 4 5 1")).unwrap();
        for at in LEAD.len()..link.len() {
            let cut = [&link[..at], &link[at + 1..]].concat();
            assert!(read::<Note>(&cut).is_err());
            let other = if &link[at..=at] == "A" { "B" } else { "A" };
            let changed = [&link[..at], other, &link[at + 1..]].concat();
            assert!(read::<Note>(&changed).is_err(), "{at}");
        }
        assert_eq!(read::<Note>(&format!("#{link}")), Ok(note("1 4 5 1")));
    }

    #[test]
    fn a_bomb_is_refused_before_it_unpacks() {
        let bomb = forged(VERSION, &vec![b' '; 12_000_000]);
        assert!(bomb.len() < MOST_CHARACTERS, "{}", bomb.len());
        assert_eq!(read::<Note>(&bomb), Err(LinkError::TooMuch));
    }

    #[test]
    fn deep_nesting_numbers_out_of_reach_and_trailing_text_are_refused() {
        for json in [
            "[".repeat(200_000),
            "{\"a\":".repeat(40_000),
            "{\"words\":\"\",\"figure\":1e999}".to_owned(),
            "{\"words\":\"\",\"figure\":NaN}".to_owned(),
            "{\"words\":\"\",\"figure\":101}".to_owned(),
            "{\"words\":\"\",\"figure\":1} more".to_owned(),
            "{\"words\":\"\\ud800\",\"figure\":1}".to_owned(),
        ] {
            let refused = read::<Note>(&forged(VERSION, json.as_bytes()));
            assert!(matches!(refused, Err(LinkError::Unreadable(_))), "{refused:?}");
        }
    }

    #[test]
    fn a_newer_link_another_kind_and_an_overlong_one_are_each_told_apart() {
        for version in [0, VERSION + 1, u8::MAX] {
            assert_eq!(read::<Note>(&forged(version, b"{}")), Err(LinkError::Newer));
        }
        let link = write(&note("")).unwrap();
        let other = LinkError::OtherKind {
            found: Kind::Song,
            wanted: Kind::Pass,
        };
        assert_eq!((kind(&link), read::<Other>(&link)), (Ok(Kind::Song), Err(other)));
        let long = format!("{LEAD}{}", "A".repeat(MOST_CHARACTERS));
        assert!(matches!(read::<Note>(&long), Err(LinkError::TooLong { .. })));
        assert_eq!(read::<Note>("#/chart"), Err(LinkError::NotALink));
    }

    #[test]
    fn what_does_not_fit_is_not_made_into_a_link() {
        let mut chance = fastrand::Rng::with_seed(1);
        let words: String = std::iter::repeat_with(|| chance.alphanumeric()).take(60_000).collect();
        assert!(matches!(write(&note(&words)), Err(LinkError::TooLong { .. })));
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn what_is_written_is_read_back(words in "\\PC{0,200}", figure in -100.0_f64..100.0) {
            let value = Note { words, figure };
            let link = write(&value).unwrap();
            prop_assert!(link.bytes().all(|b| b.is_ascii_alphanumeric() || b"=-_".contains(&b)));
            prop_assert_eq!(read::<Note>(&link), Ok(value));
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,300}", json in proptest::collection::vec(any::<u8>(), 0..300)) {
            let _ = read::<Note>(&text);
            let _ = read::<Note>(&format!("{LEAD}{text}"));
            let _ = read::<Note>(&forged(VERSION, &json));
        }
    }
}
