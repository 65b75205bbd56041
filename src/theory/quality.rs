//! The kinds of chord: their tones, and how the trade writes them.
//!
//! *Invariant:* every kind prints a suffix that reads back as the same kind, in letters and in numbers.

use super::interval::Interval;
use super::pitch::Semitones;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// The kind of a chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Quality {
    Major,
    Minor,
    Diminished,
    Augmented,
    Power,
    Sus2,
    Sus4,
    Six,
    MinorSix,
    Seven,
    MajorSeven,
    MinorSeven,
    MinorMajorSeven,
    DiminishedSeven,
    HalfDiminished,
    Nine,
    AddNine,
    MinorNine,
    MajorNine,
    SevenSus4,
    SevenSharpNine,
    SevenFlatNine,
    Thirteen,
}

impl Quality {
    /// Every kind.
    pub const ALL: [Self; 23] = [
        Self::Major,
        Self::Minor,
        Self::Diminished,
        Self::Augmented,
        Self::Power,
        Self::Sus2,
        Self::Sus4,
        Self::Six,
        Self::MinorSix,
        Self::Seven,
        Self::MajorSeven,
        Self::MinorSeven,
        Self::MinorMajorSeven,
        Self::DiminishedSeven,
        Self::HalfDiminished,
        Self::Nine,
        Self::AddNine,
        Self::MinorNine,
        Self::MajorNine,
        Self::SevenSus4,
        Self::SevenSharpNine,
        Self::SevenFlatNine,
        Self::Thirteen,
    ];

    /// The chord's tones as intervals above the root, root first, rising.
    ///
    /// Source: the chord symbols of the trade; checked against reference libraries in `tests/outside`.
    ///
    /// ```
    /// use leadbar::theory::Quality;
    /// let names: Vec<String> = Quality::SevenSharpNine.intervals().iter().map(ToString::to_string).collect();
    /// assert_eq!(names, ["P1", "M3", "P5", "m7", "A9"]);
    /// ```
    #[must_use]
    pub fn intervals(self) -> &'static [Interval] {
        const fn i(steps: i16, size: i16) -> Interval {
            Interval::new(steps, Semitones(size))
        }
        const ROOT: Interval = i(0, 0);
        const M2: Interval = i(1, 2);
        const MIN3: Interval = i(2, 3);
        const MAJ3: Interval = i(2, 4);
        const P4: Interval = i(3, 5);
        const DIM5: Interval = i(4, 6);
        const P5: Interval = i(4, 7);
        const AUG5: Interval = i(4, 8);
        const M6: Interval = i(5, 9);
        const DIM7: Interval = i(6, 9);
        const MIN7: Interval = i(6, 10);
        const MAJ7: Interval = i(6, 11);
        const MIN9: Interval = i(8, 13);
        const MAJ9: Interval = i(8, 14);
        const AUG9: Interval = i(8, 15);
        const MAJ13: Interval = i(12, 21);
        match self {
            Self::Major => &[ROOT, MAJ3, P5],
            Self::Minor => &[ROOT, MIN3, P5],
            Self::Diminished => &[ROOT, MIN3, DIM5],
            Self::Augmented => &[ROOT, MAJ3, AUG5],
            Self::Power => &[ROOT, P5],
            Self::Sus2 => &[ROOT, M2, P5],
            Self::Sus4 => &[ROOT, P4, P5],
            Self::Six => &[ROOT, MAJ3, P5, M6],
            Self::MinorSix => &[ROOT, MIN3, P5, M6],
            Self::Seven => &[ROOT, MAJ3, P5, MIN7],
            Self::MajorSeven => &[ROOT, MAJ3, P5, MAJ7],
            Self::MinorSeven => &[ROOT, MIN3, P5, MIN7],
            Self::MinorMajorSeven => &[ROOT, MIN3, P5, MAJ7],
            Self::DiminishedSeven => &[ROOT, MIN3, DIM5, DIM7],
            Self::HalfDiminished => &[ROOT, MIN3, DIM5, MIN7],
            Self::Nine => &[ROOT, MAJ3, P5, MIN7, MAJ9],
            Self::AddNine => &[ROOT, MAJ3, P5, MAJ9],
            Self::MinorNine => &[ROOT, MIN3, P5, MIN7, MAJ9],
            Self::MajorNine => &[ROOT, MAJ3, P5, MAJ7, MAJ9],
            Self::SevenSus4 => &[ROOT, P4, P5, MIN7],
            Self::SevenSharpNine => &[ROOT, MAJ3, P5, MIN7, AUG9],
            Self::SevenFlatNine => &[ROOT, MAJ3, P5, MIN7, MIN9],
            Self::Thirteen => &[ROOT, MAJ3, P5, MIN7, MAJ9, MAJ13],
        }
    }

    /// Whether its third is minor (a diminished chord's is).
    ///
    /// ```
    /// use leadbar::theory::Quality;
    /// assert!(Quality::HalfDiminished.has_minor_third());
    /// assert!(!Quality::Power.has_minor_third());
    /// ```
    #[must_use]
    pub fn has_minor_third(self) -> bool {
        self.intervals().contains(&Interval::new(2, Semitones(3)))
    }

    /// What follows the letter in a chord symbol: "m7" in Am7; nothing for a major triad.
    ///
    /// ```
    /// use leadbar::theory::Quality;
    /// assert_eq!(Quality::MinorSeven.suffix(), "m7");
    /// ```
    #[must_use]
    pub fn suffix(self) -> &'static str {
        match self {
            Self::Major => "",
            Self::Minor => "m",
            Self::Diminished => "dim",
            Self::Augmented => "+",
            Self::Power => "5",
            Self::Sus2 => "sus2",
            Self::Sus4 => "sus4",
            Self::Six => "6",
            Self::MinorSix => "m6",
            Self::Seven => "7",
            Self::MajorSeven => "maj7",
            Self::MinorSeven => "m7",
            Self::MinorMajorSeven => "mMaj7",
            Self::DiminishedSeven => "dim7",
            Self::HalfDiminished => "m7b5",
            Self::Nine => "9",
            Self::AddNine => "add9",
            Self::MinorNine => "m9",
            Self::MajorNine => "maj9",
            Self::SevenSus4 => "7sus4",
            Self::SevenSharpNine => "7#9",
            Self::SevenFlatNine => "7b9",
            Self::Thirteen => "13",
        }
    }

    /// What follows the number in a chart: "-7" in 2-7. As [`Self::suffix`], with the trade's dash for minor.
    ///
    /// ```
    /// use leadbar::theory::Quality;
    /// assert_eq!(Quality::MinorSeven.number_suffix(), "-7");
    /// assert_eq!(Quality::MajorSeven.number_suffix(), "maj7");
    /// ```
    #[must_use]
    pub fn number_suffix(self) -> &'static str {
        match self {
            Self::Minor => "-",
            Self::MinorSix => "-6",
            Self::MinorSeven => "-7",
            Self::MinorMajorSeven => "-maj7",
            Self::HalfDiminished => "-7b5",
            Self::MinorNine => "-9",
            other => other.suffix(),
        }
    }

    /// Reads what follows a root, in any spelling the trade uses, or nothing when it is none of them.
    ///
    /// Minor is a dash, m, mi or min; major seventh maj7, ma7, M7, ^ or a triangle; diminished dim, o or a degree
    /// sign; half-diminished m7b5 or a slashed o; augmented + or aug; sus is sus4; 2 is add9.
    ///
    /// ```
    /// use leadbar::theory::Quality;
    /// for minor in ["-", "m", "min", "–"] {
    ///     assert_eq!(Quality::from_suffix(minor), Some(Quality::Minor));
    /// }
    /// assert_eq!(Quality::from_suffix("^7"), Some(Quality::MajorSeven));
    /// assert_eq!(Quality::from_suffix("7b13"), None);
    /// ```
    #[must_use]
    pub fn from_suffix(text: &str) -> Option<Self> {
        let plain = plain_signs(text);
        if let Some((sign, rest)) = after_any(&plain, &["maj", "Maj", "MAJ", "ma", "Ma", "M", "^"]) {
            return major_family(sign, rest);
        }
        if let Some((_, rest)) = after_any(&plain, &["min", "Min", "mi", "m", "-"]) {
            return minor_family(rest);
        }
        Some(match plain.as_ref() {
            "" => Self::Major,
            "dim" | "o" => Self::Diminished,
            "dim7" | "o7" => Self::DiminishedSeven,
            "ø" | "ø7" => Self::HalfDiminished,
            "+" | "aug" => Self::Augmented,
            "5" => Self::Power,
            "sus2" => Self::Sus2,
            "sus" | "sus4" => Self::Sus4,
            "6" => Self::Six,
            "7" => Self::Seven,
            "9" => Self::Nine,
            "2" | "add9" | "add2" => Self::AddNine,
            "7sus" | "7sus4" => Self::SevenSus4,
            "7#9" | "7+9" => Self::SevenSharpNine,
            "7b9" | "7-9" => Self::SevenFlatNine,
            "13" => Self::Thirteen,
            _ => return None,
        })
    }
}

fn major_family(sign: &str, rest: &str) -> Option<Quality> {
    match rest {
        "" if sign == "^" => Some(Quality::MajorSeven),
        "" => Some(Quality::Major),
        "7" => Some(Quality::MajorSeven),
        "9" => Some(Quality::MajorNine),
        _ => None,
    }
}

fn minor_family(rest: &str) -> Option<Quality> {
    match rest {
        "" => Some(Quality::Minor),
        "6" => Some(Quality::MinorSix),
        "7" => Some(Quality::MinorSeven),
        "9" => Some(Quality::MinorNine),
        "7b5" | "7-5" => Some(Quality::HalfDiminished),
        "maj7" | "Maj7" | "MAJ7" | "ma7" | "M7" | "^" | "^7" => Some(Quality::MinorMajorSeven),
        _ => None,
    }
}

/// The first of `signs` that begins `text`, and what follows it.
fn after_any<'a>(text: &'a str, signs: &[&'static str]) -> Option<(&'static str, &'a str)> {
    signs
        .iter()
        .find_map(|sign| text.strip_prefix(sign).map(|rest| (*sign, rest)))
}

/// The text with typographic signs brought down to those of a plain keyboard.
fn plain_signs(text: &str) -> Cow<'_, str> {
    if text.is_ascii() {
        return Cow::Borrowed(text);
    }
    let plain = text.chars().map(|c| match c {
        '−' | '–' | '—' | '‐' | '‑' => '-',
        'Δ' | '∆' | '△' | '▵' => '^',
        '°' | 'º' | '˚' | '○' => 'o',
        'Ø' | '∅' | '⌀' => 'ø',
        '♭' => 'b',
        '♯' => '#',
        other => other,
    });
    Cow::Owned(plain.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_quality_reads_back_from_both_of_its_suffixes() {
        for quality in Quality::ALL {
            assert_eq!(Quality::from_suffix(quality.suffix()), Some(quality));
            assert_eq!(Quality::from_suffix(quality.number_suffix()), Some(quality));
        }
    }

    #[test]
    fn no_two_qualities_share_their_tones() {
        for (i, a) in Quality::ALL.iter().enumerate() {
            for b in &Quality::ALL[i + 1..] {
                assert_ne!(a.intervals(), b.intervals(), "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn the_trades_other_spellings_are_read() {
        for (text, quality) in [
            ("M", Quality::Major),
            ("mi", Quality::Minor),
            ("−", Quality::Minor),
            ("o", Quality::Diminished),
            ("°", Quality::Diminished),
            ("aug", Quality::Augmented),
            ("sus", Quality::Sus4),
            ("min6", Quality::MinorSix),
            ("^", Quality::MajorSeven),
            ("Δ", Quality::MajorSeven),
            ("Δ7", Quality::MajorSeven),
            ("M7", Quality::MajorSeven),
            ("min7", Quality::MinorSeven),
            ("-^7", Quality::MinorMajorSeven),
            ("mM7", Quality::MinorMajorSeven),
            ("o7", Quality::DiminishedSeven),
            ("°7", Quality::DiminishedSeven),
            ("ø", Quality::HalfDiminished),
            ("Ø7", Quality::HalfDiminished),
            ("m7♭5", Quality::HalfDiminished),
            ("2", Quality::AddNine),
            ("add2", Quality::AddNine),
            ("^9", Quality::MajorNine),
            ("7sus", Quality::SevenSus4),
            ("7♯9", Quality::SevenSharpNine),
        ] {
            assert_eq!(Quality::from_suffix(text), Some(quality), "{text}");
        }
    }
}
