//! The heading of a chart, changed field by field in the text itself: the rest of the text stays as it was
//! written.
//!
//! A heading is the text up to the first `;` or line end, its fields set apart by commas, as in
//! `key A, 132, 3/4, waltz; 1 4 5 1`.

use crate::theory::Key;
pub use crate::theory::chart::STYLES;

/// A field of the heading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Field {
    /// The key, as in `key Bb`.
    Key,
    /// Beats a minute, as in `132`.
    Tempo,
    /// The metre, as in `3/4`.
    Metre,
    /// A style word of [`STYLES`].
    Style,
    /// `straight` or `swung`.
    Swing,
}

impl Field {
    /// The order a new field takes among those that are there.
    const ORDER: [Self; 5] = [Self::Key, Self::Tempo, Self::Metre, Self::Style, Self::Swing];

    /// Which field a piece of the heading is, if it is one of these.
    fn of(piece: &str) -> Option<Self> {
        let word = piece.trim().to_lowercase();
        // A field may say itself what it is: "Tempo: 132", "3/4 time".
        let said = |name: &str| word.strip_prefix(name).filter(|rest| rest.starts_with([' ', ':']));
        let value = ["tempo", "time signature", "time", "metre", "meter", "feel", "style"]
            .into_iter()
            .find_map(said)
            .map_or(word.as_str(), |rest| rest.trim_start_matches([' ', ':']));
        let value = value.strip_suffix(" time").unwrap_or(value);
        let figures = |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_digit());
        let tempo = value.strip_suffix("bpm").unwrap_or(value);
        if said("key").is_some() || piece.trim().parse::<Key>().is_ok() {
            Some(Self::Key)
        } else if figures(tempo.trim()) {
            Some(Self::Tempo)
        } else if value
            .split_once('/')
            .is_some_and(|(a, b)| figures(a.trim()) && figures(b.trim()))
        {
            Some(Self::Metre)
        } else if matches!(value, "straight" | "swung" | "swing") {
            Some(Self::Swing)
        } else if STYLES.contains(&value) {
            Some(Self::Style)
        } else {
            None
        }
    }
}

/// The text with a field of its heading set; an empty value takes the field away.
///
/// ```
/// use leadbar::app::heading::{Field, with_field};
/// assert_eq!(with_field("key A, 132; 1 4", Field::Key, "key G"), "key G, 132; 1 4");
/// assert_eq!(with_field("1 4", Field::Tempo, "90"), "90; 1 4");
/// ```
#[must_use]
pub fn with_field(text: &str, field: Field, value: &str) -> String {
    let (heading, body) = split(text);
    let mut pieces: Vec<&str> = heading.split(',').map(str::trim).filter(|p| !p.is_empty()).collect();
    pieces.retain({
        let mut first = true;
        move |piece| {
            let same = Field::of(piece) == Some(field);
            let keep = !same || (first && !value.is_empty());
            first &= !same;
            keep
        }
    });
    if let Some(place) = pieces.iter_mut().find(|piece| Field::of(piece) == Some(field)) {
        *place = value;
    } else if !value.is_empty() {
        let rank = |f: Field| Field::ORDER.iter().position(|o| *o == f);
        let later = |piece: &&str| Field::of(piece).is_some_and(|f| rank(f) > rank(field));
        let at = pieces.iter().position(later).unwrap_or(pieces.len());
        pieces.insert(at, value);
    }
    let heading = pieces.join(", ");
    match (heading.is_empty(), body.starts_with([';', '\n']), body.is_empty()) {
        (true, _, _) => body.trim_start_matches([';', ' ']).to_owned(),
        (false, true, _) | (false, _, true) => format!("{heading}{body}"),
        (false, false, false) => format!("{heading}; {body}"),
    }
}

/// The heading and what follows it, its `;` or line end included. A text without a heading is all body.
fn split(text: &str) -> (&str, &str) {
    let end = text.find([';', '\n']).unwrap_or(text.len());
    let (heading, body) = text.split_at(end);
    let is_heading = body.starts_with(';') || heading.split(',').any(|piece| Field::of(piece).is_some());
    // A lone number on the first line is a bar, not a tempo.
    let is_bars = heading
        .split_whitespace()
        .all(|word| word.len() < 3 && word.starts_with(|c: char| c.is_ascii_digit()));
    if is_heading && (!is_bars || body.starts_with(';')) {
        (heading, body)
    } else {
        ("", text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_is_replaced_where_it_stands() {
        let text = "key A, 132, rock; 1 1 4 1 / b7 4 1 5";
        assert_eq!(
            with_field(text, Field::Tempo, "96"),
            "key A, 96, rock; 1 1 4 1 / b7 4 1 5"
        );
        assert_eq!(
            with_field(text, Field::Style, "ballad"),
            "key A, 132, ballad; 1 1 4 1 / b7 4 1 5"
        );
        assert_eq!(
            with_field("My Song, Bb, 96\n1 4", Field::Key, "key F#m"),
            "My Song, key F#m, 96\n1 4"
        );
    }

    #[test]
    fn a_field_that_says_itself_what_it_is_is_replaced() {
        let text = "Key: A, Tempo: 132, 3/4 time, Feel: swung; 1";
        for (field, value, expected) in [
            (Field::Key, "key G", "key G, Tempo: 132, 3/4 time, Feel: swung; 1"),
            (Field::Tempo, "96", "Key: A, 96, 3/4 time, Feel: swung; 1"),
            (Field::Metre, "4/4", "Key: A, Tempo: 132, 4/4, Feel: swung; 1"),
            (Field::Swing, "straight", "Key: A, Tempo: 132, 3/4 time, straight; 1"),
        ] {
            assert_eq!(with_field(text, field, value), expected);
        }
    }

    #[test]
    fn a_missing_field_comes_in_its_order() {
        assert_eq!(with_field("key A, rock; 1", Field::Metre, "3/4"), "key A, 3/4, rock; 1");
        assert_eq!(with_field("key A; 1", Field::Swing, "swung"), "key A, swung; 1");
        assert_eq!(with_field("1 4 5 1", Field::Key, "key C"), "key C; 1 4 5 1");
        assert_eq!(with_field("1 4\n5 1", Field::Key, "key C"), "key C; 1 4\n5 1");
        assert_eq!(with_field("", Field::Key, "key C"), "key C");
    }

    #[test]
    fn an_empty_value_takes_the_field_away() {
        assert_eq!(with_field("key A, swung; 1", Field::Swing, ""), "key A; 1");
        assert_eq!(with_field("swung; 1", Field::Swing, ""), "1");
        assert_eq!(with_field("1 4", Field::Swing, ""), "1 4");
    }

    #[test]
    fn bars_on_the_first_line_are_not_taken_for_a_tempo() {
        assert_eq!(with_field("1\n4\n5", Field::Tempo, "90"), "90; 1\n4\n5");
    }
}
