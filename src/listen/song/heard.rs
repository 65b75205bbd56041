//! What was heard of a song, bar by bar, and its chart.

use super::chords::{Found, Harmony};
use super::metre::Counting;
use super::sections::sections;
use super::tuning::Tuning;
use crate::theory::chart::{Bar, Break, Item, Slot, Ticks};
use crate::theory::{Anchor, Beats, Chart, Chord, Key, Metre, Numeral, Seconds, Tempo};
use serde::{Deserialize, Serialize};

/// Other chords that are offered for a stretch.
const OFFERED: usize = 4;

/// Bars of a written line.
const LINE: usize = 4;

/// A song as it was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeardSong {
    /// How far from concert pitch.
    pub tuning: Tuning,
    /// The middle tempo, in quarter notes a minute.
    pub tempo: Tempo,
    /// Three or four quarters.
    pub metre: Metre,
    /// The key.
    pub key: Key,
    /// Every beat that was counted.
    pub beats: Vec<Seconds>,
    /// Whole bars, from the first one's first beat.
    pub bars: Vec<HeardBar>,
}

/// A bar as it was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeardBar {
    /// When it begins.
    pub at: Seconds,
    /// Its chords in order, at least one.
    pub chords: Vec<HeardChord>,
    /// Which section it belongs to, counted from 0; nothing when nothing repeats.
    pub section: Option<usize>,
}

impl HeardBar {
    /// How sure its chords are: as sure as the least sure of them, 0..=1.
    #[must_use]
    pub fn confidence(&self) -> f64 {
        self.chords.iter().map(|chord| chord.confidence).fold(1.0, f64::min)
    }
}

/// A chord as it was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeardChord {
    /// How many beats it lasts.
    pub beats: u8,
    /// The chord; nothing where none sounds.
    pub chord: Option<Chord>,
    /// How likely it is among all chords that are told apart, 0..=1.
    pub confidence: f64,
    /// The likeliest others, best first.
    pub others: Vec<Chord>,
}

impl HeardSong {
    /// Puts together what was found.
    pub(super) fn of(tuning: Tuning, counting: &Counting, found: &Found) -> Self {
        let count = counting.count;
        let mut bars: Vec<HeardBar> = (counting.first..found.beats.len())
            .step_by(count)
            .map(|from| bar(counting, found, from, (from + count).min(found.beats.len())))
            .collect();
        // What dies away after the last chord is no bar.
        while bars.len() > 1 && bars.last().is_some_and(|bar| mostly_silent(bar, count)) {
            bars.pop();
        }
        let names: Vec<Vec<(u8, Option<Chord>)>> = bars
            .iter()
            .map(|bar| bar.chords.iter().map(|c| (c.beats, c.chord)).collect())
            .collect();
        if let Some(way) = sections(&names) {
            bars.iter_mut()
                .zip(way)
                .for_each(|(bar, section)| bar.section = Some(section));
        }
        Self {
            tuning,
            tempo: tempo(&counting.beats),
            metre: if count == 3 {
                Metre { count: 3, unit: 4 }
            } else {
                Metre::COMMON
            },
            key: found.key,
            beats: counting.beats.clone(),
            bars,
        }
    }

    /// The chart: numbers of the key, four bars a line, a name before each section.
    #[must_use]
    pub fn chart(&self) -> Chart {
        let mut items = Vec::new();
        let mut line = 0;
        for (n, bar) in self.bars.iter().enumerate() {
            let begins = n == 0 || self.bars[n - 1].section != bar.section;
            let named = bar.section.filter(|_| begins);
            if n > 0 && (named.is_some() || line == LINE) {
                items.push(Item::Break(Break::Line));
                line = 0;
            }
            if let Some(section) = named {
                items.push(Item::Section(format!("Part {}", section + 1)));
            }
            items.push(Item::Bar(self.written(bar)));
            line += 1;
        }
        Chart {
            key: self.key,
            tempo: Some(Tempo(self.tempo.0.round())),
            metre: self.metre,
            items,
            ..Chart::empty()
        }
    }

    fn written(&self, bar: &HeardBar) -> Bar {
        let even = bar.chords.iter().all(|chord| chord.beats == bar.chords[0].beats);
        let slot = |heard: &HeardChord| Slot {
            ticks: if even { None } else { Ticks::new(heard.beats) },
            ..heard
                .chord
                .map_or(Slot::REST, |chord| Slot::of(Numeral::of(chord, self.key)))
        };
        Bar::Chords(bar.chords.iter().map(slot).collect())
    }

    /// When the recording has the first beat of each bar of [`Self::chart`].
    #[must_use]
    pub fn anchors(&self) -> Vec<Anchor> {
        let mut at = Beats::ZERO;
        let mut anchors = Vec::with_capacity(self.bars.len());
        for bar in &self.bars {
            anchors.push(Anchor { at, time: bar.at });
            at += self.metre.bar();
        }
        anchors
    }
}

/// The bar of the beats `from..to`; the last one may be cut short, and then lasts as long as the others.
fn bar(counting: &Counting, found: &Found, from: usize, to: usize) -> HeardBar {
    let spans = found.beats[from..to].chunk_by(|a, b| a == b);
    let mut begin = from;
    let mut chords: Vec<HeardChord> = spans
        .map(|span| {
            let here = begin..begin + span.len();
            begin = here.end;
            chord(found, here)
        })
        .collect();
    let missing = u8::try_from(from + counting.count - to).unwrap_or(0);
    if let Some(last) = chords.last_mut() {
        last.beats += missing;
    }
    HeardBar {
        at: counting.beats.get(from).copied().unwrap_or_default(),
        chords,
        section: None,
    }
}

fn mostly_silent(bar: &HeardBar, count: usize) -> bool {
    let sounding: usize = bar
        .chords
        .iter()
        .filter(|c| c.chord.is_some())
        .map(|c| usize::from(c.beats))
        .sum();
    2 * sounding < count
}

/// The chord of a stretch of beats that have the same.
fn chord(found: &Found, beats: std::ops::Range<usize>) -> HeardChord {
    let named = |harmony: Harmony| Chord::new(found.key.spell(harmony.root), harmony.quality);
    let is = found.beats[beats.start];
    let likely = found.candidates(beats.clone());
    let confidence = likely
        .iter()
        .find(|(chord, _)| Some(*chord) == is)
        .map_or(1.0, |(_, share)| *share);
    let others = likely
        .into_iter()
        .map(|(chord, _)| chord)
        .filter(|chord| Some(*chord) != is);
    HeardChord {
        beats: u8::try_from(beats.len()).unwrap_or(u8::MAX),
        chord: is.map(named),
        confidence,
        others: others.take(OFFERED).map(named).collect(),
    }
}

/// The tempo at which beats best lie on a straight line.
#[allow(clippy::cast_precision_loss)]
fn tempo(beats: &[Seconds]) -> Tempo {
    let count = beats.len() as f64;
    let middle = (count - 1.0) / 2.0;
    let (mut along, mut square) = (0.0, 0.0);
    for (n, beat) in beats.iter().enumerate() {
        let x = n as f64 - middle;
        along += x * beat.0;
        square += x * x;
    }
    Tempo(if along > 0.0 { 60.0 * square / along } else { 120.0 })
}
