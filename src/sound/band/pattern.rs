//! Grooves as data: one bar for each player, a character a step.
//!
//! ```
//! use leadbar::sound::band::Pattern;
//! let groove = Pattern::read("name = 'Plain'\nstyles = ['plain']\nmetre = '4/4'\n\
//!     [drums]\nkick = 'X...x...'\n[bass]\nline = '1---5---'\n[rhythm]\nline = 'd---d---'\n").unwrap();
//! assert_eq!(groove.name, "Plain");
//! ```

use super::drums::Drum;
use crate::theory::{Metre, Swing};
use serde::{Deserialize, Serialize};
use std::ops::Range;
use thiserror::Error;
use toml::Spanned;

/// What the bass does at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum BassStep {
    Rest,
    Ring,
    Root,
    Third,
    Fifth,
    Sixth,
    Octave,
    /// A semitone under the next chord's root.
    Approach,
}

/// What the guitar does at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum StrumStep {
    Rest,
    Ring,
    Down,
    Up,
    /// A damped stroke.
    Chuck,
}

/// What the organ does at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum OrganStep {
    Rest,
    /// What is held goes on.
    Hold,
    /// The chord is pressed.
    Press,
}

/// A groove: one bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pattern {
    /// What a player calls it.
    pub name: String,
    /// Style words of a chart's heading that ask for it.
    pub styles: Vec<String>,
    /// The metre it is made for.
    pub metre: Metre,
    /// Whether it is for straight or swung songs; neither when it serves both.
    pub swing: Option<Swing>,
    /// Strength 0..=1 of each step, by drum.
    pub drums: Vec<(Drum, Vec<f64>)>,
    /// The same for the bar before a new section; empty when there is no fill.
    pub fill: Vec<(Drum, Vec<f64>)>,
    /// The bass.
    pub bass: Vec<BassStep>,
    /// The rhythm guitar.
    pub rhythm: Vec<StrumStep>,
    /// The organ; empty when it does not play.
    #[serde(default)]
    pub organ: Vec<OrganStep>,
}

/// Why a groove can't be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("line {line}: {what}")]
pub struct PatternError {
    /// Line of the text, from 1.
    pub line: usize,
    /// What is wrong and what to write.
    pub what: String,
}

/// The text's shape, before its strings are read.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    name: String,
    styles: Vec<String>,
    metre: Spanned<String>,
    swing: Option<Swing>,
    #[serde(default)]
    drums: std::collections::BTreeMap<Spanned<String>, Spanned<String>>,
    #[serde(default)]
    fill: std::collections::BTreeMap<Spanned<String>, Spanned<String>>,
    bass: Option<WrittenLine>,
    rhythm: Option<WrittenLine>,
    organ: Option<WrittenLine>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLine {
    line: Spanned<String>,
}

/// The shipped grooves.
const SHIPPED: [&str; 7] = [
    include_str!("../../../static/patterns/rock.toml"),
    include_str!("../../../static/patterns/half-time.toml"),
    include_str!("../../../static/patterns/shuffle.toml"),
    include_str!("../../../static/patterns/two-beat.toml"),
    include_str!("../../../static/patterns/waltz.toml"),
    include_str!("../../../static/patterns/ballad.toml"),
    include_str!("../../../static/patterns/six-eight.toml"),
];

impl Pattern {
    /// Reads a groove from TOML.
    ///
    /// # Errors
    /// The line and what is wrong there.
    pub fn read(text: &str) -> Result<Self, PatternError> {
        let written: Written = toml::from_str(text).map_err(|error| PatternError {
            line: error.span().map_or(1, |s| line_of(text, &s)),
            what: error.message().to_owned(),
        })?;
        let metre = read_metre(text, &written.metre)?;
        Ok(Self {
            name: written.name,
            styles: written.styles,
            metre,
            swing: written.swing,
            drums: read_drums(text, written.drums)?,
            fill: read_drums(text, written.fill)?,
            bass: written
                .bass
                .map_or(Ok(Vec::new()), |l| steps(text, &l.line, bass_step))?,
            rhythm: written
                .rhythm
                .map_or(Ok(Vec::new()), |l| steps(text, &l.line, strum_step))?,
            organ: written
                .organ
                .map_or(Ok(Vec::new()), |l| steps(text, &l.line, organ_step))?,
        })
    }

    /// The grooves that come with the program. Each is read in a test, so none is missing here.
    #[must_use]
    pub fn shipped() -> Vec<Self> {
        SHIPPED.iter().filter_map(|text| Self::read(text).ok()).collect()
    }

    /// The shipped groove that fits a song best: by its style word if the metre agrees, else by metre and feel.
    #[must_use]
    pub fn fitting(style: Option<&str>, metre: Metre, swing: Swing) -> Option<Self> {
        let rank = |p: &Self| {
            let named = style.is_some_and(|s| p.styles.iter().any(|n| s.to_lowercase().contains(n.as_str())));
            let felt = p.swing.is_none_or(|s| s == swing);
            (p.metre == metre, named, felt)
        };
        // The first of equals wins, so that an unnamed 4/4 is the plain rock groove.
        Self::shipped().into_iter().rev().max_by(|a, b| rank(a).cmp(&rank(b)))
    }
}

fn line_of(text: &str, span: &Range<usize>) -> usize {
    text.bytes().take(span.start).filter(|b| *b == b'\n').count() + 1
}

fn read_metre(text: &str, written: &Spanned<String>) -> Result<Metre, PatternError> {
    let parts = written.get_ref().split_once('/');
    let metre = parts.and_then(|(count, unit)| {
        Some(Metre {
            count: count.trim().parse().ok()?,
            unit: unit.trim().parse().ok()?,
        })
    });
    metre
        .filter(|m| (1..=16).contains(&m.count) && [2, 4, 8, 16].contains(&m.unit))
        .ok_or_else(|| PatternError {
            line: line_of(text, &written.span()),
            what: format!("\"{}\" is no metre: write one such as \"4/4\"", written.get_ref()),
        })
}

type WrittenDrums = std::collections::BTreeMap<Spanned<String>, Spanned<String>>;

fn read_drums(text: &str, lines: WrittenDrums) -> Result<Vec<(Drum, Vec<f64>)>, PatternError> {
    let read = |(name, line): (Spanned<String>, Spanned<String>)| {
        let drum = Drum::named(name.get_ref()).ok_or_else(|| PatternError {
            line: line_of(text, &name.span()),
            what: format!(
                "\"{}\" is no drum: use kick, snare, rim, hat, open, ride, crash or tom",
                name.get_ref()
            ),
        })?;
        Ok((drum, steps(text, &line, drum_step)?))
    };
    lines.into_iter().map(read).collect()
}

/// Reads a line of steps; spaces and bar lines only help the eye.
fn steps<T>(
    text: &str,
    line: &Spanned<String>,
    read: fn(char) -> Result<T, &'static str>,
) -> Result<Vec<T>, PatternError> {
    let at = |what: String| PatternError {
        line: line_of(text, &line.span()),
        what,
    };
    let found: Vec<T> = line
        .get_ref()
        .chars()
        .filter(|c| !matches!(c, ' ' | '|'))
        .map(|c| read(c).map_err(|known| at(format!("\"{c}\" is no step: use {known}"))))
        .collect::<Result<_, _>>()?;
    if found.is_empty() || found.len() > 64 {
        return Err(at("a line has 1 to 64 steps".to_owned()));
    }
    Ok(found)
}

fn drum_step(c: char) -> Result<f64, &'static str> {
    match c {
        '.' => Ok(0.0),
        'o' => Ok(0.3),
        'x' => Ok(0.7),
        'X' => Ok(1.0),
        _ => Err(". for nothing, o soft, x plain, X strong"),
    }
}

fn bass_step(c: char) -> Result<BassStep, &'static str> {
    match c {
        '.' => Ok(BassStep::Rest),
        '-' => Ok(BassStep::Ring),
        '1' => Ok(BassStep::Root),
        '3' => Ok(BassStep::Third),
        '5' => Ok(BassStep::Fifth),
        '6' => Ok(BassStep::Sixth),
        '8' => Ok(BassStep::Octave),
        'a' => Ok(BassStep::Approach),
        _ => Err(". for rest, - to ring on, 1 3 5 6 8, a to approach the next root"),
    }
}

fn strum_step(c: char) -> Result<StrumStep, &'static str> {
    match c {
        '.' => Ok(StrumStep::Rest),
        '-' => Ok(StrumStep::Ring),
        'd' => Ok(StrumStep::Down),
        'u' => Ok(StrumStep::Up),
        'x' => Ok(StrumStep::Chuck),
        _ => Err(". for rest, - to ring on, d down, u up, x a damped stroke"),
    }
}

fn organ_step(c: char) -> Result<OrganStep, &'static str> {
    match c {
        '.' => Ok(OrganStep::Rest),
        '-' => Ok(OrganStep::Hold),
        'o' => Ok(OrganStep::Press),
        _ => Err(". for rest, - to hold on, o to press the chord"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shipped_groove_is_read() {
        for text in SHIPPED {
            let pattern = Pattern::read(text).unwrap_or_else(|e| panic!("{e} in\n{text}"));
            assert!(!pattern.drums.is_empty() && !pattern.bass.is_empty() && !pattern.rhythm.is_empty());
            assert!(!pattern.organ.is_empty(), "no organ in {}", pattern.name);
        }
    }

    #[test]
    fn a_fault_is_told_with_its_line() {
        let text = "name = 'X'\nstyles = []\nmetre = '4/4'\n[drums]\nkick = 'x..'\nsnare = 'x.?'\n";
        let error = Pattern::read(text).expect_err("a bad step");
        assert_eq!(error.line, 6);
        assert!(error.to_string().contains("\"?\" is no step"));
        let error = Pattern::read(&text.replace("snare", "gong").replace('?', "x")).expect_err("a bad drum");
        assert_eq!((error.line, error.what.contains("gong")), (6, true));
        assert_eq!(
            Pattern::read("name = 'X'\nstyles = []\nmetre = '4/0'\n")
                .expect_err("no metre")
                .line,
            3
        );
        assert_eq!(Pattern::read("name = 'X'\nstyles [").expect_err("no TOML").line, 2);
    }

    #[test]
    fn a_song_gets_the_groove_of_its_style_and_metre() {
        let name = |style, count, unit, swing| {
            Pattern::fitting(style, Metre { count, unit }, swing)
                .map(|p| p.name)
                .unwrap_or_default()
        };
        assert_eq!(name(None, 4, 4, Swing::Straight), "Rock, straight");
        assert_eq!(name(None, 4, 4, Swing::Swung), "Shuffle");
        assert_eq!(name(Some("ballad"), 4, 4, Swing::Straight), "Ballad");
        assert_eq!(name(Some("country"), 4, 4, Swing::Straight), "Country two-beat");
        assert_eq!(name(Some("rock"), 3, 4, Swing::Straight), "Waltz");
        assert_eq!(name(None, 6, 8, Swing::Straight), "Six-eight");
    }
}
