//! The passes to choose from: those just drafted, and those kept.

use crate::app::passes::{differences, remark_words};
use crate::app::{Chosen, Command, Kept};
use crate::solo::plan::Remark;
use crate::ui::language::tell;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::prelude::*;
use std::sync::Arc;

/// How many kept passes stand in the row: the newest. All of them stand in the tree.
const ROW: usize = 8;

/// The row of passes, and what to do about them.
#[component]
pub(super) fn Passes() -> impl IntoView {
    let page = Page::here();
    let working = page.drafting.working;
    view! {
        <section class="passes" aria-label=say!("Passes")>
            <Drafted />
            <div class="passes-do">
                <button
                    type="button"
                    class="go"
                    aria-busy=move || if working.get() { "true" } else { "false" }
                    on:click=move |_| {
                        page.act(Command::Choose(Chosen::default()));
                        page.act(Command::AskAnew);
                    }
                >
                    {say!("Draft")}
                </button>
                <KeepButton />
            </div>
            <KeptRow />
        </section>
    }
}

/// The drafted passes.
#[component]
fn Drafted() -> impl IntoView {
    let page = Page::here();
    let one = move |(index, line): (usize, Said)| {
        let is = move || page.desk.with(|d| d.chosen == Chosen::Drafted(index));
        view! {
            <button
                type="button"
                class="pass"
                aria-pressed=move || if is() { "true" } else { "false" }
                on:click=move |_| page.act(Command::Choose(Chosen::Drafted(index)))
            >
                <b>{index + 1}</b>
                <span>{line}</span>
            </button>
        }
    };
    let passes = move || {
        let drafted = page.drafted.get();
        if drafted.is_empty() && page.drafting.working.get() {
            return view! { <p class="pass-wait soft" aria-hidden="true">{say!("Three passes are being drafted.")}</p> }
                .into_any();
        }
        differences(&drafted)
            .into_iter()
            .enumerate()
            .map(one)
            .collect_view()
            .into_any()
    };
    view! { <div class="passes-list" role="group" aria-label=say!("Drafted passes")>{passes}</div> }
}

/// Keeps the pass that is looked at, or lets a kept one go.
#[component]
fn KeepButton() -> impl IntoView {
    let page = Page::here();
    let kept = move || match page.desk.with(|d| d.chosen) {
        Chosen::Kept(index) => Some(index),
        Chosen::Drafted(_) => None,
    };
    let press = move |_| {
        if let Some(index) = kept() {
            page.act(Command::LetGo(index));
            return page.say(say!("Let go. Undo brings it back."));
        }
        let Some(shown) = page.chosen.get_untracked() else {
            return;
        };
        let keep = page.work.with_untracked(|work| {
            Kept::drafted(
                (*shown.pass).clone(),
                Arc::clone(&work.chart),
                work.rig.instrument.clone(),
            )
        });
        page.act(Command::Keep(Arc::new(keep)));
        page.say(say!("Kept. It stays on this device until you let it go."));
    };
    let unable = move || kept().is_none() && page.chosen.with(Option::is_none);
    view! {
        <button type="button" class="do slim" prop:disabled=unable on:click=press>
            {move || if kept().is_some() { say!("Let go") } else { say!("Keep") }}
        </button>
    }
}

/// The passes kept so far.
#[component]
fn KeptRow() -> impl IntoView {
    let page = Page::here();
    let count = Memo::new(move |_| page.work.with(|w| w.kept.len()));
    let one = move |index: usize| {
        let is = move || page.desk.with(|d| d.chosen == Chosen::Kept(index));
        view! {
            <button
                type="button"
                class="tool kept"
                aria-pressed=move || if is() { "true" } else { "false" }
                aria-label=say!("{index}: kept pass", index = index + 1)
                on:click=move |_| page.act(Command::Choose(Chosen::Kept(index)))
            >
                {index + 1}
            </button>
        }
    };
    move || {
        let many = count.get();
        (many > 0).then(|| {
            view! {
                <div class="kept-row" role="group" aria-label=say!("Kept passes")>
                    <span class="label">{say!("Kept")}</span>
                    {(many.saturating_sub(ROW)..many).map(one).collect_view()}
                </div>
            }
        })
    }
}

/// What to know about the draft, in a line of its own.
#[component]
pub(super) fn Remarks() -> impl IntoView {
    let page = Page::here();
    view! { <p class="small soft remarks">{move || page.chosen.with(Option::is_some).then(|| note(page))}</p> }
}

/// Opens again what a kept pass was made over, where something else is open.
#[component]
pub(super) fn BringBack() -> impl IntoView {
    let page = Page::here();
    let missing = Memo::new(move |_| match page.desk.with(|d| d.chosen) {
        Chosen::Drafted(_) => None,
        Chosen::Kept(index) => page.work.with(|w| {
            let kept = w.kept.get(index)?;
            let over = page
                .song
                .with(|song| song.as_ref().is_some_and(|song| w.is_over(kept, song)));
            let chart = (!over).then(|| kept.chart.to_string());
            let instrument = (kept.instrument != w.rig.instrument).then(|| kept.instrument.clone());
            (chart.is_some() || instrument.is_some()).then_some((index, chart, instrument))
        }),
    });
    move || {
        let (index, chart, instrument) = missing.get()?;
        let words = match (&chart, &instrument) {
            (Some(_), Some(_)) => say!("Open its chart and instrument"),
            (None, Some(_)) => say!("Take its instrument"),
            _ => say!("Open its chart"),
        };
        let open = move |_| {
            if let Some(id) = instrument.clone() {
                page.act(Command::ChooseInstrument(id));
            }
            if let Some(chart) = chart.clone() {
                page.act(Command::OpenSong { chart, feel: None });
            }
            // Another instrument is another wish, after which a draft would be looked at.
            page.act(Command::Choose(Chosen::Kept(index)));
        };
        Some(view! { <button type="button" class="do slim" on:click=open>{words}</button> })
    }
}

/// Why there is nothing to see, or what to know about what there is.
pub(super) fn note(page: Page) -> String {
    if let Some(words) = page.drafting.fault.get() {
        return words;
    }
    if let Chosen::Kept(index) = page.desk.with(|d| d.chosen) {
        return page.work.with(|w| match w.kept.get(index) {
            Some(kept) if kept.instrument != w.rig.instrument => {
                say!("This pass was kept for another instrument: choose that one in the rig to see it.").to_owned()
            }
            Some(kept)
                if !page
                    .song
                    .with(|song| song.as_ref().is_some_and(|song| w.is_over(kept, song))) =>
            {
                say!("This pass was kept over other bars than those that are open.").to_owned()
            }
            _ => String::new(),
        });
    }
    let chosen = page.desk.with(|d| d.chosen);
    let remarks = page
        .drafting
        .draft
        .with(|d| d.as_ref().map_or(Vec::new(), |(_, draft)| draft.remarks.clone()));
    let here = |remark: &&Remark| remark.pass().is_none_or(|pass| chosen == Chosen::Drafted(pass));
    tell(&Said::joined(remarks.iter().filter(here).map(remark_words), " "))
}
