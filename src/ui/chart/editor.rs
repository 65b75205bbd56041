//! The text of the chart, written with a keyboard or tapped on the pad.

use super::heading::Heading;
use super::notes::{Notes, NotesCount};
use crate::app::Command;
use crate::app::pad::{PadKey, press};
use crate::platform::frames::clock;
use crate::theory::chart::HELP;
use crate::ui::controls::UndoRedo;
use crate::ui::language::look;
use crate::ui::state::Page;
use leptos::html::{Div, Textarea};
use leptos::prelude::*;

/// A pause this long (in milliseconds) begins another step for undo.
const PAUSE: f64 = 1200.0;

/// The keys of the pad, row by row, with what they say.
const PAD: [[(&str, PadKey); 7]; 4] = [
    [
        ("1", PadKey::Degree("1")),
        ("2", PadKey::Degree("2")),
        ("3", PadKey::Degree("3")),
        ("4", PadKey::Degree("4")),
        ("5", PadKey::Degree("5")),
        ("6", PadKey::Degree("6")),
        ("7", PadKey::Degree("7")),
    ],
    [
        ("b", PadKey::Accidental("b")),
        ("#", PadKey::Accidental("#")),
        ("–", PadKey::Suffix("-")),
        ("x7", PadKey::Suffix("7")),
        ("maj7", PadKey::Suffix("maj7")),
        ("sus4", PadKey::Suffix("sus4")),
        ("dim", PadKey::Suffix("dim")),
    ],
    [
        ("/", PadKey::Suffix("/")),
        ("(", PadKey::Plain(" (")),
        (")", PadKey::Plain(")")),
        ("x6", PadKey::Suffix("6")),
        ("x9", PadKey::Suffix("9")),
        ("line", PadKey::Plain("\n")),
        ("del", PadKey::Delete),
    ],
    [
        ("|:", PadKey::Word("|:")),
        (":|", PadKey::Word(":|")),
        ("%", PadKey::Word("%")),
        ("r", PadKey::Word("r")),
        ("< >", PadKey::Held),
        ("<", PadKey::Pushed),
        ("!", PadKey::Suffix("!")),
    ],
];

/// Text, pad, heading and notes.
#[component]
pub(super) fn Editor() -> impl IntoView {
    let page = Page::here();
    let area = NodeRef::<Textarea>::new();
    let notes = NodeRef::<Div>::new();
    let keyboard = RwSignal::new(false);
    let runs = StoredValue::new((0_u64, 0.0_f64));
    let run = move || {
        let now = clock();
        runs.update_value(|(run, last)| {
            if now - *last > PAUSE {
                *run += 1;
            }
            *last = now;
        });
        Some(runs.with_value(|(run, _)| *run))
    };
    let write = move |text: String| page.act(Command::WriteChart { text, run: run() });
    let tap = move |key: PadKey| {
        let Some(area) = area.get_untracked() else { return };
        let text = area.value();
        let caret = caret_of(&text, area.selection_start().ok().flatten());
        let (text, caret) = press(&text, caret, key);
        area.set_value(&text);
        place_caret(&area, &text, caret);
        write(text);
    };
    let go_to = move |line: usize, column: usize| {
        let Some(area) = area.get_untracked() else { return };
        let text = area.value();
        let before: usize = text
            .split('\n')
            .take(line.saturating_sub(1))
            .map(|l| l.chars().count() + 1)
            .sum();
        let _ = area.focus();
        place_caret(&area, &text, before + column.saturating_sub(1));
    };
    let look = move || {
        if let Some(notes) = notes.get_untracked() {
            notes.scroll_into_view();
        }
    };
    view! {
        <Heading />
        <textarea
            node_ref=area
            class="text"
            rows="3"
            aria-label=say!("Chart")
            spellcheck="false"
            autocapitalize="off"
            autocomplete="off"
            inputmode=move || if keyboard.get() { "text" } else { "none" }
            prop:value=move || page.work.with(|w| w.chart.to_string())
            on:input=move |event| write(event_target_value(&event))
        ></textarea>
        <NotesCount on_look=look />
        <div class="pad" role="group" aria-label=say!("Pad")>
            {PAD
                .into_iter()
                .flatten()
                .map(|(label, key)| {
                    view! {
                        <button type="button" aria-label=spoken(label) on:pointerdown=|e| e.prevent_default() on:click=move |_| tap(key)>
                            {label.strip_prefix('x').unwrap_or_else(|| face(label))}
                        </button>
                    }
                })
                .collect_view()}
        </div>
        <div class="line-up apart">
            <UndoRedo />
            <button type="button" class="do slim touch-only" on:click=move |_| keyboard.update(|k| *k = !*k)>
                {move || if keyboard.get() { say!("Use the pad") } else { say!("Use the keyboard") }}
            </button>
        </div>
        <div node_ref=notes class="notes-room">
            <Notes on_place=go_to />
        </div>
        <Signs />
    }
}

/// How everything is written that a chart can hold.
#[component]
fn Signs() -> impl IntoView {
    view! {
        <details class="signs">
            <summary>{say!("How to write it")}</summary>
            <dl class="keys">
                {HELP.map(|(sign, meaning)| view! { <dt><code>{sign}</code></dt><dd>{look(meaning)}</dd> }).collect_view()}
            </dl>
        </details>
    }
}

/// What is written on a key.
fn face(label: &'static str) -> &'static str {
    match label {
        "line" => say!("line¦a key"),
        "del" => say!("del¦a key"),
        other => other,
    }
}

fn spoken(label: &'static str) -> &'static str {
    match label {
        "–" => say!("minor: –"),
        "x7" => say!("seventh: 7"),
        "x6" => say!("sixth: 6"),
        "x9" => say!("ninth: 9"),
        "/" => say!("bass: /"),
        "line" => say!("line: a new one"),
        "del" => say!("del: take away"),
        "b" => say!("b: flat"),
        "#" => say!("#: sharp"),
        "|:" => say!("repeat from: |:"),
        ":|" => say!("repeat to: :|"),
        "%" => say!("the bar again: %"),
        "r" => say!("rest: r"),
        "< >" => say!("left to ring: < >"),
        "<" => say!("push: <"),
        "!" => say!("choke: !"),
        other => other,
    }
}

/// The caret in characters; the browser counts it in UTF-16 units. At the end when it is nowhere.
fn caret_of(text: &str, units: Option<u32>) -> usize {
    let Some(units) = units else {
        return text.chars().count();
    };
    let mut left = units as usize;
    text.chars()
        .take_while(|c| {
            let fits = left >= c.len_utf16();
            left = left.saturating_sub(c.len_utf16());
            fits
        })
        .count()
}

fn place_caret(area: &web_sys::HtmlTextAreaElement, text: &str, caret: usize) {
    let units: usize = text.chars().take(caret).map(char::len_utf16).sum();
    let units = u32::try_from(units).unwrap_or(u32::MAX);
    // Fails only for an element that has no caret.
    drop(area.set_selection_range(units, units));
}
