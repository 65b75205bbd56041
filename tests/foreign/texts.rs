//! What a player types: charts, words, instruments, tab.

use super::{demo_charts, drafted, e9, song};
use leadbar::app::address::Address;
use leadbar::app::feels;
use leadbar::exchange::tab::{self, Characters, Signs, Tab};
use leadbar::solo::{Level, Melody, Motif, Move, Pass, Request};
use leadbar::steel::instrument::{self, shipped};
use leadbar::steel::{Instrument, instrument::Control};
use leadbar::teach::rows;
use leadbar::theory::chart::{MOST_BARS, parse};
use leadbar::theory::{Chord, Interval, Key, Mode, NoteName, Numeral, Pitch, ScaleDegree, Timeline, roman};
use std::fmt::{Debug, Display};
use std::str::FromStr;
use std::sync::Arc;

/// Every place that is told lies in the text, and what is printed reads back as the same chart.
pub(super) fn chart(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let parsed = parse(&text);
    let song = parsed.chart.timeline();
    assert!(song.bars.len() <= MOST_BARS);
    for said in parsed.problems.iter().chain(&parsed.remarks) {
        let line = text.split('\n').nth(said.place.line - 1);
        assert!(
            line.is_some_and(|l| said.place.column <= l.chars().count() + 1),
            "{said:?}"
        );
        assert!(text.get(said.range.clone()).is_some(), "{said:?}");
        assert!(
            said.fixes.iter().all(|fix| text.get(fix.range.clone()).is_some()),
            "{said:?}"
        );
    }
    let again = parsed.chart.to_string();
    assert_eq!(parse(&again).chart, parsed.chart, "{again}");
}

/// Charts that read.
pub(super) fn charts() -> Vec<Vec<u8>> {
    demo_charts()
}

/// What a typed word means, written out, means the same.
pub(super) fn words(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    means_the_same::<Motif>(&text);
    means_the_same::<Melody>(&text);
    means_the_same::<Numeral>(&text);
    means_the_same::<ScaleDegree>(&text);
    means_the_same::<Key>(&text);
    means_the_same::<NoteName>(&text);
    means_the_same::<Pitch>(&text);
    means_the_same::<Interval>(&text);
    means_the_same::<Control>(&text);
    if let Ok(chord) = text.parse::<Chord>() {
        assert_eq!(chord.symbol().parse(), Ok(chord), "{text}");
    }
    for mode in [Mode::Major, Mode::Minor] {
        let _ = roman::parse(&text, mode);
    }
    if let Some(address) = Address::parse(&text) {
        assert_eq!(Address::parse(&address.to_string()), Some(address));
    }
    if let Ok(strokes) = rows::parse(&text, e9(), song()) {
        let printed = rows::print(&strokes, e9(), song());
        let again = rows::parse(&printed, e9(), song()).map(|read| rows::print(&read, e9(), song()));
        assert_eq!(again.as_deref(), Ok(printed.as_str()), "{text}");
    }
}

fn means_the_same<T: FromStr + Display + PartialEq + Debug>(text: &str) {
    if let Ok(read) = text.parse::<T>() {
        let written = read.to_string();
        assert!(
            written.parse().is_ok_and(|again: T| again == read),
            "{text:?} reads as {read:?}, which is written {written:?}"
        );
    }
}

/// Words that mean something.
pub(super) fn typed() -> Vec<Vec<u8>> {
    let words = [
        "1 3 5:2 - x",
        "G4 A4:2 - B4",
        "b7sus4/5",
        "#4",
        "F# minor",
        "Bb3",
        "Cmaj7/E",
        "b6",
        "P1",
        "RKL",
        "IV/V",
        "#/learn/three-homes",
        "1.1 3-4-5 3 A+B slide 1\n1.3 4-5 8 -\n",
    ];
    words.map(|word| word.as_bytes().to_vec()).to_vec()
}

/// An instrument that reads is written and read alike.
pub(super) fn instrument(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    match instrument::parse(&text) {
        Ok(read) => reads_again(read),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// An instrument, its choices made, is written as one that reads alike.
pub(super) fn reads_again(read: Instrument) {
    let settled = Instrument {
        choices: Vec::new(),
        ..read
    };
    let text = settled.text();
    assert_eq!(instrument::parse(&text), Ok(settled), "{text}");
}

/// Instrument files.
pub(super) fn instruments() -> Vec<Vec<u8>> {
    ["open-d", "c6-lap-6", "e9"]
        .iter()
        .filter_map(|id| Some(shipped::text(id)?.as_bytes().to_vec()))
        .collect()
}

/// Tab that reads without a problem is written as tab that reads as the same tab.
pub(super) fn tab(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let read = tab::read(&text, e9(), song());
    for problem in &read.problems {
        assert!(problem.place.line >= 1 && problem.place.column >= 1, "{problem:?}");
    }
    let written = written(read.moves, e9(), song());
    let again = tab::read(&written, e9(), song());
    let _ = super::texts::written(again.moves, e9(), song());
}

fn written(moves: Vec<Move>, instrument: &Instrument, song: &Timeline) -> String {
    let pass = Pass {
        moves: moves.into_iter().map(Arc::new).collect(),
        request: Request::default(),
        length: song.length(),
    };
    let limits = feels::limits(Level::default()).expect("the limits");
    let performance = pass.performance(instrument, limits, song.tempo);
    Tab::of(&performance, instrument, song, Signs::Letters).text(Characters(80))
}

/// Tab, ours and as it is typed.
pub(super) fn tabs() -> Vec<Vec<u8>> {
    let (_, pass) = drafted();
    let moves = pass.moves.iter().map(|m| Move::clone(m)).collect();
    let ours = written(moves, e9(), song());
    let typed = "bar 1\ncount   1   3\n4 E   |-3---3---|\n5 B   |-3---3A--|\n6 G# |-3~--3B/6-|\n";
    vec![ours.into_bytes(), typed.as_bytes().to_vec()]
}
