//! Keeping the work on the device: taken up at the start, written down after each change.

use super::state::Page;
use crate::app::snapshot::{Snapshot, SnapshotError};
use crate::app::{Command, DEMO_SONGS, Desk, Session, View, Work};
use crate::platform::storage;
use leptos::ev;
use leptos::prelude::*;
use std::time::Duration;

/// Under which name the work is kept.
const NAME: &str = "leadbar.work";
/// How long the hands must rest before it is written down.
const REST: Duration = Duration::from_millis(400);

/// Takes up the kept work, or a demo song on the first visit, and provides the page's state.
pub(super) fn begin() -> Page {
    let (mut session, news) = match storage::kept(NAME).map(|text| Snapshot::from_text(&text)) {
        None => (first_session(), None),
        Some(Ok(kept)) => (Session::new(kept.work, kept.desk), None),
        Some(Err(error)) => {
            let session = match &error {
                SnapshotError::ChartOnly { chart } => Session::new(Work::on(chart), Desk::default()),
                SnapshotError::Unreadable => first_session(),
            };
            (session, Some(error.to_string()))
        }
    };
    if let Some(view) = view_in_address() {
        session.apply(Command::Show(view));
    }
    let page = Page::provide(session);
    if let Some(words) = news {
        page.say(words);
    }
    write_down(page);
    follow_address(page);
    page
}

fn first_session() -> Session {
    let song = &DEMO_SONGS[0];
    let mut work = Work::on(song.chart);
    work.request.feel = song.feel.to_owned();
    Session::new(work, Desk::default())
}

/// The view that the address names, as in `#/chart`.
fn view_in_address() -> Option<View> {
    let hash = window().location().hash().ok()?;
    let name = hash.trim_start_matches(['#', '/']);
    [View::Chart, View::Neck, View::Solo, View::Rig, View::Stand]
        .into_iter()
        .find(|view| view.name().eq_ignore_ascii_case(name))
}

/// Writes the view into the address, and goes where the address is changed to: by hand, or by the way back.
fn follow_address(page: Page) {
    let view = Memo::new(move |_| page.desk.with(|d| d.view));
    Effect::new(move |before: Option<()>| {
        let view = view.get();
        if view_in_address() == Some(view) {
            return;
        }
        let hash = format!("#/{}", view.name().to_lowercase());
        let location = window().location();
        let gone = match before {
            None => location.replace(&hash),
            Some(()) => location.set_hash(&hash),
        };
        // Refused only by a page that is being torn down.
        drop(gone);
    });
    let handle = window_event_listener(ev::hashchange, move |_| {
        if let Some(named) = view_in_address().filter(|named| *named != view.get_untracked()) {
            page.act(Command::Show(named));
        }
    });
    on_cleanup(move || handle.remove());
}

fn write_down(page: Page) {
    let waiting = StoredValue::new(None::<leptos::leptos_dom::helpers::TimeoutHandle>);
    let told = StoredValue::new(false);
    let write = move || {
        let text = page
            .work
            .with_untracked(|work| page.desk.with_untracked(|desk| Snapshot::of(work, desk).to_text()));
        match storage::keep(NAME, &text) {
            Ok(()) => told.set_value(false),
            // Once is enough, until it has worked again.
            Err(error) if !told.get_value() => {
                told.set_value(true);
                page.say(error.to_string());
            }
            Err(_) => {}
        }
    };
    Effect::new(move |first: Option<()>| {
        page.work.track();
        page.desk.track();
        if first.is_none() {
            return;
        }
        if let Some(handle) = waiting.get_value() {
            handle.clear();
        }
        waiting.set_value(set_timeout_with_handle(write, REST).ok());
    });
    // A page that is put away may not come back to write.
    let handle = window_event_listener(ev::pagehide, move |_| write());
    on_cleanup(move || handle.remove());
}
