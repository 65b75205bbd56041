//! The start: what is on the device is taken up again, whichever version left it there.
//!
//! *Invariant:* nothing that was kept is let go of before what was read of it is kept anew.

use super::saving::UNSAVED;
use super::{names, now, papers};
use crate::app::shelf::{Record, Setup, SongId, Taken, renamed};
use crate::app::snapshot::SnapshotError;
use crate::app::{Desk, Session, Work, first};
use crate::platform::shelf::{Saved, Shelf};
use crate::platform::storage;
use crate::ui::apart::insist;
use crate::ui::language::tell;
use std::rc::Rc;

/// Where the first versions kept the one piece of work there was.
const FIRST: &str = "leadbar.work";
/// Where it is left if it could not be read in full.
const FIRST_UNREAD: &str = "leadbar.work.unread";
/// Which song this tab has open.
pub(super) const OPEN: &str = "leadbar.song";

/// What the page begins with.
pub(in crate::ui) struct Beginning {
    /// The session.
    pub(in crate::ui) session: Session,
    pub(super) shelf: Option<Rc<Shelf>>,
    /// The open song's record, where it has one.
    pub(super) record: Option<Record>,
    /// What is to be told.
    pub(super) news: Vec<String>,
}

/// Takes up what is on the device, or begins with a demo song.
pub(in crate::ui) async fn beginning() -> Beginning {
    let mut taking = Taking {
        fresh: fresh(),
        shelf: Shelf::open().await.ok().map(Rc::new),
        news: Vec::new(),
    };
    let setup = taking.setup().await;
    let left = storage::noted_for_tab(OPEN).and_then(|text| text.parse().ok());
    let mut open = left.or_else(|| setup.as_ref().and_then(Setup::song));
    let mut desk = setup.map(Setup::desk);
    if let Some((song, first)) = taking.first_version().await {
        open = Some(song);
        desk = desk.or(first);
    }
    let unsaved = taking.unsaved(open).await;
    let taken = match unsaved {
        Some(work) => Some((work, None)),
        None => taking.song(open).await,
    };
    let (work, record) = taken.unwrap_or_else(|| (first::work(), None));
    Beginning {
        session: Session::naming(work, desk.unwrap_or_default(), taking.fresh),
        shelf: taking.shelf,
        record,
        news: taking.news,
    }
}

/// A name that no song of this device has: the clock and some chance.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0..2^20
pub(super) fn fresh() -> SongId {
    SongId::new((now().0 << 20) | (js_sys::Math::random() * f64::from(1 << 20)) as u64)
}

/// What is taken up, step by step.
struct Taking {
    fresh: SongId,
    shelf: Option<Rc<Shelf>>,
    news: Vec<String>,
}

impl Taking {
    fn name(&mut self) -> SongId {
        let name = self.fresh;
        self.fresh = name.next();
        name
    }

    async fn setup(&self) -> Option<Setup> {
        let text = self.shelf.as_ref()?.setup().await.ok()??;
        insist(|| papers::setup(text.clone())).await
    }

    /// Keeps a record under a name of its own.
    async fn keep(&mut self, work: &Work) -> Option<SongId> {
        let name = self.name();
        let record = Record::of(work, None, now(), true);
        let saved = self.shelf.as_ref()?.save(name, None, &record).await;
        (saved == Ok(Saved::Done)).then_some(name)
    }

    /// The work that the first version kept, put on the shelf.
    async fn first_version(&mut self) -> Option<(SongId, Option<Desk>)> {
        let text = storage::kept(FIRST)?;
        let (work, desk) = match insist(|| papers::snapshot(text.clone())).await {
            Ok(kept) => (kept.work, Some(kept.desk)),
            Err(error) => {
                self.news.push(tell(&error.said()));
                // It stays, but is not taken up again.
                storage::keep(FIRST_UNREAD, &text).ok()?;
                let SnapshotError::ChartOnly { chart } = error else {
                    storage::forget(FIRST);
                    return None;
                };
                (Work::on(&chart), None)
            }
        };
        let song = self.keep(&work).await?;
        storage::forget(FIRST);
        Some((song, desk))
    }

    /// What a tab could not put on the shelf any more when it was closed, put there now. Where there is no shelf, the
    /// work that was left.
    async fn unsaved(&mut self, open: Option<SongId>) -> Option<Work> {
        let mut left = None;
        for place in storage::names(UNSAVED) {
            let song: Option<SongId> = place.get(UNSAVED.len()..).and_then(|text| text.parse().ok());
            let text = storage::kept(&place).unwrap_or_default();
            let read = insist(|| papers::unsaved(text.clone())).await;
            let (Some(song), Some(unsaved)) = (song, read) else {
                continue;
            };
            let Some(shelf) = self.shelf.clone() else {
                let mine = open.is_none_or(|open| open == song);
                left = left.or_else(|| {
                    mine.then_some(Work {
                        song,
                        ..unsaved.record.work
                    })
                });
                continue;
            };
            let done = match shelf.save(song, unsaved.seen, &unsaved.record).await {
                Ok(Saved::Done) => true,
                Ok(Saved::Overtaken) => {
                    // It may have been saved after all; if not, it goes on as another song.
                    let there = shelf.record(song).await.ok().flatten();
                    there.is_some_and(|there| there == unsaved.record.to_text())
                        || self
                            .keep(&renamed(&unsaved.record.work, &names(&shelf).await))
                            .await
                            .is_some()
                }
                Err(_) => false,
            };
            if done {
                storage::forget(&place);
            }
        }
        left
    }

    /// The song that was open, else the one that changed last.
    async fn song(&mut self, open: Option<SongId>) -> Option<(Work, Option<Record>)> {
        let shelf = self.shelf.clone()?;
        let mut found = None;
        if let Some(song) = open {
            found = shelf.record(song).await.ok().flatten().map(|text| (song, text));
        }
        if found.is_none() {
            let labels = shelf.labels().await.ok()?;
            let newest = labels.iter().find(|(_, label)| label.removed.is_none());
            if let Some((song, _)) = newest {
                found = shelf.record(*song).await.ok().flatten().map(|text| (*song, text));
            }
        }
        let (song, text) = found?;
        match insist(|| papers::record(text.clone())).await {
            Ok(Taken::Whole(record)) if record.removed.is_some() => None,
            Ok(Taken::Whole(record)) => {
                let work = Work {
                    song,
                    ..record.work.clone()
                };
                Some((work, Some(*record)))
            }
            Ok(Taken::InPart { work, note }) => {
                self.news.push(tell(&note));
                Some((*work, None))
            }
            Err(error) => {
                self.news.push(tell(&error.said()));
                None
            }
        }
    }
}
