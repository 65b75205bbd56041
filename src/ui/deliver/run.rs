//! The writing itself: an errand that goes on while other views are looked at.

use crate::app::bench::Progress;
use crate::app::delivery::{Delivery, Order};
use crate::app::jobs::{Job, News, Product};
use crate::platform::files;
use crate::platform::moment::now;
use crate::platform::worker::{Errand, Return};
use crate::ui::language::look;
use leptos::prelude::*;
use std::sync::Arc;
use web_sys::Blob;

/// What is said when the worker broke.
const BROKE: &str = key!(
    "The stems were not finished: the browser stopped the work, most likely for want of memory. \
                     Close other pages or choose fewer stems, and write again."
);

/// What was written.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Made {
    pub(super) delivery: Delivery,
    /// What it was made of.
    pub(super) order: Order,
}

/// How far the writing is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stage {
    /// Nothing is being written.
    Resting,
    /// This much is done.
    Going(Progress),
    /// It is all there.
    Done(Arc<Made>),
    /// It came to nothing: why, and what to do.
    Failed(String),
}

/// Delivering, whatever is looked at meanwhile.
#[derive(Clone, Copy)]
pub struct Delivering {
    pub(super) stage: RwSignal<Stage>,
    errand: StoredValue<Option<Errand>, LocalStorage>,
    file: StoredValue<Option<Blob>, LocalStorage>,
}

impl Delivering {
    /// Nothing yet.
    pub(in crate::ui) fn new() -> Self {
        Self {
            stage: RwSignal::new(Stage::Resting),
            errand: StoredValue::new_local(None),
            file: StoredValue::new_local(None),
        }
    }

    /// Sends an order off; what was made before is given up.
    pub(super) fn start(self, order: Order) {
        self.file.set_value(None);
        self.stage.set(Stage::Going(Progress::NONE));
        let job = Job::Deliver(Box::new(Order {
            written: now(),
            ..order.clone()
        }));
        let hear = move |back| self.hear(&order, back);
        self.errand.set_value(Some(Errand::send(job, hear)));
    }

    /// Gives the work up.
    pub(super) fn call_off(self) {
        self.errand.set_value(None);
        self.stage.set(Stage::Resting);
    }

    /// Hands the file to the browser; answers with what to say when it would not have it.
    pub(super) fn save(self, name: &str) -> Option<String> {
        let saved = self
            .file
            .with_value(|file| file.as_ref().map(|file| files::save(file, name)));
        saved?.err().map(|error| error.to_string())
    }

    fn hear(self, order: &Order, back: Return) {
        let stage = match back {
            Return::News(News::Going(progress), _) => Stage::Going(progress),
            Return::News(News::Refused(refused), _) => Stage::Failed(refused.to_string()),
            Return::News(News::Done(Product::Delivery(delivery)), Some(file)) => {
                self.file.set_value(Some(file));
                Stage::Done(Arc::new(Made {
                    delivery: *delivery,
                    order: order.clone(),
                }))
            }
            Return::News(News::Done(_), _) | Return::Broke => Stage::Failed(look(BROKE).to_owned()),
        };
        self.stage.set(stage);
    }
}
