//! The lineage as it is written down: every move, chart and request once, however many passes share it.
//!
//! *Invariant:* what a pass says of its change is told only where it says the same in English; what older versions wrote (a plain list of kept passes) still reads; what refers to nothing is left out.

use super::{Kept, Lineage, MOST_STARS, Origin, PassId};
use crate::solo::{Move, Pass, Request};
use crate::theory::Beats;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::HashMap;
use std::sync::Arc;

/// Any form the lineage has been written in.
#[derive(Clone, Serialize, Deserialize)]
#[serde(untagged)]
pub(super) enum Text {
    /// Shared parts once, passes by their numbers.
    Shared(Shared),
    /// The first form: a list of passes written out.
    List(Vec<Whole>),
}

#[derive(Clone, Serialize, Deserialize)]
pub(super) struct Shared {
    moves: Vec<Arc<Move>>,
    charts: Vec<Arc<str>>,
    requests: Vec<Request>,
    passes: Vec<ByNumber>,
    next: PassId,
}

/// A kept pass by the numbers of its parts.
#[derive(Clone, Serialize, Deserialize)]
struct ByNumber {
    id: PassId,
    moves: Vec<usize>,
    request: usize,
    length: Beats,
    chart: usize,
    instrument: String,
    #[serde(default)]
    origin: Origin,
    #[serde(default)]
    stars: u8,
    #[serde(default)]
    note: String,
}

/// A kept pass written out.
#[derive(Clone, Serialize, Deserialize)]
pub(super) struct Whole {
    pass: Pass,
    chart: Arc<str>,
    instrument: String,
}

impl From<Lineage> for Text {
    fn from(lineage: Lineage) -> Self {
        let mut shared = Shared {
            moves: Vec::new(),
            charts: Vec::new(),
            requests: Vec::new(),
            passes: Vec::new(),
            next: lineage.next,
        };
        let mut known = HashMap::new();
        for kept in &lineage.passes {
            let passes = shared.one(kept, &mut known);
            shared.passes.push(passes);
        }
        Self::Shared(shared)
    }
}

impl Shared {
    /// Writes one pass down. `known` are the numbers of the moves written so far, by their address.
    fn one(&mut self, kept: &Kept, known: &mut HashMap<*const Move, usize>) -> ByNumber {
        let moves = kept.pass.moves.iter().map(|action| {
            *known.entry(Arc::as_ptr(action)).or_insert_with(|| {
                self.moves.push(Arc::clone(action));
                self.moves.len() - 1
            })
        });
        ByNumber {
            id: kept.id,
            moves: moves.collect(),
            request: number(&mut self.requests, &kept.pass.request),
            length: kept.pass.length,
            chart: number(&mut self.charts, &kept.chart),
            instrument: kept.instrument.clone(),
            origin: kept.origin.clone(),
            stars: kept.stars,
            note: kept.note.clone(),
        }
    }
}

/// The number of `part` among the parts written so far, the last first: neighbours are likeliest to be alike.
fn number<T: PartialEq + Clone>(parts: &mut Vec<T>, part: &T) -> usize {
    parts.iter().rposition(|p| p == part).unwrap_or_else(|| {
        parts.push(part.clone());
        parts.len() - 1
    })
}

impl ByNumber {
    /// The pass itself, when all its parts are there.
    fn read(
        self,
        moves: impl Fn(usize) -> Option<Arc<Move>>,
        request: impl Fn(usize) -> Option<Request>,
        chart: impl Fn(usize) -> Option<Arc<str>>,
    ) -> Option<Kept> {
        let moves: Option<Vec<_>> = self.moves.iter().map(|i| moves(*i)).collect();
        Some(Kept {
            id: self.id,
            pass: Pass {
                moves: moves?,
                request: request(self.request)?,
                length: self.length,
            },
            chart: chart(self.chart)?,
            instrument: self.instrument,
            origin: self.origin.believed(),
            stars: self.stars.min(MOST_STARS),
            note: self.note,
        })
    }
}

impl From<Whole> for Kept {
    fn from(whole: Whole) -> Self {
        Self::drafted(whole.pass, whole.chart, whole.instrument)
    }
}

impl From<Text> for Lineage {
    fn from(text: Text) -> Self {
        let mut lineage = Self::default();
        match text {
            Text::List(list) => list.into_iter().for_each(|whole| {
                lineage.keep(whole.into());
            }),
            Text::Shared(shared) => {
                for one in shared.passes {
                    let kept = one.read(
                        |i| shared.moves.get(i).cloned(),
                        |i| shared.requests.get(i).cloned(),
                        |i| shared.charts.get(i).cloned(),
                    );
                    kept.into_iter().for_each(|kept| lineage.take_up(kept));
                }
                lineage.next = lineage.next.max(shared.next);
            }
        }
        lineage
    }
}

impl Lineage {
    /// Puts a pass that was written down behind those taken up already. A name given twice is none of ours, and a
    /// parent that comes later is no parent.
    fn take_up(&mut self, kept: Kept) {
        let known = kept.came_from().is_none_or(|(from, _)| self.index_of(from).is_some());
        let origin = if known { kept.origin } else { Origin::Drafted };
        if self.passes.last().is_none_or(|last| last.id < kept.id) {
            self.next = self.next.max(PassId(kept.id.0.saturating_add(1)));
            self.passes.push(Arc::new(Kept { origin, ..kept }));
        }
    }
}

/// The shared form with parts that may be damaged.
#[derive(Deserialize)]
struct Loose {
    #[serde(default)]
    moves: Vec<Value>,
    #[serde(default)]
    charts: Vec<Value>,
    #[serde(default)]
    requests: Vec<Value>,
    #[serde(default)]
    passes: Vec<Value>,
    #[serde(default)]
    next: PassId,
}

/// Reads any form pass by pass; see [`Lineage::read`].
pub(super) fn read(written: Value, sound: impl Fn(&Kept) -> Result<(), Said>) -> (Lineage, Vec<(usize, Said)>) {
    let mut lineage = Lineage::default();
    let mut doubts = Vec::new();
    let mut sort = |index: usize, read: Result<Kept, Said>| {
        let kept = read.and_then(|kept| sound(&kept).map(|()| kept));
        kept.map_err(|why| doubts.push((index, why))).ok()
    };
    if let Value::Array(list) = written {
        for (index, whole) in list.into_iter().enumerate() {
            let read = serde_json::from_value::<Whole>(whole).map_err(Said::from);
            let kept = sort(index, read.map(Kept::from));
            kept.into_iter().for_each(|kept| {
                lineage.keep(kept);
            });
        }
        return (lineage, doubts);
    }
    let Ok(loose) = serde_json::from_value::<Loose>(written) else {
        doubts.push((0, said!("the passes are not listed")));
        return (lineage, doubts);
    };
    let moves: Vec<Option<Arc<Move>>> = parts(loose.moves);
    let charts: Vec<Option<Arc<str>>> = parts(loose.charts);
    let requests: Vec<Option<Request>> = parts(loose.requests);
    for (index, one) in loose.passes.into_iter().enumerate() {
        let read = serde_json::from_value::<ByNumber>(one).map_err(Said::from);
        let whole = read.and_then(|one| {
            let kept = one.read(
                |i| moves.get(i).cloned().flatten(),
                |i| requests.get(i).cloned().flatten(),
                |i| charts.get(i).cloned().flatten(),
            );
            kept.ok_or_else(|| said!("a part of it is missing or damaged"))
        });
        let kept = sort(index, whole);
        kept.into_iter().for_each(|kept| lineage.take_up(kept));
    }
    lineage.next = lineage.next.max(loose.next);
    (lineage, doubts)
}

fn parts<T: for<'a> Deserialize<'a>>(parts: Vec<Value>) -> Vec<Option<T>> {
    parts
        .into_iter()
        .map(|part| serde_json::from_value(part).ok())
        .collect()
}
