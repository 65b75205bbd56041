//! Chords of a MusicXML score: those of its first part that has some.

use super::{Begun, LeadBar, LeadError, Song};
use crate::theory::chart::MOST_BARS;
use crate::theory::{Accidental, Chord, Key, Metre, Mode, NoteName, Quality, Signature, Tempo};
use crate::words::Said;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;

/// The deepest that elements stand within each other.
const DEEPEST: usize = 64;
/// The longest text that is kept of an element, in bytes.
const MOST_TEXT: usize = 200;
/// The most chords of one bar: some ten times what a player could follow.
const MOST_CHORDS: usize = 64;

pub(super) fn read(text: &str) -> Result<Song, LeadError> {
    let mut reader = Reader::from_str(text);
    let mut gatherer = Gatherer::new();
    let damaged = |what: Said, at: u64| LeadError::Damaged(said!("at byte {at}, {what}", at, what));
    loop {
        let at = reader.buffer_position();
        match reader.read_event().map_err(|error| damaged(Said::from(error), at))? {
            Event::Start(start) => {
                gatherer.open(&start);
                if gatherer.path.len() > DEEPEST {
                    return Err(damaged(said!("its elements stand too deep"), at));
                }
            }
            Event::Empty(start) => {
                gatherer.open(&start);
                gatherer.close();
            }
            Event::Text(text) => gatherer.text(&text.xml_content(quick_xml::XmlVersion::Implicit1_0)),
            Event::GeneralRef(entity) => gatherer.text(character(&entity)),
            Event::End(_) => gatherer.close(),
            Event::Eof => return Ok(gatherer.song),
            _ => {}
        }
        if gatherer.bar.as_ref().is_some_and(|bar| bar.chords.len() > MOST_CHORDS) {
            return Err(LeadError::TooManyChords {
                bar: gatherer.song.bars.0.len() + 1,
                most: MOST_CHORDS,
            });
        }
    }
}

/// The character of one of XML's own five entities; any other is left out.
fn character(entity: &str) -> &'static str {
    match entity {
        "amp" => "&",
        "lt" => "<",
        "gt" => ">",
        "apos" => "'",
        "quot" => "\"",
        _ => "",
    }
}

/// Elements whose own values begin afresh.
const AFRESH: [&str; 5] = ["harmony", "note", "backup", "forward", "attributes"];

/// Gathers bars from elements as they open and close.
struct Gatherer {
    song: Song,
    /// The elements that are open.
    path: Vec<String>,
    /// The texts of the elements seen since the last of [`AFRESH`] opened.
    values: BTreeMap<String, String>,
    degrees: Vec<(u8, i8)>,
    /// Whether this part is read: the first, or a later one where none before it names a chord.
    reads: bool,
    metre: Metre,
    /// Divisions of a quarter, and where in the bar the music stands.
    divisions: f64,
    position: f64,
    bar: Option<LeadBar>,
}

impl Gatherer {
    fn new() -> Self {
        Self {
            song: Song::default(),
            path: Vec::new(),
            values: BTreeMap::new(),
            degrees: Vec::new(),
            reads: true,
            metre: Metre::COMMON,
            divisions: 1.0,
            position: 0.0,
            bar: None,
        }
    }

    fn open(&mut self, start: &BytesStart<'_>) {
        let name: String = start.name().as_ref().chars().take(MOST_TEXT).collect();
        match name.as_str() {
            "part" => {
                self.reads = self.song.bars.0.iter().all(|b| b.chords.is_empty());
                if self.reads {
                    self.song.bars.0.clear();
                    self.metre = Metre::COMMON;
                }
            }
            "measure" => {
                self.position = 0.0;
                self.bar = Some(LeadBar {
                    metre: self.metre,
                    section: None,
                    chords: Vec::new(),
                });
            }
            "sound" if self.song.tempo.is_none() => {
                let tempo = start.attributes().flatten().find(|a| a.key.as_ref() == "tempo");
                let figure = tempo.and_then(|a| a.value.parse::<f64>().ok());
                self.song.tempo = figure.filter(|t| (20.0..=400.0).contains(t)).map(Tempo);
            }
            _ => {}
        }
        if AFRESH.contains(&name.as_str()) {
            self.values.clear();
            self.degrees.clear();
        }
        self.values.insert(name.clone(), String::new());
        self.path.push(name);
    }

    fn text(&mut self, text: &str) {
        let Some(value) = self.path.last().and_then(|name| self.values.get_mut(name)) else {
            return;
        };
        if value.len() + text.len() <= MOST_TEXT {
            value.push_str(text);
        }
    }

    fn close(&mut self) {
        let Some(name) = self.path.pop() else { return };
        match name.as_str() {
            "work-title" | "movement-title" => self.song.title = self.words(&name).or(self.song.title.take()),
            "rehearsal" => {
                let words = self.words(&name);
                if let Some(bar) = &mut self.bar {
                    bar.section = words;
                }
            }
            "attributes" => self.attributes(),
            "degree" => self
                .degrees
                .extend(self.figure("degree-value").zip(self.figure("degree-alter"))),
            "harmony" => self.harmony(),
            "note" if !self.values.contains_key("chord") && !self.values.contains_key("grace") => self.go(1.0),
            "backup" => self.go(-1.0),
            "forward" => self.go(1.0),
            "measure" => self.measure(),
            _ => {}
        }
    }

    fn measure(&mut self) {
        if let Some(bar) = self
            .bar
            .take()
            .filter(|_| self.reads && self.song.bars.0.len() <= MOST_BARS)
        {
            self.song.bars.0.push(bar);
        }
    }

    fn go(&mut self, way: f64) {
        let duration = self
            .figure::<f64>("duration")
            .filter(|d| d.is_finite())
            .unwrap_or_default();
        self.position = (self.position + way * duration).max(0.0);
    }

    fn attributes(&mut self) {
        if let Some(divisions) = self.figure::<f64>("divisions").filter(|d| (1.0..=1e6).contains(d)) {
            self.divisions = divisions;
        }
        if let (Some(fifths), None) = (self.figure::<i8>("fifths"), self.song.key) {
            let minor = self.values.get("mode").is_some_and(|m| m.trim() == "minor");
            let mode = if minor { Mode::Minor } else { Mode::Major };
            self.song.key = Some(Key::from_signature(Signature(fifths.clamp(-7, 7)), mode));
        }
        let metre = self
            .figure("beats")
            .zip(self.figure("beat-type"))
            .map(|(count, unit)| Metre { count, unit });
        if let Some(metre) = metre.filter(|m| (1..=16).contains(&m.count) && [2, 4, 8, 16].contains(&m.unit)) {
            self.metre = metre;
            if let Some(bar) = &mut self.bar {
                bar.metre = metre;
            }
        }
    }

    fn harmony(&mut self) {
        let Some(root) = self.note("root-step", "root-alter").filter(|_| self.reads) else {
            return;
        };
        let kind = self.values.get("kind").map(|k| k.trim().to_owned()).unwrap_or_default();
        if kind == "none" {
            return;
        }
        let quality = match quality(&kind, &self.degrees) {
            Ok(quality) => quality,
            Err(nearest) => {
                let bar = self.song.bars.0.len() + 1;
                self.song.notes.push(said!(
                    "Bar {bar}: \"{chord}\" is written as {instead}.",
                    bar,
                    chord = format!("{root} {kind}"),
                    instead = format!("{root}{}", nearest.suffix())
                ));
                nearest
            }
        };
        let bass = self.note("bass-step", "bass-alter");
        let chord = bass.map_or(Chord::new(root, quality), |bass| Chord::new(root, quality).over(bass));
        let offset = self
            .figure::<f64>("offset")
            .filter(|o| o.is_finite())
            .unwrap_or_default();
        let length = self.metre.bar().0 * self.divisions;
        let part = ((self.position + offset) / length).clamp(0.0, 1.0);
        if let Some(bar) = &mut self.bar {
            let after = bar.chords.partition_point(|c| c.part <= part);
            bar.chords.insert(after, Begun { part, chord });
        }
    }

    fn note(&self, step: &str, alter: &str) -> Option<NoteName> {
        let name: NoteName = self.values.get(step)?.trim().parse().ok()?;
        let alter = self.figure::<i8>(alter).unwrap_or_default().clamp(-2, 2);
        Some(NoteName::new(name.letter, Accidental(alter)))
    }

    fn figure<T: std::str::FromStr>(&self, name: &str) -> Option<T> {
        self.values.get(name)?.trim().parse().ok()
    }

    fn words(&self, name: &str) -> Option<String> {
        self.values
            .get(name)
            .map(|w| w.trim().to_owned())
            .filter(|w| !w.is_empty())
    }
}

/// The quality of a kind with added degrees; where there is none, the nearest that leaves degrees out.
fn quality(kind: &str, degrees: &[(u8, i8)]) -> Result<Quality, Quality> {
    let known = |wanted: &[(u8, i8)]| {
        Quality::ALL.into_iter().find(|q| {
            let (own, added) = super::super::musicxml::kind(*q);
            own == kind && added == wanted
        })
    };
    match known(degrees) {
        Some(quality) => Ok(quality),
        None => Err(known(&[]).unwrap_or(Quality::Major)),
    }
}
