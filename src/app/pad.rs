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
    let open = before.is_empty() || before.ends_with([' ', '\n', '(', '[', '|']);
    if open || clings {
        word.to_owned()
    } else {
        format!(" {word}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn a_press_in_the_middle_leaves_the_rest_alone() {
        assert_eq!(press("1 5", 1, PadKey::Degree("4")), ("1 4 5".to_owned(), 3));
        assert_eq!(press("1é5", 2, PadKey::Delete), ("15".to_owned(), 1));
        assert_eq!(press("", 0, PadKey::Delete), (String::new(), 0));
        assert_eq!(press("1", 99, PadKey::Suffix("-")), ("1-".to_owned(), 2));
    }
}
