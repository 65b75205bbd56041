//! The player's own recording beside the solo: in step however its tempo wavers, and never bent.

use crate::sound_support::{instrument, playing, pluck, run, song, string};
use leadbar::sound::tape::BLOCK;
use leadbar::sound::{Amp, Command, Decibels, LiveEvent, Mix, Part, Player, SampleRate, Score, Speed};
use leadbar::steel::StringSet;
use leadbar::theory::{Anchor, Beats, Seconds, SongClock, Tempo};

const RATE: f64 = 48_000.0;
const BARS: usize = 12;

/// A band that hurries and drags: another tempo from each fourth beat to the next, from 84 to 131 a minute.
fn wavering() -> SongClock {
    let mut anchors = vec![Anchor {
        at: Beats::ZERO,
        time: Seconds(1.37),
    }];
    for tempo in [100.0, 93.0, 107.0, 84.0, 131.0, 99.0, 120.0, 118.0, 90.0, 91.0, 92.0] {
        let last = anchors[anchors.len() - 1];
        anchors.push(Anchor {
            at: last.at + Beats(4.0),
            time: last.time + Beats(4.0).at(Tempo(tempo)),
        });
    }
    SongClock::through(anchors).expect("a clock")
}

/// A recording with one loud sample on each beat.
fn ticking(clock: &SongClock, rate: f64) -> Vec<i16> {
    let end = clock.time(Beats(4.0 * BARS as f64)).0;
    let mut samples = vec![0; 2 * (end * rate) as usize];
    for beat in 0..4 * BARS {
        let at = 2 * (clock.time(Beats(beat as f64)).0 * rate).round() as usize;
        for sample in samples.iter_mut().skip(at).take(2) {
            *sample = 30_000;
        }
    }
    samples
}

fn player(clock: &SongClock, part: Part, speed: Speed) -> Player {
    let mut player = Player::new(SampleRate(RATE));
    let mut score = Score::new(
        instrument(),
        playing(4.0 * BARS as f64, 3.0, Vec::new()),
        song(BARS, 111.0),
    );
    score.clock = Some(clock.clone());
    player.load(score);
    player.command(Command::Tape(Some(SampleRate(RATE))));
    for block in ticking(clock, RATE).chunks(2 * BLOCK) {
        player.feed_tape(block.to_vec());
    }
    let mut mix = Mix {
        master: Decibels(0.0),
        ..Mix::default()
    };
    for other in Part::ALL {
        mix.fader_mut(other).muted = other != part;
    }
    player.command(Command::Mix(mix));
    player.command(Command::Amp(Amp::DIRECT));
    player.set_speed(speed);
    run(&mut player, 4096);
    player
}

/// Where something begins after at least a tenth of a second of quiet.
fn onsets(heard: &[f32]) -> Vec<usize> {
    let quiet = (0.1 * RATE) as usize;
    let mut found: Vec<usize> = Vec::new();
    let mut last = None::<usize>;
    for (at, _) in heard.iter().enumerate().filter(|(_, x)| x.abs() > 0.02) {
        if last.is_none_or(|last| at - last > quiet) {
            found.push(at);
        }
        last = Some(at);
    }
    found
}

#[test]
fn the_song_keeps_step_with_a_recording_whose_tempo_wavers() {
    let clock = wavering();
    let heard = |part| {
        let mut player = player(&clock, part, Speed::FULL);
        player.play(Beats::ZERO);
        onsets(&run(&mut player, (32.0 * RATE) as usize))
    };
    let (recording, clicks) = (heard(Part::Recording), heard(Part::Click));
    // The first beat of the recording is within its fade-in. The first click of a bar rises a little faster.
    assert_eq!(clicks.len(), 4 * BARS);
    let recording = &recording[recording.len() - (4 * BARS - 1)..];
    let constant = clicks[1] as i64 - recording[0] as i64;
    assert!(constant.abs() < 48, "a click begins within a millisecond: {constant}");
    for (beat, (click, tick)) in clicks.iter().skip(1).zip(recording).enumerate() {
        let off = *click as i64 - *tick as i64 - constant;
        assert!(off.abs() <= 8, "beat {}: {off} samples apart", beat + 1);
    }
}

#[test]
fn playing_from_a_bar_begins_the_recording_there() {
    let clock = wavering();
    let mut player = player(&clock, Part::Recording, Speed::FULL);
    player.play(Beats(16.0));
    let heard = onsets(&run(&mut player, (3.0 * RATE) as usize));
    let wanted = (clock.time(Beats(17.0)) - clock.time(Beats(16.0))).0 * RATE;
    let first = *heard.iter().find(|at| **at > 1000).expect("the second beat is heard") as f64;
    // The limiter looks ahead, and a start takes up to a step.
    assert!((first - wanted).abs() < 200.0, "{first} for {wanted}");
}

#[test]
fn at_another_speed_the_recording_is_silent_and_never_bent() {
    let mut player = player(&wavering(), Part::Recording, Speed(0.75));
    player.play(Beats::ZERO);
    assert!(run(&mut player, (4.0 * RATE) as usize).iter().all(|x| *x == 0.0));
    player.set_speed(Speed::FULL);
    assert!(run(&mut player, (4.0 * RATE) as usize).iter().any(|x| x.abs() > 0.1));
}

#[test]
fn a_recording_is_silent_while_stopped_and_once_taken_off() {
    let mut player = player(&wavering(), Part::Recording, Speed::FULL);
    player.play(Beats::ZERO);
    run(&mut player, RATE as usize);
    player.stop();
    run(&mut player, 4096);
    assert!(run(&mut player, RATE as usize * 2).iter().all(|x| *x == 0.0));
    player.command(Command::Tape(None));
    player.play(Beats::ZERO);
    assert!(run(&mut player, RATE as usize * 2).iter().all(|x| *x == 0.0));
}

/// A player whose steel plays all the time, with what was played by hand in its place: one loud sample on each beat.
fn stood_in(clock: Option<SongClock>) -> Player {
    let steady = SongClock::steady(Seconds(0.0), Tempo(111.0)).expect("a clock");
    let mut player = player(clock.as_ref().unwrap_or(&steady), Part::Solo, Speed::FULL);
    let plucks = (0..4 * BARS).map(|beat| pluck(beat as f64, 5)).collect();
    let mut score = Score::new(instrument(), playing(4.0 * BARS as f64, 3.0, plucks), song(BARS, 111.0));
    score.clock.clone_from(&clock);
    player.load(score);
    player.command(Command::StandIn(Some(SampleRate(RATE))));
    // In the song's own time: its first beat is at 0.
    let from_the_song = |clock: &SongClock| {
        let from = 2 * (clock.time(Beats::ZERO).0 * RATE).round() as usize;
        ticking(clock, RATE)[from..].to_vec()
    };
    for block in from_the_song(clock.as_ref().unwrap_or(&steady)).chunks(2 * BLOCK) {
        player.feed_stand_in(block.to_vec());
    }
    player
}

#[test]
fn what_was_played_by_hand_sounds_on_its_beats_in_the_place_of_the_steel() {
    for clock in [None, Some(wavering())] {
        let mut player = stood_in(clock.clone());
        player.play(Beats::ZERO);
        let heard = run(&mut player, (8.0 * RATE) as usize);
        let time = |beat: f64| match &clock {
            Some(clock) => clock.time(Beats(beat)) - clock.time(Beats::ZERO),
            None => Beats(beat).at(Tempo(111.0)),
        };
        // Between two beats nothing is heard: the steel is silent.
        let found = onsets(&heard);
        let loud = heard.iter().filter(|x| x.abs() > 0.02).count();
        assert!(loud < 10 * found.len(), "{loud} samples sound");
        let first = *found.iter().find(|at| **at > 1000).expect("the second beat is heard") as f64;
        let constant = first - time(1.0).0 * RATE;
        assert!((0.0..200.0).contains(&constant), "{constant}");
        for (n, at) in found.iter().filter(|at| **at > 1000).enumerate() {
            let off = *at as f64 - time(n as f64 + 1.0).0 * RATE - constant;
            assert!(off.abs() < 4.0, "beat {}: {off}", n + 2);
        }
    }
}

#[test]
fn the_steel_comes_back_when_it_is_plucked_by_hand_and_when_nothing_stands_in() {
    let mut player = stood_in(None);
    let sounds = |heard: &[f32]| heard.iter().filter(|x| x.abs() > 0.01).count() > heard.len() / 4;
    player.play(Beats::ZERO);
    assert!(!sounds(&run(&mut player, RATE as usize)));
    player.stop();
    assert!(!sounds(&run(&mut player, RATE as usize)));
    player.command(Command::Live(LiveEvent::Grip {
        strings: StringSet::EMPTY.with(string(5)),
        strength: 0.8,
    }));
    assert!(sounds(&run(&mut player, RATE as usize / 2)));
    player.stop();
    run(&mut player, 4096);
    player.play(Beats::ZERO);
    assert!(!sounds(&run(&mut player, RATE as usize)));
    player.command(Command::StandIn(None));
    assert!(sounds(&run(&mut player, RATE as usize)));
}

#[test]
fn at_another_speed_what_was_played_by_hand_is_silent() {
    let mut player = stood_in(None);
    player.set_speed(Speed(0.5));
    player.play(Beats::ZERO);
    assert!(run(&mut player, 2 * RATE as usize).iter().all(|x| x.abs() < 1e-4));
}
