//! The bars of a chart and the signs between them, read from tokens.
//!
//! *Invariant:* each token is looked at a bounded number of times, so a text takes time in proportion to its length.

use super::bars::{self, MOST_CHORDS};
use super::heading::{self, Heading};
use super::marks::{self, Unread};
use super::model::{Bar, Break, Endings, Item, KeyChange, Slot, Times};
use super::problems;
use super::report::Doubts;
use super::slips;
use super::tokens::{self, Kind, QUOTES, Token};
use crate::theory::key::Key;
use crate::theory::time::Metre;
use crate::words::Said;
use std::ops::Range;

mod hasty;

/// The most words after the first in a section's name without quotes.
pub(super) const NAME_WORDS: usize = 4;

/// The most characters of a section's name; what is longer is cut.
const LONGEST_NAME: usize = 100;

/// Reads the bars from `start` on; answers also where each bar is written.
pub(super) fn read(text: &str, start: usize, heading: &Heading, doubts: &mut Doubts) -> (Vec<Item>, Vec<Range<usize>>) {
    let mut body = Body {
        text,
        doubts,
        key: heading.key.unwrap_or(Key::C),
        metre: heading.metre(),
        key_known: heading.key.is_some(),
        items: Vec::new(),
        line_ended: None,
        split: None,
        dotted: None,
        repeat: None,
        bars: Vec::new(),
        sevens: Vec::new(),
        line: start,
        line_begins: true,
        dashes_told: false,
    };
    let tokens = tokens::cut(text, start);
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        at += body.take(token, tokens.get(at + 1..).unwrap_or_default());
        body.line_begins = matches!(token.kind, Kind::Line | Kind::Slash);
    }
    body.end();
    (body.items, body.bars)
}

/// A bar in the making, and where it began.
struct Open {
    slots: Vec<Slot>,
    range: Range<usize>,
}

struct Body<'a, 's> {
    text: &'a str,
    doubts: &'s mut Doubts,
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
    /// Where each bar is written.
    bars: Vec<Range<usize>>,
    /// Where a plain 7 stands.
    sevens: Vec<Range<usize>>,
    /// Where the line of the text begins.
    line: usize,
    /// Whether nothing stands before the next token on its line.
    line_begins: bool,
    /// Whether the dashes of this line were told.
    dashes_told: bool,
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
            Kind::Label => return self.label(range, after),
            Kind::RepeatTo => return self.repeat_to(range, after),
            _ => {
                self.close_for_sign(&range);
                self.sign(token.kind, range);
            }
        }
        1
    }

    fn sign(&mut self, kind: Kind, range: Range<usize>) {
        match kind {
            Kind::Line => {
                self.line_ended = Some(Break::Line);
                (self.line, self.dashes_told) = (range.end, false);
            }
            Kind::Slash => self.line_ended = self.line_ended.or(Some(Break::Slash)),
            Kind::RepeatFrom => {
                if self.repeat.replace(range.clone()).is_some() {
                    self.doubts.problem(range, Said::of(problems::REPEAT_IN_REPEAT));
                }
                self.push(Item::RepeatFrom);
            }
            Kind::Box => self.boxed(range),
            Kind::OpenBox => self.doubts.problem(range, Said::of(problems::OPEN_BOX)),
            Kind::Semicolon => {
                let fix = vec![(said!("Write /"), " /".to_owned())];
                self.doubts.fixable(range, Said::of(problems::STRAY_SEMICOLON), fix);
            }
            Kind::Quoted => self.doubts.problem(range, Said::of(problems::STRAY_NAME)),
            Kind::Barline | Kind::Word | Kind::Open | Kind::Close | Kind::Label | Kind::RepeatTo => {}
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
            self.doubts.problem(range.clone(), Said::of(problems::SIGN_IN_SPLIT));
            self.bar(open);
        }
    }

    fn open(&mut self, range: Range<usize>) {
        self.end_dotted();
        if let Some(open) = self.split.take() {
            self.doubts.problem(range.clone(), Said::of(problems::NESTED));
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
            None => self.doubts.problem(range, Said::of(problems::STRAY_CLOSE)),
            Some(open) if open.slots.is_empty() => {
                self.doubts
                    .problem(open.range.start..range.end, Said::of(problems::EMPTY_SPLIT));
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
                    self.sevens.push(range.clone());
                }
                if matches!(word, "2/4" | "3/4") && self.split.is_none() {
                    let fix = vec![(said!("Write [{word}]", word), format!("[{word}]"))];
                    self.doubts.remark(range.clone(), problems::chord_or_metre(word), fix);
                }
                if marked.letters && !self.key_known {
                    self.key_known = true;
                    self.doubts
                        .remark(range.clone(), Said::of(problems::NO_KEY), Vec::new());
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
            if let Some(label) = label.filter(|t| !self.words(&t.range).starts_with(QUOTES)) {
                let whole = range.start..label.range.end;
                self.close_for_sign(&whole);
                self.section(self.words(&whole));
                return words + 2;
            }
        }
        if let Some(used) = self.slip(&range, after) {
            return used;
        }
        let word = self.words(&range);
        if self.split.is_none() && heading::metre(word).is_ok() {
            let mut fixes = vec![(said!("Write [{word}]", word), format!("[{word}]"))];
            fixes.extend(unread.fixes);
            self.doubts.fixable(range, problems::bare_metre(word), fixes);
            return 1;
        }
        self.doubts.fixable(range.clone(), unread.words, unread.fixes);
        if unread.holds_place {
            self.place(Slot::REST, range);
        }
        1
    }

    /// A section's name with its colon, or `Key:` before a key.
    fn label(&mut self, range: Range<usize>, after: &[Token]) -> usize {
        self.close_for_sign(&range);
        if let Some((change, used)) = self.key_words(&range, after) {
            self.change_key(change);
            return used;
        }
        self.section(self.words(&range));
        1
    }

    fn section(&mut self, label: &str) {
        let name = label.strip_suffix(':').unwrap_or(label);
        let inner = name.strip_prefix(QUOTES).and_then(|n| n.strip_suffix(QUOTES));
        let name = inner.unwrap_or(name).replace(QUOTES, "'");
        let name: String = name.trim().chars().take(LONGEST_NAME).collect();
        self.push(Item::Section(name.trim().to_owned()));
    }

    fn place(&mut self, slot: Slot, range: Range<usize>) {
        if let Some(open) = &mut self.split {
            if open.slots.len() == MOST_CHORDS {
                let words = said!(
                    "A bar holds at most {most} chords: close it with ) before this one.",
                    most = MOST_CHORDS
                );
                self.doubts.problem(range, words);
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
            self.doubts
                .problem(open.range.clone(), problems::wrong_beats(found, self.metre.count));
            open.slots.iter_mut().for_each(|slot| slot.ticks = None);
        }
        self.bars.push(open.range);
        self.push(Item::Bar(Bar::Chords(open.slots)));
    }

    fn same(&mut self, range: Range<usize>) {
        if !self.bars.is_empty() {
            self.bars.push(range);
            self.push(Item::Bar(Bar::Same));
        } else {
            self.doubts.problem(range, Said::of(problems::NOTHING_BEFORE));
        }
    }

    /// The end of a repeat, and how many tokens it takes: its count may stand apart or in brackets.
    fn repeat_to(&mut self, range: Range<usize>, after: &[Token]) -> usize {
        self.close_for_sign(&range);
        self.repeat = None;
        let mut stuck = self.words(&range).get(2..).unwrap_or_default();
        let mut used = 1;
        if stuck.is_empty() {
            let apart = match after {
                [a, b, c, ..] if (a.kind, b.kind, c.kind) == (Kind::Open, Kind::Word, Kind::Close) => Some((b, 4)),
                [a, ..] if a.kind == Kind::Word => Some((a, 2)),
                _ => None,
            };
            if let Some((word, tokens)) = apart.filter(|(word, _)| slips::count(self.words(&word.range)).is_some()) {
                (stuck, used) = (self.words(&word.range), tokens);
            }
        }
        let figures = stuck.trim_matches(['x', 'X', '×']);
        let times = match figures {
            "" if stuck.is_empty() => Some(Times::TWICE),
            _ => figures.parse().ok().and_then(Times::new),
        };
        if times.is_none() {
            self.doubts.problem(range, Said::of(problems::REPEAT_COUNT));
        }
        self.push(Item::RepeatTo(times.unwrap_or(Times::TWICE)));
        used
    }

    fn change_key(&mut self, change: KeyChange) {
        self.key = change.from(self.key);
        self.key_known = true;
        self.push(Item::Key(change));
    }

    fn boxed(&mut self, range: Range<usize>) {
        let inner = self.words(&range).trim_start_matches('[').trim_end_matches(']').trim();
        match box_of(inner) {
            Some(Item::Key(change)) => self.change_key(change),
            Some(item) => {
                if let Item::Metre(metre) = item {
                    self.metre = metre;
                }
                self.push(item);
            }
            None => self.boxed_name(range, inner),
        }
    }

    fn end(&mut self) {
        self.end_dotted();
        if let Some(open) = self.split.take() {
            self.doubts.problem(open.range.clone(), Said::of(problems::OPEN_SPLIT));
            self.bar(open);
        }
        if let Some(range) = self.repeat.take() {
            self.doubts.problem(range, Said::of(problems::OPEN_REPEAT));
        }
        self.tell_sevens();
    }
}

/// What stands in a box.
fn box_of(inner: &str) -> Option<Item> {
    if let Some(change) = slips::key_change(inner) {
        return Some(Item::Key(change));
    }
    if inner.contains('/') {
        return heading::metre(inner).ok().map(Item::Metre);
    }
    if let Some(key) = heading::key(inner) {
        return Some(Item::Key(KeyChange::To(key)));
    }
    let passes = inner.split([',', '.', ' ']).filter(|p| !p.is_empty());
    let passes: Vec<u8> = passes.map(str::parse).collect::<Result<_, _>>().ok()?;
    Endings::new(passes).map(Item::Ending)
}
