//! A state of the work as it is kept to be gone back to.
//!
//! *Invariant:* what two neighbours have alike is there once. A change touches one part of the work, and there is no end
//! to changes: a whole work for each would take more than a kilobyte.

use super::super::attitudes::Attitudes;
use super::super::backing_song::BackingSong;
use super::super::history::Weighed;
use super::super::lineage::{Kept, Lineage};
use super::super::shelf::SongId;
use super::super::takes::Takes;
use super::super::tuning::Tuning;
use super::super::work::{Rig, Work};
use crate::solo::request::Request;
use std::sync::Arc;

/// A work in parts; see [`Work`] for what each is.
#[derive(Debug, Clone)]
pub(super) struct Past {
    pub(super) song: SongId,
    chart: Arc<str>,
    rig: Arc<Rig>,
    request: Arc<Request>,
    kept: Arc<Lineage>,
    recording: Option<Arc<BackingSong>>,
    takes: Arc<Takes>,
    attitudes: Arc<Attitudes>,
    /// What it takes beside what its neighbour has too, in bytes. The oldest that is kept takes more, by what it had alike
    /// with one that is gone: less than one whole state.
    weight: usize,
}

impl Past {
    /// A work as it is kept beside a state that came right before it or after it.
    pub(super) fn of(work: Work, neighbour: Option<&Self>) -> Self {
        let mut weight = size_of::<Self>();
        let chart = match neighbour {
            Some(other) if other.chart == work.chart => Arc::clone(&other.chart),
            _ => {
                weight += work.chart.len();
                work.chart
            }
        };
        Self {
            song: work.song,
            chart,
            rig: share(work.rig, neighbour.map(|n| &n.rig), rig_weight, &mut weight),
            request: share(work.request, neighbour.map(|n| &n.request), request_weight, &mut weight),
            kept: share(work.kept, neighbour.map(|n| &n.kept), kept_weight, &mut weight),
            recording: work.recording,
            takes: work.takes,
            attitudes: share(
                work.attitudes,
                neighbour.map(|n| &n.attitudes),
                attitudes_weight,
                &mut weight,
            ),
            weight,
        }
    }

    /// The work again.
    pub(super) fn into_work(self) -> Work {
        Work {
            song: self.song,
            chart: self.chart,
            rig: Arc::unwrap_or_clone(self.rig),
            request: Arc::unwrap_or_clone(self.request),
            kept: Arc::unwrap_or_clone(self.kept),
            recording: self.recording,
            takes: self.takes,
            attitudes: Arc::unwrap_or_clone(self.attitudes),
        }
    }
}

impl Weighed for Past {
    fn weight(&self) -> usize {
        self.weight
    }
}

/// The neighbour's part where it is the same; else one's own, which is added to the weight.
fn share<T: PartialEq>(part: T, other: Option<&Arc<T>>, weigh: fn(&T) -> usize, weight: &mut usize) -> Arc<T> {
    match other {
        Some(other) if **other == part => Arc::clone(other),
        _ => {
            *weight += weigh(&part);
            Arc::new(part)
        }
    }
}

fn rig_weight(rig: &Rig) -> usize {
    let names: usize = rig.lacking.values().flatten().map(String::len).sum();
    let ways: usize = rig.ways.values().map(|w| w.len() * 2 * size_of::<String>()).sum();
    let targets = |t: &Tuning| t.temper.strings.len() * 8 + t.temper.trims.len() * 16;
    let tunings: usize = rig.tunings.values().map(targets).sum();
    let own = rig.own.len() * size_of::<(String, Arc<str>)>();
    size_of::<Rig>() + names + ways + tunings + own
}

fn request_weight(request: &Request) -> usize {
    size_of::<Request>() + request.feel.len() + request.avoided.len()
}

/// Kept passes are shared between states, so only their handles count.
fn kept_weight(kept: &Lineage) -> usize {
    size_of::<Lineage>() + kept.len() * size_of::<Arc<Kept>>()
}

fn attitudes_weight(attitudes: &Attitudes) -> usize {
    let own = attitudes.iter().map(|own| own.name.len() + own.feel.len() + 64);
    size_of::<Attitudes>() + own.sum::<usize>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;

    fn work() -> Work {
        let mut work = Work::on("key Eb; 1 4 5 1");
        work.kept.keep(Kept::drafted(
            crate::solo::Pass {
                moves: Vec::new(),
                request: Request::default(),
                length: sample::song().length(),
            },
            work.chart.clone(),
            "e9".to_owned(),
        ));
        work
    }

    #[test]
    fn a_work_comes_back_as_it_was_kept() {
        let first = Past::of(work(), None);
        assert_eq!(first.clone().into_work(), work());
        let mut changed = work();
        changed.request.density = 0.9;
        changed.rig.set_has("C", false);
        let second = Past::of(changed.clone(), Some(&first));
        assert_eq!(second.into_work(), changed);
        assert_eq!(first.into_work(), work(), "the neighbour stays as it was");
    }

    #[test]
    fn only_what_differs_is_kept_twice() {
        let first = Past::of(work(), None);
        let mut changed = work();
        changed.request.density = 0.9;
        let second = Past::of(changed.clone(), Some(&first));
        assert!(Arc::ptr_eq(&first.rig, &second.rig) && Arc::ptr_eq(&first.kept, &second.kept));
        assert!(Arc::ptr_eq(&first.chart, &second.chart) && Arc::ptr_eq(&first.attitudes, &second.attitudes));
        assert!(!Arc::ptr_eq(&first.request, &second.request));
        assert_eq!(
            second.weight(),
            size_of::<Past>() + request_weight(&changed.request),
            "and only that has weight"
        );
    }
}
