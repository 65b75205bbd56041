//! The language of the page and how it spells notes: chosen once, before anything is shown, and fixed until the page is
//! loaded again.
//!
//! *Invariant:* the words of a page never change while it lives, so a sentence is looked up where it is built and need
//! not be a signal.

use crate::platform::{own, storage};
use crate::theory::Naming;
pub(super) use crate::words::Language;
use crate::words::{Said, Shown, Words};
use leptos::prelude::*;
use leptos::tachys::html::attribute::IntoAttributeValue;
use std::sync::OnceLock;

/// Where the device keeps the language that was chosen.
pub(super) const LANGUAGE: &str = "leadbar.language";
/// Where it keeps how notes are spelled.
pub(super) const NOTES: &str = "leadbar.notes";

static WORDS: OnceLock<Words> = OnceLock::new();
static NOTHING_READ: Words = Words::ENGLISH;

/// A sentence of the page, in the reader's language: `say!("Draft")`, or with what it is about,
/// `say!("Bar {bar}", bar = 3)`, or counting, `say!(bars => "{n} bar", "{n} bars")`; see [`crate::words`].
macro_rules! say {
    ($key:literal) => {
        $crate::ui::language::look($key)
    };
    ($key:literal, $($name:ident $(= $value:expr)?),+ $(,)?) => {
        $crate::ui::language::fill($key, &[$((stringify!($name), &say!(@part $name $($value)?))),+])
    };
    ($count:expr => $one:literal, $many:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {
        $crate::ui::language::count($count as u64, $one, $many, &[$((stringify!($name), &say!(@part $name $($value)?))),*])
    };
    (@part $name:ident) => { $name };
    (@part $name:ident $value:expr) => { $value };
}

/// The words of the page.
pub(super) fn words() -> &'static Words {
    WORDS.get().unwrap_or(&NOTHING_READ)
}

/// A sentence that was marked by `key!`, in the reader's language.
pub(super) fn look(key: &'static str) -> &'static str {
    words().find(key)
}

/// What `say!` makes of a sentence about something.
pub(super) fn fill(key: &'static str, with: &[(&str, &dyn Shown)]) -> String {
    let mut out = String::new();
    words().fill(look(key), with, &mut out);
    out
}

/// What `say!` makes of a sentence that counts.
pub(super) fn count(count: u64, one: &'static str, many: &'static str, with: &[(&str, &dyn Shown)]) -> String {
    let mut out = String::new();
    let mut all: Vec<(&str, &dyn Shown)> = vec![("n", &count)];
    all.extend_from_slice(with);
    words().fill(words().find_counted(count, one, many), &all, &mut out);
    out
}

/// What the program says, in the reader's language.
pub(super) fn tell(said: &Said) -> String {
    words().tell(said)
}

/// A name that came with the page in a file of its own (an attitude, an instrument), in the reader's language; anybody
/// else's stays as it is.
pub(super) fn known(name: &str) -> String {
    words().find(name).to_owned()
}

/// A note or a chord in letters, as the reader spells it.
pub(super) fn notes(letters: impl ToString) -> String {
    words().notes(&letters.to_string())
}

/// A number as English writes it, with a point, as the reader does.
pub(super) fn number(figures: impl ToString) -> String {
    words().number(&figures.to_string())
}

/// As [`notes`], where a function of a text is asked for.
pub(super) fn spell(letters: &str) -> String {
    words().notes(letters)
}

/// In a view a [`Said`] is shown in the reader's language.
impl IntoRender for Said {
    type Output = String;

    fn into_render(self) -> String {
        tell(&self)
    }
}

impl IntoAttributeValue for Said {
    type Output = String;

    fn into_attribute_value(self) -> String {
        tell(&self)
    }
}

/// The language that was chosen, else the first of the browser's that the page speaks.
pub(super) fn chosen() -> Language {
    storage::kept(LANGUAGE)
        .and_then(|tag| Language::of_tag(&tag))
        .unwrap_or_else(|| Language::for_reader(browsers_languages()))
}

/// How notes are spelled: as was chosen, else in letters.
pub(super) fn naming() -> Naming {
    storage::kept(NOTES)
        .and_then(|name| Naming::ALL.into_iter().find(|n| n.tag() == name))
        .unwrap_or_default()
}

fn browsers_languages() -> Vec<String> {
    let tags = window().navigator().languages();
    tags.iter().filter_map(|tag| tag.as_string()).collect()
}

/// Reads the words of the chosen language, before anything is shown. English asks for nothing; where the file does not
/// come the page speaks English.
pub(super) async fn begin() {
    let language = chosen();
    let read = match language {
        Language::English => None,
        other => own::text(&format!("./words/{}.json", other.tag()))
            .await
            .and_then(|text| Words::read(other, &text).ok()),
    };
    // Nobody else sets it.
    drop(WORDS.set(read.unwrap_or(Words::ENGLISH).spelling(naming().spelling())));
    if let Some(root) = document().document_element() {
        // Only a malformed name could fail.
        drop(root.set_attribute("lang", words().language().tag()));
    }
}
