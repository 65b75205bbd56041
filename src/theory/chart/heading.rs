//! The heading of a chart: its fields in any order, set apart by commas, ended by `;` or a line end.
//!
//! *Invariant:* a line without a `;` is only a heading where it cannot be bars.

use super::STYLES;
use super::marks;
use super::model::Chart;
use super::problems;
use super::report::Doubts;
use super::tokens::QUOTES;
use crate::theory::key::{Key, KeyError, Mode};
use crate::theory::time::{Metre, Swing, Tempo};
use crate::words::Said;
use std::ops::{Range, RangeInclusive};

/// The tempos a chart can have, in quarters a minute.
const TEMPOS: RangeInclusive<f64> = 20.0..=400.0;

/// A field written without a `;` before the bars has at most this many words: `time signature 3/4`.
const MOST_FIELD_WORDS: usize = 4;

/// What a heading says.
#[derive(Default)]
pub(super) struct Heading {
    title: Option<String>,
    pub(super) key: Option<Key>,
    tempo: Option<Tempo>,
    metre: Option<Metre>,
    style: Option<String>,
    swing: Option<Swing>,
}

impl Heading {
    /// The chart it heads, without a bar.
    pub(super) fn chart(&self) -> Chart {
        Chart {
            title: self.title.clone(),
            key: self.key.unwrap_or(Key::C),
            tempo: self.tempo,
            metre: self.metre(),
            style: self.style.clone(),
            swing: self.swing.unwrap_or_default(),
            items: Vec::new(),
        }
    }

    pub(super) fn metre(&self) -> Metre {
        self.metre.unwrap_or(Metre::COMMON)
    }

    /// Takes a field in; answers what to say when it was there already.
    fn set(&mut self, field: Field) -> Option<&'static str> {
        fn put<T>(slot: &mut Option<T>, value: T, twice: &'static str) -> Option<&'static str> {
            slot.replace(value).map(|_| twice)
        }
        match field {
            Field::Title(title) => put(&mut self.title, title, problems::TWICE_TITLE),
            Field::Key(key) => put(&mut self.key, key, problems::TWICE_KEY),
            Field::Tempo(tempo) => put(&mut self.tempo, tempo, problems::TWICE_TEMPO),
            Field::Metre(metre) => put(&mut self.metre, metre, problems::TWICE_METRE),
            Field::Style(style) => put(&mut self.style, style, problems::TWICE_STYLE),
            Field::Swing(swing) => put(&mut self.swing, swing, problems::TWICE_SWING),
        }
    }
}

/// One field.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Field {
    Title(String),
    Key(Key),
    Tempo(Tempo),
    Metre(Metre),
    Style(String),
    Swing(Swing),
}

/// Reads the heading; answers it and where the bars begin.
pub(super) fn read(text: &str, doubts: &mut Doubts) -> (Heading, usize) {
    let mut heading = Heading::default();
    let mut at = 0;
    loop {
        let line = Line::at(text, at);
        let title_alone = at == 0 && line.is_title(text) && Line::at(text, line.next).is_heading(text);
        if !title_alone && !line.is_heading(text) {
            return (heading, at);
        }
        for piece in &line.pieces {
            take(text, piece.clone(), &mut heading, doubts);
        }
        at = line.next;
        if at >= text.len() || line.closed && !Line::at(text, at).is_more(text) {
            return (heading, at);
        }
    }
}

fn take(text: &str, piece: Range<usize>, heading: &mut Heading, doubts: &mut Doubts) {
    match field(text.get(piece.clone()).unwrap_or_default()) {
        Ok(field) => {
            if let Some(twice) = heading.set(field) {
                doubts.problem(piece, Said::of(twice));
            }
        }
        Err(words) => doubts.problem(piece, words),
    }
}

/// A line of the text, cut at its commas.
struct Line {
    /// The pieces, without the blanks around them; none is empty.
    pieces: Vec<Range<usize>>,
    /// Whether a `;` ended it.
    closed: bool,
    /// Where the next begins.
    next: usize,
}

impl Line {
    fn at(text: &str, start: usize) -> Self {
        let mut pieces = Vec::new();
        let (mut from, mut quoted) = (start, false);
        let mut add = |from: usize, to: usize| {
            let piece = text.get(from..to).unwrap_or_default();
            let begin = from + piece.len() - piece.trim_start().len();
            let range = begin..begin + piece.trim().len();
            if !range.is_empty() {
                pieces.push(range);
            }
        };
        let (mut closed, mut end, mut next) = (false, text.len(), text.len());
        for (offset, c) in text.get(start..).unwrap_or_default().char_indices() {
            let here = start + offset;
            match c {
                c if QUOTES.contains(&c) => quoted = !quoted,
                '\n' => {
                    (end, next) = (here, here + 1);
                    break;
                }
                ';' if !quoted => {
                    (closed, end, next) = (true, here, here + 1);
                    break;
                }
                ',' if !quoted => {
                    add(from, here);
                    from = here + 1;
                }
                _ => {}
            }
        }
        add(from, end);
        let mut line = Self { pieces, closed, next };
        if !closed {
            line.leave_bars(text);
        }
        line
    }

    /// Gives back the bars that follow the fields on the same line without a `;`, as in `key G 1 4 5 1`.
    fn leave_bars(&mut self, text: &str) {
        let Some((last, before)) = self.pieces.split_last() else {
            return;
        };
        let piece = text.get(last.clone()).unwrap_or_default();
        let plain = |words: &str| matches!(field(words), Ok(found) if !matches!(found, Field::Title(_)));
        let fields_before = before.iter().all(|b| text.get(b.clone()).is_some_and(plain));
        let blanks = piece
            .match_indices(char::is_whitespace)
            .map(|(at, _)| at)
            .take(MOST_FIELD_WORDS);
        let split = blanks.into_iter().find(|at| {
            let (head, rest) = piece.split_at(*at);
            let sure = !before.is_empty() || is_explicit(head);
            sure && plain(head) && !plain(rest.trim()) && begins_bars(rest)
        });
        if let (Some(at), false) = (split, plain(piece)) {
            let (start, end) = (last.start, last.start + at);
            self.next = end;
            self.pieces.pop();
            self.pieces.push(start..end);
        } else if fields_before && !before.is_empty() && !plain(piece) && begins_bars(piece) {
            self.next = last.start;
            self.pieces.pop();
        }
    }

    fn texts<'a>(&'a self, text: &'a str) -> impl Iterator<Item = &'a str> {
        self.pieces.iter().filter_map(|piece| text.get(piece.clone()))
    }

    fn is_heading(&self, text: &str) -> bool {
        if self.pieces.is_empty() {
            return self.closed;
        }
        let explicit = self.texts(text).any(is_explicit);
        if explicit {
            return true;
        }
        if self.closed {
            return !self.texts(text).any(is_bars);
        }
        let mut seen = Heading::default();
        let mut known = 0;
        for piece in self.texts(text) {
            match field(piece) {
                Ok(Field::Title(_)) if is_bars(piece) => return false,
                Ok(Field::Title(_)) => {}
                Ok(found) => {
                    known += 1;
                    if seen.set(found).is_some() {
                        return false;
                    }
                }
                Err(_) => return false,
            }
        }
        let alone = self.pieces.len() == 1;
        known > 0 && (!alone || matches!(seen, Heading { metre: Some(_), .. }))
    }

    /// Whether it goes on with a heading that a `;` has ended already: nothing but fields up to another `;`.
    fn is_more(&self, text: &str) -> bool {
        let plain = |piece| matches!(field(piece), Ok(found) if !matches!(found, Field::Title(_)));
        self.closed && !self.pieces.is_empty() && self.texts(text).all(plain)
    }

    /// Whether it is one piece of plain words, none of which is a chord.
    fn is_title(&self, text: &str) -> bool {
        let mut texts = self.texts(text);
        let (Some(only), None, false) = (texts.next(), texts.next(), self.closed) else {
            return false;
        };
        matches!(field(only), Ok(Field::Title(_))) && !only.split_whitespace().any(marks::is_bar)
    }
}

/// Whether words begin with a bar, whatever follows: what is wrong further on is for the reader of bars to tell.
fn begins_bars(words: &str) -> bool {
    let first = words.split_whitespace().next().unwrap_or_default();
    let bare = first.trim_matches(['(', ')', '[', '|', ':', '<', '>', '!', '.']);
    !first.is_empty() && (bare.is_empty() || marks::is_bar(bare))
}

/// Whether a piece that is no field but a title holds bars.
fn is_bars(piece: &str) -> bool {
    if matches!(field(piece), Ok(found) if !matches!(found, Field::Title(_))) || piece.starts_with(QUOTES) {
        return false;
    }
    let signs = |c: char| c.is_whitespace() || matches!(c, ':' | '|' | '(' | ')' | '[' | ']');
    let has_signs = piece.contains([':', '|', '(', '[', '%']);
    marks::all_bars(piece) || has_signs && piece.split(signs).any(marks::is_bar)
}

/// Whether a piece says itself which field it is.
fn is_explicit(piece: &str) -> bool {
    keyword(piece).is_some()
        || piece.len() > 3 && piece.to_ascii_lowercase().ends_with("bpm")
        || before_word(piece, " time").is_some_and(|figures| metre(figures).is_ok())
        || known_style(piece).is_some()
        || swing(piece).is_some()
}

/// The keyword a piece begins with, and the rest.
fn keyword(piece: &str) -> Option<(&'static str, &str)> {
    const WORDS: [(&str, &str); 9] = [
        ("title", "title"),
        ("key", "key"),
        ("tempo", "tempo"),
        ("metre", "metre"),
        ("meter", "metre"),
        ("time signature", "metre"),
        ("time", "metre"),
        ("feel", "feel"),
        ("style", "style"),
    ];
    WORDS.iter().find_map(|(word, name)| {
        let (head, rest) = (piece.get(..word.len())?, piece.get(word.len()..)?);
        let apart = rest.starts_with([' ', '\t', ':', '"']);
        (apart && head.eq_ignore_ascii_case(word)).then(|| (*name, rest.trim_start_matches([' ', '\t', ':']).trim()))
    })
}

/// Reads one field. A piece that is none of the others is the title.
pub(super) fn field(piece: &str) -> Result<Field, Said> {
    if let Some((word, rest)) = keyword(piece) {
        return named(word, rest);
    }
    // 4/4 time
    if let Some(figures) = before_word(piece, " time")
        && let Ok(metre) = metre(figures)
    {
        return Ok(Field::Metre(metre));
    }
    if let Some(swing) = swing(piece) {
        return Ok(Field::Swing(swing));
    }
    if let Some(style) = known_style(piece) {
        return Ok(Field::Style(style.to_owned()));
    }
    if piece.starts_with(|c: char| c.is_ascii_uppercase())
        && piece.split_whitespace().count() <= 2
        && let Some(key) = key(piece)
    {
        return Ok(Field::Key(key));
    }
    let lower = piece.to_ascii_lowercase();
    if lower.ends_with("bpm") || piece.parse::<f64>().is_ok() && piece.starts_with(|c: char| c.is_ascii_digit()) {
        return tempo(piece).map(Field::Tempo);
    }
    if let Some((count, unit)) = piece.split_once('/')
        && [count, unit]
            .iter()
            .all(|w| !w.trim().is_empty() && w.trim().chars().all(|c| c.is_ascii_digit()))
    {
        return metre(piece).map(Field::Metre);
    }
    Ok(Field::Title(unquoted(piece)))
}

fn named(word: &str, rest: &str) -> Result<Field, Said> {
    match word {
        "title" => Ok(Field::Title(unquoted(rest))),
        "style" => Ok(Field::Style(unquoted(rest))),
        "feel" => Ok(match swing(rest) {
            Some(swing) => Field::Swing(swing),
            None => Field::Style(known_style(rest).map_or_else(|| unquoted(rest), str::to_owned)),
        }),
        "tempo" => tempo(rest).map(Field::Tempo),
        "metre" => metre(rest).map(Field::Metre),
        _ => match key(rest) {
            Some(key) => Ok(Field::Key(key)),
            None => rest.parse().map(Field::Key).map_err(|error: KeyError| error.said()),
        },
    }
}

/// A key as in `A`, `Am`, `A minor`.
pub(super) fn key(text: &str) -> Option<Key> {
    let mut words = text.split_whitespace();
    let name = words.next()?;
    let key: Key = name.parse().ok()?;
    match (words.next().map(str::to_ascii_lowercase).as_deref(), words.next()) {
        (None, _) => Some(key),
        (Some("major"), None) if key.mode == Mode::Major => Some(key),
        (Some("minor"), None) if key.mode == Mode::Major => format!("{name}m").parse().ok(),
        _ => None,
    }
}

fn tempo(text: &str) -> Result<Tempo, Said> {
    let lower = text.to_ascii_lowercase();
    let figures = lower.trim_end_matches("bpm").trim();
    match figures.parse() {
        Ok(tempo) if TEMPOS.contains(&tempo) => Ok(Tempo(tempo)),
        _ => Err(said!(
            "\"{text}\" is not a tempo: write {least} to {most} quarters a minute, as in 132",
            text,
            least = TEMPOS.start(),
            most = TEMPOS.end()
        )),
    }
}

/// A metre as in `3/4`.
pub(super) fn metre(text: &str) -> Result<Metre, Said> {
    let figures = text.split_once('/');
    let read = figures.and_then(|(count, unit)| Some((count.trim().parse().ok()?, unit.trim().parse().ok()?)));
    match read {
        Some((count, unit)) if (1..=16).contains(&count) && [2, 4, 8, 16].contains(&unit) => Ok(Metre { count, unit }),
        _ => Err(said!(
            "\"{text}\" is not a metre: write one such as 4/4, 3/4, 2/4 or 6/8",
            text
        )),
    }
}

/// The style word a piece is.
fn known_style(piece: &str) -> Option<&'static str> {
    STYLES.into_iter().find(|style| style.eq_ignore_ascii_case(piece))
}

/// What stands before a piece's last word.
fn before_word<'a>(piece: &'a str, word: &str) -> Option<&'a str> {
    let at = piece.len().checked_sub(word.len())?;
    let last = piece.get(at..)?;
    last.eq_ignore_ascii_case(word).then(|| piece.get(..at)).flatten()
}

fn swing(piece: &str) -> Option<Swing> {
    match piece.to_ascii_lowercase().as_str() {
        "swung" | "swing" => Some(Swing::Swung),
        "straight" => Some(Swing::Straight),
        _ => None,
    }
}

/// A name without the quotes around it.
fn unquoted(text: &str) -> String {
    let inner = text.strip_prefix(QUOTES).and_then(|t| t.strip_suffix(QUOTES));
    inner.unwrap_or(text).replace(QUOTES, "'").trim().to_owned()
}
