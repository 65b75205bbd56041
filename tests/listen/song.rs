//! Charts heard from the band of `sound`, which plays them from a chart.

use leadbar::app::DEMO_SONGS;
use leadbar::app::reading::Reading;
use leadbar::listen::song::{HeardSong, Recording, Unheard, hear};
use leadbar::sound::{SampleRate, Score};
use leadbar::theory::{Beats, Chord, Seconds, SongClock, Timeline};
use std::sync::LazyLock;

const RATE: f64 = 22_050.0;

/// The song of a chart, played by the band alone.
fn played(song: &Timeline) -> Recording {
    let end = song.bars.last().map_or(Beats::ZERO, |bar| bar.start + bar.metre.bar());
    let seconds = end.at(song.tempo).0 + 1.0;
    let silent = crate::sound_support::playing(end.0, 0.0, Vec::new());
    let score = Score::new(crate::sound_support::instrument(), silent, song.clone());
    Recording::of(
        crate::sound_support::render(score, RATE, seconds, &[]),
        SampleRate(RATE),
    )
}

/// Demo songs with what was heard of them.
static HEARD: LazyLock<Vec<(&'static str, Timeline, HeardSong)>> = LazyLock::new(|| {
    DEMO_SONGS
        .iter()
        .map(|demo| {
            let song = Timeline::clone(&Reading::of(demo.chart).song.expect("a song"));
            let heard = hear(&played(&song), |_| true).expect("it is heard");
            println!("{}:\n{}", demo.name, heard.chart());
            (demo.id, song, heard)
        })
        .collect()
});

/// The chord heard at a beat of the song.
fn heard_at(heard: &HeardSong, song: &Timeline, at: Beats) -> Option<Chord> {
    let clock = SongClock::through(heard.anchors()).expect("a clock");
    let time = at.at(song.tempo);
    let beat = clock.beat(time).0;
    let bar = (beat / heard.metre.bar().0).floor();
    let mut left = beat - bar * heard.metre.bar().0;
    let bar = heard.bars.get(bar as usize)?;
    bar.chords
        .iter()
        .find(|chord| {
            left -= f64::from(chord.beats);
            left < 0.0
        })?
        .chord
}

#[test]
fn key_metre_and_tempo_of_the_demo_songs_are_heard() {
    for (id, song, heard) in HEARD.iter() {
        assert_eq!(heard.metre, song.bars[0].metre, "{id}");
        assert!(
            (heard.tempo.0 / song.tempo.0 - 1.0).abs() < 0.04,
            "{id}: {} {}",
            heard.tempo,
            song.tempo
        );
        assert_eq!(heard.key.to_string(), song.key.to_string(), "{id}");
        assert!(heard.tuning.0.0.abs() < 6.0, "{id}: {:?}", heard.tuning);
    }
}

#[test]
fn the_chords_of_the_demo_songs_are_heard() {
    let (mut right, mut all) = (0, 0);
    for (id, song, heard) in HEARD.iter() {
        let (mut here, mut of) = (0, 0);
        for span in &song.spans {
            let chord = heard_at(heard, song, span.start + span.length.scaled(0.5));
            here += usize::from(chord.is_some_and(|c| c.root.class() == span.chord.root.class()));
            of += 1;
        }
        println!("{id}: {here} of {of} roots");
        right += here;
        all += of;
    }
    assert!(right * 100 >= all * 92, "{right} of {all}");
}

#[test]
fn what_was_heard_is_a_chart_that_reads_back() {
    for (id, _, heard) in HEARD.iter() {
        let text = heard.chart().to_string();
        let parsed = leadbar::theory::chart::parse(&text);
        assert!(parsed.problems.is_empty(), "{id}: {:?}", parsed.problems);
        assert_eq!(parsed.chart, heard.chart(), "{id}");
        assert_eq!(parsed.chart.timeline().bars.len(), heard.bars.len(), "{id}");
    }
}

#[test]
fn every_chord_says_how_sure_it_is_and_what_else_it_could_be() {
    for (_, _, heard) in HEARD.iter() {
        for chord in heard.bars.iter().flat_map(|bar| &bar.chords) {
            assert!((0.0..=1.0).contains(&chord.confidence));
            assert_eq!(chord.others.len(), 4);
            assert!(chord.others.iter().all(|other| Some(*other) != chord.chord));
        }
    }
}

#[test]
fn too_little_silence_and_a_no_are_said_so() {
    let short = Recording::of(vec![0.1; 22_050], SampleRate(RATE));
    assert_eq!(hear(&short, |_| true), Err(Unheard::TooShort(1.0)));
    let silence = Recording::of(vec![0.0; 22_050 * 8], SampleRate(RATE));
    assert_eq!(hear(&silence, |_| true), Err(Unheard::NoBeat));
    assert_eq!(hear(&silence, |_| false), Err(Unheard::Stopped));
    assert_eq!(silence.length(), Seconds(8.0));
}
