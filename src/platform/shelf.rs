//! The shelf in the browser: songs, their earlier states and the desk, in IndexedDB.
//!
//! *Invariant:* whether a record may be written over is found out and acted on in one transaction, so that of two tabs
//! that write at once one is told.

use crate::app::shelf::{self, Label, Record, SongId, When};
use crate::platform::pieces;
use crate::words::Said;
use idb::{
    Database, DatabaseEvent, Error, Factory, KeyRange, ObjectStore, ObjectStoreParams, Transaction, TransactionMode,
};
use js_sys::JsString;
use thiserror::Error;
use wasm_bindgen::prelude::{JsCast, JsValue, wasm_bindgen};

/// The database, and the version of its stores.
const NAME: &str = "leadbar";
const VERSION: u32 = 1;
/// Records by song.
const SONGS: &str = "songs";
/// Earlier records by song and moment.
const VERSIONS: &str = "versions";
/// How the page was left.
const SETUP: &str = "setup";
const SETUP_KEY: &str = "setup";

/// Why something is not kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum ShelfError {
    /// The browser keeps nothing for this page (a private window, or switched off), or a newer version has taken over.
    Closed,
    /// There is no room left.
    Full,
}

impl ShelfError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Closed => {
                said!("This browser keeps nothing for the page: save your work as a file before you leave.")
            }
            Self::Full => said!("There is no room left on this device to keep your work: save it as a file."),
        }
    }
}

/// What became of a writing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Saved {
    /// It is kept.
    Done,
    /// Somebody else has written, removed or renewed the record meanwhile: nothing was done.
    Overtaken,
}

/// The shelf.
#[derive(Debug)]
pub struct Shelf {
    database: Database,
}

impl Shelf {
    /// Opens the shelf; it is set up on the first visit.
    ///
    /// # Errors
    /// When the browser has none for this page.
    pub async fn open() -> Result<Self, ShelfError> {
        let mut asked = Factory::new()
            .and_then(|f| f.open(NAME, Some(VERSION)))
            .map_err(closed)?;
        asked.on_upgrade_needed(|event| {
            let Ok(database) = event.database() else { return };
            let there = database.store_names();
            for store in [SONGS, VERSIONS, SETUP] {
                if !there.iter().any(|name| name == store) {
                    // A store that could not be made is missed by the first transaction, which tells.
                    drop(database.create_object_store(store, ObjectStoreParams::new()));
                }
            }
        });
        let mut database = asked.await.map_err(closed)?;
        // A newer version in another tab wants to set the shelf up anew: it is not kept waiting.
        database.on_version_change(|event| {
            if let Some(Ok(database)) = event.target().map(Database::try_from) {
                database.close();
            }
        });
        Ok(Self { database })
    }

    /// Writes a song's record, if it has not changed since the writer saw revision `seen` (nothing: a new song). What it
    /// replaces is kept as an earlier state now and then.
    ///
    /// # Errors
    /// When there is no room, or no shelf any more.
    pub async fn save(&self, song: SongId, seen: Option<u32>, record: &Record) -> Result<Saved, ShelfError> {
        let transaction = self.write(&[SONGS, VERSIONS])?;
        let songs = transaction.object_store(SONGS).map_err(closed)?;
        let key = JsValue::from(song.to_string());
        let there = found(&songs, &key).await?;
        let label = there.as_ref().and_then(label);
        // What lies there but can't be read is nobody's to write over.
        if there.is_some() != label.is_some() || !Label::fits(label.as_ref(), seen) {
            return Ok(Saved::Overtaken);
        }
        if let (Some(label), Some(before)) = (label, there) {
            leave_state(&transaction, song, &label, &before, record.changed).await?;
        }
        // Plain data: there is nothing in it that can't be written.
        let text = pieces::text(record).map_err(|_| ShelfError::Closed)?;
        put(&songs, &key, &text).await?;
        settle(transaction).await.map(|()| Saved::Done)
    }

    /// A song's record, as text.
    ///
    /// # Errors
    /// When there is no shelf any more.
    pub async fn record(&self, song: SongId) -> Result<Option<String>, ShelfError> {
        text(&self.read(SONGS)?, &JsValue::from(song.to_string())).await
    }

    /// Every song with its label, the one that changed last first.
    ///
    /// # Errors
    /// When there is no shelf any more.
    pub async fn labels(&self) -> Result<Vec<(SongId, Label)>, ShelfError> {
        let songs = self.read(SONGS)?;
        let keys = songs.get_all_keys(None, None).map_err(closed)?.await.map_err(closed)?;
        let texts = songs.get_all(None, None).map_err(closed)?.await.map_err(closed)?;
        let pair = |(key, text): (JsValue, JsValue)| Some((key.as_string()?.parse().ok()?, label(&text)?));
        let mut labels: Vec<(SongId, Label)> = keys.into_iter().zip(texts).filter_map(pair).collect();
        labels.sort_by_key(|(_, label)| std::cmp::Reverse(label.changed));
        Ok(labels)
    }

    /// Takes a song and its earlier states from the shelf for good.
    ///
    /// # Errors
    /// When there is no shelf any more.
    pub async fn clear(&self, song: SongId) -> Result<(), ShelfError> {
        let transaction = self.write(&[SONGS, VERSIONS])?;
        let songs = transaction.object_store(SONGS).map_err(closed)?;
        let versions = transaction.object_store(VERSIONS).map_err(closed)?;
        let key = JsValue::from(song.to_string());
        songs.delete(key).map_err(closed)?.await.map_err(closed)?;
        versions
            .delete(states_of(song)?)
            .map_err(closed)?
            .await
            .map_err(closed)?;
        settle(transaction).await
    }

    /// When the earlier states of a song were written, the newest first.
    ///
    /// # Errors
    /// When there is no shelf any more.
    pub async fn states(&self, song: SongId) -> Result<Vec<When>, ShelfError> {
        let mut states = states(&self.read(VERSIONS)?, song).await?;
        states.reverse();
        Ok(states)
    }

    /// An earlier state of a song, as the text of its record.
    ///
    /// # Errors
    /// When there is no shelf any more.
    pub async fn state(&self, song: SongId, when: When) -> Result<Option<String>, ShelfError> {
        text(&self.read(VERSIONS)?, &state_key(song, when)).await
    }

    /// How the page was left.
    ///
    /// # Errors
    /// When there is no shelf any more.
    pub async fn setup(&self) -> Result<Option<String>, ShelfError> {
        text(&self.read(SETUP)?, &JsValue::from(SETUP_KEY)).await
    }

    /// Keeps how the page is left.
    ///
    /// # Errors
    /// When there is no room, or no shelf any more.
    pub async fn keep_setup(&self, setup: &str) -> Result<(), ShelfError> {
        let transaction = self.write(&[SETUP])?;
        let store = transaction.object_store(SETUP).map_err(closed)?;
        put(&store, &JsValue::from(SETUP_KEY), &JsValue::from(setup)).await?;
        settle(transaction).await
    }

    fn write(&self, stores: &[&str]) -> Result<Transaction, ShelfError> {
        self.database
            .transaction(stores, TransactionMode::ReadWrite)
            .map_err(closed)
    }

    fn read(&self, store: &str) -> Result<ObjectStore, ShelfError> {
        let transaction = self
            .database
            .transaction(&[store], TransactionMode::ReadOnly)
            .map_err(closed)?;
        transaction.object_store(store).map_err(closed)
    }
}

/// Keeps what is about to be replaced as an earlier state, where the newest one is old enough, and thins them out.
async fn leave_state(
    transaction: &Transaction,
    song: SongId,
    label: &Label,
    before: &JsValue,
    now: When,
) -> Result<(), ShelfError> {
    let versions = transaction.object_store(VERSIONS).map_err(closed)?;
    let kept = states(&versions, song).await?;
    // What nobody has touched can be had again from where it came.
    if !label.touched || !shelf::due(kept.last().copied(), label.changed) {
        return Ok(());
    }
    put(&versions, &state_key(song, label.changed), before).await?;
    for when in shelf::spare(&kept, now) {
        let key = state_key(song, when);
        versions.delete(key).map_err(closed)?.await.map_err(closed)?;
    }
    Ok(())
}

/// When the states of a song were written, the oldest first.
async fn states(versions: &ObjectStore, song: SongId) -> Result<Vec<When>, ShelfError> {
    let range = states_of(song)?;
    let keys = versions
        .get_all_keys(Some(range.into()), None)
        .map_err(closed)?
        .await
        .map_err(closed)?;
    let when = |key: JsValue| key.as_string()?.split_once('/')?.1.parse().ok().map(When);
    Ok(keys.into_iter().filter_map(when).collect())
}

/// The key of an earlier state. Keys sort by song, then by moment.
fn state_key(song: SongId, when: When) -> JsValue {
    format!("{song}/{:016}", when.0).into()
}

/// The keys of all states of a song.
fn states_of(song: SongId) -> Result<KeyRange, ShelfError> {
    let end = |sign: char| JsValue::from(format!("{song}{sign}"));
    // What follows the stroke in the order of characters closes the range.
    KeyRange::bound(&end('/'), &end('0'), None, Some(true)).map_err(closed)
}

/// What lies under a key.
async fn found(store: &ObjectStore, key: &JsValue) -> Result<Option<JsValue>, ShelfError> {
    store.get(key.clone()).map_err(closed)?.await.map_err(closed)
}

async fn text(store: &ObjectStore, key: &JsValue) -> Result<Option<String>, ShelfError> {
    Ok(found(store, key).await?.and_then(|value| value.as_string()))
}

/// The label of a record's text. The browser reads it: the work in it is long, and not asked for.
fn label(text: &JsValue) -> Option<Label> {
    let record = parse(text.dyn_ref::<JsString>()?).ok()?;
    serde_wasm_bindgen::from_value(record).ok()
}

#[wasm_bindgen]
extern "C" {
    /// ECMAScript, `JSON.parse`, of a text that is the browser's own.
    #[wasm_bindgen(js_namespace = JSON, catch)]
    fn parse(text: &JsString) -> Result<JsValue, JsValue>;
}

async fn put(store: &ObjectStore, key: &JsValue, text: &JsValue) -> Result<(), ShelfError> {
    let asked = store.put(text, Some(key)).map_err(closed)?;
    asked.await.map(|_| ()).map_err(refused)
}

/// Ends a transaction, and learns whether it held.
async fn settle(transaction: Transaction) -> Result<(), ShelfError> {
    let ended = transaction.commit().map_err(refused)?.await.map_err(refused)?;
    // What is called off while it is written down has found no room.
    if ended.is_committed() {
        Ok(())
    } else {
        Err(ShelfError::Full)
    }
}

/// Why nothing can be done with the shelf at all.
fn closed(error: Error) -> ShelfError {
    told(&error);
    ShelfError::Closed
}

/// Why something was not written.
fn refused(error: Error) -> ShelfError {
    told(&error);
    match &error {
        Error::DomException(exception) if exception.name() != "QuotaExceededError" => ShelfError::Closed,
        _ => ShelfError::Full,
    }
}

fn told(error: &Error) {
    web_sys::console::warn_1(&format!("the shelf: {error}").into());
}
