//! The solo: what is asked, the passes, the lanes, the tab and the reasons.

mod arc;
mod ask;
mod attitude;
mod change;
mod compare;
mod compare_neck;
mod hand;
mod lineage;
mod listener;
mod own;
mod passes;
mod play_it;
mod reasons;
mod rehearse;

use crate::app::lanes_view::{Spot, SpotKind};
use crate::app::{Command, Shown, View};
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use crate::ui::later::{Later, turns};
use crate::ui::played::Recital;
use crate::ui::rehearsing::here;
use crate::ui::rooms::{Below, Under};
use crate::ui::state::{Page, Run};
use crate::ui::takes::TakesSection;
use crate::ui::{Lanes, TabSheet};
use crate::ui::{changing, playing, proposing};
use ask::Ask;
pub(in crate::ui) use change::ChangeSheet;
use compare::Compare;
use hand::ByHand;
use leptos::prelude::*;
use lineage::Tree;
use listener::Listener;
use passes::{BringBack, Passes, Remarks, note};
use play_it::PlayIt;
use reasons::{Moves, Now, Playable};
use rehearse::RehearseRow;
pub(in crate::ui) use rehearse::RehearseSheet;
use std::sync::Arc;

/// The view of the solo.
#[component]
pub(super) fn SoloView() -> impl IntoView {
    let page = Page::here();
    let there = Memo::new(move |_| page.song.with(Option::is_some));
    let write = move |_| {
        page.act(Command::Show(View::Chart));
        page.act(Command::Writing(true));
    };
    move || {
        if there.get() {
            return view! { <Workbench /> }.into_any();
        }
        view! {
            <div class="empty">
                <h1>{say!("Nothing to play over yet")}</h1>
                <p>{say!("A solo needs a chart to stand on: a few bars such as 1 4 5 1 will do.")}</p>
                <button type="button" class="go" on:click=write>{say!("Write a chart")}</button>
            </div>
        }
        .into_any()
    }
}

/// Passes, pictures, wishes and reasons.
#[component]
fn Workbench() -> impl IntoView {
    let page = Page::here();
    provide_context(play_it::recital(page));
    go_to_the_hole(page);
    view! {
        <div class="solo">
            <h1 class="unseen">{say!("Solo")}</h1>
            <Later><Passes /></Later>
            <div class="picture">
                <Later><Now /></Later>
                <Later><Picture /></Later>
                <Under />
            </div>
            <Below />
        </div>
    }
}

/// Where the solo is asked for in some bars only, the place goes there: what is seen, heard and played at first is the
/// solo, and not the bars before it.
fn go_to_the_hole(page: Page) {
    let asked = Memo::new(move |_| page.work.with(|w| w.request.bars.clone()));
    let bars = Memo::new(move |_| page.song.with(|s| s.as_ref().map_or(0, |s| s.bars.len())));
    Effect::new(move |before: Option<()>| {
        let (Some(asked), true) = (asked.get(), bars.get() > 0) else {
            return;
        };
        let at = page.playing.at.get_untracked();
        let there = page.song.with_untracked(|song| {
            let song = song.as_ref()?;
            let within = song.bar_index_at(at).is_some_and(|bar| asked.contains(&bar));
            // Whoever comes back to the solo finds the place where it was left.
            let stays = within || before.is_none() && at > Beats::ZERO;
            (!stays).then(|| song.bars.get(asked.start).map(|b| b.start)).flatten()
        });
        if let Some(start) = there.filter(|_| page.playing.run.get_untracked() == Run::Stopped) {
            playing::seek(page, start);
        }
    });
}

/// What is done with the picture and said of it, each part drawn in a task of its own.
#[component]
pub(in crate::ui) fn UnderPicture() -> impl IntoView {
    view! {
        <Later><ByHand /></Later>
        <Later><Compare /></Later>
        <Later><RehearseRow /></Later>
        <Later><Playable /></Later>
        <Later><Remarks /></Later>
    }
}

/// What lies below the picture, each part drawn in a task of its own.
#[component]
pub(in crate::ui) fn BelowPicture() -> impl IntoView {
    view! {
        <Later><Ask /></Later>
        <Later><TabPart /></Later>
        <Later><PlayIt /></Later>
        <Later><TakesSection /></Later>
        <Later><Moves /></Later>
        <Later><Listener /></Later>
        <Later><Tree /></Later>
    }
}

/// The chosen pass as lanes; while the first is drafted, the song's bars with silent lanes under them.
#[component]
fn Picture() -> impl IntoView {
    let page = Page::here();
    let waiting = move || {
        let both = move || page.song.get().zip(page.instrument.get());
        let working = Memo::new(move |_| page.drafting.working.get());
        move || match working.get().then(both).flatten() {
            Some((song, instrument)) => {
                let pedals = !instrument.changes.is_empty();
                let silent = Arc::new(Performance::silent(song.length(), instrument.changes.len()));
                view! {
                    <div class="lanes-room" class:pedals=pedals>
                        <Lanes
                            performance=Signal::stored(silent)
                            timeline=Signal::stored(song)
                            instrument=Signal::stored(instrument)
                            position=Signal::derive(move || Some(page.playing.at.get()))
                            on_seek=move |at| playing::seek(page, at)
                        />
                    </div>
                }
                .into_any()
            }
            None => view! {
                <div class="lanes-room waiting">
                    <p class="soft">{move || note(page)}</p>
                    <BringBack />
                </div>
            }
            .into_any(),
        }
    };
    with_pass(page, waiting, move |shown, song, instrument| {
        let position = Signal::derive(move || Some(page.playing.at.get()));
        let rehearsal = here(page);
        let limb = Signal::derive(move || rehearsal.with(|r| r.limb));
        // What is in hand is the pass of the moment; what it was made of lies over it.
        let in_hand = Memo::new(move |_| page.proposing.hand.with(Option::is_some));
        let passes = move || {
            let own = Arc::clone(&shown.get().performance);
            let tried = page.tried.get();
            if in_hand.get()
                && let Some(made) = tried
            {
                return (made, Some(own));
            }
            (
                own,
                tried.or_else(|| page.other.get().map(|o| Arc::clone(&o.performance))),
            )
        };
        // Drawn in a task of its own after what asked for it; all it is drawn from changes together.
        let turn = turns(move || {
            passes();
            song.track();
            instrument.track();
        });
        let performance = at_each(turn, move || passes().0);
        let beside = at_each(turn, move || passes().1);
        let (song, instrument) = (
            at_each(turn, move || song.get()),
            at_each(turn, move || instrument.get()),
        );
        let held = proposing::held(page);
        view! {
            <div class="lanes-room">
                <Lanes
                    performance
                    timeline=song
                    instrument
                    position
                    limb
                    other=beside
                    held
                    on_pull=move |(handle, pull)| proposing::pull(page, handle, pull)
                    spots=spots(page)
                    on_seek=move |at| playing::seek(page, at)
                    on_point=move |at| changing::point(page, at)
                />
            </div>
        }
    })
}

/// What is pointed at in lanes and tab.
fn spots(page: Page) -> Signal<Vec<Spot>> {
    let found = compare::found(page);
    let recital = expect_context::<Recital>();
    let spots = Memo::new(move |_| {
        let in_hand = page.proposing.hand.with(|hand| hand.as_ref().map(|h| h.index));
        let picked = page.changing.index.get().or(in_hand);
        let differs = found.with(|found| {
            found
                .iter()
                .map(|d| Spot {
                    from: d.from,
                    to: d.to,
                    kind: SpotKind::Differs,
                })
                .collect::<Vec<_>>()
        });
        page.chosen.with(|shown| {
            let moves = shown.iter().flat_map(|shown| shown.moves.iter().enumerate());
            let kinds = moves.flat_map(|(index, line)| {
                let picked = (picked == Some(index)).then_some(SpotKind::Picked);
                let locked = line.locked.then_some(SpotKind::Locked);
                [picked, locked].into_iter().flatten().map(|kind| Spot {
                    from: line.at,
                    to: line.end,
                    kind,
                })
            });
            kinds.chain(differs).chain(recital.spots()).collect::<Vec<_>>()
        })
    });
    spots.into()
}

/// The chosen pass as tab.
#[component]
fn TabPart() -> impl IntoView {
    let page = Page::here();
    with_pass(
        page,
        || (),
        move |shown, song, instrument| {
            // Drawn after the lanes, in a task of its own; all it is drawn from changes together.
            let turn = turns(move || {
                shown.track();
                song.track();
                instrument.track();
            });
            let performance = at_each(turn, move || Arc::clone(&shown.get().performance));
            let (song, instrument) = (
                at_each(turn, move || song.get()),
                at_each(turn, move || instrument.get()),
            );
            let position = Signal::derive(move || Some(page.playing.at.get()));
            let rehearsal = here(page);
            let hidden = Signal::derive(move || rehearsal.with(|r| r.hidden));
            let here_bar = Memo::new(move |_| {
                let at = page.playing.at.get();
                song.with(|song| song.bar_index_at(at).unwrap_or_default())
            });
            let limb = Signal::derive(move || rehearsal.with(|r| r.limb));
            view! {
                <section aria-label=say!("Tab")>
                    <h2>{say!("Tab")}</h2>
                    <TabSheet performance timeline=song instrument position hidden limb spots=spots(page) on_seek=move |at| playing::seek(page, at) on_point=move |at| changing::point(page, at) />
                    <button type="button" class="do slim" on:click=move |_| proposing::type_bar(page, here_bar.get())>
                        {move || say!("Type bar {here_bar}", here_bar = here_bar.get() + 1)}
                    </button>
                </section>
            }
        },
    )
}

/// What something is at each turn.
fn at_each<T: Send + Sync + 'static>(
    turn: Signal<u32>,
    read: impl Fn() -> T + Copy + Send + Sync + 'static,
) -> Signal<T> {
    Signal::derive(move || {
        turn.track();
        untrack(read)
    })
}

/// Draws something of the chosen pass while there is one, else what stands in for it.
fn with_pass<A: IntoView + 'static, B: IntoView + 'static>(
    page: Page,
    without: impl Fn() -> B + Copy + Send + 'static,
    draw: impl Fn(Signal<Arc<Shown>>, Signal<Arc<Timeline>>, Signal<Arc<Instrument>>) -> A + Copy + Send + 'static,
) -> impl IntoView {
    let there = Memo::new(move |_| page.chosen.with(Option::is_some));
    move || {
        let first = there
            .get()
            .then(|| page.chosen.get_untracked().zip(page.song.get_untracked()))
            .flatten();
        match first.zip(page.instrument.get_untracked()) {
            Some(((shown, song), instrument)) => draw(
                // What goes away is drawn for the last time as it was.
                Signal::derive(move || page.chosen.get().unwrap_or_else(|| Arc::clone(&shown))),
                Signal::derive(move || page.song.get().unwrap_or_else(|| Arc::clone(&song))),
                Signal::derive(move || page.instrument.get().unwrap_or_else(|| Arc::clone(&instrument))),
            )
            .into_any(),
            None => without().into_any(),
        }
    }
}
