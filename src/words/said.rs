//! What is said, before it is known in which language.

use super::{Shown, Words};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt::Display;

/// A piece of text from one of the program's own sources: static in the code, owned once it has crossed to a worker.
type Key = Cow<'static, str>;

/// What is said to the user, to be put into their language by [`Words::tell`].
///
/// It has no `Display` on purpose: who writes it out says in which language.
///
/// ```
/// use leadbar::said;
/// let bars = said!(3 => "{n} bar", "{n} bars");
/// assert_eq!(said!("{bars} of {song}", bars, song = "Slow Water").english(), "3 bars of Slow Water");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said(pub(super) Kind);

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Kind {
    /// The same in every language: a figure, a name someone gave.
    Verbatim(String),
    /// A note or a chord in letters, to be shown as the reader spells notes.
    Notes(String),
    /// A number with a point, to be shown with the reader's mark.
    Number(String),
    /// A sentence with what it is about.
    Sentence { key: Key, with: Vec<(Key, Said)> },
    /// A sentence that counts.
    Counted {
        count: u64,
        one: Key,
        many: Key,
        with: Vec<(Key, Said)>,
    },
    /// The name of something within a sentence.
    Within { key: Key },
    /// Several, one behind the other.
    Joined { parts: Vec<Said>, between: Key },
    /// A part of a sentence, as a sentence of its own.
    Cut { of: Box<Said>, part: Part },
}

/// A part of a sentence that says what is so and, behind a colon, what to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Part {
    /// All of it.
    Whole,
    /// What is so.
    Matter,
    /// What to do.
    Remedy,
}

/// By how much what is written out may be longer than its English, which holds one form of two and not what is said of it
/// to the translator; and how many bytes are short however few the English has.
const MOST_FOR_ITS_LENGTH: usize = 4;
const SHORT: usize = 200;

/// What parts the matter from the remedy.
const COLON: &str = ": ";

impl Part {
    /// The part of a text, with a capital and a full stop.
    fn of(self, text: &str) -> String {
        let (matter, remedy) = text.split_once(COLON).unwrap_or((text, text));
        let part = match self {
            Self::Whole => text,
            Self::Matter => matter,
            Self::Remedy => remedy,
        };
        let mut letters = part.trim().chars();
        let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
        format!("{first}{}.", letters.as_str().trim_end_matches('.'))
    }
}

/// Whether it is this in English.
impl PartialEq<&str> for Said {
    fn eq(&self, english: &&str) -> bool {
        self.english() == *english
    }
}

impl From<&Said> for Said {
    fn from(said: &Said) -> Self {
        said.clone()
    }
}

impl From<&&Said> for Said {
    fn from(said: &&Said) -> Self {
        (*said).clone()
    }
}

/// What is the same in every language.
impl<T: Display> From<T> for Said {
    fn from(value: T) -> Self {
        Self(Kind::Verbatim(value.to_string()))
    }
}

impl Default for Said {
    fn default() -> Self {
        Self::from("")
    }
}

impl Said {
    /// What [`said!`](crate::said) makes of a sentence.
    #[must_use]
    pub fn sentence(key: &'static str, with: Vec<(&'static str, Self)>) -> Self {
        Self(Kind::Sentence {
            key: key.into(),
            with: owned(with),
        })
    }

    /// What [`said!`](crate::said) makes of a sentence that counts.
    #[must_use]
    pub fn counted(count: u64, one: &'static str, many: &'static str, with: Vec<(&'static str, Self)>) -> Self {
        Self(Kind::Counted {
            count,
            one: one.into(),
            many: many.into(),
            with: owned(with),
        })
    }

    /// A sentence that was marked by [`key!`](crate::key).
    #[must_use]
    pub fn of(key: &'static str) -> Self {
        Self::sentence(key, Vec::new())
    }

    /// A name that may have come with the page in a file of its own (an attitude, an instrument), and is then in the
    /// message files; anybody else's stays as it is.
    #[must_use]
    pub fn known(name: &str) -> Self {
        if name.contains(['¦', '{']) {
            return Self::from(name);
        }
        Self(Kind::Sentence {
            key: name.to_owned().into(),
            with: Vec::new(),
        })
    }

    /// The name of something within a sentence, where English writes it small: "by hand: slide in".
    #[must_use]
    pub fn within(key: impl Into<Cow<'static, str>>) -> Self {
        Self(Kind::Within { key: key.into() })
    }

    /// A note or a chord in letters: `Bb`, `F#m7/C#`.
    #[must_use]
    pub fn notes(letters: impl Display) -> Self {
        Self(Kind::Notes(letters.to_string()))
    }

    /// A number as English writes it, with a point: `9.8`.
    #[must_use]
    pub fn number(figures: impl Display) -> Self {
        Self(Kind::Number(figures.to_string()))
    }

    /// Several, with `between` them.
    #[must_use]
    pub fn joined(parts: impl IntoIterator<Item = Self>, between: &'static str) -> Self {
        Self(Kind::Joined {
            parts: parts.into_iter().collect(),
            between: between.into(),
        })
    }

    /// As a sentence of its own: with a capital and a full stop.
    ///
    /// ```
    /// use leadbar::said;
    /// let trouble = said!("string {string} rings while the bar jumps: block it first", string = 4);
    /// assert_eq!(trouble.as_sentence().english(), "String 4 rings while the bar jumps: block it first.");
    /// assert_eq!(trouble.matter().english(), "String 4 rings while the bar jumps.");
    /// assert_eq!(trouble.remedy().map(|r| r.english()).as_deref(), Some("Block it first."));
    /// ```
    #[must_use]
    pub fn as_sentence(&self) -> Self {
        self.cut(Part::Whole)
    }

    /// What is so, as a sentence: what stands before the colon.
    #[must_use]
    pub fn matter(&self) -> Self {
        self.cut(Part::Matter)
    }

    /// What to do, as a sentence: what stands behind the colon, if there is one.
    #[must_use]
    pub fn remedy(&self) -> Option<Self> {
        self.english().contains(COLON).then(|| self.cut(Part::Remedy))
    }

    fn cut(&self, part: Part) -> Self {
        Self(Kind::Cut {
            of: Box::new(self.clone()),
            part,
        })
    }

    /// In English: for files and links, and wherever nobody has chosen a language.
    #[must_use]
    pub fn english(&self) -> String {
        Words::ENGLISH.tell(self)
    }

    /// Whether this is what it says in English. It may come from outside: nothing is written out that would be longer,
    /// in any language, than such a sentence is.
    #[must_use]
    pub fn says(&self, english: &str) -> bool {
        self.most_letters() <= MOST_FOR_ITS_LENGTH * (english.len() + SHORT) && self.english() == english
    }

    /// More bytes than it has when it is written out, unless a translation repeats a name.
    fn most_letters(&self) -> usize {
        match &self.0 {
            Kind::Verbatim(text) | Kind::Notes(text) | Kind::Number(text) => text.len(),
            Kind::Within { key } => key.len(),
            Kind::Sentence { key, with } => filled(&[key], with),
            Kind::Counted { one, many, with, .. } => filled(&[one, many], with),
            Kind::Joined { parts, between } => parts.iter().fold(0_usize, |sum, part| {
                sum.saturating_add(part.most_letters()).saturating_add(between.len())
            }),
            Kind::Cut { of, .. } => of.most_letters().saturating_add(1),
        }
    }

    /// Whether nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        match &self.0 {
            Kind::Verbatim(text) | Kind::Notes(text) | Kind::Number(text) => text.is_empty(),
            Kind::Sentence { .. } | Kind::Counted { .. } | Kind::Within { .. } => false,
            Kind::Joined { parts, .. } => parts.iter().all(Self::is_empty),
            Kind::Cut { of, .. } => of.is_empty(),
        }
    }
}

/// The most bytes of sentences with their names filled. What a name stands for is looked at once, however often the
/// name stands there.
fn filled(keys: &[&Key], with: &[(Key, Said)]) -> usize {
    let bare: usize = keys.iter().map(|key| key.len()).sum();
    with.iter().fold(bare, |sum, (name, said)| {
        let name = format!("{{{name}}}");
        let times: usize = keys.iter().map(|key| key.matches(&name).count()).sum();
        // A translation may name it where English, in one of its forms, does not.
        sum.saturating_add(times.max(1).saturating_mul(said.most_letters()))
    })
}

fn owned(with: Vec<(&'static str, Said)>) -> Vec<(Key, Said)> {
    with.into_iter().map(|(name, said)| (name.into(), said)).collect()
}

impl Shown for Said {
    fn show(&self, words: &Words, out: &mut String) {
        match &self.0 {
            Kind::Verbatim(text) => out.push_str(text),
            Kind::Notes(letters) => out.push_str(&words.notes(letters)),
            Kind::Number(figures) => out.push_str(&words.number(figures)),
            Kind::Sentence { key, with } => words.fill(words.find(key), &named(with), out),
            Kind::Within { key } if words.language().writes_names_small() => {
                out.push_str(&words.find(key).to_lowercase());
            }
            Kind::Within { key } => out.push_str(words.find(key)),
            Kind::Counted { count, one, many, with } => {
                let mut with = named(with);
                with.push(("n", count));
                words.fill(words.find_counted(*count, one, many), &with, out);
            }
            Kind::Joined { parts, between } => {
                for (index, part) in parts.iter().enumerate() {
                    if index > 0 {
                        out.push_str(between);
                    }
                    part.show(words, out);
                }
            }
            Kind::Cut { of, part } => out.push_str(&part.of(&words.tell(of))),
        }
    }
}

fn named(with: &[(Key, Said)]) -> Vec<(&str, &dyn Shown)> {
    with.iter()
        .map(|(name, said)| (name.as_ref(), said as &dyn Shown))
        .collect()
}
