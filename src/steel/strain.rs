//! What a string has to bear: tension and stress, open and at the highest note its changes take it to.
//!
//! *Invariant:* everything follows from scale length, gauge and pitch by the equation of the vibrating string.

use super::instrument::{Gauge, Instrument, StringNumber, StringSpec};
use super::units::Millimetres;
use crate::theory::{Height, Hertz};
use serde::{Deserialize, Serialize};

/// Density of steel, kg/m3. Source: any handbook of materials.
const STEEL: f64 = 7850.0;
/// Mass of a wound string beside a solid one of its diameter. An estimate.
const WOUND_MASS: f64 = 0.84;
/// Core of a wound string beside its diameter. An estimate.
const WOUND_CORE: f64 = 0.5;

/// Stress at rest up to which guitar strings are used, after a physics text; above it a string breaks sooner.
pub const USUAL: Megapascal = Megapascal(2000.0);

/// A pull in newtons.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Newton(pub f64);

impl Newton {
    /// The same in pounds of force: 4.448 222 N each, by definition.
    #[must_use]
    pub fn pounds(self) -> f64 {
        self.0 / 4.448_222
    }
}

/// A stress in megapascal, which is newtons on a square millimetre.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Megapascal(pub f64);

/// What one string bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strain {
    /// Which string.
    pub string: StringNumber,
    /// Its pull with nothing pressed.
    pub tension: Newton,
    /// The highest it is raised to.
    pub highest: Height,
    /// The stress in its core with nothing pressed.
    pub stress: Megapascal,
    /// The stress in its core at the highest note.
    pub most: Megapascal,
}

impl Strain {
    /// Whether it is used beyond what strings are usually used for.
    #[must_use]
    pub fn is_high(&self) -> bool {
        self.most.0 > USUAL.0
    }
}

/// Tension of a string sounding `pitch` over `length` metres: T = mu (2 L f)^2.
///
/// Source: Mersenne's law of the stretched string, any textbook of acoustics.
fn tension((gauge, wound): (Gauge, bool), length: f64, pitch: Hertz) -> Newton {
    let diameter = gauge.millimetres().0 / 1000.0;
    let solid = STEEL * std::f64::consts::FRAC_PI_4 * diameter * diameter;
    let mass = if wound { WOUND_MASS * solid } else { solid };
    Newton(mass * (2.0 * length * pitch.0).powi(2))
}

/// Stress in the core; for plain steel rho (2 L f)^2, whatever the gauge.
fn stress(spec: &StringSpec, tension: Newton) -> Megapascal {
    let outer = spec.gauge.millimetres().0;
    let core = if spec.wound { WOUND_CORE * outer } else { outer };
    Megapascal(tension.0 / (std::f64::consts::FRAC_PI_4 * core * core))
}

/// The pull at a string's highest note for which a gauge is suggested: what plain strings of common sets bear then.
/// Common practice, no source.
const PULL: Newton = Newton(130.0);
/// Strings thicker than this are wound. Common practice, no source.
const WOUND_FROM: Gauge = Gauge(22.0);
/// The thinnest and the thickest gauge suggested.
const GAUGES: (f64, f64) = (8.0, 80.0);

/// A gauge for a string, to be chosen by the highest note it is raised to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suggestion {
    /// How thick, in whole thousandths of an inch; wound strings come in even ones.
    pub gauge: Gauge,
    /// Whether it is wound.
    pub wound: bool,
    /// Its pull at the highest note.
    pub pull: Newton,
}

/// The gauge whose pull at `highest` is nearest to what is usual, on a string `length` long.
///
/// Source of the formula: Mersenne's law, T = mu (2 L f)^2, solved for the diameter. The pull aimed at and where
/// winding begins are common practice, no source.
///
/// ```
/// use leadbar::steel::{Millimetres, strain::suggested};
/// use leadbar::theory::NoteNumber;
/// // A string raised to A4 on a scale of 24.25 in.
/// let third = suggested(Millimetres(616.0), NoteNumber(69).height());
/// assert_eq!((third.gauge.0, third.wound), (11.0, false));
/// ```
#[must_use]
pub fn suggested(length: Millimetres, highest: Height) -> Suggestion {
    let metres = length.0 / 1000.0;
    let speed = (2.0 * metres * highest.hertz().0).max(f64::MIN_POSITIVE);
    let inch = Gauge(1.0).millimetres().0 / 1000.0;
    let thick = |mass: f64| (PULL.0 / (mass * STEEL * std::f64::consts::FRAC_PI_4)).sqrt() / speed / inch;
    let wound = thick(1.0) > WOUND_FROM.0;
    let gauge = if wound {
        (thick(WOUND_MASS) / 2.0).round() * 2.0
    } else {
        thick(1.0).round()
    };
    let gauge = Gauge(gauge.clamp(GAUGES.0, GAUGES.1));
    Suggestion {
        gauge,
        wound,
        pull: tension((gauge, wound), metres, highest.hertz()),
    }
}

/// What each string of an instrument bears.
#[must_use]
pub fn strains(instrument: &Instrument) -> Vec<Strain> {
    let length = instrument.scale_length.0 / 1000.0;
    let of = |(string, spec): (StringNumber, &StringSpec)| {
        let open = spec.pitch.number()?.height();
        let raises = instrument.changes.iter().flat_map(|change| &change.pulls);
        let raise = raises
            .filter(|pull| pull.string == string)
            .map(|pull| pull.by)
            .fold(crate::theory::Cents(0.0), |most, by| if by > most { by } else { most });
        let highest = open.shifted(raise);
        let strung = (spec.gauge, spec.wound);
        let at_rest = tension(strung, length, open.hertz());
        Some(Strain {
            string,
            tension: at_rest,
            highest,
            stress: stress(spec, at_rest),
            most: stress(spec, tension(strung, length, highest.hertz())),
        })
    };
    instrument
        .string_numbers()
        .zip(&instrument.strings)
        .filter_map(of)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The gauges of our own E9 file lie within three thousandths of an inch of what its highest notes suggest for the
    /// plain strings; wound ones are taken thicker, for their tone, but never by as much as half.
    #[test]
    fn the_gauges_of_the_shipped_e9_are_near_those_its_highest_notes_suggest() {
        let e9 = Instrument::shipped("e9").unwrap();
        for (strain, spec) in strains(&e9).iter().zip(&e9.strings) {
            let found = suggested(e9.scale_length, strain.highest);
            let off = (found.gauge.0 - spec.gauge.0).abs();
            println!("{}: {} for {}", strain.string, found.gauge.0, spec.gauge.0);
            let most = if spec.wound { 0.5 * spec.gauge.0 } else { 3.0 };
            assert!(off <= most, "{}: {} for {}", strain.string, found.gauge.0, spec.gauge.0);
        }
    }

    proptest! {
        #[test]
        fn the_higher_a_string_is_raised_the_thinner_it_is_to_be_and_its_pull_stays_near(
            low in 36.0_f64..70.0, more in 0.0_f64..12.0, scale in 500.0_f64..700.0,
        ) {
            let at = |height: f64| suggested(Millimetres(scale), Height(height));
            let (low, high) = (at(low), at(low + more));
            prop_assert!(high.gauge.0 <= low.gauge.0 + 1e-9);
            for found in [low, high] {
                let held = GAUGES.0 < found.gauge.0 && found.gauge.0 < GAUGES.1;
                prop_assert!(!held || (found.pull.0 / PULL.0 - 1.0).abs() < 0.15, "{found:?}");
            }
        }
    }

    /// Tension in newtons and core stress in megapascal of the common E9 set at 24.25 in, worked out by hand from
    /// the same law and the same estimates for wound strings; string 10 of our file is a .036.
    const WORKED: [(u8, f64, f64); 9] = [
        (1, 140.0, 1631.0),
        (2, 131.0, 1153.0),
        (3, 126.0, 2055.0),
        (4, 129.0, 1294.0),
        (5, 106.0, 726.0),
        (6, 104.0, 513.0),
        (7, 117.0, 1370.0),
        (8, 124.0, 1087.0),
        (9, 126.0, 863.0),
    ];

    #[test]
    fn tension_and_stress_are_those_of_the_worked_table() {
        let mut e9 = Instrument::shipped("e9").unwrap();
        e9.scale_length.0 = 24.25 * 25.4;
        let strains = strains(&e9);
        for (number, newtons, megapascal) in WORKED {
            let found = strains[usize::from(number) - 1];
            assert!((found.tension.0 - newtons).abs() < 1.0, "{number}: {}", found.tension);
            assert!((found.stress.0 - megapascal).abs() < 2.0, "{number}: {}", found.stress);
        }
    }

    #[test]
    fn the_third_string_at_a4_is_the_one_that_breaks() {
        // rho (2 L f)^2 at 24.25 in and 440 Hz is 2306 MPa, whatever the gauge.
        let mut e9 = Instrument::shipped("e9").unwrap();
        e9.scale_length.0 = 24.25 * 25.4;
        let strains = strains(&e9);
        assert!((strains[2].most.0 - 2306.0).abs() < 2.0);
        let high: Vec<u8> = strains
            .iter()
            .filter(|s| s.is_high())
            .map(|s| s.string.number())
            .collect();
        assert!(high.contains(&3), "{high:?}");
        assert!(
            strains
                .iter()
                .all(|s| s.most.0 <= strains[2].most.0 || s.string.number() == 1)
        );
    }
}
