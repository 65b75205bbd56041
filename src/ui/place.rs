//! The place in the page, as its address names it.

use super::state::Page;
use crate::app::address::Address;
use crate::app::{Command, Session, View};
use leptos::ev;
use leptos::prelude::*;

/// The place that the address names, if it names one.
fn named() -> Option<Address> {
    Address::parse(&window().location().hash().ok()?)
}

/// Begins a session at the place that the address names.
pub(super) fn lead(session: &mut Session) {
    if let Some(named) = named() {
        commands_to(named)
            .into_iter()
            .for_each(|command| session.apply(command));
    }
}

/// What leads to a place.
fn commands_to(address: Address) -> Vec<Command> {
    let Address { view, lesson } = address;
    let lesson = (view == View::Learn).then_some(Command::OpenLesson(lesson));
    lesson.into_iter().chain([Command::Show(view)]).collect()
}

/// Writes the place into the address, and goes where the address is changed to: by hand, or by the way back.
pub(super) fn follow(page: Page) {
    let place = Memo::new(move |_| page.desk.with(Address::of));
    Effect::new(move |before: Option<()>| {
        let place = place.get();
        if named().as_ref() == Some(&place) {
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
        if let Some(named) = named().filter(|named| *named != place.get_untracked()) {
            commands_to(named).into_iter().for_each(|command| page.act(command));
        }
    });
    on_cleanup(move || handle.remove());
}
