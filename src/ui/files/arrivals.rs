//! Files and links that come to the page: chosen, dropped, or in its address.

use super::name_of;
use super::offered::Offered;
use super::sending::sentence;
use crate::app::files::{Found, open};
use crate::app::project::MOST_BYTES;
use crate::app::shared::{IntoWork, SharedPass, SharedSong};
use crate::app::workshop::{SharedInstrument, read_instrument};
use crate::app::{Chosen, Command, View, Work};
use crate::exchange::link::{self, Kind};
use crate::platform::given;
use crate::theory::Beats;
use crate::ui::apart;
use crate::ui::chart::Ear;
use crate::ui::class::Opened;
use crate::ui::language::tell;
use crate::ui::reporting::Reporting;
use crate::ui::state::{Lasting, Page};
use crate::words::Said;
use leptos::ev;
use leptos::prelude::*;
use leptos::task::spawn_local;
use web_sys::{DragEvent, File, HtmlInputElement};

/// The songs of the file that was opened last, where there are several to choose from.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Several(Lasting<RwSignal<Vec<Work>>>);

/// Takes in what the address holds, now and whenever it changes, and what is dropped on the page.
pub(in crate::ui) fn listen(page: Page) {
    provide_context(Several(Lasting::signal(Vec::new())));
    let offered = Offered::provide();
    let several = expect_context::<Several>();
    let ear = Ear::here();
    let (opened, reporting) = (expect_context::<Opened>(), Reporting::here());
    let owner = Owner::current();
    let from_address = move || {
        let hash = window().location().hash().unwrap_or_default();
        if link::is_link(&hash) {
            apart::open_link(page, offered, (opened, reporting), hash);
        }
    };
    from_address();
    let address = window_event_listener(ev::hashchange, move |_| match &owner {
        Some(owner) => owner.with(from_address),
        None => from_address(),
    });
    let over = window_event_listener(ev::dragover, |event| {
        if has_files(&event) {
            event.prevent_default();
        }
    });
    let drop = window_event_listener(ev::drop, move |event| {
        // A part of the page that takes in files of its own has had this one.
        if has_files(&event) && !event.default_prevented() {
            event.prevent_default();
            let file = event.data_transfer().and_then(|data| data.files()?.get(0));
            match file {
                Some(sound) if sound.type_().starts_with("audio/") => {
                    page.act(Command::Show(View::Chart));
                    apart::hear(page, ear, sound);
                }
                Some(file) => apart::open_file(page, several, offered, file),
                None => {}
            }
        }
    });
    on_cleanup(move || {
        address.remove();
        over.remove();
        drop.remove();
    });
}

fn has_files(event: &DragEvent) -> bool {
    let types = event.data_transfer().map(|data| data.types());
    types.is_some_and(|types| types.iter().any(|kind| kind == "Files"))
}

/// Chooses a file, and one of its songs where it holds several.
#[component]
pub(super) fn Arrivals() -> impl IntoView {
    let page = Page::here();
    let (several, offered) = (expect_context::<Several>(), Offered::here());
    let choose = move |event: ev::Event| {
        let input: HtmlInputElement = event_target(&event);
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            take(page, several, offered, file);
        }
        // The same file can be chosen again.
        input.set_value("");
    };
    let one = move |work: Work| {
        let name = name_of(&work);
        view! {
            <li>
                <button type="button" popovertarget="files" popovertargetaction="hide" on:click=move |_| bring(page, work.clone(), None)>
                    <b>{name}</b>
                </button>
            </li>
        }
    };
    view! {
        <p class="small" id="files-take">
            {say!("A project, a chart as text, an instrument, or a score or MIDI file with chord names")}
        </p>
        <label class="do files-way">
            {say!("Choose a file")}
            <input
                type="file"
                class="unseen"
                aria-describedby="files-take"
                accept=".json,.txt,.toml,.musicxml,.xml,.mid,.midi"
                on:change=choose
            />
        </label>
        <p class="small soft songs-note">{say!("Or drop it anywhere on the page. Undo brings back what you had.")}</p>
        <ul class="songs">{move || several.0.get().into_iter().map(one).collect_view()}</ul>
    }
}

/// Opens a file that was given.
pub(in crate::ui) fn take(page: Page, several: Several, offered: Offered, file: File) {
    spawn_local(async move {
        let opened = match given::bytes(&file, MOST_BYTES).await {
            Ok(bytes) => open(&bytes),
            Err(error) => Err(error.said()),
        };
        match opened {
            Err(words) => page.say(tell(&words)),
            Ok(Found::Instrument(given)) => offered.offer(page, *given),
            Ok(Found::Chart { text, notes }) => bring_chart(page, text, notes.first().cloned()),
            Ok(Found::Songs(opened)) => {
                let note = opened.notes.first().cloned();
                let songs = opened.project.songs;
                let first = songs.first().cloned();
                several.0.set(if songs.len() > 1 { songs } else { Vec::new() });
                if let Some(work) = first {
                    bring(page, work, note);
                }
            }
        }
    });
}

/// Opens the song, the solo or the instrument that an address holds; whether it holds work that was set instead.
pub(in crate::ui) fn open_link(page: Page, offered: Offered, address: &str) -> bool {
    let taken = match link::kind(address) {
        Ok(Kind::Song) => link::read::<SharedSong>(address).map(|song| (song.into_work(), View::Chart)),
        Ok(Kind::Pass) => link::read::<SharedPass>(address).map(|pass| (pass.into_work(), View::Solo)),
        Ok(Kind::Instrument) => {
            page.act(Command::Show(View::Rig));
            match link::read::<SharedInstrument>(address).map(|shared| read_instrument(&shared.instrument)) {
                Ok(Ok(given)) => offered.offer(page, given),
                Ok(Err(words)) => page.say(tell(&words)),
                Err(error) => page.say(sentence(&error.said())),
            }
            return false;
        }
        Ok(Kind::Assignment) => return true,
        // Answers are opened where they are marked.
        Ok(Kind::Answer) => return false,
        Err(error) => Err(error),
    };
    match taken {
        Ok((work, view)) => {
            bring(page, work, None);
            page.act(Command::Show(view));
        }
        Err(error) => page.say(sentence(&error.said())),
    }
    false
}

/// Puts work on the desk in the place of what lies there; undo brings that back.
fn bring(page: Page, work: Work, note: Option<Said>) {
    let kept = !work.kept.is_empty();
    put(page, Command::Restore(Box::new(work)), note);
    if kept {
        page.act(Command::Choose(Chosen::Kept(0)));
    }
}

/// Opens a chart: the rig, its tuning, the wishes and the passes that were kept stay.
fn bring_chart(page: Page, chart: String, note: Option<Said>) {
    put(page, Command::OpenSong { chart, feel: None }, note);
}

/// Does what puts another song on the desk, stopped and from its start.
fn put(page: Page, command: Command, note: Option<Said>) {
    crate::ui::playing::stop(page);
    page.playing.at.set(Beats::ZERO);
    page.act(command);
    page.act(Command::Loop(None));
    page.say(note.map(|note| tell(&note)).unwrap_or_else(|| {
        let name = page.work.with_untracked(name_of);
        say!("{name} is open. Undo brings back what you had.", name)
    }));
}
