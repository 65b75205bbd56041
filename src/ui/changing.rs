//! Changing one thing: the move that is looked at, what is offered instead, and what is tried.
//!
//! *Invariant:* what is tried is heard and drawn, but is no part of the work until it is kept.

use super::playing;
use super::state::{Page, Run};
use crate::app::command::Revised;
use crate::app::jobs::{Job, News, Product};
use crate::app::revising::{self, AskOffers};
use crate::app::{Chosen, Command, Kept, Shown, View};
use crate::platform::worker::Newest;
use crate::solo::{Move, Pass};
use crate::theory::Beats;
use crate::ui::language::tell;
use leptos::prelude::*;
use std::ops::Range;
use std::sync::Arc;

/// How many changes are offered at first, and when more are asked for.
const FIRST: usize = 12;
const ALL: usize = 60;
/// The lanes are in sight when they begin no further down than this, and are brought here, in CSS pixels.
const HIGH_UP: f64 = 160.0;
const UNDER_THE_HEAD: f64 = 64.0;

/// Whether two passes differ in nothing but which moves are locked.
pub(super) fn same_music(a: &Pass, b: &Pass) -> bool {
    let unlocked = |action: &Move| Move {
        locked: false,
        ..action.clone()
    };
    a.moves.len() == b.moves.len() && a.moves.iter().zip(&b.moves).all(|(a, b)| unlocked(a) == unlocked(b))
}

/// Connects the reviser to the page: whenever another move is looked at, its offers are worked out.
pub(super) fn connect(page: Page) {
    let changing = page.changing;
    let on_news = move |news| match news {
        News::Done(Product::Offers(offers)) => {
            changing.working.set(false);
            changing.fault.set(None);
            changing.offers.set(offers);
        }
        News::Refused(refused) => {
            changing.working.set(false);
            changing.fault.set(Some(tell(&refused.0)));
        }
        News::Going(_) | News::Done(_) => {}
    };
    let on_fault = move || {
        changing.working.set(false);
        changing.fault.set(Some(
            say!("The search for changes stopped. Close this and try again.").to_owned(),
        ));
    };
    let worker = StoredValue::new_local(Newest::new(on_news, on_fault));
    // Another pass has other moves.
    let pass = Memo::new(move |_| page.chosen.with(|shown| shown.as_ref().map(|s| Arc::clone(&s.pass))));
    Effect::new(move |before: Option<Option<Arc<Pass>>>| {
        let now = pass.get();
        let same = before
            .flatten()
            .zip(now.clone())
            .is_none_or(|(a, b)| same_music(&a, &b));
        if !same {
            changing.leave();
        }
        now
    });
    Effect::new(move || {
        pass.track();
        let (Some(index), all) = (changing.index.get(), changing.all.get()) else {
            return;
        };
        let Some(ask) = question(page, index, if all { ALL } else { FIRST }) else {
            return;
        };
        changing.working.set(true);
        worker.with_value(|worker| worker.ask(Job::Offer(Box::new(ask))));
    });
}

fn question(page: Page, index: usize, most: usize) -> Option<AskOffers> {
    let (song, instrument) = (page.song.get_untracked()?, page.instrument.get_untracked()?);
    let mut pass = page.chosen.with_untracked(|s| s.as_ref().map(|s| (*s.pass).clone()))?;
    pass.request.avoided = page.work.with_untracked(|work| work.full_request(&instrument).avoided);
    Some(AskOffers {
        song: (*song).clone(),
        instrument: (*instrument).clone(),
        pass,
        index,
        most,
    })
}

/// A move was pointed at: where the song stands still its menu opens, where it runs it is gone to.
pub(super) fn point(page: Page, at: Beats) {
    if page.proposing.proposal.with_untracked(Option::is_some) {
        return page.say(say!("Keep or leave what is proposed first."));
    }
    if page.playing.run.get_untracked() != Run::Stopped && !playing::auditioning(page) {
        return playing::seek(page, at);
    }
    let found = page.chosen.with_untracked(|shown| {
        let shown = shown.as_ref()?;
        let index = shown.move_at(at)?;
        Some((index, shown.moves.get(index)?.at))
    });
    match found {
        Some((index, start)) => look_at(page, index, start),
        None => playing::seek(page, at),
    }
}

/// Opens the menu of the move at the place that is shown, where the solo is.
pub(super) fn here(page: Page) {
    if page.desk.with_untracked(|d| d.view == View::Solo) {
        playing::stop(page);
        point(page, page.playing.at.get_untracked());
    }
}

/// Opens the menu of a move and goes to it.
pub(super) fn look_at(page: Page, index: usize, start: Beats) {
    playing::stop(page);
    playing::seek(page, start);
    page.proposing.leave();
    page.changing.open(index);
    show_lanes();
}

/// Brings the lanes into sight where they are not: what is tried is drawn there.
pub(super) fn show_lanes() {
    let Ok(Some(lanes)) = document().query_selector(".picture") else {
        return;
    };
    let top = lanes.get_bounding_client_rect().top();
    if !(0.0..HIGH_UP).contains(&top) {
        let options = web_sys::ScrollToOptions::new();
        options.set_top((window().scroll_y().unwrap_or(0.0) + top - UNDER_THE_HEAD).max(0.0));
        window().scroll_to_with_scroll_to_options(&options);
    }
}

/// Tries an offer, or the pass as it is: it is heard at once, in its place in the song.
pub(super) fn listen(page: Page, offer: Option<usize>) {
    let changing = page.changing;
    changing.tried.set(offer);
    if let Some(around) = heard_around(page, offer) {
        playing::audition(page, around);
    }
}

fn heard_around(page: Page, offer: Option<usize>) -> Option<Range<Beats>> {
    let song = page.song.get_untracked()?;
    let shown = page.chosen.get_untracked()?;
    let own = shown.moves.get(page.changing.index.get_untracked()?)?;
    let changed = page.changing.offers.with_untracked(|offers| {
        offer
            .and_then(|index| offers.get(index))
            .map_or(own.at..own.end, |offer| revising::stretch(&shown.pass, &offer.change))
    });
    Some(revising::context(&song, changed))
}

/// Keeps what is tried as a new pass that comes of the one that was changed.
pub(super) fn keep(page: Page) {
    let changing = page.changing;
    let offer = changing
        .tried
        .get_untracked()
        .and_then(|index| changing.offers.with_untracked(|offers| offers.get(index).cloned()));
    let (Some(offer), Some(shown)) = (offer, page.chosen.get_untracked()) else {
        return;
    };
    let bar = shown.moves.get(offer.index).map_or(0, |line| line.bar);
    let command = Command::Revise {
        of: revised(page, &shown),
        pass: Arc::new(offer.made_in(&shown.pass)),
        words: said!("Bar {bar}: {offer}", bar, offer = &offer.words),
    };
    playing::stop(page);
    changing.leave();
    page.act(command);
    page.say(say!("Kept as a new pass. Undo takes it back."));
}

/// What a change of the chosen pass is made in.
pub(super) fn revised(page: Page, shown: &Shown) -> Revised {
    let kept = match page.desk.with_untracked(|d| d.chosen) {
        Chosen::Kept(index) => page.work.with_untracked(|w| w.kept.get(index).map(|kept| kept.id)),
        Chosen::Drafted(_) => None,
    };
    kept.map_or_else(|| Revised::Draft(Arc::new(draft(page, shown))), Revised::Kept)
}

/// The chosen draft as it would be kept.
pub(super) fn draft(page: Page, shown: &Shown) -> Kept {
    page.work.with_untracked(|work| {
        let (chart, instrument) = (Arc::clone(&work.chart), work.rig.instrument.clone());
        Kept::drafted((*shown.pass).clone(), chart, instrument)
    })
}

/// Locks a move, or frees it. A draft is kept first: the next draft would have other moves.
pub(super) fn lock(page: Page, index: usize, locked: bool) {
    let Some(shown) = page.chosen.get_untracked() else {
        return;
    };
    if let Chosen::Drafted(_) = page.desk.with_untracked(|d| d.chosen) {
        page.act(Command::Keep(Arc::new(draft(page, &shown))));
        let last = page.work.with_untracked(|w| w.kept.len()).saturating_sub(1);
        page.act(Command::Choose(Chosen::Kept(last)));
    }
    if let Revised::Kept(pass) = revised(page, &shown) {
        page.act(Command::Lock { pass, index, locked });
    }
    page.say(if locked {
        say!("Locked: no change touches this move.")
    } else {
        say!("Unlocked.")
    });
}
