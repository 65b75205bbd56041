//! What the player asks of the solo, in the player's words.

use super::arc::Arc;
use super::attitude::AttitudeChoice;
use super::own::{OwnMotif, Shadowed};
use crate::app::{Command, feels, sections};
use crate::solo::Level;
use crate::solo::request::{Ending, Entry, Slants};
use crate::ui::controls::{Choice, Stepper, Tick, UndoRedo, words};
use crate::ui::later::{Later, put_off};
use crate::ui::state::Page;
use leptos::prelude::*;

const ENTRIES: [(Entry, &str); 5] = [
    (Entry::Any, key!("as it comes")),
    (Entry::Slide, key!("slide")),
    (Entry::Struck, key!("struck")),
    (Entry::Squeeze, key!("squeezed")),
    (Entry::Run, key!("a run")),
];

const LEVELS: [(Level, &str); 3] = [
    (Level::Beginner, key!("a beginner")),
    (Level::Steady, key!("a steady player")),
    (Level::Pro, key!("a pro")),
];

const ENDINGS: [(Ending, &str); 5] = [
    (Ending::Any, key!("as it comes")),
    (Ending::RingOut, key!("rings out")),
    (Ending::Unison, key!("one note twice")),
    (Ending::Stop, key!("stops short")),
    (Ending::FallOff, key!("falls off")),
];

const SLANTS: [(Slants, &str); 3] = [
    (Slants::WithoutPedals, key!("where there are no pedals")),
    (Slants::Never, key!("never")),
    (Slants::Always, key!("wherever it helps")),
];

/// All the wishes, some at a time, so that no task holds the page up.
#[component]
pub(super) fn Ask() -> impl IntoView {
    let page = Page::here();
    let entry = Signal::derive(move || page.work.with(|w| w.request.entry));
    let level = Signal::derive(move || page.work.with(|w| w.request.level));
    let ending = Signal::derive(move || page.work.with(|w| w.request.ending));
    let slants = Signal::derive(move || page.work.with(|w| w.request.slants));
    // Read one in a task, the attitudes are at hand when they are listed.
    for index in 0..feels::COUNT {
        put_off(move || {
            feels::shipped().nth(index);
        });
    }
    view! {
        <section class="ask" aria-label=say!("What to draft")>
            <Later><AttitudeChoice /></Later>
            <Later><Arc /></Later>
            <Later>
                <Hole />
                <Density />
            </Later>
            <Later>
                <Choice name=say!("Comes in") options=words(ENTRIES) value=entry on_change=move |e| page.act(Command::AskEntry(e)) />
                <Choice name=say!("Goes out") options=words(ENDINGS) value=ending on_change=move |e| page.act(Command::AskEnding(e)) />
                <Choice name=say!("For the hands of") options=words(LEVELS) value=level on_change=move |l| page.act(Command::AskLevel(l)) />
                <Changes />
            </Later>
            <Later>
                <Choice name=say!("Bar slanted") options=words(SLANTS) value=slants on_change=move |s| page.act(Command::AskSlants(s)) />
                <Strings />
            </Later>
            <Later>
                <OwnMotif />
                <Shadowed />
                <UndoRedo />
            </Later>
        </section>
    }
}

/// The bars in which the song leaves room for the solo.
#[component]
fn Hole() -> impl IntoView {
    let page = Page::here();
    let bars = move || page.song.with(|s| s.as_ref().map_or(0, |s| s.bars.len()));
    let asked = Memo::new(move |_| page.work.with(|w| w.request.bars.clone()));
    let figure = |bar: usize| i32::try_from(bar).unwrap_or(1);
    let from = Signal::derive(move || asked.get().map_or(1, |b| figure(b.start + 1)));
    let to = Signal::derive(move || asked.get().map_or(figure(bars()), |b| figure(b.end)));
    let most = Signal::derive(move || figure(bars()));
    let set = move |from: i32, to: i32| {
        let bar = |figure: i32| usize::try_from(figure).unwrap_or(1);
        page.act(Command::AskBars(Some(bar(from).saturating_sub(1)..bar(to))));
    };
    let turn = move |on: bool| {
        let looped = page.desk.with_untracked(|d| d.looped).and_then(|l| l.within(bars()));
        let named = page.song.with_untracked(|s| s.as_deref().map_or(0..0, sections::hole));
        // What is looped is what is worked on.
        let some = looped.map_or(named, |l| l.from..l.to + 1);
        page.act(Command::AskBars(on.then_some(some)));
    };
    let named = Memo::new(move |_| {
        page.song
            .with(|s| s.as_deref().map(sections::sections).unwrap_or_default())
    });
    let by_name = move || {
        let options: Vec<_> = named.get().into_iter().map(|s| (Some(s.bars), s.name)).collect();
        (options.len() > 1).then(|| {
            view! {
                <Choice name=say!("Section") options value=asked on_change=move |bars| page.act(Command::AskBars(bars)) />
            }
        })
    };
    view! {
        <fieldset class="hole">
            <legend>{say!("Which bars")}</legend>
            <Tick name=say!("Only some: the hole in the song") on=Signal::derive(move || asked.get().is_some()) on_change=turn />
            <Show when=move || asked.get().is_some()>
                {by_name}
                <div class="line-up">
                    <Stepper name=say!("first bar") value=from least=1 most=most step=1 unit=""
                        on_change=move |bar| set(bar, to.get_untracked().max(bar)) />
                    <Stepper name=say!("last bar") value=to least=1 most=most step=1 unit=""
                        on_change=move |bar| set(from.get_untracked().min(bar), bar) />
                </div>
            </Show>
        </fieldset>
    }
}

/// Sparse or busy.
#[component]
fn Density() -> impl IntoView {
    let page = Page::here();
    let drags = StoredValue::new(0_u64);
    let set = move |event: web_sys::Event| {
        if let Ok(percent) = event_target_value(&event).parse::<f64>() {
            page.act(Command::AskDensity {
                density: percent / 100.0,
                run: Some(drags.get_value()),
            });
        }
    };
    view! {
        <label class="density">
            <span class="label">{say!("How many notes")}</span>
            <input
                type="range"
                class="slide"
                min="0"
                max="100"
                step="10"
                prop:value=move || (page.work.with(|w| w.request.density) * 100.0).round()
                on:input=set
                on:change=move |_| drags.update_value(|d| *d += 1)
            />
            <span class="slide-ends"><span>{say!("sparse")}</span><span>{say!("busy")}</span></span>
        </label>
    }
}

/// Which changes the solo may use.
#[component]
fn Changes() -> impl IntoView {
    let page = Page::here();
    let ticks = move || {
        let instrument = page.instrument.get()?;
        let rig = page.work.with(|w| w.rig.clone());
        let there: Vec<_> = instrument
            .change_ids()
            .zip(&instrument.changes)
            .filter(|(_, change)| rig.has(&change.name))
            .map(|(id, change)| {
                let wanted = Signal::derive(move || page.work.with(|w| !w.request.avoided.contains(&id)));
                view! {
                    <Tick name=change.name.clone() on=wanted on_change=move |wanted| page.act(Command::AskChange { change: id, wanted }) />
                }
            })
            .collect();
        (!there.is_empty()).then(|| {
            view! {
                <fieldset>
                    <legend>{say!("May use")}</legend>
                    <div class="line-up">{there}</div>
                </fieldset>
            }
        })
    };
    view! { {ticks} }
}

/// Which strings it should rather lie on.
#[component]
fn Strings() -> impl IntoView {
    let page = Page::here();
    let ticks = move || {
        let instrument = page.instrument.get()?;
        let ticks: Vec<_> = instrument
            .string_numbers()
            .map(|string| {
                let on = Signal::derive(move || page.work.with(|w| w.request.favoured.contains(string)));
                view! {
                    <Tick name=string.to_string() on=on on_change=move |favoured| page.act(Command::AskString { string, favoured }) />
                }
            })
            .collect();
        Some(view! {
            <fieldset>
                <legend>{say!("Rather on strings")}</legend>
                <div class="line-up">{ticks}</div>
            </fieldset>
        })
    };
    view! { {ticks} }
}
