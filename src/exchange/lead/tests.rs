//! Lead sheets are read; our own files read back as the song they were made of.

use super::*;
use crate::exchange::midi::{self, Layout};
use crate::exchange::musicxml::{self, ChordNames};
use crate::sample;
use crate::solo::Performance;
use crate::theory::chart;
use proptest::prelude::*;

const SONGS: [&str; 4] = [
    "Mill Song, key A, 132; Verse: 1 1 4 1 / b7 4 1 5",
    "key Em, 90, 3/4; 1- (b3 b7) 4-7 57",
    "key Ab, 84, 6/8; 1 4- 1maj7 57sus4 5/7 1",
    "key C; 1... 5. 6- [2/4] 4 5+ 1add9",
];

/// What sounds: the chord and its moment, from the first chord on.
fn sounding(text: &str) -> Vec<(String, i64)> {
    let song = chart::parse(text).chart.timeline();
    let mut found: Vec<(String, i64)> = Vec::new();
    for span in &song.spans {
        let name = span.chord.symbol();
        if found.last().is_none_or(|(last, _)| *last != name) {
            found.push((name, (span.start.0 * 100.0).round() as i64));
        }
    }
    found
}

fn silence(text: &str) -> (Performance, crate::theory::Timeline) {
    let song = chart::parse(text).chart.timeline();
    (Performance::silent(song.length(), sample::e9().changes.len()), song)
}

#[test]
fn our_own_files_read_back_as_the_song_they_were_made_of() {
    for text in SONGS {
        let (p, song) = silence(text);
        let title = chart::parse(text).chart.title;
        let midi = midi::write(&p, &sample::e9(), &song, title.as_deref(), Layout::PerString);
        let score = musicxml::write(&p, &sample::e9(), &song, title.as_deref(), ChordNames::Letters);
        for lead in [of_midi(&midi).unwrap(), of_score(&score).unwrap()] {
            assert_eq!(sounding(&lead.chart), sounding(text), "{}", lead.chart);
            assert_eq!(lead.notes, Vec::<&str>::new());
            let read = chart::parse(&lead.chart);
            assert!(read.problems.is_empty(), "{}", lead.chart);
            assert_eq!(
                (read.chart.key, read.chart.metre),
                (song.key, song.bars[0].metre),
                "{}",
                lead.chart
            );
        }
    }
}

#[test]
fn a_bar_of_more_chords_than_any_song_has_is_refused_by_its_number() {
    let chord = "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>";
    let score = |second: usize| {
        let crowd = chord.repeat(second);
        format!("<score-partwise><part><measure>{chord}</measure><measure>{crowd}</measure></part></score-partwise>")
    };
    assert_eq!(
        of_score(&score(50_000)),
        Err(LeadError::TooManyChords { bar: 2, most: 64 })
    );
    assert!(of_score(&score(64)).is_ok());
}

#[test]
fn a_chord_that_has_no_sign_of_its_own_is_told_with_its_bar() {
    let score = "<score-partwise><part id='P1'><measure><harmony><root><root-step>G</root-step></root>\
                 <kind>French</kind></harmony></measure></part></score-partwise>";
    let lead = of_score(score).unwrap();
    assert_eq!(lead.notes, ["Bar 1: \"G French\" is written as G."]);
}

#[test]
fn files_without_chords_and_damaged_ones_say_so() {
    assert_eq!(of_score("<score-partwise/>"), Err(LeadError::NoChords));
    assert!(matches!(of_score("<a></b>"), Err(LeadError::Damaged(_))));
    assert!(matches!(of_score(&"<a>".repeat(100_000)), Err(LeadError::Damaged(_))));
    assert!(matches!(of_midi(b"MThd"), Err(LeadError::Damaged(_))));
    let (p, mut song) = silence(SONGS[0]);
    song.spans.clear();
    assert_eq!(
        of_midi(&midi::write(&p, &sample::e9(), &song, None, Layout::Plain)),
        Err(LeadError::NoChords)
    );
}

#[test]
fn time_in_film_frames_is_refused_however_it_is_written() {
    let (p, song) = silence(SONGS[0]);
    let mut file = midi::write(&p, &sample::e9(), &song, None, Layout::Plain);
    for frames in [0x80, 0xe2, 0xe8, 0xff] {
        file[12] = frames;
        let told = of_midi(&file).expect_err("no beats are counted");
        assert!(told.to_string().contains("film frames"), "{told}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..400), at in 0_usize..2000, with: u8) {
        let _ = of_midi(&bytes);
        let _ = of_score(&String::from_utf8_lossy(&bytes));
        let (p, song) = silence(SONGS[1]);
        let mut file = midi::write(&p, &sample::e9(), &song, None, Layout::Plain);
        let place = at % file.len();
        file[place] = with;
        if let Ok(lead) = of_midi(&file) {
            prop_assert!(chart::parse(&lead.chart).chart.timeline().bars.len() <= chart::MOST_BARS);
        }
        let mut score = musicxml::write(&p, &sample::e9(), &song, None, ChordNames::Letters).into_bytes();
        let place = at % score.len();
        score[place] = with;
        let _ = of_score(&String::from_utf8_lossy(&score));
    }
}
