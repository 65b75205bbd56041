//! How the instrument is tuned: a scheme, or what suits the pass in hand.
//!
//! *Invariant:* the targets chosen here are the ones that sound; planning goes by whole notes and never sees them.

mod sheet;

pub use sheet::{BarLine, BeatLine, PullLine, Sheet, StringLine, TradeOff};

use crate::solo::Sounded;
use crate::steel::temper::{Anchor, Quest, Scheme, Temper, Wanted, home_note, solve};
use crate::steel::{Instrument, StringNumber};
use crate::theory::{Cents, Limit};
use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

/// How far the home strings may be set off the pitch standard. Common practice is some cents sharp.
pub const ANCHOR: RangeInclusive<f64> = -20.0..=20.0;
/// How much equal temperament may count beside pure chords.
pub const NEARNESS: RangeInclusive<f64> = 0.0..=2.0;
/// How far a body may give. Published figures lie between 2 and 8 cents.
pub const DROP: RangeInclusive<f64> = 0.0..=8.0;

/// Where the targets come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Manner {
    /// From a scheme that needs no song.
    Scheme(Scheme),
    /// From the intervals that a pass sounds.
    ForPass,
}

impl Manner {
    /// Every manner, as they are offered.
    pub const ALL: [Self; 4] = [
        Self::Scheme(Scheme::Equal),
        Self::ForPass,
        Self::Scheme(Scheme::Just),
        Self::Scheme(Scheme::Meantone),
    ];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Scheme(scheme) => scheme.name(),
            Self::ForPass => key!("For this pass"),
        }
    }

    /// What it is good for.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Self::Scheme(Scheme::Equal) => key!("As any tuner shows it: at one with the band, and its thirds beat."),
            Self::Scheme(Scheme::Just) => key!("Beatless over the home note; chords far from it pay."),
            Self::Scheme(Scheme::Meantone) => key!("Pure thirds, fifths a little narrow: alike in all near keys."),
            Self::ForPass => key!("The least beating for the strings and pedals this pass really sounds."),
        }
    }
}

/// A tuning and how it came about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tuning {
    /// Where the targets come from.
    pub manner: Manner,
    /// How far the home strings lie off the pitch standard, within [`ANCHOR`].
    pub anchor: Cents,
    /// How much equal temperament counts beside pure chords, within [`NEARNESS`].
    pub nearness: f64,
    /// Which sevenths count as pure.
    pub limit: Limit,
    /// How far unpulled strings fall under A and B, within [`DROP`].
    pub drop: Cents,
    /// The targets.
    pub temper: Temper,
}

impl Tuning {
    /// Equal temperament at the pitch standard.
    #[must_use]
    pub fn equal(instrument: &Instrument) -> Self {
        Self {
            manner: Manner::Scheme(Scheme::Equal),
            anchor: Cents(0.0),
            nearness: 0.0,
            limit: Limit::Five,
            drop: Cents(0.0),
            temper: Temper::equal(instrument),
        }
    }

    /// The same wishes with every figure in its range and the targets found anew for what is `heard`.
    #[must_use]
    pub fn found(mut self, instrument: &Instrument, heard: &[Sounded]) -> Self {
        self.anchor = Cents(within(self.anchor.0, &ANCHOR));
        self.nearness = within(self.nearness, &NEARNESS);
        self.drop = Cents(within(self.drop.0, &DROP));
        self.temper = match self.manner {
            Manner::Scheme(scheme) => self.raised(scheme.temper(instrument)),
            Manner::ForPass => solve(instrument, &wanted(heard), &self.quest(instrument)).temper,
        };
        self
    }

    /// The instrument as it sounds: at its targets, in a body that gives.
    #[must_use]
    pub fn tuned(&self, instrument: &Instrument) -> Instrument {
        Instrument {
            give: Cents(within(self.drop.0, &DROP)),
            ..self.temper.tuned(instrument)
        }
    }

    /// The targets of `scheme` with this tuning's home strings.
    fn scheme(&self, instrument: &Instrument, scheme: Scheme) -> Temper {
        self.raised(scheme.temper(instrument))
    }

    fn raised(&self, mut temper: Temper) -> Temper {
        for target in &mut temper.strings {
            *target += self.anchor;
        }
        temper
    }

    /// What is asked of the solver.
    fn quest(&self, instrument: &Instrument) -> Quest {
        Quest {
            anchor: Anchor {
                string: home_string(instrument),
                at: self.anchor,
            },
            nearness: self.nearness,
            drop: self.drop,
        }
    }
}

fn wanted(heard: &[Sounded]) -> Vec<Wanted> {
    heard.iter().map(|s| s.wanted).collect()
}

fn within(figure: f64, range: &RangeInclusive<f64>) -> f64 {
    if figure.is_finite() {
        figure.clamp(*range.start(), *range.end())
    } else {
        0.0
    }
}

/// The lowest string that sounds the home note: what the others are tuned to.
#[must_use]
pub fn home_string(instrument: &Instrument) -> StringNumber {
    let home = home_note(instrument);
    instrument
        .string_numbers()
        .zip(&instrument.strings)
        .filter(|(_, spec)| Some(spec.pitch.name.class()) == home)
        .map(|(string, _)| string)
        .last()
        .unwrap_or(StringNumber::FIRST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_home_string_of_e9_is_the_low_e() {
        let e9 = Instrument::shipped("e9").unwrap();
        assert_eq!(home_string(&e9).number(), 8);
    }

    #[test]
    fn a_scheme_is_raised_as_a_whole() {
        let e9 = Instrument::shipped("e9").unwrap();
        let tuning = Tuning {
            manner: Manner::Scheme(Scheme::Just),
            anchor: Cents(6.0),
            ..Tuning::equal(&e9)
        };
        let found = tuning.found(&e9, &[]);
        assert_eq!(found.temper.string(home_string(&e9)), Cents(6.0));
        let a = e9.change_named("A").unwrap();
        let fifth = StringNumber::new(5).unwrap();
        assert!((found.temper.pulled(a, fifth).0 - (6.0 - 15.641)).abs() < 0.001);
    }

    #[test]
    fn figures_out_of_range_or_no_figures_are_brought_back() {
        let e9 = Instrument::shipped("e9").unwrap();
        let wild = Tuning {
            anchor: Cents(f64::NAN),
            nearness: 1e9,
            drop: Cents(-5.0),
            ..Tuning::equal(&e9)
        };
        let found = wild.found(&e9, &[]);
        assert_eq!(
            (found.anchor, found.nearness, found.drop),
            (Cents(0.0), 2.0, Cents(0.0))
        );
    }
}
