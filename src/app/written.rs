//! An answer in writing, on its way from the keys to the mark.
//!
//! *Invariant:* what cannot be read is no try: it is told before it is marked, and earns nothing because it costs nothing.

use crate::teach::Answer;
use crate::theory::{Chord, Numeral};
use crate::words::Said;

/// A chord as it is typed, its root a capital: a phone leaves it small, and b is a note there and not a flat.
///
/// ```
/// use leadbar::app::written::with_capital;
/// assert_eq!(with_capital("f#m"), "F#m");
/// assert_eq!(with_capital(" bb7"), " Bb7");
/// assert_eq!(with_capital("hm"), "hm");
/// ```
#[must_use]
pub fn with_capital(text: &str) -> String {
    let raised = |c: char| {
        if matches!(c, 'a'..='g') {
            c.to_ascii_uppercase()
        } else {
            c
        }
    };
    match text.char_indices().find(|(_, c)| !c.is_whitespace()) {
        Some((at, first)) => {
            let (space, rest) = text.split_at(at);
            let rest: String = rest.chars().skip(1).collect();
            format!("{space}{}{rest}", raised(first))
        }
        None => text.to_owned(),
    }
}

/// Why an answer in writing cannot be read, and what to write instead; nothing where it can, or is no writing.
///
/// A number where letters are asked, or letters where a number is, can be read: it is an answer, and a wrong one.
#[must_use]
pub fn unread(answer: &Answer) -> Option<Said> {
    let chord = |text: &str| text.trim().parse::<Chord>();
    let number = |text: &str| text.trim().parse::<Numeral>();
    match answer {
        Answer::Chord(text) => chord(text).err().filter(|_| number(text).is_err()).map(|e| e.said()),
        Answer::Number(text) => number(text).err().filter(|_| chord(text).is_err()).map(|e| e.said()),
        _ => None,
    }
}

/// Whether a right answer is one of several. What is named, counted or pointed at has one; what is played, or turned by
/// ear, has many.
#[must_use]
pub const fn is_one_of_several(right: &Answer) -> bool {
    matches!(right, Answer::Places(_) | Answer::Phrase(_) | Answer::Cents(_))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::{Exercise, Input, Kind};

    #[test]
    fn a_small_root_earns_what_a_capital_earns() {
        for seed in 0..200 {
            let task = Exercise::of(Kind::NameChord).task(seed).unwrap();
            let Answer::Chord(right) = task.model_answer() else {
                panic!("a chord")
            };
            let (root, rest) = right.split_at(1);
            let typed = with_capital(&format!("{}{rest}", root.to_lowercase()));
            assert_eq!(typed, right);
            assert!(task.mark(&Answer::Chord(typed)).is_right());
        }
    }

    #[test]
    fn what_cannot_be_read_is_told_and_what_is_wrong_is_marked() {
        for typed in ["hello", "8", "Hm", "Gx", "G/x"] {
            assert!(unread(&Answer::Chord(typed.to_owned())).is_some(), "{typed}");
        }
        // Written in the other way: read, and wrong.
        assert!(unread(&Answer::Chord("7".to_owned())).is_none());
        assert!(unread(&Answer::Number("F#m".to_owned())).is_none());
        for typed in ["eight", "9", "4x"] {
            assert!(unread(&Answer::Number(typed.to_owned())).is_some(), "{typed}");
        }
        for kind in Kind::ALL {
            for seed in 0..20 {
                let task = Exercise::of(kind).task(seed).unwrap();
                let answers = task.typical_wrong().into_iter().chain([task.model_answer()]);
                assert!(answers.into_iter().all(|a| unread(&a).is_none()), "{kind} {seed}");
            }
        }
    }

    #[test]
    fn a_question_that_has_one_answer_says_so() {
        for kind in Kind::ALL {
            let task = Exercise::of(kind).task(3).unwrap();
            let several = is_one_of_several(&task.model_answer());
            let free = matches!(task.input(), Input::Places(_) | Input::Phrase(_) | Input::Cents(_));
            assert_eq!(several, free, "{kind}");
        }
    }
}
