//! How long three passes over sixteen bars take to draft, for each shipped attitude.
//!
//! `cargo bench --bench plan`
#![allow(clippy::unwrap_used)] // a bench may fail by panicking

use criterion::{Criterion, criterion_group, criterion_main};
use leadbar::solo::{Brief, Feel, Limits, Request, draft};
use leadbar::steel::Instrument;
use leadbar::theory::chart;

fn plan(c: &mut Criterion) {
    let text = "key A, 132, rock; 1 1 4 1 / b7 4 1 5 / 1 1 4 1 / b7 4 5 1";
    let timeline = chart::parse(text).chart.timeline();
    let instrument = Instrument::shipped("e9").unwrap();
    let limits = Limits::steady().unwrap();
    let request = Request::default();
    for feel in Feel::shipped().unwrap() {
        let brief = Brief {
            timeline: &timeline,
            instrument: &instrument,
            feel: &feel,
            limits: &limits,
            request: &request,
        };
        c.bench_function(&format!("three passes over 16 bars, {}", feel.id), |b| {
            b.iter(|| draft(&brief).unwrap())
        });
    }
}

criterion_group!(benches, plan);
criterion_main!(benches);
