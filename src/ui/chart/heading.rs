//! The heading's fields as controls that rewrite the text.

use crate::app::Command;
use crate::app::heading::{Field, STYLES, with_field};
use crate::app::reading::Heading as Read;
use crate::theory::{Metre, Swing};
use crate::ui::language::{look, notes};
use crate::ui::state::Page;
use leptos::prelude::*;

pub(super) const KEYS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
pub(super) const MINOR_KEYS: [&str; 12] = [
    "Cm", "C#m", "Dm", "Ebm", "Em", "Fm", "F#m", "Gm", "G#m", "Am", "Bbm", "Bm",
];
const METRES: [&str; 4] = ["4/4", "3/4", "2/4", "6/8"];
const SWINGS: [&str; 2] = [key!("straight"), key!("swung")];
/// Beats a minute that a chart may ask for.
const TEMPI: std::ops::RangeInclusive<u16> = 20..=400;

/// Key, tempo, metre, style and swing.
#[component]
pub(super) fn Heading() -> impl IntoView {
    let page = Page::here();
    let set = move |field: Field, value: String| {
        let text = page.work.with_untracked(|w| with_field(&w.chart, field, &value));
        page.act(Command::WriteChart { text, run: None });
    };
    let read = move |read: fn(&Read) -> String| {
        Signal::derive(move || page.reading.with(|r| r.heading.as_ref().map(read).unwrap_or_default()))
    };
    let key = read(|h| h.key.to_string());
    let metre = read(|h| written(h.metre));
    let style = read(|h| h.style.clone().unwrap_or_default());
    let swing = read(|h| SWINGS[usize::from(h.swing == Swing::Swung)].to_owned());
    let tempo = read(|h| h.tempo.0.round().to_string());
    let set_tempo = move |event: web_sys::Event| {
        if let Some(tempo) = event_target_value(&event)
            .parse::<u16>()
            .ok()
            .filter(|t| TEMPI.contains(t))
        {
            set(Field::Tempo, tempo.to_string());
        } else {
            page.say(say!("A tempo lies between 20 and 400 beats a minute."));
        }
    };
    let styles = std::iter::once("").chain(STYLES).collect();
    view! {
        <div class="heading" role="group" aria-label=say!("Heading")>
            <Pick name=say!("Key") options=KEYS.into_iter().chain(MINOR_KEYS).collect() value=key
                on_pick=move |k| set(Field::Key, format!("key {k}")) />
            <label class="pick">
                {say!("Tempo")}
                <input type="number" inputmode="numeric" min=*TEMPI.start() max=*TEMPI.end() prop:value=tempo on:change=set_tempo />
            </label>
            <Pick name=say!("Metre") options=METRES.to_vec() value=metre on_pick=move |m| set(Field::Metre, m) />
            <Pick name=say!("Style") options=styles value=style on_pick=move |s| set(Field::Style, s) />
            <Pick name=say!("Eighths") options=SWINGS.to_vec() value=swing on_pick=move |s| set(Field::Swing, s) />
        </div>
    }
}

fn written(metre: Metre) -> String {
    format!("{}/{}", metre.count, metre.unit)
}

/// One field with its values. A value that is not on offer is shown all the same.
#[component]
pub(super) fn Pick(
    name: &'static str,
    options: Vec<&'static str>,
    value: Signal<String>,
    on_pick: impl Fn(String) + Copy + 'static,
) -> impl IntoView {
    let known = options.clone();
    let other = move || value.with(|v| !known.contains(&v.as_str())).then(|| value.get());
    let rows = options
        .into_iter()
        .map(|option| {
            let word = if option.is_empty() { "–" } else { option };
            view! { <option value=option prop:selected=move || value.with(|v| v == option)>{notes(look(word))}</option> }
        })
        .collect_view();
    view! {
        <label class="pick">
            {name}
            <select on:change=move |event| on_pick(event_target_value(&event))>
                {rows}
                {move || other().map(|v| view! { <option value=v.clone() selected=true>{v.clone()}</option> })}
            </select>
        </label>
    }
}
