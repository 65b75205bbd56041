//! Two compared passes are set equally loud: both are measured away from the page, and the louder is turned down.

use super::state::Page;
use crate::app::compare::{AskLoudness, balance};
use crate::app::jobs::{Job, News, Product};
use crate::platform::worker::{Errand, Return};
use crate::sound::Score;
use leptos::prelude::*;

/// Connects the measuring to the comparison.
pub(super) fn connect(page: Page) {
    let errand = StoredValue::new_local(None::<Errand>);
    let amp = Memo::new(move |_| page.desk.with(|d| d.levels.amp()));
    let both = Memo::new(move |_| {
        let (here, there) = (page.chosen.get()?, page.other.get()?);
        let (song, instrument) = (page.song.get()?, page.instrument.get()?);
        let ask = |performance| AskLoudness {
            score: Score::over(&song, &instrument, Some(performance), None),
            amp: amp.get(),
        };
        Some([&here, &there].map(|shown| ask(&shown.performance)))
    });
    Effect::new(move || {
        let both = both.get();
        // A measure that is no longer wanted is called off.
        errand.set_value(None);
        page.balance.set(None);
        let Some(both) = both else { return };
        let hear = move |back| {
            if let Return::News(News::Done(Product::Loudness([here, there])), _) = back {
                page.balance.set(Some(balance(here, there)));
            }
        };
        errand.set_value(Some(Errand::send(Job::Measure(Box::new(both)), hear)));
    });
}
