//! The language of the page and how it spells notes, to be chosen.

use super::controls::{Choice, words as words_of};
use super::language::{LANGUAGE, Language, NOTES, naming, tell, words};
use super::state::Page;
use crate::platform::storage;
use crate::theory::Naming;
use leptos::prelude::*;

/// The language and how notes are spelled. The page is loaded anew by a change: the work is kept when it is put away.
#[component]
pub(super) fn LanguageChoice() -> impl IntoView {
    let page = Page::here();
    let anew = move |place: &str, chosen: &str| match storage::keep(place, chosen) {
        Ok(()) => drop(window().location().reload()),
        Err(error) => page.say(tell(&error.said())),
    };
    let languages = Language::ALL.map(|l| (l, l.name().to_owned())).to_vec();
    let namings = words_of([
        (Naming::Letters, key!("C D E … B")),
        (Naming::German, key!("C D E … H")),
        (Naming::Latin, key!("Do Re Mi")),
    ]);
    view! {
        <section class="language">
            <Choice name=say!("Language · Sprache") options=languages value=Signal::stored(words().language())
                on_change=move |l: Language| anew(LANGUAGE, l.tag()) />
            <Choice name=say!("Notes are called") options=namings value=Signal::stored(naming())
                on_change=move |n: Naming| anew(NOTES, n.tag()) />
            <p class="small soft">
                {say!("The page loads again when you choose; your work stays. Charts are written in numbers or letters in every language. The lessons are in English.")}
            </p>
        </section>
    }
}
