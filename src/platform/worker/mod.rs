//! Workers: the engine away from the page, so that the page never waits.
//!
//! *Invariant:* a worker has one job at a time; it answers each with as much [`News`](crate::app::jobs::News) as it
//! likes, of which the last says that it is the last. A worker that breaks is let go, and the page hears it in words.
//!
//! | file | what it is |
//! |---|---|
//! | `newest` | a worker that stays, for short jobs of which only the newest matters |
//! | `posting` | the worker's side of a job: what it tells and puts away |
//! | `words` | what is written to workers, and read of them |
//! | `errand` | a worker for one long job: it gives its memory back with the answer, and can be called off |

mod errand;
mod newest;
#[cfg(feature = "engine")]
mod posting;
mod words;

pub use errand::{Errand, Return};
pub use newest::Newest;
#[cfg(feature = "engine")]
pub use posting::work;

use super::compiled::engine;
use super::frames::pause;
use crate::app::jobs::{Job, Posted, Told};
use std::rc::Rc;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use wasm_bindgen_futures::spawn_local;
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
    hear: Rc<dyn Fn(Word)>,
    _on_message: Closure<dyn FnMut(MessageEvent)>,
    _on_error: Closure<dyn FnMut(JsValue)>,
}

impl Hand {
    /// Starts a worker whose words go to `hear`.
    fn start(hear: impl Fn(Word) + 'static) -> Result<Self, JsValue> {
        let hear: Rc<dyn Fn(Word)> = Rc::new(hear);
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(SCRIPT, &options)?;
        let (on_told, on_error, no_engine) = (Rc::clone(&hear), Rc::clone(&hear), Rc::clone(&hear));
        let on_error = Closure::new(move |error: JsValue| on_error(Word::Broke(error)));
        let on_message = Closure::new(move |event: MessageEvent| {
            let hear = Rc::clone(&on_told);
            spawn_local(async move { hear(word(event.data()).await) });
        });
        worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
        let hand = Self {
            worker,
            hear,
            _on_message: on_message,
            _on_error: on_error,
        };
        let worker = hand.worker.clone();
        spawn_local(async move {
            // What is posted meanwhile waits there for the engine.
            if let Err(error) = engine().await.and_then(|engine| worker.post_message(&engine)) {
                no_engine(Word::Broke(error));
            }
        });
        Ok(hand)
    }

    /// Gives it a job; where that can't be, its ears hear that it broke.
    fn give(&self, turn: u32, job: Job) {
        let (worker, hear) = (self.worker.clone(), Rc::clone(&self.hear));
        spawn_local(async move {
            // A song with its instrument and its pass takes as long to write as what led here took.
            pause(0).await;
            let posted = words::written(Posted { turn, job }).await;
            let posted = posted.unwrap_or_else(|error| Err(error.to_string().into()));
            if let Err(error) = posted.and_then(|posted| worker.post_message(&posted)) {
                hear(Word::Broke(error));
            }
        });
    }

    /// Ends the worker now and drops its ears when they are no longer in use: this may be called from within one.
    fn let_go(self) {
        self.worker.terminate();
        spawn_local(async move { drop(self) });
    }
}

impl Drop for Hand {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

/// A text is a cry for help; anything else is news, alone or in a pair with a file.
async fn word(data: JsValue) -> Word {
    if data.is_string() {
        return Word::Broke(data);
    }
    let (told, file) = match data.dyn_ref::<js_sys::Array>() {
        Some(pair) => (pair.get(0), pair.get(1).dyn_into().ok()),
        None => (data, None),
    };
    match words::read(told).await {
        Ok(Ok(told)) => Word::Told(told, file),
        Ok(Err(error)) => Word::Broke(error),
        Err(error) => Word::Broke(error.to_string().into()),
    }
}
