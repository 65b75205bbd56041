//! What the instrument is worth to the song: beside another one, and with one lever more.

use super::Workshop;
use crate::app::Command;
use crate::app::jobs::{Job, News, Product};
use crate::app::workshop::{AskWhatIf, ChordWorth, Idea, Worth, with_idea};
use crate::platform::worker::{Errand, Return};
use crate::steel::{Instrument, Inversion, instrument};
use crate::ui::language::{known, look, notes, tell};
use crate::ui::state::Page;
use leptos::prelude::*;

/// The instrument as the player has it: without the changes it has not got.
fn as_it_is(page: Page) -> Option<Instrument> {
    let mut instrument = (*page.instrument.get()?).clone();
    page.work
        .with(|work| instrument.changes.retain(|change| work.rig.has(&change.name)));
    Some(instrument)
}

/// Another instrument by id: one of the player's own, or a shipped one.
fn other(page: Page, id: &str) -> Option<Instrument> {
    let mut rig = page.work.with(|work| work.rig.clone());
    id.clone_into(&mut rig.instrument);
    rig.built().filter(|built| built.id == id)
}

/// The song's chords here and on another instrument.
#[component]
pub(super) fn Against(page: Page) -> impl IntoView {
    let with = RwSignal::new(String::new());
    let options = move || {
        let here = page.instrument.with(|i| i.as_ref().map(|i| i.id.clone()));
        let own: Vec<(String, String)> = page.work.with(|work| work.rig.own_names().collect());
        let shipped =
            instrument::shipped::ids().filter_map(|id| Instrument::shipped(id).map(|i| (id.to_owned(), i.name)));
        let all = own
            .into_iter()
            .chain(shipped)
            .filter(|(id, _)| Some(id) != here.as_ref());
        all.map(|(id, name)| view! { <option value=id>{known(&name)}</option> })
            .collect_view()
    };
    let both = Memo::new(move |_| {
        let there = other(page, &with.get())?;
        let song = page.song.get()?;
        Some((Worth::of(&as_it_is(page)?, &song), Worth::of(&there, &song), there.name))
    });
    view! {
        <label class="pick">
            {say!("Beside another, for this song")}
            <select on:change=move |event| with.set(event_target_value(&event))>
                <option value="">{say!("choose one")}</option>
                {options}
            </select>
        </label>
        {move || both.get().map(|(here, there, name)| view! { <Table here=here there=there name=name /> })}
    }
}

#[component]
fn Table(here: Worth, there: Worth, name: String) -> impl IntoView {
    let joins = (here.joins, there.joins);
    let rows = here
        .chords
        .into_iter()
        .zip(there.chords)
        .map(|(here, there)| {
            view! {
                <tr>
                    <th scope="row"><b>{here.number.clone()}</b>" "<span class="fine soft">{notes(here.chord.symbol())}</span></th>
                    <td>{cell(&here)}</td>
                    <td>{cell(&there)}</td>
                    <td class="small">{difference(&here.inversions, &there.inversions)}</td>
                </tr>
            }
        })
        .collect_view();
    view! {
        <table class="workshop-worth">
            <caption class="small soft">{say!("Frets and inversions within an octave: this one beside {name}", name)}</caption>
            <thead>
                <tr>
                    <th scope="col">{say!("Chord")}</th>
                    <th scope="col">{say!("Here")}</th>
                    <th scope="col">{say!("There")}</th>
                    <th scope="col">{say!("There and not here")}</th>
                </tr>
            </thead>
            <tbody>
                {rows}
                <tr>
                    <th scope="row">{say!("To the next chord by pedals alone")}</th>
                    <td>{joins.0}</td>
                    <td>{joins.1}</td>
                    <td></td>
                </tr>
            </tbody>
        </table>
    }
}

fn cell(worth: &ChordWorth) -> String {
    match (worth.places, worth.slanted) {
        (0, 0) => say!("none").to_owned(),
        (places, 0) => places.to_string(),
        (0, slanted) => say!("{slanted} slanted", slanted),
        (places, slanted) => say!("{places} and {slanted} slanted", places, slanted),
    }
}

/// What the other has and this one lacks, and the other way round.
fn difference(here: &[Inversion], there: &[Inversion]) -> String {
    let only = |of: &[Inversion], not: &[Inversion]| {
        let names = of.iter().filter(|i| !not.contains(i)).map(|i| look(i.name()));
        names.collect::<Vec<_>>().join(", ")
    };
    match (only(there, here), only(here, there)) {
        (gained, lost) if gained.is_empty() && lost.is_empty() => say!("the same inversions").to_owned(),
        (gained, lost) if gained.is_empty() => say!("lost: {lost}", lost),
        (gained, lost) if lost.is_empty() => gained,
        (gained, lost) => say!("{gained}; lost: {lost}", gained, lost),
    }
}

/// How the search for the best lever goes.
#[derive(Clone, PartialEq)]
enum Stage {
    Resting,
    Going(u8),
    Found(Vec<Idea>),
    Failed(String),
}

/// The one lever that would help this song most.
#[component]
pub(super) fn WhatIf(workshop: Workshop) -> impl IntoView {
    let page = workshop.page;
    let stage = RwSignal::new(Stage::Resting);
    let errand = StoredValue::new_local(None::<Errand>);
    let hear = move |back: Return| {
        stage.set(match back {
            Return::News(News::Going(progress), _) => Stage::Going(progress.percent()),
            Return::News(News::Done(Product::Ideas(ideas)), _) => Stage::Found(ideas),
            Return::News(News::Refused(refused), _) => Stage::Failed(tell(&refused.0)),
            Return::News(News::Done(_), _) | Return::Broke => {
                Stage::Failed(say!("The search stopped. Try it once more.").to_owned())
            }
        });
    };
    let ask = move |_| {
        let (Some(instrument), Some(song)) = (untrack(|| as_it_is(page)), page.song.get_untracked()) else {
            return;
        };
        stage.set(Stage::Going(0));
        let job = Job::WhatIf(Box::new(AskWhatIf {
            instrument,
            song: (*song).clone(),
        }));
        errand.set_value(Some(Errand::send(job, hear)));
    };
    // What was found was found for another instrument or song.
    Effect::new(move |before: Option<()>| {
        page.instrument.track();
        page.song.track();
        if before.is_some() {
            errand.set_value(None);
            stage.set(Stage::Resting);
        }
    });
    let take = move |idea: Idea| {
        let Some(instrument) = page.instrument.get_untracked() else {
            return;
        };
        match with_idea(&instrument, &idea) {
            Ok(altered) => page.act(Command::Alter {
                altered: Box::new(altered),
                moved: false,
            }),
            Err(error) => workshop.complain(tell(&error.said())),
        }
    };
    let found = move || match stage.get() {
        Stage::Resting => ().into_any(),
        Stage::Going(percent) => {
            view! { <p class="small">{say!("Trying levers: {percent} %", percent)}</p> }.into_any()
        }
        Stage::Failed(words) => view! { <p class="small fault">{words}</p> }.into_any(),
        Stage::Found(ideas) if ideas.is_empty() => {
            view! { <p class="small">{say!("No single lever would add anything for this song.")}</p> }.into_any()
        }
        Stage::Found(ideas) => {
            let line = |idea: Idea| {
                let (words, taken) = (tell(&idea.words()), idea.clone());
                let gain = say!(
                    "{places} more places for its chords, {joins} more ways to the next chord by pedals alone.",
                    places = idea.places,
                    joins = idea.joins
                );
                view! {
                    <li>
                        <span><b>{words.clone()}</b>": "<span class="small">{gain}</span></span>
                        <button type="button" class="do slim" aria-label=say!("Try it: {words}", words) on:click=move |_| take(taken.clone())>
                            {say!("Try it")}
                        </button>
                    </li>
                }
            };
            view! { <ul class="workshop-ideas">{ideas.into_iter().map(line).collect_view()}</ul> }.into_any()
        }
    };
    view! {
        <button type="button" class="do slim" on:click=ask>{say!("Which lever would help this song most?")}</button>
        <div role="status">{found}</div>
    }
}
