//! Choosing a chord: those of the song, or any number.

use crate::app::neck_view::{different_chords, lone_chord};
use crate::theory::{ChordSpan, Numeral, Timeline};
use crate::ui::language::{notes, tell};
use crate::ui::state::Lasting;
use leptos::prelude::*;
use std::sync::Arc;

/// Which chord the user wants to see.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Choice {
    /// One of the song's different chords, by its place among them.
    Song(usize),
    /// A number of the user's own.
    Own(Numeral),
}

impl Choice {
    /// The chord in this song.
    pub(super) fn span(self, timeline: &Timeline) -> Option<ChordSpan> {
        match self {
            Self::Song(index) => {
                let chords = different_chords(timeline);
                chords.get(index).or_else(|| chords.first()).copied()
            }
            Self::Own(numeral) => Some(lone_chord(numeral, timeline.key)),
        }
    }
}

/// The song's chords as buttons, and a field for any other. `shown` is the chord on the neck.
#[component]
pub(super) fn Chords(
    timeline: Signal<Arc<Timeline>>,
    shown: Lasting<Memo<Option<ChordSpan>>>,
    choose: Callback<Choice>,
) -> impl IntoView {
    let chords = Memo::new(move |_| timeline.with(|t| different_chords(t)));
    let fault = RwSignal::new(None::<String>);
    let read = move |event: web_sys::Event| {
        let text = event_target_value(&event);
        let text = text.trim();
        if text.is_empty() {
            return fault.set(None);
        }
        match text.parse() {
            Ok(numeral) => {
                fault.set(None);
                choose.run(Choice::Own(numeral));
            }
            Err(why) => fault.set(Some(tell(&why.said()))),
        }
    };
    let button = move |index: usize, chord: ChordSpan| {
        let here = move || {
            shown.with(|s| {
                s.as_ref()
                    .is_some_and(|s| s.numeral == chord.numeral && s.key == chord.key)
            })
        };
        let press = move |_| {
            fault.set(None);
            choose.run(Choice::Song(index));
        };
        view! {
            <button
                type="button"
                class="neck-chord"
                aria-pressed=move || if here() { "true" } else { "false" }
                on:click=press
            >
                {chord.numeral.to_string()}
                <small>{notes(chord.chord.root)}</small>
            </button>
        }
    };
    view! {
        <div class="neck-chords" role="group" aria-label=say!("Chord")>
            {move || chords.get().into_iter().enumerate().map(|(i, c)| button(i, c)).collect_view()}
            <label class="neck-any">
                <span>{say!("Any number")}</span>
                <input
                    type="text"
                    size="5"
                    maxlength="12"
                    autocomplete="off"
                    autocapitalize="off"
                    spellcheck="false"
                    placeholder="b7"
                    aria-invalid=move || fault.with(|f| f.is_some().then_some("true"))
                    aria-describedby="neck-fault"
                    on:change=read
                />
            </label>
        </div>
        <p class="neck-fault small" id="neck-fault" role="status">{move || fault.get()}</p>
    }
}
