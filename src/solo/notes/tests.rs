//! Laws of the notes.

use super::{Cause, End, Meaning, notes};
use crate::sample::{A, B, C, TEMPO, block, e9, pluck, song, still, string, turn};
use crate::solo::{Note, Performance, Touch};
use crate::steel::{Fret, Travel};
use crate::theory::{Beats, Height};
use proptest::prelude::*;

fn heard(performance: &Performance) -> Vec<Note> {
    notes(performance, &e9(), TEMPO)
}

#[test]
fn a_note_ends_with_the_next_pluck_of_its_string() {
    let mut p = still(3.0);
    p.plucks = vec![pluck(0.0, 5), pluck(1.0, 4), pluck(2.0, 5)];
    let found = heard(&p);
    assert_eq!((found[0].end, found[0].ended_by), (Beats(2.0), End::Pluck));
    assert_ne!(found[1].ended_by, End::Pluck);
}

#[test]
fn a_block_stops_what_rings_and_not_what_is_plucked_with_it() {
    let mut p = still(3.0);
    p.plucks = vec![pluck(0.0, 5), pluck(1.0, 4)];
    p.blocks = vec![block(1.0, &[4, 5])];
    let found = heard(&p);
    assert_eq!(found[0].end, Beats(1.0));
    assert!(matches!(found[0].ended_by, End::Block(_)));
    assert!(found[1].end > Beats(1.0));
}

#[test]
fn what_nothing_stops_dies_away_higher_notes_sooner() {
    let mut p = still(0.0);
    p.length = Beats(400.0);
    p.plucks = vec![pluck(0.0, 10), pluck(0.0, 3)];
    let found = heard(&p);
    assert!(found.iter().all(|n| n.ended_by == End::Decay));
    assert!(found[0].length() > found[1].length());
}

#[test]
fn the_end_of_the_performance_ends_every_note() {
    let mut p = still(0.0);
    p.plucks = vec![pluck(15.0, 10)];
    assert_eq!((heard(&p)[0].end, heard(&p)[0].ended_by), (Beats(16.0), End::Over));
}

#[test]
fn a_glide_is_heard_by_every_ringing_string_and_a_pedal_only_by_its_own() {
    let mut p = still(3.0);
    p.bar.turns = vec![turn(1.0, 0.5, 8.0)];
    p.travels[A.index()].turns = vec![turn(2.0, 0.5, 1.0)];
    p.plucks = vec![pluck(0.0, 4), pluck(0.0, 5)];
    let found = heard(&p);
    assert_eq!(found[0].motions.len(), 1);
    assert_eq!(
        found[0].motions[0].cause,
        Cause::Bar {
            from: Fret(3.0),
            to: Fret(8.0)
        }
    );
    assert_eq!(found[1].motions.len(), 2);
    assert_eq!(
        found[1].motions[1].cause,
        Cause::Change {
            id: A,
            from: Travel(0.0),
            to: Travel(1.0)
        }
    );
    assert!((found[1].motions[1].to.above(found[1].motions[1].from).0 - 200.0).abs() < 1e-6);
}

#[test]
fn a_pedal_that_a_longer_raise_hides_moves_nothing() {
    let mut p = still(3.0);
    p.travels[C.index()].first = 1.0;
    p.travels[A.index()].turns = vec![turn(1.0, 0.5, 1.0)];
    p.plucks = vec![pluck(0.0, 5)];
    assert!(
        heard(&p)[0].motions.is_empty(),
        "A and C both raise string 5 to the same pitch"
    );
}

#[test]
fn a_jump_while_a_string_rings_is_a_movement_of_no_length() {
    let mut p = still(3.0);
    p.travels[B.index()].turns = vec![turn(1.0, 0.0, 1.0)];
    p.plucks = vec![pluck(0.0, 6)];
    let motion = heard(&p)[0].motions[0];
    assert_eq!((motion.start, motion.end), (Beats(1.0), Beats(1.0)));
    assert!((motion.to.above(motion.from).0 - 100.0).abs() < 1e-6);
}

#[test]
fn a_jump_at_the_pluck_belongs_to_what_was_before() {
    let mut p = still(3.0);
    p.bar.turns = vec![turn(1.0, 0.0, 8.0)];
    p.plucks = vec![pluck(1.0, 4)];
    let note = &heard(&p)[0];
    assert!(note.motions.is_empty());
    assert_eq!(note.height, Height(72.0));
}

#[test]
fn a_movement_is_cut_where_the_next_one_takes_over() {
    let mut p = still(3.0);
    p.bar.turns = vec![turn(1.0, 2.0, 9.0), turn(2.0, 1.0, 5.0)];
    let found: Vec<_> = p.bar.movements().collect();
    assert_eq!((found[0].start, found[0].end), (Beats(1.0), Beats(2.0)));
    assert!(
        (found[0].to - 6.0).abs() < 1e-9,
        "half way of an eased glide: {}",
        found[0].to
    );
    assert_eq!((found[1].from, found[1].to), (found[0].to, 5.0));
}

#[test]
fn rests_are_where_the_pitch_stays() {
    let mut p = still(1.0);
    p.bar.turns = vec![turn(0.0, 0.25, 3.0)];
    p.travels[A.index()].turns = vec![turn(2.0, 0.5, 1.0)];
    p.plucks = vec![pluck(0.0, 5)];
    let rests: Vec<_> = heard(&p)[0].rests().collect();
    assert_eq!(rests, [(Beats(0.25), Height(62.0)), (Beats(2.5), Height(64.0))]);
}

#[test]
fn harmonics_sound_the_partials_of_the_stopped_string() {
    // f_n = n f_1: an octave is 1200 cents, the third partial 1901.955, the fourth 2400.
    for (above, cents) in [(12, 1200.0), (7, 1901.955), (5, 2400.0)] {
        assert!((Touch::Harmonic(above).raise().0 - cents).abs() < 1e-3);
    }
}

#[test]
fn a_height_is_named_for_its_chord() {
    let timeline = song();
    let over = |at: f64, height: f64| Meaning::of(Height(height), timeline.span_at(Beats(at)).expect("a chord"));
    let named = |at: f64, height: f64| {
        let meaning = over(at, height);
        (meaning.pitch.to_string(), meaning.degree())
    };
    // G, then C, then D, in the key of G.
    assert_eq!(named(0.0, 71.0), ("B4".to_owned(), "3".to_owned()));
    assert_eq!(named(4.0, 76.0), ("E5".to_owned(), "3".to_owned()));
    assert_eq!(named(8.0, 66.0), ("F#4".to_owned(), "3".to_owned()));
    assert_eq!(named(0.0, 65.0), ("F4".to_owned(), "b7".to_owned()));
    assert_eq!(named(8.0, 60.0), ("C4".to_owned(), "b7".to_owned()));
    assert_eq!(named(0.0, 59.0), ("B3".to_owned(), "3".to_owned()));
    assert!((over(0.0, 71.2).off.0 - 20.0).abs() < 1e-6);
}

fn moment() -> impl Strategy<Value = f64> {
    (0_u32..128).prop_map(|step| f64::from(step) / 8.0)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn notes_keep_their_laws_whatever_is_played(
        mut plucks in proptest::collection::vec((moment(), 1_u8..=10), 0..40),
        mut blocks in proptest::collection::vec((moment(), 1_u8..=10), 0..12),
        mut glides in proptest::collection::vec((moment(), 0.0_f64..3.0, 0.0_f64..20.0), 0..8),
        mut presses in proptest::collection::vec((moment(), 0.0_f64..2.0, 0.0_f64..1.0), 0..8),
    ) {
        let by_time = |a: &f64, b: &f64| a.total_cmp(b);
        plucks.sort_by(|a, b| by_time(&a.0, &b.0));
        blocks.sort_by(|a, b| by_time(&a.0, &b.0));
        glides.sort_by(|a, b| by_time(&a.0, &b.0));
        presses.sort_by(|a, b| by_time(&a.0, &b.0));
        let mut p = still(5.0);
        p.plucks = plucks.iter().map(|(at, s)| pluck(*at, *s)).collect();
        p.blocks = blocks.iter().map(|(at, s)| block(*at, &[*s])).collect();
        p.bar.turns = glides.iter().map(|(at, length, to)| turn(*at, *length, *to)).collect();
        p.travels[A.index()].turns = presses.iter().map(|(at, length, to)| turn(*at, *length, *to)).collect();

        let found = heard(&p);
        prop_assert_eq!(found.len(), plucks.len());
        for (note, pluck) in found.iter().zip(&p.plucks) {
            prop_assert_eq!(&note.pluck, pluck);
            prop_assert!(note.end >= note.start() && note.end <= p.length);
            for block in p.blocks.iter().filter(|b| b.strings.contains(note.string())) {
                prop_assert!(block.at <= note.start() || block.at >= note.end);
            }
            for motion in &note.motions {
                prop_assert!(note.start() <= motion.start && motion.start <= motion.end && motion.end <= note.end);
            }
        }
        for number in 1..=10 {
            let of_string: Vec<_> = found.iter().filter(|n| n.string() == string(number)).collect();
            for pair in of_string.windows(2) {
                prop_assert!(pair[0].end <= pair[1].start());
            }
        }
    }
}
