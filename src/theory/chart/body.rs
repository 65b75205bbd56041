//! The bars of a chart and the signs between them, read from tokens.
//!
//! *Invariant:* each token is looked at a bounded number of times, so a text takes time in proportion to its length.

use super::bars::{self, MOST_CHORDS};
use super::heading::{self, Heading};
use super::marks::{self, Unread};
use super::model::{Bar, Break, Endings, Item, KeyChange, Slot, Times};
use super::problems;
use super::report::Said;
use super::tokens::{self, Kind, Token};
use crate::theory::key::Key;
use crate::theory::pitch::Semitones;
use crate::theory::time::Metre;
use std::ops::Range;

/// The most words after the first in a section's name without quotes.
pub(super) const NAME_WORDS: usize = 4;

/// The most characters of a section's name; what is longer is cut.
const LONGEST_NAME: usize = 100;

/// Reads the bars from `start` on.
pub(super) fn read(text: &str, start: usize, heading: &Heading, said: &mut Said) -> Vec<Item> {
    let mut body = Body {
        text,
        said,
        key: heading.key.unwrap_or(Key::C),
        metre: heading.metre(),
        key_known: heading.key.is_some(),
        items: Vec::new(),
        line_ended: None,
        split: None,
        dotted: None,
        repeat: None,
        has_bar: false,
    };
    let tokens = tokens::cut(text, start);
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        at += body.take(token, tokens.get(at + 1..).unwrap_or_default());
    }
    body.end();
    body.items
}

/// A bar in the making, and where it began.
struct Open {
    slots: Vec<Slot>,
    range: Range<usize>,
}

struct Body<'a, 's> {
    text: &'a str,
    said: &'s mut Said,
    /// The key in force.
    key: Key,
    /// The metre in force.
    metre: Metre,
    /// Whether a key was given, or its lack was told.
    key_known: bool,
    items: Vec<Item>,
    /// A line end that stands before the next item.
    line_ended: Option<Break>,
    /// A bar within brackets.
    split: Option<Open>,
    /// A bar whose beats are being counted.
    dotted: Option<Open>,
    /// Where the open repeat began.
    repeat: Option<Range<usize>>,
    has_bar: bool,
}

impl<'a> Body<'a, '_> {
    fn words(&self, range: &Range<usize>) -> &'a str {
        self.text.get(range.clone()).unwrap_or_default()
    }

    /// Takes a token in, seeing those after it; answers how many it used.
    fn take(&mut self, token: &Token, after: &[Token]) -> usize {
        let range = token.range.clone();
        match token.kind {
            Kind::Word => return self.word(range, after),
            Kind::Open => self.open(range),
            Kind::Close => self.close(range),
            _ => {
                self.close_for_sign(&range);
                self.sign(token.kind, range);
            }
        }
        1
    }

    fn sign(&mut self, kind: Kind, range: Range<usize>) {
        match kind {
            Kind::Line => self.line_ended = Some(Break::Line),
            Kind::Slash => self.line_ended = self.line_ended.or(Some(Break::Slash)),
            Kind::Label => self.section(range),
            Kind::RepeatFrom => {
                if self.repeat.replace(range.clone()).is_some() {
                    self.said.problem(range, problems::REPEAT_IN_REPEAT.to_owned());
                }
                self.push(Item::RepeatFrom);
            }
            Kind::RepeatTo => self.repeat_to(range),
            Kind::Box => self.boxed(range),
            Kind::OpenBox => self.said.problem(range, problems::OPEN_BOX.to_owned()),
            Kind::Semicolon => {
                let fix = vec![("Write /".to_owned(), " /".to_owned())];
                self.said.fixable(range, problems::STRAY_SEMICOLON.to_owned(), fix);
            }
            Kind::Quoted => self.said.problem(range, problems::STRAY_NAME.to_owned()),
            Kind::Barline | Kind::Word | Kind::Open | Kind::Close => {}
        }
    }

    fn push(&mut self, item: Item) {
        if let Some(line_ended) = self.line_ended.take().filter(|_| !self.items.is_empty()) {
            self.items.push(Item::Break(line_ended));
        }
        self.items.push(item);
    }

    /// Ends a bar that another sign interrupts.
    fn close_for_sign(&mut self, range: &Range<usize>) {
        self.end_dotted();
        if let Some(open) = self.split.take() {
            self.said.problem(range.clone(), problems::SIGN_IN_SPLIT.to_owned());
            self.bar(open);
        }
    }

    fn open(&mut self, range: Range<usize>) {
        self.end_dotted();
        if let Some(open) = self.split.take() {
            self.said.problem(range.clone(), problems::NESTED.to_owned());
            self.bar(open);
        }
        self.split = Some(Open {
            slots: Vec::new(),
            range,
        });
    }

    fn close(&mut self, range: Range<usize>) {
        self.end_dotted();
        match self.split.take() {
            None => self.said.problem(range, problems::STRAY_CLOSE.to_owned()),
            Some(open) if open.slots.is_empty() => {
                self.said
                    .problem(open.range.start..range.end, problems::EMPTY_SPLIT.to_owned());
            }
            Some(mut open) => {
                open.range.end = range.end;
                self.bar(open);
            }
        }
    }

    fn word(&mut self, range: Range<usize>, after: &[Token]) -> usize {
        let word = self.words(&range);
        if word == "%" {
            self.close_for_sign(&range);
            self.same(range);
            return 1;
        }
        match marks::read(word, self.key) {
            Ok(marked) => {
                if marked.core == "7" {
                    let fix = vec![("Write b7".to_owned(), word.replacen('7', "b7", 1))];
                    self.said.remark(range.clone(), problems::PLAIN_SEVEN.to_owned(), fix);
                }
                if marked.letters && !self.key_known {
                    self.key_known = true;
                    self.said.remark(range.clone(), problems::NO_KEY.to_owned(), Vec::new());
                }
                self.place(marked.slot, range);
            }
            Err(unread) => return self.unread(unread, range, after),
        }
        1
    }

    /// A word that is no chord: the beginning of a section's name, or a problem.
    fn unread(&mut self, unread: Unread, range: Range<usize>, after: &[Token]) -> usize {
        if !unread.holds_place && self.words(&range).starts_with(char::is_alphabetic) {
            let rest = after.iter().take(NAME_WORDS);
            let words = rest.take_while(|t| t.kind == Kind::Word).count();
            let label = after.get(words).filter(|t| t.kind == Kind::Label && words < NAME_WORDS);
            // A name in quotes is a name of its own.
            if let Some(label) = label.filter(|t| !self.words(&t.range).starts_with('"')) {
                let whole = range.start..label.range.end;
                self.close_for_sign(&whole);
                self.section(whole);
                return words + 2;
            }
        }
        self.said.fixable(range.clone(), unread.words, unread.fixes);
        if unread.holds_place {
            self.place(Slot::REST, range);
        }
        1
    }

    fn section(&mut self, range: Range<usize>) {
        let label = self.words(&range);
        let name = label.strip_suffix(':').unwrap_or(label);
        let inner = name.strip_prefix('"').and_then(|n| n.strip_suffix('"'));
        let name = inner.unwrap_or(name).replace('"', "'");
        let name: String = name.trim().chars().take(LONGEST_NAME).collect();
        self.push(Item::Section(name.trim().to_owned()));
    }

    fn place(&mut self, slot: Slot, range: Range<usize>) {
        if let Some(open) = &mut self.split {
            if open.slots.len() == MOST_CHORDS {
                let words = format!("A bar holds at most {MOST_CHORDS} chords: close it with ) before this one.");
                self.said.problem(range, words);
            } else {
                open.slots.push(slot);
            }
            return;
        }
        let Some(_) = slot.ticks else {
            self.end_dotted();
            self.bar(Open {
                slots: vec![slot],
                range,
            });
            return;
        };
        let open = self.dotted.get_or_insert_with(|| Open {
            slots: Vec::new(),
            range: range.clone(),
        });
        open.slots.push(slot);
        open.range.end = range.end;
        let beats: u32 = open.slots.iter().filter_map(|s| s.ticks).map(|t| u32::from(t.0)).sum();
        if beats >= u32::from(self.metre.count) {
            self.end_dotted();
        }
    }

    fn end_dotted(&mut self) {
        if let Some(open) = self.dotted.take() {
            self.bar(open);
        }
    }

    fn bar(&mut self, mut open: Open) {
        if open.slots.is_empty() {
            return;
        }
        if let Err(found) = bars::check(&open.slots, self.metre) {
            self.said
                .problem(open.range, problems::wrong_beats(found, self.metre.count));
            open.slots.iter_mut().for_each(|slot| slot.ticks = None);
        }
        self.has_bar = true;
        self.push(Item::Bar(Bar::Chords(open.slots)));
    }

    fn same(&mut self, range: Range<usize>) {
        if self.has_bar {
            self.push(Item::Bar(Bar::Same));
        } else {
            self.said.problem(range, problems::NOTHING_BEFORE.to_owned());
        }
    }

    fn repeat_to(&mut self, range: Range<usize>) {
        self.repeat = None;
        let stuck = self.words(&range).get(2..).unwrap_or_default();
        let figures = stuck.trim_matches(['x', 'X', '×']);
        let times = match figures {
            "" if stuck.is_empty() => Some(Times::TWICE),
            _ => figures.parse().ok().and_then(Times::new),
        };
        if times.is_none() {
            self.said.problem(range, problems::REPEAT_COUNT.to_owned());
        }
        self.push(Item::RepeatTo(times.unwrap_or(Times::TWICE)));
    }

    fn boxed(&mut self, range: Range<usize>) {
        let inner = self.words(&range).trim_start_matches('[').trim_end_matches(']').trim();
        match box_of(inner) {
            Some(item) => {
                match &item {
                    Item::Key(change) => {
                        self.key = change.from(self.key);
                        self.key_known = true;
                    }
                    Item::Metre(metre) => self.metre = *metre,
                    _ => {}
                }
                self.push(item);
            }
            None => self.said.problem(range, problems::BOX.to_owned()),
        }
    }

    fn end(&mut self) {
        self.end_dotted();
        if let Some(open) = self.split.take() {
            self.said.problem(open.range.clone(), problems::OPEN_SPLIT.to_owned());
            self.bar(open);
        }
        if let Some(range) = self.repeat.take() {
            self.said.problem(range, problems::OPEN_REPEAT.to_owned());
        }
    }
}

/// What stands in a box.
fn box_of(inner: &str) -> Option<Item> {
    if let Some(steps) = inner.strip_prefix("mod") {
        let by: i16 = steps.trim().parse().ok()?;
        return (-11..=11)
            .contains(&by)
            .then_some(Item::Key(KeyChange::By(Semitones(by))));
    }
    if inner.contains('/') {
        return heading::metre(inner).ok().map(Item::Metre);
    }
    let name = inner.strip_prefix("key ").unwrap_or(inner);
    if let Some(key) = heading::key(name) {
        return Some(Item::Key(KeyChange::To(key)));
    }
    let passes = inner.split([',', '.', ' ']).filter(|p| !p.is_empty());
    let passes: Vec<u8> = passes.map(str::parse).collect::<Result<_, _>>().ok()?;
    Endings::new(passes).map(Item::Ending)
}
