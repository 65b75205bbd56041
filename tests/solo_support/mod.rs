//! A song, an instrument and a wish, and the pass that is drafted from them.

use leadbar::solo::{Brief, Feel, Limits, Pass, Request, draft};
use leadbar::steel::Instrument;
use leadbar::theory::{Timeline, chart};

pub(crate) struct Scene {
    pub(crate) song: Timeline,
    pub(crate) instrument: Instrument,
    pub(crate) feel: Feel,
    pub(crate) limits: Limits,
    pub(crate) request: Request,
}

impl Scene {
    pub(crate) fn new(chart: &str, instrument: &str, feel: &str, seed: u64) -> Self {
        let feel = Feel::shipped().unwrap().into_iter().find(|f| f.id == feel).unwrap();
        Self {
            song: chart::parse(chart).chart.timeline(),
            instrument: Instrument::shipped(instrument).unwrap(),
            request: Request {
                feel: feel.id.clone(),
                seed,
                ..Request::default()
            },
            feel,
            limits: Limits::steady().unwrap(),
        }
    }

    pub(crate) fn brief(&self) -> Brief<'_> {
        Brief {
            timeline: &self.song,
            instrument: &self.instrument,
            feel: &self.feel,
            limits: &self.limits,
            request: &self.request,
        }
    }

    /// The first pass that is drafted.
    #[allow(dead_code)] // some tests look at all of them
    pub(crate) fn pass(&self) -> Pass {
        draft(&self.brief()).unwrap().passes.swap_remove(0)
    }
}
