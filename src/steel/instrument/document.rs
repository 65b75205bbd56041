//! Reading a TOML text with positions: every fault is noted and reading goes on.

use super::fault::{Fault, FaultKind};
use std::ops::{Range, RangeInclusive};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The longest name, in characters.
const MOST_NAME: usize = 80;

/// Where in the text, in bytes.
pub(super) type Span = Range<usize>;

/// A value with its place in the text.
pub(super) type Value<'t> = Spanned<DeValue<'t>>;

/// Collects faults while the text is read.
pub(super) struct Reader<'t> {
    text: &'t str,
    pub(super) faults: Vec<Fault>,
}

/// A table that is being read, and where it starts.
#[derive(Clone)]
pub(super) struct Section<'d> {
    table: &'d DeTable<'d>,
    pub(super) span: Span,
}

impl<'d> Section<'d> {
    pub(super) fn new(table: &'d DeTable<'d>, span: Span) -> Self {
        Self { table, span }
    }

    /// The value of `key`, if it is there.
    pub(super) fn get(&self, key: &str) -> Option<&'d Value<'d>> {
        self.table.iter().find(|(k, _)| k.get_ref() == key).map(|(_, v)| v)
    }

    /// All keys with their places and values.
    pub(super) fn entries(&self) -> impl Iterator<Item = (&'d str, Span, &'d Value<'d>)> + use<'d> {
        self.table.iter().map(|(k, v)| (k.get_ref().as_ref(), k.span(), v))
    }
}

/// The bounds of a number, with what they are for.
pub(super) struct Bounds {
    pub(super) what: &'static str,
    pub(super) range: RangeInclusive<f64>,
    pub(super) unit: &'static str,
}

impl<'t> Reader<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Self {
            text,
            faults: Vec::new(),
        }
    }

    /// Notes that `kind` is wrong at the start of `span`.
    pub(super) fn fault(&mut self, span: &Span, kind: FaultKind) {
        let before = self.text.get(..span.start).unwrap_or(self.text);
        let last_line = before.rsplit('\n').next().unwrap_or("");
        self.faults.push(Fault {
            line: before.matches('\n').count() + 1,
            column: last_line.chars().count() + 1,
            kind,
        });
    }

    fn wrong_kind(&mut self, value: &Value<'_>, wanted: &'static str) {
        let found = match value.get_ref() {
            DeValue::String(_) => key!("text"),
            DeValue::Integer(_) | DeValue::Float(_) => key!("a number"),
            DeValue::Boolean(_) => key!("true or false"),
            DeValue::Datetime(_) => key!("a date"),
            DeValue::Array(_) => key!("a list"),
            DeValue::Table(_) => key!("a table"),
        };
        self.fault(&value.span(), FaultKind::Kind { wanted, found });
    }

    /// Notes every key of `section` that is not in `known`.
    pub(super) fn only(&mut self, section: &Section<'_>, known: &[&'static str]) {
        for (key, span, _) in section.entries() {
            if !known.contains(&key) {
                let (key, known) = (key.to_owned(), known.to_vec());
                self.fault(&span, FaultKind::Unknown { key, known });
            }
        }
    }

    /// The value of `key`, noting its absence.
    pub(super) fn required<'d>(
        &mut self,
        section: &Section<'d>,
        key: &'static str,
        example: &'static str,
    ) -> Option<&'d Value<'d>> {
        let value = section.get(key);
        if value.is_none() {
            self.fault(&section.span, FaultKind::Missing { key, example });
        }
        value
    }

    /// A text that is not blank.
    pub(super) fn text<'d>(&mut self, value: &'d Value<'d>) -> Option<&'d str> {
        let text = value.get_ref().as_str().map(str::trim).filter(|t| !t.is_empty());
        match text {
            None => self.wrong_kind(value, key!("a text in quotes")),
            Some(long) if long.chars().count() > MOST_NAME => {
                self.fault(&value.span(), FaultKind::TooLong(MOST_NAME));
            }
            Some(_) => {}
        }
        text
    }

    /// A number within `bounds`.
    pub(super) fn number(&mut self, value: &Value<'_>, bounds: &Bounds) -> Option<f64> {
        let number = match value.get_ref() {
            DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse::<f64>().ok(),
            DeValue::Float(f) => f.as_str().parse::<f64>().ok(),
            _ => None,
        };
        let Some(found) = number else {
            self.wrong_kind(value, key!("a number"));
            return None;
        };
        if bounds.range.contains(&found) {
            return Some(found);
        }
        let kind = FaultKind::Range {
            what: bounds.what,
            found,
            low: *bounds.range.start(),
            high: *bounds.range.end(),
            unit: bounds.unit,
        };
        self.fault(&value.span(), kind);
        None
    }

    /// True or false.
    pub(super) fn flag(&mut self, value: &Value<'_>) -> Option<bool> {
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            self.wrong_kind(value, key!("true or false"));
        }
        flag
    }

    /// A table.
    pub(super) fn section<'d>(&mut self, value: &'d Value<'d>) -> Option<Section<'d>> {
        let table = value.get_ref().as_table();
        if table.is_none() {
            self.wrong_kind(value, key!("a table, as in { 5 = 2 },"));
        }
        table.map(|t| Section::new(t, value.span()))
    }

    /// The tables of a list of tables; none where `key` is absent.
    pub(super) fn sections<'d>(&mut self, section: &Section<'d>, key: &str) -> Vec<Section<'d>> {
        let Some(value) = section.get(key) else {
            return Vec::new();
        };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong_kind(
                value,
                key!("a list of tables, each headed by its name in double brackets,"),
            );
            return Vec::new();
        };
        list.iter().filter_map(|v| self.section(v)).collect()
    }
}
