//! How many times faster than real time the sound is computed.
//!
//! Method: one second of the whole chain at 48 kHz, in buffers of 128 samples as a browser asks for them: ten strings
//! plucked and ringing, levels and limiter; once with the clean and once with the driven
//! amplifier. Beside criterion's own figures the real-time factor, of the best of ten seconds, is printed.
//! Run it with `cargo bench --bench sound`.

#![allow(clippy::unwrap_used, missing_docs)] // a bench may fail by panicking

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use leadbar::app::reading::Reading;
use leadbar::solo::{Curve, Finger, Performance, Pluck, Touch};
use leadbar::sound::{Amp, Player, SampleRate, Score};
use leadbar::steel::Instrument;
use leadbar::theory::{Beats, Timeline};
use std::hint::black_box;
use std::time::Instant;

const RATE: usize = 48_000;
const BLOCK: usize = 128;

/// A player some way into a performance that plucks all ten strings every two beats and never stops them.
fn player(amp: Amp) -> Player {
    let instrument = Instrument::shipped("e9").unwrap();
    let song = Reading::of("key A, 100; 1 4 5 1").song.unwrap();
    let plucks = (0..8_u8)
        .flat_map(|i| {
            instrument.string_numbers().map(move |string| Pluck {
                at: Beats(2.0 * f64::from(i)),
                string,
                finger: Finger::Middle,
                strength: 0.8,
                touch: Touch::Plain,
            })
        })
        .collect();
    let performance = Performance {
        bar: Curve::holding(5.0),
        plucks,
        ..Performance::silent(song.length(), instrument.changes.len())
    };
    let mut player = Player::new(SampleRate(RATE as f64));
    player.set_amp(amp);
    player.load(Score::new(instrument, performance, Timeline::clone(&song)));
    player.play(Beats::ZERO);
    second(&mut player);
    player
}

fn second(player: &mut Player) -> f32 {
    let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
    for _ in 0..RATE / BLOCK {
        player.process(&mut left, &mut right);
    }
    left[0] + right[0]
}

fn whole_chain(c: &mut Criterion) {
    for (name, amp) in [("clean", Amp::CLEAN), ("driven", Amp::DRIVEN)] {
        let ready = player(amp);
        let best = (0..10)
            .map(|_| {
                let mut player = ready.clone();
                let start = Instant::now();
                black_box(second(&mut player));
                start.elapsed().as_secs_f64()
            })
            .fold(f64::INFINITY, f64::min);
        println!("ten strings, {name}: {:.0} times real time", 1.0 / best);
        c.bench_function(&format!("one second of ten strings, {name}"), |b| {
            b.iter_batched(
                || ready.clone(),
                |mut player| black_box(second(&mut player)),
                BatchSize::LargeInput,
            );
        });
    }
}

criterion_group! { name = benches; config = Criterion::default().sample_size(20); targets = whole_chain }
criterion_main!(benches);
