//! Reading flat TOML texts with positions: every fault is noted and reading goes on.

use super::fault::{Fault, FaultKind, nearest};
use std::fmt::Display;
use std::ops::{Range, RangeInclusive};
use std::str::FromStr;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Where faults are noted: the file that is read.
#[derive(Debug)]
pub(super) struct Said {
    pub(super) file: String,
    pub(super) faults: Vec<Fault>,
}

impl Said {
    pub(super) fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            faults: Vec::new(),
        }
    }

    /// Notes a fault at a line counted from 1.
    pub(super) fn fault(&mut self, line: usize, kind: FaultKind) {
        let file = self.file.clone();
        self.faults.push(Fault { file, line, kind });
    }
}

/// A value with its place in the text.
type Value<'d> = Spanned<DeValue<'d>>;

/// A TOML table that is being read.
pub(super) struct Fields<'d, 's> {
    table: &'d DeTable<'d>,
    text: &'d str,
    /// The line of the file that the text's first line is.
    first_line: usize,
    pub(super) said: &'s mut Said,
}

/// Reads the TOML `text`, which begins at `first_line` of its file; nothing when it is no TOML, which is noted.
pub(super) fn read<R>(
    text: &str,
    first_line: usize,
    said: &mut Said,
    each: impl FnOnce(&mut Fields<'_, '_>) -> Option<R>,
) -> Option<R> {
    let (document, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let line = first_line + line_of(text, error.span().map_or(0, |s| s.start));
        said.fault(line, FaultKind::Syntax(error.message().to_owned()));
    }
    if !errors.is_empty() {
        // What the recovered table lacks is not the writer's fault.
        return None;
    }
    let table = document.get_ref();
    each(&mut Fields {
        table,
        text,
        first_line,
        said,
    })
}

/// Line breaks before a byte of a text.
pub(super) fn line_of(text: &str, at: usize) -> usize {
    text.get(..at).unwrap_or(text).matches('\n').count()
}

impl<'d> Fields<'d, '_> {
    fn value(&self, key: &str) -> Option<&'d Value<'d>> {
        self.table.iter().find(|(k, _)| k.get_ref() == key).map(|(_, v)| v)
    }

    /// Whether `key` is given.
    pub(super) fn has(&self, key: &str) -> bool {
        self.value(key).is_some()
    }

    /// The line `key` stands on; that of the text's start when it is absent.
    pub(super) fn line(&self, key: &str) -> usize {
        let key = self.table.iter().find(|(k, _)| k.get_ref() == key);
        key.map_or(self.first_line, |(k, _)| self.at(&k.span()))
    }

    fn at(&self, span: &Range<usize>) -> usize {
        self.first_line + line_of(self.text, span.start)
    }

    /// Notes a fault at `key`.
    pub(super) fn fault(&mut self, key: &str, kind: FaultKind) {
        let line = self.line(key);
        self.said.fault(line, kind);
    }

    /// Notes every key that is not in `known`.
    pub(super) fn only(&mut self, known: &[&'static str]) {
        let strange = self
            .table
            .iter()
            .filter(|(k, _)| !known.contains(&k.get_ref().as_ref()));
        let strange: Vec<_> = strange.map(|(k, _)| (k.get_ref().to_string(), k.span())).collect();
        for (key, span) in strange {
            let near = nearest(&key, known).copied();
            let line = self.at(&span);
            let known = known.to_vec();
            self.said.fault(line, FaultKind::Unknown { key, near, known });
        }
    }

    /// Notes the absence of `key`; whether it is there.
    pub(super) fn require(&mut self, key: &'static str, example: &'static str) -> bool {
        let there = self.has(key);
        if !there {
            self.said.fault(self.first_line, FaultKind::Missing { key, example });
        }
        there
    }

    /// A text that is not blank.
    pub(super) fn text(&mut self, key: &'static str) -> Option<&'d str> {
        let text = self
            .value(key)?
            .get_ref()
            .as_str()
            .map(str::trim)
            .filter(|t| !t.is_empty());
        if text.is_none() {
            let wanted = "a text in quotes";
            self.fault(key, FaultKind::Kind { key, wanted });
        }
        text
    }

    /// The value of `key` if it is a text at all.
    pub(super) fn word(&self, key: &str) -> Option<&'d str> {
        self.value(key)?.get_ref().as_str()
    }

    /// A text that must be there.
    pub(super) fn words(&mut self, key: &'static str, example: &'static str) -> Option<&'d str> {
        self.require(key, example).then(|| self.text(key)).flatten()
    }

    /// A text that reads as something.
    pub(super) fn read<T: FromStr<Err: Display>>(&mut self, key: &'static str) -> Option<T> {
        let text = self.text(key)?;
        self.told(key, text.parse())
    }

    /// The value, or its error noted at `key`.
    pub(super) fn told<T, E: Display>(&mut self, key: &str, result: Result<T, E>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(error) => {
                self.fault(key, FaultKind::Told(error.to_string()));
                None
            }
        }
    }

    /// A list of texts, or one alone; empty when absent.
    pub(super) fn texts(&mut self, key: &'static str) -> Vec<&'d str> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let list = match value.get_ref() {
            DeValue::String(one) => Some(vec![one.as_ref()]),
            DeValue::Array(list) => list.iter().map(|v| v.get_ref().as_str()).collect(),
            _ => None,
        };
        if list.is_none() {
            let wanted = "texts in quotes, as in [\"one\", \"two\"]";
            self.fault(key, FaultKind::Kind { key, wanted });
        }
        list.unwrap_or_default().into_iter().map(str::trim).collect()
    }

    /// A list of texts that each read as something; those that do not are noted.
    pub(super) fn reads<T: FromStr<Err: Display>>(&mut self, key: &'static str) -> Vec<T> {
        let texts = self.texts(key);
        texts.into_iter().filter_map(|t| self.told(key, t.parse())).collect()
    }

    /// A number within `range`.
    pub(super) fn number(&mut self, key: &'static str, range: RangeInclusive<f64>) -> Option<f64> {
        let found = number(self.value(key)?);
        self.within(key, found, &range)
    }

    /// A whole number within `range`.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within range and whole
    pub(super) fn whole(&mut self, key: &'static str, range: RangeInclusive<u8>) -> Option<u8> {
        let found = number(self.value(key)?).filter(|n| n.fract() == 0.0);
        let range = f64::from(*range.start())..=f64::from(*range.end());
        self.within(key, found, &range).map(|n| n as u8)
    }

    /// A list of whole numbers within `range`; empty when absent.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within range and whole
    pub(super) fn wholes(&mut self, key: &'static str, range: RangeInclusive<u8>) -> Vec<u8> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let list: Option<Vec<f64>> = value.get_ref().as_array().and_then(|a| a.iter().map(number).collect());
        let Some(list) = list.filter(|l| l.iter().all(|n| n.fract() == 0.0)) else {
            let wanted = "a list of whole numbers, as in [3, 4, 5]";
            self.fault(key, FaultKind::Kind { key, wanted });
            return Vec::new();
        };
        let range = f64::from(*range.start())..=f64::from(*range.end());
        let kept = list.into_iter().filter_map(|n| self.within(key, Some(n), &range));
        kept.map(|n| n as u8).collect()
    }

    fn within(&mut self, key: &'static str, found: Option<f64>, range: &RangeInclusive<f64>) -> Option<f64> {
        let Some(found) = found else {
            let wanted = "a number, without quotes";
            self.fault(key, FaultKind::Kind { key, wanted });
            return None;
        };
        if range.contains(&found) {
            return Some(found);
        }
        let (low, high) = (*range.start(), *range.end());
        self.fault(key, FaultKind::Range { key, found, low, high });
        None
    }

    /// True or false; false when absent.
    pub(super) fn flag(&mut self, key: &'static str) -> bool {
        let Some(value) = self.value(key) else { return false };
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            let wanted = "true or false, without quotes";
            self.fault(key, FaultKind::Kind { key, wanted });
        }
        flag.unwrap_or(false)
    }

    /// A word out of a list.
    pub(super) fn one_of<T: Clone>(
        &mut self,
        key: &'static str,
        what: &'static str,
        known: &[(String, T)],
    ) -> Option<T> {
        let word = self.text(key)?;
        let found = known.iter().find(|(k, _)| k == word).map(|(_, t)| t.clone());
        if found.is_none() {
            let known: Vec<String> = known.iter().map(|(k, _)| k.clone()).collect();
            let near = nearest(word, &known).cloned();
            let word = word.to_owned();
            self.fault(
                key,
                FaultKind::NoSuch {
                    what,
                    word,
                    near,
                    known,
                },
            );
        }
        found
    }

    /// The names and numbers of a table such as `{ A = 1, B = 0.5 }`; nothing when `key` is absent or no such table.
    pub(super) fn named_numbers(&mut self, key: &'static str) -> Vec<(&'d str, f64)> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let entries = value.get_ref().as_table().map(|t| t.iter());
        let read = entries.and_then(|mut t| {
            t.try_fold(Vec::new(), |mut all, (k, v)| {
                all.push((k.get_ref().as_ref(), number(v)?));
                Some(all)
            })
        });
        if read.is_none() {
            let wanted = "how far each is pressed, as in { A = 1, B = 0.5 }";
            self.fault(key, FaultKind::Kind { key, wanted });
        }
        read.unwrap_or_default()
    }
}

fn number(value: &Value<'_>) -> Option<f64> {
    match value.get_ref() {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse().ok(),
        DeValue::Float(f) => f.as_str().parse().ok(),
        _ => None,
    }
}
