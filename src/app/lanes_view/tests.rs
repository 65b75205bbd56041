//! What the lanes show.

use super::{Fate, LanesView, Role};
use crate::sample::{self, A, block, pluck, still, turn};
use crate::solo::{Performance, Vibrato};
use crate::steel::Fret;
use crate::theory::{Beats, Cents, Hertz};

fn lanes(performance: &Performance) -> LanesView {
    LanesView::of(performance, &sample::e9(), &sample::song())
}

#[test]
fn a_slanted_bar_is_drawn_at_both_ends_and_labelled_by_the_strings_that_sound() {
    let mut p = still(5.0);
    p.slant.turns = vec![turn(4.0, 0.5, 1.8)];
    // Strings 3 and 8 of ten ring through the turn: two and seven ninths of the way.
    p.plucks = vec![pluck(0.0, 3), pluck(0.0, 8)];
    let view = lanes(&p);
    let near: Vec<_> = view.near.iter().flat_map(|s| &s.points).collect();
    assert!(
        near.iter()
            .all(|(at, fret)| at.0 >= 4.0 && (5.0..=6.8 + 1e-9).contains(&fret.0)),
        "{near:?}"
    );
    assert!(near.iter().any(|(_, fret)| (fret.0 - 6.8).abs() < 1e-6), "{near:?}");
    assert!(view.path.iter().flat_map(|s| &s.points).all(|(_, fret)| fret.0 == 5.0));
    assert!(lanes(&still(5.0)).near.is_empty() && view.axis.high.0 >= 7.0);
    let texts: Vec<&str> = view.labels(Beats(0.0)).iter().map(|l| l.text.as_str()).collect();
    assert!(texts.contains(&"5") && texts.contains(&"5.4-6.4"), "{texts:?}");
}

#[test]
fn every_pluck_is_one_ring_on_its_row() {
    let solo = sample::solo();
    let view = lanes(&solo);
    for row in &view.rows {
        let plucked = solo.plucks.iter().filter(|p| p.string == row.string).count();
        assert_eq!(row.rings.len(), plucked, "string {}", row.string);
    }
}

#[test]
fn the_path_never_goes_back_in_time_and_has_no_gap() {
    let view = lanes(&sample::solo());
    let points: Vec<_> = view.path.iter().flat_map(|s| s.points.iter().copied()).collect();
    assert!(points.windows(2).all(|w| w[0].0 <= w[1].0));
    for pair in view.path.windows(2) {
        assert_eq!(pair[0].points.last(), pair[1].points.first());
        assert_ne!(pair[0].sounding, pair[1].sounding);
    }
    assert_eq!(points.first().map(|p| p.0), Some(Beats::ZERO));
    assert_eq!(points.last().map(|p| p.0), Some(view.length));
}

#[test]
fn the_path_lies_inside_its_axis() {
    let view = lanes(&sample::solo());
    for (_, fret) in view.path.iter().flat_map(|s| &s.points) {
        assert!((0.0..=1.0).contains(&view.axis.part(*fret)), "{fret}");
    }
}

#[test]
fn a_jump_of_the_bar_is_drawn_upright() {
    let mut p = still(3.0);
    p.bar.turns = vec![turn(4.0, 0.0, 8.0)];
    let view = lanes(&p);
    let at_jump: Vec<Fret> = view.path[0]
        .points
        .iter()
        .filter(|(at, _)| *at == Beats(4.0))
        .map(|p| p.1)
        .collect();
    assert_eq!(at_jump, [Fret(3.0), Fret(8.0)]);
}

#[test]
fn vibrato_swings_to_both_sides_as_often_as_it_is_heard() {
    let mut p = still(8.0);
    p.vibrato = vec![Vibrato {
        at: Beats(4.0),
        length: Beats(4.0),
        rate: Hertz(5.0),
        depth: Cents(20.0),
        onset: Beats(0.0),
    }];
    let view = lanes(&p);
    let sides: Vec<bool> = view
        .path
        .iter()
        .flat_map(|s| &s.points)
        .map(|(_, f)| f.0 - 8.0)
        .filter(|off| off.abs() > 0.05)
        .map(|off| off > 0.0)
        .collect();
    let turns = sides.windows(2).filter(|w| w[0] != w[1]).count();
    // Four beats at 120 are two seconds: ten swings, nineteen crossings between them.
    assert_eq!(turns, 19);
}

#[test]
fn a_half_pedal_is_half_as_high() {
    let mut p = still(3.0);
    p.travels[A.index()].turns = vec![turn(1.0, 0.5, 0.5), turn(3.0, 0.5, 0.0)];
    let view = lanes(&p);
    assert_eq!(view.ribbons.len(), 1, "only what is used has a ribbon");
    let press = &view.ribbons[0].presses;
    assert_eq!(press.len(), 1);
    let highest = press[0].iter().map(|(_, t)| t.0).fold(0.0, f64::max);
    assert!((highest - 0.5).abs() < 1e-9);
    assert_eq!(press[0].first().map(|p| p.0), Some(Beats(1.0)));
    assert_eq!(press[0].last().map(|p| p.0), Some(Beats(3.5)));
}

#[test]
fn what_the_first_stroke_needs_is_not_held_through_bars_of_rest() {
    let mut p = still(5.0);
    p.travels[A.index()].first = 1.0;
    let begins = |p: &Performance| lanes(p).ribbons[0].presses[0][0].0;
    p.plucks = vec![pluck(6.0, 3)];
    assert_eq!(begins(&p), Beats(5.0));
    p.plucks = vec![pluck(0.5, 3)];
    assert_eq!(begins(&p), Beats(0.0));
    // What moves in the rest is seen to move.
    p.plucks = vec![pluck(6.0, 3)];
    p.travels[A.index()].turns = vec![turn(2.0, 0.5, 0.0)];
    assert_eq!(begins(&p), Beats(2.0));
}

#[test]
fn a_ring_says_how_it_ends_and_what_it_is_to_the_chord() {
    let mut p = still(3.0);
    p.plucks = vec![pluck(0.0, 8), pluck(0.0, 5), pluck(1.0, 5)];
    p.blocks = vec![block(2.0, &[5])];
    let view = lanes(&p);
    let five = &view.rows[4].rings;
    assert_eq!((five[0].fate, five[1].fate), (Fate::Replaced, Fate::Stopped));
    assert_eq!((five[0].called.number.as_str(), five[0].role), ("5", Role::Tone));
    assert_eq!(
        (view.rows[7].rings[0].called.number.as_str(), view.rows[7].rings[0].role),
        ("1", Role::Root)
    );
}

#[test]
fn a_squeezed_note_is_named_again_where_it_arrives() {
    let mut p = still(3.0);
    p.travels[A.index()].turns = vec![turn(1.0, 0.5, 1.0)];
    p.plucks = vec![pluck(0.0, 5)];
    let ring = &lanes(&p).rows[4].rings[0];
    assert_eq!(ring.called.number, "5");
    assert_eq!(
        ring.turns
            .iter()
            .map(|t| (t.0, t.1.number.as_str()))
            .collect::<Vec<_>>(),
        [(Beats(1.5), "6")]
    );
}

#[test]
fn labels_on_the_path_never_stand_closer_than_their_room() {
    let view = lanes(&sample::solo());
    for room in [0.25, 1.0, 3.0] {
        let kept = view.labels(Beats(room));
        assert!(!kept.is_empty());
        assert!(kept.windows(2).all(|w| (w[1].at - w[0].at).0 >= room));
    }
}
