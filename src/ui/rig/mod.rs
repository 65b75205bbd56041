//! The rig: which instrument, which way it is set up, which of its changes the player's own one has, and the
//! amplifier it is played through.

mod amplifier;
mod levels;
mod midi;
mod recording;
mod tuning;
mod workshop;

pub(super) use amplifier::SetupChoice;
pub(super) use levels::Mixer;
pub(super) use midi::provide as provide_controllers;
pub(super) use recording::{Taped, connect as connect_recording, key_of};
pub(super) use tuning::cents;

use crate::app::copedent::{Cell, Copedent};
use crate::app::{Command, View};
use crate::steel::{Instrument, instrument};
use crate::ui::language::{known, notes};
use crate::ui::later::Later;
use crate::ui::state::Page;
use amplifier::Amplifier;
use leptos::prelude::*;
use midi::Midi;
use recording::RecordingSection;
use tuning::TuningDesk;
use workshop::WorkshopSection;

/// The view of the rig, each part drawn in a task of its own.
#[component]
pub(super) fn RigView() -> impl IntoView {
    let page = Page::here();
    let name = move || page.instrument.with(|i| i.as_ref().map(|i| known(&i.name)));
    view! {
        <div class="rig">
            <section class="rig-choice" aria-label=say!("Which instrument")>
                <h1>{name}</h1>
                <Instruments />
                <Ways />
                <button type="button" class="go" on:click=move |_| page.act(Command::Show(View::Tuner))>{say!("Tune it")}</button>
            </section>
            <section class="rig-table" aria-label=say!("What the pedals and levers do")>
                <Later><Table /></Later>
                <p class="small soft">
                    {say!("Untick a pedal or lever that yours has not got: the solos will do without it.")}
                </p>
            </section>
            <section class="rig-workshop" aria-labelledby="rig-workshop">
                <h2 id="rig-workshop">{say!("Your own instrument")}</h2>
                <Later><WorkshopSection /></Later>
            </section>
            <section class="rig-amp" aria-labelledby="rig-amp">
                <h2 id="rig-amp">{say!("Sound")}</h2>
                <Later><Amplifier /></Later>
            </section>
            <section class="rig-mixer" aria-labelledby="rig-mixer">
                <h2 id="rig-mixer">{say!("Levels")}</h2>
                <Later><Mixer /></Later>
            </section>
            <section class="rig-recording" aria-labelledby="rig-recording">
                <h2 id="rig-recording">{say!("Your recording")}</h2>
                <Later><RecordingSection /></Later>
            </section>
            <section class="rig-midi" aria-labelledby="rig-midi">
                <h2 id="rig-midi">{say!("Controllers")}</h2>
                <Later><Midi /></Later>
            </section>
            <Later><TuningDesk /></Later>
        </div>
    }
}

/// The shipped instruments and the player's own.
#[component]
fn Instruments() -> impl IntoView {
    let page = Page::here();
    let chosen = move || {
        page.instrument
            .with(|i| i.as_ref().map(|i| i.id.clone()).unwrap_or_default())
    };
    let own = Memo::new(move |_| page.work.with(|work| work.rig.own_names().collect::<Vec<_>>()));
    let options = move || {
        let shipped = instrument::shipped::ids()
            .filter_map(Instrument::shipped)
            .map(|i| (i.id, known(&i.name)));
        let option = |(id, name): (String, String)| {
            let mine = id.clone();
            view! { <option value=id prop:selected=move || chosen() == mine>{name}</option> }
        };
        own.get().into_iter().chain(shipped).map(option).collect_view()
    };
    view! {
        <label class="pick">
            {say!("Instrument")}
            <select on:change=move |event| page.act(Command::ChooseInstrument(event_target_value(&event)))>{options}</select>
        </label>
    }
}

/// What players have in different ways.
#[component]
fn Ways() -> impl IntoView {
    let page = Page::here();
    let ways = move || {
        let instrument = page.instrument.get()?;
        let picks = instrument.choices.iter().map(|choice| {
            let id = choice.id.clone();
            let options = choice
                .options
                .iter()
                .map(|o| {
                    let is = o.holds_for(&instrument);
                    view! { <option value=o.id.clone() selected=is>{known(&o.label)}</option> }
                })
                .collect_view();
            let take = move |event| {
                page.act(Command::TakeWay {
                    choice: id.clone(),
                    option: event_target_value(&event),
                })
            };
            view! {
                <label class="pick">
                    {known(&choice.label)}
                    <select on:change=take>{options}</select>
                </label>
            }
        });
        Some(picks.collect_view())
    };
    view! { {ways} }
}

/// Strings down, changes across.
#[component]
fn Table() -> impl IntoView {
    let page = Page::here();
    let table = Memo::new(move |_| page.instrument.with(|i| i.as_ref().map(|i| Copedent::of(i))));
    let has = move |name: &str| page.work.with(|w| w.rig.has(name));
    move || {
        let table = table.get()?;
        let none = table.columns.is_empty();
        let heads = table
            .columns
            .iter()
            .map(|column| {
                let name = column.name.clone();
                let control = (column.control != name).then(|| column.control.clone());
                let (asked, told) = (name.clone(), name.clone());
                let set = move |event| {
                    page.act(Command::HasChange { name: told.clone(), has: event_target_checked(&event) });
                };
                view! {
                    <th scope="col">
                        <label class="rig-has">
                            <b>{name}</b>
                            <span class="fine soft">{control}</span>
                            <input type="checkbox" aria-label=say!("{asked}: mine has it", asked) prop:checked=move || has(&asked) on:change=set />
                        </label>
                    </th>
                }
            })
            .collect_view();
        let names: Vec<String> = table.columns.iter().map(|c| c.name.clone()).collect();
        let rows = table
            .rows
            .iter()
            .map(|row| {
                let cells = row
                    .cells
                    .iter()
                    .zip(names.clone())
                    .map(|(cell, name)| view! { <td class:gone=move || !has(&name)>{cell_view(cell)}</td> })
                    .collect_view();
                view! {
                    <tr>
                        <th scope="row"><span class="soft fine">{row.string.number()}</span><b>{notes(&row.note)}</b></th>
                        {cells}
                    </tr>
                }
            })
            .collect_view();
        Some(view! {
            <div class="rig-scroll" tabindex="0" role="region" aria-label=say!("Strings and changes")>
                <table>
                    <thead><tr><th scope="col"><span class="unseen">{say!("String")}</span></th>{heads}</tr></thead>
                    <tbody>{rows}</tbody>
                </table>
            </div>
            {none.then(|| view! { <p>{say!("No pedals or levers: the bar does it all.")}</p> })}
        })
    }
}

fn cell_view(cell: &Cell) -> impl IntoView + use<> {
    (!cell.by.is_empty()).then(|| view! { <b>{notes(&cell.note)}</b><span class="fine soft">{cell.by.clone()}</span> })
}
