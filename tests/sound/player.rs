//! The player: exact in time, free of clicks and clipping, the same however it is cut.

use crate::sound_support::{instrument, playing, pluck, render, run, song, string, turn};
use leadbar::solo::{Block, BlockKind, Curve, Performance, Shape};
use leadbar::sound::{Amp, Command, Decibels, LiveEvent, Mix, Part, Player, Report, SampleRate, Score};
use leadbar::steel::{Fret, StringSet};
use leadbar::theory::{Beats, Cents, Hertz};
use proptest::prelude::*;

const RATE: f64 = 48_000.0;

fn score(performance: Performance) -> Score {
    let bars = (performance.length.0 / 4.0).ceil() as usize;
    Score::new(instrument(), performance, song(bars, 120.0))
}

/// A mix in which only `parts` are heard, at full level.
fn only(parts: &[Part]) -> Command {
    let mut mix = Mix {
        master: Decibels(0.0),
        ..Mix::default()
    };
    for part in Part::ALL {
        mix.fader_mut(part).muted = !parts.contains(&part);
    }
    Command::Mix(mix)
}

fn ready(score: Score, commands: &[Command]) -> Player {
    let mut player = Player::new(SampleRate(RATE));
    player.load(score);
    for command in commands {
        player.command(command.clone());
    }
    run(&mut player, 2048);
    player
}

/// Eight plucks going round the strings, with a gliding bar and pedals.
fn lively() -> Performance {
    let mut performance = playing(
        8.0,
        3.0,
        (0..16).map(|i| pluck(f64::from(i) * 0.5, 3 + i % 6)).collect(),
    );
    performance.bar.turns = vec![
        turn(1.0, 0.5, 8.0, Shape::Eased),
        turn(3.0, 0.0, 5.0, Shape::Even),
        turn(5.0, 2.0, 12.0, Shape::Late),
    ];
    performance.travels[0] = Curve {
        first: 0.0,
        turns: vec![turn(2.0, 0.3, 1.0, Shape::Eased)],
    };
    performance
}

/// The sharpest bend: the largest second difference.
fn bend(signal: &[f32]) -> f32 {
    signal
        .windows(3)
        .map(|w| (w[0] - 2.0 * w[1] + w[2]).abs())
        .fold(0.0, f32::max)
}

fn peak(signal: &[f32]) -> f32 {
    signal.iter().fold(0.0, |most, x| most.max(x.abs()))
}

fn level(signal: &[f32]) -> f64 {
    let power = signal.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / signal.len() as f64;
    10.0 * power.max(1e-20).log10()
}

#[test]
fn the_sound_does_not_depend_on_how_the_output_is_cut() {
    let whole = render(score(lively()), RATE, 3.0, &[]);
    let mut player = Player::new(SampleRate(RATE));
    player.load(score(lively()));
    player.play(Beats::ZERO);
    let mut cut = Vec::new();
    for size in [1_usize, 7, 31, 33, 128, 441, 1000].iter().cycle() {
        let (mut left, mut right) = (vec![0.0; *size], vec![0.0; *size]);
        player.process(&mut left, &mut right);
        cut.extend(left);
        if cut.len() >= whole.len() {
            break;
        }
    }
    assert!(peak(&whole) > 0.01);
    assert_eq!(whole[..], cut[..whole.len()]);
}

#[test]
fn a_pluck_is_heard_from_its_very_sample() {
    let first = |at: f64| {
        let mut player = ready(score(playing(4.0, 3.0, vec![pluck(at, 4)])), &[only(&[Part::Solo])]);
        player.play(Beats::ZERO);
        run(&mut player, 96_000)
            .iter()
            .position(|x| x.abs() > 1e-9)
            .expect("a sound")
    };
    // At 120 a beat is 24 000 samples.
    let (zero, early, late) = (first(0.0), first(0.5), first(1.0 + 5.0 / 24_000.0));
    assert_eq!(early - zero, 12_000);
    assert_eq!(late - zero, 24_005);
}

#[test]
fn half_speed_takes_twice_as_long_at_the_same_pitch() {
    let mut player = ready(score(playing(4.0, 3.0, vec![pluck(1.0, 4)])), &[only(&[Part::Solo])]);
    player.command(Command::Speed(leadbar::sound::Speed(0.5)));
    player.play(Beats::ZERO);
    let sound = run(&mut player, 96_000);
    let first = sound.iter().position(|x| x.abs() > 1e-9).expect("a sound");
    assert!((48_000..48_200).contains(&first), "{first}");
    // G4 (E4 at fret 3) is 392 Hz: count rising crossings of zero of the fundamental's long-lived part.
    let tail = &sound[60_000..96_000];
    let power = |hertz: f64| {
        let (mut re, mut im) = (0.0, 0.0);
        for (i, x) in tail.iter().enumerate() {
            let a = std::f64::consts::TAU * hertz * i as f64 / RATE;
            re += f64::from(*x) * a.cos();
            im += f64::from(*x) * a.sin();
        }
        re.hypot(im)
    };
    assert!(power(391.995) > 20.0 * power(380.0) && power(391.995) > 20.0 * power(196.0));
}

#[test]
fn the_count_in_clicks_a_bar_and_the_solo_waits() {
    let mut player = ready(score(playing(4.0, 3.0, vec![pluck(0.0, 4)])), &[only(&[Part::Solo])]);
    player.command(Command::CountIn { bars: 1 });
    player.play(Beats::ZERO);
    assert!(player.position().0 <= 0.0);
    let counted = run(&mut player, 95_900);
    let ends: Vec<bool> = (0..4)
        .map(|beat| level(&counted[beat * 24_000..][..2_400]) > -45.0)
        .collect();
    assert_eq!(ends, [true; 4], "a click on each beat");
    assert!(
        (0..4).all(|beat| level(&counted[beat * 24_000 + 8_000..][..12_000]) < -90.0),
        "silence between"
    );
    assert!(level(&run(&mut player, 9_600)) > -50.0, "then the solo");
    let reports: Vec<Report> = std::iter::from_fn(|| player.report()).collect();
    assert!(
        reports
            .iter()
            .any(|r| matches!(r, Report::Position { counting_in: true, .. }))
    );
    assert!(
        reports
            .iter()
            .any(|r| matches!(r, Report::Position { counting_in: false, .. }))
    );
}

#[test]
fn the_count_is_the_one_asked_for_when_it_was_told_to_play() {
    let mut player = ready(score(lively()), &[]);
    let (mut left, mut right) = (vec![0.0; 4800], vec![0.0; 4800]);
    player.command(Command::Play { from: Beats(0.0) });
    player.process(&mut left, &mut right);
    while player.report().is_some() {}
    // Going on elsewhere without a count, while one is wanted for the next start.
    player.command(Command::CountIn { bars: 0 });
    player.command(Command::Play { from: Beats(2.0) });
    player.command(Command::CountIn { bars: 1 });
    player.process(&mut left, &mut right);
    let reports: Vec<Report> = std::iter::from_fn(|| player.report()).collect();
    let counting = |r: &Report| matches!(r, Report::Position { counting_in: true, .. });
    assert!(!reports.is_empty() && !reports.iter().any(counting), "{reports:?}");
}

#[test]
fn the_song_ends_and_says_so() {
    let mut player = ready(score(playing(4.0, 3.0, vec![pluck(0.0, 4)])), &[]);
    player.play(Beats::ZERO);
    run(&mut player, 98_000);
    assert!(!player.is_playing());
    assert!(std::iter::from_fn(|| player.report()).any(|r| r == Report::Ended));
}

#[test]
fn every_part_is_heard_alone_and_a_muted_one_is_not() {
    // The recording is the player's own and has tests of its own.
    for part in Part::ALL.into_iter().filter(|part| *part != Part::Recording) {
        let sound = |parts: &[Part]| {
            let mut player = ready(score(lively()), &[only(parts)]);
            player.play(Beats::ZERO);
            run(&mut player, 96_000)
        };
        let (alone, muted) = (sound(&[part]), sound(&[]));
        println!("{part:?}: {:.1} dB, peak {:.3}", level(&alone), peak(&alone));
        assert!(level(&alone) > -45.0, "{part:?} is too quiet: {}", level(&alone));
        assert!(level(&muted) < -120.0);
    }
}

#[test]
fn the_solo_stands_in_front_of_each_part_of_the_band() {
    let sound = |part: Part| {
        let mut player = ready(score(lively()), &[only(&[part])]);
        player.play(Beats::ZERO);
        level(&run(&mut player, 192_000))
    };
    let solo = sound(Part::Solo);
    for part in [Part::Drums, Part::Bass, Part::Rhythm, Part::Organ] {
        assert!(sound(part) < solo, "{part:?} covers the solo");
    }
}

#[test]
fn starting_stopping_and_looping_bend_the_wave_no_more_than_playing_does() {
    let mut player = ready(score(lively()), &[only(&[Part::Solo])]);
    player.play(Beats::ZERO);
    let playing = bend(&run(&mut player, 96_000));
    player.stop();
    let stopping = bend(&run(&mut player, 24_000));
    player.command(Command::Live(LiveEvent::Grip {
        strings: [4, 5, 6].map(string).into_iter().collect(),
        strength: 0.8,
    }));
    run(&mut player, 9_600);
    player.play(Beats(2.2));
    let fading = bend(&run(&mut player, 500));
    player.set_loop(Some(Beats(2.2)..Beats(3.7)));
    player.play(Beats(2.2));
    run(&mut player, 1_500);
    let mut looping = 0.0_f32;
    for _ in 0..3 {
        // The end of the loop and the jump, before the next pluck.
        run(&mut player, 36_000 - 1_500 - 2_000);
        looping = looping.max(bend(&run(&mut player, 2_000 + 1_500)));
    }
    println!("bend: playing {playing:.4}, stopping {stopping:.4}, restarting {fading:.4}, looping {looping:.4}");
    assert!(playing > 0.0 && stopping < playing && fading < playing && looping <= playing);
}

#[test]
fn a_dragged_bar_glides_without_a_step() {
    let mut player = ready(score(playing(4.0, 0.0, vec![])), &[only(&[Part::Solo])]);
    player.live(LiveEvent::Bar { fret: Fret(5.0) });
    player.live(LiveEvent::Grip {
        strings: [4, 8].map(string).into_iter().collect(),
        strength: 0.8,
    });
    run(&mut player, 24_000);
    let still = bend(&run(&mut player, 4_800));
    let mut dragged = 0.0_f32;
    for place in 0..30 {
        player.live(LiveEvent::Bar {
            fret: Fret(5.0 + f64::from(place) * 0.2),
        });
        dragged = dragged.max(bend(&run(&mut player, 800)));
    }
    println!("bend: still {still:.5}, dragged {dragged:.5}");
    // The same wave packed into two thirds of the time bends (3/2)^2 as sharply.
    assert!(dragged < 3.0 * still);
}

#[test]
fn a_blocked_string_is_silent_soon_and_a_free_one_is_not() {
    let ring = |kind: Option<BlockKind>| {
        let mut performance = playing(8.0, 3.0, vec![pluck(0.0, 4)]);
        performance.blocks = kind
            .map(|kind| Block {
                at: Beats(1.0),
                strings: StringSet::EMPTY.with(string(4)),
                kind,
            })
            .into_iter()
            .collect();
        let mut player = ready(score(performance), &[only(&[Part::Solo]), Command::Amp(Amp::DIRECT)]);
        player.play(Beats::ZERO);
        let sound = run(&mut player, 48_000);
        level(&sound[24_000 + 9_600..]) - level(&sound[14_400..24_000])
    };
    assert!(ring(None) > -6.0);
    for kind in [BlockKind::Pick, BlockKind::Palm, BlockKind::Bar] {
        assert!(ring(Some(kind)) < -50.0, "{kind:?}: {}", ring(Some(kind)));
    }
}

#[test]
fn a_loop_comes_round_and_a_too_short_one_is_refused() {
    let mut player = ready(score(lively()), &[]);
    player.set_loop(Some(Beats(1.0)..Beats(1.01)));
    assert!(matches!(player.report(), Some(Report::Failed { .. })));
    player.set_loop(Some(Beats(0.0)..Beats(2.0)));
    player.play(Beats::ZERO);
    run(&mut player, 48_000 * 2 + 12_000);
    assert!((player.position().0 - 0.5).abs() < 0.01, "{}", player.position());
}

#[test]
fn playing_without_a_score_says_what_to_do() {
    let mut player = Player::new(SampleRate(RATE));
    player.play(Beats::ZERO);
    assert!(matches!(player.report(), Some(Report::Failed { words }) if words.contains("nothing to play")));
    assert!(peak(&run(&mut player, 1_000)) == 0.0);
}

fn any_turns(most: f64) -> impl Strategy<Value = Curve> {
    let one = (0.0..8.0, 0.0..1.5, -0.1..1.1_f64);
    (prop::collection::vec(one, 0..8), 0.0..1.0).prop_map(move |(mut turns, first)| {
        turns.sort_by(|a: &(f64, f64, f64), b| a.0.total_cmp(&b.0));
        Curve {
            first: first * most,
            turns: turns
                .into_iter()
                .map(|(at, length, to)| turn(at, length, to * most, Shape::Early))
                .collect(),
        }
    })
}

fn any_performance() -> impl Strategy<Value = Performance> {
    let plucks = prop::collection::vec((0.0..8.0, 1..=10_u8, 0.0..1.0), 0..60);
    let blocks = prop::collection::vec((0.0..8.0, 1..=10_u8), 0..10);
    (plucks, blocks, any_turns(24.0), any_turns(1.0), any_turns(1.0)).prop_map(|(mut p, mut b, bar, travel, volume)| {
        p.sort_by(|a: &(f64, u8, f64), b| a.0.total_cmp(&b.0));
        b.sort_by(|a: &(f64, u8), b| a.0.total_cmp(&b.0));
        let mut made = playing(8.0, 0.0, vec![]);
        made.plucks = p
            .into_iter()
            .map(|(at, s, strength)| leadbar::solo::Pluck {
                strength,
                ..pluck(at, s)
            })
            .collect();
        made.blocks = b
            .into_iter()
            .map(|(at, s)| Block {
                at: Beats(at),
                strings: StringSet::EMPTY.with(string(s)),
                kind: BlockKind::Palm,
            })
            .collect();
        made.vibrato = vec![leadbar::solo::Vibrato {
            at: Beats(2.0),
            length: Beats(3.0),
            rate: Hertz(6.0),
            depth: Cents(40.0),
            onset: Beats(0.5),
        }];
        (made.bar, made.travels[0], made.volume) = (bar, travel, volume);
        made
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_played_is_a_number_and_never_clips(performance in any_performance(), loud in 0.0..24.0_f64) {
        let mut player = ready(score(performance), &[]);
        player.set_mix(Mix { master: Decibels(loud), ..Mix::default() });
        player.play(Beats::ZERO);
        let sound = run(&mut player, 192_000);
        prop_assert!(sound.iter().all(|x| x.is_finite()));
        prop_assert!(peak(&sound) <= 0.8911, "{}", peak(&sound));
    }
}
