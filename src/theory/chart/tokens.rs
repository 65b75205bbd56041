//! The body of a chart cut into signs and words.
//!
//! *Invariant:* tokens stand in the text's order and hold every character of it that is not blank or a comma.

use std::ops::Range;

/// The most characters looked through for the end of a box or a quoted name, so that a text of open brackets is
/// still read in one walk.
const MOST_ENCLOSED: usize = 200;

/// The double quotes a keyboard or a phone writes.
pub(super) const QUOTES: [char; 4] = ['"', '“', '”', '„'];

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// `(`
    Open,
    /// `)`
    Close,
    /// A box, its brackets included.
    Box,
    /// A `[` without its `]`.
    OpenBox,
    /// `/` on its own.
    Slash,
    /// A line end.
    Line,
    /// `|`
    Barline,
    /// `|:`
    RepeatFrom,
    /// `:|`, with what is stuck to it.
    RepeatTo,
    /// `;`
    Semicolon,
    /// A section's name with its colon.
    Label,
    /// A name in quotes without a colon.
    Quoted,
    /// Anything else.
    Word,
}

/// A piece of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    /// Its bytes in the whole text.
    pub(super) range: Range<usize>,
}

/// Cuts the text from `start`.
pub(super) fn cut(text: &str, start: usize) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut at = start;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let (kind, length) = next(rest);
        if let Some(kind) = kind {
            tokens.push(Token {
                kind,
                range: at..at + length,
            });
        }
        at += length;
    }
    tokens
}

/// The token at the beginning of a text that is not empty (nothing for a blank), and its length in bytes.
fn next(rest: &str) -> (Option<Kind>, usize) {
    let first = rest.chars().next().unwrap_or(' ');
    match first {
        '\n' => (Some(Kind::Line), 1),
        ',' => (None, 1),
        c if c.is_whitespace() => (None, c.len_utf8()),
        '(' => (Some(Kind::Open), 1),
        ')' => (Some(Kind::Close), 1),
        ';' => (Some(Kind::Semicolon), 1),
        '/' => (Some(Kind::Slash), 1),
        '[' => boxed(rest),
        c if QUOTES.contains(&c) => quoted(rest),
        '|' if rest.starts_with("|:") => (Some(Kind::RepeatFrom), 2),
        '|' => (Some(Kind::Barline), 1),
        ':' if rest.starts_with(":|") => {
            let stuck = rest.get(2..).unwrap_or_default();
            (Some(Kind::RepeatTo), 2 + word_length(stuck))
        }
        ':' | ']' => (Some(Kind::Word), 1),
        _ => word(rest),
    }
}

fn boxed(rest: &str) -> (Option<Kind>, usize) {
    match closed_by(rest, &[']']) {
        Some(length) => (Some(Kind::Box), length),
        None => (Some(Kind::OpenBox), 1),
    }
}

fn quoted(rest: &str) -> (Option<Kind>, usize) {
    let Some(length) = closed_by(rest, &QUOTES) else {
        return (Some(Kind::Quoted), rest.chars().next().map_or(1, char::len_utf8));
    };
    match rest.get(length..) {
        Some(after) if after.starts_with(':') && !after.starts_with(":|") => (Some(Kind::Label), length + 1),
        _ => (Some(Kind::Quoted), length),
    }
}

/// The length of what begins with an opening sign and is closed by one of `ends` on the same line, both included.
fn closed_by(rest: &str, ends: &[char]) -> Option<usize> {
    let (at, found) = rest
        .char_indices()
        .skip(1)
        .take(MOST_ENCLOSED)
        .find(|(_, c)| *c == '\n' || ends.contains(c))?;
    (found != '\n').then_some(at + found.len_utf8())
}

/// A word; with a colon at its end it is a label. A `/` at its end is not part of it.
fn word(rest: &str) -> (Option<Kind>, usize) {
    let length = word_length(rest);
    let whole = rest.get(..length).unwrap_or(rest);
    let after = rest.get(length..).unwrap_or_default();
    let trimmed = whole.trim_end_matches('/').len();
    if trimmed == length && after.starts_with(':') && !after.starts_with(":|") {
        return (Some(Kind::Label), length + 1);
    }
    (Some(Kind::Word), trimmed.max(1))
}

fn word_length(rest: &str) -> usize {
    let ends = |c: char| {
        c.is_whitespace() || matches!(c, '(' | ')' | '[' | ']' | '|' | ';' | ':' | ',') || QUOTES.contains(&c)
    };
    rest.find(ends).unwrap_or(rest.len())
}
