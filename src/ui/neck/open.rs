//! Which of a page's necks is open: one at a time, so that the page stays light and a key means one neck.

use leptos::prelude::*;

/// The neck that is open.
#[derive(Clone, Copy)]
pub(in crate::ui) struct OpenNeck {
    open: RwSignal<Option<u32>>,
    tickets: StoredValue<u32>,
    figures: RwSignal<bool>,
}

impl OpenNeck {
    /// None yet, for everything below.
    pub(in crate::ui) fn provide() {
        provide_context(Self {
            open: RwSignal::new(None),
            tickets: StoredValue::new(0),
            figures: RwSignal::new(false),
        });
    }

    /// That of the page around.
    pub(in crate::ui) fn here() -> Self {
        expect_context()
    }

    /// A name for a neck that can be opened.
    pub(in crate::ui) fn ticket(self) -> u32 {
        self.tickets.update_value(|t| *t += 1);
        self.tickets.get_value()
    }

    /// Whether this one is open.
    pub(in crate::ui) fn is(self, ticket: u32) -> bool {
        self.open.get() == Some(ticket)
    }

    /// Opens this one.
    pub(in crate::ui) fn show(self, ticket: u32) {
        self.open.set(Some(ticket));
    }

    /// Whether places are given in figures rather than on the neck.
    pub(in crate::ui) fn figures(self) -> RwSignal<bool> {
        self.figures
    }

    /// Opens this one, or closes it.
    pub(in crate::ui) fn turn(self, ticket: u32) {
        self.open.update(|o| *o = (*o != Some(ticket)).then_some(ticket));
    }
}
