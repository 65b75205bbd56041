//! Which take sounds in which bar: a row for each take, a button for each bar.

use super::Studio;
use crate::app::takes::TakeId;
use leptos::prelude::*;

/// The table. The button that is pressed is the take that sounds; pressed again, none does.
#[component]
pub(super) fn Bars(studio: Studio, ids: Memo<Vec<TakeId>>) -> impl IntoView {
    let count = Memo::new(move |_| {
        studio
            .page
            .song
            .with(|song| song.as_ref().map_or(0, |song| song.bars.len()))
    });
    let heads = move || {
        (1..=count.get())
            .map(|bar| view! { <th scope="col">{bar}</th> })
            .collect_view()
    };
    view! {
        <div class="take-bars" tabindex="0" role="region" aria-label=say!("The take in each bar")>
            <table>
                <thead>
                    <tr><th scope="col">{say!("Bar")}</th>{heads}</tr>
                </thead>
                <tbody>
                    <For each=move || ids.get() key=|id| *id let:id>
                        <tr>
                            <th scope="row">{move || name(studio, id)}</th>
                            {move || (0..count.get()).map(|bar| view! { <Cell studio id bar /> }).collect_view()}
                        </tr>
                    </For>
                </tbody>
            </table>
        </div>
    }
}

pub(super) fn name(studio: Studio, id: TakeId) -> String {
    studio
        .takes
        .with(|takes| takes.get(id).map(|take| take.name.clone()).unwrap_or_default())
}

/// One bar of one take.
#[component]
fn Cell(studio: Studio, id: TakeId, bar: usize) -> impl IntoView {
    let has = move || {
        let Some((song, pace)) = studio.song() else {
            return false;
        };
        studio.takes.with(|takes| takes.has(id, bar, &song, &pace))
    };
    let has = Memo::new(move |_| has());
    let chosen = Memo::new(move |_| studio.takes.with(|takes| takes.in_bar(bar) == Some(id)));
    let press = move |_| {
        let now = (!chosen.get_untracked()).then_some(id);
        studio.change(None, |takes| takes.choose(bar, now));
    };
    view! {
        <td>
            {move || has.get().then(|| view! {
                <button
                    type="button"
                    aria-pressed=move || chosen.get().to_string()
                    aria-label=move || say!("Bar {bar}: {take}", bar = bar + 1, take = name(studio, id))
                    on:click=press
                ></button>
            })}
        </td>
    }
}
