//! Recording takes over the song, choosing among them bar by bar, and hearing the choice in the solo's place.

mod bars;
mod cut_off;
mod hear;
mod row;
mod run;
mod view;
mod write;

pub(super) use view::TakesSection;
pub(super) use write::{Written, write};

use super::state::{Lasting, Page};
use crate::app::Command;
use crate::app::takes::{Pace, TakeId, Takes};
use crate::platform::takes::Vault;
use crate::theory::Timeline;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::collections::BTreeSet;
use std::rc::Rc;
use std::sync::Arc;

/// The takes of the page, whatever is looked at.
#[derive(Clone, Copy)]
pub(super) struct Studio {
    page: Page,
    vault: StoredValue<Rc<Vault>, LocalStorage>,
    /// The takes of the song in hand.
    takes: Lasting<Memo<Arc<Takes>>>,
    /// Whether the comp sounds in the solo's place.
    heard: Lasting<RwSignal<bool>>,
    /// Whether it is being made ready for that.
    making: Lasting<RwSignal<bool>>,
    /// Takes whose sound is not on this device.
    missing: Lasting<RwSignal<BTreeSet<TakeId>>>,
    /// Takes that the device had no room for.
    unkept: Lasting<RwSignal<Vec<String>>>,
    /// Tells a comp in the making from one that is no longer wanted.
    turn: StoredValue<u32>,
}

/// Begins to look after the takes.
pub(super) fn connect(page: Page) {
    let studio = Studio {
        page,
        vault: StoredValue::new_local(Rc::default()),
        takes: Lasting::memo(move |_| page.work.with(|w| Arc::clone(&w.takes))),
        heard: Lasting::signal(false),
        making: Lasting::signal(false),
        missing: Lasting::signal(BTreeSet::new()),
        unkept: Lasting::signal(Vec::new()),
        turn: StoredValue::new(0),
    };
    provide_context(studio);
    hear::follow(studio);
    studio.look_for_sound();
    cut_off::follow(studio);
}

impl Studio {
    /// What [`connect`] provided.
    pub(super) fn here() -> Self {
        expect_context()
    }

    /// The takes as they are now.
    pub(super) fn now(self) -> Arc<Takes> {
        self.takes.get_untracked()
    }

    /// Changes them; what belongs to one `run` (a drag) is undone together.
    fn change(self, run: Option<u64>, change: impl FnOnce(&mut Takes)) {
        let mut takes = self.now();
        change(Arc::make_mut(&mut takes));
        self.page.act(Command::Takes { takes, run });
    }

    /// The song and when it has each beat.
    fn song(self) -> Option<(Arc<Timeline>, Pace)> {
        let song = self.page.song.get()?;
        let clock = self.page.work.with(|w| w.recording.as_ref()?.clock(&song).ok());
        let pace = Pace::of(&song, clock);
        Some((song, pace))
    }

    /// Finds out which takes can't be heard here.
    fn look_for_sound(self) {
        let keys = Memo::new(move |_| {
            let of = |take: &Arc<crate::app::takes::Take>| (take.id, take.key.clone());
            self.takes.with(|takes| takes.list.iter().map(of).collect::<Vec<_>>())
        });
        Effect::new(move || {
            let keys = keys.get();
            let vault = self.vault.get_value();
            spawn_local(async move {
                let mut missing = BTreeSet::new();
                for (id, key) in &keys {
                    if !vault.has(key).await {
                        missing.insert(*id);
                    }
                }
                self.missing.set(missing);
            });
        });
    }
}
