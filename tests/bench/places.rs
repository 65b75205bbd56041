//! How long it takes to find every way an E9 ten-string sounds the 24 major and minor triads.
//!
//! Method: the instrument and query of the outside counts (108 stances, 60 sets of three strings, frets 0 to 24;
//! 18,550 holds), by the search of the crate, which is reckoned anew each time, and by a plain loop over every
//! fret, stance and set in the same run, so that their ratio does not depend on the machine.
//! Run it with `cargo bench --bench places`.

#![allow(clippy::unwrap_used, missing_docs)] // a bench may fail by panicking

use criterion::{Criterion, criterion_group, criterion_main};
use leadbar::steel::hold::{Finder, HoldQuery, Tones, enumerate, homes};
use leadbar::steel::instrument::parse;
use leadbar::steel::{Instrument, Place, Stance, body};
use leadbar::theory::{Chord, NoteName, Quality};
use std::hint::black_box;

const HITS: usize = 18_550;
const ROOTS: [&str; 12] = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];

fn triads() -> Vec<Chord> {
    let kinds = [Quality::Major, Quality::Minor];
    let named = |root: &str, quality| Chord::new(root.parse::<NoteName>().unwrap(), quality);
    ROOTS
        .iter()
        .flat_map(|root| kinds.map(|kind| named(root, kind)))
        .collect()
}

/// A hit of the plain loop: fret, stance, strings by index, notes.
type Hit = (u8, Stance, [usize; 3], [u8; 3]);

/// Every fret, stance and set of strings in turn, from the open note of each string in each stance.
fn plain(open: &[(Stance, Vec<u8>)], sets: &[[usize; 3]], chord: &Chord) -> Vec<Hit> {
    let classes: Vec<u8> = chord.tones().map(|(_, name)| name.class().number()).collect();
    let mut hits = Vec::new();
    for fret in 0..=24 {
        for (stance, open) in open {
            for set in sets {
                let notes = set.map(|string| open[string] + fret);
                let sounds = |class: &u8| notes.iter().any(|note| note % 12 == *class);
                if classes.iter().all(sounds) {
                    hits.push((fret, *stance, *set, notes));
                }
            }
        }
    }
    hits
}

fn open_notes(instrument: &Instrument) -> Vec<(Stance, Vec<u8>)> {
    let note = |stance, string| instrument.note(string, Place::straight(0, stance)).unwrap().0;
    let notes = |stance| instrument.string_numbers().map(|s| note(stance, s)).collect();
    body::stances(instrument).into_iter().map(|s| (s, notes(s))).collect()
}

fn sets() -> Vec<[usize; 3]> {
    let from = |a: usize| (a + 1..10).flat_map(move |b| (b + 1..10.min(a + 6)).map(move |c| [a, b, c]));
    (0..10).flat_map(from).collect()
}

fn places(criterion: &mut Criterion) {
    let instrument = parse(include_str!("../outside/steel/counts.toml")).unwrap();
    let query = HoldQuery {
        tones: Tones::All,
        needed: false,
        ..HoldQuery::default()
    };
    let triads = triads();
    let mut group = criterion.benchmark_group("24 triads");
    group.bench_function("search", |bench| {
        bench.iter(|| {
            let finder = Finder::new(black_box(&instrument), &query);
            let found: Vec<_> = triads.iter().map(|chord| finder.holds(chord)).collect();
            assert_eq!(found.iter().map(Vec::len).sum::<usize>(), HITS);
            found
        });
    });
    group.bench_function("search, each chord on its own", |bench| {
        bench.iter(|| -> Vec<_> {
            let on_its_own = |chord| enumerate(black_box(&instrument), chord, &query);
            triads.iter().map(on_its_own).collect()
        });
    });
    group.bench_function("plain loop", |bench| {
        bench.iter(|| {
            let (open, sets) = (open_notes(black_box(&instrument)), sets());
            let found: Vec<_> = triads.iter().map(|chord| plain(&open, &sets, chord)).collect();
            assert_eq!(found.iter().map(Vec::len).sum::<usize>(), HITS);
            found
        });
    });
    group.finish();
    let e9 = Instrument::shipped("e9").unwrap();
    let chord = "Bb7".parse().unwrap();
    criterion.bench_function("homes of one chord, shipped E9", |bench| {
        bench.iter(|| homes(black_box(&e9), &chord));
    });
    let universal = Instrument::shipped("universal").unwrap();
    criterion.bench_function("homes of one chord, universal", |bench| {
        bench.iter(|| homes(black_box(&universal), &chord));
    });
}

criterion_group!(benches, places);
criterion_main!(benches);
