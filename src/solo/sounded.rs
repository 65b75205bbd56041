//! The intervals a pass really sounds: which strings ring together, under which changes, over which chord.
//!
//! *Invariant:* only tones of the chord in force count; a passing note asks for no tuning of its own.

use super::notes::{Note, notes};
use super::performance::Performance;
use crate::steel::temper::{Tone, Wanted};
use crate::steel::{Fret, Half, Instrument, Stance, StringNumber, Travel};
use crate::theory::{Beats, Chord, ChordSpan, ChordTone, Height, Limit, Numeral, Ratio, Timeline, just_tone, rank};
use std::collections::BTreeMap;

/// How finely the performance is looked at. Nothing that rings shorter is heard to be in tune or not.
const EVERY: Beats = Beats(0.125);
/// A change within this of its end, or of its half stop, stands there.
const STANDS: f64 = 0.04;

/// An interval that sounds, and the chord it sounds in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sounded {
    /// The interval; its weight is in beats of ringing, by strength.
    pub wanted: Wanted,
    /// What the lower note asks for over the chord's root.
    pub low: Ratio,
    /// What the higher note asks for over the chord's root.
    pub high: Ratio,
    /// The chord in force, as a number.
    pub numeral: Numeral,
    /// The chord in force.
    pub chord: Chord,
}

/// What tells one interval from another: the strings, what is pressed, the fret and the chord.
type Key = (Tone, Tone, u8, String);

/// Every interval between chord tones that ring together, each once, the weightiest first.
#[must_use]
pub fn sounded(performance: &Performance, instrument: &Instrument, timeline: &Timeline, limit: Limit) -> Vec<Sounded> {
    let notes = notes(performance, instrument, timeline.tempo);
    let mut found: BTreeMap<Key, Sounded> = BTreeMap::new();
    for span in &timeline.spans {
        let mut at = span.start + Beats(EVERY.0 / 2.0);
        while at < span.end() {
            // Under a slanted bar the hand sets the interval; no tuning of the strings could.
            if !performance.lie_at(at).is_straight() {
                at += EVERY;
                continue;
            }
            let ringing = Moment {
                performance,
                instrument,
                chord: &span.chord,
                limit,
                at,
            }
            .tones(&notes);
            for (i, one) in ringing.iter().enumerate() {
                for other in ringing.iter().skip(i + 1) {
                    let Some(sounded) = pair(one, other, span, performance.bar_at(at)) else {
                        continue;
                    };
                    let wanted = &sounded.wanted;
                    let key = (wanted.low, wanted.high, fret_key(wanted.fret.0), span.chord.symbol());
                    found
                        .entry(key)
                        .and_modify(|known| known.wanted.weight += wanted.weight)
                        .or_insert(sounded);
                }
            }
            at += EVERY;
        }
    }
    let mut all: Vec<_> = found.into_values().collect();
    all.sort_by_cached_key(|one| !rank(one.wanted.weight));
    all
}

/// The nearest whole fret: the bar's exact place matters to no interval.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn fret_key(fret: f64) -> u8 {
    fret.round().clamp(0.0, 255.0) as u8
}

/// A ringing string that sounds a tone of the chord.
#[derive(Debug, Clone, Copy)]
struct Ringing {
    tone: Tone,
    height: Height,
    ratio: Ratio,
    strength: f64,
}

/// One instant of a performance.
struct Moment<'a> {
    performance: &'a Performance,
    instrument: &'a Instrument,
    chord: &'a Chord,
    limit: Limit,
    at: Beats,
}

impl Moment<'_> {
    fn tones(&self, notes: &[Note]) -> Vec<Ringing> {
        notes
            .iter()
            .filter(|note| note.sounds_at(self.at))
            .filter_map(|note| self.ringing(note))
            .collect()
    }

    fn ringing(&self, note: &Note) -> Option<Ringing> {
        let string = note.string();
        let stance = self.stance(string)?;
        let bar = self.performance.fret_on(self.instrument, string, self.at);
        let height = self
            .instrument
            .height(string, bar, |c| self.performance.travel(c, self.at))?;
        let tone: ChordTone = self.chord.tone_of(height.nearest().class())?;
        let minor = self
            .chord
            .quality
            .intervals()
            .iter()
            .any(|i| i.steps() == 2 && i.size().0 == 3);
        Some(Ringing {
            tone: Tone { string, stance },
            height: height.nearest().height(),
            ratio: just_tone(tone.0, minor, self.limit)?,
            strength: note.pluck.strength,
        })
    }

    /// What is pressed, as far as it pulls this string; nothing while one of those is on its way.
    fn stance(&self, string: StringNumber) -> Option<Stance> {
        let mut stance = Stance::OPEN;
        for (id, change) in self.instrument.change_ids().zip(&self.instrument.changes) {
            let travel = self.performance.travel(id, self.at);
            let half = change.half.map(Half::travel);
            stance = match (place(travel, half), change.strings().contains(string)) {
                (Some(Pressed::Down), _) => stance.with(id),
                (Some(Pressed::Half), _) => stance.with_half(id),
                (None, true) => return None,
                (Some(Pressed::Up) | None, _) => stance,
            };
        }
        Some(stance)
    }
}

enum Pressed {
    Up,
    Half,
    Down,
}

fn place(travel: Travel, half: Option<Travel>) -> Option<Pressed> {
    let near = |to: Travel| (travel.0 - to.0).abs() <= STANDS;
    if near(Travel::UP) {
        Some(Pressed::Up)
    } else if near(Travel::DOWN) {
        Some(Pressed::Down)
    } else {
        half.is_some_and(near).then_some(Pressed::Half)
    }
}

fn pair(one: &Ringing, other: &Ringing, span: &ChordSpan, fret: Fret) -> Option<Sounded> {
    let (low, high) = if one.height.0 <= other.height.0 {
        (one, other)
    } else {
        (other, one)
    };
    let ratio = high.ratio.over_by(low.ratio, high.height.above(low.height))?;
    Some(Sounded {
        wanted: Wanted {
            low: low.tone,
            high: high.tone,
            fret,
            ratio,
            weight: EVERY.0 * low.strength * high.strength,
        },
        low: low.ratio,
        high: high.ratio,
        numeral: span.numeral,
        chord: span.chord,
    })
}
