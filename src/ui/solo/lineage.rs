//! How the kept passes came about: a tree to walk, with the one change that made each, stars and notes.

use crate::app::lineage::{Branch, MOST_STARS};
use crate::app::{Chosen, Command, Kept};
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::words;
use crate::ui::state::Page;
use crate::ui::tab::copy_text;
use leptos::prelude::*;
use std::sync::Arc;

/// How many passes are listed at first, and how many more at a time.
const LISTED: usize = 40;
/// Deeper changes are not set further in: a phone has no room.
const DEEPEST: usize = 6;
/// How far one step is set in, in CSS pixels.
const STEP: usize = 12;

/// The tree.
#[component]
pub(super) fn Tree() -> impl IntoView {
    let page = Page::here();
    let kept = Memo::new(move |_| page.work.with(|w| w.kept.clone()));
    let some = Memo::new(move |_| kept.with(|kept| !kept.is_empty()));
    let listed = RwSignal::new(LISTED);
    let rows = Memo::new(move |_| {
        kept.with(|kept| {
            // The newest are wanted first, each behind what it came from.
            let tree = kept.tree();
            let from = tree.len().saturating_sub(listed.get());
            let rows = tree.into_iter().skip(from);
            rows.filter_map(|branch| Some((branch, Arc::clone(kept.get(branch.index)?))))
                .collect::<Vec<_>>()
        })
    });
    let hidden = move || kept.with(|kept| kept.len().saturating_sub(listed.get()));
    move || {
        some.get().then(|| {
            view! {
                <section class="lineage" aria-label=say!("How the kept passes came about")>
                    <h2>{say!("How they came about")}</h2>
                    {move || {
                        let many = hidden();
                        (many > 0).then(|| view! {
                            <button type="button" class="do slim" on:click=move |_| listed.update(|l| *l += LISTED)>
                                {say!("{many} older", many)}
                            </button>
                        })
                    }}
                    <ol class="tree">
                        <For
                            each=move || rows.get()
                            key=|(branch, kept)| (branch.index, branch.depth, Arc::as_ptr(kept) as usize)
                            children=move |(branch, kept)| row(page, branch, &kept)
                        />
                    </ol>
                    <Note />
                    <Story />
                </section>
            }
        })
    }
}

fn row(page: Page, branch: Branch, kept: &Kept) -> impl IntoView + use<> {
    let index = branch.index;
    let mine = Chosen::Kept(index);
    let is = move || page.desk.with(|d| d.chosen == mine);
    let other = move || page.desk.with(|d| d.compared.with == Some(mine));
    let words = kept.made_by();
    let (id, stars) = (kept.id, kept.stars);
    let more = if stars >= MOST_STARS { 0 } else { stars + 1 };
    let number = index + 1;
    let note = (!kept.note.is_empty()).then(|| view! { <span class="fine soft">{kept.note.clone()}</span> });
    let inset = branch.depth.min(DEEPEST) * STEP;
    let compare = move |_| page.act(Command::Compare((!other()).then_some(mine)));
    view! {
        <li class:here=is>
            <button
                type="button"
                class="tree-pass"
                style:padding-left=format!("{inset}px")
                aria-pressed=move || if is() { "true" } else { "false" }
                on:click=move |_| page.act(Command::Choose(mine))
            >
                <b>{number}</b>
                <span class="tree-words">{words}{note}</span>
            </button>
            <button
                type="button"
                class="tool"
                aria-label=say!("Pass {number}: {stars} of {most} stars, give {more}", number, stars, most = MOST_STARS, more)
                on:click=move |_| page.act(Command::Star { pass: id, stars: more })
            >
                <span class="stars">
                    <Icon sign=Signal::stored(if stars > 0 { Sign::Star } else { Sign::NoStar }) />
                    {(stars > 1).then_some(stars)}
                </span>
            </button>
            <button
                type="button"
                class="tool"
                prop:disabled=is
                aria-label=say!("A/B: compare with pass {number}", number)
                aria-pressed=move || if other() { "true" } else { "false" }
                on:click=compare
            >
                "A/B"
            </button>
        </li>
    }
}

/// What the player writes about the kept pass that is looked at.
#[component]
fn Note() -> impl IntoView {
    let page = Page::here();
    let chosen = Memo::new(move |_| match page.desk.with(|d| d.chosen) {
        Chosen::Kept(index) => page.work.with(|w| w.kept.get(index).map(|kept| (index, kept.id))),
        Chosen::Drafted(_) => None,
    });
    let runs = StoredValue::new(0_u64);
    move || {
        let (index, pass) = chosen.get()?;
        let note = move || {
            page.work
                .with(|w| w.kept.get(index).map(|kept| kept.note.clone()).unwrap_or_default())
        };
        let write = move |event: web_sys::Event| {
            page.act(Command::Annotate {
                pass,
                note: event_target_value(&event),
                run: Some(runs.get_value()),
            });
        };
        Some(view! {
            <label class="note">
                <span class="label">{say!("Note on pass {index}", index = index + 1)}</span>
                <input type="text" maxlength="200" prop:value=note on:input=write on:change=move |_| runs.update_value(|r| *r += 1) />
            </label>
        })
    }
}

/// Copies how the kept pass that is looked at came about, as tab.
#[component]
fn Story() -> impl IntoView {
    let page = Page::here();
    let kept = Memo::new(move |_| match page.desk.with(|d| d.chosen) {
        Chosen::Kept(index) => Some(index),
        Chosen::Drafted(_) => None,
    });
    let copy = move |_| {
        let story = kept
            .get_untracked()
            .zip(page.instrument.get_untracked())
            .and_then(|(index, instrument)| page.work.with_untracked(|w| w.kept.story(index, &instrument, words())));
        match story {
            Some(text) => copy_text(
                page,
                &text,
                say!("Copied: every pass on the way, its change and its tab."),
            ),
            None => page.say(say!(
                "This pass is for another instrument: take that one in the rig first."
            )),
        }
    };
    move || {
        kept.get().map(|_| {
            view! { <button type="button" class="do slim" on:click=copy>{say!("Copy how it came about, as tab")}</button> }
        })
    }
}
