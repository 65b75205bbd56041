//! Rehearsing while it plays: each time round is counted, and the speed climbs.

use super::state::Page;
use crate::app::{Command, Rehearsal};
use leptos::prelude::*;

/// Connects the rounds that are heard to the ladder.
pub(super) fn connect(page: Page) {
    let rounds = page.playing.rounds;
    Effect::new(move |before: Option<u32>| {
        let now = rounds.get();
        if before.is_some_and(|before| now > before) {
            round(page);
        }
        now
    });
}

fn round(page: Page) {
    let (before, top) = page
        .desk
        .with_untracked(|d| (d.speed, d.rehearsal.climbing.then_some(d.rehearsal.ladder.to)));
    page.act(Command::Round);
    let now = page.desk.with_untracked(|d| d.speed);
    if now != before && top == Some(now) {
        page.say(say!("The top of the ladder: {now}%.", now));
    }
}

/// How the pass is rehearsed.
pub(super) fn here(page: Page) -> Memo<Rehearsal> {
    Memo::new(move |_| page.desk.with(|d| d.rehearsal))
}

/// Rehearses in another way.
pub(super) fn change(page: Page, change: impl FnOnce(&mut Rehearsal)) {
    let mut rehearsal = page.desk.with_untracked(|d| d.rehearsal);
    change(&mut rehearsal);
    page.act(Command::Rehearse(rehearsal));
}
