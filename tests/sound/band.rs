//! The band follows the chart: pushes, holds, chokes, rests and other metres, and is the same for a seed.

use crate::sound_support::song;
use leadbar::sound::band::{Drum, Pattern, Strike, StrikeKind, arrange};
use leadbar::theory::{Beats, Hit, Metre, Timeline};

fn between(strikes: &[Strike], from: f64, to: f64) -> Vec<Strike> {
    strikes
        .iter()
        .copied()
        .filter(|s| s.at >= Beats(from) && s.at < Beats(to))
        .collect()
}

fn notes(strikes: &[Strike]) -> usize {
    strikes
        .iter()
        .filter(|s| {
            matches!(
                s.kind,
                StrikeKind::Drum(_) | StrikeKind::Bass(_) | StrikeKind::Strum(_) | StrikeKind::Hold(_)
            )
        })
        .count()
}

/// Four bars in which the third does as `hit` says.
fn with(hit: Hit) -> Timeline {
    let mut song = song(4, 120.0);
    song.spans[2].hit = hit;
    song
}

#[test]
fn the_same_seed_gives_the_same_band_and_another_another() {
    let song = song(8, 120.0);
    assert_eq!(arrange(&song, None, 5), arrange(&song, None, 5));
    assert_ne!(arrange(&song, None, 5), arrange(&song, None, 6));
}

#[test]
fn every_change_of_chord_is_struck_with_its_root_in_the_bass() {
    let strikes = arrange(&song(4, 120.0), None, 1);
    for (bar, class) in [9, 2, 4, 9].into_iter().enumerate() {
        let at = bar as f64 * 4.0;
        let near = between(&strikes, at - 0.05, at + 0.05);
        let root = near
            .iter()
            .any(|s| matches!(s.kind, StrikeKind::Bass(h) if h.nearest().class().number() == class));
        assert!(root, "bar {bar}");
        assert!(near.iter().any(|s| matches!(s.kind, StrikeKind::Strum(_))), "bar {bar}");
    }
}

#[test]
fn nobody_plays_in_a_rest() {
    let strikes = arrange(&with(Hit::Rest), None, 1);
    assert_eq!(notes(&between(&strikes, 8.02, 11.97)), 0);
    assert!(
        between(&strikes, 7.99, 8.01)
            .iter()
            .any(|s| s.kind == StrikeKind::BassStop)
    );
}

#[test]
fn a_held_chord_is_struck_once_and_rings() {
    let strikes = arrange(&with(Hit::Held), None, 1);
    assert!(notes(&between(&strikes, 7.95, 8.05)) >= 3);
    assert_eq!(between(&strikes, 8.05, 11.9), []);
}

#[test]
fn a_choked_chord_is_struck_and_stopped() {
    let strikes = arrange(&with(Hit::Choked), None, 1);
    assert!(notes(&between(&strikes, 7.95, 8.05)) >= 3);
    let after = between(&strikes, 8.05, 11.9);
    assert_eq!(notes(&after), 0);
    for stop in [
        StrikeKind::BassStop,
        StrikeKind::StrumStop,
        StrikeKind::LetGo,
        StrikeKind::CymbalStop,
    ] {
        assert!(after.iter().any(|s| s.kind == stop && s.at < Beats(8.5)));
    }
}

#[test]
fn a_pushed_chord_is_struck_an_eighth_early_and_not_again_on_the_beat() {
    let mut song = song(4, 120.0);
    song.spans[2].pushed = true;
    song.spans[2].start = Beats(7.5);
    song.spans[2].length = Beats(4.5);
    song.spans[1].length = Beats(3.5);
    let strikes = arrange(&song, None, 1);
    let early = between(&strikes, 7.45, 7.55);
    let is_root = |s: &Strike| matches!(s.kind, StrikeKind::Bass(h) if h.nearest().class().number() == 4);
    assert!(early.iter().any(is_root));
    assert!(early.iter().any(|s| s.kind == StrikeKind::Drum(Drum::Kick)));
    assert!(
        !between(&strikes, 7.9, 8.1)
            .iter()
            .any(|s| matches!(s.kind, StrikeKind::Bass(_) | StrikeKind::Strum(_) | StrikeKind::Hold(_)))
    );
}

#[test]
fn a_short_bar_takes_as_much_of_the_groove_as_fits() {
    let mut song = song(3, 120.0);
    song.bars[1].metre = Metre { count: 2, unit: 4 };
    song.bars[2].start = Beats(6.0);
    song.spans[1].length = Beats(2.0);
    song.spans[2].start = Beats(6.0);
    let strikes = arrange(&song, None, 1);
    let kick = |from: f64| {
        between(&strikes, from - 0.05, from + 0.05)
            .iter()
            .any(|s| s.kind == StrikeKind::Drum(Drum::Kick))
    };
    assert!(kick(4.0) && kick(6.0));
    assert!(strikes.iter().all(|s| s.at <= song.length()));
}

#[test]
fn an_empty_song_has_a_silent_band() {
    let mut song = song(1, 120.0);
    song.bars.clear();
    song.spans.clear();
    assert_eq!(arrange(&song, None, 1), []);
}

#[test]
fn the_organ_holds_each_chord_from_its_beginning_and_only_its_notes() {
    for style in ["rock", "half-time", "shuffle", "country", "ballad"] {
        let mut song = song(8, 120.0);
        song.style = Some(style.to_owned());
        let strikes = arrange(&song, None, 1);
        for span in &song.spans {
            let near = between(&strikes, span.start.0 - 0.05, span.start.0 + 0.05);
            assert!(
                near.iter().any(|s| matches!(s.kind, StrikeKind::Hold(_))),
                "{style} at {:?}",
                span.start
            );
        }
        for strike in &strikes {
            let StrikeKind::Hold(voicing) = strike.kind else {
                continue;
            };
            // Loose by less than the eighth between two strokes.
            let span = song.span_at(strike.at + Beats(0.1)).expect("a chord");
            for note in voicing.notes.iter().flatten() {
                let class = note.nearest().class();
                assert!(
                    span.chord.tones().any(|(_, name)| name.class() == class),
                    "{style}: {note:?}"
                );
            }
        }
    }
}

#[test]
fn a_groove_without_an_organ_line_has_no_organ() {
    let groove =
        Pattern::read("name = 'Plain'\nstyles = []\nmetre = '4/4'\n[bass]\nline = '1---'\n").expect("a groove");
    let strikes = arrange(&song(4, 120.0), Some(&groove), 1);
    assert!(!strikes.is_empty() && !strikes.iter().any(|s| matches!(s.kind, StrikeKind::Hold(_))));
}
