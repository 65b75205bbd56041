//! An instrument that came by link or as a file: what it is, and the question whether to take it.

use crate::app::workshop::Given;
use crate::app::{Command, View};
use crate::steel::Instrument;
use crate::ui::state::{Lasting, Page};
use leptos::html;
use leptos::prelude::*;

/// The instrument that waits for an answer.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Offered(Lasting<RwSignal<Option<Given>>>);

impl Offered {
    pub(super) fn provide() -> Self {
        let offered = Self(Lasting::signal(None));
        provide_context(offered);
        offered
    }

    /// That of the page.
    pub(in crate::ui) fn here() -> Self {
        expect_context()
    }

    /// Asks whether an instrument is to be taken; nothing of the rig changes meanwhile.
    pub(in crate::ui) fn offer(self, page: Page, instrument: Instrument) {
        let given = page.work.with_untracked(|work| Given::of(instrument, &work.rig));
        self.0.set(Some(given));
    }
}

/// The question.
#[component]
pub(in crate::ui) fn Offer() -> impl IntoView {
    let page = Page::here();
    let offered = Offered::here().0;
    let yes = NodeRef::<html::Button>::new();
    // It is answered by keyboard as well, from wherever the file or the link came.
    Effect::new(move |_| {
        if let Some(button) = yes.get() {
            // A button that has gone meanwhile needs no focus.
            drop(button.focus());
        }
    });
    let take = move |_| {
        if let Some(given) = offered.try_update(Option::take).flatten() {
            let name = given.instrument.name.clone();
            page.act(given.taken());
            page.act(Command::Show(View::Rig));
            page.say(say!("{name} is in the rig. Undo brings back the one you had.", name));
        }
    };
    let leave = move || offered.set(None);
    let question = move |given: Given| {
        let (what, does, word) = if given.is_here() {
            (say!("You have this instrument already. "), "", say!("Take it in hand"))
        } else {
            (
                say!("An instrument for your rig. "),
                say!(" It goes beside those you have, and none of them changes. Solos are then drafted on it."),
                say!("Put it in my rig"),
            )
        };
        let told = given.told();
        view! {
            <div
                class="notice"
                role="alertdialog"
                aria-labelledby="offered"
                on:keydown=move |event| {
                    if event.key() == "Escape" {
                        leave();
                    }
                }
            >
                <p id="offered"><b>{what}</b>{told}{does}</p>
                <button type="button" class="go" node_ref=yes on:click=take>{word}</button>
                <button type="button" class="do" on:click=move |_| leave()>{say!("Leave it")}</button>
            </div>
        }
    };
    view! { {move || offered.get().map(question)} }
}
