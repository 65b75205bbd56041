//! Keeping the work on the device: taken up at the start, written down after each change.

use super::state::Page;
use crate::app::address::Address;
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
    if let Some(address) = named_address() {
        commands_to(address)
            .into_iter()
            .for_each(|command| session.apply(command));
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

/// The place that the address names, if it names one.
fn named_address() -> Option<Address> {
    Address::parse(&window().location().hash().ok()?)
}

/// What leads to a place.
fn commands_to(address: Address) -> Vec<Command> {
    let Address { view, lesson } = address;
    let lesson = (view == View::Learn).then_some(Command::OpenLesson(lesson));
    lesson.into_iter().chain([Command::Show(view)]).collect()
}

/// Writes the place into the address, and goes where the address is changed to: by hand, or by the way back.
fn follow_address(page: Page) {
    let place = Memo::new(move |_| page.desk.with(Address::of));
    Effect::new(move |before: Option<()>| {
        let place = place.get();
        if named_address().as_ref() == Some(&place) {
            return;
        }
        let hash = place.to_string();
        let location = window().location();
        let gone = match before {
            None => location.replace(&hash),
            Some(()) => location.set_hash(&hash),
        };
        // Refused only by a page that is being torn down.
        drop(gone);
    });
    let handle = window_event_listener(ev::hashchange, move |_| {
        if let Some(named) = named_address().filter(|named| *named != place.get_untracked()) {
            commands_to(named).into_iter().for_each(|command| page.act(command));
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
