//! A figure of the player's own: typed as degrees with their rhythm, picked from the degrees, or tapped.

use crate::app::Command;
use crate::solo::Motif;
use crate::theory::Seconds;
use crate::ui::state::Page;
use leptos::prelude::*;

/// What can be picked: the degrees of the chord's scale, any tone, a rest.
const WORDS: [(&str, &str); 9] = [
    ("1", "1"),
    ("2", "2"),
    ("3", "3"),
    ("4", "4"),
    ("5", "5"),
    ("6", "6"),
    ("7", "7"),
    ("x", "any"),
    ("-", "rest"),
];
/// A tap this long after the last one begins a new rhythm.
const ANEW: Seconds = Seconds(3.0);

/// The wish for a figure.
#[component]
pub(super) fn OwnMotif() -> impl IntoView {
    let page = Page::here();
    let text = RwSignal::new(String::new());
    let fault = RwSignal::new(None::<String>);
    let taps = RwSignal::new(Vec::<Seconds>::new());
    let asked = Memo::new(move |_| page.work.with(|w| w.request.motif.clone()));
    // What is asked is shown as it is kept; what can't be read stays as it was typed.
    Effect::new(move |_| {
        text.set(asked.get().map_or_else(String::new, |m| m.to_string()));
        fault.set(None);
    });
    let ask = move |written: String| {
        text.set(written);
        let written = text.get_untracked();
        if written.trim().is_empty() {
            fault.set(None);
            page.act(Command::AskMotif(None));
            return;
        }
        match written.parse::<Motif>() {
            Ok(motif) => {
                fault.set(None);
                page.act(Command::AskMotif(Some(motif)));
            }
            Err(error) => fault.set(Some(error.to_string())),
        }
    };
    let add = move |word: &str| ask(format!("{} {word}", text.get_untracked()).trim().to_owned());
    let tap = move |event: web_sys::MouseEvent| {
        let now = Seconds(event.time_stamp() / 1000.0);
        taps.update(|taps| {
            if taps.last().is_some_and(|last| now.0 - last.0 > ANEW.0) || taps.len() >= Motif::MOST {
                taps.clear();
            }
            taps.push(now);
        });
    };
    let tapped = Memo::new(move |_| {
        let tempo = page.song.with(|s| s.as_ref().map(|s| s.tempo))?;
        taps.with(|taps| Motif::tapped(taps, tempo))
    });
    let take = move |_| {
        if let Some(motif) = tapped.get_untracked() {
            taps.set(Vec::new());
            ask(motif.to_string());
        }
    };
    view! {
        <fieldset class="motif">
            <legend>"Your own figure"</legend>
            <label class="motif-field">
                <span class="small soft">
                    "Degrees over the chord of the moment, each a beat, or as long as you write after a colon: 3 5:0.5 6:0.5 5"
                </span>
                <input
                    type="text"
                    maxlength="120"
                    autocomplete="off"
                    autocapitalize="off"
                    spellcheck="false"
                    aria-label="Figure"
                    aria-describedby="motif-fault"
                    aria-invalid=move || fault.with(|f| f.is_some().then_some("true"))
                    prop:value=text
                    on:change=move |event| ask(event_target_value(&event))
                />
            </label>
            <p class="small motif-fault" id="motif-fault" role="status">{fault}</p>
            <div class="motif-words" role="group" aria-label="Add to the figure">
                {WORDS.map(|(word, said)| view! { <button type="button" class="tool" on:click=move |_| add(word)>{said}</button> })}
            </div>
            <div class="line-up">
                <button type="button" class="do slim" on:click=tap>"Tap its rhythm"</button>
                <Show when=move || tapped.with(Option::is_some)>
                    <button type="button" class="do slim" on:click=take>
                        {move || tapped.with(|t| t.as_ref().map(|m| format!("Take {m}")))}
                    </button>
                </Show>
                <Show when=move || asked.with(Option::is_some)>
                    <button type="button" class="do slim" on:click=move |_| ask(String::new())>"No figure"</button>
                </Show>
            </div>
        </fieldset>
    }
}
