//! One long job in a worker of its own, so that short ones never wait for it.
//!
//! *Invariant:* the worker ends with the job, whether it is done, refused, broken or called off, and its memory goes
//! back with it.

use super::{Hand, Word};
use crate::app::jobs::{Job, News};
use std::cell::RefCell;
use std::fmt;
use std::rc::Rc;
use wasm_bindgen::prelude::JsValue;
use web_sys::Blob;

/// How an errand goes.
#[derive(Debug)]
pub enum Return {
    /// As the job tells; with its end comes the file it made, if it made one.
    News(News, Option<Blob>),
    /// The worker broke (out of memory, most likely); the browser's words are on its console.
    Broke,
}

/// A long job on its way. Dropping it calls it off, and nothing more is heard of it.
pub struct Errand {
    hand: Rc<RefCell<Option<Hand>>>,
}

impl fmt::Debug for Errand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Errand")
    }
}

impl Errand {
    /// Sends a job off. What becomes of it goes to `hear`, which is not called before this returns.
    #[must_use]
    pub fn send(job: Job, hear: impl Fn(Return) + 'static) -> Self {
        let hand = Rc::new(RefCell::new(None));
        let own = Rc::downgrade(&hand);
        let hear = Rc::new(hear);
        let heard = Rc::clone(&hear);
        let on_word = move |word| {
            let Some(own) = own.upgrade() else { return };
            let (back, last) = back(word);
            if last && let Some(hand) = own.take() {
                Hand::let_go(hand);
            }
            heard(back);
        };
        match Hand::start(on_word) {
            Ok(started) => {
                started.give(1, job);
                hand.replace(Some(started));
            }
            Err(error) => {
                warn(&error);
                wasm_bindgen_futures::spawn_local(async move { hear(Return::Broke) });
            }
        }
        Self { hand }
    }
}

impl Drop for Errand {
    fn drop(&mut self) {
        if let Some(hand) = self.hand.take() {
            hand.let_go();
        }
    }
}

/// What a word means for the page, and whether it is the last.
fn back(word: Word) -> (Return, bool) {
    match word {
        Word::Told(told, file) => {
            let last = told.news.is_last();
            (Return::News(told.news, file), last)
        }
        Word::Broke(error) => {
            warn(&error);
            (Return::Broke, true)
        }
    }
}

fn warn(error: &JsValue) {
    web_sys::console::warn_2(&"a worker stopped:".into(), error);
}
