//! The strings that were plucked by hand, shown as sounding for as long as they may be heard.

use crate::steel::StringSet;
use leptos::prelude::*;
use std::time::Duration;

/// How long what was plucked is shown as sounding.
const RINGS_FOR: Duration = Duration::from_secs(3);

/// What rings.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Ringing {
    strings: RwSignal<StringSet>,
    turn: StoredValue<u32>,
}

impl Ringing {
    /// Silence.
    pub(in crate::ui) fn new() -> Self {
        Self {
            strings: RwSignal::new(StringSet::EMPTY),
            turn: StoredValue::new(0),
        }
    }

    /// The strings that ring now.
    pub(in crate::ui) fn strings(self) -> Signal<StringSet> {
        self.strings.into()
    }

    /// Shows strings as plucked.
    pub(in crate::ui) fn pluck(self, strings: StringSet) {
        self.turn.update_value(|t| *t += 1);
        self.strings.set(strings);
        let mine = self.turn.get_value();
        let fade = move || {
            if self.turn.try_get_value() == Some(mine) {
                self.strings.set(StringSet::EMPTY);
            }
        };
        set_timeout(fade, RINGS_FOR);
    }
}
