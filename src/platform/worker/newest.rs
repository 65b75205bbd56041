//! A worker that stays, for jobs of which only the newest matters: asked, answered, and started again when it breaks.
//!
//! *Invariant:* at most one job is being worked on and one is waiting; of those that come meanwhile only the newest
//! is kept, and only the end of the newest is handed on.

use super::{Hand, Word};
use crate::app::jobs::{Job, News};
use crate::platform::frames::clock;
use std::cell::RefCell;
use std::fmt;
use std::rc::Rc;
use wasm_bindgen::prelude::JsValue;

/// A job that has been worked on this long (in milliseconds) is given up when a newer one comes.
const PATIENCE: f64 = 1500.0;

#[derive(Default)]
struct State {
    hand: Option<Hand>,
    /// When the job being worked on was handed over.
    busy_since: Option<f64>,
    waiting: Option<Job>,
    newest: u32,
}

struct Inner {
    state: RefCell<State>,
    on_news: Box<dyn Fn(News)>,
    on_fault: Box<dyn Fn()>,
}

/// The worker. Clones share it.
#[derive(Clone)]
pub struct Newest {
    inner: Rc<Inner>,
}

impl fmt::Debug for Newest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Newest")
    }
}

impl Newest {
    /// A worker that is started by the first job. News of the newest job goes to `on_news`; `on_fault` is called
    /// when the worker broke: the job is lost, and the next one starts another.
    #[must_use]
    pub fn new(on_news: impl Fn(News) + 'static, on_fault: impl Fn() + 'static) -> Self {
        Self {
            inner: Rc::new(Inner {
                state: RefCell::default(),
                on_news: Box::new(on_news),
                on_fault: Box::new(on_fault),
            }),
        }
    }

    /// Asks. A job that came before is dropped if it is not being worked on yet, and its news if it is.
    pub fn ask(&self, job: Job) {
        {
            let mut state = self.inner.state.borrow_mut();
            state.newest = state.newest.wrapping_add(1);
            state.waiting = Some(job);
            if state.busy_since.is_some_and(|since| clock() - since > PATIENCE) {
                state.hand = None;
                state.busy_since = None;
            }
        }
        self.inner.next();
    }
}

impl Inner {
    /// Hands the waiting job over if the worker is free.
    fn next(self: &Rc<Self>) {
        let job = {
            let mut state = self.state.borrow_mut();
            if state.busy_since.is_some() {
                return;
            }
            state.waiting.take()
        };
        let Some(job) = job else { return };
        if let Err(error) = self.hand_over(job) {
            self.broken(&error);
        }
    }

    fn hand_over(self: &Rc<Self>, job: Job) -> Result<(), JsValue> {
        let mut state = self.state.borrow_mut();
        if state.hand.is_none() {
            let inner = Rc::downgrade(self);
            state.hand = Some(Hand::start(move |word| {
                if let Some(inner) = inner.upgrade() {
                    inner.hear(word);
                }
            })?);
        }
        if let Some(hand) = &state.hand {
            hand.give(state.newest, job);
        }
        state.busy_since = Some(clock());
        Ok(())
    }

    fn hear(self: &Rc<Self>, word: Word) {
        let told = match word {
            Word::Told(told, _) => told,
            Word::Broke(error) => return self.broken(&error),
        };
        let (last, newest) = (told.news.is_last(), self.state.borrow().newest);
        if last {
            self.state.borrow_mut().busy_since = None;
        }
        if told.turn == newest {
            (self.on_news)(told.news);
        }
        if last {
            self.next();
        }
    }

    /// The worker is let go; the next job starts another.
    fn broken(self: &Rc<Self>, error: &JsValue) {
        web_sys::console::warn_2(&"a worker stopped:".into(), error);
        let hand = {
            let mut state = self.state.borrow_mut();
            state.busy_since = None;
            state.hand.take()
        };
        if let Some(hand) = hand {
            hand.let_go();
        }
        (self.on_fault)();
    }
}
