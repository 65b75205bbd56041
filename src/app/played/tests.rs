use super::*;
use crate::listen::played::Intonation;
use crate::solo::{Curve, Finger, Pluck, Touch};
use crate::sound::amp::Amp;
use crate::sound::mix::Part;
use crate::sound::{Command, Mix, Player, SampleRate, Score};
use crate::theory::{Timeline, chart};

const RATE: SampleRate = SampleRate(44_100.0);
const TEMPO: Tempo = Tempo(90.0);

fn song() -> Timeline {
    chart::parse("key G, 90; 1 4 5 1").chart.timeline()
}

fn e9() -> Arc<Instrument> {
    Arc::new(Instrument::shipped("e9").unwrap())
}

/// One note a beat from the fourth beat on.
fn phrase() -> Performance {
    let pluck = |(n, string): (u32, u8)| Pluck {
        at: Beats(4.0 + f64::from(n)),
        string: StringNumber::new(string).unwrap(),
        finger: Finger::Middle,
        strength: 0.7,
        touch: Touch::Plain,
    };
    Performance {
        bar: Curve::holding(3.0),
        plucks: (0..6).zip([5, 4, 3, 4, 5, 6]).map(pluck).collect(),
        ..Performance::silent(Beats(12.0), e9().changes.len())
    }
}

/// The phrase as it is heard `late` seconds later, on a tape that begins 0.4 seconds before the song.
fn heard(performance: &Performance, late: f64) -> Take {
    let mut player = Player::new(RATE);
    player.load(Score::new((*e9()).clone(), performance.clone(), song()));
    let mut mix = Mix::default();
    for part in Part::ALL {
        mix.fader_mut(part).muted = part != Part::Solo;
    }
    player.command(Command::Mix(mix));
    player.command(Command::Amp(Amp::DIRECT));
    player.play(Beats::ZERO);
    let count = RATE.samples(Seconds(8.0)) as usize;
    let (mut left, mut right) = (vec![0.0; count], vec![0.0; count]);
    player.process(&mut left, &mut right);
    let mut tape = Tape::default();
    let silence = vec![0.0; RATE.samples(Seconds(0.4 + late)) as usize];
    tape.take(1000.0, &silence, RATE);
    tape.take(1000.0 + silence.len() as f64, &left, RATE);
    tape.cut(RATE, Beats::ZERO, 1000.0 + RATE.samples(Seconds(0.4)))
        .unwrap()
}

fn ask(take: Take, delay: Option<Seconds>) -> AskMarks {
    AskMarks {
        take,
        performance: Arc::new(phrase()),
        instrument: e9(),
        tempo: TEMPO,
        stretch: Beats(4.0)..Beats(8.0),
        delay,
    }
}

#[test]
fn a_phrase_played_as_written_is_all_right_and_only_its_stretch_is_marked() {
    let played = marks(&ask(heard(&phrase(), 0.12), Some(Seconds(0.12)))).unwrap();
    assert_eq!(played.score(), (4, 4), "{:?}", played.lines(&song()));
    assert!(played.spots().is_empty() && played.lines(&song()).is_empty());
    assert_eq!(played.summary().head, "4 of 4 notes as they should be");
}

#[test]
fn without_a_measured_delay_the_notes_are_marked_against_one_another() {
    let mut slipped = phrase();
    slipped.plucks[2].at += Beats(0.15);
    for unknown in [0.0, 0.19, 0.4] {
        let played = marks(&ask(heard(&phrase(), unknown), None)).unwrap();
        assert_eq!(played.score(), (4, 4), "{unknown}: {:?}", played.lines(&song()));
    }
    let played = marks(&ask(heard(&slipped, 0.09), None)).unwrap();
    let late: Vec<bool> = played.notes.iter().map(|n| !n.mark.on_time()).collect();
    assert_eq!(late, [false, false, true, false]);
    assert_eq!(played.summary().faults, ["1 late"]);
    let line = &played.lines(&song())[0];
    assert_eq!(line.place, "Bar 2, string 3");
    let words = line.words.english();
    assert!(words.starts_with("9") || words.starts_with("10"), "{words}");
    assert_eq!(played.spots().len(), 1);
}

#[test]
fn evidence_holds_the_figures_of_each_note_and_counts_as_the_marks_do() {
    let mut slipped = phrase();
    slipped.plucks[2].at += Beats(0.15);
    let played = marks(&ask(heard(&slipped, 0.12), Some(Seconds(0.12)))).unwrap();
    let evidence = played.evidence(100);
    assert!(evidence.delay_known && evidence.notes.len() == 4 && evidence.extra == 0);
    for (note, measured) in played.notes.iter().zip(&evidence.notes) {
        assert_eq!(note.string, measured.string);
        let (late, kept) = (note.mark.late.unwrap(), measured.late.unwrap());
        assert!((late.0 - kept.0).abs() <= 5.1e-5, "{late} {kept}");
    }
    let summary = played.summary();
    let (right, all) = played.score();
    assert_eq!(
        summary.head.english(),
        format!("{right} of {all} notes as they should be")
    );
    assert_eq!(summary.faults, ["1 late"]);
}

#[test]
fn silence_and_an_empty_stretch_are_refused_in_words() {
    let silent = Performance::silent(Beats(12.0), e9().changes.len());
    let refused = marks(&ask(heard(&silent, 0.0), Some(Seconds(0.0)))).unwrap_err();
    assert!(refused.0.english().contains("Nothing of the phrase was heard"));
    let nothing = AskMarks {
        stretch: Beats(0.0)..Beats(3.0),
        ..ask(heard(&phrase(), 0.0), Some(Seconds(0.0)))
    };
    assert!(marks(&nothing).unwrap_err().0.english().contains("nothing to play"));
}

#[test]
fn two_times_are_compared_by_their_right_notes() {
    let note = |right: bool| PlayedNote {
        string: StringNumber::FIRST,
        fret: Fret(3.0),
        at: Beats(0.0),
        end: Beats(1.0),
        mark: NoteMark {
            late: Some(Seconds(0.0)),
            intonation: Some(Intonation {
                off: Cents(if right { 1.0 } else { -20.0 }),
                tolerance: Cents(5.0),
            }),
            ..NoteMark::default()
        },
        course: Vec::new(),
    };
    let played = |rights: [bool; 3]| Played {
        notes: rights.map(note).to_vec(),
        ..Played::default()
    };
    let (worse, better) = (played([true, false, false]), played([true, true, false]));
    assert_eq!(better.beside(&worse), "1 more than the time before");
    assert_eq!(worse.beside(&better), "1 fewer than the time before");
    assert_eq!(worse.summary().faults, ["2 flat"]);
}
