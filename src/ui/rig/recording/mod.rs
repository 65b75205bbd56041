//! The player's own recording of the song: choosing it, hearing it, marking its bars.

mod marks;
mod taped;

pub(in crate::ui) use taped::{Taped, connect, key_of};

use crate::app::Command;
use crate::app::backing_song::{BackingSong, moment};
use crate::ui::controls::SoundFile;
use crate::ui::state::Page;
use leptos::html::Audio;
use leptos::prelude::*;
use marks::{Hole, Marking, Marks, Tempo};
use std::sync::Arc;
use taped::Stage;
use web_sys::DragEvent;

/// Changes what is known of the recording.
fn change(page: Page, change: impl FnOnce(&mut BackingSong)) {
    if let Some(known) = page.work.with_untracked(|w| w.recording.clone()) {
        let mut next = (*known).clone();
        change(&mut next);
        page.act(Command::Record(Some(Arc::new(next))));
    }
}

/// The recording with everything about it, or the way to one.
#[component]
pub(super) fn RecordingSection() -> impl IntoView {
    let page = Page::here();
    let taped = Taped::here();
    let there = Memo::new(move |_| page.work.with(|w| w.recording.is_some()));
    let over = RwSignal::new(false);
    let drop = move |event: DragEvent| {
        event.prevent_default();
        over.set(false);
        if let Some(file) = event.data_transfer().and_then(|d| d.files()?.get(0)) {
            taped.choose(page, file);
        }
    };
    view! {
        <div
            class="recording"
            class:over=over
            on:dragover=move |event: DragEvent| {
                event.prevent_default();
                over.set(true);
            }
            on:dragleave=move |_| over.set(false)
            on:drop=drop
        >
            <p class="small soft" role="status">
                {move || match taped.stage.get() {
                    Stage::Opening => say!("Opening the recording."),
                    Stage::Missing => say!("The recording is not on this device. Choose the file again: its marks are kept."),
                    Stage::Ready => "",
                    Stage::None => {
                        say!("Play the solo over your own recording: choose or drop a sound file of the song, then mark where its bars begin. The solo follows it.")
                    }
                }}
            </p>
            {move || there.get().then(|| view! { <Known /> })}
            <FileChoice />
        </div>
    }
}

/// The way to a file.
#[component]
fn FileChoice() -> impl IntoView {
    let page = Page::here();
    let taped = Taped::here();
    let known = move || page.work.with(|w| w.recording.is_some());
    view! {
        <div class="line-up">
            <SoundFile
                words=Signal::derive(move || if known() { say!("Choose another file") } else { say!("Choose a sound file") })
                on_choose=move |file| taped.choose(page, file)
            />
            <button type="button" class="do slim" hidden=move || !known() on:click=move |_| page.act(Command::Record(None))>
                {say!("Take it off")}
            </button>
        </div>
    }
}

/// What is known of the recording.
#[component]
fn Known() -> impl IntoView {
    let page = Page::here();
    let taped = Taped::here();
    let player = NodeRef::<Audio>::new();
    let known = Memo::new(move |_| page.work.with(|w| w.recording.clone()));
    let name = move || known.with(|k| k.as_ref().map(|k| format!("{}, {}", k.name, moment(k.length))));
    let fault = move || {
        let known = known.get()?;
        page.song
            .with(|song| known.clock(song.as_ref()?).err())
            .map(|e| e.to_string())
    };
    let slow = move || known.with(Option::is_some) && page.desk.with(|d| d.speed != 100);
    view! {
        <p><b>{name}</b></p>
        <audio
            controls
            preload="metadata"
            node_ref=player
            aria-label=say!("The recording alone")
            src=move || taped.address.get()
            on:play=move |_| crate::ui::playing::stop(page)
        ></audio>
        <p class="fault small" hidden=move || fault().is_none()>{fault}</p>
        <p class="hint small" hidden=move || !slow()>
            {say!("At another speed than 100% the recording is silent: slowed down it would sound lower.")}
        </p>
        <Marking player />
        <Tempo player />
        <Marks />
        <Hole />
    }
}
