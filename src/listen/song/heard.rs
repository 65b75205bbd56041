//! What was heard of a song, bar by bar, and its chart.

use super::chords::{self, Found, Harmony, Likely};
use super::evidence::Evidence;
use super::metre::Counting;
use super::sections::sections;
use super::tuning::Tuning;
use crate::theory::chart::{Bar, Break, Item, Slot, Ticks};
use crate::theory::{Anchor, Beats, Chart, Chord, Key, Metre, Numeral, Seconds, Tempo};
use serde::{Deserialize, Serialize};
use std::ops::Range;

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
    /// Which of the beats is the first one of the first bar.
    pub(super) first: usize,
    /// What each beat says for each chord.
    pub(super) evidence: Evidence,
    /// What a player has said of each beat.
    pub(super) said: Vec<Said>,
}

/// What a player has said of a beat's chord.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(super) enum Said {
    /// Nothing: what was heard stands.
    Nothing,
    /// There is none.
    Silent,
    /// It is this one.
    Is(Chord),
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
    /// Whether a player has said that it is this one; it is then certain.
    pub said: bool,
}

impl HeardSong {
    /// Puts together what was heard; the key is found too.
    pub(super) fn of(tuning: Tuning, counting: &Counting, evidence: Evidence) -> Self {
        let found = chords::find(&evidence, counting.count, counting.first, None);
        let fresh = Self {
            tuning,
            tempo: tempo(&counting.beats),
            metre: metre(counting.count),
            key: found.key,
            beats: counting.beats.clone(),
            bars: Vec::new(),
            first: counting.first,
            said: vec![Said::Nothing; evidence.rows().len()],
            evidence,
        };
        fresh.written_out(&found)
    }

    /// The same with its chords found anew, in its own key.
    pub(super) fn found_anew(self) -> Self {
        let found = chords::find(&self.evidence, self.count(), self.first, Some(self.key));
        self.written_out(&found)
    }

    /// The same with the bars of what was found.
    fn written_out(mut self, found: &Found) -> Self {
        self.tempo = tempo(&self.beats);
        let count = self.count();
        let mut bars: Vec<HeardBar> = (self.first..found.beats.len())
            .step_by(count)
            .map(|from| self.bar(found, from..(from + count).min(found.beats.len())))
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
        self.bars = bars;
        self
    }

    /// Whether its parts go together; one that was kept elsewhere can be anything.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        let beats = self.evidence.rows().len();
        let counted = [3, 4].contains(&self.metre.count) && self.metre.unit == 4;
        let in_order = self.beats.windows(2).all(|pair| pair[0] < pair[1]) && self.beats.len() >= beats;
        counted && in_order && self.said.len() == beats && self.first < beats && !self.bars.is_empty()
    }

    /// Beats in a bar.
    pub(super) fn count(&self) -> usize {
        usize::from(self.metre.count)
    }

    /// The beats of a bar.
    pub(super) fn beats_of(&self, bar: usize) -> Range<usize> {
        let from = self.first + bar * self.count();
        from..(from + self.count()).min(self.evidence.rows().len())
    }

    /// When a bar ends: where the next one begins, and the last one where it would.
    #[must_use]
    pub fn end_of(&self, bar: usize) -> Seconds {
        let begins = |bar: usize| self.bars.get(bar).map(|bar| bar.at);
        let last = || begins(bar).unwrap_or_default() + self.metre.bar().at(self.tempo);
        begins(bar + 1).unwrap_or_else(last)
    }

    /// The bar that sounds at a moment, and how much of it has sounded, 0..1; nothing before the first one and after
    /// the last.
    #[must_use]
    pub fn bar_at(&self, time: Seconds) -> Option<(usize, f64)> {
        let bar = self.bars.partition_point(|bar| bar.at <= time).checked_sub(1)?;
        let (from, to) = (self.bars.get(bar)?.at, self.end_of(bar));
        (time < to).then(|| (bar, (time - from).0 / (to - from).0))
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

    /// The bar of these beats; the last one may be cut short, and then lasts as long as the others.
    fn bar(&self, found: &Found, beats: Range<usize>) -> HeardBar {
        let named = |harmony: Harmony| self.named(harmony);
        let is = |beat: usize| match self.said.get(beat) {
            Some(Said::Is(chord)) => (Some(*chord), true),
            Some(Said::Silent) => (None, true),
            Some(Said::Nothing) | None => (found.beats[beat].map(named), false),
        };
        let all: Vec<_> = beats.clone().map(is).collect();
        let mut begin = beats.start;
        let mut chords: Vec<HeardChord> = all
            .chunk_by(|a, b| a == b)
            .map(|span| {
                let here = begin..begin + span.len();
                begin = here.end;
                let (chord, said) = span[0];
                self.chord(chord, said, here)
            })
            .collect();
        let missing = u8::try_from((beats.start + self.count()).saturating_sub(beats.end)).unwrap_or(0);
        if let Some(last) = chords.last_mut() {
            last.beats += missing;
        }
        HeardBar {
            at: self.beats.get(beats.start).copied().unwrap_or_default(),
            chords,
            section: None,
        }
    }

    fn chord(&self, chord: Option<Chord>, said: bool, beats: Range<usize>) -> HeardChord {
        let likely = self.likely(beats.clone());
        let share = likely.iter().find(|(other, _)| Some(*other) == chord);
        HeardChord {
            beats: u8::try_from(beats.len()).unwrap_or(u8::MAX),
            chord,
            confidence: if said {
                1.0
            } else {
                share.map_or(1.0, |(_, share)| *share)
            },
            others: likely
                .into_iter()
                .map(|(other, _)| other)
                .filter(|other| Some(*other) != chord)
                .take(OFFERED)
                .collect(),
            said,
        }
    }

    /// The chords of a stretch of beats, likeliest first, with how likely each is among all.
    pub(super) fn likely(&self, beats: Range<usize>) -> Vec<(Chord, f64)> {
        let named = |(harmony, share): Likely| (self.named(harmony), share);
        chords::candidates(&self.evidence, self.key, beats)
            .into_iter()
            .map(named)
            .collect()
    }

    fn named(&self, harmony: Harmony) -> Chord {
        Chord::new(self.key.spell(harmony.root), harmony.quality)
    }
}

/// Three or four quarters.
fn metre(count: usize) -> Metre {
    if count == 3 {
        Metre { count: 3, unit: 4 }
    } else {
        Metre::COMMON
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
