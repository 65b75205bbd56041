//! The mixer: the level and the mute of every part, the whole, and the word of caution beside them.

use crate::app::levels::{self, MOST, MOST_MASTER, OFF};
use crate::app::{Command, Levels};
use crate::sound::{Decibels, Mix, Part};
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::tell;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::prelude::*;

/// Changes levels or amplifier.
pub(super) fn set(page: Page, change: impl FnOnce(&mut Levels)) {
    let mut levels = page.desk.with_untracked(|d| d.levels);
    change(&mut levels);
    page.act(Command::Mix(Box::new(levels)));
}

/// What the parts are called here.
fn name(part: Part) -> &'static str {
    match part {
        Part::Solo => say!("Steel"),
        Part::Drums => say!("Drums"),
        Part::Bass => say!("Bass"),
        Part::Rhythm => say!("Guitar"),
        Part::Organ => say!("Organ"),
        Part::Click => say!("Click"),
        Part::Recording => say!("Recording"),
    }
}

/// Every level, and the whole.
#[component]
pub(in crate::ui) fn Mixer() -> impl IntoView {
    let page = Page::here();
    let mix = Memo::new(move |_| page.desk.with(|d| d.levels.mix));
    let change = move |turn: &dyn Fn(&mut Mix)| set(page, |levels| turn(&mut levels.mix));
    view! {
        <Strip
            name=say!("Volume")
            level=Signal::derive(move || mix.with(|m| m.master))
            most=MOST_MASTER
            on_level=move |to| change(&|m| m.master = to)
        />
        <p class="small soft">
            {say!("Start low: the page can't know how loud your headphones are. If it would drown a voice beside you, turn it down.")}
        </p>
        {Part::ALL
            .map(|part| {
                view! {
                    <Strip
                        name=name(part)
                        level=Signal::derive(move || mix.with(|m| m.fader(part).level))
                        most=MOST
                        on_level=move |to| change(&|m| m.fader_mut(part).level = to)
                        muted=Signal::derive(move || mix.with(|m| m.fader(part).muted))
                        on_mute=move |muted| change(&|m| m.fader_mut(part).muted = muted)
                    />
                }
            })
            .collect_view()}
    }
}

/// One level with its mute.
#[component]
fn Strip(
    /// Whose level.
    name: &'static str,
    /// The level.
    level: Signal<Decibels>,
    /// Its most.
    most: Decibels,
    /// Called with a new level.
    on_level: impl Fn(Decibels) + 'static,
    /// Whether it is muted, where it can be.
    #[prop(optional, into)]
    muted: Option<Signal<bool>>,
    /// Called when it is muted or heard again.
    #[prop(optional, into)]
    on_mute: Option<Callback<bool>>,
) -> impl IntoView {
    let words = move || tell(&levels::words(level.get()));
    let is_muted = move || muted.is_some_and(|m| m.get());
    let set = move |event: web_sys::Event| {
        if let Ok(to) = event_target_value(&event).parse::<f64>() {
            on_level(Decibels(to));
        }
    };
    let mute = on_mute.map(|on_mute| {
        view! {
            <button
                type="button"
                class="tool"
                aria-label=say!("Mute {name}", name = tell(&Said::within(name)))
                aria-pressed=move || if is_muted() { "true" } else { "false" }
                on:click=move |_| on_mute.run(!is_muted())
            >
                <Icon sign=Signal::derive(move || if is_muted() { Sign::Muted } else { Sign::Heard }) />
            </button>
        }
    });
    view! {
        <div class="level" class:muted=is_muted>
            <span class="label">{name}</span>
            <input
                type="range"
                class="slide"
                aria-label=name
                aria-valuetext=words
                min=OFF.0
                max=most.0
                step="1"
                prop:value=move || levels::place(level.get())
                on:input=set
            />
            <output class="small soft">{words}</output>
            {mute}
        </div>
    }
}
