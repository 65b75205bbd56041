//! What is asked of a room from outside it: its code lies with the room's.

use super::chart::Ear;
use super::class::{self, Opened, Seat};
use super::files::{self, Offered, arrivals};
use super::proposing;
use super::reporting::Reporting;
use super::rooms::{not_loaded, when};
use super::state::{Hand, Page};
use crate::app::files::Export;
use crate::app::{View, first};
use crate::exchange::link::LinkError;
use crate::platform::apart::apart;
use crate::platform::frames::{pause, rest};
use crate::solo::{Draft, Offer};
use crate::teach::scorm::Content;
use arrivals::Several;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos::wasm_split::SplitLoaderError;
use std::future::Future;
use web_sys::File;

/// How long until a file that did not come is asked for again, in milliseconds.
const AGAIN: i32 = 1000;

apart! {
    fn saved(page: Page, export: Export) -> (), in places {
        files::save(page, export);
    }

    fn file_opened(page: Page, several: Several, offered: Offered, file: File) -> (), in places {
        arrivals::take(page, several, offered, file);
    }

    fn sound_opened(page: Page, ear: Ear, sound: File) -> (), in places {
        ear.choose(page, sound);
    }

    fn ear_opened(ear: Ear) -> (), in places {
        ear.begin_keeping();
    }

    fn link_opened(page: Page, offered: Offered, address: String) -> bool, in places {
        arrivals::open_link(page, offered, &address)
    }

    fn seated(page: Page, opened: Opened, reporting: Reporting, seat: Seat) -> (), in course {
        class::take_seat(page, opened, reporting, seat);
    }

    /// What the word of a package's entry page says.
    pub(super) fn packed(word: String) -> Result<Content, LinkError>, in course {
        Content::read(&word)
    }

    /// Reads the passes that come with the page.
    pub(super) fn first_draft(text: String) -> Option<Draft>, in solo {
        first::read(&text)
    }

    fn put_in_hand(page: Page, hand: Hand) -> (), in later {
        proposing::put(page, hand);
    }

    fn typed_read(page: Page, text: String) -> (), in later {
        proposing::read(page, &text);
    }

    fn mended(page: Page, offer: Offer) -> (), in later {
        proposing::mend(page, &offer);
    }
}

/// Saves one kind of file of what is on the page.
pub(super) fn save(page: Page, export: Export) {
    go(page, saved(page, export));
}

/// Opens a file that was given.
pub(super) fn open_file(page: Page, several: Several, offered: Offered, file: File) {
    go(page, file_opened(page, several, offered, file));
}

/// Hears a recording that was given.
pub(super) fn hear(page: Page, ear: Ear, sound: File) {
    go(page, sound_opened(page, ear, sound));
}

/// Has the ear take up what it heard last, once the page is at rest. What it keeps it keeps as long as what calls this
/// lives.
pub(super) fn open_ear(ear: Ear) {
    let owner = Owner::current();
    spawn_local(async move {
        rest().await;
        // Where the code does not come, the chart itself says so.
        if super::rooms::fetch(View::Chart).await.is_ok() {
            with_owner(owner, || when(ear_opened(ear), |_| ()));
        }
    });
}

/// Opens what an address holds: an instrument is offered, and whoever is set work is seated.
pub(super) fn open_link(page: Page, offered: Offered, (opened, reporting): (Opened, Reporting), address: String) {
    let owner = Owner::current();
    spawn_local(async move {
        match link_opened(page, offered, address.clone()).await {
            Ok(false) => {}
            Ok(true) => with_owner(owner, || sit(page, opened, reporting, Seat::Link(address))),
            Err(_) => page.say(not_loaded()),
        }
    });
}

/// Sits down to work that was set. What is kept of it lives as long as what calls this.
pub(super) fn sit(page: Page, opened: Opened, reporting: Reporting, seat: Seat) {
    let owner = Owner::current();
    spawn_local(async move {
        // Loaded first, for the work itself is begun where the caller stands.
        let there = super::rooms::fetch(View::Class).await;
        with_owner(owner, || match there {
            Ok(()) => go(page, seated(page, opened, reporting, seat)),
            Err(_) => page.say(not_loaded()),
        });
    });
}

/// Puts what is in hand into the proposal.
pub(super) fn put(page: Page, hand: Hand) {
    go(page, put_in_hand(page, hand));
}

/// Reads a bar that was typed: proposed and heard where it is understood.
pub(super) fn read(page: Page, text: String) {
    go(page, typed_read(page, text));
}

/// Mends what is proposed by a change more.
pub(super) fn mend(page: Page, offer: Offer) {
    go(page, mended(page, offer));
}

/// Waits until something is done; where its code did not come, that is said.
fn go(page: Page, done: impl Future<Output = Result<(), SplitLoaderError>> + 'static) {
    when(done, move |done| {
        if done.is_err() {
            page.say(not_loaded());
        }
    });
}

fn with_owner(owner: Option<Owner>, act: impl FnOnce()) {
    match owner {
        Some(owner) => owner.with(act),
        None => act(),
    }
}

/// Asks until the code for it has come: without the answer the page must not begin.
pub(super) async fn insist<T, F: Future<Output = Result<T, SplitLoaderError>>>(ask: impl Fn() -> F) -> T {
    loop {
        if let Ok(answer) = ask().await {
            return answer;
        }
        pause(AGAIN).await;
    }
}
