//! What notes are called where they are shown: in letters, as in German, or in syllables as in the Latin languages.
//!
//! *Invariant:* only for showing: what is read and what is written to files is in letters.

use super::name::{Letter, NoteName};
use crate::words::Spelling;
use serde::{Deserialize, Serialize};

/// A way to call the notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Naming {
    /// C D E F G A B, with `#` and `b`.
    #[default]
    Letters,
    /// C D E F G A H, with endings: Fis, Es; the B of the others is H, and B is its flat.
    German,
    /// Do Re Mi Fa Sol La Si, with `#` and `b`.
    Latin,
}

impl Naming {
    /// Every way.
    pub const ALL: [Self; 3] = [Self::Letters, Self::German, Self::Latin];

    /// Its name among settings.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::Letters => "letters",
            Self::German => "german",
            Self::Latin => "latin",
        }
    }

    /// As words take it: nothing where notes stay in letters.
    #[must_use]
    pub fn spelling(self) -> Option<Spelling> {
        match self {
            Self::Letters => None,
            Self::German => Some(|letters| Self::German.spell(letters)),
            Self::Latin => Some(|letters| Self::Latin.spell(letters)),
        }
    }

    /// A note's name.
    ///
    /// ```
    /// use leadbar::theory::Naming;
    /// let note = "Bb".parse()?;
    /// assert_eq!(Naming::ALL.map(|n| n.name(note)), ["Bb", "B", "Sib"]);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn name(self, note: NoteName) -> String {
        match self {
            Self::Letters => note.to_string(),
            Self::German => german(note),
            Self::Latin => format!("{}{}", syllable(note.letter), note.accidental),
        }
    }

    /// A note with its octave, a chord, a key, or several of them, given in letters: every note in it is named, all else
    /// stays.
    ///
    /// ```
    /// use leadbar::theory::Naming;
    /// assert_eq!(Naming::German.spell("F#m7/C#"), "Fism7/Cis");
    /// assert_eq!(Naming::Latin.spell("Bb4 E4"), "Sib4 Mi4");
    /// ```
    #[must_use]
    pub fn spell(self, letters: &str) -> String {
        if self == Self::Letters {
            return letters.to_owned();
        }
        let mut out = String::with_capacity(letters.len());
        let mut rest = letters;
        let mut begins = true;
        while let Some(c) = rest.chars().next() {
            let note = if begins && c.is_ascii_uppercase() {
                NoteName::split(rest)
            } else {
                None
            };
            if let Some((note, after)) = note {
                out.push_str(&self.name(note));
                rest = after;
            } else {
                out.push(c);
                rest = rest.get(c.len_utf8()..).unwrap_or_default();
            }
            begins = !c.is_alphanumeric() && !matches!(c, '#' | '♯' | '♭');
        }
        out
    }
}

/// The German name: the ending stands for the sign. E and A lose a vowel before `es`; B flat has a name of its own.
fn german(note: NoteName) -> String {
    let sign = note.accidental.0;
    let times = usize::from(sign.unsigned_abs());
    let letter = if note.letter == Letter::B {
        "H".to_owned()
    } else {
        note.letter.to_string()
    };
    match (note.letter, sign) {
        (Letter::B, -1) => "B".to_owned(),
        (Letter::E | Letter::A, ..0) => format!("{letter}s{}", "es".repeat(times - 1)),
        (_, ..0) => format!("{letter}{}", "es".repeat(times)),
        _ => format!("{letter}{}", "is".repeat(times)),
    }
}

fn syllable(letter: Letter) -> &'static str {
    match letter {
        Letter::C => "Do",
        Letter::D => "Re",
        Letter::E => "Mi",
        Letter::F => "Fa",
        Letter::G => "Sol",
        Letter::A => "La",
        Letter::B => "Si",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_notes_of_a_chord_are_named_anew() {
        let spelled = |text: &str| Naming::ALL.map(|n| n.spell(text));
        assert_eq!(spelled("Bmaj7"), ["Bmaj7", "Hmaj7", "Simaj7"]);
        assert_eq!(spelled("Bb7sus4/Ab"), ["Bb7sus4/Ab", "B7sus4/As", "Sib7sus4/Lab"]);
        assert_eq!(spelled("Ebm7b5"), ["Ebm7b5", "Esm7b5", "Mibm7b5"]);
        assert_eq!(spelled("E G# B"), ["E G# B", "E Gis H", "Mi Sol# Si"]);
        assert_eq!(spelled("–"), ["–", "–", "–"]);
    }
}
