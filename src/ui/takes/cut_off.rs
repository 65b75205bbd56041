//! Takes whose page was left while they were recorded: what was played is found again when the page next has their song.

use super::Studio;
use crate::app::shelf::SongId;
use crate::platform::frames::pause;
use crate::platform::takes;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A take that another tab still records is written down anew in less time than this, in milliseconds.
const LIVE: i32 = 6_000;
/// The work is saved in less time than this, in milliseconds.
const SAVED: i32 = 10_000;

/// Looks for them whenever another song is in hand.
pub(super) fn follow(studio: Studio) {
    let song = Memo::new(move |_| studio.page.work.with(|w| w.song));
    Effect::new(move || {
        let song = song.get();
        spawn_local(async move {
            for key in takes::begun_keys().await {
                bring_back(studio, song, key).await;
            }
        });
    });
}

/// Forgets that a take was in the making, once it is saved among its song's takes.
pub(super) fn forget(key: String) {
    spawn_local(async move {
        pause(SAVED).await;
        takes::forget_begun(&key).await;
    });
}

async fn bring_back(studio: Studio, song: SongId, key: String) {
    if studio.now().list.iter().any(|take| take.key == key) {
        return takes::forget_begun(&key).await;
    }
    let Some(begun) = takes::begun(&key).await.filter(|begun| begun.is_of(song)) else {
        return;
    };
    pause(LIVE).await;
    let in_hand = studio.page.work.try_with_untracked(|w| w.song);
    if in_hand != Some(song) || takes::begun(&key).await.as_ref() != Some(&begun) {
        return;
    }
    let Some((timeline, pace)) = untrack(|| studio.song()) else {
        return;
    };
    let frames = takes::end_begun(&key).await;
    if let Some((heard, bars, delay)) = begun.ended(frames) {
        let kept = key.clone();
        studio.change(None, |takes| takes.add(heard, kept, bars, delay, &timeline, &pace));
        let name = studio
            .now()
            .list
            .last()
            .map_or_else(String::new, |take| take.name.clone());
        studio.page.say(say!(
            "The page was left while you recorded. What was played until then is kept: {name}.",
            name
        ));
    }
    forget(key);
}
