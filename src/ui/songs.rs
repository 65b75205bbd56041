//! The song's head, and the demo songs behind it.

use super::help::SheetHead;
use super::state::Page;
use crate::app::{Command, DEMO_SONGS};
use leptos::prelude::*;

/// The song's name, key and tempo; opens the list of songs.
#[component]
pub(super) fn SongButton() -> impl IntoView {
    view! {
        <button type="button" class="song" popovertarget="songs">
            <span class="song-name">"Untitled"</span>
            <span class="song-facts"></span>
        </button>
    }
}

/// The list of demo songs.
#[component]
pub(super) fn SongSheet() -> impl IntoView {
    let page = Page::here();
    view! {
        <div class="sheet" id="songs" popover="auto" role="dialog" aria-label="Songs">
            <SheetHead name="Songs" sheet="songs" />
            <ul class="songs">
                {DEMO_SONGS
                    .iter()
                    .map(|song| {
                        let open = move |_| {
                            page.act(Command::OpenSong {
                                chart: song.chart.to_owned(),
                                feel: Some(song.feel.to_owned()),
                            });
                        };
                        view! {
                            <li>
                                <button type="button" popovertarget="songs" popovertargetaction="hide" on:click=open>
                                    <b>{song.about}</b>
                                </button>
                            </li>
                        }
                    })
                    .collect_view()}
            </ul>
        </div>
    }
}
