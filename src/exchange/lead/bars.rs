//! The bars of a lead sheet, and how they are written as a chart.

use super::{Begun, Lead, LeadBar, LeadError, Song};
use crate::theory::chart::{Bar, Break, Chart, Item, MOST_BARS, Slot, Ticks};
use crate::theory::{Key, Metre, Numeral};

/// Bars a line.
const A_LINE: usize = 4;
/// The most chords that share a bar evenly.
const MOST_SHARING: usize = 8;
/// Parts of a bar this close are the same.
const NEARLY: f64 = 0.01;
/// The most sentences about what was not understood.
const MOST_NOTES: usize = 20;

/// Bars in order.
#[derive(Debug, Default)]
pub(super) struct Bars(pub(super) Vec<LeadBar>);

impl Song {
    /// The chart: chords as numbers, bars of one metre after the other, the last chord going on where none begins.
    pub(super) fn into_lead(self) -> Result<Lead, LeadError> {
        let Self {
            title,
            key,
            tempo,
            bars,
            mut notes,
        } = self;
        let bars = &bars.0;
        let Some(first) = bars.iter().position(|b| !b.chords.is_empty()) else {
            return Err(LeadError::NoChords);
        };
        if bars.len() > MOST_BARS {
            notes.push(said!(
                "It is longer than a chart can be: only the first {most} bars are here.",
                most = MOST_BARS
            ));
        }
        let key = key.unwrap_or(Key::C);
        let mut metre = bars.get(first).map_or(Metre::COMMON, |b| b.metre);
        let mut chart = Chart {
            title: title.map(|t| one_line(&t)).filter(|t| !t.is_empty()),
            key,
            tempo,
            metre,
            ..Chart::empty()
        };
        let mut last = Numeral::ONE;
        for (index, bar) in bars.iter().skip(first).take(MOST_BARS).enumerate() {
            if let Some(section) = bar.section.as_deref().map(one_line).filter(|s| !s.is_empty()) {
                chart.items.push(Item::Section(section));
            } else if index > 0 && index % A_LINE == 0 {
                chart.items.push(Item::Break(Break::Line));
            }
            if bar.metre != metre {
                metre = bar.metre;
                chart.items.push(Item::Metre(metre));
            }
            chart.items.push(Item::Bar(Bar::Chords(slots(bar, key, &mut last))));
        }
        notes.truncate(MOST_NOTES);
        Ok(Lead {
            chart: chart.to_string(),
            notes,
        })
    }
}

/// The chords of a bar with their beats; evenly shared where they come out so.
fn slots(bar: &LeadBar, key: Key, last: &mut Numeral) -> Vec<Slot> {
    if shares_evenly(&bar.chords) {
        let found: Vec<Slot> = bar.chords.iter().map(|c| Slot::of(Numeral::of(c.chord, key))).collect();
        *last = found.last().and_then(|slot| slot.numeral).unwrap_or(*last);
        return found;
    }
    let beats = bar.metre.count;
    let mut begins: Vec<(u8, Numeral)> = Vec::new();
    for begun in &bar.chords {
        let beat = beat_of(begun.part, beats);
        let numeral = Numeral::of(begun.chord, key);
        match begins.last_mut() {
            Some(before) if before.0 == beat => before.1 = numeral,
            _ => begins.push((beat, numeral)),
        }
    }
    if begins.first().is_none_or(|(beat, _)| *beat > 0) {
        begins.insert(0, (0, *last));
    }
    let ends: Vec<u8> = begins.iter().skip(1).map(|(beat, _)| *beat).chain([beats]).collect();
    let lengths: Vec<u8> = begins
        .iter()
        .zip(ends)
        .map(|((beat, _), end)| end.saturating_sub(*beat))
        .collect();
    let even = lengths.windows(2).all(|pair| pair.first() == pair.last());
    let slot = |((_, numeral), length): (&(u8, Numeral), &u8)| Slot {
        ticks: if even { None } else { Ticks::new(*length) },
        ..Slot::of(*numeral)
    };
    let found: Vec<Slot> = begins.iter().zip(&lengths).map(slot).collect();
    if let Some((_, numeral)) = begins.last() {
        *last = *numeral;
    }
    found
}

/// Whether the chords of a bar each take the same part of it, on the beat or not.
#[allow(clippy::cast_precision_loss)] // a handful of chords
fn shares_evenly(chords: &[Begun]) -> bool {
    let count = chords.len() as f64;
    let on_time = |(index, chord): (usize, &Begun)| (chord.part - index as f64 / count).abs() < NEARLY;
    (1..=MOST_SHARING).contains(&chords.len()) && chords.iter().enumerate().all(on_time)
}

/// The beat nearest to a part of a bar, the bar's last one at most.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // casts of floats stop at the ends
fn beat_of(part: f64, beats: u8) -> u8 {
    ((part * f64::from(beats)).round() as u8).min(beats.saturating_sub(1))
}

/// A name as a chart can hold it: on one line, without quotes, no longer than a name is.
fn one_line(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_control() || c == '"' { ' ' } else { c })
        .take(80)
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}
