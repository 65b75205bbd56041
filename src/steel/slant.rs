//! The slanted bar: where it crosses each string, how far it is turned, and what that leaves out of tune.
//!
//! A bar is straight, so it is exact for two strings only; what a third one is off follows from the lengths.
//!
//! *Invariant:* a place without a slant crosses every string at its fret, to the last bit.

use super::geometry::from_nut;
use super::instrument::{Instrument, Stance, StringNumber, StringSet};
use super::neck::{MOST_FRETS, Place, Slant};
use super::units::{Degrees, Fret, Millimetres};
use crate::theory::Cents;
use serde::{Deserialize, Serialize};
use smallvec::SmallVec;

/// A string this far from its fret under a slanted bar still passes for in tune. Common practice, no source; three
/// evenly spaced strings a fret apart are 2.8 cents out (computed).
pub const IN_TUNE: Cents = Cents(12.0);

/// No bar is turned farther than this: beyond it more of it lies along the strings than across. From memory, no source.
pub const STEEPEST: Degrees = Degrees(72.0);

/// A slant that a steady hand holds in tune: about 60 to 65 degrees is the practical limit, from memory.
pub const USUAL: Degrees = Degrees(60.0);

/// Where a bar lies: the frets at which it crosses the far string, number 1, and the nearest one.
///
/// Beyond the nut a fret is negative; there only the line is meant, not the bar.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
pub struct Lie {
    /// On string 1.
    pub far: Fret,
    /// On the last string.
    pub near: Fret,
}

impl Lie {
    /// Straight across at a fret.
    #[must_use]
    pub const fn straight(fret: Fret) -> Self {
        Self { far: fret, near: fret }
    }

    /// Whether every string is stopped at one fret.
    #[must_use]
    pub fn is_straight(self) -> bool {
        (self.far.0 - self.near.0).abs() < 1e-9
    }

    /// Where it crosses `string`.
    ///
    /// ```
    /// use leadbar::steel::{Fret, Instrument, StringNumber, slant::Lie};
    /// let lap = Instrument::shipped("c6-lap-6").unwrap();
    /// let lie = Lie { far: Fret(7.0), near: Fret(5.0) };
    /// let middle = lie.on(&lap, StringNumber::new(3).unwrap()).0;
    /// assert!((6.0..6.3).contains(&middle));
    /// ```
    #[must_use]
    pub fn on(self, instrument: &Instrument, string: StringNumber) -> Fret {
        if self.is_straight() {
            return self.far;
        }
        let last = instrument.strings.len().saturating_sub(1);
        match string.index() {
            0 => self.far,
            i if i >= last => self.near,
            i => Line::through(instrument, (0, self.far), (last, self.near)).crosses(i),
        }
    }

    /// How far the bar is turned from straight across.
    #[must_use]
    pub fn turned(self, instrument: &Instrument) -> Degrees {
        if self.is_straight() {
            return Degrees(0.0);
        }
        let last = instrument.strings.len().saturating_sub(1);
        Line::through(instrument, (0, self.far), (last, self.near)).turned()
    }

    /// How far the farther moving end of the bar has to go to another lie.
    #[must_use]
    pub fn way_to(self, other: Self, scale: Millimetres) -> Millimetres {
        let of = |one: Fret, other: Fret| (from_nut(scale, one).0 - from_nut(scale, other).0).abs();
        Millimetres(of(self.far, other.far).max(of(self.near, other.near)))
    }
}

impl Place {
    /// Where the bar lies.
    #[must_use]
    pub fn lie(self, instrument: &Instrument) -> Lie {
        let Some(slant) = self.slant.filter(|s| s.is_of(instrument)) else {
            return Lie::straight(self.bar());
        };
        let turned = Fret(self.bar().0 + f64::from(slant.frets));
        let line = Line::through(
            instrument,
            (slant.hold.index(), self.bar()),
            (slant.turn.index(), turned),
        );
        Lie {
            far: line.crosses(0),
            near: line.crosses(instrument.strings.len().saturating_sub(1)),
        }
    }

    /// Where the bar stops `string`: exact on the two strings of a slant.
    #[must_use]
    pub fn fret_on(self, instrument: &Instrument, string: StringNumber) -> Fret {
        match self.slant.filter(|s| s.is_of(instrument)) {
            None => self.bar(),
            Some(slant) if string == slant.hold => self.bar(),
            Some(slant) if string == slant.turn => Fret(self.bar().0 + f64::from(slant.frets)),
            Some(_) => self.lie(instrument).on(instrument, string),
        }
    }

    /// The whole fret `string` is stopped at, where the bar is near enough to it to pass for in tune.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // checked to lie within the neck
    pub fn whole_fret_on(self, instrument: &Instrument, string: StringNumber) -> Option<u8> {
        if self.slant.is_none() {
            return Some(self.fret);
        }
        let fret = self.fret_on(instrument, string).0;
        let whole = fret.round();
        let fits = (fret - whole).abs() * 100.0 <= IN_TUNE.0 && (1.0..=f64::from(u8::MAX)).contains(&whole);
        fits.then_some(whole as u8)
    }

    /// The string of a grip that the bar leaves farthest from its fret, and by how much (above is positive);
    /// nothing for a straight bar.
    #[must_use]
    pub fn worst_of(self, instrument: &Instrument, strings: StringSet) -> Option<(StringNumber, Cents)> {
        self.slant?;
        let off = |s: StringNumber| {
            let fret = self.fret_on(instrument, s).0;
            (s, Cents((fret - fret.round()) * 100.0))
        };
        let all = strings.iter().map(off);
        all.max_by(|a, b| a.1.0.abs().total_cmp(&b.1.0.abs()))
    }
}

/// A slant reaches over at most this many strings. Common practice, no source.
const WIDEST: usize = 5;

/// Every slant of a bar with nothing pressed that lies on the neck up to a fret and is turned no farther than
/// `steepest`, held by the far one of its two strings: by fret from the nut, then by strings.
#[must_use]
pub fn places(instrument: &Instrument, last: u8, steepest: Degrees) -> Vec<Place> {
    let strings: Vec<StringNumber> = instrument.string_numbers().collect();
    let on_neck = |f: Fret| (0.0..=f64::from(instrument.frets)).contains(&f.0);
    let mut found = Vec::new();
    for fret in 1..=last {
        for (i, hold) in strings.iter().enumerate() {
            for turn in strings.iter().take(i + WIDEST).skip(i + 1) {
                let other = |by: &i8| fret.checked_add_signed(*by).is_some_and(|f| (1..=last).contains(&f));
                for frets in (-MOST_FRETS..=MOST_FRETS).filter(|by| *by != 0 && other(by)) {
                    let slant = Slant {
                        hold: *hold,
                        turn: *turn,
                        frets,
                    };
                    let place = Place {
                        slant: Some(slant),
                        ..Place::straight(fret, Stance::OPEN)
                    };
                    let lie = place.lie(instrument);
                    if on_neck(lie.far) && on_neck(lie.near) && lie.turned(instrument).0 <= steepest.0 {
                        found.push(place);
                    }
                }
            }
        }
    }
    found
}

/// The strings that are in tune under a slant: the two it is turned over, and those with one between.
#[must_use]
pub fn grips(instrument: &Instrument, place: Place) -> SmallVec<[StringSet; 4]> {
    let Some(slant) = place.slant else {
        return SmallVec::new();
    };
    let (far, near) = (slant.hold.min(slant.turn), slant.hold.max(slant.turn));
    let two = StringSet::EMPTY.with(far).with(near);
    let between = instrument.string_numbers().filter(|s| *s > far && *s < near);
    let in_tune = between.filter(|s| place.whole_fret_on(instrument, *s).is_some());
    std::iter::once(two).chain(in_tune.map(|s| two.with(s))).collect()
}

/// A straight line over strings that fan out evenly from nut to bridge; lengths in millimetres from nut and middle.
struct Line {
    /// Along the neck at the neck's middle.
    at: f64,
    /// Millimetres along the neck for each one across, towards string 1 negative.
    slope: f64,
    /// Half the strings' gaps, and the gap at the nut, and how much it grows with each millimetre.
    middle: f64,
    gap: f64,
    fan: f64,
    scale: f64,
}

impl Line {
    /// The line that crosses two strings (by index) at two frets.
    #[allow(clippy::cast_precision_loss)] // a few strings
    fn through(instrument: &Instrument, one: (usize, Fret), other: (usize, Fret)) -> Self {
        let scale = instrument.scale_length.0;
        let gap = instrument.spacing.nut.0;
        let fan = (instrument.spacing.bridge.0 - gap) / scale;
        let middle = instrument.strings.len().saturating_sub(1) as f64 / 2.0;
        let point = |(index, fret): (usize, Fret)| {
            let x = from_nut(instrument.scale_length, fret).0;
            (x, (index as f64 - middle) * (gap + fan * x))
        };
        let ((x0, y0), (x1, y1)) = (point(one), point(other));
        let slope = if (y1 - y0).abs() > 1e-9 {
            (x1 - x0) / (y1 - y0)
        } else {
            0.0
        };
        Self {
            at: x0 - slope * y0,
            slope,
            middle,
            gap,
            fan,
            scale,
        }
    }

    /// The fret at which the line crosses the string of that index: x = at + slope c (gap + fan x), solved for x.
    #[allow(clippy::cast_precision_loss)]
    fn crosses(&self, index: usize) -> Fret {
        let c = index as f64 - self.middle;
        let x = (self.at + self.slope * c * self.gap) / (1.0 - self.slope * c * self.fan);
        // No bar lies within a hair of the bridge, nor two octaves beyond the nut.
        let left = (1.0 - x / self.scale).clamp(0.01, 4.0);
        let left = if left.is_nan() { 1.0 } else { left };
        Fret(-12.0 * left.log2())
    }

    fn turned(&self) -> Degrees {
        Degrees(self.slope.abs().atan().to_degrees())
    }
}
