//! The writing itself: an errand that goes on while other views are looked at.

use crate::app::bench::Progress;
use crate::app::delivery::{Order, Reader};
use crate::app::jobs::{Job, News, Product};
use crate::platform::files;
use crate::platform::moment::now;
use crate::platform::worker::{Errand, Return};
use crate::ui::language::{look, naming, tell, words};
use crate::ui::state::{Delivering, Made, Page, Stage};
use crate::ui::takes::{self, Studio, Written};
use js_sys::Array;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;
use web_sys::Blob;

/// What is said when the worker broke.
const BROKE: &str = key!(
    "The stems were not finished: the browser stopped the work, most likely for want of memory. \
                     Close other pages or choose fewer stems, and write again."
);

impl Delivering {
    /// Sends an order off; what was made before is given up. What the player recorded is written first: its sound lies
    /// with the page.
    pub(super) fn start(self, page: Page, order: Order) {
        self.call_off();
        self.file.set_value(None);
        self.stage.set(Stage::Going(Progress::NONE));
        let mut dated = Order {
            written: now(),
            reader: Reader::of(words(), naming()),
            ..order.clone()
        };
        if order.played.is_empty() {
            return self.send(order, dated, Vec::new());
        }
        let (turn, studio) = (self.turn.get_value(), Studio::here());
        let takes = page.work.with_untracked(|w| Arc::clone(&w.takes));
        spawn_local(async move {
            let mut files = Vec::new();
            dated.played.clear();
            for played in Order::to_write(&takes) {
                let written = takes::write(studio, &dated, &played, &takes).await;
                if self.turn.get_value() != turn {
                    return;
                }
                match written {
                    Ok(Written { named, file }) => {
                        dated.played.push(named);
                        files.push(file);
                    }
                    Err(words) => return self.stage.set(Stage::Failed(words)),
                }
            }
            self.send(order, dated, files);
        });
    }

    fn send(self, order: Order, dated: Order, files: Vec<Blob>) {
        let hear = move |back| self.hear(&order, &files, back);
        let errand = Errand::send(Job::Deliver(Box::new(dated)), hear);
        self.errand.set_value(Some(errand));
    }

    /// Gives the work up.
    pub(super) fn call_off(self) {
        self.turn.update_value(|turn| *turn += 1);
        self.errand.set_value(None);
        self.stage.set(Stage::Resting);
    }

    /// Hands the file to the browser; answers with what to say when it would not have it.
    pub(super) fn save(self, name: &str) -> Option<String> {
        let saved = self
            .file
            .with_value(|file| file.as_ref().map(|file| files::save(file, name)));
        saved?.err().map(|error| tell(&error.said()))
    }

    fn hear(self, order: &Order, files: &[Blob], back: Return) {
        let stage = match back {
            Return::News(News::Going(progress), _) => Stage::Going(progress),
            Return::News(News::Refused(refused), _) => Stage::Failed(tell(&refused.0)),
            Return::News(News::Done(Product::Delivery(delivery)), Some(file)) => {
                let whole = fill(&file, &delivery.gaps, files);
                let Some(whole) = whole else {
                    return self.stage.set(Stage::Failed(BROKE.to_owned()));
                };
                self.file.set_value(Some(whole));
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

/// Puts files into a parcel whose bytes lack theirs.
#[allow(clippy::cast_precision_loss)] // places in a file
fn fill(parcel: &Blob, gaps: &[u64], files: &[Blob]) -> Option<Blob> {
    if files.is_empty() {
        return Some(parcel.clone());
    }
    let (pieces, mut from) = (Array::new(), 0.0);
    for (gap, file) in gaps.iter().zip(files) {
        let gap = *gap as f64;
        let before = parcel.slice_with_f64_and_f64(from, gap).ok()?;
        pieces.push(&before);
        pieces.push(file);
        from = gap;
    }
    let rest = parcel.slice_with_f64(from).ok()?;
    pieces.push(&rest);
    Blob::new_with_blob_sequence(&pieces).ok()
}
