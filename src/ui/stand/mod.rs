//! The stand: the next four bars in large type, for playing along with both hands on the instrument.
//!
//! A bar that has been played makes way by itself, and the screen stays awake while it plays.

mod leaf;

use super::icons::{Icon, Sign};
use super::language::spell;
use super::rehearsing::here;
use super::state::Page;
use super::transport::{PlayButton, faster};
use crate::app::appearance::with_chords;
use crate::app::rehearsal::{Leaves, SHOWN};
use crate::app::{Command, View};
use crate::exchange::tab::{Signs, Tab};
use crate::platform::wake::Wake;
use leaf::{Leaf, Sheet};
use leptos::prelude::*;
use std::sync::Arc;

/// The view of the stand.
#[component]
pub(super) fn StandView() -> impl IntoView {
    let page = Page::here();
    stay_awake(page);
    let leaves = leaves(page);
    let sheet = sheet(page);
    let at = page.playing.at;
    let now = Memo::new(move |_| sheet.with(|s| s.tab.column_at(at.get())));
    let leaf = move |index: usize| {
        let bar = Memo::new(move |_| leaves.with(|l| l.bars.get(index).copied().flatten()));
        let is_here =
            Memo::new(move |_| leaves.with(|l| l.here == index && l.bars.get(index).is_some_and(Option::is_some)));
        view! { <Leaf bar is_here sheet now /> }
    };
    view! {
        <div class="stand">
            <h1 class="unseen">{say!("Stand")}</h1>
            <div class="leaves tab">{(0..SHOWN).map(leaf).collect_view()}</div>
            <StandDeck />
        </div>
    }
}

/// Keeps the screen awake while the song runs.
fn stay_awake(page: Page) {
    let wake = StoredValue::new_local(Wake::default());
    Effect::new(move || {
        let runs = page.playing.runs();
        wake.with_value(|wake| if runs { wake.hold() } else { wake.release() });
    });
}

/// Which bars are in sight.
fn leaves(page: Page) -> Memo<Leaves> {
    let place = Memo::new(move |_| {
        let at = page.playing.at.get();
        page.song.with(|song| {
            let song = song.as_ref()?;
            Some((song.bar_index_at(at)?, song.bars.len()))
        })
    });
    let looped = Memo::new(move |_| page.desk.with(|d| d.looped));
    // The leaves with what they were laid for: another loop or another song lays them anew.
    let laid = Memo::new(move |before: Option<&(Leaves, Option<usize>, _)>| {
        let looped = looped.get();
        let Some((bar, count)) = place.get() else {
            return (Leaves::default(), None, looped);
        };
        let leaves = match before {
            Some((leaves, old, around)) if *old == Some(count) && *around == looped => leaves.at(bar, count, looped),
            _ => Leaves::from(bar, count, looped),
        };
        (leaves, Some(count), looped)
    });
    Memo::new(move |_| laid.with(|(leaves, _, _)| *leaves))
}

/// What the leaves are drawn from.
fn sheet(page: Page) -> Memo<Arc<Sheet>> {
    let rehearsal = here(page);
    let limb = Memo::new(move |_| rehearsal.with(|r| r.limb));
    let tab = Memo::new(move |_| {
        let (shown, song, instrument) = (page.chosen.get()?, page.song.get()?, page.instrument.get()?);
        let whole = Tab::of(&shown.performance, &instrument, &song, Signs::Letters);
        let whole = with_chords(whole, &song, page.desk.with(|d| d.naming), spell);
        Some(limb.get().tab(&whole, &shown.performance))
    });
    Memo::new(move |_| {
        let hidden = rehearsal.with(|r| r.hidden);
        let cards = page.song.with(|song| song.as_ref().map(|s| crate::app::bars::cards(s)));
        Arc::new(Sheet::new(tab.get(), cards.unwrap_or_default(), hidden))
    })
}

/// Play, where we are, the speed, and the way back.
#[component]
fn StandDeck() -> impl IntoView {
    let page = Page::here();
    let speed = move || format!("{}%", page.desk.with(|d| d.speed));
    let sleeps = (!Wake::possible()).then(|| {
        view! { <span class="fine soft stand-note">{say!("This browser lets the screen sleep.")}</span> }
    });
    view! {
        <div class="stand-deck" role="group" aria-label=say!("Stand")>
            <PlayButton />
            <div class="stepper" role="group" aria-label=say!("Speed")>
                <button type="button" aria-label=say!("Slower") on:click=move |_| faster(page, -5)><Icon sign=Sign::Less /></button>
                <output>{speed}</output>
                <button type="button" aria-label=say!("Faster") on:click=move |_| faster(page, 5)><Icon sign=Sign::More /></button>
            </div>
            {sleeps}
            <button type="button" class="tool" popovertarget="rehearse" aria-haspopup="dialog">{say!("Rehearse")}</button>
            <button type="button" class="tool" aria-label=say!("Close the stand") aria-keyshortcuts="Escape" on:click=move |_| page.act(Command::Show(View::Solo))>
                <Icon sign=Sign::Close />
            </button>
        </div>
    }
}
