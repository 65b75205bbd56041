//! The count above the columns: where in its bar each one stands, as players count.
//!
//! `1 e & a` are the quarters of a count, in a swung song `&` is the late eighth; anything else is written in
//! hundredths, `2.33`. A sign without a number belongs to the last number before it.
//!
//! *Invariant:* what is written is read as the same moment, to a two-hundredth of a count, and twelfths exactly.

use crate::theory::{Beats, Metre, Swing, Timeline};

/// The signs of parts of a count, in hundredths.
const STRAIGHT: [(u32, &str); 4] = [(0, ""), (25, "e"), (50, "&"), (75, "a")];
const SWUNG: [(u32, &str); 4] = [(0, ""), (33, "e"), (67, "&"), (83, "a")];
/// The most counts a bar can have.
const MOST: u32 = 64;

/// How a bar is counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Count {
    /// The length of one count.
    unit: Beats,
    signs: [(u32, &'static str); 4],
}

impl Count {
    pub(super) fn of(metre: Metre, swing: Swing) -> Self {
        let quarters = metre.unit == 4;
        Self {
            unit: Beats(4.0 / f64::from(metre.unit.max(1))),
            signs: if swing == Swing::Swung && quarters {
                SWUNG
            } else {
                STRAIGHT
            },
        }
    }

    /// How a moment, from the start of its bar, is written after `last`, the number written before it in the bar.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn label(self, from_bar: Beats, last: &mut Option<u32>) -> String {
        let hundredths = (from_bar.0.max(0.0) / self.unit.0 * 100.0).round() as u32;
        let (number, part) = (hundredths / 100 + 1, hundredths % 100);
        let known = self.signs.iter().find(|(of, _)| *of == part);
        let sign = known.map_or_else(|| format!(".{part:02}"), |(_, sign)| (*sign).to_owned());
        let told = last.replace(number) == Some(number) && !sign.is_empty();
        if told { sign } else { format!("{number}{sign}") }
    }

    /// The moment of a label from the start of its bar; nothing when it is none.
    pub(super) fn moment(self, label: &str, last: &mut Option<u32>) -> Option<Beats> {
        let digits = label.find(|c: char| !c.is_ascii_digit()).unwrap_or(label.len());
        let (number, sign) = label.split_at(digits);
        if !number.is_empty() {
            *last = Some(number.parse().ok().filter(|n| (1..=MOST).contains(n))?);
        }
        let hundredths = match self.signs.iter().find(|(_, known)| *known == sign) {
            Some((part, _)) => *part,
            None => sign.strip_prefix('.').filter(|d| d.len() == 2)?.parse().ok()?,
        };
        let whole = f64::from(last.as_ref()?.checked_sub(1)?);
        Some(self.unit.scaled(whole + nearest_twelfth(hundredths)))
    }
}

/// Hundredths as a part of a count: the twelfth they round, where they round one.
fn nearest_twelfth(hundredths: u32) -> f64 {
    let part = f64::from(hundredths) / 100.0;
    let twelfth = (part * 12.0).round() / 12.0;
    if (twelfth - part).abs() < 0.005 { twelfth } else { part }
}

/// How a player counts a moment of a song: the label above its column, "2&".
pub(crate) fn counted(song: &Timeline, at: Beats) -> String {
    let bar = song
        .bar_index_at(at + Beats(1e-6))
        .and_then(|index| song.bars.get(index));
    let (start, metre) = bar.map_or((Beats::ZERO, Metre::COMMON), |bar| (bar.start, bar.metre));
    Count::of(metre, song.swing).label(at - start, &mut None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn labels(count: Count, moments: &[f64]) -> String {
        let mut last = None;
        let all: Vec<String> = moments.iter().map(|m| count.label(Beats(*m), &mut last)).collect();
        all.join(" ")
    }

    #[test]
    fn a_bar_is_counted_as_players_count() {
        let common = Count::of(Metre::COMMON, Swing::Straight);
        assert_eq!(labels(common, &[0.0, 0.5, 1.0, 1.25, 1.5, 1.75, 3.5]), "1 & 2 e & a 4&");
        let swung = Count::of(Metre::COMMON, Swing::Swung);
        assert_eq!(labels(swung, &[0.0, 2.0 / 3.0, 1.5]), "1 & 2.50");
        let six = Count::of(Metre { count: 6, unit: 8 }, Swing::Straight);
        assert_eq!(labels(six, &[0.0, 0.5, 1.25]), "1 2 3&");
    }

    #[test]
    fn what_is_no_count_has_no_moment() {
        let common = Count::of(Metre::COMMON, Swing::Straight);
        for label in ["&", "0", "x", "1.5", "1.234", "99999999999", "1&&", ".50"] {
            assert_eq!(common.moment(label, &mut None), None, "{label}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_written_moment_is_read_back(at in 0.0_f64..16.0, unit in prop::sample::select(vec![2_u8, 4, 8]), swung: bool) {
            let swing = if swung { Swing::Swung } else { Swing::Straight };
            let count = Count::of(Metre { count: 4, unit }, swing);
            let label = count.label(Beats(at), &mut None);
            let read = count.moment(&label, &mut None).unwrap();
            prop_assert!((read.0 - at).abs() <= count.unit.0 * 0.0101, "{} {} {}", at, label, read);
            prop_assert_eq!(count.label(read, &mut None), label);
        }
    }
}
