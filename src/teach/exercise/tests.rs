//! What holds of every kind of exercise.

use super::*;
use crate::steel::instrument::shipped;

/// What a course from a first number to a finished solo has to ask; answered by all of `Kind`, and by nothing twice.
#[test]
fn every_skill_of_the_course_has_its_kind_of_exercise() {
    let skills = [
        ("name the chord of a number in a key", Kind::NameChord),
        ("and back", Kind::NameNumber),
        ("spot the wrong chord", Kind::SpotWrong),
        ("find a chord on the neck", Kind::FindChord),
        ("find three inversions going up", Kind::Inversions),
        ("which change was pressed, by ear", Kind::HearChange),
        ("which number was heard, by ear", Kind::HearNumber),
        ("which inversion, by ear", Kind::HearInversion),
        ("follow the progression by ear", Kind::FollowByEar),
        ("complete the voice leading", Kind::VoiceLead),
        ("fix the unplayable bar", Kind::FixBar),
        ("put the pedals to a melody", Kind::PutPedals),
        ("write an entrance", Kind::Entrance),
        ("climb from here to there", Kind::Climb),
        ("write an answer", Kind::Answer),
        ("make a one-change variation", Kind::Variation),
        ("end it", Kind::Ending),
        ("tune this string by beats", Kind::TuneBeats),
    ];
    let kinds: Vec<Kind> = skills.iter().map(|(_, kind)| *kind).collect();
    assert_eq!(kinds, Kind::ALL);
}

fn draws(kind: Kind) -> impl Iterator<Item = Task> {
    (0..12).map(move |seed| {
        Exercise::of(kind)
            .task(seed)
            .unwrap_or_else(|e| panic!("{kind} {seed}: {e}"))
    })
}

#[test]
fn every_kind_is_solved_by_its_model_answer_and_fails_its_typical_wrong_ones() {
    for kind in Kind::ALL {
        for task in draws(kind) {
            let mark = task.mark(&task.model_answer());
            assert!(
                mark.is_right(),
                "{kind} {}: {:?}\n{mark:#?}",
                task.seed,
                task.model_answer()
            );
            let wrong = task.typical_wrong();
            assert!(!wrong.is_empty(), "{kind} {}", task.seed);
            for answer in wrong {
                let mark = task.mark(&answer);
                assert!(!mark.is_right(), "{kind} {}: {answer:?}\n{mark:#?}", task.seed);
            }
        }
    }
}

#[test]
fn no_point_is_lost_without_a_reason_and_a_next_step() {
    for kind in Kind::ALL {
        for task in draws(kind) {
            for answer in task
                .typical_wrong()
                .iter()
                .chain([&Answer::Bar(1), &Answer::Places(Vec::new())])
            {
                for criterion in task.mark(answer).criteria {
                    let told = !criterion.why.is_empty() && !criterion.next.is_empty();
                    assert!(criterion.is_met() || told, "{kind} {}: {criterion:?}", task.seed);
                    assert!(criterion.points <= criterion.of);
                }
            }
        }
    }
}

#[test]
fn the_same_seed_draws_the_same_task_and_another_seed_another_one() {
    let drawn = |task: &Task| format!("{} {:?}", task.setting.chart, task.ask);
    for kind in Kind::ALL {
        let exercise = Exercise::of(kind);
        let texts: Vec<String> = draws(kind).map(|t| drawn(&t)).collect();
        for (seed, text) in (0_u64..).zip(&texts) {
            assert_eq!(&drawn(&exercise.task(seed).unwrap()), text);
        }
        let mut different = texts.clone();
        different.sort();
        different.dedup();
        assert!(
            different.len() > 5,
            "{kind}: {} different of {}",
            different.len(),
            texts.len()
        );
    }
}

#[test]
fn every_kind_says_what_it_wants_in_words_and_hints() {
    for kind in Kind::ALL {
        for task in draws(kind) {
            assert!(
                task.question().english().ends_with(['.', '?']),
                "{}",
                task.question().english()
            );
            assert!(
                task.hints().iter().all(|h| h.english().len() > 5),
                "{kind} {:?}",
                task.hints()
            );
            assert!(!kind.is_heard() || task.heard().is_some(), "{kind}");
            assert_eq!(kind.is_phrase(), matches!(task.input(), Input::Phrase(_)), "{kind}");
        }
    }
}

#[test]
fn an_instrument_that_cannot_do_it_is_told_so_and_never_panics() {
    for id in shipped::ids() {
        for kind in Kind::ALL {
            let exercise = Exercise {
                instrument: Some(id.to_owned()),
                ..Exercise::of(kind)
            };
            match exercise.task(3) {
                Ok(task) => assert!(task.mark(&task.model_answer()).is_right(), "{kind} on {id}"),
                Err(error) => assert!(error.to_string().contains("choose"), "{error}"),
            }
        }
    }
    let nobody = Exercise {
        instrument: Some("nobody".to_owned()),
        ..Exercise::of(Kind::FindChord)
    };
    assert_eq!(nobody.task(1), Err(TaskError::NoInstrument("nobody".to_owned())));
}

/// A pin: links carry seeds, so what a seed draws must not change unnoticed. Where it must, links need a new version.
#[test]
fn what_a_seed_draws_is_pinned() {
    let asked = |kind| Exercise::of(kind).task(1).unwrap().question().english();
    assert_eq!(asked(Kind::NameChord), "In the key of D, which chord is 1?");
    assert_eq!(
        asked(Kind::FindChord),
        "In Eb, hold the 1, which is Eb, anywhere on the neck."
    );
}
