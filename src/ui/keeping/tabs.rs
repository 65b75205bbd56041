//! Other tabs with the same page: what one writes, the others show.

use super::{Keeping, papers};
use crate::app::Command;
use crate::app::shelf::{SongId, Taken};
use crate::ui::state::Page;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use web_sys::{BroadcastChannel, MessageEvent};

/// What the tabs talk over. Only tabs of this host hear it.
const NAME: &str = "leadbar.shelf";

/// The way to the other tabs.
pub(super) struct Tabs {
    channel: BroadcastChannel,
    _hear: Closure<dyn FnMut(MessageEvent)>,
}

impl Tabs {
    /// Joins them, where the browser has a way. Without it a tab learns of another's writing when it writes itself.
    pub(super) fn join(page: Page, keeping: Keeping) -> Option<Self> {
        let channel = BroadcastChannel::new(NAME).ok()?;
        let hear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            if let Some(Ok(song)) = event.data().as_string().map(|text| text.parse()) {
                follow(page, keeping, song);
            }
        });
        channel.set_onmessage(Some(hear.as_ref().unchecked_ref()));
        Some(Self { channel, _hear: hear })
    }

    /// Tells the others that a song was written.
    pub(super) fn tell(&self, song: SongId) {
        // A tab that does not hear it finds out when it writes.
        drop(self.channel.post_message(&JsValue::from(song.to_string())));
    }
}

/// Shows a song as another tab has written it, unless it has been changed here as well.
fn follow(page: Page, keeping: Keeping, song: SongId) {
    keeping.list();
    let idle = move || {
        page.work.try_with_untracked(|work| work.song == song) == Some(true)
            && keeping.desk.try_with_value(|desk| desk.waits(song)) == Some(false)
    };
    let Some(shelf) = keeping.shelf().filter(|_| idle()) else {
        return;
    };
    spawn_local(async move {
        let Ok(Some(text)) = shelf.record(song).await else {
            return;
        };
        let Ok(Ok(Taken::Whole(record))) = papers::record(text).await else {
            return;
        };
        if record.removed.is_none() && idle() {
            let work = crate::app::Work {
                song,
                ..record.work.clone()
            };
            keeping.desk.update_value(|desk| desk.saw(&work, &record));
            page.act(Command::Restore(Box::new(work)));
        }
    });
}
