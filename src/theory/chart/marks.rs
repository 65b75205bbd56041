//! One chord as written: its number, Roman numeral or letters, and the signs around it.
//!
//! *Invariant:* the signs stand in one order: push, diamond, chord, choke, dots.

use super::model::{Slot, Ticks};
use crate::theory::chart::timeline::Hit;
use crate::theory::chord::Chord;
use crate::theory::key::Key;
use crate::theory::numeral::{Numeral, NumeralError, five_of};
use crate::theory::pitch::Accidental;
use crate::theory::roman::{self, RomanError};
use crate::words::Said;

/// The longest chord in bytes, with all its signs.
const LONGEST: usize = 60;

/// A chord word that was understood.
pub(super) struct Marked<'a> {
    pub(super) slot: Slot,
    /// The chord's own text, without the signs around it.
    pub(super) core: &'a str,
    /// Whether it was written in letters.
    pub(super) letters: bool,
}

/// A chord word that was not.
pub(super) struct Unread {
    /// What is wrong and what to write.
    pub(super) words: Said,
    /// Repairs of the whole word: label and text.
    pub(super) fixes: Vec<(Said, String)>,
    /// Whether a chord was clearly meant, so that its place in the song is kept.
    pub(super) holds_place: bool,
}

/// Whether every word of a text is a bar.
pub(super) fn all_bars(text: &str) -> bool {
    text.split_whitespace().all(is_bar)
}

/// Whether a word is a bar on its own, whatever the key.
pub(super) fn is_bar(word: &str) -> bool {
    matches!(word, "/" | "|" | "%") || read(word, Key::C).is_ok()
}

/// Whether a word can only begin a section's name of several words.
pub(super) fn begins_name(word: &str) -> bool {
    word.starts_with(char::is_alphabetic) && matches!(read(word, Key::C), Err(unread) if !unread.holds_place)
}

/// Reads a word in a key.
pub(super) fn read(word: &str, key: Key) -> Result<Marked<'_>, Unread> {
    if word.len() > LONGEST {
        let begin: String = word.chars().take(12).collect();
        return Err(Unread {
            holds_place: false,
            ..unread(said!(
                "\"{begin}...\" is too long for a chord: write chords apart, as in 1 4 5",
                begin
            ))
        });
    }
    let (body, dots) = dots(word);
    let Some(ticks) = dots.map_or(Some(None), |n| Ticks::new(n).map(Some)) else {
        return Err(unread(said!(
            "\"{word}\" has too many dots: write one a beat, at most {most}",
            word,
            most = Ticks::MOST
        )));
    };
    let (body, pushed) = pushed(body);
    let (body, choked) = body.strip_suffix('!').map_or((body, false), |b| (b, true));
    let (core, held) = diamond(body);
    let hit = match (held, choked) {
        (true, true) => {
            return Err(unread(said!(
                "\"{word}\" is both left to ring and choked: keep < > or !",
                word
            )));
        }
        (true, false) => Hit::Held,
        (false, true) => Hit::Choked,
        (false, false) => Hit::Played,
    };
    if matches!(core, "r" | "R") || ["nc", "n.c", "n.c."].iter().any(|rest| rest.eq_ignore_ascii_case(core)) {
        if pushed || hit != Hit::Played {
            return Err(unread(said!("\"{word}\" is a rest with a sign: write r alone", word)));
        }
        let slot = Slot { ticks, ..Slot::REST };
        return Ok(Marked {
            slot,
            core,
            letters: false,
        });
    }
    let signs = Signs { word, core };
    let (numeral, letters) = chord(signs, key)?;
    let slot = Slot {
        numeral: Some(numeral),
        hit,
        pushed,
        ticks,
    };
    Ok(Marked { slot, core, letters })
}

/// The dots at a word's end, counted, and what is before them. A phone makes one sign of three; `N.C.` has a dot
/// of its own.
fn dots(word: &str) -> (&str, Option<u8>) {
    let own = word.get(..4).filter(|begin| begin.eq_ignore_ascii_case("n.c."));
    let own = own.map_or(0, str::len);
    let after = word.get(own..).unwrap_or_default().trim_end_matches(['.', '…']).len();
    let (body, dots) = word.split_at(own + after);
    let count = dots.chars().map(|c| if c == '…' { 3 } else { 1_usize }).sum::<usize>();
    let count = (count > 0).then(|| u8::try_from(count).unwrap_or(u8::MAX));
    (body, count)
}

/// A push before the chord. `<1>` is a diamond, not a push.
fn pushed(body: &str) -> (&str, bool) {
    let whole = body.trim_end_matches('!');
    if let Some(rest) = body.strip_prefix('>') {
        return (rest, true);
    }
    match body.strip_prefix('<') {
        Some(rest) if rest.starts_with('<') || !whole.ends_with('>') => (rest, true),
        _ => (body, false),
    }
}

fn diamond(body: &str) -> (&str, bool) {
    if let Some(inner) = body.strip_prefix('<').and_then(|b| b.strip_suffix('>')) {
        return (inner, true);
    }
    match body.strip_prefix(['◇', '◆', '♢', '♦']) {
        Some(inner) => (inner, true),
        None => (body, false),
    }
}

/// A chord's text within the word it stands in.
#[derive(Clone, Copy)]
struct Signs<'a> {
    word: &'a str,
    core: &'a str,
}

impl Signs<'_> {
    /// The repair that writes another chord within the same signs.
    fn instead(self, chord: &str) -> (Said, String) {
        (said!("Write {chord}", chord), self.word.replacen(self.core, chord, 1))
    }
}

/// The chord's number, and whether it was written in letters.
fn chord(signs: Signs<'_>, key: Key) -> Result<(Numeral, bool), Unread> {
    let core = signs.core;
    let after_sign = Accidental::split_one(core).map_or(core, |(_, rest)| rest);
    if after_sign.starts_with(|c: char| c.is_ascii_digit()) {
        return core
            .parse()
            .map(|n| (n, false))
            .map_err(|error| number_unread(signs, &error));
    }
    if roman::looks_roman(core) {
        return roman::parse(core, key.mode)
            .map(|n| (n, false))
            .map_err(|error| roman_unread(signs, &error));
    }
    if core.starts_with(|c: char| ('A'..='G').contains(&c)) {
        return core
            .parse::<Chord>()
            .map(|chord| (Numeral::of(chord, key), true))
            .map_err(|error| name_or(signs, error.said()));
    }
    Err(name_or(signs, no_chord(signs.word)))
}

fn no_chord(word: &str) -> Said {
    said!(
        "\"{word}\" is not a chord: write a number 1 to 7, as in 4 or b7, or a section's name with a colon, as in Verse:",
        word
    )
}

fn number_unread(signs: Signs<'_>, error: &NumeralError) -> Unread {
    let mut fixes = Vec::new();
    if let NumeralError::OwnBass(degree) = error {
        let plain = signs.core.split('/').next().unwrap_or(signs.core);
        fixes.push(signs.instead(plain));
        fixes.push(signs.instead(&five_of(*degree).to_string()));
    } else if signs.core.len() > 1 && signs.core.chars().all(|c| ('1'..='7').contains(&c)) {
        let apart: Vec<String> = signs.core.chars().map(String::from).collect();
        fixes.push(signs.instead(&apart.join(" ")));
    }
    Unread {
        words: error.said(),
        fixes,
        holds_place: true,
    }
}

fn roman_unread(signs: Signs<'_>, error: &RomanError) -> Unread {
    if let RomanError::Ambiguous { bass, applied, .. } = error {
        return Unread {
            words: error.said(),
            fixes: vec![signs.instead(&bass.to_string()), signs.instead(&applied.to_string())],
            holds_place: true,
        };
    }
    name_or(signs, error.said())
}

/// A word that may be a section's name is offered as one.
fn name_or(signs: Signs<'_>, words: Said) -> Unread {
    let word = signs.word;
    let is_name = word.chars().count() > 2 && word.chars().all(char::is_alphabetic);
    let fixes = is_name.then(|| (said!("Make it a section"), format!("{word}:")));
    Unread {
        words: if is_name { no_chord(word) } else { words },
        fixes: fixes.into_iter().collect(),
        holds_place: false,
    }
}

fn unread(words: Said) -> Unread {
    Unread {
        words,
        fixes: Vec::new(),
        holds_place: true,
    }
}
