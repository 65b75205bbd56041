//! What a bar could be: each chord is heard, then chosen.

use super::bars::{bring_into_sight, look_and_hear};
use super::ear::Ear;
use super::player::Player;
use crate::app::hearing::Candidate;
use crate::listen::song::{Correction, Part};
use crate::ui::chart::bars::FigureView;
use crate::ui::controls::Choice;
use crate::ui::icons::{Icon, Sign};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The bar that is looked at.
#[component]
pub(super) fn BarDesk(player: Player, bar: RwSignal<usize>) -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    let part = RwSignal::new(Part::Whole);
    let quarters = Memo::new(move |_| ear.read(|hearing| hearing.song().metre.count));
    let candidates = Memo::new(move |_| ear.read(|hearing| hearing.candidates(bar.get(), part.get())));
    let choose = move |chord| {
        ear.correct(Correction::Chord {
            bar: bar.get_untracked(),
            part: part.get_untracked(),
            chord,
        });
    };
    view! {
        <section class="bar-desk" aria-label=say!("The bar")>
            <div class="line-up apart">
                <h2>{move || say!("Bar {bar}", bar = bar.get() + 1)}</h2>
                <Passage player bar />
            </div>
            {move || {
                let last = if quarters.get() == 3 { say!("Beat 3") } else { say!("Beats 3 and 4") };
                let parts = [(Part::Whole, say!("All of it")), (Part::First, say!("Beats 1 and 2")), (Part::Second, last)];
                view! {
                    <Choice
                        name=say!("What is being named")
                        options=crate::ui::controls::words(parts)
                        value=part
                        on_change=move |chosen| part.set(chosen)
                    />
                }
            }}
            <ul class="candidates" aria-label=say!("What it could be")>
                {move || candidates.get().into_iter().map(|candidate| one(page, ear, player, candidate, choose)).collect_view()}
            </ul>
        </section>
    }
}

fn one(
    page: Page,
    ear: Ear,
    player: Player,
    candidate: Candidate,
    choose: impl Fn(Option<crate::theory::Chord>) + Copy + 'static,
) -> impl IntoView {
    let chord = candidate.chord;
    let hear = chord.map(|chord| {
        let listen = move |_| {
            let trial = page.tuned.get_untracked().and_then(|instrument| {
                ear.hearing
                    .with_untracked(|hearing| Some(hearing.as_ref()?.trial(chord, &instrument)))
            });
            if let Some(trial) = trial {
                player.stop();
                playing::play_lent_at_once(page, &Arc::new(trial));
            }
        };
        view! {
            <button type="button" class="tool" aria-label=say!("Hear {chord}", chord) on:click=listen>
                <Icon sign=Sign::Heard />
            </button>
        }
    });
    let likely = candidate.percent.map(|percent| match percent {
        0 => "<1%".to_owned(),
        percent => format!("{percent}%"),
    });
    view! {
        <li>
            {hear}
            <button
                type="button"
                class="candidate"
                aria-pressed=if candidate.stands { "true" } else { "false" }
                on:click=move |_| choose(chord)
            >
                <FigureView figure=candidate.figure />
                <span class="bar-letters">{candidate.letters}</span>
                <span class="small soft">{likely}</span>
            </button>
        </li>
    }
}

/// Plays the recording from the bar on, the bar alone, or goes to the next unsure one.
#[component]
fn Passage(player: Player, bar: RwSignal<usize>) -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    let turn = move |_| {
        if player.plays.get_untracked() {
            player.stop();
            return;
        }
        let from = ear
            .hearing
            .with_untracked(|h| Some(h.as_ref()?.song().bars.get(bar.get_untracked())?.at));
        player.play(page, from.unwrap_or_default(), None);
    };
    let next = move |_| {
        let next = ear
            .hearing
            .with_untracked(|h| h.as_ref()?.next_unsure(Some(bar.get_untracked())));
        if let Some(next) = next {
            look_and_hear(page, player, ear, bar, next);
            bring_into_sight(next);
        }
    };
    let none = move || ear.read(|hearing| hearing.unsure()) == 0;
    view! {
        <div class="line-up">
            <button type="button" class="do slim" on:click=turn>
                {move || if player.plays.get() { say!("Stop") } else { say!("Play from here") }}
            </button>
            <button type="button" class="do slim" prop:disabled=none on:click=next>{say!("Next unsure bar")}</button>
        </div>
    }
}
