//! The signs in a run of characters on one string's line.

use super::super::marks::{Lean, RAKE, Way};
use crate::steel::{ChangeId, Fret, Instrument, StringNumber};
use crate::theory::Cents;
use crate::words::Said;

/// The highest fret that can be written.
const MOST_FRET: f64 = 36.0;

/// What is pressed on a string.
pub(super) type Pressed = Vec<(ChangeId, Lean)>;

/// A sign as read.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Sign {
    Pick {
        fret: Fret,
        pressed: Pressed,
        /// How many frets above the bar a harmonic is touched.
        harmonic: Option<u8>,
        /// Whether it is part of a rake.
        raked: bool,
    },
    Slide {
        way: Way,
        fret: Fret,
        pressed: Pressed,
    },
    Press {
        fret: Fret,
        pressed: Pressed,
    },
    /// Stays at its fret while the bar turns over it.
    Hold {
        fret: Fret,
        pressed: Pressed,
    },
    Away(Way),
    Stop,
}

/// A sign, or why there is none, and the character it begins at.
pub(super) type Found = (usize, Result<Sign, Said>);

/// The signs of a run, the first of which begins at character `start` of its line.
pub(super) fn signs(run: &str, start: usize, string: StringNumber, instrument: &Instrument) -> Vec<Found> {
    let mut reader = Reader {
        rest: run,
        at: start,
        string,
        instrument,
    };
    let mut found = Vec::new();
    while !reader.rest.is_empty() {
        let at = reader.at;
        match reader.sign() {
            Ok(sign) => found.push((at, Ok(sign))),
            Err(words) => {
                found.push((at, Err(words)));
                break;
            }
        }
    }
    found
}

struct Reader<'a> {
    rest: &'a str,
    at: usize,
    string: StringNumber,
    instrument: &'a Instrument,
}

impl Reader<'_> {
    fn sign(&mut self) -> Result<Sign, Said> {
        if let Some(way) = self.way() {
            if !self.rest.starts_with(|c: char| c.is_ascii_digit()) {
                return Ok(Sign::Away(way));
            }
            let (fret, pressed) = self.step()?;
            return Ok(Sign::Slide { way, fret, pressed });
        }
        if self.take("~") {
            let (fret, pressed) = self.step()?;
            return Ok(Sign::Press { fret, pressed });
        }
        if self.take("=") {
            let (fret, pressed) = self.step()?;
            return Ok(Sign::Hold { fret, pressed });
        }
        if self.take("x") || self.take("X") {
            return Ok(Sign::Stop);
        }
        let raked = self.take(RAKE);
        let (fret, pressed) = self.step()?;
        let harmonic = match self.take("*") {
            true => Some(self.touched()?),
            false => None,
        };
        Ok(Sign::Pick {
            fret,
            pressed,
            harmonic,
            raked,
        })
    }

    fn way(&mut self) -> Option<Way> {
        if self.take("/") {
            Some(Way::Up)
        } else {
            self.take("\\").then_some(Way::Down)
        }
    }

    /// A fret and what is pressed.
    fn step(&mut self) -> Result<(Fret, Pressed), Said> {
        let mut figures = self.digits().to_owned();
        if figures.is_empty() {
            return Err(said!(
                "\"{sign}\" is no sign of tab: write a fret, as in 3 or 3A",
                sign = self.first()
            ));
        }
        if self.rest.starts_with('.') && self.rest.chars().nth(1).is_some_and(|c| c.is_ascii_digit()) {
            self.take(".");
            figures = format!("{figures}.{}", self.digits());
        }
        let fret: f64 = figures
            .parse()
            .map_err(|_| said!("\"{figures}\" is no fret", figures))?;
        if fret > MOST_FRET {
            return Err(said!(
                "there is no fret {figures}: frets go up to {most}",
                figures,
                most = MOST_FRET
            ));
        }
        let mut pressed = Pressed::new();
        while let Some(change) = self.change() {
            let lean = if self.take("½") { Lean::Half } else { Lean::Full };
            pressed.push((change, lean));
        }
        if pressed.is_empty() {
            pressed.extend(self.raised()?);
        }
        Ok((Fret(fret), pressed))
    }

    /// The change whose name comes next, the longest name first; in any case where that is not a flat sign.
    fn change(&mut self) -> Option<ChangeId> {
        let names = || self.instrument.change_ids().zip(&self.instrument.changes);
        let by = |test: &dyn Fn(&str) -> bool| {
            names()
                .filter(|(_, c)| test(&c.name))
                .max_by_key(|(_, c)| c.name.len())
                .map(|(id, c)| (id, c.name.len()))
        };
        let rest = self.rest;
        let exact = by(&|name| !name.is_empty() && rest.starts_with(name));
        let loose = || {
            by(&|name| {
                let head = rest.get(..name.len());
                !name.is_empty() && !rest.starts_with('b') && head.is_some_and(|h| h.eq_ignore_ascii_case(name))
            })
        };
        let (id, length) = exact.or_else(loose)?;
        let name = rest.get(..length)?;
        self.take(name);
        Some(id)
    }

    /// The change that raises or lowers the string as far as the sharps or flats that come next say.
    fn raised(&mut self) -> Result<Option<(ChangeId, Lean)>, Said> {
        let mut semitones = 0.0;
        for (sign, step) in [("#", 1.0), ("b", -1.0)] {
            while self.take(sign) {
                semitones += step;
            }
        }
        if semitones == 0.0 {
            return Ok(None);
        }
        let wanted = Cents(semitones * 100.0);
        let fits = |(id, change): (ChangeId, &crate::steel::Change)| {
            let own = change.pulls.iter().filter(|p| p.string == self.string);
            own.map(|p| p.by)
                .find(|by| (by.0 - wanted.0).abs() <= crate::steel::instrument::IN_TUNE.0)
                .map(|_| (id, Lean::Full))
        };
        let found = self
            .instrument
            .change_ids()
            .zip(&self.instrument.changes)
            .find_map(fits);
        match found {
            Some(change) => Ok(Some(change)),
            None => Err(said!(
                "nothing on this instrument moves string {string} by {semitones} semitones",
                string = self.string,
                semitones = format!("{semitones:+}")
            )),
        }
    }

    /// How far above the bar a harmonic is touched, in frets; an octave where nothing is written.
    fn touched(&mut self) -> Result<u8, Said> {
        match self.digits() {
            "" | "12" => Ok(12),
            "7" => Ok(7),
            "5" => Ok(5),
            other => Err(said!(
                "a harmonic sounds 12, 7 or 5 frets above the bar, not {other}: write * or *7",
                other
            )),
        }
    }

    fn digits(&mut self) -> &str {
        let end = self.rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        self.rest = rest;
        self.at += digits.len();
        digits
    }

    fn take(&mut self, sign: &str) -> bool {
        match self.rest.strip_prefix(sign) {
            Some(rest) if !sign.is_empty() => {
                self.rest = rest;
                self.at += sign.chars().count();
                true
            }
            _ => false,
        }
    }

    fn first(&self) -> String {
        self.rest.chars().take(1).collect()
    }
}
