//! The amplifier: which of the two set-ups is played through, and its knobs.

use super::levels::set;
use crate::app::knobs::{Knob, Section};
use crate::app::levels::Setup;
use crate::sound::Amp;
use crate::ui::controls::{Choice, Tick};
use crate::ui::language::look;
use crate::ui::state::Page;
use leptos::prelude::*;

/// Which set-up the steel is played through.
#[component]
pub(in crate::ui) fn SetupChoice(
    /// Sets it apart from the one in another place.
    #[prop(default = "")]
    apart: &'static str,
) -> impl IntoView {
    let page = Page::here();
    view! {
        <Choice
            name=say!("Amplifier")
            apart=apart
            options=Setup::ALL.map(|setup| (setup, look(setup.name()).to_owned())).to_vec()
            value=Signal::derive(move || page.desk.with(|d| d.levels.setup))
            on_change=move |setup| set(page, |levels| levels.setup = setup)
        />
    }
}

/// The amplifier with all its knobs.
#[component]
pub(super) fn Amplifier() -> impl IntoView {
    let page = Page::here();
    let amp = Memo::new(move |_| page.desk.with(|d| d.levels.amp()));
    let change = Callback::new(move |next: Amp| set(page, |levels| *levels.amp_mut() = next));
    let shipped = move || page.desk.with(|d| d.levels.setup.shipped());
    let moved = Memo::new(move |_| amp.get() != shipped());
    view! {
        <div class="line-up apart">
            <SetupChoice />
            <button type="button" class="do slim" prop:disabled=move || !moved.get() on:click=move |_| change.run(shipped())>
                {say!("Reset the knobs")}
            </button>
        </div>
        <div class="amp">
            {Section::ALL.map(|section| view! { <Stage section=section amp=amp change=change /> }).collect_view()}
        </div>
    }
}

/// One stage of the amplifier: its switch and its knobs.
#[component]
fn Stage(section: Section, amp: Memo<Amp>, change: Callback<Amp>) -> impl IntoView {
    let is_on = move || amp.with(|a| section.is_on(a));
    let head = if is_on().is_some() {
        let switch = move |on| {
            let mut next = amp.get_untracked();
            section.switch(&mut next, on);
            change.run(next);
        };
        view! { <Tick name=look(section.name()) on=Signal::derive(move || is_on() != Some(false)) on_change=switch /> }
            .into_any()
    } else {
        view! { <span class="label">{look(section.name())}</span> }.into_any()
    };
    let knobs = section
        .knobs()
        .iter()
        .map(|knob| view! { <KnobLine knob=*knob amp=amp change=change /> })
        .collect_view();
    view! {
        <div class="amp-stage" role="group" aria-label=look(section.name())>
            {head}
            {knobs}
        </div>
    }
}

/// One knob as a slider with its figure; away while its stage is switched off.
#[component]
fn KnobLine(knob: Knob, amp: Memo<Amp>, change: Callback<Amp>) -> impl IntoView {
    let value = Memo::new(move |_| amp.with(|a| knob.read(a)));
    let words = move || value.get().map(|v| knob.words(v));
    let (least, most) = (*knob.range().start(), *knob.range().end());
    let set = move |event: web_sys::Event| {
        if let Ok(to) = event_target_value(&event).parse::<f64>() {
            let mut next = amp.get_untracked();
            knob.turn(&mut next, to);
            change.run(next);
        }
    };
    view! {
        <div class="level wide" hidden=move || value.get().is_none()>
            <span class="label">{knob.name()}</span>
            <input
                type="range"
                class="slide"
                aria-label=knob.name()
                aria-valuetext=words
                min=least
                max=most
                step=knob.step()
                prop:value=move || value.get().unwrap_or(least)
                on:input=set
            />
            <output class="small soft">{words}</output>
        </div>
    }
}
