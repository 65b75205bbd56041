//! What the reader makes of a hurried hand: signs without their boxes, names without their colons, dashes, counts.
//!
//! *Invariant:* only a slip with one plain meaning is read; one that may mean several things is told, with its
//! repairs.

use super::{Body, NAME_WORDS};
use crate::theory::chart::model::{KeyChange, Times};
use crate::theory::chart::problems;
use crate::theory::chart::report::Fix;
use crate::theory::chart::slips;
use crate::theory::chart::tokens::{Kind, Token};
use crate::words::Said;
use std::ops::Range;

/// A line longer than this, in bytes, is not offered to be repeated: it would have to be copied for every stray count.
const LONGEST_REPEATED: usize = 400;

impl Body<'_, '_> {
    /// What was plainly meant by words that are no chord; answers how many tokens it used.
    pub(super) fn slip(&mut self, range: &Range<usize>, after: &[Token]) -> Option<usize> {
        let word = self.words(range);
        if let Some((change, used)) = self.key_words(range, after) {
            self.close_for_sign(range);
            self.change_key(change);
            return Some(used);
        }
        if let Some(used) = self.name_alone(range, after) {
            return Some(used);
        }
        if let Some(figures) = slips::count(word) {
            self.stray_count(range, figures);
            return Some(1);
        }
        if slips::is_dash(word) || slips::undashed_word(word).is_some() {
            self.dashes(range);
            return Some(1);
        }
        None
    }

    /// A change of key without its box, and how many tokens it takes. The longest wins: `key B minor`.
    pub(super) fn key_words(&self, range: &Range<usize>, after: &[Token]) -> Option<(KeyChange, usize)> {
        let words = after.iter().take(3).take_while(|t| t.kind == Kind::Word).count();
        (0..=words).rev().find_map(|more| {
            let end = more.checked_sub(1).and_then(|last| after.get(last));
            let whole = range.start..end.map_or(range.end, |t| t.range.end);
            slips::key_change(self.words(&whole)).map(|change| (change, more + 1))
        })
    }

    /// A name alone on its line: a section, where it is one of the trade's.
    pub(super) fn name_alone(&mut self, range: &Range<usize>, after: &[Token]) -> Option<usize> {
        let more = after
            .iter()
            .take(NAME_WORDS + 1)
            .take_while(|t| t.kind == Kind::Word)
            .count();
        let ends = after
            .get(more)
            .is_none_or(|t| matches!(t.kind, Kind::Line | Kind::Slash));
        if !self.line_begins || !ends || more >= NAME_WORDS {
            return None;
        }
        let tokens = after.iter().take(more);
        let end = tokens.clone().next_back().map_or(range.end, |t| t.range.end);
        let words: Vec<&str> = std::iter::once(self.words(range))
            .chain(tokens.map(|t| self.words(&t.range)))
            .collect();
        let known = slips::names_section(&words)?;
        let whole = range.start..end;
        let name = self.words(&whole);
        if known {
            self.close_for_sign(&whole);
            self.section(name);
        } else {
            let fix = vec![(said!("Make it a section"), slips::section_text(name))];
            self.doubts.fixable(whole, Said::of(problems::NAME_ALONE), fix);
        }
        Some(more + 1)
    }

    /// A count that stands behind no repeat.
    pub(super) fn stray_count(&mut self, range: &Range<usize>, figures: &str) {
        let fix = |label: Said, range: Range<usize>, text: String| Fix { label, range, text };
        let mut fixes = Vec::new();
        let bar = self.bars.last().filter(|bar| bar.start >= self.line);
        if self.repeat.take().is_some() {
            fixes.push(fix(
                said!("End the repeat here"),
                range.clone(),
                format!(":|x{figures}"),
            ));
        } else if let (Some(bar), Some(times)) = (bar, figures.parse().ok().and_then(Times::new)) {
            let part = self.words(&(bar.start..range.start)).trim_end();
            let more = " %".repeat(usize::from(times.0) - 1);
            fixes.push(fix(
                said!("Repeat the bar"),
                bar.start..range.end,
                format!("{part}{more}"),
            ));
            let line = self.words(&(self.line..range.start)).trim();
            if line.len() <= LONGEST_REPEATED && !line.contains([':', '[']) {
                let text = format!("|: {line} :|x{figures}");
                let blank = self.words(&(self.line..range.start));
                let from = self.line + blank.len() - blank.trim_start().len();
                fixes.insert(0, fix(said!("Repeat the line"), from..range.end, text));
            }
        }
        let words = problems::stray_count(self.words(range));
        self.doubts.mended(range.clone(), words, fixes);
    }

    /// Dashes between chords: told once a line, and mended in all of it.
    pub(super) fn dashes(&mut self, range: &Range<usize>) {
        if std::mem::replace(&mut self.dashes_told, true) {
            return;
        }
        let rest = self.text.get(range.start..).unwrap_or_default();
        let whole = self.line..range.start + rest.find('\n').unwrap_or(rest.len());
        let fix = Fix {
            label: said!("Take the dashes away"),
            text: slips::undashed(self.words(&whole)),
            range: whole,
        };
        self.doubts.mended(range.clone(), Said::of(problems::DASHES), vec![fix]);
    }

    /// A section's name in a box.
    pub(super) fn boxed_name(&mut self, range: Range<usize>, inner: &str) {
        let words: Vec<&str> = inner.split_whitespace().collect();
        match slips::names_section(&words) {
            Some(true) => self.section(inner),
            Some(false) => {
                let fix = vec![(said!("Make it a section"), slips::section_text(inner))];
                self.doubts.fixable(range, Said::of(problems::BOX), fix);
            }
            None => self.doubts.problem(range, Said::of(problems::BOX)),
        }
    }

    /// One remark for all the plain 7s of the chart, mended together.
    pub(super) fn tell_sevens(&mut self) {
        let (Some(first), Some(last)) = (self.sevens.first(), self.sevens.last()) else {
            return;
        };
        let (first, whole) = (first.clone(), first.start..last.end);
        let mut text = String::with_capacity(whole.len() + self.sevens.len());
        let mut at = whole.start;
        for seven in &self.sevens {
            text.push_str(self.words(&(at..seven.start)));
            text.push_str(&self.words(seven).replacen('7', "b7", 1));
            at = seven.end;
        }
        let label = match self.sevens.len() {
            1 => said!("Write b7"),
            places => said!("Write b7 in all {places} places", places),
        };
        let fix = Fix {
            range: whole,
            text,
            label,
        };
        self.doubts
            .remark_mended(first, problems::plain_seven(self.sevens.len()), fix);
    }
}
