//! What the sound tests share: an instrument, songs, and measuring.
#![allow(
    dead_code,
    unreachable_pub,
    clippy::expect_used,
    reason = "each test file uses a part of it"
)]

use leadbar::app::reading::Reading;
use leadbar::solo::{Curve, Finger, Performance, Pluck, Shape, Touch, Turn};
use leadbar::sound::rate::STEP;
use leadbar::sound::string::Stiffness;
use leadbar::sound::string::delay::Table;
use leadbar::sound::string::loss::Material;
use leadbar::sound::string::pluck::Stroke;
use leadbar::sound::string::waveguide::{StringState, Waveguide};
use leadbar::sound::{Command, Player, SampleRate, Score};
use leadbar::steel::{Instrument, StringNumber};
use leadbar::theory::{Beats, Hertz, Seconds, Timeline};

/// String `number`.
pub(crate) fn string(number: u8) -> StringNumber {
    StringNumber::new(number).expect("a string number")
}

/// The shipped E9.
pub(crate) fn instrument() -> Instrument {
    Instrument::shipped("e9").expect("the E9")
}

/// A song of `bars` bars of 4/4, one chord a bar, going round 1 4 5 1 in A.
pub(crate) fn song(bars: usize, tempo: f64) -> Timeline {
    let numbers: Vec<&str> = ["1", "4", "5", "1"].into_iter().cycle().take(bars).collect();
    let reading = Reading::of(&format!("key A, {tempo}; {}", numbers.join(" ")));
    let song = reading.song.expect("a song");
    Timeline::clone(&song)
}

/// A firm pluck of `number` at `at`.
pub(crate) fn pluck(at: f64, number: u8) -> Pluck {
    Pluck {
        at: Beats(at),
        string: string(number),
        finger: Finger::Middle,
        strength: 0.8,
        touch: Touch::Plain,
    }
}

/// A movement of a lane.
pub(crate) fn turn(at: f64, length: f64, to: f64, shape: Shape) -> Turn {
    Turn {
        at: Beats(at),
        length: Beats(length),
        to,
        shape,
    }
}

/// A performance of plucks with the bar resting at `fret`.
pub(crate) fn playing(length: f64, fret: f64, plucks: Vec<Pluck>) -> Performance {
    Performance {
        bar: Curve::holding(fret),
        plucks,
        ..Performance::silent(Beats(length), instrument().changes.len())
    }
}

/// The left channel of `score` played from the start for `seconds`.
pub(crate) fn render(score: Score, rate: f64, seconds: f64, commands: &[Command]) -> Vec<f32> {
    let mut player = Player::new(SampleRate(rate));
    player.load(score);
    for command in commands {
        player.command(command.clone());
    }
    player.play(Beats::ZERO);
    run(&mut player, (seconds * rate) as usize)
}

/// The left channel of the next `samples` samples.
pub(crate) fn run(player: &mut Player, samples: usize) -> Vec<f32> {
    let (mut left, mut right) = (vec![0.0; samples], vec![0.0; samples]);
    for (l, r) in left.chunks_mut(128).zip(right.chunks_mut(128)) {
        player.process(l, r);
    }
    left
}

/// A plain string at a pitch.
fn state(pitch: Hertz) -> StringState {
    StringState {
        pitch,
        decay: Material::Plain.decay(pitch),
        damping: None,
        stiffness: Stiffness(2e-5 * (pitch.0 / 220.0).powi(2)),
        to_pickup: Seconds(0.04 / pitch.0),
    }
}

/// A plucked string whose pitch is a function of time (in seconds).
pub(crate) fn plucked(rate: f64, seconds: f64, pitch: impl Fn(f64) -> Hertz) -> Vec<f32> {
    let table = Table::new();
    let mut string = Waveguide::new(SampleRate(rate), &state(pitch(0.0)));
    let period = rate / pitch(0.0).0;
    let stroke = Stroke::new(0.7, Finger::Middle, Touch::Plain, 0.13 * period, period, rate);
    let mut out = Vec::new();
    while (out.len() as f64) < seconds * rate {
        let end = (out.len() + STEP) as f64 / rate;
        let mut step = [0.0; STEP];
        let strokes = if out.is_empty() { vec![(0, stroke)] } else { vec![] };
        string.run(&table, &state(pitch(end)), &strokes, &mut step);
        out.extend(step);
    }
    out
}
