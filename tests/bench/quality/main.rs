//! How good the drafts are: sixty charts by every attitude and several seeds, in figures, against two baselines of the
//! same run: random playable chords, and always the nearest chord. Lists the aims that are missed.
//!
//! The charts: forty of ours in the trade's common forms, and twenty from the harmonic analyses that music21's corpus
//! ships (`tests/outside/charts`). Run it with `cargo bench --bench quality`; for a look while working,
//! `cargo test --bench quality -- swing blues 6` drafts by these attitudes over every sixth chart.
#![allow(clippy::unwrap_used, missing_docs)] // a bench may fail by panicking

mod baselines;

use leadbar::solo::reading::Figures;
use leadbar::solo::{Brief, Feel, Limits, Pass, Request, draft, playable, rules};
use leadbar::steel::Instrument;
use leadbar::theory::{Timeline, chart};
use std::time::Instant;

const SEEDS: u64 = 2;

/// A figure with its name.
type Named = (&'static str, fn(&Figures) -> f64);

const FIGURES: [Named; 13] = [
    ("chord", |f| f.chord_tones),
    ("steps", |f| f.resolved),
    ("motif", |f| f.returning),
    ("arc", |f| f.arc),
    ("travel", |f| f.travel),
    ("feet", |f| f.footwork),
    ("strokes", |f| f.strokes),
    ("strings", |f| f.strings),
    ("slid", |f| f.slid),
    ("bent", |f| f.bent),
    ("carried", |f| f.carried),
    ("silence", |f| f.silence),
    ("length", |f| f.length),
];

/// What a good draft reaches: the figure's place in [`FIGURES`] and the least it should be. Taste, no source.
const AIMS: [(usize, f64); 4] = [(0, 0.98), (1, 0.75), (2, 0.25), (3, 0.7)];
/// Passes of one draft should differ in this part of their moves at least.
const DISTINCT: f64 = 0.6;
/// Held-out charts told by attitude at least this often.
const TOLD: f64 = 0.8;

/// What one maker of passes made.
struct Row {
    name: String,
    /// One for each pass, by chart.
    figures: Vec<(usize, Figures)>,
    passes: usize,
    unplayable: usize,
    clashing: usize,
    distinct: Vec<f64>,
}

impl Row {
    fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            figures: Vec::new(),
            passes: 0,
            unplayable: 0,
            clashing: 0,
            distinct: Vec::new(),
        }
    }

    fn add(&mut self, chart: usize, pass: &Pass, song: &Timeline, instrument: &Instrument, limits: &Limits) {
        let performance = pass.performance(instrument, limits, song.tempo);
        self.passes += 1;
        let breaches = playable::report(&performance, instrument, song.tempo, limits);
        self.unplayable += usize::from(!breaches.is_empty());
        self.clashing += usize::from(!rules::clashes(&performance, instrument, song).is_empty());
        self.figures
            .push((chart, Figures::of(pass, &performance, instrument, song)));
    }

    fn mean(&self, of: fn(&Figures) -> f64) -> f64 {
        mean(self.figures.iter().map(|(_, f)| of(f)))
    }
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(s, n), v| (s + v, n + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

/// The part of the first pass's moves that the second has not.
fn apart(one: &Pass, other: &Pass) -> f64 {
    mean(one.moves.iter().map(|m| f64::from(u8::from(!other.moves.contains(m)))))
}

fn songs() -> Vec<Timeline> {
    let own = include_str!("charts.txt").lines().filter(|l| !l.starts_with('#'));
    let corpus = include_str!("../../outside/charts/charts.tsv");
    let corpus = corpus.lines().filter_map(|l| l.split('\t').nth(1));
    let read = |text: &str| {
        let parsed = chart::parse(text);
        assert!(parsed.problems.is_empty(), "{text}: {:?}", parsed.problems);
        parsed.chart.timeline()
    };
    own.chain(corpus).map(read).collect()
}

/// The attitudes named on the command line, or all, and every how many charts.
fn asked() -> (Vec<Feel>, usize) {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let every = words.iter().find_map(|w| w.parse().ok()).unwrap_or(1);
    let mut feels = Feel::shipped().unwrap();
    if feels.iter().any(|f| words.contains(&f.id)) {
        feels.retain(|f| words.contains(&f.id));
    }
    (feels, every)
}

fn main() {
    let (feels, every) = asked();
    let songs: Vec<Timeline> = songs().into_iter().step_by(every).collect();
    let instrument = Instrument::shipped("e9").unwrap();
    let limits = Limits::steady().unwrap();
    let mut rows = Vec::new();
    for feel in feels {
        let mut row = Row::new(&feel.id);
        for (index, song) in songs.iter().enumerate() {
            for seed in 0..SEEDS {
                let request = Request {
                    feel: feel.id.clone(),
                    seed,
                    ..Request::default()
                };
                let brief = Brief {
                    timeline: song,
                    instrument: &instrument,
                    feel: &feel,
                    limits: &limits,
                    request: &request,
                };
                let passes = draft(&brief).unwrap().passes;
                for pass in &passes {
                    row.add(index, pass, song, &instrument, &limits);
                }
                for pair in passes.windows(2) {
                    row.distinct.push(apart(&pair[0], &pair[1]));
                }
            }
        }
        rows.push(row);
    }
    let attitudes = rows.len();
    for (name, make) in [
        ("(random)", baselines::random as baselines::Maker),
        ("(nearest)", baselines::nearest),
    ] {
        let mut row = Row::new(name);
        for (index, song) in songs.iter().enumerate() {
            for seed in 0..SEEDS {
                row.add(
                    index,
                    &make(song, &instrument, &limits, seed),
                    song,
                    &instrument,
                    &limits,
                );
            }
        }
        rows.push(row);
    }
    print(&rows, songs.len());
    let told = told_apart(&rows[..attitudes]);
    println!(
        "attitude told by its figures on the charts held out: {:.0} of 100",
        told * 100.0
    );
    missed(&rows, attitudes, told);
    speed(&instrument, &limits);
}

fn print(rows: &[Row], songs: usize) {
    println!("{songs} charts, {SEEDS} seeds; parts are of 1, travel is frets a beat, the rest a bar");
    print!(
        "{:>11} {:>6} {:>5} {:>5} {:>5}",
        "", "passes", "unpl.", "clash", "dist."
    );
    FIGURES.iter().for_each(|(name, _)| print!(" {name:>7}"));
    println!();
    for row in rows {
        let distinct = mean(row.distinct.iter().copied());
        print!(
            "{:>11} {:>6} {:>5} {:>5} {distinct:>5.2}",
            row.name, row.passes, row.unplayable, row.clashing
        );
        FIGURES.iter().for_each(|(_, of)| print!(" {:>7.2}", row.mean(*of)));
        println!();
    }
}

/// How often the attitude of a pass over an odd chart is the one whose mean over the even charts lies nearest, each
/// figure measured in its own spread.
fn told_apart(rows: &[Row]) -> f64 {
    let all = || rows.iter().flat_map(|r| &r.figures);
    let spread = FIGURES.map(|(_, of)| {
        let middle = mean(all().map(|(_, f)| of(f)));
        mean(all().map(|(_, f)| (of(f) - middle).powi(2))).sqrt().max(1e-9)
    });
    let centre = |row: &Row| {
        let even = || row.figures.iter().filter(|(chart, _)| chart % 2 == 0);
        FIGURES.map(|(_, of)| mean(even().map(|(_, f)| of(f))))
    };
    let centres: Vec<_> = rows.iter().map(centre).collect();
    let away = |f: &Figures, centre: &[f64; FIGURES.len()]| -> f64 {
        let each = FIGURES.iter().zip(centre).zip(spread);
        each.map(|(((_, of), c), s)| ((of(f) - c) / s).powi(2)).sum()
    };
    let odd = rows.iter().enumerate().flat_map(|(i, row)| {
        let odd = row.figures.iter().filter(|(chart, _)| chart % 2 == 1);
        odd.map(move |(_, f)| (i, f))
    });
    mean(odd.map(|(own, f)| {
        let nearest = (0..centres.len()).min_by(|a, b| away(f, &centres[*a]).total_cmp(&away(f, &centres[*b])));
        f64::from(u8::from(nearest == Some(own)))
    }))
}

fn missed(rows: &[Row], attitudes: usize, told: f64) {
    println!("aims missed:");
    let mut none = true;
    let mut miss = |words: String| {
        none = false;
        println!("  {words}");
    };
    for row in &rows[..attitudes] {
        for (figure, least) in AIMS {
            let (name, of) = FIGURES[figure];
            let is = row.mean(of);
            if is < least {
                miss(format!("{}: {name} is {is:.2}, aim {least}", row.name));
            }
        }
        if row.unplayable + row.clashing > 0 {
            miss(format!(
                "{}: {} unplayable, {} clashing",
                row.name, row.unplayable, row.clashing
            ));
        }
        let distinct = mean(row.distinct.iter().copied());
        if distinct < DISTINCT {
            miss(format!(
                "{}: passes differ in {distinct:.2} of their moves, aim {DISTINCT}",
                row.name
            ));
        }
    }
    if told < TOLD {
        miss(format!("attitudes are told apart {told:.2}, aim {TOLD}"));
    }
    if none {
        println!("  none");
    }
}

/// Three passes over 32 bars, the median of five for each attitude.
fn speed(instrument: &Instrument, limits: &Limits) {
    let text = "key Bb, 120; |: 1 1 4 4 / 1 6- 2- 5 / 1 17 4 4- / 1 5 1 1 :|";
    let song = chart::parse(text).chart.timeline();
    let request = Request::default();
    print!("three passes over {} bars:", song.bars.len());
    for feel in Feel::shipped().unwrap() {
        let brief = Brief {
            timeline: &song,
            instrument,
            feel: &feel,
            limits,
            request: &request,
        };
        let mut times: Vec<_> = (0..5)
            .map(|_| {
                let start = Instant::now();
                draft(&brief).unwrap();
                start.elapsed()
            })
            .collect();
        times.sort();
        print!(" {} {:.0} ms", feel.id, times[2].as_secs_f64() * 1000.0);
    }
    println!();
}
