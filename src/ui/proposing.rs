//! What is proposed for the chosen pass: made by hand on the lanes, typed as tab, or helping where it is heard as dull.
//!
//! *Invariant:* what is proposed is heard and drawn, but is no part of the work until it is kept; while a handle is
//! dragged it is drawn only.

use super::apart;
use super::changing::{revised, same_music, show_lanes};
use super::lanes::{Held, Pull};
use super::playing;
use super::state::{Hand, Page};
use crate::app::by_hand::{Handle, InHand, Setting, TypedBar, grid};
use crate::app::jobs::{Job, News, Product};
use crate::app::proposal::{AskMends, Proposal};
use crate::app::{Command, Shown, View, feels, revising};
use crate::platform::worker::Newest;
use crate::solo::{Breach, Move, Offer, Pass};
use crate::steel::Instrument;
use crate::theory::Timeline;
use leptos::prelude::*;
use std::sync::Arc;

/// How many changes are offered that end a breach.
const MENDS: usize = 3;

/// The pass that is looked at, with its song and instrument.
fn scene(page: Page) -> Option<(Arc<Shown>, Arc<Timeline>, Arc<Instrument>)> {
    Some((
        page.chosen.get_untracked()?,
        page.song.get_untracked()?,
        page.instrument.get_untracked()?,
    ))
}

/// Connects what is proposed to the page: another pass ends it, and what can't be played is mended away from the page.
pub(super) fn connect(page: Page) {
    let proposing = page.proposing;
    let on_news = move |news| {
        if let News::Done(Product::Offers(offers)) = news {
            proposing.mends.set(offers);
        }
    };
    let worker = StoredValue::new_local(Newest::new(on_news, || {}));
    let pass = Memo::new(move |_| page.chosen.with(|shown| shown.as_ref().map(|s| Arc::clone(&s.pass))));
    Effect::new(move |before: Option<Option<Arc<Pass>>>| {
        let now = pass.get();
        if !before
            .flatten()
            .zip(now.clone())
            .is_none_or(|(a, b)| same_music(&a, &b))
        {
            proposing.leave();
        }
        now
    });
    Effect::new(move || {
        proposing.mends.set(Vec::new());
        let (proposal, dragging) = (proposing.proposal.get(), proposing.dragging.get());
        let breach = proposal.as_ref().and_then(|p| p.breaches.first().cloned());
        let (Some(proposal), Some(breach), false) = (proposal, breach, dragging) else {
            return;
        };
        let Some((_, song, instrument)) = scene(page) else {
            return;
        };
        let ask = AskMends {
            song: (*song).clone(),
            instrument: (*instrument).clone(),
            pass: (*proposal.pass).clone(),
            breach,
            most: MENDS,
        };
        worker.with_value(|worker| worker.ask(Job::Mend(Box::new(ask))));
    });
}

/// Takes a move of the chosen pass in hand.
pub(super) fn take(page: Page, index: usize) {
    let locked = page.chosen.with_untracked(|shown| {
        shown
            .as_ref()
            .is_some_and(|s| s.moves.get(index).is_some_and(|line| line.locked))
    });
    if locked {
        return page.say(say!("This move is locked: it stays as it is. Unlock it to change it."));
    }
    playing::stop(page);
    page.changing.leave();
    page.proposing.leave();
    page.proposing.hand.set(Some(Hand {
        index,
        stroke: 0,
        steps: Vec::new(),
    }));
    show_lanes();
}

/// Takes the move at the place that is shown in hand, where the solo is.
pub(super) fn take_here(page: Page) {
    let at = page.playing.at.get_untracked();
    let index = page.chosen.with_untracked(|shown| shown.as_ref()?.move_at(at));
    if let Some(index) = index.filter(|_| page.desk.with_untracked(|d| d.view == View::Solo)) {
        take(page, index);
    }
}

/// Asks with the stroke in hand.
fn in_hand<T>(page: Page, hand: &Hand, ask: impl FnOnce(&InHand<'_>) -> T) -> Option<T> {
    let (shown, song, instrument) = (page.chosen.get()?, page.song.get()?, page.instrument.get()?);
    let own = shown.pass.moves.get(hand.index)?;
    Some(ask(&InHand {
        pass: &shown.pass,
        index: hand.index,
        action: hand.steps.last().unwrap_or(own),
        stroke: hand.stroke,
        song: &song,
        instrument: &instrument,
    }))
}

/// The handles of the stroke in hand, and their grid.
pub(super) fn held(page: Page) -> Memo<Held> {
    Memo::new(move |_| {
        let Some(hand) = page.proposing.hand.get() else {
            return Held::default();
        };
        let holds = in_hand(page, &hand, |h| h.holds()).unwrap_or_default();
        let around = holds.first().map(|hold| hold.at);
        let grid = around.zip(page.song.get()).map(|(at, song)| grid(&song, at));
        Held {
            holds,
            grid: grid.unwrap_or_default(),
        }
    })
}

/// A hand does something with a handle.
pub(super) fn pull(page: Page, handle: Handle, pull: Pull) {
    let proposing = page.proposing;
    let Some(hand) = proposing.hand.get_untracked() else {
        return;
    };
    match pull {
        Pull::Taken => {
            playing::stop(page);
            let taken = untrack(|| {
                in_hand(page, &hand, |in_hand| {
                    Some((in_hand.setting(handle)?, in_hand.action.clone()))
                })
            });
            proposing.taken.set_value(taken.flatten());
            proposing.dragging.set(true);
        }
        Pull::Dragged { by, frets } => {
            let Some((from, action)) = proposing.taken.get_value() else {
                return;
            };
            let setting = untrack(|| {
                in_hand(page, &hand, |h| {
                    InHand { action: &action, ..*h }.dragged(from, by, frets)
                })
            });
            let now = untrack(|| in_hand(page, &hand, |h| h.setting(handle))).flatten();
            if let Some(setting) = setting.filter(|s| now != Some(*s)) {
                set(page, hand, &action, setting, true);
            }
        }
        Pull::LetGo => {
            let moved = proposing.taken.get_value().is_some_and(|(_, before)| {
                let now = hand.steps.last();
                now.is_some_and(|now| *now != before)
            });
            proposing.taken.set_value(None);
            proposing.dragging.set(false);
            if moved {
                hear(page);
            }
        }
        Pull::Stepped(steps) => step(page, hand, handle, steps),
    }
}

/// Moves a handle by steps of its grid.
fn step(page: Page, hand: Hand, handle: Handle, steps: i32) {
    let next = untrack(|| {
        in_hand(page, &hand, |h| {
            let now = h.setting(handle)?;
            let next = h.stepped(now, steps);
            (next != now).then(|| (next, h.action.clone()))
        })
    });
    if let Some((setting, action)) = next.flatten() {
        set(page, hand, &action, setting, false);
        hear(page);
    }
}

/// Sets a handle of `action`; what a drag does is one step.
fn set(page: Page, mut hand: Hand, action: &Move, setting: Setting, dragged: bool) {
    let edited = untrack(|| in_hand(page, &hand, |h| InHand { action, ..*h }.set(setting))).flatten();
    let Some(edited) = edited else { return };
    // The steps of this drag so far give way to the newest.
    let begun = hand.steps.last().is_some_and(|last| last != action);
    if dragged && begun {
        hand.steps.pop();
    }
    hand.steps.push(edited);
    apart::put(page, hand);
}

/// Puts what is in hand into the proposal.
pub(super) fn put(page: Page, hand: Hand) {
    let proposal = scene(page).and_then(|(shown, song, instrument)| {
        let action = hand.steps.last()?;
        Proposal::by_hand(&shown.pass, hand.index, action, &song, &instrument)
    });
    page.proposing.hand.set(Some(hand));
    page.proposing.proposal.set(proposal.map(Arc::new));
}

/// Takes back the last step of the hand, or a typed bar. Whether there was one.
pub(super) fn step_back(page: Page) -> bool {
    if page.proposing.proposal.with_untracked(Option::is_none) {
        return false;
    }
    match page.proposing.hand.get_untracked() {
        Some(mut hand) => {
            hand.steps.pop();
            apart::put(page, hand);
        }
        None => page.proposing.proposal.set(None),
    }
    true
}

/// Looks at another stroke of the move in hand.
pub(super) fn turn_to(page: Page, stroke: usize) {
    page.proposing.hand.update(|hand| {
        if let Some(hand) = hand {
            hand.stroke = stroke;
        }
    });
}

/// Opens a bar of the chosen pass to be typed.
pub(super) fn type_bar(page: Page, bar: usize) {
    playing::stop(page);
    page.changing.leave();
    page.proposing.leave();
    page.proposing.typing.set(Some(bar));
    show_lanes();
}

/// Asks with the bar that is typed.
pub(super) fn typed<T>(page: Page, ask: impl FnOnce(&TypedBar<'_>) -> T) -> Option<T> {
    let bar = page.proposing.typing.get_untracked()?;
    let (shown, song, instrument) = scene(page)?;
    Some(ask(&TypedBar {
        pass: &shown.pass,
        bar,
        song: &song,
        instrument: &instrument,
    }))
}

/// Reads what was typed: proposed and heard where it is understood.
pub(super) fn read(page: Page, text: &str) {
    let read = typed(page, |bar| Some(bar.read(text, feels::limits(bar.pass.request.level)?)));
    let Some(read) = read.flatten() else { return };
    let clear = read.problems.is_empty();
    let nothing = clear && read.change.is_none();
    page.proposing.problems.set(read.problems);
    let proposal = scene(page)
        .zip(read.change)
        .and_then(|((shown, song, instrument), change)| {
            Proposal::of(&shown.pass, &change, said!("typed as tab"), &song, &instrument)
        });
    page.proposing.proposal.set(proposal.map(Arc::new));
    if nothing {
        page.say(say!("The bar is as it was."));
    }
    hear(page);
}

/// Proposes a change that is offered.
pub(super) fn propose(page: Page, offer: &Offer) {
    page.changing.leave();
    page.proposing.leave();
    let proposal = scene(page).and_then(|(shown, song, instrument)| {
        Proposal::of(&shown.pass, &offer.change, offer.words.clone(), &song, &instrument)
    });
    page.proposing.proposal.set(proposal.map(Arc::new));
    show_lanes();
    hear(page);
}

/// Looks for changes that end a breach of the chosen pass.
pub(super) fn mend_own(page: Page, breach: &Breach) {
    page.changing.leave();
    page.proposing.leave();
    let proposal = scene(page).map(|(shown, song, _)| Proposal::to_mend(&shown.pass, breach, &song));
    page.proposing.proposal.set(proposal.map(Arc::new));
    show_lanes();
}

/// Whether what is proposed is another pass than the chosen one.
pub(super) fn is_new(page: Page) -> bool {
    let proposed = page
        .proposing
        .proposal
        .with(|p| p.as_ref().map(|p| Arc::clone(&p.pass)));
    proposed.is_some_and(|proposed| {
        page.chosen
            .with(|shown| shown.as_ref().is_none_or(|shown| !Arc::ptr_eq(&shown.pass, &proposed)))
    })
}

/// Mends what is proposed by a change more.
pub(super) fn mend(page: Page, offer: &Offer) {
    let proposal = page.proposing.proposal.get_untracked();
    let mended = scene(page)
        .zip(proposal)
        .and_then(|((shown, song, instrument), proposal)| proposal.mended(&shown.pass, offer, &song, &instrument));
    if mended.is_some() {
        page.proposing.hand.set(None);
        page.proposing.proposal.set(mended.map(Arc::new));
        hear(page);
    }
}

/// Plays what is proposed, in its place in the song.
pub(super) fn hear(page: Page) {
    let around = page
        .proposing
        .proposal
        .with_untracked(|p| p.as_ref().map(|p| p.around.clone()));
    if let (Some(around), Some(song)) = (around, page.song.get_untracked()) {
        playing::audition(page, revising::context(&song, around));
    }
}

/// Keeps what is proposed as a new pass that comes of the one that is looked at.
pub(super) fn keep(page: Page) {
    let (Some(proposal), Some(shown)) = (page.proposing.proposal.get_untracked(), page.chosen.get_untracked()) else {
        return;
    };
    let command = Command::Revise {
        of: revised(page, &shown),
        pass: Arc::clone(&proposal.pass),
        words: proposal.words.clone(),
    };
    playing::stop(page);
    page.proposing.leave();
    page.act(command);
    page.say(say!("Kept as a new pass. Undo takes it back."));
}

/// Whether anything is in hand, typed or proposed.
pub(super) fn is_on(page: Page) -> bool {
    let proposing = page.proposing;
    proposing.hand.with(Option::is_some) || proposing.typing.get().is_some() || proposing.proposal.with(Option::is_some)
}

/// Leaves the pass as it is.
pub(super) fn leave(page: Page) {
    playing::stop_audition(page);
    page.proposing.leave();
}
