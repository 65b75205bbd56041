//! The rooms of the page: what each place shows. In the page as it is published their code lies in files of its own, so
//! that a visit begins with the frame and the room that is open.
//!
//! *Invariant:* nothing outside this file names a room's view, or its code would come with the frame.

use super::NeckPage;
use super::chart::ChartView;
use super::class::ClassView;
use super::deliver::DeliverView;
use super::files::FilesSheet;
use super::help::HelpSheet;
use super::later::{Later, caught_up};
use super::learn::LearnView;
use super::rig::RigView;
use super::solo::{BelowPicture, ChangeSheet, RehearseSheet, SoloView, UnderPicture};
use super::songs::SongSheet;
use super::stand::StandView;
use super::state::Page;
use super::transport::LevelSheet;
use super::tuner::TunerView;
use crate::app::View;
use crate::app::neck_view::Hold;
use crate::platform::frames::{pause, rest};
use crate::steel::StringSet;
use leptos::ev;
use leptos::prelude::*;
use leptos::wasm_split::SplitLoaderError;
use std::future::Future;
use std::pin::pin;
use std::sync::Arc;
use std::task::{Context, Poll, Waker};
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlElement};

/// A room's view, unless its file could not be loaded.
type Opened = Result<AnyView, SplitLoaderError>;

/// Says what a room shows and which file holds its code. Few files: what some of them share goes into one more for
/// every such some. Without the feature `split` all code is in one.
macro_rules! rooms {
    ($($name:ident in $file:ident, fetched by $fetch:ident: $shown:expr;)*) => {$(
        #[cfg(feature = "split")]
        #[leptos::wasm_split::wasm_split($file, wasm_split_path = ::leptos::wasm_split, fallible, preload($fetch))]
        fn $name() -> Opened {
            Ok($shown.into_any())
        }

        #[cfg(not(feature = "split"))]
        async fn $name() -> Opened {
            Ok($shown.into_any())
        }

        #[cfg(not(feature = "split"))]
        async fn $fetch() -> Result<(), SplitLoaderError> {
            Ok(())
        }
    )*};
}

rooms! {
    chart in places, fetched by fetch_chart: view! { <ChartView /> };
    neck in places, fetched by fetch_neck: view! { <NeckPlace /> };
    solo in solo, fetched by fetch_solo: view! { <SoloView /> };
    under in later, fetched by fetch_under: view! { <UnderPicture /> };
    below in later, fetched by fetch_below: view! { <BelowPicture /> };
    learn in course, fetched by fetch_learn: view! { <LearnView /> };
    class in course, fetched by fetch_class: view! { <ClassView /> };
    rig in places, fetched by fetch_rig: view! { <RigView /> };
    deliver in places, fetched by fetch_deliver: view! { <DeliverView /> };
    stand in places, fetched by fetch_stand: view! { <StandView /> };
    tuner in places, fetched by fetch_tuner: view! { <TunerView /> };
    sheets in places, fetched by fetch_sheets: view! {
        <Later>
            <SongSheet />
        </Later>
        <Later>
            <FilesSheet />
        </Later>
        <Later>
            <LevelSheet />
        </Later>
        <Later>
            <RehearseSheet />
        </Later>
        <Later>
            <ChangeSheet />
        </Later>
        <Later>
            <HelpSheet />
        </Later>
    };
}

/// Loads what a room is made of.
pub(super) async fn fetch(view: View) -> Result<(), SplitLoaderError> {
    match view {
        View::Chart => fetch_chart().await,
        View::Neck => fetch_neck().await,
        View::Solo => fetch_solo().await,
        View::Learn => fetch_learn().await,
        View::Class => fetch_class().await,
        View::Rig => fetch_rig().await,
        View::Deliver => fetch_deliver().await,
        View::Stand => fetch_stand().await,
        View::Tuner => fetch_tuner().await,
    }
}

/// Loads what the other rooms are made of, once the page is at rest; each waits for what is more urgent.
pub(super) async fn fetch_the_rest() {
    for view in [View::Chart, View::Solo, View::Learn] {
        rest().await;
        // Whoever opens it asks again.
        drop(fetch(view).await);
    }
}

/// What a room shows, once its file is there.
fn opened(view: View) -> Option<Opened> {
    match view {
        View::Chart => at_once(chart()),
        View::Neck => at_once(neck()),
        View::Solo => at_once(solo()),
        View::Learn => at_once(learn()),
        View::Class => at_once(class()),
        View::Rig => at_once(rig()),
        View::Deliver => at_once(deliver()),
        View::Stand => at_once(stand()),
        View::Tuner => at_once(tuner()),
    }
}

/// What a future gives that has nothing to wait for.
fn at_once<T>(future: impl Future<Output = T>) -> Option<T> {
    match pin!(future).poll(&mut Context::from_waker(Waker::noop())) {
        Poll::Ready(value) => Some(value),
        Poll::Pending => None,
    }
}

/// Hands on what a future gives: at once where there is nothing to wait for, else when it comes.
pub(super) fn when<T: 'static>(future: impl Future<Output = T> + 'static, hand_on: impl FnOnce(T) + 'static) {
    let mut future = Box::pin(future);
    match at_once(future.as_mut()) {
        Some(value) => hand_on(value),
        None => leptos::task::spawn_local(async move { hand_on(future.await) }),
    }
}

/// How the file of a room is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum File {
    Coming,
    There,
    Missing,
}

impl From<Result<(), SplitLoaderError>> for File {
    fn from(come: Result<(), SplitLoaderError>) -> Self {
        if come.is_ok() { Self::There } else { Self::Missing }
    }
}

/// The room that is open.
#[component]
pub(super) fn Room(view: View) -> impl IntoView {
    part(move || fetch(view), move || opened(view))
}

/// What is done with the picture of the solo, right under it; its code is asked for when the picture is made.
#[component]
pub(super) fn Under() -> impl IntoView {
    part(fetch_under, || at_once(under()))
}

/// What lies below the picture of the solo, likewise.
#[component]
pub(super) fn Below() -> impl IntoView {
    part(fetch_below, || at_once(below()))
}

/// Shows a part of the page once its file has come, and says so where it does not.
fn part<F: Future<Output = Result<(), SplitLoaderError>> + 'static>(
    fetch: impl Fn() -> F + Copy + Send + 'static,
    shown: impl Fn() -> Option<Opened> + Send + 'static,
) -> impl IntoView {
    let file = RwSignal::new(File::Coming);
    let load = move || {
        when(fetch(), move |come| {
            // Another room may have been opened meanwhile.
            file.try_set(come.into());
        });
    };
    load();
    let again = move |_| {
        file.set(File::Coming);
        load();
    };
    move || match file.get() {
        File::Coming => view! { <p class="unseen coming">{say!("Loading…")}</p> }.into_any(),
        File::There => shown().and_then(Result::ok).into_any(),
        File::Missing => view! {
            <div class="empty">
                <h1>{say!("Not loaded")}</h1>
                <p>{not_loaded()}</p>
                <button type="button" class="do" on:click=again>
                    {say!("Try again")}
                </button>
            </div>
        }
        .into_any(),
    }
}

/// What is said where the code for something did not come.
pub(super) fn not_loaded() -> &'static str {
    say!("This part of the page did not come: check the connection.")
}

/// The sheets that lie over any room: put there when the page is at rest, or when the first of them is asked for, each
/// in a task of its own.
#[component]
pub(super) fn Sheets() -> impl IntoView {
    let there = RwSignal::new(false);
    let load = move |asked: Option<String>| {
        when(fetch_sheets(), move |come| {
            // Where the file did not come, the next press asks again.
            if come.is_err() {
                return;
            }
            if there.try_get_untracked() == Some(false) {
                there.set(true);
            }
            if let Some(asked) = asked {
                leptos::task::spawn_local(async move {
                    pause(0).await;
                    caught_up().await;
                    show(&asked);
                });
            }
        });
    };
    leptos::task::spawn_local(async move {
        rest().await;
        load(None);
    });
    let early = window_event_listener(ev::click, move |event| {
        let pressed = event.target().and_then(|target| target.dyn_into::<Element>().ok());
        let button = pressed.and_then(|pressed| pressed.closest("[popovertarget]").ok().flatten());
        let asked = button.and_then(|button| button.get_attribute("popovertarget"));
        if let Some(asked) = asked.filter(|id| document().get_element_by_id(id).is_none()) {
            load(Some(asked));
        }
    });
    on_cleanup(move || early.remove());
    move || there.get().then(|| at_once(sheets()).and_then(Result::ok))
}

/// Shows a sheet.
fn show(id: &str) {
    let sheet = document().get_element_by_id(id);
    if let Some(sheet) = sheet.and_then(|sheet| sheet.dyn_into::<HtmlElement>().ok()) {
        // Refused where it is shown already.
        drop(sheet.show_popover());
    }
}

/// The neck under the song's chords.
#[component]
fn NeckPlace() -> impl IntoView {
    let page = Page::here();
    let there = Memo::new(move |_| page.song.with(Option::is_some) && page.instrument.with(Option::is_some));
    move || {
        let both = there
            .get()
            .then(|| page.song.get_untracked().zip(page.instrument.get_untracked()));
        let Some((song, instrument)) = both.flatten() else {
            return view! {
                <div class="empty">
                    <h1>{say!("No chords yet")}</h1>
                    <p>{say!("Write a few bars in the chart: the neck shows where each of their chords lives.")}</p>
                </div>
            }
            .into_any();
        };
        view! {
            <h1 class="unseen">{say!("Neck")}</h1>
            <NeckPage
                timeline=Signal::derive(move || page.song.get().unwrap_or_else(|| Arc::clone(&song)))
                instrument=Signal::derive(move || page.instrument.get().unwrap_or_else(|| Arc::clone(&instrument)))
                performance=Signal::derive(move || page.chosen.get().map(|shown| Arc::clone(&shown.performance)))
                position=Signal::derive(move || page.playing.runs().then(|| page.playing.at.get()))
                on_hear=move |(strings, hold): (StringSet, Hold)| super::playing::pluck(page, strings, &hold)
                on_bend=move |event| super::playing::bend(page, event)
            />
        }
        .into_any()
    }
}
