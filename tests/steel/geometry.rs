//! Outside check: lengths on the neck for a scale of 24.25 inches. Source: Mersenne's law and equal temperament
//! (fret n lies at L (1 - 2^(-n/12)) from the nut); the figures below were reckoned outside the crate to one place.

use leadbar::steel::Millimetres;
use leadbar::steel::geometry::{between, for_cents, from_nut, slant};
use leadbar::steel::{Fret, Instrument};
use leadbar::theory::Cents;

/// 24.25 inches; an inch is 25.4 mm by definition.
const SCALE: Millimetres = Millimetres(615.95);

/// Fret, from the nut in mm, to the next fret in mm, mm for a cent.
const FRETS: [(f64, f64, f64, f64); 11] = [
    (0.0, 0.0, 34.6, 0.356),
    (1.0, 34.6, 32.6, 0.336),
    (3.0, 98.0, 29.1, 0.299),
    (5.0, 154.5, 25.9, 0.267),
    (8.0, 227.9, 21.8, 0.224),
    (10.0, 270.3, 19.4, 0.200),
    (12.0, 308.0, 17.3, 0.178),
    (15.0, 357.0, 14.5, 0.150),
    (17.0, 385.2, 12.9, 0.133),
    (20.0, 421.9, 10.9, 0.112),
    (24.0, 462.0, 8.6, 0.089),
];

/// The table is rounded to its last place.
fn agrees(found: f64, table: f64, place: f64) -> bool {
    (found - table).abs() <= place * 0.51
}

#[test]
fn frets_lie_where_the_table_says() {
    for (fret, nut, next, cent) in FRETS {
        assert!(
            agrees(from_nut(SCALE, Fret(fret)).0, nut, 0.1),
            "fret {fret} from the nut"
        );
        assert!(
            agrees(between(SCALE, Fret(fret), Fret(fret + 1.0)).0, next, 0.1),
            "space after fret {fret}"
        );
        assert!(
            agrees(for_cents(SCALE, Fret(fret), Cents(1.0)).0, cent, 0.001),
            "a cent at fret {fret}"
        );
    }
}

/// The frets at which the slants below begin.
const SLANTED_AT: [f64; 7] = [1.0, 3.0, 5.0, 8.0, 10.0, 12.0, 15.0];

/// A slant over `gaps` string gaps and `frets` frets, in degrees, for strings 0.29 in and 0.34 in apart.
struct Slant {
    gaps: f64,
    frets: f64,
    near: [f64; 7],
    wide: [f64; 7],
}

const SLANTS: [Slant; 3] = [
    Slant {
        gaps: 1.0,
        frets: 1.0,
        near: [77.0, 76.0, 74.0, 71.0, 69.0, 67.0, 63.0],
        wide: [75.0, 73.0, 72.0, 68.0, 66.0, 63.0, 59.0],
    },
    Slant {
        gaps: 2.0,
        frets: 1.0,
        near: [66.0, 63.0, 60.0, 56.0, 53.0, 50.0, 45.0],
        wide: [62.0, 59.0, 56.0, 52.0, 48.0, 45.0, 40.0],
    },
    Slant {
        gaps: 2.0,
        frets: 2.0,
        near: [77.0, 75.0, 74.0, 71.0, 69.0, 66.0, 62.0],
        wide: [75.0, 73.0, 71.0, 68.0, 65.0, 63.0, 59.0],
    },
];

#[test]
fn slants_turn_the_bar_as_far_as_the_table_says() {
    for Slant {
        gaps,
        frets,
        near,
        wide,
    } in SLANTS
    {
        for (inches, row) in [(0.29, near), (0.34, wide)] {
            let across = Millimetres(inches * 25.4 * gaps);
            for (fret, degrees) in SLANTED_AT.into_iter().zip(row) {
                let found = slant(SCALE, across, Fret(fret), Fret(fret + frets)).0;
                assert!(
                    agrees(found, degrees, 1.0),
                    "{gaps} gaps, {frets} frets at {fret}: {found} for {degrees}"
                );
            }
        }
    }
}

#[test]
fn a_whole_vibrato_is_the_sum_of_its_cents() {
    // 15 cents at fret 10 are 3 mm of the hand, whether reckoned by the slope or by the two places.
    let slope = for_cents(SCALE, Fret(10.0), Cents(15.0)).0;
    let places = between(SCALE, Fret(10.0), Fret(10.15)).0;
    assert!(agrees(slope, 3.0, 0.1) && agrees(places, slope, 0.05));
}

#[test]
fn shipped_pedal_instruments_have_that_scale() {
    for id in ["e9", "e9-3-3", "c6", "universal"] {
        let scale = Instrument::shipped(id).map(|i| i.scale_length.0);
        assert!(scale.is_some_and(|mm| agrees(mm, SCALE.0, 0.1)), "{id}: {scale:?}");
    }
}
