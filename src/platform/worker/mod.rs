//! Workers: the engine away from the page, so that the page never waits.
//!
//! *Invariant:* a worker has one job at a time; it answers each with as much [`News`](crate::app::jobs::News) as it
//! likes, of which the last says that it is the last. A worker that breaks is let go, and the page hears it in words.
//!
//! | file | what it is |
//! |---|---|
//! | `newest` | a worker that stays, for short jobs of which only the newest matters |
//! | `posting` | the worker's side of a job: what it tells and puts away |
//! | `errand` | a worker for one long job: it gives its memory back with the answer, and can be called off |

mod errand;
mod newest;
#[cfg(feature = "engine")]
mod posting;

pub use errand::{Errand, Return};
pub use newest::Newest;
#[cfg(feature = "engine")]
pub use posting::work;

use super::compiled::engine;
use crate::app::jobs::{Job, Posted, Told};
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use web_sys::{Blob, MessageEvent, Worker, WorkerOptions, WorkerType};

/// The worker's script, relative to the page.
const SCRIPT: &str = "./worker.js";

/// What a worker says.
enum Word {
    /// News of a job, and with the last of it the file that was put away, if any.
    Told(Told, Option<Blob>),
    /// It broke: nothing more is to be had of it.
    Broke(JsValue),
}

/// A worker with its ears; it ends when this is dropped.
struct Hand {
    worker: Worker,
    _on_message: Closure<dyn FnMut(MessageEvent)>,
    _on_error: Closure<dyn FnMut(JsValue)>,
}

impl Hand {
    /// Starts a worker whose words go to `hear`.
    fn start(hear: impl Fn(Word) + Clone + 'static) -> Result<Self, JsValue> {
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(SCRIPT, &options)?;
        let (on_error, no_engine) = (hear.clone(), hear.clone());
        let on_error = Closure::new(move |error: JsValue| on_error(Word::Broke(error)));
        let on_message = Closure::new(move |event: MessageEvent| hear(word(event.data())));
        worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
        let hand = Self {
            worker,
            _on_message: on_message,
            _on_error: on_error,
        };
        let worker = hand.worker.clone();
        wasm_bindgen_futures::spawn_local(async move {
            // What is posted meanwhile waits there for the engine.
            if let Err(error) = engine().await.and_then(|engine| worker.post_message(&engine)) {
                no_engine(Word::Broke(error));
            }
        });
        Ok(hand)
    }

    fn give(&self, turn: u32, job: Job) -> Result<(), JsValue> {
        let posted = serde_wasm_bindgen::to_value(&Posted { turn, job })?;
        self.worker.post_message(&posted)
    }

    /// Ends the worker now and drops its ears when they are no longer in use: this may be called from within one.
    fn let_go(self) {
        self.worker.terminate();
        wasm_bindgen_futures::spawn_local(async move { drop(self) });
    }
}

impl Drop for Hand {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

/// A text is a cry for help; anything else is news, alone or in a pair with a file.
fn word(data: JsValue) -> Word {
    if data.is_string() {
        return Word::Broke(data);
    }
    let (told, file) = match data.dyn_ref::<js_sys::Array>() {
        Some(pair) => (pair.get(0), pair.get(1).dyn_into().ok()),
        None => (data, None),
    };
    match serde_wasm_bindgen::from_value(told) {
        Ok(told) => Word::Told(told, file),
        Err(error) => Word::Broke(error.into()),
    }
}
