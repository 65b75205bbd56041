//! The pad: a chart tapped in with a thumb.
//!
//! *Invariant:* a press changes the text only at the caret, and the caret ends behind what was put in.

/// A key of the pad.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PadKey {
    /// A number: begins a new chord, unless an accidental or a slash stands before the caret.
    Degree(&'static str),
    /// A flat or sharp: begins a new chord too, or alters the bass after a slash.
    Accidental(&'static str),
    /// Something that clings to the chord before the caret: a quality, a slash.
    Suffix(&'static str),
    /// A word of its own: a rest, a repeat sign.
    Word(&'static str),
    /// The chord before the caret is struck and left to ring; pressed again, it is played as before.
    Held,
    /// The chord before the caret comes an eighth early; pressed again, in its place.
    Pushed,
    /// Text put in as it is.
    Plain(&'static str),
    /// Takes away the character before the caret.
    Delete,
}

/// The text and the caret (in characters) after a press.
#[must_use]
pub fn press(text: &str, caret: usize, key: PadKey) -> (String, usize) {
    let at = text.char_indices().nth(caret).map_or(text.len(), |(at, _)| at);
    let (before, after) = text.split_at(at);
    let put = |insert: &str| {
        let caret = before.chars().count() + insert.chars().count();
        (format!("{before}{insert}{after}"), caret)
    };
    match key {
        PadKey::Degree(word) => {
            let clings = before.ends_with(['b', '#', '/']) && !before.ends_with(" /");
            put(&spaced(before, word, clings))
        }
        PadKey::Accidental(word) => put(&spaced(before, word, before.ends_with('/') && !before.ends_with(" /"))),
        PadKey::Word(word) => put(&spaced(before, word, false)),
        PadKey::Held => rewritten(before, after, held),
        PadKey::Pushed => rewritten(before, after, pushed),
        PadKey::Suffix(word) | PadKey::Plain(word) => put(word),
        PadKey::Delete => {
            let mut kept = before.chars();
            kept.next_back();
            let kept = kept.as_str();
            (format!("{kept}{after}"), kept.chars().count())
        }
    }
}

/// `word` with a space before it where it would run into what stands there.
fn spaced(before: &str, word: &str, clings: bool) -> String {
    let open = before.is_empty() || before.ends_with([' ', '\n', '(', '[']);
    let open = open || before.ends_with('|') && !before.ends_with(":|");
    if open || clings {
        word.to_owned()
    } else {
        format!(" {word}")
    }
}

/// The text with the chord before the caret written another way; unchanged where there is none.
fn rewritten(before: &str, after: &str, way: fn(&str) -> String) -> (String, usize) {
    let blank = |c: char| c.is_whitespace() || matches!(c, '(' | ')' | '[' | ']' | '|' | ':' | ',' | ';');
    let (rest, chord) = match before.char_indices().rev().find(|(_, c)| blank(*c)) {
        Some((at, c)) => before.split_at(at + c.len_utf8()),
        None => ("", before),
    };
    let chord = if chord.is_empty() { String::new() } else { way(chord) };
    let before = format!("{rest}{chord}");
    let caret = before.chars().count();
    (before + after, caret)
}

/// A chord with or without its diamond, its push and its dots kept.
fn held(chord: &str) -> String {
    let dots = chord.trim_end_matches('.').len();
    let (chord, dots) = chord.split_at(dots);
    if let Some(plain) = chord.strip_suffix('>') {
        return format!("{}{dots}", plain.replacen('<', "", 1));
    }
    match chord.strip_prefix(['<', '>']) {
        Some(plain) => format!("<<{plain}>{dots}"),
        None => format!("<{chord}>{dots}"),
    }
}

/// A chord with or without its push, its diamond kept.
fn pushed(chord: &str) -> String {
    let diamond = chord.starts_with('<') && chord.contains('>') && !chord.starts_with("<<");
    match chord.strip_prefix(['<', '>']) {
        Some(plain) if !diamond => plain.to_owned(),
        _ => format!("<{chord}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::chart;

    fn typed(keys: &[PadKey]) -> String {
        let (mut text, mut caret) = (String::new(), 0);
        for key in keys {
            (text, caret) = press(&text, caret, *key);
        }
        assert_eq!(caret, text.chars().count());
        text
    }

    #[test]
    fn numbers_become_bars_and_qualities_cling() {
        use PadKey::{Accidental, Degree, Suffix};
        let keys = [
            Degree("1"),
            Degree("4"),
            Suffix("maj7"),
            Accidental("b"),
            Degree("7"),
            Degree("5"),
            Suffix("/"),
            Degree("7"),
            Degree("6"),
            Suffix("-"),
        ];
        assert_eq!(typed(&keys), "1 4maj7 b7 5/7 6-");
    }

    #[test]
    fn repeats_rests_diamonds_and_pushes_are_reached_with_a_thumb() {
        use PadKey::{Degree, Held, Plain, Pushed, Suffix, Word};
        let keys = [
            Word("|:"),
            Degree("1"),
            Held,
            Degree("4"),
            Pushed,
            Degree("5"),
            Held,
            Pushed,
            Word("r"),
            Word("%"),
            Word(":|"),
            Degree("5"),
            Suffix("!"),
            Plain(" ("),
            Degree("1"),
            Suffix("."),
            Held,
            Degree("4"),
            Plain(")"),
        ];
        let text = typed(&keys);
        assert_eq!(text, "|: <1> <4 <<5> r % :| 5! (<1>. 4)");
        assert_eq!(chart::parse(&text).problems, []);
    }

    #[test]
    fn a_diamond_or_a_push_pressed_again_is_taken_away() {
        for (chord, once) in [("1", "<1>"), ("<1", "<<1>"), ("6-..", "<6->..")] {
            let (text, caret) = press(chord, 9, PadKey::Held);
            assert_eq!(text, once);
            assert_eq!(press(&text, caret, PadKey::Held).0, chord);
        }
        for (chord, once) in [("1", "<1"), ("<1>", "<<1>")] {
            let (text, caret) = press(chord, 9, PadKey::Pushed);
            assert_eq!(text, once);
            assert_eq!(press(&text, caret, PadKey::Pushed).0, chord);
        }
        assert_eq!(press("1 ", 2, PadKey::Held), ("1 ".to_owned(), 2));
    }

    #[test]
    fn a_press_in_the_middle_leaves_the_rest_alone() {
        assert_eq!(press("1 5", 1, PadKey::Degree("4")), ("1 4 5".to_owned(), 3));
        assert_eq!(press("1é5", 2, PadKey::Delete), ("15".to_owned(), 1));
        assert_eq!(press("", 0, PadKey::Delete), (String::new(), 0));
        assert_eq!(press("1", 99, PadKey::Suffix("-")), ("1-".to_owned(), 2));
    }
}
