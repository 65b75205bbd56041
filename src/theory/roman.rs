//! Chords as Roman numerals, read and printed.
//!
//! *Invariant:* a Roman numeral is only another way of writing a [`Numeral`]: nothing here knows a sound.
//!
//! The case tells the third; figures after a triad are a figured bass (V6 is the chord over its third, I64 over its
//! fifth); a second numeral after the slash is the chord's borrowed key (V7/V). In a minor key a plain III, VI and
//! VII stand on the minor scale, as analysis writes them: VI in A minor is F. Source: figured bass and secondary
//! dominants as in any harmony text; checked against a reference library in `tests/outside`.

use super::degree::ScaleDegree;
use super::interval::Interval;
use super::key::Mode;
use super::numeral::Numeral;
use super::pitch::Accidental;
use super::quality::Quality;
use crate::words::Said;
use thiserror::Error;

/// The numerals, longest first where one begins another.
const NAMES: [(&str, u8); 7] = [
    ("VII", 7),
    ("VI", 6),
    ("IV", 4),
    ("V", 5),
    ("III", 3),
    ("II", 2),
    ("I", 1),
];

/// Why a text is not a Roman numeral.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum RomanError {
    /// It does not begin with one.
    Name(String),
    /// What follows is no known kind of chord.
    Quality(String),
    /// What follows the slash is neither a degree nor a numeral.
    After(String),
    /// Chord over a bass, or chord in another key.
    Ambiguous {
        /// As written.
        text: String,
        /// The chord over the bass.
        bass: Numeral,
        /// The chord in the borrowed key.
        applied: Numeral,
    },
}

impl RomanError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Name(text) => said!(
                "\"{text}\" is not a Roman numeral: write I to VII, small for minor, as in ii or bVII",
                text
            ),
            Self::Quality(text) => said!(
                "\"{text}\" is not a kind of chord known here: write one such as 7, maj7, dim, sus4, 6 or 64",
                text
            ),
            Self::After(text) => said!(
                "\"{text}\" after the slash is neither a bass, as in V/7, nor a key on loan, as in V7/V",
                text
            ),
            Self::Ambiguous { text, bass, applied } => said!(
                "\"{text}\" can mean two things: write {bass} for the chord over that bass, or {applied} for the chord of the borrowed key",
                text,
                bass,
                applied
            ),
        }
    }
}

/// Reads a Roman numeral in a key of `mode`.
///
/// # Errors
/// When the text is none, or can mean two things.
///
/// ```
/// use leadbar::theory::{Mode, roman};
/// let number = |text| roman::parse(text, Mode::Major).map(|n| n.to_string());
/// assert_eq!(number("ii7").as_deref(), Ok("2-7"));
/// assert_eq!(number("V6").as_deref(), Ok("5/7"));
/// assert_eq!(number("V7/V").as_deref(), Ok("27"));
/// assert_eq!(roman::parse("VI", Mode::Minor).map(|n| n.to_string()).as_deref(), Ok("b6"));
/// ```
pub fn parse(text: &str, mode: Mode) -> Result<Numeral, RomanError> {
    // I6/4 is a figure, not a bass.
    let joined = text
        .strip_suffix("6/4")
        .filter(|head| head.ends_with(['I', 'V', 'i', 'v']))
        .map(|head| format!("{head}64"));
    let text = joined.as_deref().unwrap_or(text);
    let Some((head, after)) = text.split_once('/') else {
        return plain(text, mode);
    };
    let chord = plain(head, mode)?;
    if let Ok(bass) = after.parse::<ScaleDegree>() {
        return Ok(chord.over(bass));
    }
    let host = plain(after, mode).map_err(|_| RomanError::After(after.to_owned()))?;
    let applied = Numeral {
        degree: moved(chord.degree, host.degree),
        quality: chord.quality,
        bass: chord.bass.map(|bass| moved(bass, host.degree)),
    };
    // Fives and sevens are borrowed; over any other numeral a bass may be meant.
    if matches!(chord.degree.number(), 5 | 7) {
        return Ok(applied);
    }
    Err(RomanError::Ambiguous {
        text: text.to_owned(),
        bass: chord.over(host.degree),
        applied,
    })
}

/// Whether a text begins as a Roman numeral does.
pub(super) fn looks_roman(text: &str) -> bool {
    let text = Accidental::split_one(text).map_or(text, |(_, rest)| rest);
    text.starts_with(['I', 'V', 'i', 'v'])
}

/// Writes a numeral in Roman figures; it reads back in a major key.
///
/// ```
/// use leadbar::theory::{Numeral, roman};
/// assert_eq!(roman::print("b7".parse::<Numeral>()?), "bVII");
/// assert_eq!(roman::print("7-7b5".parse::<Numeral>()?), "viiø7");
/// assert_eq!(roman::print("5/7".parse::<Numeral>()?), "V/7");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn print(numeral: Numeral) -> String {
    let number = numeral.degree.number();
    let name = NAMES.iter().find(|(_, n)| *n == number).map_or("I", |(name, _)| name);
    let name = if numeral.quality.has_minor_third() {
        name.to_lowercase()
    } else {
        (*name).to_owned()
    };
    let suffix = match numeral.quality {
        Quality::Minor => "",
        Quality::Diminished => "°",
        Quality::DiminishedSeven => "°7",
        Quality::HalfDiminished => "ø7",
        Quality::Six | Quality::MinorSix => "add6",
        Quality::MinorSeven => "7",
        Quality::MinorNine => "9",
        Quality::MinorMajorSeven => "maj7",
        other => other.suffix(),
    };
    let bass = numeral.bass.filter(|b| *b != numeral.degree);
    let bass = bass.map(|b| format!("/{b}")).unwrap_or_default();
    format!("{}{name}{suffix}{bass}", numeral.degree.accidental)
}

/// A numeral without a slash.
fn plain(text: &str, mode: Mode) -> Result<Numeral, RomanError> {
    let wrong = || RomanError::Name(text.to_owned());
    let (accidental, rest) = Accidental::split_one(text).unwrap_or((0, text));
    let small = rest.starts_with(['i', 'v']);
    let (number, suffix) = NAMES
        .iter()
        .find_map(|(name, n)| {
            let written = rest.get(..name.len())?;
            let same = if small {
                written == name.to_lowercase()
            } else {
                written == *name
            };
            same.then(|| (*n, rest.get(name.len()..).unwrap_or_default()))
        })
        .ok_or_else(wrong)?;
    let (quality, inversion) = kind(suffix, small).ok_or_else(|| RomanError::Quality(suffix.to_owned()))?;
    let lowered = mode == Mode::Minor && accidental == 0 && !small && matches!(number, 3 | 6 | 7);
    let accidental = Accidental(if lowered { -1 } else { accidental });
    let degree = ScaleDegree::new(number, accidental).ok_or_else(wrong)?;
    let numeral = Numeral::new(degree, quality);
    let tone = quality.intervals().get(inversion).copied().unwrap_or(Interval::UNISON);
    Ok(numeral.over(raised(degree, tone)))
}

/// The kind of chord, and which of its tones the figures put in the bass.
fn kind(suffix: &str, small: bool) -> Option<(Quality, usize)> {
    let (sign, figures) = ["°", "o", "ø", "+", ""]
        .iter()
        .find_map(|sign| suffix.strip_prefix(sign).map(|rest| (*sign, rest)))?;
    let triad = match (sign, small) {
        ("°" | "o", _) => Quality::Diminished,
        ("+", _) => Quality::Augmented,
        (_, true) => Quality::Minor,
        (_, false) => Quality::Major,
    };
    let seventh = match (sign, small) {
        ("°" | "o", _) => Some(Quality::DiminishedSeven),
        ("ø", _) => Some(Quality::HalfDiminished),
        ("+", _) => None,
        (_, true) => Some(Quality::MinorSeven),
        (_, false) => Some(Quality::Seven),
    };
    match figures {
        "" if sign == "ø" => return Some((Quality::HalfDiminished, 0)),
        "" => return Some((triad, 0)),
        "6" if sign != "ø" => return Some((triad, 1)),
        "64" if sign != "ø" => return Some((triad, 2)),
        "7" => return seventh.map(|q| (q, 0)),
        "65" => return seventh.map(|q| (q, 1)),
        "43" => return seventh.map(|q| (q, 2)),
        "42" => return seventh.map(|q| (q, 3)),
        _ => {}
    }
    let quality = match (figures, small) {
        ("add6", true) => Quality::MinorSix,
        ("add6", false) => Quality::Six,
        (_, true) => ["-", ""]
            .iter()
            .find_map(|minor| Quality::from_suffix(&format!("{minor}{suffix}")))?,
        (_, false) => Quality::from_suffix(suffix)?,
    };
    (quality.has_minor_third() == small).then_some((quality, 0))
}

/// The degree an interval above another.
fn raised(degree: ScaleDegree, by: Interval) -> ScaleDegree {
    let key = super::key::Key::C;
    key.degree_named(by.above(key.note(degree)))
}

/// A degree counted from `host` instead of the tonic.
fn moved(degree: ScaleDegree, host: ScaleDegree) -> ScaleDegree {
    raised(host, degree.interval())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_without_a_doubt_reads_back_from_its_roman_form() {
        for number in 1..=7 {
            for sign in -1..=1 {
                for quality in Quality::ALL {
                    for bass in 1..=7 {
                        let degree = ScaleDegree::new(number, Accidental(sign)).unwrap();
                        let bass = ScaleDegree::new(bass, Accidental::NATURAL).unwrap();
                        let numeral = Numeral::new(degree, quality).over(bass);
                        let text = print(numeral);
                        assert_eq!(parse(&text, Mode::Major), Ok(numeral), "{text}");
                    }
                }
            }
        }
    }

    #[test]
    fn figures_and_borrowed_keys_are_read() {
        for (roman, number) in [
            ("I6", "1/3"),
            ("I64", "1/5"),
            ("I6/4", "1/5"),
            ("V65", "57/7"),
            ("V42", "57/4"),
            ("ii65", "2-7/4"),
            ("vii°", "7dim"),
            ("viio7/V", "#4dim7"),
            ("V/vi", "3"),
            ("V7/ii", "67"),
            ("IV/5", "4/5"),
            ("bVII", "b7"),
            ("♭III+", "b3+"),
            ("iv", "4-"),
        ] {
            let read = parse(roman, Mode::Major).map(|n| n.to_string());
            assert_eq!(read.as_deref(), Ok(number), "{roman}");
        }
    }

    #[test]
    fn in_a_minor_key_plain_numerals_stand_on_the_minor_scale() {
        for (roman, number) in [
            ("i", "1-"),
            ("III", "b3"),
            ("VI", "b6"),
            ("VII", "b7"),
            ("bVI", "b6"),
            ("vii°", "7dim"),
            ("V", "5"),
        ] {
            let read = parse(roman, Mode::Minor).map(|n| n.to_string());
            assert_eq!(read.as_deref(), Ok(number), "{roman}");
        }
    }

    #[test]
    fn a_chord_over_a_numeral_that_may_be_a_bass_is_asked_about() {
        let error = parse("IV/V", Mode::Major).unwrap_err();
        assert!(
            error
                .to_string()
                .contains("write 4/5 for the chord over that bass, or 1 for"),
            "{error}"
        );
    }
}
