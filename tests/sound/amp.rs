//! The amplifier, measured from outside.
//!
//! Source of the drive pedal's aim (aliases 60 dB or more below the fundamental) and method: Parker, Zavalishin,
//! Le Bivic, DAFx-16, 2016.

use leadbar::sound::amp::cabinet::Cabinet;
use leadbar::sound::amp::drive::Clipper;
use leadbar::sound::amp::{Amp, Amplifier, Delay, Drive, Reverb, Tone};
use leadbar::sound::rate::STEP;
use leadbar::sound::{Decibels, SampleRate};
use leadbar::theory::Seconds;
use std::f64::consts::TAU;

/// Amplitude of the component at `frequency` in a signal in which it turns a whole number of times.
fn amplitude(signal: &[f32], frequency: f64, rate: f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (n, x) in signal.iter().enumerate() {
        let angle = TAU * frequency / rate * n as f64;
        re += f64::from(*x) * angle.cos();
        im -= f64::from(*x) * angle.sin();
    }
    2.0 * re.hypot(im) / signal.len() as f64
}

fn decibels(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}

/// A sine through `process`, without the first half second; `samples` of it.
fn sine(frequency: f64, level: f64, rate: f64, samples: usize, mut process: impl FnMut(&mut [f32; STEP])) -> Vec<f32> {
    let skip = (0.5 * rate) as usize;
    let mut out = Vec::new();
    while out.len() < skip + samples {
        let start = out.len();
        let mut step: [f32; STEP] =
            std::array::from_fn(|i| (level * (TAU * frequency / rate * (start + i) as f64).sin()) as f32);
        process(&mut step);
        out.extend(step);
    }
    out[skip..skip + samples].to_vec()
}

#[test]
fn a_tone_of_1_khz_at_full_drive_aliases_at_least_60_db_below_itself() {
    // At each rate a frequency whose aliases do not fall on its own partials: 1 kHz, and 1010 Hz, as 48 is a
    // whole number of kilohertz. All of the band that can be heard is searched.
    for (rate, frequency, spacing) in [(44_100.0, 1000.0, 100.0), (48_000.0, 1010.0, 10.0)] {
        let mut clipper = Clipper::new();
        clipper.set(Drive {
            gain: Decibels(40.0),
            level: Decibels(0.0),
        });
        let samples = (rate / spacing) as usize;
        let sound = sine(frequency, 1.0, rate, samples, |step| clipper.run(step));
        let fundamental = amplitude(&sound, frequency, rate);
        let bins = (20_000.0 / spacing) as usize;
        let (worst, at) = (1..=bins)
            .map(|k| k as f64 * spacing)
            .filter(|f| (f / frequency - (f / frequency).round()).abs() > 1e-6)
            .map(|f| (amplitude(&sound, f, rate), f))
            .fold((0.0, 0.0), |most, new| if new.0 > most.0 { new } else { most });
        let below = decibels(worst / fundamental);
        println!("{frequency} Hz at {rate} Hz, 40 dB of drive: worst alias {below:.1} dB at {at} Hz");
        assert!(below < -60.0, "{below} dB at {at} Hz");
        // It does drive: a square wave's third partial is 9.5 dB below its first.
        let third = decibels(amplitude(&sound, 3.0 * frequency, rate) / fundamental);
        assert!((-11.0..-9.0).contains(&third), "third partial {third} dB");
    }
}

#[test]
fn a_quiet_tone_passes_the_drive_pedal_with_its_gain_and_flat_to_16_khz() {
    let rate = 48_000.0;
    for frequency in [100.0, 1000.0, 8000.0, 16_000.0] {
        let mut clipper = Clipper::new();
        clipper.set(Drive {
            gain: Decibels(20.0),
            level: Decibels(0.0),
        });
        let sound = sine(frequency, 1e-4, rate, 4800, |step| clipper.run(step));
        let gain = decibels(amplitude(&sound, frequency, rate) / 1e-4);
        // The leaning curve's slope takes 0.2 dB; averaging takes sinc(1 / 12), 0.1 dB, at 16 kHz.
        println!("{frequency} Hz: {gain:.2} dB of 20");
        assert!((gain - 19.8).abs() < 0.3, "{frequency} Hz: {gain} dB");
    }
}

#[test]
fn the_loudspeaker_is_a_loudspeaker() {
    let rate = 48_000.0;
    let level = |frequency: f64| {
        let mut cabinet = Cabinet::new(SampleRate(rate));
        let sound = sine(frequency, 0.1, rate, 4800, |step| cabinet.run(step));
        decibels(amplitude(&sound, frequency, rate) / 0.1)
    };
    let middle = level(1000.0);
    assert!(middle.abs() < 4.0, "{middle} dB at 1 kHz");
    assert!(level(2600.0) > middle + 1.0, "it has presence");
    assert!(level(12_000.0) < middle - 20.0, "nothing much above the cone");
    assert!(level(30.0) < middle - 10.0, "nothing much below the box");
}

#[test]
fn every_setting_is_steady_dies_away_and_comes_to_rest() {
    let rate = SampleRate(48_000.0);
    for amp in [Amp::DIRECT, Amp::CLEAN, Amp::DRIVEN] {
        let mut amplifier = Amplifier::new(rate);
        amplifier.set(amp);
        assert!(amplifier.is_at_rest());
        let mut step = [0.0; STEP];
        amplifier.run(&mut step);
        assert!(step.iter().all(|x| *x == 0.0), "silence in, silence out");
        let loud = sine(220.0, 0.5, rate.0, 48_000, |step| amplifier.run(step));
        assert!(loud.iter().all(|x| x.is_finite() && x.abs() < 2.0), "{amp:?}");
        let mut steps = 0;
        while !amplifier.is_at_rest() {
            step = [0.0; STEP];
            amplifier.run(&mut step);
            steps += 1;
            assert!(steps * STEP < 20 * 48_000, "{amp:?} never comes to rest");
        }
    }
}

#[test]
fn driven_and_clean_are_about_as_loud() {
    let rate = SampleRate(48_000.0);
    let loudness = |amp: Amp| {
        let mut amplifier = Amplifier::new(rate);
        amplifier.set(amp);
        let sound = sine(330.0, 0.3, rate.0, 48_000, |step| amplifier.run(step));
        decibels((sound.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / sound.len() as f64).sqrt())
    };
    let (clean, driven) = (loudness(Amp::CLEAN), loudness(Amp::DRIVEN));
    println!("clean {clean:.1} dB, driven {driven:.1} dB");
    assert!((clean - driven).abs() < 4.0, "clean {clean} dB, driven {driven} dB");
}

#[test]
fn settings_read_back_as_written() {
    for amp in [Amp::DIRECT, Amp::CLEAN, Amp::DRIVEN] {
        let text = serde_json::to_string(&amp).expect("written");
        assert_eq!(serde_json::from_str::<Amp>(&text).expect("read"), amp);
    }
}

/// The sharpest bend of a wave: its largest second difference. A click is a bend far sharper than the tone's own.
fn bend(signal: &[f32]) -> f32 {
    signal
        .windows(3)
        .map(|w| (w[0] - 2.0 * w[1] + w[2]).abs())
        .fold(0.0, f32::max)
}

/// A steady tone through an amplifier, `steps` steps of it from step `from`.
fn tone(amplifier: &mut Amplifier, from: usize, steps: usize) -> Vec<f32> {
    let mut out = Vec::new();
    for step in from..from + steps {
        let mut signal: [f32; STEP] =
            std::array::from_fn(|i| (0.3 * (TAU * 330.0 / 48_000.0 * (step * STEP + i) as f64).sin()) as f32);
        amplifier.run(&mut signal);
        out.extend(signal);
    }
    out
}

/// One setting of each kind apart from the shipped ones.
fn settings() -> [Amp; 8] {
    let high = Decibels(12.0);
    [
        Amp::DIRECT,
        Amp::CLEAN,
        Amp::DRIVEN,
        Amp {
            drive: None,
            ..Amp::DRIVEN
        },
        Amp {
            echo: Some(Delay {
                time: Seconds(0.47),
                level: Decibels(-3.0),
                again: Decibels(-4.0),
            }),
            ..Amp::DRIVEN
        },
        Amp {
            echo: None,
            ..Amp::DRIVEN
        },
        Amp {
            reverb: Some(Reverb {
                level: Decibels(-3.0),
                decay: Seconds(3.0),
            }),
            ..Amp::CLEAN
        },
        Amp {
            tone: Tone {
                bass: high,
                middle: high,
                treble: high,
            },
            ..Amp::CLEAN
        },
    ]
}

#[test]
fn going_from_any_setting_to_any_other_makes_no_click() {
    let second = 48_000 / STEP;
    let steady = settings().map(|amp| {
        let mut amplifier = Amplifier::new(SampleRate(48_000.0));
        amplifier.set(amp);
        tone(&mut amplifier, 0, 2 * second);
        let sound = tone(&mut amplifier, 2 * second, second);
        (amp, amplifier, bend(&sound))
    });
    let mut worst = 0.0_f32;
    for (a, amplifier, before) in &steady {
        for (b, _, after) in &steady {
            let mut amplifier = amplifier.clone();
            amplifier.set(*b);
            let mut change = bend(&tone(&mut amplifier, 3 * second, second / 100));
            // And back before it got there.
            amplifier.set(*a);
            change = change.max(bend(&tone(&mut amplifier, 3 * second + second / 100, second / 2)));
            let most = before.max(*after);
            worst = worst.max(change / most);
            assert!(change < 1.5 * most, "{a:?} to {b:?}: {change} where {most} is its own");
        }
    }
    println!("the sharpest bend on the way: {worst:.2} of the settings' own");
}

#[test]
fn echoes_come_at_the_asked_time_and_level_and_each_again_by_the_asked_part() {
    let delay = Delay {
        time: Seconds(0.25),
        level: Decibels(-6.0),
        again: Decibels(-9.0),
    };
    let mut amplifier = Amplifier::new(SampleRate(48_000.0));
    amplifier.set(Amp {
        echo: Some(delay),
        ..Amp::DIRECT
    });
    // A burst of 100 Hz, low enough that the echoes' darkening takes nothing of it, 0.1 s long.
    let mut sound = Vec::new();
    for step in 0..48_000 / STEP {
        let mut signal: [f32; STEP] = std::array::from_fn(|i| {
            let n = step * STEP + i;
            if n < 4800 {
                (0.3 * (TAU * 100.0 / 48_000.0 * n as f64).sin()) as f32
            } else {
                0.0
            }
        });
        amplifier.run(&mut signal);
        sound.extend(signal);
    }
    let dry = amplitude(&sound[480..4320], 100.0, 48_000.0);
    for (echo, below) in [(1, -6.0), (2, -15.0), (3, -24.0)] {
        let start = echo * 12_000;
        assert!(
            sound[start - 4000..start].iter().all(|x| x.abs() < 1e-4),
            "silence before echo {echo}"
        );
        let level = decibels(amplitude(&sound[start + 480..start + 4320], 100.0, 48_000.0) / dry);
        assert!((level - below).abs() < 0.3, "echo {echo}: {level} dB");
    }
}

#[test]
fn the_spring_rings_as_long_as_asked() {
    let power = |sound: &[f32]| sound.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>();
    for asked in [0.6, 1.0, 3.0] {
        let mut amplifier = Amplifier::new(SampleRate(48_000.0));
        amplifier.set(Amp {
            reverb: Some(Reverb {
                level: Decibels(0.0),
                decay: Seconds(asked),
            }),
            ..Amp::DIRECT
        });
        let mut sound = Vec::new();
        for step in 0..144_000 / STEP {
            // A low thump.
            let mut signal: [f32; STEP] = std::array::from_fn(|i| {
                let part = (step * STEP + i) as f64 / 480.0;
                if part < 1.0 {
                    (0.5 * (0.5 * TAU * part).sin()) as f32
                } else {
                    0.0
                }
            });
            amplifier.run(&mut signal);
            sound.extend(signal);
        }
        // How fast what is still to come falls off (Schroeder, Journal of the Acoustical Society of America 37,
        // 409, 1965), between two moments 30 dB apart.
        let rest = |seconds: f64| power(&sound[(seconds * 48_000.0) as usize..]);
        let (early, late) = (0.1 * asked, 0.6 * asked);
        let fallen = 10.0 * (rest(early) / rest(late)).log10();
        let heard = 60.0 * (late - early) / fallen;
        println!("asked {asked} s, heard {heard:.2} s");
        assert!((heard / asked - 1.0).abs() < 0.15, "asked {asked} s, heard {heard} s");
    }
}
