//! The bench of a job in a worker: what it tells is posted to the page, what it puts away is kept by the browser.

use crate::app::bench::{Bench, Progress, Refused};
use crate::app::jobs::{self, News, Posted, Told};
use js_sys::{Array, Uint8Array};
use wasm_bindgen::prelude::{JsCast, JsValue, wasm_bindgen};
use web_sys::{Blob, DedicatedWorkerGlobalScope};

/// The worker's side: takes a job and posts word of it until it is done.
///
/// # Errors
/// When the job has not the form this version writes, or the page can't be reached.
#[wasm_bindgen]
pub fn work(posted: JsValue) -> Result<(), JsValue> {
    let Posted { turn, job } = serde_wasm_bindgen::from_value(posted)?;
    let mut bench = Posting::new(turn);
    let news = match jobs::work(&job, &mut bench) {
        Ok(product) => News::Done(product),
        Err(refused) => News::Refused(refused),
    };
    bench.tell(news)
}

/// One job's way back to the page.
pub(super) struct Posting {
    scope: DedicatedWorkerGlobalScope,
    turn: u32,
    /// What was told of the progress last, in hundredths.
    told: Option<u8>,
    /// What was put away, pile by pile. The bytes lie with the browser, outside the module's memory, and on the disk
    /// when they are many.
    piles: Vec<Vec<Blob>>,
}

impl Posting {
    pub(super) fn new(turn: u32) -> Self {
        Self {
            scope: js_sys::global().unchecked_into(),
            turn,
            told: None,
            piles: Vec::new(),
        }
    }

    /// Posts news of the job; with the last goes what was put away, as one file.
    pub(super) fn tell(&self, news: News) -> Result<(), JsValue> {
        let last = news.is_last();
        let told = serde_wasm_bindgen::to_value(&Told { turn: self.turn, news })?;
        if !last || self.piles.is_empty() {
            return self.scope.post_message(&told);
        }
        let pieces: Array = self.piles.iter().flatten().collect();
        let file = Blob::new_with_blob_sequence(&pieces)?;
        self.scope.post_message(&Array::of2(&told, &file))
    }
}

impl Bench for Posting {
    fn going(&mut self, progress: Progress) {
        let percent = Some(progress.percent());
        if self.told == percent {
            return;
        }
        self.told = percent;
        if let Err(error) = self.tell(News::Going(progress)) {
            web_sys::console::warn_2(&"progress could not be told:".into(), &error);
        }
    }

    fn put(&mut self, pile: usize, bytes: &[u8]) -> Result<(), Refused> {
        if self.piles.len() <= pile {
            self.piles.resize_with(pile + 1, Vec::new);
        }
        let piece = Array::of1(&Uint8Array::from(bytes));
        let blob = Blob::new_with_u8_array_sequence(&piece).map_err(|error| {
            web_sys::console::warn_2(&"the browser took no more bytes:".into(), &error);
            Refused(said!(
                "The browser has no room left for this: choose fewer stems, or close other pages."
            ))
        })?;
        if let Some(pile) = self.piles.get_mut(pile) {
            pile.push(blob);
        }
        Ok(())
    }
}
