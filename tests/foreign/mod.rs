//! Laws of everything that reads bytes from outside: whatever they are, they are read or refused, what was read can be
//! put to use, and what is written of it reads back alike.
//!
//! `tests/foreign_bytes.rs` holds them to spoiled files by chance, `tests/fuzz` to what a fuzzer finds.

#![allow(clippy::expect_used)] // a law that is broken says so

mod files;
mod links;
mod teaching;
mod texts;
mod waves;

use leadbar::app::{DEMO_SONGS, Work, feels};
use leadbar::solo::{Brief, Level, Pass, draft};
use leadbar::steel::Instrument;
use leadbar::theory::Timeline;
use leadbar::theory::chart;
use std::sync::OnceLock;

/// One reader of foreign bytes.
#[derive(Clone, Copy)]
pub(crate) struct Reader {
    /// What it reads.
    pub(crate) name: &'static str,
    /// Reads any bytes, and panics where a law is broken.
    pub(crate) law: fn(&[u8]),
    /// Sound files, small ones, to spoil.
    pub(crate) seeds: fn() -> Vec<Vec<u8>>,
}

/// Every reader.
pub(crate) const READERS: [Reader; 13] = [
    reader("chart", texts::chart, texts::charts),
    reader("words", texts::words, texts::typed),
    reader("instrument", texts::instrument, texts::instruments),
    reader("tab", texts::tab, texts::tabs),
    reader("project", files::project, files::projects),
    reader("kept", files::kept, files::records),
    reader("midi", files::midi, files::midi_files),
    reader("musicxml", files::musicxml, files::scores),
    reader("link", links::link, links::bodies),
    reader("class", links::class, links::handed_in),
    reader("lesson", teaching::lesson, teaching::lessons),
    reader("progress", teaching::progress, teaching::kept),
    reader("wave", waves::wave, waves::samples),
];

const fn reader(name: &'static str, law: fn(&[u8]), seeds: fn() -> Vec<Vec<u8>>) -> Reader {
    Reader { name, law, seeds }
}

/// The shipped ten-string instrument.
fn e9() -> &'static Instrument {
    static E9: OnceLock<Instrument> = OnceLock::new();
    E9.get_or_init(|| Instrument::shipped("e9").expect("it is shipped"))
}

/// A short song.
fn song() -> &'static Timeline {
    static SONG: OnceLock<Timeline> = OnceLock::new();
    SONG.get_or_init(|| chart::parse("key Eb, 96; 1 4 5 1").chart.timeline())
}

/// A short piece of work with the first pass that is drafted for it.
fn drafted() -> &'static (Work, Pass) {
    static DRAFTED: OnceLock<(Work, Pass)> = OnceLock::new();
    DRAFTED.get_or_init(|| {
        let work = Work::on("key Eb, 96; 1 4 5 1");
        let brief = Brief {
            timeline: song(),
            instrument: e9(),
            feel: feels::by_id(&work.request.feel).expect("a feel"),
            limits: feels::limits(Level::default()).expect("the limits"),
            request: &work.request,
        };
        let pass = draft(&brief).expect("a draft").passes.swap_remove(0);
        (work, pass)
    })
}

/// The charts of the demo songs.
fn demo_charts() -> Vec<Vec<u8>> {
    DEMO_SONGS.iter().map(|demo| demo.chart.as_bytes().to_vec()).collect()
}
