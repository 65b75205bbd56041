//! Projects of every version there has been are opened, and damaged ones as far as they go.

use super::*;
use crate::app::lineage::Kept;
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::solo::{Kind, Move, Pass, Request};
use crate::steel::{ChangeId, Fret, Place, Slant, Stance, StringNumber};
use crate::theory::Beats;
use proptest::prelude::*;
use std::sync::Arc;

fn pass() -> Pass {
    let grip = Grip {
        place: Place::straight(8, Stance::OPEN.with(ChangeId(0))),
        strings: [5, 6].into_iter().filter_map(StringNumber::new).collect(),
    };
    let slid = Arrival::Slid {
        from: Fret(6.0),
        time: Beats(0.25),
    };
    let stroke = Stroke::struck(grip, Beats::ZERO, Beats(1.0 / 3.0)).arriving(slid);
    Pass {
        moves: vec![Arc::new(Move {
            kind: Kind::SlideIn,
            at: Beats(1.1),
            length: Beats(2.0),
            strokes: vec![stroke],
            locked: false,
        })],
        request: Request::default(),
        length: Beats(16.0),
    }
}

fn project() -> Project {
    let mut first = Work::on("Mill Song, key Eb; 1 4 5 1");
    first.rig.set_has("C", false);
    first.rig.set_way("pedals", "cba");
    first.request.bars = Some(1..3);
    let chart = first.chart.clone();
    first.kept.keep(Kept::drafted(pass(), chart, "e9".to_owned()));
    Project::of(vec![first, Work::on("key A; 1")])
}

#[test]
fn everything_comes_back_as_it_was_saved() {
    let opened = Project::from_text(&project().to_text()).unwrap();
    assert_eq!(
        opened,
        Opened {
            project: project(),
            notes: Vec::new()
        }
    );
}

#[test]
fn the_players_own_attitudes_come_back() {
    let mut work = Work::on("key A; 1");
    work.request.blend = Some(crate::solo::Blend {
        with: "ballad".to_owned(),
        part: 0.3,
    });
    work.attitudes.save("Late set", &work.request);
    let opened = Project::from_text(&Project::of(vec![work.clone()]).to_text()).unwrap();
    assert_eq!(opened.project.songs, [work]);
}

#[test]
fn a_file_of_each_earlier_form_still_opens() {
    // The first project file, and the work as the first version kept it on the device.
    let file = Project::from_text(include_str!("schema-1.json")).unwrap();
    assert_eq!(
        file,
        Opened {
            project: project(),
            notes: Vec::new()
        }
    );
    let device = Project::from_text(include_str!("device-1.json")).unwrap();
    assert_eq!(&*device.project.songs[0].chart, "key Eb; 1 4 5 1");
    assert_eq!(device.project.songs[0].request.feel, "blues");
    assert_eq!(device.notes, Vec::<&str>::new());
}

#[test]
fn a_slanted_bar_comes_back_from_a_file_that_the_first_version_leaves_alone() {
    let mut slanted = pass();
    let action = Arc::make_mut(&mut slanted.moves[0]);
    let [hold, turn] = [2, 4].map(|s| StringNumber::new(s).unwrap());
    action.strokes[0].grip.place.stance = Stance::OPEN;
    action.strokes[0].grip.place.slant = Some(Slant { hold, turn, frets: 1 });
    let mut work = Work::on("key C; 1 4 5 1");
    let chart = work.chart.clone();
    work.kept.keep(Kept::drafted(slanted, chart, "c6-lap-6".to_owned()));
    let text = Project::of(vec![work.clone()]).to_text();
    assert_eq!(Project::from_text(&text).unwrap().project.songs, [work]);
    // The first version refuses what is above its own, and opens the chart alone.
    let file: Value = serde_json::from_str(&text).unwrap();
    assert!(file["schema"].as_u64() > Some(1));
}

#[test]
fn what_this_version_does_not_know_is_written_again() {
    let text = project()
        .to_text()
        .replacen("\"songs\"", "\"lessons\": {\"first\": [1, 2.5]}, \"songs\"", 1);
    let opened = Project::from_text(&text).unwrap().project;
    let again = Project::from_text(&opened.to_text()).unwrap().project;
    assert_eq!(again.other["lessons"]["first"][1], 2.5);
    assert_eq!(again, opened);
}

#[test]
fn a_newer_form_is_left_alone_but_its_charts_can_be_had() {
    let text = project().to_text().replacen("\"schema\": 2", "\"schema\": 99", 1);
    let charts = vec!["Mill Song, key Eb; 1 4 5 1".to_owned(), "key A; 1".to_owned()];
    assert_eq!(Project::from_text(&text), Err(ProjectError::Newer { charts }));
}

#[test]
fn a_spoiled_part_costs_only_itself() {
    let text = project().to_text().replace("\"strength\": 0.7", "\"strength\": 1e200");
    let opened = Project::from_text(&text).unwrap();
    assert_eq!(opened.project.songs.len(), 2);
    assert!(opened.project.songs[0].kept.is_empty());
    assert_eq!(
        opened.notes,
        ["Song 1 has a kept pass, number 1, that can't be read: its move 1 is out of range."]
    );

    let text = project()
        .to_text()
        .replacen("\"density\": 0.5", "\"density\": \"much\"", 1);
    let opened = Project::from_text(&text).unwrap();
    assert_eq!(&*opened.project.songs[0].chart, "Mill Song, key Eb; 1 4 5 1");
    assert!(
        opened.notes[0]
            .english()
            .starts_with("Song 1 could be read in part only"),
        "{:?}",
        opened.notes
    );
}

#[test]
fn what_is_no_project_is_told_with_its_place() {
    assert_eq!(
        Project::from_text("{\n  1"),
        Err(ProjectError::NotJson { line: 2, column: 3 })
    );
    for text in ["[]", "{}", "{\"leadbar\":\"project\"}", "{\"work\":{}}", "7"] {
        assert_eq!(Project::from_text(text), Err(ProjectError::NotAProject), "{text}");
    }
    let deep = "[".repeat(100_000);
    assert!(matches!(Project::from_text(&deep), Err(ProjectError::NotJson { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,200}") {
        let _ = Project::from_text(&text);
    }

    #[test]
    fn a_project_with_any_one_character_changed_is_read_or_refused(at in 0_usize..4000, with in "[ -~]") {
        let mut text = project().to_text();
        let at = at % text.len();
        text.replace_range(at..=at, &with);
        let _ = Project::from_text(&text);
    }
}
