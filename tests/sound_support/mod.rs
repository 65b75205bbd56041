//! What the sound tests share: an instrument, songs, and measuring.
#![allow(dead_code, reason = "each test file uses a part of it")]

use leadbar::solo::{Curve, Finger, Performance, Pluck, Shape, Touch, Turn};
use leadbar::sound::{Command, Player, SampleRate, Score};
use leadbar::steel::{Change, Control, Instrument, Pull, StringNumber, StringSpec, Travel};
use leadbar::theory::{Beats, Cents, Timeline};

/// String `number`.
pub(crate) fn string(number: u8) -> StringNumber {
    StringNumber::new(number).expect("a string number")
}

/// A ten-string E9 with the A and B pedals, enough to make sound with.
pub(crate) fn instrument() -> Instrument {
    let strung = [
        ("F#4", 13.0),
        ("D#4", 15.0),
        ("G#4", 11.0),
        ("E4", 14.0),
        ("B3", 17.0),
        ("G#3", 20.0),
        ("F#3", 26.0),
        ("E3", 30.0),
        ("D3", 34.0),
        ("B2", 38.0),
    ];
    let strings = strung.iter().map(|(pitch, gauge)| StringSpec {
        pitch: pitch.parse().expect("a pitch"),
        gauge: *gauge,
        wound: *gauge > 22.0,
        offset: Cents(0.0),
    });
    let change = |name: &str, pedal, pulls: &[(u8, f64)]| Change {
        name: name.to_owned(),
        control: Control::Pedal(pedal),
        pulls: pulls
            .iter()
            .map(|(s, by)| Pull {
                string: string(*s),
                by: Cents(*by),
                from: Travel(0.0),
                to: Travel(1.0),
            })
            .collect(),
        half_stop: None,
    };
    Instrument {
        id: "test".to_owned(),
        name: "Test".to_owned(),
        scale_length: 616.0,
        frets: 24,
        strings: strings.collect(),
        changes: vec![
            change("A", 1, &[(5, 200.0), (10, 200.0)]),
            change("B", 2, &[(3, 100.0), (6, 100.0)]),
        ],
    }
}

/// A song of `bars` bars of 4/4, one chord a bar, going round 1 4 5 1 in A.
pub(crate) fn song(bars: usize, tempo: f64) -> Timeline {
    let roots = [("A", 1), ("D", 4), ("E", 5), ("A", 1)];
    let name = |n: &str| n.parse::<leadbar::theory::NoteName>().expect("a note");
    let json = |bar: usize| {
        let (root, degree) = roots[bar % 4];
        serde_json::json!({
            "start": bar as f64 * 4.0, "length": 4.0, "bar": bar,
            "key": {"tonic": name("A"), "mode": "major"},
            "numeral": {"degree": {"accidental": 0, "number": degree}, "quality": "Major", "bass": null},
            "chord": {"root": name(root), "quality": "Major", "bass": null},
            "hit": "played", "pushed": false,
        })
    };
    serde_json::from_value(serde_json::json!({
        "key": {"tonic": name("A"), "mode": "major"}, "tempo": tempo, "swing": "straight", "style": null,
        "bars": (0..bars).map(|b| serde_json::json!({
            "start": b as f64 * 4.0, "metre": {"count": 4, "unit": 4}, "section": null, "written": b})).collect::<Vec<_>>(),
        "spans": (0..bars).map(json).collect::<Vec<_>>(),
    }))
    .expect("a timeline")
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
        ..Performance::silent(Beats(length), 2)
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
