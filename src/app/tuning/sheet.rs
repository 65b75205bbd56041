//! The tuning as a sheet to tune by: targets, what beats remain, where the bar must sit.

use super::{Tuning, home_string, wanted};
use crate::app::copedent::spelled;
use crate::solo::Sounded;
use crate::steel::temper::{Quest, Scheme, Solution, Temper, Tone, judged, solve};
use crate::steel::{Fret, Instrument, Stance, StringNumber};
use crate::steel::{Millimetres, geometry::for_cents};
use crate::theory::{Cents, Numeral, Ratio};

/// Only ratios of small numbers beat where an ear hears it.
const AUDIBLE: u32 = 8;
/// The most chords, and the most places of the bar, that are listed.
const MOST: usize = 8;
/// Points of the trade-off's curve.
const POINTS: u32 = 12;

/// One pull of a string.
#[derive(Debug, Clone, PartialEq)]
pub struct PullLine {
    /// What players call the change.
    pub change: String,
    /// The note it makes.
    pub note: String,
    /// What a tuner is to show there.
    pub target: Cents,
    /// Whether the pass sounds it.
    pub heard: bool,
}

/// One string.
#[derive(Debug, Clone, PartialEq)]
pub struct StringLine {
    /// Which.
    pub string: StringNumber,
    /// Its open note.
    pub note: String,
    /// What a tuner is to show.
    pub target: Cents,
    /// Whether the pass sounds it open.
    pub heard: bool,
    /// Whether the others are tuned to it.
    pub home: bool,
    /// Its pulls.
    pub pulls: Vec<PullLine>,
}

/// How fast a chord beats on average, in beats a second: in this tuning and in the schemes.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatLine {
    /// The chord's number.
    pub number: String,
    /// In this tuning.
    pub here: f64,
    /// In each of [`Scheme::ALL`].
    pub schemes: [f64; Scheme::ALL.len()],
}

/// Where the bar must sit for a chord.
#[derive(Debug, Clone, PartialEq)]
pub struct BarLine {
    /// The chord's number.
    pub number: String,
    /// The nearest fret.
    pub fret: u8,
    /// The changes pressed, by name.
    pub pressed: Vec<String>,
    /// How far above the fret's line the chord's root is at one with the band.
    pub cents: Cents,
    /// The same on the neck; positive is towards the bridge.
    pub off: Millimetres,
    /// How far the strings disagree: no place of the bar mends that.
    pub spread: Cents,
    /// The string that would have the bar nearest to the nut, and how far from the fret's line.
    pub lowest: (StringNumber, Cents),
    /// The string that would have it farthest up.
    pub highest: (StringNumber, Cents),
}

/// One point of the trade-off: how impure the chords are against how far the tones leave equal temperament.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TradeOff {
    /// Root mean square of the intervals' errors.
    pub impurity: Cents,
    /// Root mean square of the tones' distance from equal temperament.
    pub departure: Cents,
}

/// Everything about a tuning.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// By string.
    pub strings: Vec<StringLine>,
    /// By chord, the one that sounds most first.
    pub beats: Vec<BeatLine>,
    /// By chord and fret, the one that sounds most first.
    pub bar: Vec<BarLine>,
    /// Where this tuning lies.
    pub here: TradeOff,
    /// What could be had, from pure to equal.
    pub curve: Vec<TradeOff>,
}

impl Sheet {
    /// The sheet of a tuning for what a pass sounds.
    #[must_use]
    pub fn of(instrument: &Instrument, tuning: &Tuning, heard: &[Sounded]) -> Self {
        let quest = tuning.quest(instrument);
        let wants = wanted(heard);
        let solution = judged(instrument, &wants, &quest, tuning.temper.clone());
        let curve = (0..=POINTS).map(|point| {
            let nearness = 2.0 * f64::from(point) / f64::from(POINTS);
            let found = solve(instrument, &wants, &Quest { nearness, ..quest });
            TradeOff {
                impurity: found.impurity,
                departure: found.departure,
            }
        });
        Self {
            strings: strings(instrument, &solution),
            beats: beats(instrument, tuning, heard),
            bar: bar(instrument, tuning, heard),
            here: TradeOff {
                impurity: solution.impurity,
                departure: solution.departure,
            },
            curve: if wants.is_empty() { Vec::new() } else { curve.collect() },
        }
    }
}

fn strings(instrument: &Instrument, solution: &Solution) -> Vec<StringLine> {
    let home = home_string(instrument);
    let line = |string: StringNumber| {
        let spec = instrument.strings.get(string.index())?;
        let pulls = instrument
            .change_ids()
            .zip(&instrument.changes)
            .filter_map(|(id, change)| {
                let pull = change.pulls.iter().find(|p| p.string == string)?;
                Some(PullLine {
                    change: change.name.clone(),
                    note: spelled(instrument, spec.pitch.name, (pull.by.0 / 100.0).round()),
                    target: solution.temper.pulled(id, string),
                    heard: solution.heard_pulls.contains(&(id, string)),
                })
            });
        Some(StringLine {
            string,
            note: spec.pitch.name.to_string(),
            target: solution.temper.string(string),
            heard: solution.heard_strings.contains(&string),
            home: string == home,
            pulls: pulls.collect(),
        })
    };
    instrument.string_numbers().filter_map(line).collect()
}

/// What is heard, by some key, the weightiest first.
fn grouped<K: PartialEq>(heard: &[Sounded], key: impl Fn(&Sounded) -> K) -> Vec<(K, Vec<&Sounded>)> {
    let mut groups: Vec<(K, Vec<&Sounded>)> = Vec::new();
    for sounded in heard {
        let key = key(sounded);
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, group)) => group.push(sounded),
            None => groups.push((key, vec![sounded])),
        }
    }
    let weight = |group: &[&Sounded]| group.iter().map(|s| s.wanted.weight).sum::<f64>();
    groups.sort_by(|a, b| weight(&b.1).total_cmp(&weight(&a.1)));
    groups.truncate(MOST);
    groups
}

fn beats(instrument: &Instrument, tuning: &Tuning, heard: &[Sounded]) -> Vec<BeatLine> {
    let schemes = Scheme::ALL.map(|scheme| tuning.scheme(instrument, scheme));
    let audible: Vec<Sounded> = heard
        .iter()
        .filter(|s| s.wanted.ratio.over() <= AUDIBLE)
        .copied()
        .collect();
    let mean = |group: &[&Sounded], temper: &Temper| {
        let (mut sum, mut weight) = (0.0, 0.0);
        for s in group {
            if let Some(rate) = s.wanted.beats(instrument, temper, tuning.drop) {
                sum += rate.0 * s.wanted.weight;
                weight += s.wanted.weight;
            }
        }
        if weight > 0.0 { sum / weight } else { 0.0 }
    };
    grouped(&audible, |s| s.numeral)
        .into_iter()
        .map(|(numeral, group)| BeatLine {
            number: numeral.to_string(),
            here: mean(&group, &tuning.temper),
            schemes: [0, 1, 2].map(|i| schemes.get(i).map_or(0.0, |temper| mean(&group, temper))),
        })
        .collect()
}

/// Frets, rounded, that the bar stands at.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn fret_of(s: &Sounded) -> u8 {
    s.wanted.fret.0.round().clamp(0.0, 60.0) as u8
}

fn bar(instrument: &Instrument, tuning: &Tuning, heard: &[Sounded]) -> Vec<BarLine> {
    let stopped: Vec<Sounded> = heard.iter().filter(|s| fret_of(s) > 0).copied().collect();
    grouped(&stopped, |s: &Sounded| (s.numeral, fret_of(s), s.wanted.low.stance))
        .into_iter()
        .filter_map(|((numeral, fret, stance), group)| bar_line(instrument, tuning, (numeral, fret, stance), &group))
        .collect()
}

/// A string and where it would have the bar, from the fret's line.
type Asked = (StringNumber, Cents);

/// Each tone says how far the bar would have to move for it to stand pure over the band's root; the bar goes to
/// their mean, and what they differ by stays.
fn bar_line(
    instrument: &Instrument,
    tuning: &Tuning,
    (numeral, fret, stance): (Numeral, u8, Stance),
    group: &[&Sounded],
) -> Option<BarLine> {
    let wants = |tone: Tone, ratio: Ratio| {
        let just = ratio.cents().0 - (ratio.cents().0 / 100.0).round() * 100.0;
        just - tuning.temper.heard(instrument, tone, tuning.drop).0
    };
    let ends = group.iter().flat_map(|s| {
        let of = |tone: Tone, ratio| ((tone.string, Cents(wants(tone, ratio))), s.wanted.weight);
        [of(s.wanted.low, s.low), of(s.wanted.high, s.high)]
    });
    let (mut sum, mut weight) = (0.0, 0.0);
    let (mut lowest, mut highest): (Option<Asked>, Option<Asked>) = (None, None);
    for (asked, counts) in ends {
        sum += asked.1.0 * counts;
        weight += counts;
        lowest = lowest.filter(|l| l.1 <= asked.1).or(Some(asked));
        highest = highest.filter(|h| h.1 >= asked.1).or(Some(asked));
    }
    let (lowest, highest) = (lowest?, highest?);
    if weight <= 0.0 {
        return None;
    }
    let cents = Cents(sum / weight);
    let name = |id| instrument.change(id).map(|c| c.name.clone());
    Some(BarLine {
        number: numeral.to_string(),
        fret,
        pressed: stance.pressed().filter_map(name).collect(),
        cents,
        off: for_cents(instrument.scale_length, Fret(f64::from(fret)), cents),
        spread: highest.1 - lowest.1,
        lowest,
        highest,
    })
}

#[cfg(test)]
mod tests {
    use super::super::Manner;
    use super::*;
    use crate::app::{DEMO_SONGS, Shown, feels};
    use crate::solo::{Brief, Request, draft, sounded};
    use crate::theory::{Limit, chart};
    use std::sync::Arc;

    fn heard(instrument: &Instrument) -> Vec<Sounded> {
        let song = chart::parse(DEMO_SONGS[1].chart).chart.timeline();
        let drafted = draft(&Brief {
            timeline: &song,
            instrument,
            feel: feels::by_id("country").unwrap(),
            limits: feels::limits(crate::solo::Level::default()).unwrap(),
            request: &Request::default(),
        });
        let pass = Arc::new(drafted.unwrap().passes.remove(0));
        let shown = Shown::of(&pass, &song, instrument).unwrap();
        sounded(&shown.performance, instrument, &song, Limit::Five)
    }

    #[test]
    fn a_tuning_found_for_a_pass_beats_less_than_equal_temperament_and_says_so() {
        let e9 = Instrument::shipped("e9").unwrap();
        let heard = heard(&e9);
        let tuning = Tuning {
            manner: Manner::ForPass,
            ..Tuning::equal(&e9)
        }
        .found(&e9, &heard);
        let sheet = Sheet::of(&e9, &tuning, &heard);
        assert_eq!(sheet.strings.len(), 10);
        assert!(sheet.strings.iter().any(|s| s.heard) && sheet.strings.iter().filter(|s| s.home).count() == 1);
        assert!(!sheet.beats.is_empty() && !sheet.bar.is_empty());
        for line in &sheet.beats {
            let equal = line.schemes[0];
            assert!(
                line.here <= equal + 0.3,
                "{}: {} against {equal}",
                line.number,
                line.here
            );
        }
        assert!(
            sheet
                .curve
                .windows(2)
                .all(|p| p[1].departure.0 <= p[0].departure.0 + 1e-3)
        );
    }

    #[test]
    fn in_equal_temperament_every_major_third_pulls_at_the_bar() {
        let e9 = Instrument::shipped("e9").unwrap();
        let heard = heard(&e9);
        let sheet = Sheet::of(&e9, &Tuning::equal(&e9), &heard);
        // Third and fifth of a just chord lie 13.7 cents below and 2.0 above their equal places.
        assert!(sheet.bar.iter().any(|line| (line.spread.0 - 15.64).abs() < 0.1));
    }

    #[test]
    fn without_a_pass_the_sheet_still_gives_the_targets() {
        let lap = Instrument::shipped("c6-lap-6").unwrap();
        let sheet = Sheet::of(&lap, &Tuning::equal(&lap), &[]);
        assert_eq!(sheet.strings.len(), 6);
        assert!(sheet.beats.is_empty() && sheet.bar.is_empty() && sheet.curve.is_empty());
    }
}
