//! What a first visitor finds: the first of the demo songs, and passes over it that come with the page, so that they
//! are seen before the planner has been loaded.
//!
//! *Invariant:* the passes that come with the page are the planner's own (held by `tests/first_visit.rs`).

use super::planning::Ask;
use super::reading::Reading;
use super::songs::DEMO_SONGS;
use super::work::{Rig, Work};
use crate::solo::{Draft, Request};

/// The file of the passes, relative to the page. It is written by `cargo run --example first-draft`.
pub const DRAFT: &str = "first-draft.json";

/// What the frame says that is seen before the page runs: `index.html` says it in English, and the build has `first.js`
/// say it in the other languages.
pub const SAID: &str = key!("From a number chart to a pedal-steel solo you can see, hear and play.");

/// The work that a first visitor finds.
#[must_use]
pub fn work() -> Work {
    let song = &DEMO_SONGS[0];
    Work {
        request: Request {
            feel: song.feel.to_owned(),
            ..Request::default()
        },
        ..Work::on(song.chart)
    }
}

/// Whether the passes that come with the page are those over this work: it is what a first visitor finds, whatever else
/// has been kept in it.
#[must_use]
pub fn is_drafted_over(work: &Work) -> bool {
    let first = self::work();
    let rig = Rig {
        // Nothing is planned with how it is tuned.
        tunings: work.rig.tunings.clone(),
        ..first.rig
    };
    work.chart == first.chart && work.request == first.request && work.rig == rig
}

/// What the planner is asked for the passes; nothing if song or instrument could not be read.
#[must_use]
pub fn ask() -> Option<Ask> {
    let work = work();
    let instrument = work.rig.built()?;
    Some(Ask {
        song: (*Reading::of(&work.chart).song?).clone(),
        request: work.full_request(&instrument),
        instrument,
    })
}

/// Reads the file of the passes; nothing if it is another version's.
#[must_use]
pub fn read(text: &str) -> Option<Draft> {
    serde_json::from_str(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::tuning::Tuning;

    #[test]
    fn the_passes_are_over_the_first_work_however_it_is_tuned_and_over_no_other() {
        let first = work();
        assert!(is_drafted_over(&first));
        let mut tuned = first.clone();
        tuned.rig.tune(Tuning::equal(&first.rig.built().unwrap()));
        assert!(is_drafted_over(&tuned));

        let mut other = first.clone();
        other.request.seed += 1;
        assert!(!is_drafted_over(&other));
        let mut other = first.clone();
        other.rig.set_has("C", false);
        assert!(!is_drafted_over(&other));
        assert!(!is_drafted_over(&Work::on("1 4 5 1")));
    }
}
