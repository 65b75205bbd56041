//! Pitch: the string sounds what the model asks, still and moving.

use crate::sound_support::plucked;
use leadbar::solo::{Finger, Touch};
use leadbar::sound::SampleRate;
use leadbar::sound::rate::STEP;
use leadbar::sound::string::steel::Picked;
use leadbar::sound::string::{Hands, Steel};
use leadbar::steel::{Instrument, Place, Slant, Stance, StringNumber};
use leadbar::theory::{Height, Hertz};
use std::f64::consts::TAU;

/// Phase of the component that follows `phase(t)` (in cycles), averaged under a Hann window around `centre`.
fn lag(signal: &[f32], centre: usize, half: usize, phase: impl Fn(f64) -> f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (n, sample) in signal[centre - half..centre + half].iter().enumerate() {
        let w = 0.5 - 0.5 * (TAU * n as f64 / (2 * half) as f64).cos();
        let angle = TAU * phase((centre - half + n) as f64);
        re += w * f64::from(*sample) * angle.cos();
        im -= w * f64::from(*sample) * angle.sin();
    }
    im.atan2(re) / TAU
}

/// Cents between what sounds and what was asked, from how the phase against the asked one drifts in `from..to`.
fn off_by(signal: &[f32], from: usize, to: usize, half: usize, phase: impl Fn(f64) -> f64 + Copy) -> f64 {
    let drift = lag(signal, to, half, phase) - lag(signal, from, half, phase);
    let drift = drift - drift.round();
    let cycles = phase(to as f64) - phase(from as f64);
    1200.0 * ((cycles + drift) / cycles).log2()
}

#[test]
fn a_still_string_is_within_a_twentieth_of_a_cent_from_e2_to_f_sharp_6() {
    for rate in [44_100.0, 48_000.0] {
        let mut worst = 0.0_f64;
        for note in 40..=90_u8 {
            let pitch = Height(f64::from(note)).hertz();
            let sound = plucked(rate, 1.6, |_| pitch);
            let phase = |i: f64| i * pitch.0 / rate;
            let cents = off_by(&sound, (0.3 * rate) as usize, (1.3 * rate) as usize, 8192, phase);
            worst = worst.max(cents.abs());
        }
        println!("still, {rate} Hz: worst {worst:.4} cents");
        assert!(worst < 0.05, "{rate}: {worst} cents");
    }
}

#[test]
fn a_glide_of_an_octave_in_a_second_stays_within_two_cents() {
    for rate in [44_100.0, 48_000.0] {
        for (note, up) in [(40, 1.0), (52, -1.0), (52, 1.0), (64, 1.0), (76, 1.0), (88, -1.0)] {
            let f0 = Height(f64::from(note)).hertz().0;
            let begin = 0.4;
            let pitch = |t: f64| Hertz(f0 * (up * (t - begin).clamp(0.0, 1.0)).exp2());
            let sound = plucked(rate, 1.6, pitch);
            let k = up * std::f64::consts::LN_2;
            // Cycles since the start of the glide: the integral of the asked frequency.
            let phase = |i: f64| f0 / k * ((k * (i / rate - begin)).exp() - 1.0);
            let half = (3.0 / (f0 * up.exp2().min(1.0)) * rate) as usize;
            let mut worst = 0.0_f64;
            for tenth in 1..9 {
                let at = |x: f64| ((begin + x) * rate) as usize;
                let x = f64::from(tenth) * 0.1;
                worst = worst.max(off_by(&sound, at(x), at(x + 0.05), half, phase).abs());
            }
            println!("glide from {note} {up:+}, {rate} Hz: worst {worst:.3} cents");
            assert!(worst < 2.0, "{note} {up} at {rate}: {worst} cents");
        }
    }
}

/// Strings 2 and 4 of a C6 under a bar from fret 5 on the one to fret 6 on the other sound those notes, each alone.
#[test]
fn under_a_slanted_bar_each_string_sounds_its_own_note() {
    let lap = Instrument::shipped("c6-lap-6").expect("a shipped instrument");
    let string = |number| StringNumber::new(number).expect("a string");
    let place = Place {
        slant: Some(Slant {
            hold: string(2),
            turn: string(4),
            frets: 1,
        }),
        ..Place::straight(5, Stance::OPEN)
    };
    let hands = Hands {
        bar: place.lie(&lap),
        ..Hands::AWAY
    };
    let rate = 48_000.0;
    // C4 at fret 5 is F4, G3 at fret 6 is C#4.
    for (number, note) in [(2, 65.0), (4, 61.0)] {
        let mut steel = Steel::new(SampleRate(rate), &lap);
        let mut sound = Vec::new();
        let mut step = [0.0; STEP];
        steel.run(&hands, &mut step);
        let picked = Picked {
            string: string(number),
            strength: 0.7,
            finger: Finger::Middle,
            touch: Touch::Plain,
        };
        steel.pluck(picked, 0, &hands);
        while (sound.len() as f64) < 1.6 * rate {
            steel.run(&hands, &mut step);
            sound.extend(step);
        }
        let pitch = Height(note).hertz();
        let phase = |i: f64| i * pitch.0 / rate;
        let cents = off_by(&sound, (0.3 * rate) as usize, (1.3 * rate) as usize, 8192, phase);
        assert!(cents.abs() < 0.5, "string {number}: {cents}");
    }
}
