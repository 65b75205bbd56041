//! The strings as they are strung.

use super::Workshop;
use crate::app::workshop::Edit;
use crate::steel::{Gauge, StringNumber, StringSpec};
use crate::ui::icons::{Icon, Sign};
use leptos::prelude::*;

/// All of them, and the way to one more.
#[component]
pub(super) fn Strings(workshop: Workshop) -> impl IntoView {
    let page = workshop.page;
    // Rows stay as they are while their figures change, so that focus is not lost.
    let count = Memo::new(move |_| page.instrument.with(|i| i.as_ref().map_or(0, |i| i.strings.len())));
    let rows = move || {
        (0..count.get())
            .filter_map(StringNumber::from_index)
            .map(|string| view! { <Row workshop=workshop string=string last=string.index() + 1 == count.get_untracked() /> })
            .collect_view()
    };
    view! {
        <h3>{say!("Strings")}</h3>
        <ul class="workshop-strings" aria-label=say!("Strings")>{rows}</ul>
        <button type="button" class="do slim" on:click=move |_| workshop.make(&Edit::AddString)>{say!("Add a string")}</button>
    }
}

#[component]
fn Row(workshop: Workshop, string: StringNumber, last: bool) -> impl IntoView {
    let spec = Memo::new(move |_| {
        let of = |i: &crate::steel::Instrument| i.strings.get(string.index()).cloned();
        workshop.page.instrument.with(|i| i.as_ref().and_then(|i| of(i)))
    });
    let shown = move |of: fn(&StringSpec) -> String| spec.with(|s| s.as_ref().map(of));
    let gauge = move |text: String| match text.trim().trim_start_matches('.').parse() {
        Ok(gauge) => workshop.make(&Edit::Gauge {
            string,
            gauge: Gauge(gauge),
        }),
        Err(_) => workshop.complain(say!(
            "\"{text}\" is no gauge: write thousandths of an inch, such as 12 for a .012 string.",
            text
        )),
    };
    view! {
        <li>
            <b>{string.number()}</b>
            <input
                aria-label=say!("String {string}: open note, such as F#4", string)
                prop:value=move || shown(|s| s.pitch.to_string())
                on:change=move |event| workshop.make(&Edit::Pitch { string, pitch: event_target_value(&event) })
            />
            <input
                inputmode="decimal"
                aria-label=say!("String {string}: gauge in thousandths of an inch", string)
                prop:value=move || shown(|s| s.gauge.to_string())
                on:change=move |event| gauge(event_target_value(&event))
            />
            <label class="tick">
                <input
                    type="checkbox"
                    aria-label=say!("String {string} is wound", string)
                    prop:checked=move || spec.with(|s| s.as_ref().is_some_and(|s| s.wound))
                    on:change=move |event| workshop.make(&Edit::Wound { string, wound: event_target_checked(&event) })
                />
                <span class="small">{say!("wound")}</span>
            </label>
            <button
                type="button"
                class="do slim"
                aria-label=say!("String {string}: change places with the next one", string)
                prop:disabled=last
                on:click=move |_| workshop.make(&Edit::SwapWithNext(string))
            >
                "\u{2193}"
            </button>
            <button
                type="button"
                class="do slim"
                aria-label=say!("Remove string {string}", string)
                on:click=move |_| workshop.make(&Edit::RemoveString(string))
            >
                <Icon sign=Sign::Close />
            </button>
        </li>
    }
}
