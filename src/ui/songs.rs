//! The song's head, and the songs behind it.

use super::help::SheetHead;
use super::keeping::{Keeping, OwnSongs};
use super::state::Page;
use crate::app::{Command, DEMO_SONGS, View};
use crate::ui::language::{look, notes};
use leptos::prelude::*;

/// The song's name, key and tempo; opens the list of songs.
#[component]
pub(super) fn SongButton() -> impl IntoView {
    let page = Page::here();
    let name = move || {
        page.reading
            .with(|r| r.title.clone())
            .unwrap_or_else(|| say!("Untitled song").to_owned())
    };
    let facts = move || {
        let song = page.song.get()?;
        Some(view! {
            <span>{say!("Key ")}<b>{notes(song.key)}</b></span>
            <span><b>{song.tempo.0.round().to_string()}</b>{say!(" a minute")}</span>
            <span>{song.style.clone()}</span>
        })
    };
    view! {
        <button type="button" class="song" popovertarget="songs" aria-haspopup="dialog">
            <span class="song-name">{name}</span>
            <span class="song-facts">{facts}</span>
        </button>
    }
}

/// The list of songs to open.
#[component]
pub(super) fn SongSheet() -> impl IntoView {
    let page = Page::here();
    let keeping = Keeping::here();
    let open = move |chart: String, feel: Option<String>| {
        super::playing::stop(page);
        page.playing.at.set(crate::theory::Beats::ZERO);
        page.act(Command::OpenSong { chart, feel });
    };
    let fresh = move |_| {
        open(String::new(), None);
        page.act(Command::Show(View::Chart));
        page.act(Command::Writing(true));
    };
    view! {
        <div
            class="sheet"
            id="songs"
            popover="auto"
            role="dialog"
            aria-label=say!("Songs")
            on:toggle=move |_| keeping.look(page)
        >
            <SheetHead name=say!("Songs") sheet="songs" />
            <OwnSongs />
            <h3>{say!("Songs to try")}</h3>
            <ul class="songs">
                {DEMO_SONGS
                    .iter()
                    .map(|song| {
                        view! {
                            <li>
                                <button
                                    type="button"
                                    popovertarget="songs"
                                    popovertargetaction="hide"
                                    on:click=move |_| open(song.chart.to_owned(), Some(song.feel.to_owned()))
                                >
                                    <b>{song.name}</b>
                                    <span class="small soft">{look(song.about)}</span>
                                </button>
                            </li>
                        }
                    })
                    .collect_view()}
            </ul>
            <p class="small soft songs-note">
                {say!("These are made up for this page. Yours stays on the device when you open one.")}
            </p>
            <div class="line-up">
            <button type="button" class="do" popovertarget="songs" popovertargetaction="hide" on:click=fresh>
                {say!("Start an empty chart")}
            </button>
            <button type="button" class="do" popovertarget="files" popovertargetaction="show">
                {say!("Files and links")}
            </button>
            </div>
        </div>
    }
}
