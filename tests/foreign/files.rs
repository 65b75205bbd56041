//! Files that are opened, and what is kept on the device.

use super::texts::reads_again;
use super::{drafted, e9, song};
use leadbar::app::files::{self, Found};
use leadbar::app::project::Project;
use leadbar::app::reading::Reading;
use leadbar::app::shelf::{Label, Record, Setup, SongId, Taken, When};
use leadbar::app::snapshot::Snapshot;
use leadbar::app::{Desk, Kept, Shown, Work};
use leadbar::exchange::lead::{self, Lead};
use leadbar::exchange::midi::{self as midi_file, Layout};
use leadbar::exchange::musicxml::{self as score, ChordNames};
use leadbar::exchange::tab::{Characters, Signs, Tab};
use leadbar::solo::Performance;
use leadbar::steel::Instrument;
use leadbar::theory::{Timeline, chart};
use std::sync::Arc;

/// Whatever opens can be put to use, and is saved as a project that opens alike.
pub(super) fn project(bytes: &[u8]) {
    match files::open(bytes) {
        Ok(Found::Songs(opened)) => {
            for work in &opened.project.songs {
                put_to_use(work);
            }
            let again = Project::from_text(&opened.project.to_text()).expect("what was opened is saved");
            assert_eq!((again.project, again.notes), (opened.project, Vec::new()));
        }
        Ok(Found::Chart { text, .. }) => assert!(Reading::of(&text).song.is_some(), "{text}"),
        Ok(Found::Instrument(found)) => reads_again(*found),
        Err(told) => assert!(!told.is_empty()),
    }
}

/// Draws, writes and plays all there is in a piece of work.
pub(super) fn put_to_use(work: &Work) {
    let Some(instrument) = work.rig.built() else { return };
    let _ = work.rig.tuning(&instrument);
    let song = Reading::of(&work.chart).song;
    if let (Some(song), Some(recording)) = (song, &work.recording) {
        let _ = recording.clock(&song);
    }
    for kept in work.kept.iter().take(4) {
        if let Some(song) = Reading::of(&kept.chart).song {
            play(kept, &song, &instrument);
        }
    }
}

fn play(kept: &Kept, song: &Timeline, instrument: &Instrument) {
    let pass = Arc::new(kept.pass.clone());
    let shown = Shown::of(&pass, song, instrument).expect("the limits");
    let p = &shown.performance;
    let _ = shown.why(0, song, instrument);
    let _ = Tab::of(p, instrument, song, Signs::Letters).text(Characters(80));
    for layout in Layout::ALL {
        let _ = midi_file::write(p, instrument, song, None, layout);
    }
    let _ = score::write(p, instrument, song, None, ChordNames::Letters);
}

/// A small project with a pass kept, and the first form of one.
pub(super) fn projects() -> Vec<Vec<u8>> {
    let text = Project::of(vec![work()]).to_text();
    let earlier = include_str!("../../src/app/project/schema-1.json");
    [text.as_str(), earlier, "key Eb, 96; 1 4 5 1"]
        .map(|text| text.as_bytes().to_vec())
        .to_vec()
}

/// Work with a pass of two moves.
fn work() -> Work {
    let (mut work, mut pass) = drafted().clone();
    pass.moves.truncate(2);
    let chart = Arc::clone(&work.chart);
    work.kept.keep(Kept::drafted(pass, chart, "e9".to_owned()));
    work
}

/// What the device keeps is read as it was written, or told to be damaged.
pub(super) fn kept(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let _ = serde_json::from_str::<Label>(&text);
    match Record::take(&text) {
        Ok(Taken::Whole(record)) => {
            put_to_use(&record.work);
            assert_eq!(Record::take(&record.to_text()), Ok(Taken::Whole(record)));
        }
        Ok(Taken::InPart { work, note }) => {
            assert!(!note.is_empty());
            put_to_use(&work);
        }
        Err(_) => {}
    }
    if let Some(setup) = Setup::from_text(&text) {
        let song = setup.song().unwrap_or(SongId::NONE);
        let desk = setup.desk();
        let again = Setup::from_text(&Setup::of(&desk, song).to_text()).expect("it was just written");
        assert_eq!((again.song().unwrap_or(SongId::NONE), again.desk()), (song, desk));
    }
    if let Ok(snapshot) = Snapshot::from_text(&text) {
        assert_eq!(Snapshot::from_text(&snapshot.to_text()), Ok(snapshot));
    }
}

/// A record, a desk, and the first form of both.
pub(super) fn records() -> Vec<Vec<u8>> {
    let record = Record::of(&work(), Some(3), When(1000), true).to_text();
    let setup = Setup::of(&Desk::default(), SongId::new(7)).to_text();
    let first = Snapshot::of(&work(), &Desk::default()).to_text();
    let written = [record, setup, first].map(String::into_bytes);
    written.into_iter().collect()
}

/// The chart of a MIDI file reads.
pub(super) fn midi(bytes: &[u8]) {
    if let Ok(lead) = lead::of_midi(bytes) {
        is_a_chart(&lead);
    }
    for message in bytes.chunks(3) {
        if let Some(read) = leadbar::app::midi_map::Message::read(message) {
            assert!((-1.0..=1.0).contains(&read.value), "{message:?}");
        }
    }
}

/// The chart of a score reads.
pub(super) fn musicxml(bytes: &[u8]) {
    if let Ok(lead) = lead::of_score(&String::from_utf8_lossy(bytes)) {
        is_a_chart(&lead);
    }
}

fn is_a_chart(lead: &Lead) {
    let read = chart::parse(&lead.chart);
    assert!(read.problems.is_empty(), "{:?} in {}", read.problems, lead.chart);
    let song = read.chart.timeline();
    assert!((1..=chart::MOST_BARS).contains(&song.bars.len()), "{}", lead.chart);
}

/// MIDI files with the song's chords and no note.
pub(super) fn midi_files() -> Vec<Vec<u8>> {
    let silence = Performance::silent(song().length(), e9().changes.len());
    let of = |layout| midi_file::write(&silence, e9(), song(), Some("Mill Song"), layout);
    vec![of(Layout::Plain), of(Layout::Expressive)]
}

/// A score with the song's chords and no note.
pub(super) fn scores() -> Vec<Vec<u8>> {
    let silence = Performance::silent(song().length(), e9().changes.len());
    let of = |names| score::write(&silence, e9(), song(), Some("Mill Song"), names).into_bytes();
    vec![of(ChordNames::Letters)]
}
