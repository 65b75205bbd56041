//! Writing down: each song soon after it changes, one writing after the other.
//!
//! *Invariant:* what waits to be written is never let go of before it is written, or lies where the next start finds it.

use super::start::{Beginning, OPEN, fresh};
use super::{Keeping, names, now};
use crate::app::shelf::{Record, Setup, SongId, When, is_to_be_had_again, name_of, patience, renamed};
use crate::app::{Command, Work};
use crate::platform::pieces;
use crate::platform::shelf::{Saved, Shelf, ShelfError};
use crate::platform::storage;
use crate::ui::state::Page;
use leptos::ev;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use leptos::task::spawn_local;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Where work waits for the next start that could not be put on the shelf; the song's name follows.
pub(super) const UNSAVED: &str = "leadbar.unsaved.";
/// Says that something is kept on this device, to the script that runs before the page: it shows what a first visitor
/// will find to nobody else.
const KEPT: &str = "leadbar.kept";

/// Work that waits for the next start.
#[derive(Serialize, Deserialize)]
pub(super) struct Unsaved {
    /// The revision it came from.
    pub(super) seen: Option<u32>,
    pub(super) record: Record,
}

/// What is known of a song's record.
#[derive(Clone)]
struct Seen {
    /// Its revision; nothing before it is first written.
    revision: Option<u32>,
    /// Whether the player has done anything to the song.
    touched: bool,
    /// The work as it lies on the shelf, or as it was opened.
    work: Work,
}

/// What lies before the writer.
#[derive(Default)]
pub(super) struct Desk {
    seen: BTreeMap<SongId, Seen>,
    /// What waits to be written.
    waiting: BTreeMap<SongId, Work>,
    /// What is being written.
    writing: Option<SongId>,
    /// The song on the page.
    open: SongId,
    /// Whether a writing is under way.
    busy: bool,
    timer: Option<TimeoutHandle>,
    /// When the first change was made that the timer waits with.
    since: Option<When>,
    /// Whether the browser has been asked to keep what is kept.
    asked_to_stay: bool,
}

impl Desk {
    /// What is known at the start.
    pub(super) fn seen(beginning: &Beginning) -> Self {
        let work = beginning.session.work();
        let mut desk = Self {
            open: work.song,
            ..Self::default()
        };
        match &beginning.record {
            Some(record) => desk.saw(work, record),
            None => desk.opened(work),
        }
        desk
    }

    /// Notes a record that was read.
    pub(super) fn saw(&mut self, work: &Work, record: &Record) {
        let seen = Seen {
            revision: Some(record.revision),
            touched: record.touched,
            work: work.clone(),
        };
        self.seen.insert(work.song, seen);
    }

    /// Notes a song that is on the page for the first time.
    fn opened(&mut self, work: &Work) {
        let seen = Seen {
            revision: None,
            touched: !is_to_be_had_again(work),
            work: work.clone(),
        };
        self.seen.entry(work.song).or_insert(seen);
    }

    /// Whether changes of a song wait to be written, or are being written.
    pub(super) fn waits(&self, song: SongId) -> bool {
        self.waiting.contains_key(&song) || self.writing == Some(song)
    }

    /// Whether a song was only looked at, and can be had again.
    fn is_spare(&self, song: SongId) -> bool {
        let waits = self.waiting.get(&song);
        let seen = self.seen.get(&song);
        self.writing != Some(song)
            && seen.is_some_and(|seen| !seen.touched && waits.is_none_or(|work| *work == seen.work))
    }

    /// What there is to write of a song, and what it came from; nothing if it lies on the shelf just so.
    fn record(&self, song: SongId, work: &Work) -> Option<Unsaved> {
        let before = self.seen.get(&song);
        let same = before.is_some_and(|seen| seen.work == *work);
        let seen = before.and_then(|seen| seen.revision);
        if same && seen.is_some() {
            return None;
        }
        let touched = before.is_none_or(|seen| seen.touched) || !same;
        let record = Record::of(work, seen, now(), touched);
        Some(Unsaved { seen, record })
    }
}

/// Writes down whatever changes from now on.
pub(super) fn write_down(page: Page, keeping: Keeping) {
    storage::note_for_tab(OPEN, &page.work.with_untracked(|work| work.song.to_string()));
    Effect::new(move |before: Option<()>| {
        let work = page.work.get();
        page.desk.track();
        if before.is_some() {
            changed(page, keeping, work);
        }
    });
    let leave = move || {
        put_aside(keeping);
        flush(page, keeping);
    };
    // A page that is put away may not come back to write.
    let hide = window_event_listener(ev::pagehide, move |_| leave());
    let unseen = window_event_listener(ev::visibilitychange, move |_| {
        if document().hidden() {
            leave();
        }
    });
    on_cleanup(move || {
        hide.remove();
        unseen.remove();
    });
}

/// Takes note of the work as it is now; another song's changes are written at once.
fn changed(page: Page, keeping: Keeping, work: Work) {
    let song = work.song;
    let left = keeping.desk.try_update_value(|desk| {
        let left = std::mem::replace(&mut desk.open, song);
        desk.opened(&work);
        let known = desk.seen.get(&song);
        // What lies on the shelf just so is not written again.
        if known.is_none_or(|seen| seen.work != work || seen.revision.is_none()) || desk.waits(song) {
            desk.waiting.insert(song, work);
        }
        if let Some(timer) = desk.timer.take() {
            timer.clear();
        }
        (left != song).then_some(left)
    });
    match left.flatten() {
        Some(left) => {
            storage::note_for_tab(OPEN, &song.to_string());
            let_go(keeping, left);
            flush(page, keeping);
        }
        None => {
            keeping.desk.update_value(|desk| {
                let wait = patience(*desk.since.get_or_insert_with(now), now());
                desk.timer = set_timeout_with_handle(move || flush(page, keeping), wait).ok();
            });
        }
    }
}

/// Takes a song off the shelf that was only looked at and can be had again.
fn let_go(keeping: Keeping, song: SongId) {
    let gone = keeping.desk.try_update_value(|desk| {
        desk.is_spare(song).then(|| {
            desk.waiting.remove(&song);
            desk.seen.remove(&song)
        })?
    });
    if let (Some(Seen { revision: Some(_), .. }), Some(shelf)) = (gone.flatten(), keeping.shelf()) {
        spawn_local(async move {
            // Where it cannot be taken off it stays: nothing is lost.
            let _ = shelf.clear(song).await;
        });
    }
}

/// Puts what waits where the next start finds it, whatever becomes of the page.
fn put_aside(keeping: Keeping) {
    keeping.desk.with_value(|desk| {
        for (song, work) in &desk.waiting {
            let Some(unsaved) = desk.record(*song, work) else {
                continue;
            };
            // Plain data: there is nothing in it that can't be written.
            let Ok(text) = pieces::text(&unsaved) else {
                continue;
            };
            // Without room for it the writing that follows is the only hope.
            let _ = storage::keep_long(&format!("{UNSAVED}{song}"), &text);
        }
    });
}

/// Writes down what waits, and how the page is left.
pub(super) fn flush(page: Page, keeping: Keeping) {
    keeping.desk.try_update_value(|desk| desk.since = None);
    // Where that can't be noted, the first picture gives way to the work a little later.
    let _ = storage::keep(KEPT, "yes");
    let Some(shelf) = keeping.shelf() else {
        // The next start takes it from there.
        put_aside(keeping);
        let kept = keeping.desk.with_value(|desk| {
            desk.waiting
                .keys()
                .all(|song| storage::kept(&format!("{UNSAVED}{song}")).is_some())
        });
        keeping.trouble.set((!kept).then_some(ShelfError::Closed));
        return;
    };
    let free = keeping
        .desk
        .try_update_value(|desk| !std::mem::replace(&mut desk.busy, true));
    if free != Some(true) {
        // The writing that is under way goes on with it.
        return;
    }
    spawn_local(async move {
        let mut trouble = None;
        while let Some((song, work)) = next(keeping) {
            let written = write(page, keeping, &shelf, song, work).await;
            keeping.desk.try_update_value(|desk| desk.writing = None);
            if let Err(error) = written {
                trouble = Some(error);
                break;
            }
        }
        let setup = page.desk.try_with_untracked(|desk| {
            let song = page.work.with_untracked(|work| work.song);
            Setup::of(desk, song).to_text()
        });
        if let Some(setup) = setup
            && let Err(error) = shelf.keep_setup(&setup).await
        {
            trouble = trouble.or(Some(error));
        }
        keeping.desk.try_update_value(|desk| desk.busy = false);
        if keeping.trouble.try_get_untracked() != Some(trouble) {
            keeping.trouble.try_set(trouble);
        }
    });
}

/// The next song that waits.
fn next(keeping: Keeping) -> Option<(SongId, Work)> {
    let next = keeping.desk.try_update_value(|desk| {
        let next = desk.waiting.pop_first();
        desk.writing = next.as_ref().map(|(song, _)| *song);
        next
    });
    next.flatten()
}

/// Writes one song. If another tab has changed it meanwhile, it goes on as a song of its own.
async fn write(page: Page, keeping: Keeping, shelf: &Shelf, song: SongId, work: Work) -> Result<(), ShelfError> {
    let unsaved = keeping.desk.try_with_value(|desk| desk.record(song, &work)).flatten();
    let Some(Unsaved { seen, record }) = unsaved else {
        return Ok(());
    };
    match shelf.save(song, seen, &record).await {
        Ok(Saved::Done) => {
            let stay = keeping.desk.try_update_value(|desk| {
                desk.saw(&work, &record);
                record.touched && !std::mem::replace(&mut desk.asked_to_stay, true)
            });
            if stay == Some(true) {
                storage::ask_to_stay();
            }
            storage::forget(&format!("{UNSAVED}{song}"));
            keeping
                .tabs
                .try_with_value(|tabs| tabs.as_ref().map(|tabs| tabs.tell(song)));
            Ok(())
        }
        Ok(Saved::Overtaken) => {
            part(page, keeping, song, work, &names(shelf).await);
            Ok(())
        }
        Err(error) => {
            keeping.desk.try_update_value(|desk| {
                desk.waiting.entry(song).or_insert(work);
            });
            Err(error)
        }
    }
}

/// Goes on with a song as one of its own, under a name that is not `taken`; it waits to be written in its turn.
fn part(page: Page, keeping: Keeping, song: SongId, work: Work, taken: &[String]) {
    storage::forget(&format!("{UNSAVED}{song}"));
    keeping.desk.try_update_value(|desk| desk.seen.remove(&song));
    let open = page.work.try_with_untracked(|now| now.song == song).unwrap_or(false);
    if open {
        page.act(Command::Refile(song));
        let own = page.work.with_untracked(|work| renamed(work, taken));
        page.say(say!(
            "This song was changed in another tab too: yours goes on as a song of its own, {name}.",
            name = name_of(&own)
        ));
        page.act(Command::WriteChart {
            text: own.chart.to_string(),
            run: None,
        });
    }
    let Some(renamed) = page.work.try_get_untracked().filter(|_| open) else {
        // It is not on the page any more: nothing is left to rename but the work itself.
        let own = fresh();
        keeping.desk.try_update_value(|desk| {
            desk.waiting.insert(
                own,
                Work {
                    song: own,
                    ..renamed(&work, taken)
                },
            )
        });
        return;
    };
    keeping.desk.try_update_value(|desk| {
        desk.waiting.remove(&song);
        let seen = Seen {
            revision: None,
            touched: true,
            work: renamed.clone(),
        };
        desk.seen.insert(renamed.song, seen);
        desk.waiting.insert(renamed.song, renamed);
    });
}
