//! The planner in its worker: asked, answered, and started again when it breaks.
//!
//! *Invariant:* at most one question is being worked on and one is waiting; of those that come meanwhile only the
//! newest is kept, and only the answer to the newest is handed on.

use super::frames::clock;
use crate::app::planning::{Answer, Ask, answer};
use std::cell::RefCell;
use std::fmt;
use std::rc::Rc;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue, wasm_bindgen};
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

/// The worker's script, relative to the page.
const SCRIPT: &str = "./worker.js";
/// A question that has been worked on this long (in milliseconds) is given up when a newer one comes.
const PATIENCE: f64 = 1500.0;

/// The worker's side: takes a question, gives its answer.
///
/// # Errors
/// When the question has not the form this version writes.
#[wasm_bindgen]
pub fn plan(ask: JsValue) -> Result<JsValue, JsValue> {
    let ask: Ask = serde_wasm_bindgen::from_value(ask)?;
    Ok(serde_wasm_bindgen::to_value(&answer(&ask))?)
}

type OnMessage = Closure<dyn FnMut(MessageEvent)>;
type OnError = Closure<dyn FnMut(JsValue)>;

/// A worker with its ears.
struct Desk {
    worker: Worker,
    _on_message: OnMessage,
    _on_error: OnError,
}

impl Drop for Desk {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

#[derive(Default)]
struct State {
    desk: Option<Desk>,
    /// When the question being worked on was handed over.
    busy_since: Option<f64>,
    waiting: Option<Ask>,
    newest: u32,
}

struct Inner {
    state: RefCell<State>,
    on_answer: Box<dyn Fn(Answer)>,
    on_fault: Box<dyn Fn(String)>,
}

/// The planner. Clones share it.
#[derive(Clone)]
pub struct Planner {
    inner: Rc<Inner>,
}

impl fmt::Debug for Planner {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Planner")
    }
}

impl Planner {
    /// A planner whose worker is started by the first question. Answers to the newest question go to
    /// `on_answer`; `on_fault` hears, in words for the user, when the planner broke.
    #[must_use]
    pub fn new(on_answer: impl Fn(Answer) + 'static, on_fault: impl Fn(String) + 'static) -> Self {
        Self {
            inner: Rc::new(Inner {
                state: RefCell::default(),
                on_answer: Box::new(on_answer),
                on_fault: Box::new(on_fault),
            }),
        }
    }

    /// Asks. A question that comes before is dropped if it is not being worked on yet, and its answer if it is.
    pub fn ask(&self, ask: Ask) {
        {
            let mut state = self.inner.state.borrow_mut();
            state.newest = ask.turn;
            state.waiting = Some(ask);
            if state.busy_since.is_some_and(|since| clock() - since > PATIENCE) {
                state.desk = None;
                state.busy_since = None;
            }
        }
        self.inner.next();
    }
}

impl Inner {
    /// Hands the waiting question over if the worker is free.
    fn next(self: &Rc<Self>) {
        let ask = {
            let mut state = self.state.borrow_mut();
            if state.busy_since.is_some() {
                return;
            }
            state.waiting.take()
        };
        let Some(ask) = ask else { return };
        if let Err(error) = self.hand_over(&ask) {
            self.broken(&error);
        }
    }

    fn hand_over(self: &Rc<Self>, ask: &Ask) -> Result<(), JsValue> {
        let message = serde_wasm_bindgen::to_value(ask)?;
        let mut state = self.state.borrow_mut();
        if state.desk.is_none() {
            state.desk = Some(self.open()?);
        }
        if let Some(desk) = &state.desk {
            desk.worker.post_message(&message)?;
        }
        state.busy_since = Some(clock());
        Ok(())
    }

    fn open(self: &Rc<Self>) -> Result<Desk, JsValue> {
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(SCRIPT, &options)?;
        let inner = Rc::downgrade(self);
        let on_message = OnMessage::new(move |event: MessageEvent| {
            if let Some(inner) = inner.upgrade() {
                inner.hear(&event.data());
            }
        });
        let inner = Rc::downgrade(self);
        let on_error = OnError::new(move |error: JsValue| {
            if let Some(inner) = inner.upgrade() {
                inner.broken(&error);
            }
        });
        worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
        worker.post_message(&wasm_bindgen::module())?;
        Ok(Desk {
            worker,
            _on_message: on_message,
            _on_error: on_error,
        })
    }

    fn hear(self: &Rc<Self>, data: &JsValue) {
        if data.is_string() {
            return self.broken(data);
        }
        let answer = serde_wasm_bindgen::from_value::<Answer>(data.clone());
        self.state.borrow_mut().busy_since = None;
        match answer {
            Ok(answer) => {
                let (Answer::Drafted { turn, .. } | Answer::Refused { turn, .. }) = &answer;
                if *turn == self.state.borrow().newest {
                    (self.on_answer)(answer);
                }
            }
            Err(error) => self.broken(&error.into()),
        }
        self.next();
    }

    /// The worker is let go; the next question starts another.
    fn broken(self: &Rc<Self>, error: &JsValue) {
        web_sys::console::warn_2(&"the planner stopped:".into(), error);
        let mut state = self.state.borrow_mut();
        state.busy_since = None;
        // Dropping the ears from within one of them is not allowed: let this call end first.
        if let Some(desk) = state.desk.take() {
            desk.worker.terminate();
            wasm_bindgen_futures::spawn_local(async move { drop(desk) });
        }
        drop(state);
        (self.on_fault)("The planner stopped and has been set up again. Press Draft to try once more.".to_owned());
    }
}
