//! Why each move is there: the one that sounds, and all of them.

use crate::app::Shown;
use crate::app::passes::{BreachLine, MoveLine};
use crate::solo::Level;
use crate::ui::follow::{Axis, Follow};
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::{look, tell};
use crate::ui::later::{later, put_off};
use crate::ui::proposing::mend_own;
use crate::ui::state::Page;
use crate::ui::{changing, playing};
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// How many rows of the list are made at once.
const AT_ONCE: usize = 6;

/// Which move is in force at the place that is shown.
fn current(page: Page) -> Memo<Option<usize>> {
    Memo::new(move |_| {
        let at = page.playing.at.get();
        page.chosen.with(|shown| shown.as_ref()?.move_at(at))
    })
}

/// Why a move of the chosen pass is there.
fn why(page: Page, index: Memo<Option<usize>>) -> Memo<Option<String>> {
    Memo::new(move |_| {
        let (index, song, instrument) = (index.get()?, page.song.get()?, page.instrument.get()?);
        page.chosen
            .with(|shown| Some(tell(&shown.as_ref()?.why(index, &song, &instrument))))
    })
}

/// The move that sounds, in a place of its own that never moves.
#[component]
pub(super) fn Now() -> impl IntoView {
    let page = Page::here();
    let here = current(page);
    let name = move || {
        page.chosen
            .with(|shown| Some(look(shown.as_ref()?.moves.get(here.get()?)?.name)))
    };
    let reason = why(page, here);
    let why = move || reason.get();
    // Before the first move, and only there, none is in force.
    let first = move || {
        let silent = here.get().is_none();
        page.chosen
            .with(|shown| Some(shown.as_ref()?.moves.first()?.bar))
            .filter(|_| silent)
    };
    let silence = move || first().map(|bar| say!("The solo begins in bar {bar}.", bar));
    let waits = move || page.drafting.working.get() && page.chosen.with(Option::is_none);
    view! {
        <section class="now" aria-label=say!("The move that sounds")>
            <h2>{move || if waits() { Some(say!("Drafting")) } else { name() }}</h2>
            <p>{move || if waits() { Some(say!("A solo over these bars, with a reason for every move.").to_owned()) } else { why().or_else(silence) }}</p>
        </section>
    }
}

/// All moves; a tap plays from there.
#[component]
pub(super) fn Moves() -> impl IntoView {
    let page = Page::here();
    let here = current(page);
    let row = move |(index, line): (usize, MoveLine)| {
        let is = move || here.get() == Some(index);
        let at = line.at;
        let about = say!("Change bar {bar}, {name}", bar = line.bar, name = look(line.name));
        let why = why(page, Memo::new(move |_| Some(index))).get_untracked();
        let lock = line.locked.then(
            || view! { <span class="move-locked"><Icon sign=Sign::Lock /><span class="unseen">{say!("locked")}</span></span> },
        );
        view! {
            <li class:here=is>
                <button type="button" aria-current=move || is().then_some("true") on:click=move |_| playing::play_from(page, at)>
                    <span class="move-bar">{line.bar}</span>
                    <span class="move-text"><b>{look(line.name)}{lock}</b><span>{why}</span></span>
                </button>
                <button type="button" class="tool move-change" aria-label=about on:click=move |_| changing::look_at(page, index, at)>
                    <Icon sign=Sign::Change />
                </button>
            </li>
        }
    };
    // The row that sounds is kept in sight, unless the reader has taken the list over.
    let follow = Follow::new();
    Effect::new(move || {
        let index = here.get();
        let row = follow.scroller.get().zip(index).and_then(|(list, index)| {
            let rows = list.query_selector_all("li").ok()?;
            rows.item(u32::try_from(index).ok()?)?
                .dyn_into::<web_sys::HtmlElement>()
                .ok()
        });
        if let Some(row) = row {
            // To be asked for its place, the list is laid out.
            put_off(move || {
                if row.is_connected() {
                    follow.show(Axis::Down, f64::from(row.offset_top()), 0.2, false);
                }
            });
        }
    });
    let rows = by_and_by(page);
    view! {
        <section aria-label=say!("Every move and its reason")>
            <h2>{say!("Why each move")}</h2>
            <div
                class="moves-scroll"
                node_ref=follow.scroller
                tabindex="0"
                role="region"
                aria-label=say!("Moves, scrolls down")
                on:wheel=move |_| follow.touched()
                on:touchmove=move |_| follow.touched()
                on:scroll=move |_| follow.scrolled_for_a_while()
            >
                <ol class="moves">
                    <For each=rows key=|(pass, index, _)| (*pass, *index) children=move |(_, index, line)| row((index, line)) />
                </ol>
            </div>
        </section>
    }
}

/// The lines of the chosen pass, each with its place and the place of that pass in memory as its name; a long solo's
/// list is made a few rows a picture, so that nothing else waits for it.
fn by_and_by(page: Page) -> impl Fn() -> Vec<(usize, usize, MoveLine)> + Copy + Send + Sync {
    let shown = later(move || page.chosen.get());
    let name_of = |shown: &Option<Arc<Shown>>| shown.as_ref().map_or(0, |s| Arc::as_ptr(s) as usize);
    // How many rows are listed by now, of which pass: those of another pass begin anew.
    let listed = RwSignal::new((0, AT_ONCE));
    let many = move |name: usize| {
        let (of, many) = listed.get();
        if of == name { many } else { AT_ONCE }
    };
    Effect::new(move || {
        let (name, all) = shown.with(|s| (name_of(s), s.as_ref().map_or(0, |s| s.moves.len())));
        let many = many(name);
        if many < all {
            request_animation_frame(move || {
                listed.try_set((name, many + AT_ONCE));
            });
        }
    });
    move || {
        shown.with(|shown| {
            let name = name_of(shown);
            let lines = shown
                .iter()
                .flat_map(|s| &s.moves)
                .take(many(name))
                .cloned()
                .enumerate();
            lines.map(|(index, line)| (name, index, line)).collect()
        })
    }
}

/// Whether a body can play it.
#[component]
pub(super) fn Playable() -> impl IntoView {
    let page = Page::here();
    move || {
        let shown = page.chosen.get()?;
        Some(if shown.breaches.is_empty() {
            let whose = match shown.pass.request.level {
                Level::Beginner => say!("a beginner"),
                Level::Steady => say!("a steady player"),
                Level::Pro => say!("a pro"),
            };
            view! { <p class="small playable"><b>{say!("Playable.")}</b>{say!(" Every reach, pedal and pick is within what {whose} can do.", whose)}</p> }
                .into_any()
        } else {
            let rows = shown
                .breaches
                .iter()
                .cloned()
                .map(|BreachLine { at, bar, words, breach }| {
                    view! {
                        <li>
                            <button type="button" class="place" on:click=move |_| playing::seek(page, at)>{say!("Bar {bar}", bar)}</button>
                            {format!(": {} ", tell(&words))}
                            <button type="button" class="do slim" on:click=move |_| mend_own(page, &breach)>{say!("Mend it")}</button>
                        </li>
                    }
                })
                .collect_view();
            view! { <ul class="small fault playable">{rows}</ul> }.into_any()
        })
    }
}
