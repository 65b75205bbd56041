//! The words of one language.

use super::{Language, Said};
use std::collections::BTreeMap;
use std::fmt::{Display, Write};

/// What parts a key from what is said about it to the translator.
const ASIDE: char = '¦';

/// Something that can stand in a sentence.
pub trait Shown {
    /// Writes it out in a language.
    fn show(&self, words: &Words, out: &mut String);
}

impl<T: Display> Shown for T {
    fn show(&self, _: &Words, out: &mut String) {
        // A string takes all that is written to it.
        let _ = write!(out, "{self}");
    }
}

/// How notes are spelled: from letters (`Bb`, `F#m7/C#`) to what the reader calls them.
pub type Spelling = fn(&str) -> String;

/// The words of one language, and how its reader spells notes.
#[derive(Debug, Clone)]
pub struct Words {
    language: Language,
    said: BTreeMap<String, String>,
    spelling: Option<Spelling>,
}

/// Why a message file can't be read.
#[derive(Debug, thiserror::Error)]
#[error("the message file is no JSON of sentences by file: {0}")]
pub struct WordsError(#[from] serde_json::Error);

impl Words {
    /// English, with notes in letters.
    pub const ENGLISH: Self = Self {
        language: Language::English,
        said: BTreeMap::new(),
        spelling: None,
    };

    /// The words of a message file: by source file, each sentence of the code with its translation.
    ///
    /// # Errors
    /// When the text has another form.
    pub fn read(language: Language, text: &str) -> Result<Self, WordsError> {
        let files: BTreeMap<String, BTreeMap<String, String>> = serde_json::from_str(text)?;
        Ok(Self {
            language,
            said: files.into_values().flatten().collect(),
            spelling: None,
        })
    }

    /// The same words with notes spelled another way.
    #[must_use]
    pub fn spelling(self, spelling: Option<Spelling>) -> Self {
        Self { spelling, ..self }
    }

    /// The language.
    #[must_use]
    pub fn language(&self) -> Language {
        self.language
    }

    /// What a sentence of the code is in this language; itself where it is not translated.
    #[must_use]
    pub fn find<'a>(&'a self, key: &'a str) -> &'a str {
        self.said.get(key).map_or_else(|| without_aside(key), String::as_str)
    }

    /// The form of a sentence for a number. A message file has it under the sentence for many, followed by `¦one` (or
    /// whatever [`Language::form`] names); the form `other` needs no such end.
    #[must_use]
    pub fn find_counted<'a>(&'a self, count: u64, one: &'a str, many: &'a str) -> &'a str {
        let form = self.language.form(count);
        let own = self.said.get(&counted_key(many, form)).or_else(|| self.said.get(many));
        own.map_or_else(|| without_aside(if count == 1 { one } else { many }), String::as_str)
    }

    /// Writes a sentence with what its names stand for. A name that nothing stands for stays as it is.
    pub fn fill(&self, sentence: &str, with: &[(&str, &dyn Shown)], out: &mut String) {
        let mut rest = sentence;
        while let Some((before, name, after)) = next_name(rest) {
            out.push_str(before);
            match with.iter().find(|(given, _)| *given == name) {
                Some((_, value)) => value.show(self, out),
                None => {
                    let _ = write!(out, "{{{name}}}");
                }
            }
            rest = after;
        }
        out.push_str(rest);
    }

    /// What is said, in this language.
    #[must_use]
    pub fn tell(&self, said: &Said) -> String {
        let mut out = String::new();
        said.show(self, &mut out);
        out
    }

    /// A number that is written with a point, as the reader writes it.
    ///
    /// ```
    /// use leadbar::words::Words;
    /// assert_eq!(Words::ENGLISH.number("-0.25"), "-0.25");
    /// ```
    #[must_use]
    pub fn number(&self, figures: &str) -> String {
        figures
            .chars()
            .map(|c| if c == '.' { self.language.decimal_mark() } else { c })
            .collect()
    }

    /// Its sentences, by what they are in the code, to be carried to where no message file is.
    #[must_use]
    pub fn sentences(&self) -> &BTreeMap<String, String> {
        &self.said
    }

    /// Words that were carried: what [`Self::sentences`] gave, in their language.
    #[must_use]
    pub fn carried(language: Language, said: BTreeMap<String, String>) -> Self {
        Self {
            language,
            said,
            spelling: None,
        }
    }

    /// A note or a chord in letters, as the reader spells it.
    #[must_use]
    pub fn notes(&self, letters: &str) -> String {
        self.spelling.map_or_else(|| letters.to_owned(), |spell| spell(letters))
    }
}

/// Under which key a message file has a form of a sentence that counts.
#[must_use]
pub fn counted_key(many: &str, form: &str) -> String {
    if form == "other" {
        many.to_owned()
    } else {
        format!("{many}{ASIDE}{form}")
    }
}

fn without_aside(key: &str) -> &str {
    key.split_once(ASIDE).map_or(key, |(said, _)| said)
}

/// What stands before the next name in braces, the name, and what follows.
fn next_name(text: &str) -> Option<(&str, &str, &str)> {
    let (before, tail) = text.split_once('{')?;
    let (name, after) = tail.split_once('}')?;
    Some((before, name, after))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::said;

    fn german() -> Words {
        let text = r#"{"src/a.rs": {"Bar {bar} of {song}": "{song}, Takt {bar}", "{n} bars": "{n} Takte",
            "{n} bars¦one": "{n} Takt", "Bar¦the steel": "Bar"}}"#;
        Words::read(Language::German, text).expect("a message file")
    }

    #[test]
    fn a_translation_may_put_the_names_elsewhere() {
        let said = said!("Bar {bar} of {song}", bar = 3, song = "{bar}");
        assert_eq!(
            german().tell(&said),
            "{bar}, Takt 3",
            "what a name stands for is no sentence"
        );
        assert_eq!(said.english(), "Bar 3 of {bar}");
    }

    #[test]
    fn a_number_chooses_the_form() {
        let bars = |n: u64| said!(n => "{n} bar", "{n} bars");
        assert_eq!(
            [0, 1, 2].map(|n| german().tell(&bars(n))),
            ["0 Takte", "1 Takt", "2 Takte"]
        );
        assert_eq!([0, 1, 2].map(|n| bars(n).english()), ["0 bars", "1 bar", "2 bars"]);
    }

    #[test]
    fn what_is_not_translated_is_said_in_english_without_its_aside() {
        assert_eq!(german().find("Fret"), "Fret");
        assert_eq!(Words::ENGLISH.find("Bar¦the steel"), "Bar");
        assert_eq!(Words::ENGLISH.find("{n} {x"), "{n} {x");
    }

    #[test]
    fn what_is_said_inside_is_translated_too() {
        let inner = said!(1 => "{n} bar", "{n} bars");
        let said = Said::joined(
            [said!("Bar {bar} of {song}", bar = inner, song = "Ash"), Said::from("x")],
            ", ",
        );
        assert_eq!(german().tell(&said), "Ash, Takt 1 Takt, x");
    }

    #[test]
    fn a_number_has_the_readers_mark() {
        let said = said!("Bar {bar} of {song}", bar = Said::number("-9.8"), song = "1.5");
        assert_eq!(german().tell(&said), "1.5, Takt -9,8", "a name is no number");
        assert_eq!(said.english(), "Bar -9.8 of 1.5");
    }

    #[test]
    fn words_that_were_carried_say_the_same() {
        let said = said!("Bar {bar} of {song}", bar = Said::number(0.5), song = "Ash");
        let carried = Words::carried(Language::German, german().sentences().clone());
        assert_eq!(carried.tell(&said), german().tell(&said));
    }

    #[test]
    fn what_has_crossed_to_a_worker_says_the_same() {
        let said = said!(
            "Bar {bar} of {song}",
            bar = said!(2 => "{n} bar", "{n} bars"),
            song = "Ash"
        );
        let text = serde_json::to_string(&said).expect("it can be written");
        assert_eq!(serde_json::from_str::<Said>(&text).expect("and read"), said);
    }
}
