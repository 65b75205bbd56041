//! How many times faster than real time the sound is computed.
//!
//! Method: one second of the whole chain at 48 kHz, in buffers of 128 samples as a browser asks for them: ten strings
//! plucked and ringing, levels and limiter; once with the clean and once with the driven
//! amplifier. Beside criterion's own figures the real-time factor, of the best of ten seconds, is printed.
//! The stems are all six of eight bars over which all ten strings ring, rendered twice as a delivery
//! does it; the factor is of the whole length, count-in and tail included.
//! Run it with `cargo bench --bench sound`.

#![allow(clippy::unwrap_used, missing_docs)] // a bench may fail by panicking

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use leadbar::app::reading::Reading;
use leadbar::solo::{Curve, Finger, Performance, Pluck, Touch};
use leadbar::sound::render::{Brief, Levels, Render, Stem};
use leadbar::sound::{Amp, Lufs, Mix, Player, SampleRate, Score};
use leadbar::steel::Instrument;
use leadbar::theory::{Beats, Timeline};
use std::hint::black_box;
use std::time::Instant;

const RATE: usize = 48_000;
const BLOCK: usize = 128;

/// All ten strings plucked every two beats of a song and never stopped.
fn score(chart: &str) -> Score {
    let instrument = Instrument::shipped("e9").unwrap();
    let song = Reading::of(chart).song.unwrap();
    let twos = (song.length().0 / 2.0) as u8;
    let plucks = (0..twos)
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
    Score::new(instrument, performance, Timeline::clone(&song))
}

/// A player some way into such a song.
fn player(amp: Amp) -> Player {
    let mut player = Player::new(SampleRate(RATE as f64));
    player.set_amp(amp);
    player.load(score("key A, 100; 1 4 5 1"));
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

/// Renders all six stems and answers how many samples each has.
fn stems(brief: &Brief) -> u64 {
    let levels = Levels::of(brief, |_, _| {}).unwrap();
    let mut render = Render::new(brief, levels).unwrap();
    while let Some(block) = render.next_block() {
        black_box(block);
    }
    render.done().1
}

fn all_stems(c: &mut Criterion) {
    let brief = Brief {
        score: score("key A, 100; 1 4 5 1 1 4 5 1"),
        rate: SampleRate(RATE as f64),
        count_in: 1,
        stems: Stem::ALL.to_vec(),
        mix: Mix::default(),
        clean: Amp::CLEAN,
        driven: Amp::DRIVEN,
        mix_driven: false,
        loudness: Lufs(-16.0),
    };
    let start = Instant::now();
    let frames = stems(&brief);
    let seconds = frames as f64 / RATE as f64;
    println!(
        "six stems: {:.0} times real time",
        seconds / start.elapsed().as_secs_f64()
    );
    c.bench_function("six stems of eight bars", |b| b.iter(|| stems(&brief)));
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = whole_chain, all_stems
}
criterion_main!(benches);
