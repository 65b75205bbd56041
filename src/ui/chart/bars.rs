//! The song's bars, numbers first.

use crate::app::bars::{BarCard, BarChord, Figure, cards};
use crate::app::{Command, LoopBars};
use crate::theory::Hit;
use crate::ui::language::notes;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;

/// How many bars are made at once: a long song's are made so many a picture, so that nothing else waits for them.
const AT_ONCE: usize = 40;

/// What a tap on a bar is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tap {
    /// To go there.
    Go,
    /// To loop from there.
    LoopFrom,
    /// To loop from the bar named to there.
    LoopTo(usize),
}

/// All bars in playing order; a tap goes there, or chooses what is looped.
#[component]
pub(super) fn Bars() -> impl IntoView {
    let page = Page::here();
    let here = Memo::new(move |_| {
        let at = page.playing.at.get();
        page.song.with(|song| song.as_ref()?.bar_index_at(at))
    });
    let looped = move |index: usize| {
        page.desk
            .with(|d| d.looped.is_some_and(|l| (l.from..=l.to).contains(&index)))
    };
    let tap = RwSignal::new(Tap::Go);
    let tapped = move |index: usize, start| match tap.get_untracked() {
        Tap::Go => playing::seek(page, start),
        Tap::LoopFrom => tap.set(Tap::LoopTo(index)),
        Tap::LoopTo(first) => {
            let (from, to) = (first.min(index), first.max(index));
            page.act(Command::Loop(Some(LoopBars { from, to })));
            tap.set(Tap::Go);
        }
    };
    let cards = Memo::new(move |_| page.song.with(|song| song.as_deref().map(cards).unwrap_or_default()));
    let many = Memo::new(move |_| cards.with(Vec::len));
    let made = RwSignal::new(AT_ONCE);
    Effect::new(move || {
        if made.get() < many.get() {
            request_animation_frame(move || {
                made.try_update(|made| *made += AT_ONCE);
            });
        }
    });
    let bar = move |index: usize| {
        // A bar that a change of the text leaves as it was is not drawn anew.
        let card = Memo::new(move |_| cards.with(|all| all.get(index).cloned()));
        let opens = move || card.with(|card| card.as_ref().is_some_and(|c| c.section.is_some()));
        let is_here = move || here.get() == Some(index);
        view! {
            <li class="bar" class:here=is_here class:looped=move || looped(index) class:opens=opens>
                <button
                    type="button"
                    aria-current=move || is_here().then_some("true")
                    on:click=move |_| {
                        if let Some(card) = card.get_untracked() {
                            tapped(index, card.start);
                        }
                    }
                >
                    {move || card.get().map(|card| view! { <BarFace index card /> })}
                </button>
            </li>
        }
    };
    view! {
        <Show when=move || { many.get() > 0 } fallback=EmptyChart>
            <ol class="bars">
                <For each=move || 0..many.get().min(made.get()) key=|index| *index children=bar />
            </ol>
            <Looped tap />
        </Show>
    }
}

/// What stands in a bar: its section, metre and count above, its chords below.
#[component]
pub(crate) fn BarFace(index: usize, card: BarCard) -> impl IntoView {
    view! {
        <span class="bar-top">
            <span class="bar-section">{card.section}</span>
            <span class="bar-metre">{card.metre.map(|m| format!("{}/{}", m.count, m.unit))}</span>
            <span class="unseen">{say!("Bar {index}: ", index = index + 1)}</span>
            <span class="bar-count" aria-hidden="true">{index + 1}</span>
        </span>
        <span class="bar-chords" class:many=(card.chords.len() > 1) class:crowd=(card.chords.len() > 2)>
            {card.chords.iter().map(chord).collect_view()}
        </span>
    }
}

/// Which bars are looped, while any are, and the way to choose them by two taps.
#[component]
fn Looped(tap: RwSignal<Tap>) -> impl IntoView {
    let page = Page::here();
    let bars = move || {
        let count = page.song.with(|s| s.as_ref().map_or(0, |s| s.bars.len()));
        page.desk.with(|d| d.looped).and_then(|l| l.within(count))
    };
    let there = Memo::new(move |_| bars().is_some());
    Effect::new(move || {
        if !there.get() {
            tap.set(Tap::Go);
        }
    });
    let words = move || match (tap.get(), bars()) {
        (Tap::LoopFrom, _) => say!("Tap the first bar.").to_owned(),
        (Tap::LoopTo(first), _) => say!("From bar {first}. Tap the last bar.", first = first + 1),
        (Tap::Go, Some(LoopBars { from, to })) if from == to => say!("Bar {from} loops.", from = from + 1),
        (Tap::Go, Some(LoopBars { from, to })) => say!("Bars {from} to {to} loop.", from = from + 1, to = to + 1),
        (Tap::Go, None) => String::new(),
    };
    let turn = move |_| {
        tap.update(|t| *t = if *t == Tap::Go { Tap::LoopFrom } else { Tap::Go });
    };
    move || {
        there.get().then(|| {
            view! {
                <div class="looped-bars">
                    <p role="status">{words}</p>
                    <button type="button" class="do slim" on:click=turn>
                        {move || if tap.get() == Tap::Go { say!("Choose bars") } else { say!("Cancel") }}
                    </button>
                </div>
            }
        })
    }
}

fn chord(chord: &BarChord) -> impl IntoView + use<> {
    let mark = match chord.hit {
        Hit::Held => "held",
        Hit::Choked => "choked",
        Hit::Rest => "rest",
        Hit::Played => "",
    };
    view! {
        <span class=format!("bar-chord {mark}") class:pushed=chord.pushed>
            <FigureView figure=chord.figure.clone() />
            <span class="bar-letters">{notes(&chord.letters)}</span>
        </span>
    }
}

/// A number, its parts set in their sizes.
#[component]
pub(crate) fn FigureView(figure: Figure) -> impl IntoView {
    let bass = (!figure.bass.is_empty()).then(|| view! { <span class="fig-bass">"/"{figure.bass.clone()}</span> });
    view! {
        <span class="fig">
            <span class="fig-acc">{figure.accidental}</span>
            {figure.degree}
            <span class="fig-quality">{figure.quality}</span>
            {bass}
        </span>
    }
}

/// What to write when there is nothing yet.
#[component]
fn EmptyChart() -> impl IntoView {
    view! {
        <div class="empty">
            <h1>{say!("No bars yet")}</h1>
            <p>{say!("Write the key, then a number for each bar:")}</p>
            <p class="sample">{say!("key A, 120; 1 1 4 1 / 5 4 1 5")}</p>
            <p class="soft">{say!("b7 is the chord on the flat seventh, 6- is minor, 5/7 has the seventh in the bass.")}</p>
        </div>
    }
}
