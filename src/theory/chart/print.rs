//! A chart as text.
//!
//! *Invariant:* what is printed reads back as the same chart.

use super::body::NAME_WORDS;
use super::heading::{Field, field};
use super::marks;
use super::model::{Bar, Break, Chart, Endings, Item, KeyChange, Slot};
use super::tokens::QUOTES;
use crate::theory::chart::timeline::Hit;
use crate::theory::time::{Metre, Swing};
use std::fmt;

impl fmt::Display for Chart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(title) = &self.title {
            write!(f, "{}, ", name(title, is_plain_title(title)))?;
        }
        write!(f, "key {}", self.key)?;
        if let Some(tempo) = self.tempo {
            write!(f, ", {tempo}")?;
        }
        if self.metre != Metre::COMMON {
            write!(f, ", {}/{}", self.metre.count, self.metre.unit)?;
        }
        if let Some(style) = &self.style {
            match field(style) {
                Ok(Field::Style(known)) if known == *style => write!(f, ", {style}")?,
                _ => write!(f, ", style {}", name(style, false))?,
            }
        }
        if self.swing == Swing::Swung {
            f.write_str(", swung")?;
        }
        f.write_str(";")?;
        let mut line_begins = false;
        for item in &self.items {
            let breaks = *item == Item::Break(Break::Line);
            if !line_begins && !breaks {
                f.write_str(" ")?;
            }
            line_begins = breaks;
            write!(f, "{item}")?;
        }
        Ok(())
    }
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Section(label) => write!(f, "{}:", name(label, is_plain_label(label))),
            Self::Break(Break::Slash) => f.write_str("/"),
            Self::Break(Break::Line) => f.write_str("\n"),
            Self::Bar(bar) => bar.fmt(f),
            Self::RepeatFrom => f.write_str("|:"),
            Self::RepeatTo(times) if times.0 == 2 => f.write_str(":|"),
            Self::RepeatTo(times) => write!(f, ":|x{}", times.0),
            Self::Ending(endings) => endings.fmt(f),
            Self::Metre(metre) => write!(f, "[{}/{}]", metre.count, metre.unit),
            Self::Key(KeyChange::To(key)) => write!(f, "[key {key}]"),
            Self::Key(KeyChange::By(steps)) => write!(f, "[mod {:+}]", steps.0),
        }
    }
}

impl fmt::Display for Endings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let passes: Vec<String> = self.passes().map(|pass| pass.to_string()).collect();
        write!(f, "[{}.]", passes.join(","))
    }
}

impl fmt::Display for Bar {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Same => f.write_str("%"),
            Self::Chords(slots) => match slots.as_slice() {
                [only] => only.fmt(f),
                several => {
                    let words: Vec<String> = several.iter().map(ToString::to_string).collect();
                    write!(f, "({})", words.join(" "))
                }
            },
        }
    }
}

impl fmt::Display for Slot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let push = if self.pushed { "<" } else { "" };
        match (self.numeral, self.hit) {
            (None, _) | (_, Hit::Rest) => f.write_str("r")?,
            (Some(numeral), Hit::Played) => write!(f, "{push}{numeral}")?,
            (Some(numeral), Hit::Held) => write!(f, "{push}<{numeral}>")?,
            (Some(numeral), Hit::Choked) => write!(f, "{push}{numeral}!")?,
        }
        for _ in 0..self.ticks.map_or(0, |t| t.0) {
            f.write_str(".")?;
        }
        Ok(())
    }
}

/// A name, in quotes unless it reads back without.
fn name(text: &str, plain: bool) -> String {
    if plain {
        text.to_owned()
    } else {
        format!("\"{}\"", text.replace(QUOTES, "'").replace('\n', " "))
    }
}

fn is_plain_title(title: &str) -> bool {
    let letters = title
        .chars()
        .all(|c| c.is_alphanumeric() || matches!(c, ' ' | '\'' | '-' | '!' | '?'));
    letters && !title.is_empty() && field(title) == Ok(Field::Title(title.to_owned()))
}

/// One word that begins with a letter is plain; of several, the first must be no chord.
fn is_plain_label(label: &str) -> bool {
    let words: Vec<&str> = label.split(' ').collect();
    let letters = words
        .iter()
        .all(|w| !w.is_empty() && w.chars().all(char::is_alphanumeric));
    match words.as_slice() {
        [_] => letters && label.starts_with(char::is_alphabetic),
        [first, rest @ ..] => letters && rest.len() < NAME_WORDS && marks::begins_name(first),
        [] => false,
    }
}
