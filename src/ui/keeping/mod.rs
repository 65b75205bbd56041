//! Keeping the work on the device: taken up at the start, written down after each change, shared between tabs.

mod papers;
mod saving;
mod shelf;
mod start;
mod tabs;

pub(super) use shelf::OwnSongs;
pub(super) use start::{Beginning, beginning};

use super::state::{Lasting, Page};
use crate::app::files::Export;
use crate::app::shelf::{Label, SongId, When};
use crate::app::{Command, Work};
use crate::platform::shelf::{Shelf, ShelfError};
use crate::theory::Beats;
use crate::ui::language::tell;
use leptos::prelude::*;
use leptos::task::spawn_local;
use saving::Desk;
use std::rc::Rc;
use tabs::Tabs;

/// What the keeping is about, to be had anywhere in the page.
#[derive(Clone, Copy)]
pub(super) struct Keeping {
    /// The shelf, where the browser has one.
    shelf: StoredValue<Option<Rc<Shelf>>, LocalStorage>,
    desk: StoredValue<Desk>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
    /// Why work is not kept, as long as it is not.
    trouble: Lasting<RwSignal<Option<ShelfError>>>,
    /// The songs on the shelf as they were listed last.
    songs: Lasting<RwSignal<Vec<(SongId, Label)>>>,
}

impl Keeping {
    /// That of the page.
    pub(super) fn here() -> Self {
        expect_context()
    }

    fn shelf(self) -> Option<Rc<Shelf>> {
        self.shelf.with_value(Clone::clone)
    }

    /// Lists the songs as they are now, with what has just been changed.
    pub(super) fn look(self, page: Page) {
        saving::flush(page, self);
        self.list();
    }

    /// Lists the songs anew.
    fn list(self) {
        let Some(shelf) = self.shelf() else { return };
        spawn_local(async move {
            if let Ok(labels) = shelf.labels().await {
                // Rows that are the same stay as they are, with what is open in them.
                if self.songs.try_with_untracked(|songs| *songs != labels) == Some(true) {
                    self.songs.set(labels);
                }
            }
        });
    }
}

/// Takes over from the start: keeps what is done on the page from now on.
pub(super) fn connect(page: Page, beginning: &Beginning) {
    let keeping = Keeping {
        shelf: StoredValue::new_local(beginning.shelf.clone()),
        desk: StoredValue::new(Desk::seen(beginning)),
        tabs: StoredValue::new_local(None),
        trouble: Lasting::signal(None),
        songs: Lasting::signal(Vec::new()),
    };
    provide_context(keeping);
    keeping.tabs.set_value(Tabs::join(page, keeping));
    saving::write_down(page, keeping);
    shelf::clear_removed(keeping);
    shelf::clear_takes(keeping);
    for words in &beginning.news {
        page.say(words.clone());
    }
}

/// The names that songs on the shelf have. Where they can't be listed, a copy may get one that is there.
async fn names(shelf: &Shelf) -> Vec<String> {
    let labels = shelf.labels().await.unwrap_or_default();
    labels.into_iter().map(|(_, label)| label.name).collect()
}

/// Puts a song from the shelf on the page, stopped and from its start.
fn put(page: Page, work: Work, words: String) {
    super::playing::stop(page);
    page.playing.at.set(Beats::ZERO);
    page.act(Command::Restore(Box::new(work)));
    page.act(Command::Loop(None));
    page.say(words);
}

/// Says that work is not kept, as long as it is not, and offers a file.
#[component]
pub(super) fn Trouble() -> impl IntoView {
    let page = Page::here();
    let keeping = Keeping::here();
    view! {
        <div role="alert">
            {move || {
                keeping.trouble.get().map(|trouble| {
                    view! {
                        <div class="notice">
                            <p>{tell(&trouble.said())}</p>
                            <button type="button" class="do" on:click=move |_| super::apart::save(page, Export::Project)>
                                {say!("Save as a file")}
                            </button>
                        </div>
                    }
                })
            }}
        </div>
    }
}

/// A moment of now.
fn now() -> When {
    crate::platform::moment::instant()
}
