//! Instruments from their files: the same reader for those that are shipped and a player's own.

use super::change::{Change, ChangeId, Control, Half, Pull};
use super::choice::{Choice, ChoiceOption};
use super::document::{Bounds, Reader, Section, Span, Value};
use super::fault::{FaultKind, InstrumentError};
use super::strings::{Gauge, StringNumber, StringSpec};
use super::{Instrument, Spacing};
use crate::steel::units::{Millimetres, Travel};
use crate::theory::{Cents, Pitch};
use toml::de::DeTable;

/// The form of the file that is written. A file need not name it: the shipped ones don't.
pub(super) const FORM: u8 = 1;

/// Note numbers a string may be tuned to: C0 to C7, which leaves room for 24 frets and any change.
const PITCHES: std::ops::RangeInclusive<u8> = 12..=96;

/// Reads an instrument file.
///
/// ```
/// use leadbar::steel::instrument::parse;
/// let lap = parse("
///     id = \"two\"
///     name = \"Two strings\"
///     scale-length-mm = 600
///     [[strings]]
///     pitch = \"E4\"
///     gauge = 14
///     [[strings]]
///     pitch = \"C4\"
///     gauge = 17
/// ").unwrap();
/// assert_eq!(lap.strings.len(), 2);
/// ```
///
/// # Errors
/// Every fault of the text, each with its line, column and remedy.
pub fn parse(text: &str) -> Result<Instrument, InstrumentError> {
    let mut reader = Reader::new(text);
    let (document, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        reader.fault(&span, FaultKind::Syntax(error.message().to_owned()));
    }
    let instrument = if reader.faults.is_empty() {
        reader.instrument(&Section::new(document.get_ref(), 0..0))
    } else {
        // What the recovered tree lacks is not the writer's fault.
        None
    };
    match instrument {
        Some(instrument) if reader.faults.is_empty() => Ok(instrument),
        _ => Err(InstrumentError::new(reader.faults)),
    }
}

impl Reader<'_> {
    fn instrument(&mut self, top: &Section<'_>) -> Option<Instrument> {
        if top.get("form").is_some_and(|form| self.is_newer(form)) {
            return None;
        }
        self.only(
            top,
            &[
                "form",
                "id",
                "name",
                "scale-length-mm",
                "frets",
                "string-spacing-mm",
                "strings",
                "changes",
                "choices",
            ],
        );
        let id = self.words(top, "id", "id = \"my-e9\"");
        let name = self.words(top, "name", "name = \"My E9\"");
        let scale = self
            .required(top, "scale-length-mm", "scale-length-mm = 616")
            .and_then(|v| self.number(v, &SCALE));
        let frets = top.get("frets").map_or(Some(24.0), |v| self.number(v, &FRETS));
        let spacing = top
            .get("string-spacing-mm")
            .map_or(Some(Spacing::default()), |v| self.spacing(v));
        let strings = self.strings(top);
        let changes = self.changes(top, strings.len());
        let choices = self.choices(top, strings.len(), &changes);
        // A string that could not be read keeps its number, so that no other fault is told in its wake.
        let strings: Option<Vec<StringSpec>> = strings.into_iter().collect();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 12..=36
        Some(Instrument {
            id: id?.to_owned(),
            name: name?.to_owned(),
            scale_length: Millimetres(scale?),
            frets: frets? as u8,
            spacing: spacing?,
            give: Cents(0.0),
            strings: strings?,
            changes,
            choices,
        })
    }

    /// A file of a newer form holds what this reader would misread.
    fn is_newer(&mut self, value: &Value<'_>) -> bool {
        let newer = self.number(value, &FORMS).is_some_and(|form| form > f64::from(FORM));
        if newer {
            self.fault(&value.span(), FaultKind::Newer);
        }
        newer
    }

    fn words<'d>(&mut self, section: &Section<'d>, key: &'static str, example: &'static str) -> Option<&'d str> {
        self.required(section, key, example).and_then(|v| self.text(v))
    }

    fn spacing(&mut self, value: &Value<'_>) -> Option<Spacing> {
        let section = self.section(value)?;
        self.only(&section, &["nut", "bridge"]);
        let nut = self
            .required(&section, "nut", "nut = 7.1")
            .map(|v| self.number(v, &GAP));
        let bridge = self
            .required(&section, "bridge", "bridge = 8.7")
            .map(|v| self.number(v, &GAP));
        Some(Spacing {
            nut: Millimetres(nut??),
            bridge: Millimetres(bridge??),
        })
    }

    fn strings(&mut self, top: &Section<'_>) -> Vec<Option<StringSpec>> {
        const EXAMPLE: &str = "[[strings]] with pitch = \"E4\" and gauge = 14";
        self.required(top, "strings", EXAMPLE);
        let sections = self.sections(top, "strings");
        self.at_most(&sections, key!("strings"), StringNumber::MOST);
        sections.iter().map(|s| self.string(s)).collect()
    }

    fn at_most(&mut self, sections: &[Section<'_>], what: &'static str, most: usize) {
        if let Some(extra) = sections.get(most) {
            let found = sections.len();
            self.fault(&extra.span, FaultKind::TooMany { what, found, most });
        }
    }

    fn string(&mut self, section: &Section<'_>) -> Option<StringSpec> {
        self.only(section, &["pitch", "gauge", "wound", "offset-cents"]);
        let pitch = self
            .required(section, "pitch", "pitch = \"E4\"")
            .and_then(|v| self.pitch(v));
        let gauge = self
            .required(section, "gauge", "gauge = 14")
            .and_then(|v| self.number(v, &GAUGE));
        let wound = section.get("wound").map_or(Some(false), |v| self.flag(v));
        let offset = section
            .get("offset-cents")
            .map_or(Some(0.0), |v| self.number(v, &OFFSET));
        Some(StringSpec {
            pitch: pitch?,
            gauge: Gauge(gauge?),
            wound: wound?,
            offset: Cents(offset?),
        })
    }

    fn pitch(&mut self, value: &Value<'_>) -> Option<Pitch> {
        let text = self.text(value)?;
        match text.parse::<Pitch>() {
            Ok(pitch) if pitch.number().is_some_and(|n| PITCHES.contains(&n.0)) => return Some(pitch),
            Ok(_) => self.fault(&value.span(), FaultKind::PitchReach(text.to_owned())),
            Err(error) => self.fault(&value.span(), error.into()),
        }
        None
    }

    fn changes(&mut self, top: &Section<'_>, strings: usize) -> Vec<Change> {
        let sections = self.sections(top, "changes");
        self.at_most(&sections, key!("changes"), ChangeId::MOST);
        let mut changes: Vec<Change> = Vec::new();
        for section in &sections {
            let Some(change) = self.change(section, strings) else {
                continue;
            };
            if changes.iter().any(|c| c.name == change.name) {
                self.fault(&section.span, FaultKind::Repeated(change.name.clone()));
            }
            self.own_controls(changes.iter().chain([&change]), &section.span);
            changes.push(change);
        }
        changes
    }

    /// Notes the first pair of changes that share a control.
    fn own_controls<'c>(&mut self, changes: impl Iterator<Item = &'c Change> + Clone, span: &Span) {
        let mut rest = changes;
        while let Some(first) = rest.next() {
            if let Some(second) = rest.clone().find(|c| c.control == first.control) {
                let kind = FaultKind::TwoOnOneControl {
                    control: first.control.to_string(),
                    first: first.name.clone(),
                    second: second.name.clone(),
                };
                return self.fault(span, kind);
            }
        }
    }

    fn change(&mut self, section: &Section<'_>, strings: usize) -> Option<Change> {
        self.only(section, &["name", "control", "moves", "half-stop", "half-by-ear"]);
        let name = self.words(section, "name", "name = \"A\"");
        let control = self
            .required(section, "control", "control = \"P1\"")
            .and_then(|v| self.control(v));
        let pulls = self
            .required(section, "moves", "moves = { 5 = 2, 10 = 2 }")
            .and_then(|v| self.pulls(v, strings));
        let half = self.half(section);
        Some(Change {
            name: name?.to_owned(),
            control: control?,
            pulls: pulls?,
            half,
        })
    }

    fn half(&mut self, section: &Section<'_>) -> Option<Half> {
        let (stop, ear) = (section.get("half-stop"), section.get("half-by-ear"));
        match (stop, ear) {
            (Some(_), Some(second)) => {
                self.fault(&second.span(), FaultKind::TwoHalves);
                None
            }
            (Some(stop), None) => self.number(stop, &HALF).map(|t| Half::Stop(Travel(t))),
            (None, Some(ear)) => self.number(ear, &HALF).map(|t| Half::ByEar(Travel(t))),
            (None, None) => None,
        }
    }

    fn control(&mut self, value: &Value<'_>) -> Option<Control> {
        let text = self.text(value)?;
        let control = text.parse().ok();
        if control.is_none() {
            self.fault(&value.span(), FaultKind::Control(text.to_owned()));
        }
        control
    }

    fn pulls(&mut self, value: &Value<'_>, strings: usize) -> Option<Vec<Pull>> {
        let section = self.section(value)?;
        let mut pulls: Vec<Pull> = Vec::new();
        let before = self.faults.len();
        for (key, span, value) in section.entries() {
            let string = self.string_number(key, &span, strings);
            let pull = self.pull(value);
            if let (Some(string), Some(pull)) = (string, pull) {
                pulls.push(Pull { string, ..pull });
            }
        }
        pulls.sort_by_cached_key(|p| i64::from(p.string.number()));
        if pulls.is_empty() && self.faults.len() == before {
            self.fault(&section.span, FaultKind::MovesNothing);
        }
        (self.faults.len() == before).then_some(pulls)
    }

    fn string_number(&mut self, key: &str, span: &Span, strings: usize) -> Option<StringNumber> {
        let number = key.parse().ok().and_then(StringNumber::new);
        let number = number.filter(|n| n.index() < strings);
        if number.is_none() {
            let found = key.to_owned();
            self.fault(span, FaultKind::NoSuchString { found, strings });
        }
        number
    }

    /// A pull written as a number of semitones, or as `{ by = -1, from = 0.5, to = 1 }`; string 1 stands in.
    fn pull(&mut self, value: &Value<'_>) -> Option<Pull> {
        let string = StringNumber::FIRST;
        let Some(table) = value.get_ref().as_table() else {
            let by = self.number(value, &SEMITONES)?;
            return Some(Pull::whole(string, Cents(by * 100.0)));
        };
        let section = Section::new(table, value.span());
        self.only(&section, &["by", "from", "to"]);
        let by = self
            .required(&section, "by", "by = -1")
            .and_then(|v| self.number(v, &SEMITONES));
        let from = section.get("from").map_or(Some(0.0), |v| self.number(v, &TRAVEL))?;
        let to = section.get("to").map_or(Some(1.0), |v| self.number(v, &TRAVEL))?;
        if from >= to {
            self.fault(&value.span(), FaultKind::TravelOrder);
            return None;
        }
        Some(Pull {
            string,
            by: Cents(by? * 100.0),
            from: Travel(from),
            to: Travel(to),
        })
    }

    fn choices(&mut self, top: &Section<'_>, strings: usize, changes: &[Change]) -> Vec<Choice> {
        let mut choices: Vec<Choice> = Vec::new();
        for section in self.sections(top, "choices") {
            self.only(&section, &["id", "label", "options"]);
            let id = self.words(&section, "id", "id = \"pedals\"");
            let label = self.words(&section, "label", "label = \"Pedal order\"");
            self.required(&section, "options", "[[choices.options]]");
            let options = self.sections(&section, "options");
            let options: Vec<_> = options.iter().map(|o| self.option(o, strings, changes)).collect();
            let (Some(id), Some(label)) = (id, label) else {
                continue;
            };
            if choices.iter().any(|c| c.id == id) {
                self.fault(&section.span, FaultKind::Repeated(id.to_owned()));
            }
            choices.push(Choice {
                id: id.to_owned(),
                label: label.to_owned(),
                options: options.into_iter().flatten().collect(),
            });
        }
        choices
    }

    fn option(&mut self, section: &Section<'_>, strings: usize, changes: &[Change]) -> Option<ChoiceOption> {
        self.only(section, &["id", "label", "controls", "moves", "strings"]);
        let id = self.words(section, "id", "id = \"cba\"");
        let label = self.words(section, "label", "label = \"C B A from the left\"");
        let controls = self.by_change(section, "controls", changes, Self::control);
        let pulls = self.by_change(section, "moves", changes, |r, v| r.pulls(v, strings));
        let strings = self.restrung(section, strings);
        let mut changed = changes.to_vec();
        for (id, control) in &controls {
            if let Some(change) = changed.get_mut(id.index()) {
                change.control = *control;
            }
        }
        self.own_controls(changed.iter(), &section.span);
        Some(ChoiceOption {
            id: id?.to_owned(),
            label: label?.to_owned(),
            controls,
            pulls,
            strings,
        })
    }

    /// A table whose keys are names of changes.
    #[allow(clippy::cast_possible_truncation)] // at most 16 changes
    fn by_change<T>(
        &mut self,
        section: &Section<'_>,
        key: &str,
        changes: &[Change],
        read: impl Fn(&mut Self, &Value<'_>) -> Option<T>,
    ) -> Vec<(ChangeId, T)> {
        let Some(table) = section.get(key).and_then(|v| self.section(v)) else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for (name, span, value) in table.entries() {
            match changes.iter().position(|c| c.name == name) {
                Some(index) => found.extend(read(self, value).map(|t| (ChangeId(index as u8), t))),
                None => self.fault(&span, FaultKind::NoSuchChange(name.to_owned())),
            }
        }
        found
    }

    fn restrung(&mut self, section: &Section<'_>, strings: usize) -> Vec<(StringNumber, StringSpec)> {
        let Some(table) = section.get("strings").and_then(|v| self.section(v)) else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for (key, span, value) in table.entries() {
            let number = self.string_number(key, &span, strings);
            let spec = self.section(value).and_then(|s| self.string(&s));
            found.extend(number.zip(spec));
        }
        found
    }
}

const FORMS: Bounds = Bounds {
    what: key!("the form of the file"),
    range: 1.0..=999.0,
    unit: key!("this page writes 1"),
};
const SCALE: Bounds = Bounds {
    what: key!("a scale length"),
    range: 300.0..=1000.0,
    unit: key!("millimetres from nut to bridge"),
};
const FRETS: Bounds = Bounds {
    what: key!("the frets painted on the neck"),
    range: 12.0..=36.0,
    unit: key!("frets"),
};
const GAP: Bounds = Bounds {
    what: key!("the distance from string to string"),
    range: 4.0..=20.0,
    unit: key!("millimetres"),
};
const GAUGE: Bounds = Bounds {
    what: key!("a gauge"),
    range: 6.0..=90.0,
    unit: key!("thousandths of an inch: a .012 string is 12"),
};
const OFFSET: Bounds = Bounds {
    what: key!("a tuning offset"),
    range: -50.0..=50.0,
    unit: key!("cents"),
};
const SEMITONES: Bounds = Bounds {
    what: key!("how far a string moves"),
    range: -6.0..=6.0,
    unit: key!("semitones, up or down"),
};
const TRAVEL: Bounds = Bounds {
    what: key!("a travel"),
    range: 0.0..=1.0,
    unit: key!("0 is released, 1 at the stop"),
};
const HALF: Bounds = Bounds {
    what: key!("a place on the way"),
    range: 0.05..=0.95,
    unit: key!("of the travel"),
};
