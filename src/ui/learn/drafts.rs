//! The drafted examples of a lesson: planned in a worker, one after another.
//!
//! *Invariant:* one draft is made at a time; leaving the lesson calls off what is left.

use crate::app::jobs::{Job, News, Product};
use crate::app::planning::Ask;
use crate::platform::worker::{Errand, Return};
use crate::solo::Draft;
use crate::ui::language::tell;
use leptos::prelude::*;
use std::cell::RefCell;
use std::collections::VecDeque;
use std::rc::Rc;

/// What hears the draft, or why there is none.
type Hear = Box<dyn FnOnce(Result<Box<Draft>, String>)>;

#[derive(Default)]
struct Queue {
    waiting: VecDeque<(Ask, Hear)>,
    working: Option<Errand>,
    hears: Option<Hear>,
}

/// The drafts that the open lesson waits for.
#[derive(Clone, Copy)]
pub(super) struct Drafts(StoredValue<Rc<RefCell<Queue>>, LocalStorage>);

impl Drafts {
    /// None yet, for everything below.
    pub(super) fn provide() {
        provide_context(Self(StoredValue::new_local(Rc::default())));
    }

    /// Those of the lesson around.
    pub(super) fn here() -> Self {
        expect_context()
    }

    /// Asks for a draft; `hear` is told once.
    pub(super) fn want(self, ask: Ask, hear: impl FnOnce(Result<Box<Draft>, String>) + 'static) {
        self.0.with_value(|queue| {
            queue.borrow_mut().waiting.push_back((ask, Box::new(hear)));
            next(queue);
        });
    }
}

/// Sends the next one, unless one is on its way.
fn next(queue: &Rc<RefCell<Queue>>) {
    let mut waiting = queue.borrow_mut();
    if waiting.hears.is_some() {
        return;
    }
    let Some((ask, hear)) = waiting.waiting.pop_front() else {
        return;
    };
    waiting.hears = Some(hear);
    let own = Rc::downgrade(queue);
    waiting.working = Some(Errand::send(Job::Plan(Box::new(ask)), move |back| {
        if let Some((queue, answer)) = own.upgrade().zip(answer(back)) {
            let hear = queue.borrow_mut().hears.take();
            if let Some(hear) = hear {
                hear(answer);
            }
            next(&queue);
        }
    }));
}

/// The end of an errand; nothing while it is on its way.
fn answer(back: Return) -> Option<Result<Box<Draft>, String>> {
    match back {
        Return::News(News::Going(_), _) => None,
        Return::News(News::Done(Product::Draft(draft)), _) => Some(Ok(draft)),
        Return::News(News::Refused(refused), _) => Some(Err(tell(&refused.0))),
        Return::Broke => Some(Err(say!(
            "The planner stopped. Open the lesson again to try once more."
        )
        .to_owned())),
        // A product of another kind of job; none is asked for here.
        Return::News(News::Done(_), _) => None,
    }
}
