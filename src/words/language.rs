//! The languages the page speaks.

use serde::{Deserialize, Serialize};

/// A language of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Language {
    /// The language of the code: its words need no file.
    #[default]
    English,
    /// `static/words/de.json`.
    German,
}

impl Language {
    /// Every language.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its tag (BCP 47), which is also the name of its message file.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// What it calls itself.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
        }
    }

    /// The language of a tag, whatever its region: `de-AT` is German.
    ///
    /// ```
    /// use leadbar::words::Language;
    /// assert_eq!(Language::of_tag("de-AT"), Some(Language::German));
    /// assert_eq!(Language::of_tag("nds"), None);
    /// ```
    #[must_use]
    pub fn of_tag(tag: &str) -> Option<Self> {
        let language = tag.split(['-', '_']).next().unwrap_or_default();
        Self::ALL.into_iter().find(|l| l.tag().eq_ignore_ascii_case(language))
    }

    /// The first of a reader's languages that the page speaks, else English.
    ///
    /// ```
    /// use leadbar::words::Language;
    /// assert_eq!(Language::for_reader(["gsw", "de-CH", "en"]), Language::German);
    /// assert_eq!(Language::for_reader(["fr"]), Language::English);
    /// ```
    #[must_use]
    pub fn for_reader<T: AsRef<str>>(wanted: impl IntoIterator<Item = T>) -> Self {
        wanted
            .into_iter()
            .find_map(|tag| Self::of_tag(tag.as_ref()))
            .unwrap_or_default()
    }

    /// Whether names of things are written small within a sentence; German nouns never are.
    #[must_use]
    pub const fn writes_names_small(self) -> bool {
        matches!(self, Self::English)
    }

    /// What parts a number's wholes from its tenths.
    #[must_use]
    pub const fn decimal_mark(self) -> char {
        match self {
            Self::English => '.',
            Self::German => ',',
        }
    }

    /// Which form of a sentence a number takes: `one` or `other`, by the Unicode CLDR's rules for plurals (whole numbers
    /// in English and German: `one` for 1 alone). A language with more forms names them here as CLDR does.
    #[must_use]
    pub const fn form(self, count: u64) -> &'static str {
        match (self, count) {
            (Self::English | Self::German, 1) => "one",
            (Self::English | Self::German, _) => "other",
        }
    }
}
