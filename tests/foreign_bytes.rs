//! Spoiled files of every kind by chance: what `tests/fuzz` searches for long, each run of the tests tries briefly.

#![allow(clippy::expect_used)] // a test that cannot go on says so

mod foreign;

use foreign::{READERS, Reader};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestCaseError, TestRunner};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// How many spoiled files of each kind are tried.
const CASES: u32 = 256;

/// One way to spoil a file.
#[derive(Debug, Clone)]
enum Harm {
    /// Another byte at a place.
    Byte(usize, u8),
    /// A stretch is lost.
    Lost(usize, usize),
    /// A stretch comes twice.
    Twice(usize, usize),
    /// Something strange is put in.
    Strange(usize, &'static str),
}

const STRANGE: [&str; 14] = [
    "1e999",
    "-1",
    "18446744073709551616",
    "NaN",
    "null",
    "\"",
    "{",
    "[[[[[[[[",
    "é",
    "\u{0}",
    "\n",
    "]",
    "999999",
    "<a>",
];

fn harm() -> impl Strategy<Value = Harm> {
    let at = any::<prop::sample::Index>().prop_map(|i| i.index(1 << 20));
    let some = at.clone();
    prop_oneof![
        3 => (some, any::<u8>()).prop_map(|(at, byte)| Harm::Byte(at, byte)),
        2 => (at.clone(), 1_usize..40).prop_map(|(at, n)| Harm::Lost(at, n)),
        1 => (at.clone(), 1_usize..80).prop_map(|(at, n)| Harm::Twice(at, n)),
        3 => (at, prop::sample::select(&STRANGE[..])).prop_map(|(at, text)| Harm::Strange(at, text)),
    ]
}

fn spoiled(mut bytes: Vec<u8>, harms: &[Harm]) -> Vec<u8> {
    for harm in harms {
        let length = bytes.len().max(1);
        let stretch = |at: usize, n: usize| at % length..(at % length + n).min(bytes.len()).max(at % length);
        match *harm {
            Harm::Byte(at, byte) => {
                if let Some(place) = bytes.get_mut(at % length) {
                    *place = byte;
                }
            }
            Harm::Lost(at, n) if !bytes.is_empty() => drop(bytes.drain(stretch(at, n))),
            Harm::Twice(at, n) if !bytes.is_empty() => {
                let again = bytes[stretch(at, n)].to_vec();
                bytes.splice(at % length..at % length, again);
            }
            Harm::Strange(at, text) => drop(bytes.splice(
                (at % length).min(bytes.len())..(at % length).min(bytes.len()),
                text.bytes(),
            )),
            Harm::Lost(..) | Harm::Twice(..) => {}
        }
    }
    bytes
}

/// Holds a reader's law to its own seeds, to those spoiled, and to bytes of chance.
fn holds(name: &str) {
    let seeds = reader(name).seeds;
    let seeds = seeds();
    assert!(!seeds.is_empty());
    seeds.iter().for_each(|seed| (reader(name).law)(seed));
    let spoil = (prop::sample::select(seeds), prop::collection::vec(harm(), 1..4));
    let any_bytes = prop::collection::vec(any::<u8>(), 0..200);
    let files = prop_oneof![6 => spoil.prop_map(|(seed, harms)| spoiled(seed, &harms)), 1 => any_bytes];
    holds_for(name, &files);
}

fn reader(name: &str) -> Reader {
    let found = READERS.into_iter().find(|reader| reader.name == name);
    found.expect("a reader of that name")
}

/// Holds a reader's law to files drawn by chance.
fn holds_for(name: &str, files: &impl Strategy<Value = Vec<u8>>) {
    let config = Config {
        cases: CASES,
        failure_persistence: None,
        ..Config::default()
    };
    let law = reader(name).law;
    let told = TestRunner::new(config).run(files, |bytes| {
        catch_unwind(AssertUnwindSafe(|| law(&bytes)))
            .map_err(|_| TestCaseError::fail(String::from_utf8_lossy(&bytes).into_owned()))
    });
    if let Err(broken) = told {
        panic!("{broken}");
    }
}

macro_rules! laws {
    ($($test:ident: $name:literal),+ $(,)?) => {
        $(#[test] fn $test() { holds($name); })+

        #[test]
        fn every_reader_is_held_to_its_law() {
            assert_eq!([$($name),+], READERS.map(|reader| reader.name));
        }
    };
}

laws! {
    any_chart_is_read_and_prints_as_itself: "chart",
    any_word_is_refused_or_means_what_it_prints: "words",
    any_instrument_is_refused_or_written_as_itself: "instrument",
    any_tab_is_read_and_can_be_written: "tab",
    any_file_is_refused_or_opens_and_can_be_saved: "project",
    anything_kept_is_refused_or_read_as_it_was: "kept",
    any_midi_file_is_refused_or_gives_a_chart: "midi",
    any_score_is_refused_or_gives_a_chart: "musicxml",
    any_link_is_refused_or_holds_what_can_be_used: "link",
    any_file_handed_in_is_refused_or_marked: "class",
    any_lesson_is_read_with_its_faults_in_their_lines: "lesson",
    any_progress_is_refused_or_comes_back: "progress",
    any_samples_make_a_file_as_long_as_it_says: "wave",
}

#[test]
fn any_row_of_the_signs_of_charts_and_tab_is_read() {
    let of = |signs: &'static str| signs.prop_map(String::into_bytes);
    holds_for("chart", &of("\\PC{0,80}"));
    holds_for("chart", &of("[1-8b#mIVivACG \n()\\[\\]<>|:/.%;,\"!x+-]{0,60}"));
    holds_for("words", &of("[1-8b#mIVivACGx :/.,+-]{0,20}"));
    holds_for("tab", &of("([ -~½\n]|[0-9/~x|-]){0,300}"));
}
