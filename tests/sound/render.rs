//! Stems: the same start and length, levelled, aligned, and the same every time.

use crate::sound_support::{instrument, playing, pluck, song, turn};
use leadbar::solo::{Curve, Shape};
use leadbar::sound::loudness::Meter;
use leadbar::sound::render::{Brief, Levels, MIX_PEAK, Render, STEM_PEAK, Stem, TAIL, Wave};
use leadbar::sound::{Amp, Decibels, Loudness, Lufs, Mix, Part, SampleRate, Score};

const RATE: f64 = 48_000.0;

/// A bar at 120 with a pluck on each half beat.
fn brief() -> Brief {
    let plucks = (0..7).map(|i| pluck(f64::from(i) * 0.5, 3 + (i % 6) as u8)).collect();
    Brief {
        score: Score::new(instrument(), playing(4.0, 5.0, plucks), song(1, 120.0)),
        rate: SampleRate(RATE),
        count_in: 0,
        stems: Stem::ALL.to_vec(),
        mix: Mix::default(),
        clean: Amp::CLEAN,
        driven: Amp::DRIVEN,
        mix_driven: false,
        loudness: Lufs(-16.0),
    }
}

fn rendered(brief: &Brief) -> Vec<Wave> {
    let levels = Levels::of(brief, |_, _| {}).expect("levels");
    let mut render = Render::new(brief, levels).expect("a render");
    let mut whole: Vec<Wave> = brief
        .stems
        .iter()
        .map(|stem| Wave {
            channels: vec![Vec::new(); stem.channels()],
        })
        .collect();
    while let Some(block) = render.next_block() {
        for (whole, wave) in whole.iter_mut().zip(block) {
            for (whole, channel) in whole.channels.iter_mut().zip(&wave.channels) {
                whole.extend_from_slice(channel);
            }
        }
    }
    whole
}

fn peak(samples: &[f32]) -> f64 {
    samples.iter().fold(0.0, |most, x| f64::from(x.abs()).max(most))
}

fn loudness(mix: &Wave, rate: f64) -> Loudness {
    let mut meter = Meter::new(SampleRate(rate)).expect("a meter");
    meter.add(&mix.channels[0], &mix.channels[1]).expect("heard");
    meter.read()
}

fn first(samples: &[f32]) -> usize {
    samples.iter().position(|x| x.abs() > 1e-6).expect("a sound")
}

#[test]
fn all_stems_have_the_length_that_was_said_and_end_in_silence() {
    for (rate, count_in) in [(44_100.0, 0), (RATE, 1)] {
        let brief = Brief {
            rate: SampleRate(rate),
            count_in,
            ..brief()
        };
        let length = brief.length();
        // 4 beats at 120 are 2 s, and so is a bar of the count.
        let seconds = 2.0 + 2.0 * f64::from(count_in) + TAIL.0;
        assert_eq!(length.frames, (seconds * rate) as u64);
        assert_eq!(length.bar_one, (2.0 * f64::from(count_in) * rate) as u64);
        for wave in rendered(&brief) {
            for channel in wave.channels {
                assert_eq!(channel.len() as u64, length.frames);
                assert!(peak(&channel[channel.len() - 20..]) < 1e-5);
                assert!(peak(&channel) > 0.05);
            }
        }
    }
}

#[test]
fn stems_peak_where_they_should_and_the_mix_is_as_loud_as_asked() {
    for (asked, mix_driven) in [(-16.0, false), (-16.0, true), (-23.0, false), (-12.0, false)] {
        let brief = Brief {
            loudness: Lufs(asked),
            mix_driven,
            ..brief()
        };
        let whole = rendered(&brief);
        for (stem, wave) in Stem::ALL.iter().zip(&whole).take(5) {
            let peak = wave.channels.iter().map(|c| peak(c)).fold(0.0, f64::max);
            let level = Decibels::of_gain(peak);
            assert!((level.0 - STEM_PEAK.0).abs() < 0.01, "{stem:?} peaks at {level}");
        }
        let loudness = loudness(&whole[5], RATE);
        println!("asked for {asked}: {loudness:?}");
        let integrated = loudness.integrated.expect("loud");
        assert!((integrated.0 - asked).abs() < 0.1, "{integrated} instead of {asked}");
        assert!(loudness.true_peak.0 <= MIX_PEAK.0, "{loudness:?}");
    }
}

#[test]
fn a_render_is_the_same_every_time_whatever_else_is_rendered_with_it() {
    let all = rendered(&brief());
    for (index, stem) in Stem::ALL.into_iter().enumerate() {
        let alone = Brief {
            stems: vec![stem],
            ..brief()
        };
        assert!(rendered(&alone) == all[index..=index], "{stem:?}");
    }
}

/// By how many samples `b` is later than `a`, where they are most alike.
fn later(a: &[f32], b: &[f32]) -> i32 {
    let alike = |shift: i32| -> f64 {
        (100..a.len() - 100)
            .map(|n| f64::from(a[n]) * f64::from(b[n.saturating_add_signed(shift as isize)]))
            .sum()
    };
    (-60..=60)
        .max_by(|x, y| alike(*x).total_cmp(&alike(*y)))
        .expect("a shift")
}

#[test]
fn the_driven_steel_lies_on_the_same_sample_as_the_clean_one() {
    let mut brief = brief();
    // A pedal that hardly clips keeps the wave alike.
    brief.driven.drive = brief.driven.drive.map(|drive| leadbar::sound::amp::Drive {
        gain: Decibels(0.0),
        ..drive
    });
    let whole = rendered(&brief);
    let (direct, driven) = (&whole[0].channels[0], &whole[2].channels[0]);
    assert!(later(&direct[..96_000], &driven[..96_000]).abs() <= 1);
}

#[test]
fn in_the_mix_steel_and_band_lie_as_in_their_stems() {
    for mix_driven in [false, true] {
        let mut brief = Brief { mix_driven, ..brief() };
        let steel = usize::from(mix_driven) * 2 + 1;
        for part in Part::ALL {
            brief.mix.fader_mut(part).muted = part != Part::Solo;
        }
        let whole = rendered(&brief);
        assert_eq!(
            later(&whole[steel].channels[0][..48_000], &whole[5].channels[0][..48_000]),
            0
        );
    }
}

#[test]
fn the_count_is_in_the_backing_and_the_song_begins_after_it() {
    let counted = Brief { count_in: 1, ..brief() };
    let (plain, counted) = (rendered(&brief()), rendered(&counted));
    let bar = (2.0 * RATE) as usize;
    assert!(first(&counted[4].channels[0]) < 50, "the first click");
    assert_eq!(first(&counted[0].channels[0]), bar + first(&plain[0].channels[0]));
    // The steel is the very same, sample by sample.
    let alike = |a: &[f32], b: &[f32]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-5);
    assert!(alike(&counted[0].channels[0][bar..], &plain[0].channels[0]));
}

#[test]
fn a_silent_stem_stays_silent() {
    let mut brief = brief();
    brief.score.performance.plucks.clear();
    for part in Part::ALL {
        brief.mix.fader_mut(part).muted = true;
    }
    for wave in rendered(&brief) {
        assert_eq!(wave.channels.iter().map(|c| peak(c)).fold(0.0, f64::max), 0.0);
    }
}

#[test]
fn what_can_not_be_rendered_is_refused_in_words() {
    let refused = |brief: &Brief| Levels::of(brief, |_, _| {}).expect_err("refused").to_string();
    let none = Brief {
        stems: Vec::new(),
        ..brief()
    };
    assert!(refused(&none).contains("choose at least one"));
    let rate = Brief {
        rate: SampleRate(f64::NAN),
        ..brief()
    };
    assert!(refused(&rate).contains("48,000"));
    let mut empty = brief();
    empty.score.timeline.bars.clear();
    assert!(refused(&empty).contains("no bars"));
}

#[test]
fn the_volume_pedal_stays_where_it_was_under_what_rings_on() {
    let mut brief = brief();
    brief.stems = vec![Stem::DirectClean];
    brief.score.performance.volume = Curve {
        first: 0.7,
        turns: vec![turn(3.0, 0.75, 0.2, Shape::Even)],
    };
    let whole = rendered(&brief);
    let sound = &whole[0].channels[0];
    let end = (2.0 * RATE) as usize;
    let (before, after) = (peak(&sound[end - 2_400..end]), peak(&sound[end..end + 4_800]));
    // The strings beat a little against each other; a pedal back at rest would be 22 dB louder.
    assert!(
        before > 1e-4 && after < 1.5 * before,
        "{before} before the end, {after} after it"
    );
}
