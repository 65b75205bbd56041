//! The language of the page and how it spells notes: chosen once, before anything is shown, and fixed until the page is
//! loaded again.
//!
//! *Invariant:* the words of a page never change while it lives, so a sentence is looked up where it is built and need
//! not be a signal.

use crate::platform::storage;
use crate::theory::Naming;
use crate::words::{Language, Said, Shown, Words};
use leptos::prelude::*;
use std::borrow::Cow;
use std::sync::OnceLock;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// Where the device keeps the language that was chosen.
const LANGUAGE: &str = "leadbar.language";
/// Where it keeps how notes are spelled.
const NOTES: &str = "leadbar.notes";

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

/// A note or a chord in letters, as the reader spells it.
pub(super) fn notes(letters: impl ToString) -> String {
    words().notes(&letters.to_string())
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
