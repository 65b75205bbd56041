use super::*;
use crate::app::Session;
use crate::app::desk::Desk;
use crate::app::reading::Reading;
use crate::app::songs::DEMO_SONGS;
use crate::app::work::Work;
use crate::listen::song::{Part, Recording, hear};
use crate::solo::Performance;
use crate::sound::{Command as Sound, Player, SampleRate, Score};
use crate::theory::Metre;
use std::sync::{Arc, LazyLock};

const RATE: SampleRate = SampleRate(22_050.0);

/// What is heard of twelve bars that the band plays.
static HEARD: LazyLock<Hearing> = LazyLock::new(|| {
    let song = Reading::of("key A, 120; 1 4 1 1 / 4 4 1 1 / 5 4 1 5")
        .song
        .expect("a song");
    let instrument = Work::on("1").rig.built().expect("an instrument");
    let silent = Performance::silent(song.length(), instrument.changes.len());
    let mut player = Player::new(RATE);
    player.command(Sound::Load(Arc::new(Score::new(instrument, silent, (*song).clone()))));
    player.command(Sound::CountIn { bars: 0 });
    player.command(Sound::Play {
        from: crate::theory::Beats::ZERO,
    });
    let mut left = vec![0.0; 25 * 22_050];
    let mut right = left.clone();
    player.process(&mut left, &mut right);
    let heard = hear(&Recording::of(left, RATE), |_| true).expect("it is heard");
    let source = Source {
        name: "night_take 2.wav".to_owned(),
        key: "night".to_owned(),
        length: Seconds(25.0),
    };
    Hearing::new(source, heard)
});

#[test]
fn corrections_come_back_from_text_and_what_is_damaged_is_let_go() {
    let mut hearing = HEARD.clone();
    hearing.correct(Correction::Chord {
        bar: 4,
        part: Part::Whole,
        chord: None,
    });
    hearing.correct(Correction::Later);
    let text = hearing.to_text();
    let back = Hearing::from_text(&text).expect("whole");
    assert_eq!((back.song(), back.source()), (hearing.song(), hearing.source()));
    assert!(!back.can_undo());
    // It can be corrected further.
    let mut further = back;
    further.correct(Correction::Earlier);
    assert_ne!(further.song(), hearing.song());
    for spoilt in [
        text.replace("\"schema\":1", "\"schema\":9"),
        text.replace("\"first\":", "\"first\":99999"),
        text.replace("\"said\":[", "\"said\":[\"Nothing\","),
        text[..text.len() / 2].to_owned(),
        String::new(),
    ] {
        assert!(Hearing::from_text(&spoilt).is_none());
    }
}

#[test]
fn what_is_heard_becomes_the_song_with_its_recording_and_undo_brings_the_old_one_back() {
    let mut session = Session::new(Work::on(DEMO_SONGS[1].chart), Desk::default());
    let before = session.work().clone();
    session.apply(HEARD.command());
    let work = session.work();
    let reading = Reading::of(&work.chart);
    assert!(reading.problems.is_empty(), "{:?}", reading.problems);
    assert_eq!(reading.title.as_deref(), Some("night take 2"));
    let song = reading.song.expect("a song");
    let backing = work.recording.as_ref().expect("a recording");
    let clock = backing.clock(&song).expect("its marks go together");
    for (bar, heard) in song.bars.iter().zip(&HEARD.song().bars) {
        assert!((clock.time(bar.start) - heard.at).0.abs() < 0.03, "{}", heard.at.0);
    }
    assert_ne!(work.song, before.song);
    session.apply(Command::Undo);
    assert_eq!(*session.work(), before);
}

#[test]
fn the_chart_is_that_of_what_was_played() {
    let numbers: Vec<String> = HEARD
        .cards()
        .iter()
        .map(|heard| heard.card.chords[0].figure.degree.clone())
        .collect();
    assert_eq!(numbers.join(" "), "1 4 1 1 4 4 1 1 5 4 1 5");
    assert!(
        HEARD.summary().english().starts_with("12 bars in A, 4/4, "),
        "{}",
        HEARD.summary().english()
    );
}

#[test]
fn a_correction_is_taken_back_and_done_again() {
    let mut hearing = HEARD.clone();
    let other = hearing
        .candidates(2, Part::Whole)
        .into_iter()
        .find(|c| !c.stands)
        .expect("another");
    let said = Correction::Chord {
        bar: 2,
        part: Part::Whole,
        chord: other.chord,
    };
    hearing.correct(said);
    assert_eq!(hearing.cards()[2].sureness, Sureness::Said);
    assert!(
        hearing
            .candidates(2, Part::Whole)
            .iter()
            .any(|c| c.stands && c.chord == other.chord)
    );
    hearing.undo();
    assert_eq!(hearing.song(), HEARD.song());
    assert!(!hearing.can_undo() && hearing.can_redo());
    hearing.redo();
    assert_eq!(hearing.cards()[2].sureness, Sureness::Said);
}

#[test]
fn what_changes_nothing_leaves_nothing_to_take_back() {
    let mut hearing = HEARD.clone();
    hearing.correct(Correction::Metre(Metre::COMMON));
    hearing.correct(Correction::Metre(Metre { count: 7, unit: 8 }));
    assert!(!hearing.can_undo());
}

#[test]
fn each_bar_offers_its_likeliest_chords_with_the_one_that_stands_and_none() {
    for bar in 0..HEARD.cards().len() {
        let all = HEARD.candidates(bar, Part::First);
        assert_eq!(all.len(), 6);
        assert_eq!(all.iter().filter(|candidate| candidate.stands).count(), 1);
        assert!(all.last().is_some_and(|last| last.chord.is_none()));
    }
}

#[test]
fn the_unsure_bars_are_gone_through_in_turn() {
    let all: Vec<usize> = (0..HEARD.cards().len())
        .filter(|bar| HEARD.cards()[*bar].sureness.is_unsure())
        .collect();
    assert_eq!(HEARD.unsure(), all.len());
    let mut at = None;
    for expected in all.iter().chain(all.first()) {
        at = HEARD.next_unsure(at);
        assert_eq!(at, Some(*expected));
    }
}

#[test]
fn a_candidate_is_a_bar_of_the_band_in_the_songs_tempo() {
    let instrument = Work::on("1").rig.built().expect("an instrument");
    let chord = HEARD.candidates(0, Part::Whole)[0].chord.expect("a chord");
    let trial = HEARD.trial(chord, &instrument);
    assert_eq!(trial.timeline.bars.len(), 1);
    assert_eq!(trial.timeline.spans[0].chord, chord);
    assert_eq!(trial.timeline.tempo, HEARD.song().tempo);
}

#[test]
fn a_file_of_any_name_gives_a_chart_that_reads() {
    for name in [
        "",
        ".wav",
        "1 4 5.mp3",
        "key C, 4/4; \"x\".flac",
        "a/b\\c;d.ogg",
        "Ünïcode 夜.m4a",
    ] {
        let source = Source {
            name: name.to_owned(),
            ..HEARD.source().clone()
        };
        let hearing = Hearing::new(source, HEARD.song().clone());
        let reading = Reading::of(&hearing.chart());
        assert!(reading.problems.is_empty(), "{name}: {:?}", reading.problems);
        assert_eq!(reading.song.expect("a song").bars.len(), 12, "{name}");
    }
}
