//! The player's own songs: opened, copied, removed and brought back, and what they were earlier.

use super::start::fresh;
use super::{Keeping, names, now, papers, put};
use crate::app::Work;
use crate::app::shelf::{Label, Record, SongId, Taken, When, name_of, renamed};
use crate::platform::moment::in_words;
use crate::platform::shelf::{Saved, Shelf};
use crate::platform::takes;
use crate::ui::language::{known, tell};
use crate::ui::rooms::not_loaded;
use crate::ui::state::Page;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::rc::Rc;

/// How long a removed song can be brought back, in milliseconds: thirty days.
const REMOVED_STAYS: u64 = 30 * 24 * 60 * 60 * 1000;

/// The songs on the shelf.
#[component]
pub(in crate::ui) fn OwnSongs() -> impl IntoView {
    let page = Page::here();
    let keeping = Keeping::here();
    let open = Memo::new(move |_| page.work.with(|work| work.song));
    let own = move || {
        let songs = keeping.songs.get().into_iter();
        songs
            .filter(|(song, label)| label.removed.is_none() && (label.touched || *song == open.get()))
            .collect::<Vec<_>>()
    };
    let removed = move || {
        keeping
            .songs
            .get()
            .into_iter()
            .filter(|(_, l)| l.removed.is_some())
            .collect::<Vec<_>>()
    };
    let row = move |(song, label)| view! { <OwnSong song label open=Signal::derive(move || open.get() == song) /> };
    view! {
        <Show when=move || !own().is_empty()>
            <h3>{say!("On this device")}</h3>
            <ul class="songs shelf">{move || own().into_iter().map(row).collect_view()}</ul>
        </Show>
        <Show when=move || !removed().is_empty()>
            <details class="removed">
                <summary>{move || say!("Removed ({removed})", removed = removed().len())}</summary>
                <p class="small soft songs-note">{say!("They can be brought back for thirty days.")}</p>
                <ul class="songs">
                    {move || removed().into_iter().map(|(song, label)| view! { <RemovedSong song label /> }).collect_view()}
                </ul>
            </details>
        </Show>
    }
}

/// A song, and what can be done with it.
#[component]
fn OwnSong(song: SongId, label: Label, open: Signal<bool>) -> impl IntoView {
    let page = Page::here();
    let keeping = Keeping::here();
    let earlier = RwSignal::new(None::<Vec<When>>);
    let name = known(&label.name);
    let (copy_name, earlier_name, remove_name) = (
        say!("Copy {name}", name),
        say!("Earlier states of {name}", name),
        say!("Remove {name}", name),
    );
    let look_back = move |_| {
        if earlier.get_untracked().is_some() {
            earlier.set(None);
            return;
        }
        let Some(shelf) = keeping.shelf() else { return };
        spawn_local(async move {
            earlier.try_set(Some(shelf.states(song).await.unwrap_or_default()));
        });
    };
    view! {
        <li>
            <button
                type="button"
                popovertarget="songs"
                popovertargetaction="hide"
                aria-current=move || open.get().then_some("true")
                on:click=move |_| take(page, keeping, song, None)
            >
                <b>{known(&label.name)}</b>
                <span class="small soft">
                    {move || if open.get() { say!("Open now. ") } else { "" }} {in_words(label.changed)}
                </span>
            </button>
            <div class="line-up shelf-tools">
                <button type="button" class="do" aria-label=copy_name on:click=move |_| copy(page, keeping, song)>{say!("Copy")}</button>
                <button
                    type="button"
                    class="do"
                    aria-label=earlier_name
                    aria-expanded=move || earlier.with(Option::is_some).to_string()
                    on:click=look_back
                >
                    {say!("Earlier")}
                </button>
                <Show when=move || !open.get()>
                    <button
                        type="button"
                        class="do"
                        aria-label=remove_name.clone()
                        on:click=move |_| set_removed(page, keeping, song, true)
                    >
                        {say!("Remove")}
                    </button>
                </Show>
            </div>
            {move || earlier.get().map(|states| view! { <Earlier song states /> })}
        </li>
    }
}

/// Earlier states of a song.
#[component]
fn Earlier(song: SongId, states: Vec<When>) -> impl IntoView {
    let page = Page::here();
    let keeping = Keeping::here();
    if states.is_empty() {
        return view! { <p class="small soft">{say!("None yet: a state is kept every few minutes while you work.")}</p> }
            .into_any();
    }
    let state = move |when: When| {
        view! {
            <li>
                <button
                    type="button"
                    class="do"
                    popovertarget="songs"
                    popovertargetaction="hide"
                    on:click=move |_| take(page, keeping, song, Some(when))
                >
                    {in_words(when)}
                </button>
            </li>
        }
    };
    view! { <ul class="line-up earlier" aria-label=say!("Earlier states")>{states.into_iter().map(state).collect_view()}</ul> }.into_any()
}

/// A removed song.
#[component]
fn RemovedSong(song: SongId, label: Label) -> impl IntoView {
    let page = Page::here();
    let keeping = Keeping::here();
    view! {
        <li class="line-up">
            <b>{known(&label.name)}</b>
            <button
                type="button"
                class="do"
                aria-label=say!("Bring back {name}", name = known(&label.name))
                on:click=move |_| set_removed(page, keeping, song, false)
            >
                {say!("Bring back")}
            </button>
        </li>
    }
}

/// Does something with the shelf, where there is one, and lists the songs anew.
fn with_shelf<F: Future<Output = ()> + 'static>(
    page: Page,
    keeping: Keeping,
    act: impl FnOnce(Rc<Shelf>) -> F + 'static,
) {
    let Some(shelf) = keeping.shelf() else {
        page.say(say!(
            "This browser keeps nothing for the page: save your work as a file."
        ));
        return;
    };
    spawn_local(async move {
        act(shelf).await;
        keeping.list();
    });
}

/// Reads a record, and says why if it can't be read.
async fn read(page: Page, shelf: &Shelf, song: SongId) -> Option<Taken> {
    let taken = match shelf.record(song).await {
        Ok(Some(text)) => match papers::record(text).await {
            Ok(taken) => taken.map_err(|error| tell(&error.said())),
            Err(_) => Err(not_loaded().to_owned()),
        },
        Ok(None) => Err(say!("This song is not on the device any more.").to_owned()),
        Err(error) => Err(tell(&error.said())),
    };
    taken.map_err(|words| page.say(words)).ok()
}

/// Opens a song, as it is or as it was at some moment.
fn take(page: Page, keeping: Keeping, song: SongId, when: Option<When>) {
    with_shelf(page, keeping, move |shelf| async move {
        let open = page.work.with_untracked(|work| work.song == song);
        if open && when.is_none() {
            return;
        }
        let record = match read(page, &shelf, song).await {
            Some(Taken::Whole(record)) => record,
            Some(Taken::InPart { work, note }) => return put(page, *work, tell(&note)),
            None => return,
        };
        if !open {
            let work = Work {
                song,
                ..record.work.clone()
            };
            keeping.desk.update_value(|desk| desk.saw(&work, &record));
        }
        let Some(when) = when else {
            let words = say!("{work} is open.", work = name_of(&record.work));
            return put(page, Work { song, ..record.work }, words);
        };
        let state = shelf.state(song, when).await.ok().flatten();
        match papers::record(state.unwrap_or_default()).await {
            Ok(Ok(Taken::Whole(earlier))) => {
                let words = say!("As it was: {when}. Undo brings back the newest.", when = in_words(when));
                put(page, Work { song, ..earlier.work }, words);
            }
            Ok(Ok(Taken::InPart { work, note })) => put(page, *work, tell(&note)),
            _ => page.say(say!("This earlier state can't be read.")),
        }
    });
}

/// Puts a copy on the shelf.
fn copy(page: Page, keeping: Keeping, song: SongId) {
    with_shelf(page, keeping, move |shelf| async move {
        let Some(Taken::Whole(record)) = read(page, &shelf, song).await else {
            return;
        };
        let work = renamed(&record.work, &names(&shelf).await);
        let copy = Record::of(&work, None, now(), true);
        match shelf.save(fresh(), None, &copy).await {
            Ok(_) => page.say(say!(
                "A copy of {work} is on the device: {copy}.",
                work = name_of(&record.work),
                copy = name_of(&work)
            )),
            Err(error) => page.say(tell(&error.said())),
        }
    });
}

/// Removes a song, or brings it back.
fn set_removed(page: Page, keeping: Keeping, song: SongId, gone: bool) {
    with_shelf(page, keeping, move |shelf| async move {
        let Some(Taken::Whole(record)) = read(page, &shelf, song).await else {
            return;
        };
        let seen = Some(record.revision);
        let mut changed = Record::of(&record.work, seen, now(), true);
        changed.removed = gone.then(now);
        let name = name_of(&record.work);
        page.say(match shelf.save(song, seen, &changed).await {
            Ok(Saved::Done) if gone => say!("{name} is removed. You can bring it back below.", name),
            Ok(Saved::Done) => say!("{name} is back.", name),
            Ok(Saved::Overtaken) => say!("{name} was changed in another tab just now: it stays.", name),
            Err(error) => tell(&error.said()),
        });
    });
}

/// Clears the sound of takes that no song names any more, nor any earlier state of one.
pub(super) fn clear_takes(keeping: Keeping) {
    let Some(shelf) = keeping.shelf() else { return };
    spawn_local(async move {
        let mut old = takes::old_keys().await;
        if old.is_empty() {
            return;
        }
        // What can't be read may name any of them.
        let Ok(labels) = shelf.labels().await else { return };
        for (song, _) in labels {
            let (Ok(record), Ok(states)) = (shelf.record(song).await, shelf.states(song).await) else {
                return;
            };
            let mut texts: Vec<String> = record.into_iter().collect();
            for when in states {
                let Ok(state) = shelf.state(song, when).await else {
                    return;
                };
                texts.extend(state);
            }
            old.retain(|key| !texts.iter().any(|text| text.contains(key.as_str())));
        }
        takes::clear(&old).await;
    });
}

/// Clears what was removed long ago.
pub(super) fn clear_removed(keeping: Keeping) {
    let Some(shelf) = keeping.shelf() else { return };
    spawn_local(async move {
        let before = now().0.saturating_sub(REMOVED_STAYS);
        let labels = shelf.labels().await.unwrap_or_default();
        for (song, _) in labels
            .iter()
            .filter(|(_, label)| label.removed.is_some_and(|when| when.0 < before))
        {
            // What cannot be cleared today is cleared another day.
            let _ = shelf.clear(*song).await;
        }
    });
}
