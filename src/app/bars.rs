//! The song's bars as they are drawn: what stands in each, in playing order.

use crate::theory::{Beats, Chord, Hit, Metre, Timeline};

/// One chord in a bar.
#[derive(Debug, Clone, PartialEq)]
pub struct BarChord {
    /// Its number as a figure.
    pub figure: Figure,
    /// Its name in letters.
    pub letters: String,
    /// How the band plays it.
    pub hit: Hit,
    /// Whether it comes an eighth early.
    pub pushed: bool,
}

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct BarCard {
    /// When it begins.
    pub start: Beats,
    /// The section that begins here.
    pub section: Option<String>,
    /// Its metre, where it is not the bar's before.
    pub metre: Option<Metre>,
    /// Its chords; empty where the chord before goes on.
    pub chords: Vec<BarChord>,
}

/// A number in the parts that are set in different sizes: `b7maj7/3` is `b`, `7`, `maj7`, `3`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Figure {
    /// Flats or sharps before the number.
    pub accidental: String,
    /// The number itself.
    pub degree: String,
    /// The quality behind it.
    pub quality: String,
    /// The bass after the slash.
    pub bass: String,
}

impl Figure {
    /// Takes a written number apart.
    #[must_use]
    pub fn of(written: &str) -> Self {
        let (chord, bass) = written.split_once('/').unwrap_or((written, ""));
        let degree_at = chord.find(|c: char| c.is_ascii_digit()).unwrap_or(0);
        let (accidental, rest) = chord.split_at(degree_at);
        let (degree, quality) = rest.split_at(rest.chars().next().map_or(0, char::len_utf8));
        Self {
            accidental: accidental.to_owned(),
            degree: degree.to_owned(),
            quality: quality.to_owned(),
            bass: bass.to_owned(),
        }
    }
}

/// The bars of a song.
#[must_use]
pub fn cards(song: &Timeline) -> Vec<BarCard> {
    let mut metre = song.bars.first().map(|b| b.metre);
    let bar = |(index, bar): (usize, &crate::theory::TimelineBar)| {
        let changed = metre != Some(bar.metre);
        metre = Some(bar.metre);
        let chords = song.spans.iter().filter(|s| s.bar == index).map(|span| BarChord {
            figure: Figure::of(&span.numeral.to_string()),
            letters: letters(&span.chord),
            hit: span.hit,
            pushed: span.pushed,
        });
        BarCard {
            start: bar.start,
            section: bar.section.clone(),
            metre: changed.then_some(bar.metre),
            chords: chords.collect(),
        }
    };
    song.bars.iter().enumerate().map(bar).collect()
}

fn letters(chord: &Chord) -> String {
    chord.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(written: &str) -> [String; 4] {
        let f = Figure::of(written);
        [f.accidental, f.degree, f.quality, f.bass]
    }

    #[test]
    fn a_number_is_taken_apart_for_the_setter() {
        assert_eq!(parts("1"), ["", "1", "", ""]);
        assert_eq!(parts("b7"), ["b", "7", "", ""]);
        assert_eq!(parts("#4dim7"), ["#", "4", "dim7", ""]);
        assert_eq!(parts("6-/5"), ["", "6", "-", "5"]);
        assert_eq!(parts("5/b7"), ["", "5", "", "b7"]);
    }

    #[test]
    fn odd_text_is_taken_apart_without_a_panic() {
        for written in ["", "/", "b", "é7", "-"] {
            let _ = Figure::of(written);
        }
    }
}
