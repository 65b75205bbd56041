//! Altering an instrument or building one: what it is, what there is to know about it, what it is worth to the song.

mod changes;
mod file;
mod strings;
mod worth;

use crate::app::Command;
use crate::app::workshop::Edit;
use crate::steel::Millimetres;
use crate::steel::advice::advice;
use crate::ui::controls::Tick;
use crate::ui::language::tell;
use crate::ui::later::Later;
use crate::ui::state::Page;
use changes::Changes;
use file::InstrumentFile;
use leptos::prelude::*;
use strings::Strings;
use worth::{Against, WhatIf};

/// The bench: the page, and why the last alteration was refused.
#[derive(Clone, Copy)]
pub(super) struct Workshop {
    pub(super) page: Page,
    fault: RwSignal<Option<String>>,
}

impl Workshop {
    /// Makes an alteration, or says why it can't be made.
    pub(super) fn make(self, edit: &Edit) {
        let Some(instrument) = self.page.instrument.get_untracked() else {
            return;
        };
        match edit.applied(&instrument) {
            Ok(altered) => {
                self.fault.set(None);
                self.page.act(Command::Alter {
                    altered: Box::new(altered),
                    moved: edit.moves(),
                });
            }
            Err(error) => self.fault.set(Some(tell(&error.said()))),
        }
    }

    /// Says what went wrong.
    pub(super) fn complain(self, words: String) {
        self.fault.set(Some(words));
    }
}

/// The section of the rig.
#[component]
pub(super) fn WorkshopSection() -> impl IntoView {
    let page = Page::here();
    let workshop = Workshop {
        page,
        fault: RwSignal::new(None),
    };
    let open = RwSignal::new(false);
    view! {
        <Later><Known page=page /></Later>
        <Later><Against page=page /></Later>
        <Later><WhatIf workshop=workshop /></Later>
        <Tick name=say!("Alter this instrument") on=open on_change=move |on| open.set(on) />
        <p class="small soft" hidden=move || !open.get()>
            {say!("A shipped instrument is copied first, and the copy is yours. Undo takes every step back.")}
        </p>
        <div role="alert">{move || workshop.fault.get().map(|words| view! { <p class="fault small">{words}</p> })}</div>
        {move || open.get().then(|| view! {
            <Whole workshop=workshop />
            <Strings workshop=workshop />
            <Changes workshop=workshop />
        })}
        <Later><InstrumentFile workshop=workshop /></Later>
    }
}

/// What there is to know about it, cautions first.
#[component]
fn Known(page: Page) -> impl IntoView {
    let known = Memo::new(move |_| {
        page.instrument
            .with(|i| i.as_ref().map(|i| advice(i)).unwrap_or_default())
    });
    let lines = move || {
        let line = |one: crate::steel::advice::Advice| {
            let caution = one.is_caution();
            view! { <li class="small" class:fault=caution>{one.said()}</li> }
        };
        known.get().into_iter().map(line).collect_view()
    };
    view! { <ul class="workshop-known" aria-label=say!("Good to know about this instrument")>{lines}</ul> }
}

/// The instrument as a whole.
#[component]
fn Whole(workshop: Workshop) -> impl IntoView {
    let page = workshop.page;
    let name = move || page.instrument.with(|i| i.as_ref().map(|i| i.name.clone()));
    let scale = move || {
        page.instrument
            .with(|i| i.as_ref().map(|i| i.scale_length.0.to_string()))
    };
    let frets = move || page.instrument.with(|i| i.as_ref().map(|i| i.frets.to_string()));
    let measured = move |text: String| match text.trim().parse() {
        Ok(mm) => workshop.make(&Edit::Scale(Millimetres(mm))),
        Err(_) => workshop.complain(say!("\"{text}\" is no length: write millimetres, such as 616.", text)),
    };
    let counted = move |text: String| match text.trim().parse() {
        Ok(frets) => workshop.make(&Edit::Frets(frets)),
        Err(_) => workshop.complain(say!("\"{text}\" is no number of frets: write 12 to 36.", text)),
    };
    view! {
        <div class="workshop-whole">
            <label class="pick">
                {say!("Name")}
                <input prop:value=name on:change=move |event| workshop.make(&Edit::Name(event_target_value(&event))) />
            </label>
            <label class="pick">
                {say!("Nut to bridge, mm")}
                <input inputmode="decimal" prop:value=scale on:change=move |event| measured(event_target_value(&event)) />
            </label>
            <label class="pick">
                {say!("Frets")}
                <input inputmode="numeric" prop:value=frets on:change=move |event| counted(event_target_value(&event)) />
            </label>
        </div>
    }
}
