//! Published checks on the string.
//!
//! Sources: Karplus and Strong, Computer Music Journal 7(2), 43-55, 1983 (period N + 1/2, decay of the averaging
//! loop); Jaffe and Smith, Computer Music Journal 7(2), 56-69, 1983 (loop gain for a decay time, tuning all-pass);
//! Paiva, Pakarinen and Välimäki, Journal of the Audio Engineering Society 60(10), 2012 (pickup comb, nulls at
//! n = L / x); Fletcher, Blackham and Stratton, Journal of the Acoustical Society of America 34(6), 1962 (partials of a
//! stiff string); Pakarinen, Puputti and Välimäki, Computer Music Journal 32(3), 2008 (energy of a changing length).

use leadbar::solo::{Finger, Touch};
use leadbar::sound::SampleRate;
use leadbar::sound::rate::STEP;
use leadbar::sound::string::Stiffness;
use leadbar::sound::string::delay::{Line, Table};
use leadbar::sound::string::loss::{Decay, Loss, Material};
use leadbar::sound::string::pluck::Stroke;
use leadbar::sound::string::waveguide::{StringState, Waveguide};
use leadbar::steel::{Gauge, Millimetres};
use leadbar::theory::{Height, Hertz, Seconds};
use std::f64::consts::{PI, TAU};

const RATE: f64 = 48_000.0;

/// Amplitude and phase (in cycles) of the component at `frequency` under a Hann window of `2 half` samples.
fn component(signal: &[f32], centre: usize, half: usize, frequency: f64) -> (f64, f64) {
    let (mut re, mut im) = (0.0, 0.0);
    for (n, sample) in signal[centre - half..centre + half].iter().enumerate() {
        let w = 0.5 - 0.5 * (TAU * n as f64 / (2 * half) as f64).cos();
        let angle = TAU * frequency / RATE * (centre - half + n) as f64;
        re += w * f64::from(*sample) * angle.cos();
        im -= w * f64::from(*sample) * angle.sin();
    }
    (re.hypot(im) / half as f64 * 2.0, im.atan2(re) / TAU)
}

/// Time to -60 dB of the component at `frequency`, from its amplitudes around two moments (in samples).
fn decay_time(signal: &[f32], frequency: f64, half: usize, from: usize, to: usize) -> f64 {
    let (early, _) = component(signal, from, half, frequency);
    let (late, _) = component(signal, to, half, frequency);
    3.0 * (to - from) as f64 / RATE / (early / late).log10()
}

/// Frequency near `guess`, from how its phase moves between two moments less than half a turn of doubt apart.
fn frequency_near(signal: &[f32], guess: f64, half: usize, from: usize, to: usize) -> f64 {
    let (_, early) = component(signal, from, half, guess);
    let (_, late) = component(signal, to, half, guess);
    let drift = late - early;
    guess + (drift - drift.round()) * RATE / (to - from) as f64
}

/// A loop on our delay line with the averaging filter, started by one period of a pulse; `delay` in samples and
/// an optional tuning all-pass of coefficient `c`.
fn averaging_loop(delay: f64, c: Option<f64>, samples: usize) -> Vec<f32> {
    let table = Table::new();
    let mut line = Line::new(2048);
    let (mut before, mut all_in, mut all_out) = (0.0_f32, 0.0_f32, 0.0_f32);
    let mut out = Vec::with_capacity(samples);
    for n in 0..samples {
        let back = line.read(&table, delay);
        let mut y = 0.5 * (back + before);
        before = back;
        if let Some(c) = c {
            let tuned = c as f32 * (y - all_out) + all_in;
            (all_in, all_out) = (y, tuned);
            y = tuned;
        }
        let phase = n as f64 / delay;
        let pulse = if phase < 1.0 { (TAU * phase).sin() } else { 0.0 };
        let wave = y + pulse as f32;
        line.push(wave);
        out.push(wave);
    }
    out
}

/// A supple string, plucked, its pitch a function of time and its pickup a function of the pitch.
fn plucked(
    seconds: f64,
    width: f64,
    pitch: impl Fn(f64) -> Hertz,
    decay: impl Fn(Hertz) -> Decay,
    to_pickup: impl Fn(Hertz) -> Seconds,
) -> Vec<f32> {
    stiff(Stiffness::NONE, seconds, width, pitch, decay, to_pickup)
}

/// The same of a stiff string.
fn stiff(
    stiffness: Stiffness,
    seconds: f64,
    width: f64,
    pitch: impl Fn(f64) -> Hertz,
    decay: impl Fn(Hertz) -> Decay,
    to_pickup: impl Fn(Hertz) -> Seconds,
) -> Vec<f32> {
    let table = Table::new();
    let state = |t: f64| StringState {
        pitch: pitch(t),
        decay: decay(pitch(t)),
        damping: None,
        stiffness,
        to_pickup: to_pickup(pitch(t)),
    };
    let mut string = Waveguide::new(SampleRate(RATE), &state(0.0));
    let period = RATE / pitch(0.0).0;
    let stroke = Stroke::new(1.0, Finger::Middle, Touch::Plain, width * period, period, RATE);
    let mut out = Vec::new();
    while (out.len() as f64) < seconds * RATE {
        let end = (out.len() + STEP) as f64 / RATE;
        let mut step = [0.0; STEP];
        let strokes = if out.is_empty() { vec![(0, stroke)] } else { vec![] };
        string.run(&table, &state(end), &strokes, &mut step);
        out.extend(step);
    }
    out
}

#[test]
fn an_averaging_loop_of_n_samples_has_a_period_of_n_and_a_half() {
    for n in [50.0, 109.0, 291.0, 600.0] {
        let sound = averaging_loop(n, None, 48_000);
        let published = RATE / (n + 0.5);
        let heard = frequency_near(&sound, published, 4096, 12_000, 30_000);
        let cents = 1200.0 * (heard / published).log2();
        println!("N {n}: {heard:.4} Hz, {cents:+.4} cents");
        assert!(cents.abs() < 0.02, "N {n}: {cents} cents");
    }
}

#[test]
fn an_averaging_loop_dies_away_as_published() {
    for n in [50.0, 109.0, 291.0] {
        let f1 = RATE / (n + 0.5);
        let published = -6.908 / (f1 * (PI * f1 / RATE).cos().ln());
        let sound = averaging_loop(n, None, 96_000);
        let heard = decay_time(&sound, f1, 8192, 20_000, 80_000);
        println!("N {n}: T60 {heard:.3} s, published {published:.3} s");
        assert!((heard / published - 1.0).abs() < 0.02, "N {n}: {heard} {published}");
    }
}

#[test]
fn reading_between_samples_tunes_as_the_tuning_all_pass_does() {
    for (n, part) in [(109.0, 0.3), (291.0, 0.5), (291.0, 0.9), (582.0, 0.7)] {
        let c = (1.0 - part) / (1.0 + part);
        let expected = RATE / (n + 0.5 + part);
        let hear = |sound: &[f32]| frequency_near(sound, expected, 4096, 12_000, 30_000);
        let all_pass = hear(&averaging_loop(n, Some(c), 48_000));
        let between = hear(&averaging_loop(n + part, None, 48_000));
        let cents = 1200.0 * (between / all_pass).log2();
        println!("N {n} + {part}: {between:.4} Hz against {all_pass:.4} Hz, {cents:+.4} cents");
        assert!(cents.abs() < 0.05, "{n} + {part}: {cents} cents");
        assert!((1200.0 * (between / expected).log2()).abs() < 0.02);
    }
}

#[test]
fn the_loop_gain_is_the_published_one_for_a_decay_time() {
    // 164.81 Hz ringing 10 s: rho = 10^(-3 / (f1 T60)) = 0.99582 a period.
    let period = RATE / 164.81;
    let ring = Decay {
        first: Seconds(10.0),
        tenth: Seconds(4.0),
    };
    let loss = Loss::design(period, RATE, ring);
    let gain = |n: f64| {
        let omega = TAU * n / period;
        loss.input / (1.0 + loss.pole * loss.pole - 2.0 * loss.pole * omega.cos()).sqrt()
    };
    assert!((gain(1.0) - 0.995_82).abs() < 1e-5, "{}", gain(1.0));
    let tenth = 10.0_f64.powf(-3.0 / (164.81 * 4.0));
    assert!((gain(10.0) - tenth).abs() < 1e-5, "{} {tenth}", gain(10.0));
}

#[test]
fn first_and_tenth_partial_ring_as_long_as_asked_within_a_tenth() {
    for (note, material) in [
        (40, Material::Wound),
        (47, Material::Wound),
        (54, Material::Wound),
        (59, Material::Plain),
        (66, Material::Plain),
        (76, Material::Plain),
        (84, Material::Plain),
    ] {
        let pitch = Height(f64::from(note)).hertz();
        let asked = material.decay(pitch);
        let sound = plucked(4.0, 0.13, |_| pitch, |_| asked, |p| Seconds(0.04 / p.0));
        let half = 4096;
        let first = decay_time(&sound, pitch.0, half, 12_000, 180_000);
        // Measured while it is still heard.
        let late = 6_000 + (0.6 * asked.tenth.0 * RATE).min(170_000.0) as usize;
        let tenth = decay_time(&sound, 10.0 * pitch.0, half, 6_000, late);
        let off = (first / asked.first.0 - 1.0, tenth / asked.tenth.0 - 1.0);
        println!(
            "note {note}: {first:.2} of {:.2} s, tenth {tenth:.3} of {:.3} s",
            asked.first.0, asked.tenth.0
        );
        assert!(off.0.abs() < 0.1 && off.1.abs() < 0.1, "{note}: off by {off:?}");
    }
}

#[test]
fn the_pickup_is_deaf_to_the_partial_with_a_node_over_it_wherever_the_bar_is() {
    // An inch from the bridge of a 24.25 inch scale: L / x = 24.25, 18.17, 12.13 and 9.08 at these frets.
    let open = 164.81;
    for (fret, null) in [(0.0, 24), (5.0, 18), (12.0, 12), (17.0, 9)] {
        let pitch = Hertz(open * (fret / 12.0_f64).exp2());
        let length_over_x = 24.25 * (-fret / 12.0_f64).exp2();
        let ring = |p: Hertz| Material::Plain.decay(p);
        let heard = plucked(0.6, 0.02, |_| pitch, ring, |_| Seconds(1.0 / 24.25 / open));
        // The same string under a pickup so near the bridge that it has no null among these partials.
        let plain = plucked(0.6, 0.02, |_| pitch, ring, |p| Seconds(1.0 / (61.0 * p.0)));
        for n in 1..=(null + 4) {
            let n = f64::from(n);
            let at = |sound: &[f32]| component(sound, 12_000, 6_000, n * pitch.0).0;
            let comb = at(&heard) / at(&plain);
            let published = ((PI * n / length_over_x).sin() / (PI * n / 61.0).sin()).abs();
            let off = 20.0 * (comb / published).log10();
            assert!(off.abs() < 1.0, "fret {fret}, partial {n}: off by {off} dB");
        }
        let level = |n: i32| component(&heard, 12_000, 6_000, f64::from(n) * pitch.0).0;
        let around = (level(null - 2) * level(null + 2)).sqrt();
        let depth = 20.0 * (around / level(null)).log10();
        println!("fret {fret}: partial {null} is {depth:.1} dB below its neighbours");
        assert!(depth > 15.0, "fret {fret}: only {depth} dB");
    }
}

#[test]
fn a_string_that_does_not_lose_keeps_its_energy_while_its_length_changes() {
    let for_ever = |_: Hertz| Decay {
        first: Seconds(1e6),
        tenth: Seconds(1e6),
    };
    for octaves in [1.0, -1.0] {
        let pitch = |t: f64| Hertz(220.0 * (octaves * (t - 0.5).clamp(0.0, 1.0)).exp2());
        let sound = plucked(2.2, 0.13, pitch, for_ever, |p| Seconds(0.04 / p.0));
        let power = |range: std::ops::Range<f64>| {
            let part = &sound[(range.start * RATE) as usize..(range.end * RATE) as usize];
            part.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / part.len() as f64
        };
        // Energy in the loop: the power times its length. The pickup's comb moves with the length.
        let (before, after) = (power(0.2..0.4) / pitch(0.3).0, power(1.7..1.9) / pitch(1.8).0);
        let change = 10.0 * (after / before).log10();
        println!("glide of {octaves:+} octave: energy {change:+.3} dB");
        assert!(change.abs() < 0.2, "{octaves}: {change} dB");
    }
}

#[test]
fn a_stiff_strings_partials_lie_where_the_theory_has_them_within_a_cent_and_a_half() {
    let scale = Millimetres(615.95);
    // A plain and two wound strings of the E9 open, and the first at the fifth fret.
    for (gauge, wound, open, pitch) in [
        (14.0, false, 329.63, 329.63),
        (30.0, true, 164.81, 164.81),
        (38.0, true, 123.47, 123.47),
        (14.0, false, 329.63, 440.0),
    ] {
        let stiffness = Stiffness::of(Gauge(gauge), wound, scale, Hertz(open), Hertz(pitch));
        let ring = |_: Hertz| Decay {
            first: Seconds(8.0),
            tenth: Seconds(4.0),
        };
        let sound = stiff(stiffness, 1.6, 0.09, |_| Hertz(pitch), ring, |p| Seconds(0.02 / p.0));
        let cents = |heard: f64, asked: f64| 1200.0 * (heard / asked).log2();
        let mut worst = 0.0_f64;
        for n in 1..=10 {
            let n = f64::from(n);
            let asked = pitch * n * ((1.0 + stiffness.0 * n * n) / (1.0 + stiffness.0)).sqrt();
            // Twice: near enough first, that the phase is in no doubt over a longer stretch.
            let near = frequency_near(&sound, asked, 4096, 12_000, 13_000);
            let heard = frequency_near(&sound, near, 4096, 12_000, 50_000);
            worst = worst.max(cents(heard, asked).abs());
        }
        let spread = cents(10.0 * ((1.0 + stiffness.0 * 100.0) / (1.0 + stiffness.0)).sqrt(), 10.0);
        println!("gauge {gauge} at {pitch} Hz: partial 10 is {spread:.2} cents sharp, all within {worst:.3}");
        assert!(
            worst < 1.5 && spread > 2.0 * worst,
            "gauge {gauge}: {worst} of {spread}"
        );
    }
}
