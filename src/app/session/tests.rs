//! What commands make of a session.

use super::*;
use crate::app::{Kept, PassId};
use crate::app::{LoopBars, View};
use crate::solo::request::Ending;
use crate::solo::{Level, Pass};
use crate::steel::{ChangeId, StringNumber};

fn session() -> Session {
    Session::new(Work::on("key A; 1 4 5 1"), Desk::default())
}

fn write(text: &str, run: Option<u64>) -> Command {
    Command::WriteChart {
        text: text.to_owned(),
        run,
    }
}

#[test]
fn every_change_of_the_work_can_be_undone_and_done_again() {
    let changes = [
        write("1 1 1 1", None),
        Command::AskFeel("blues".to_owned()),
        Command::AskFret {
            point: ArcPoint::High,
            fret: 20,
            run: None,
        },
        Command::AskDensity {
            density: 0.9,
            run: None,
        },
        Command::AskBlend {
            blend: Some(Blend {
                with: "ballad".to_owned(),
                part: 0.25,
            }),
            run: None,
        },
        Command::SaveAttitude("Late set".to_owned()),
        Command::RenameAttitude {
            from: "Late set".to_owned(),
            to: "Last call".to_owned(),
        },
        Command::AskBlend { blend: None, run: None },
        Command::TakeAttitude("Last call".to_owned()),
        Command::DropAttitude("Last call".to_owned()),
        Command::AskEnding(Ending::Unison),
        Command::AskBars(Some(1..3)),
        Command::AskChange {
            change: ChangeId(1),
            wanted: false,
        },
        Command::AskString {
            string: StringNumber::new(4).unwrap(),
            favoured: true,
        },
        Command::AskMotif("3 5 x".parse().ok()),
        Command::AskLevel(Level::Beginner),
        Command::AskMelody("3 2 | +1:2".parse().ok()),
        Command::AskAnew,
        Command::HasChange {
            name: "C".to_owned(),
            has: false,
        },
        Command::ChooseInstrument("c6".to_owned()),
    ];
    let mut session = session();
    let mut seen = vec![session.work().clone()];
    for change in changes {
        session.apply(change);
        seen.push(session.work().clone());
    }
    for earlier in seen.iter().rev().skip(1) {
        session.apply(Command::Undo);
        assert_eq!(session.work(), earlier);
    }
    assert!(!session.can_undo());
    for later in seen.iter().skip(1) {
        session.apply(Command::Redo);
        assert_eq!(session.work(), later);
    }
    assert!(!session.can_redo());
}

#[test]
fn undo_leaves_the_desk_alone() {
    let mut session = session();
    session.apply(write("1", None));
    session.apply(Command::Show(View::Neck));
    session.apply(Command::Speed(75));
    session.apply(Command::Undo);
    assert_eq!((session.desk().view, session.desk().speed), (View::Neck, 75));
}

#[test]
fn a_change_that_changes_nothing_is_not_remembered() {
    let mut session = session();
    session.apply(write("key A; 1 4 5 1", None));
    session.apply(Command::AskFeel(session.work().request.feel.clone()));
    assert!(!session.can_undo());
}

#[test]
fn a_run_of_typing_is_one_step_and_a_drag_after_it_another() {
    let mut session = session();
    session.apply(write("1", Some(1)));
    session.apply(write("1 4", Some(1)));
    session.apply(Command::AskDensity {
        density: 0.1,
        run: Some(1),
    });
    session.apply(Command::AskDensity {
        density: 0.2,
        run: Some(1),
    });
    session.apply(Command::Undo);
    assert_eq!(&*session.work().chart, "1 4");
    session.apply(Command::Undo);
    assert_eq!(&*session.work().chart, "key A; 1 4 5 1");
}

#[test]
fn the_compared_passes_change_places_when_the_other_is_looked_at() {
    let mut session = session();
    (0..2).for_each(|_| session.apply(Command::Keep(kept())));
    session.apply(Command::Choose(Chosen::Kept(0)));
    session.apply(Command::Compare(Some(Chosen::Kept(0))));
    assert_eq!(session.desk().compared.with, None, "not with itself");
    session.apply(Command::Compare(Some(Chosen::Kept(1))));
    session.apply(Command::HearOther(true));
    assert!(session.desk().compared.hears_other);
    session.apply(Command::Choose(Chosen::Kept(1)));
    assert_eq!(session.desk().compared.with, Some(Chosen::Kept(0)));
    assert!(!session.desk().compared.hears_other);
    session.apply(Command::LetGo(0));
    assert_eq!(session.desk().compared.with, None);
}

#[test]
fn the_speed_climbs_from_the_lowest_rung_a_round_at_a_time() {
    let mut session = session();
    let mut rehearsal = Rehearsal {
        climbing: true,
        ..Rehearsal::default()
    };
    rehearsal.ladder.rounds = 2;
    session.apply(Command::Rehearse(rehearsal));
    let mut heard = Vec::new();
    for _ in 0..4 {
        heard.push(session.desk().speed);
        session.apply(Command::Round);
    }
    assert_eq!(heard, [60, 60, 65, 65]);
    let muted = Rehearsal {
        muted: true,
        ..session.desk().rehearsal
    };
    session.apply(Command::Rehearse(muted));
    assert_eq!(session.desk().speed, 70, "another wish leaves the rung alone");
}

#[test]
fn what_is_asked_stays_within_its_range() {
    let mut session = session();
    session.apply(Command::AskFret {
        point: ArcPoint::Start,
        fret: 99,
        run: None,
    });
    session.apply(Command::AskDensity {
        density: f64::NAN,
        run: None,
    });
    session.apply(Command::Speed(5));
    assert_eq!(session.work().request.start_fret, LAST_FRET);
    assert_eq!(session.work().request.density, 0.5);
    assert_eq!(session.desk().speed, 30);
}

fn kept() -> Arc<Kept> {
    let pass = Pass {
        moves: Vec::new(),
        request: crate::solo::Request::default(),
        length: crate::theory::Beats(16.0),
    };
    Arc::new(Kept::drafted(pass, "key A; 1 4 5 1".into(), "e9".to_owned()))
}

fn revise(of: Revised, words: &str) -> Command {
    let pass = Arc::new(kept().pass.clone());
    let words = words.into();
    Command::Revise { of, pass, words }
}

#[test]
fn a_revised_draft_is_kept_with_what_came_of_it_and_looked_at() {
    let mut session = session();
    session.apply(revise(Revised::Draft(kept()), "half as long a slide"));
    session.apply(revise(Revised::Kept(PassId(1)), "one repeat fewer"));
    assert_eq!(session.desk().chosen, Chosen::Kept(2));
    assert_eq!(session.work().kept.way_to(2), [0, 1, 2]);
    session.apply(Command::Undo);
    assert_eq!(session.desk().chosen, Chosen::Kept(1));
    session.apply(Command::Undo);
    assert_eq!(
        (session.desk().chosen, session.work().kept.len()),
        (Chosen::Drafted(0), 0)
    );
}

#[test]
fn letting_another_pass_go_keeps_the_one_that_is_looked_at() {
    let mut session = session();
    (0..3).for_each(|_| session.apply(Command::Keep(kept())));
    session.apply(Command::Choose(Chosen::Kept(2)));
    session.apply(Command::LetGo(0));
    assert_eq!(session.desk().chosen, Chosen::Kept(1));
    session.apply(Command::LetGo(1));
    assert_eq!(session.desk().chosen, Chosen::Drafted(0));
}

#[test]
fn stars_and_notes_are_work_and_can_be_undone() {
    let mut session = session();
    session.apply(Command::Keep(kept()));
    let pass = PassId(0);
    session.apply(Command::Star { pass, stars: 9 });
    session.apply(Command::Annotate {
        pass,
        note: "for the bridge".to_owned(),
        run: None,
    });
    let own = session.work().kept.get(0).unwrap();
    assert_eq!((own.stars, own.note.as_str()), (MOST_STARS, "for the bridge"));
    session.apply(Command::Undo);
    session.apply(Command::Undo);
    assert_eq!(session.work().kept.get(0).unwrap().stars, 0);
}

#[test]
fn another_song_has_no_loop_yet() {
    let mut session = session();
    session.apply(Command::Loop(Some(LoopBars { from: 0, to: 1 })));
    session.apply(Command::OpenSong {
        chart: "key C; 1".to_owned(),
        feel: Some("ballad".to_owned()),
    });
    assert_eq!(session.desk().looped, None);
    assert_eq!(session.work().request.feel, "ballad");
}

#[test]
fn an_attitude_is_never_mixed_with_itself() {
    let mut session = session();
    let own = session.work().request.feel.clone();
    let mixed = |with: &str, part: f64| Command::AskBlend {
        blend: Some(Blend {
            with: with.to_owned(),
            part,
        }),
        run: None,
    };
    session.apply(mixed(&own, 0.5));
    assert_eq!(session.work().request.blend, None);
    session.apply(mixed("blues", 7.0));
    assert_eq!(session.work().request.blend.as_ref().map(|b| b.part), Some(1.0));
    session.apply(Command::AskFeel("blues".to_owned()));
    assert_eq!(session.work().request.blend, None);
}
