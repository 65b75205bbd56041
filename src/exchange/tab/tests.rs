//! What tablature is written for what is played.

use super::{Characters, Mark, Signs, Tab};
use crate::sample::{self, A, B, block, pluck, still, string, turn};
use crate::solo::{Performance, Touch};
use crate::steel::Control;
use proptest::prelude::*;

fn tab(performance: &Performance) -> Tab {
    Tab::of(performance, &sample::e9(), &sample::song(), Signs::Letters)
}

/// The rows of the given strings, without their names, of the first system.
fn rows(performance: &Performance, strings: &[u8]) -> Vec<String> {
    let text = tab(performance).text(Characters(200));
    let row = |number: &u8| {
        let line = text.lines().nth(usize::from(*number) + 1).expect("a row");
        line.split_once('|').expect("a bar line").1.to_owned()
    };
    strings.iter().map(row).collect()
}

#[test]
fn the_sample_solo_reads_as_a_player_would_write_it() {
    let text = tab(&sample::solo()).text(Characters(80));
    let expected = include_str!("solo.txt");
    assert_eq!(text, expected, "written:\n{text}");
}

#[test]
fn no_line_is_wider_than_asked_for_where_a_column_fits() {
    for width in [44, 60, 80, 120] {
        let text = tab(&sample::solo()).text(Characters(width));
        for line in text.lines() {
            assert!(
                line.chars().count() <= width,
                "{} > {width}: {line}",
                line.chars().count()
            );
        }
    }
}

#[test]
fn rows_of_one_system_are_equally_long() {
    let text = tab(&sample::solo()).text(Characters(44));
    for system in text.split("\n\n") {
        let lengths: Vec<usize> = system
            .lines()
            .filter(|l| l.contains('|'))
            .map(|l| l.chars().count())
            .collect();
        assert!(lengths.windows(2).all(|w| w[0] == w[1]), "{system}");
    }
}

#[test]
fn a_slide_from_below_names_the_fret_it_is_heard_from() {
    let mut p = still(6.0);
    p.bar.turns = vec![turn(0.0, 0.2, 8.0)];
    p.plucks = vec![pluck(0.09, 4)];
    assert_eq!(rows(&p, &[4]), ["-7/8-----|"]);
}

#[test]
fn a_squeeze_is_written_after_the_bare_fret() {
    let mut p = still(3.0);
    p.travels[A.index()].turns = vec![turn(1.0, 0.5, 1.0)];
    p.plucks = vec![pluck(0.0, 5)];
    assert_eq!(rows(&p, &[5]), ["-3----~3A-----|"]);
}

#[test]
fn letters_stand_only_on_the_strings_they_move() {
    let mut p = still(3.0);
    p.travels[A.index()].first = 1.0;
    p.travels[B.index()].first = 1.0;
    p.plucks = vec![pluck(0.0, 6), pluck(0.0, 5), pluck(0.0, 4)];
    assert_eq!(rows(&p, &[4, 5, 6]), ["-3------|", "-3A-----|", "-3B-----|"]);
}

#[test]
fn a_half_pedal_has_a_sign_of_its_own() {
    let mut p = still(8.0);
    p.travels[A.index()].first = 0.5;
    p.plucks = vec![pluck(0.0, 5)];
    assert_eq!(rows(&p, &[5]), ["-8A½-----|"]);
}

#[test]
fn a_bar_between_frets_is_written_in_tenths() {
    let mut p = still(7.5);
    p.plucks = vec![pluck(0.0, 4)];
    assert_eq!(rows(&p, &[4]), ["-7.5-----|"]);
}

#[test]
fn harmonics_carry_a_star_and_how_far_up_when_it_is_not_the_octave() {
    let mut p = still(5.0);
    p.plucks = vec![pluck(0.0, 4), pluck(1.0, 4)];
    p.plucks[0].touch = Touch::Harmonic(12);
    p.plucks[1].touch = Touch::Harmonic(7);
    assert_eq!(rows(&p, &[4]), ["-5*---5*7-----|"]);
}

#[test]
fn a_stop_is_written_only_where_silence_follows() {
    let mut p = still(5.0);
    p.plucks = vec![pluck(0.0, 4), pluck(0.5, 5), pluck(1.0, 4)];
    p.blocks = vec![block(0.5, &[4]), block(1.0, &[5]), block(1.5, &[4])];
    assert_eq!(rows(&p, &[4, 5]), ["-5-----5--x-----|", "----5-----------|"]);
}

#[test]
fn a_slide_that_is_cut_off_leads_nowhere() {
    let mut p = still(8.0);
    p.bar.turns = vec![turn(1.0, 1.0, 3.0)];
    p.plucks = vec![pluck(0.0, 4)];
    p.blocks = vec![block(1.75, &[4])];
    assert_eq!(rows(&p, &[4]), ["-8---\\--x-----|"]);
}

#[test]
fn lap_players_read_raises_as_sharps() {
    let mut p = still(3.0);
    p.travels[A.index()].first = 1.0;
    p.plucks = vec![pluck(0.0, 5)];
    let written = Tab::of(&p, &sample::e9(), &sample::song(), Signs::Accidentals);
    assert!(written.text(Characters(80)).contains("|-3##"));
    assert!(written.legend.iter().all(|e| e.sign != "A"));
}

#[test]
fn an_instrument_without_changes_is_written_too() {
    let mut instrument = sample::e9();
    instrument.changes.clear();
    let mut p = Performance::silent(sample::song().length(), 0);
    p.bar.first = 5.0;
    p.plucks = vec![pluck(4.0, 3)];
    let written = Tab::of(&p, &instrument, &sample::song(), Signs::Letters);
    assert_eq!(
        written.bars.first().map(|b| b.number),
        Some(2),
        "empty bars before are left out"
    );
    assert!(written.legend.is_empty());
}

#[test]
fn nothing_played_is_no_tab() {
    assert!(tab(&still(0.0)).bars.is_empty());
    assert_eq!(tab(&still(0.0)).text(Characters(80)), "");
}

#[test]
fn the_column_in_force_is_the_last_that_has_begun() {
    let written = tab(&sample::solo());
    let (bar, column) = written.column_at(crate::theory::Beats(3.2)).expect("a column");
    assert!((written.bars[bar].columns[column].at.0 - 3.0).abs() < 1e-9);
}

#[test]
fn the_words_of_a_control_name_the_limb() {
    assert_eq!(super::control_words(Control::RightKneeLeft), "right knee left");
}

fn plucks() -> impl Strategy<Value = Vec<(u32, u8)>> {
    proptest::collection::btree_set((0_u32..64, 1_u8..=10), 1..40).prop_map(|set| set.into_iter().collect())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_pluck_stands_in_exactly_one_cell_and_one_system(
        plucks in plucks(), width in 20_usize..120, bar in 0.0_f64..12.0, glide in 0.0_f64..16.0,
    ) {
        let mut p = still(bar);
        p.bar.turns = vec![turn(glide, 0.7, 9.0)];
        p.plucks = plucks.iter().map(|(step, s)| pluck(f64::from(*step) / 4.0, *s)).collect();
        let tab = tab(&p);
        let picks = |cells: &[Vec<Mark>]| cells.iter().flatten().filter(|m| matches!(m, Mark::Pick { .. })).count();
        let all: usize = tab.bars.iter().flat_map(|b| &b.columns).map(|c| picks(&c.cells)).sum();
        prop_assert_eq!(all, plucks.len());
        let laid: usize = tab
            .systems(Characters(width))
            .iter()
            .flat_map(|s| &s.pieces)
            .flat_map(|piece| &tab.bars[piece.bar].columns[piece.columns.clone()])
            .map(|c| picks(&c.cells))
            .sum();
        prop_assert_eq!(laid, plucks.len());
        prop_assert!(plucks.iter().all(|(_, s)| *s == string(*s).number()));
    }
}
