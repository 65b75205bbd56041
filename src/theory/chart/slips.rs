//! Slips of a hurried hand that have one plain meaning: what they were meant for.
//!
//! *Invariant:* nothing here prints a slip: a chart that was read from one is written in the chart's own signs.

use super::heading;
use super::marks;
use super::model::{Item, KeyChange};
use crate::theory::pitch::Semitones;

/// Names that a section has in the trade. Common practice, no source.
const SECTIONS: [&str; 22] = [
    "intro",
    "verse",
    "pre-chorus",
    "prechorus",
    "chorus",
    "refrain",
    "bridge",
    "break",
    "breakdown",
    "channel",
    "solo",
    "instrumental",
    "interlude",
    "turn",
    "turnaround",
    "vamp",
    "tag",
    "ending",
    "outro",
    "out",
    "coda",
    "reprise",
];

/// The dashes a keyboard or a phone writes.
const DASHES: [char; 6] = ['-', '–', '—', '−', '‐', '‑'];

/// Whether a word is dashes and nothing else.
pub(super) fn is_dash(word: &str) -> bool {
    !word.is_empty() && word.chars().all(|c| DASHES.contains(&c))
}

/// The chords of a word such as `1-4-5`, set apart.
pub(super) fn undashed_word(word: &str) -> Option<String> {
    let parts: Vec<&str> = word.split(DASHES).collect();
    (parts.len() > 1 && parts.iter().all(|part| marks::is_bar(part))).then(|| parts.join(" "))
}

/// A line whose chords are set apart by dashes, without them.
pub(super) fn undashed(line: &str) -> String {
    let words = line.split(' ').filter(|word| !is_dash(word)).map(|word| {
        // A chord may have a dash of its own: 6- or 2-7.
        let apart = if marks::is_bar(word) { None } else { undashed_word(word) };
        apart.unwrap_or_else(|| word.to_owned())
    });
    words.collect::<Vec<_>>().join(" ")
}

/// The figures of a count such as `x3`, `3x` or `×3`.
pub(super) fn count(word: &str) -> Option<&str> {
    let crosses = ['x', 'X', '×'];
    let figures = word.strip_prefix(crosses).or_else(|| word.strip_suffix(crosses))?;
    let fits = (1..=2).contains(&figures.len()) && figures.chars().all(|c| c.is_ascii_digit());
    fits.then_some(figures)
}

/// A word with the minus signs of a phone brought down to the keyboard's.
pub(super) fn plain_dashes(word: &str) -> String {
    word.replace(DASHES, "-")
}

/// A change of key such as `mod +2`, `mod B` or `key of B`, with or without its box.
pub(super) fn key_change(words: &str) -> Option<KeyChange> {
    let beginning = |word: &str| {
        let (head, rest) = (words.get(..word.len())?, words.get(word.len()..)?);
        head.eq_ignore_ascii_case(word).then_some(rest)
    };
    let (steps, name) = match (beginning("mod"), beginning("key")) {
        (Some(rest), _) => (Some(rest.trim()), rest),
        (None, Some(rest)) => (None, rest),
        (None, None) => return None,
    };
    if let Some(by) = steps.and_then(|steps| plain_dashes(steps).parse::<i16>().ok()) {
        return (-11..=11).contains(&by).then_some(KeyChange::By(Semitones(by)));
    }
    let name = name.strip_prefix([' ', ':']).map(str::trim_start)?;
    let name = ["of ", "to "].iter().find_map(|w| name.strip_prefix(w)).unwrap_or(name);
    heading::key(name).map(KeyChange::To)
}

/// Whether words can only be a section's name, and whether it is one of the trade's.
///
/// No word of it is a bar; only a number may end it, as in `Verse 2`.
pub(super) fn names_section(words: &[&str]) -> Option<bool> {
    let (first, rest) = words.split_first()?;
    let is_number = |word: &str| word.len() <= 2 && word.chars().all(|c| c.is_ascii_digit());
    let is_name = |(at, word): (usize, &&str)| !marks::is_bar(word) || at + 1 == rest.len() && is_number(word);
    let known = |word: &&str| SECTIONS.iter().any(|name| name.eq_ignore_ascii_case(word));
    let begins = first.chars().count() > 2 && first.starts_with(char::is_alphabetic) && !marks::is_bar(first);
    (begins && rest.iter().enumerate().all(is_name)).then(|| words.iter().any(known))
}

/// The text that begins a section of this name.
pub(super) fn section_text(name: &str) -> String {
    Item::Section(name.to_owned()).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_between_chords_are_told_from_dashes_of_chords() {
        assert_eq!(undashed("1 - 4 – 6- — 2-7"), "1 4 6- 2-7");
        assert_eq!(undashed("1-4-5 G-C"), "1 4 5 G C");
        assert_eq!(undashed_word("Pre-Chorus"), None);
    }

    #[test]
    fn a_count_is_one_or_two_figures_and_a_cross() {
        assert_eq!(
            (count("x3"), count("12x"), count("×4")),
            (Some("3"), Some("12"), Some("4"))
        );
        assert_eq!(
            (count("x"), count("3"), count("x123"), count("xx")),
            (None, None, None, None)
        );
    }

    #[test]
    fn a_section_is_known_by_its_name_not_by_what_is_a_bar() {
        assert_eq!(names_section(&["Verse", "2"]), Some(true));
        assert_eq!(names_section(&["Steel", "solo"]), Some(true));
        assert_eq!(names_section(&["Slow", "part"]), Some(false));
        assert_eq!(names_section(&["Verse", "1", "4"]), None);
        assert_eq!(names_section(&["G"]), None);
    }
}
