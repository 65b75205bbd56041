//! Under the lanes: what is in hand, the bar that is typed, and what is proposed, with what a body says of it.

use crate::app::by_hand::Hold;
use crate::app::feels;
use crate::solo::Offer;
use crate::ui::apart;
use crate::ui::icons::{Icon, Sign};
use crate::ui::lanes::Pull;
use crate::ui::language::{look, tell};
use crate::ui::proposing::{hear, held, is_new, is_on, keep, leave, pull, step_back, turn_to, typed};
use crate::ui::state::Page;
use leptos::html::Textarea;
use leptos::prelude::*;

/// Everything of it, in a place of its own; nothing while nothing is proposed.
#[component]
pub(super) fn ByHand() -> impl IntoView {
    let page = Page::here();
    let proposing = page.proposing;
    let on = Memo::new(move |_| is_on(page));
    let escape = move |event: web_sys::KeyboardEvent| {
        if event.key() == "Escape" {
            event.prevent_default();
            leave(page);
        }
    };
    view! {
        <Show when=move || on.get()>
            <section class="by-hand" aria-label=say!("What is proposed") on:keydown=escape>
                <Show when=move || proposing.hand.with(Option::is_some)>
                    <InHandView />
                </Show>
                {move || proposing.typing.get().map(|bar| view! { <TypedBarView bar /> })}
                <Proposed />
            </section>
        </Show>
    }
}

/// The stroke in hand: each handle by name, with a step either way for those who do not drag.
#[component]
fn InHandView() -> impl IntoView {
    let page = Page::here();
    let held = held(page);
    let head = move || {
        let hand = page.proposing.hand.get()?;
        page.chosen.with(|shown| {
            let line = shown.as_ref()?.moves.get(hand.index)?;
            Some(say!(
                "{name}, bar {bar}, by hand",
                name = look(line.name),
                bar = line.bar
            ))
        })
    };
    let strokes = Memo::new(move |_| {
        let index = page.proposing.hand.with(|hand| hand.as_ref().map(|h| h.index))?;
        page.chosen
            .with(|shown| Some(shown.as_ref()?.pass.moves.get(index)?.strokes.len()))
    });
    let stroke = Memo::new(move |_| page.proposing.hand.with(|hand| hand.as_ref().map_or(0, |h| h.stroke)));
    let turn = move |by: isize| {
        let most = strokes.get_untracked().unwrap_or(1).saturating_sub(1);
        turn_to(page, stroke.get_untracked().saturating_add_signed(by).min(most));
    };
    let row = move |hold: Hold| {
        let handle = hold.setting.handle();
        let name = look(handle.name());
        let words = move || {
            held.with(|held| {
                let own = held.holds.iter().find(|h| h.setting.handle() == handle);
                own.map(|h| tell(&h.words))
            })
        };
        view! {
            <div class="stepper" role="group" aria-label=name>
                <span class="label">{name}</span>
                <button type="button" aria-label=say!("{name}: less", name) on:click=move |_| pull(page, handle, Pull::Stepped(-1))>
                    <Icon sign=Sign::Less />
                </button>
                <output>{words}</output>
                <button type="button" aria-label=say!("{name}: more", name) on:click=move |_| pull(page, handle, Pull::Stepped(1))>
                    <Icon sign=Sign::More />
                </button>
            </div>
        }
    };
    let rows = Memo::new(move |_| held.with(|held| held.holds.clone()));
    view! {
        <h3>{head}</h3>
        <p class="small soft">{say!("Drag the handles on the lanes, or step here. Arrow keys move the one you are on.")}</p>
        <Show when=move || strokes.get().is_some_and(|many| { many > 1 })>
            <div class="line-up">
                <button type="button" class="do slim" prop:disabled=move || stroke.get() == 0 on:click=move |_| turn(-1)>{say!("Note before")}</button>
                <span class="small">{move || say!("note {stroke} of {strokes}", stroke = stroke.get() + 1, strokes = strokes.get().unwrap_or(1))}</span>
                <button
                    type="button"
                    class="do slim"
                    prop:disabled=move || { stroke.get() + 1 >= strokes.get().unwrap_or(1) }
                    on:click=move |_| turn(1)
                >
                    {say!("Next note")}
                </button>
            </div>
        </Show>
        <div class="hand-rows">
            <For each=move || rows.get() key=|hold| hold.setting.handle() children=row />
        </div>
    }
}

/// A bar to be typed.
#[component]
fn TypedBarView(bar: usize) -> impl IntoView {
    let page = Page::here();
    let field = NodeRef::<Textarea>::new();
    let text = typed(page, |own| Some(own.text(feels::limits(own.pass.request.level)?)));
    let text = text.flatten().unwrap_or_default();
    let rows = text.lines().count().max(4);
    let hear_it = move |_| {
        if let Some(field) = field.get_untracked() {
            apart::read(page, field.value());
        }
    };
    let problem = |problem: crate::exchange::tab::TabProblem| {
        let place = problem.place;
        view! { <li>{say!("Line {line}, column {column}: {problem}", line = place.line, column = place.column, problem = problem.words)}</li> }
    };
    view! {
        <label class="typed">
            <span class="label">{say!("Bar {bar} as tab", bar = bar + 1)}</span>
            <textarea
                node_ref=field
                class="mono"
                rows=rows
                wrap="off"
                spellcheck="false"
                autocomplete="off"
                autocapitalize="off"
                prop:value=text
            ></textarea>
        </label>
        <p class="small soft">
            {say!("Frets in their strings' lines: 5 plucked, 5A with a pedal down, 3/5 slid, 5~5A squeezed, ^5 raked, x stopped. The count above says when.")}        </p>
        <div role="status">
            <ul class="small fault">{move || page.proposing.problems.get().into_iter().map(problem).collect_view()}</ul>
        </div>
        <div class="line-up">
            <button type="button" class="do slim" on:click=hear_it>{say!("Read and hear it")}</button>
        </div>
    }
}

/// What is proposed, and what to do about it.
#[component]
fn Proposed() -> impl IntoView {
    let page = Page::here();
    let proposing = page.proposing;
    let there = Memo::new(move |_| proposing.proposal.with(Option::is_some));
    let words = move || proposing.proposal.with(|p| p.as_ref().map(|p| tell(&p.words)));
    let trouble = move || {
        proposing.proposal.with(|p| {
            let own = p.as_ref()?;
            let first = own.breaches.first();
            Some(first.map_or(say!("A body can play it.").to_owned(), |b| {
                say!("Not playable: {trouble}", trouble = tell(&b.trouble.said()))
            }))
        })
    };
    let bad = move || {
        proposing
            .proposal
            .with(|p| p.as_ref().is_some_and(|p| !p.breaches.is_empty()))
    };
    let offer = move |offer: Offer| {
        let words = tell(&offer.words);
        view! { <button type="button" class="do slim mend" on:click=move |_| apart::mend(page, offer.clone())>{words}</button> }
    };
    let unstepped = move || !there.get();
    let unchanged = Memo::new(move |_| !is_new(page));
    view! {
        <p class="small proposed-words">{words}</p>
        <p class="small" class:fault=bad role="status">{trouble}</p>
        <div class="mends">{move || proposing.mends.get().into_iter().map(offer).collect_view()}</div>
        <div class="line-up">
            <button type="button" class="go" prop:disabled=move || unchanged.get() on:click=move |_| keep(page)>{say!("Keep this")}</button>
            <button type="button" class="do slim" prop:disabled=unstepped on:click=move |_| hear(page)>{say!("Hear it")}</button>
            <button
                type="button"
                class="do slim"
                prop:disabled=unstepped
                on:click=move |_| {
                    step_back(page);
                }
            >
                {say!("Step back")}
            </button>
            <button type="button" class="do slim" on:click=move |_| leave(page)>{say!("Leave it")}</button>
        </div>
    }
}
