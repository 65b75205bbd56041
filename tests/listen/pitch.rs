//! Pitch against the strings of `sound`, whose own pitch is held to a twentieth of a cent in `sound_pitch.rs`.

use crate::sound_support::plucked;
use leadbar::listen::pitch::{Beating, Coincidence, Compass, Frame, Tracker};
use leadbar::sound::SampleRate;
use leadbar::theory::{Height, Hertz};

const RATES: [f64; 2] = [44_100.0, 48_000.0];

/// Adds noise `decibels` under the sound's own mean power.
fn with_noise(mut sound: Vec<f32>, decibels: f64, seed: u64) -> Vec<f32> {
    let power = sound.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / sound.len() as f64;
    // An even spread of half width a has the power a^2 / 3.
    let half = (3.0 * power * 10_f64.powf(-decibels / 10.0)).sqrt();
    let mut chance = fastrand::Rng::with_seed(seed);
    for sample in &mut sound {
        *sample += ((chance.f64() * 2.0 - 1.0) * half) as f32;
    }
    sound
}

fn frames(sound: &[f32], rate: f64, compass: Compass) -> Vec<Frame> {
    Tracker::new(SampleRate(rate), compass).hear(sound)
}

fn cents(a: Hertz, b: Hertz) -> f64 {
    1200.0 * (a.0 / b.0).log2()
}

/// Errors in cents, told apart: the middle one, the 95th of a hundred, and how many are beyond half a semitone or absent.
struct Errors(Vec<f64>, usize);

impl Errors {
    fn of(frames: &[Frame], from: f64, to: f64, truth: impl Fn(f64) -> Hertz) -> Self {
        let mut errors = Self(Vec::new(), 0);
        errors.add(frames, from, to, truth);
        errors
    }

    fn add(&mut self, frames: &[Frame], from: f64, to: f64, truth: impl Fn(f64) -> Hertz) {
        for frame in frames.iter().filter(|f| f.at.0 >= from && f.at.0 < to) {
            self.1 += 1;
            let error = frame.pitch.map_or(f64::INFINITY, |p| cents(p, truth(frame.at.0)).abs());
            self.0.push(error);
        }
        self.0.sort_by(f64::total_cmp);
    }

    fn part(&self, part: f64) -> f64 {
        self.0[((self.0.len() - 1) as f64 * part) as usize]
    }

    fn gross(&self) -> f64 {
        self.0.iter().filter(|e| **e > 50.0).count() as f64 / self.1 as f64
    }

    fn say(&self, what: &str) {
        println!(
            "{what:40} {:6} frames  median {:.3}  95 % {:.3}  gross {:.2} %",
            self.1,
            self.part(0.5),
            self.part(0.95),
            100.0 * self.gross()
        );
    }
}

/// Every note from E2 to F sharp 6, plucked, between 40 ms after the pluck and a second and a half.
fn notes(rate: f64, noise: Option<f64>) -> Errors {
    let mut errors = Errors(Vec::new(), 0);
    for note in 40..=90_u8 {
        let off = f64::from(note % 7) * 0.07 - 0.2;
        let pitch = Height(f64::from(note) + off).hertz();
        let mut sound = plucked(rate, 1.5, |_| pitch);
        if let Some(decibels) = noise {
            sound = with_noise(sound, decibels, u64::from(note));
        }
        errors.add(&frames(&sound, rate, Compass::STEEL), 0.04, 1.4, |_| pitch);
    }
    errors
}

#[test]
fn plucked_notes_are_read_within_four_tenths_of_a_cent_and_hardly_ever_grossly_wrong() {
    for rate in RATES {
        for (noise, what) in [
            (None, "clean"),
            (Some(40.0), "noise 40 dB down"),
            (Some(30.0), "noise 30 dB down"),
        ] {
            let errors = notes(rate, noise);
            errors.say(&format!("notes, {what}, {rate} Hz"));
            assert!(errors.part(0.5) < 0.4, "median {}", errors.part(0.5));
            assert!(errors.gross() < 0.005, "gross {}", errors.gross());
        }
    }
}

#[test]
fn glides_are_read_within_a_fifth_of_a_cent_every_ten_milliseconds() {
    for rate in RATES {
        let mut all = Errors(Vec::new(), 0);
        for note in [45.0, 50.0, 54.0, 57.0, 61.0, 64.0, 68.0, 71.0, 76.0] {
            for (semitones, length) in [
                (2.0, 0.1),
                (2.0, 0.3),
                (-2.0, 0.3),
                (5.0, 0.5),
                (-3.0, 0.25),
                (7.0, 0.6),
            ] {
                let begin = 0.3;
                // Eased at both ends, as a hand moves.
                let pitch = |t: f64| {
                    let x = ((t - begin) / length).clamp(0.0, 1.0);
                    Height(note + semitones * x * x * (3.0 - 2.0 * x)).hertz()
                };
                let sound = plucked(rate, 1.2, pitch);
                let found = frames(
                    &sound,
                    rate,
                    Compass {
                        lowest: Hertz(85.0),
                        ..Compass::STEEL
                    },
                );
                all.add(&found, begin, begin + length, pitch);
            }
        }
        all.say(&format!("glides, {rate} Hz"));
        assert!(all.part(0.5) < 0.22, "median {}", all.part(0.5));
        assert!(all.gross() < 0.005, "gross {}", all.gross());
    }
}

#[test]
fn vibrato_is_followed() {
    for (note, rate_of_sway) in [(57.0, 5.0), (64.0, 6.0), (71.0, 6.5)] {
        let pitch = |t: f64| Height(note + 0.25 * (std::f64::consts::TAU * rate_of_sway * t).sin()).hertz();
        let found = frames(
            &plucked(48_000.0, 1.5, pitch),
            48_000.0,
            Compass::around(Height(note).hertz()),
        );
        let errors = Errors::of(&found, 0.1, 1.3, pitch);
        errors.say(&format!("vibrato of 25 cents on {note}"));
        assert!(errors.part(0.5) < 1.0 && errors.gross() == 0.0);
    }
}

#[test]
fn a_stream_gives_the_same_frames_however_it_is_cut() {
    let sound = plucked(48_000.0, 0.5, |_| Hertz(196.0));
    let whole = frames(&sound, 48_000.0, Compass::STEEL);
    let mut tracker = Tracker::new(SampleRate(48_000.0), Compass::STEEL);
    let cut: Vec<Frame> = sound.chunks(128).flat_map(|block| tracker.hear(block)).collect();
    assert_eq!(whole, cut);
    assert!(whole.len() > 30);
}

#[test]
fn an_answer_comes_within_the_latency_that_is_told() {
    for (compass, most) in [(Compass::STEEL, 0.06), (Compass::around(Hertz(330.0)), 0.03)] {
        let tracker = Tracker::new(SampleRate(48_000.0), compass);
        let latency = tracker.latency();
        println!("latency from {} Hz up: {:.1} ms", compass.lowest, 1000.0 * latency.0);
        assert!(latency.0 < most);
        let mut tracker = tracker;
        let mut given = 0;
        for block in plucked(48_000.0, 0.5, |_| Hertz(330.0)).chunks(128) {
            given += block.len();
            for frame in tracker.hear(block) {
                let late = given as f64 / 48_000.0 - frame.at.0;
                assert!(late <= latency.0 + 128.0 / 48_000.0 + 0.004, "{late}");
            }
        }
    }
}

#[test]
fn silence_noise_and_broken_samples_have_no_pitch_that_is_trusted() {
    let silence = vec![0.0; 20_000];
    assert!(
        frames(&silence, 48_000.0, Compass::STEEL)
            .iter()
            .all(|f| f.pitch.is_none())
    );
    let mut chance = fastrand::Rng::with_seed(3);
    let noise: Vec<f32> = (0..48_000).map(|_| chance.f32() - 0.5).collect();
    let sure = frames(&noise, 48_000.0, Compass::STEEL)
        .iter()
        .filter(|f| f.confidence > 0.8)
        .count();
    assert_eq!(sure, 0);
    let broken = vec![f32::NAN; 20_000];
    assert!(
        frames(&broken, 48_000.0, Compass::STEEL)
            .iter()
            .all(|f| f.confidence == 0.0)
    );
}

/// The beat of two strings heard together over the last three of `seconds`.
fn beat(lower: Hertz, upper: Hertz, noise: f64) -> (f64, f64) {
    let rate = 48_000.0;
    let sounds = [plucked(rate, 4.0, |_| lower), plucked(rate, 4.0, |_| upper)];
    let both: Vec<f32> = sounds[0].iter().zip(&sounds[1]).map(|(a, b)| a + b).collect();
    let shared = Coincidence::of(lower, upper).expect("they share a partial");
    let mut beating = Beating::new(SampleRate(rate), &shared);
    for block in with_noise(both, noise, 5).chunks(128) {
        beating.hear(block);
    }
    let truth = (f64::from(shared.of_lower) * lower.0 - f64::from(shared.of_upper) * upper.0).abs();
    (truth, beating.beat().expect("it sounds").rate.0)
}

/// The rates of equal-tempered thirds are those of J. Neurosci. 32(35) 12251, 2012, table 1: A3-C#4 8.7 a second.
#[test]
fn the_beats_of_two_strings_are_counted() {
    let mut worst = 0.0_f64;
    for (low, semitones) in [
        (52.0, 4.0),
        (55.0, 4.0),
        (57.0, 4.0),
        (52.0, 7.0),
        (57.0, 7.0),
        (59.0, 3.0),
        (57.0, 12.0),
        (64.0, 0.0),
    ] {
        for off in [-11.0, -8.0, -4.0, 0.0, 3.0, 8.0] {
            let lower: Hertz = Height(low).hertz();
            let upper = Height(low + semitones + off / 100.0).hertz();
            let (truth, heard) = beat(lower, upper, 40.0);
            println!("{low} + {semitones} {off:+}: {truth:.2} a second, heard {heard:.2}");
            if (0.4..25.0).contains(&truth) {
                worst = worst.max((truth - heard).abs());
            }
        }
    }
    println!("beats: worst {worst:.3} a second");
    assert!(worst < 0.2, "{worst}");
    let (_, table) = beat(Height(57.0).hertz(), Height(61.0).hertz(), 60.0);
    assert!((table - 8.7).abs() < 0.2, "{table}");
}

#[test]
fn two_strings_in_tune_do_not_beat() {
    let lower = Height(52.0).hertz();
    let upper = Hertz(lower.0 * 1.25);
    let (_, heard) = beat(lower, upper, 60.0);
    assert!(heard < 0.5, "{heard}");
}
