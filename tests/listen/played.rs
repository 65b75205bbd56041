//! Marks on phrases with errors put in on purpose: each played by the strings of `sound`, plain, in noise, and with the
//! band bleeding into the microphone.

use crate::sound_support::{instrument, pluck, render, song, string, turn};
use leadbar::app::reading::Reading;
use leadbar::app::{DEMO_SONGS, Shown, feels};
use leadbar::listen::played::{Marks, expected, mark};
use leadbar::solo::{Block, BlockKind, Brief, Performance, Pluck, Request, Shape, draft};
use leadbar::sound::amp::Amp;
use leadbar::sound::mix::Part;
use leadbar::sound::{Command, Mix, SampleRate, Score};
use leadbar::steel::{Fret, StringSet, Travel};
use leadbar::theory::{Beats, Seconds, Tempo, Timeline};
use std::collections::BTreeMap;
use std::sync::Arc;

const RATE: f64 = 44_100.0;
const TEMPO: f64 = 84.0;
/// Strokes of a phrase, one every so many beats from the second beat on, each stopped after one.
const STROKES: usize = 14;
const APART: f64 = 1.5;
const PHRASES: u64 = 10;

/// What is done wrong on one stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Slip {
    Detuned,
    Late,
    Missing,
    WrongGrip,
    /// A slide goes past its end and comes back.
    Overshoot,
    /// What should be stopped rings on.
    RingsOn,
}

const SLIPS: [Slip; 6] = [
    Slip::Detuned,
    Slip::Late,
    Slip::Missing,
    Slip::WrongGrip,
    Slip::Overshoot,
    Slip::RingsOn,
];

/// Grips as they are picked: single notes, pairs, and threes.
const GRIPS: [&[u8]; 8] = [
    &[4],
    &[5],
    &[3, 5],
    &[4, 6],
    &[5, 8],
    &[3, 4, 5],
    &[4, 5, 6],
    &[5, 6, 8],
];

#[derive(Debug, Clone)]
struct Stroke {
    at: f64,
    fret: f64,
    strings: Vec<u8>,
    slip: Option<Slip>,
    sharp: bool,
    /// How many frets it slides in from below, over a third of a beat.
    slides: f64,
}

fn phrase(seed: u64) -> Vec<Stroke> {
    let mut chance = fastrand::Rng::with_seed(seed);
    let mut slips: Vec<Option<Slip>> = SLIPS.iter().copied().map(Some).collect();
    slips.resize(STROKES, None);
    chance.shuffle(&mut slips);
    let frets = [3.0, 5.0, 8.0, 10.0, 12.0];
    slips
        .into_iter()
        .enumerate()
        .map(|(index, slip)| Stroke {
            at: 1.0 + APART * index as f64,
            fret: frets[chance.usize(..frets.len())],
            strings: GRIPS[chance.usize(..GRIPS.len())].to_vec(),
            slip,
            sharp: chance.bool(),
            slides: match slip {
                Some(Slip::Overshoot) => 2.0,
                // Some slides are played as they should be.
                None if index % 3 == 0 => 2.0,
                _ => 0.0,
            },
        })
        .collect()
}

/// The strokes as hands do them: as written, or with the slips.
fn performed(strokes: &[Stroke], with_slips: bool) -> Performance {
    let mut performance = Performance::silent(Beats(STROKES as f64 * APART + 2.0), instrument().changes.len());
    let mut rang_on = false;
    for stroke in strokes {
        let slip = stroke.slip.filter(|_| with_slips);
        let mut fret = stroke.fret;
        let mut at = stroke.at;
        let mut strings = stroke.strings.clone();
        match slip {
            // 28 cents: over every tolerance up to the fifteenth fret.
            Some(Slip::Detuned) => fret += if stroke.sharp { 0.28 } else { -0.28 },
            // An eighth of a beat or so: 107 ms.
            Some(Slip::Late) => at += 0.15,
            Some(Slip::Missing) => drop(strings.remove(0)),
            Some(Slip::WrongGrip) => strings[0] = wrong(&stroke.strings),
            Some(Slip::Overshoot | Slip::RingsOn) | None => {}
        }
        let turns = &mut performance.bar.turns;
        // The bar goes to its next place over stopped strings, and waits where one still rings.
        let (before, takes) = if rang_on { (0.1, 0.08) } else { (0.42, 0.3) };
        turns.push(turn(stroke.at - before, takes, fret - stroke.slides, Shape::Eased));
        rang_on = slip == Some(Slip::RingsOn);
        if stroke.slides > 0.0 && slip == Some(Slip::Overshoot) {
            // 35 to 50 cents past the end, and back within a fifth of a second.
            let past = if stroke.sharp { 0.5 } else { 0.35 };
            turns.push(turn(at, 0.33, fret + past, Shape::Eased));
            turns.push(turn(at + 0.37, 0.2, fret, Shape::Eased));
        } else if stroke.slides > 0.0 {
            turns.push(turn(at, 0.33, fret, Shape::Eased));
        }
        performance.plucks.extend(strings.iter().map(|n| Pluck {
            strength: 0.7,
            ..pluck(at, *n)
        }));
        performance.blocks.push(Block {
            at: Beats(stroke.at + if slip == Some(Slip::RingsOn) { 1.38 } else { 1.0 }),
            strings: (1..=10).map(string).collect::<StringSet>(),
            kind: BlockKind::Palm,
        });
    }
    performance
}

/// The string that is picked instead of the first one: a neighbour that is not of the grip.
fn wrong(strings: &[u8]) -> u8 {
    let first = strings[0];
    [first - 1, first + 1]
        .into_iter()
        .find(|n| !strings.contains(n))
        .unwrap_or(1)
}

/// The steel alone, or the band alone.
fn alone(solo: bool) -> Mix {
    let mut mix = Mix::default();
    for part in Part::ALL {
        mix.fader_mut(part).muted = (part == Part::Solo) != solo || part == Part::Click;
    }
    mix
}

fn heard(performance: &Performance, solo: bool) -> Vec<f32> {
    let score = Score::new(instrument(), performance.clone(), song(5, TEMPO));
    let seconds = performance.length.at(Tempo(TEMPO)).0;
    render(
        score,
        RATE,
        seconds,
        &[
            Command::Mix(alone(solo)),
            Command::Amp(Amp::DIRECT),
            Command::CountIn { bars: 0 },
        ],
    )
}

fn power(sound: &[f32]) -> f64 {
    sound.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / sound.len() as f64
}

/// Adds `other` at `decibels` under the sound.
fn under(sound: &mut [f32], other: &[f32], decibels: f64) {
    let gain = (power(sound) / power(other)).sqrt() * 10.0_f64.powf(-decibels / 20.0);
    for (a, b) in sound.iter_mut().zip(other) {
        *a += (f64::from(*b) * gain) as f32;
    }
}

/// Found rightly, found wrongly, not found.
#[derive(Debug, Default, Clone, Copy)]
struct Count {
    right: u32,
    wrong: u32,
    missed: u32,
}

impl Count {
    fn add(&mut self, is: bool, said: bool) {
        match (is, said) {
            (true, true) => self.right += 1,
            (false, true) => self.wrong += 1,
            (true, false) => self.missed += 1,
            (false, false) => {}
        }
    }

    fn precision(self) -> f64 {
        f64::from(self.right) / f64::from((self.right + self.wrong).max(1))
    }

    fn recall(self) -> f64 {
        f64::from(self.right) / f64::from((self.right + self.missed).max(1))
    }
}

type Table = BTreeMap<&'static str, Count>;

/// Counts, stroke by stroke, whether what was done wrong is what is said.
fn count(table: &mut Table, strokes: &[Stroke], marks: &Marks) {
    let mut notes = marks.notes.iter();
    for stroke in strokes {
        let of: Vec<_> = notes.by_ref().take(stroke.strings.len()).collect();
        let slip = |slip| stroke.slip == Some(slip);
        let mut add = |what, is, said| table.entry(what).or_default().add(is, said);
        let detuned = of.iter().any(|n| n.intonation.is_some_and(|i| !i.in_tune()));
        add("detuned", slip(Slip::Detuned), detuned);
        add(
            "overshoot",
            slip(Slip::Overshoot),
            of.iter().any(|n| n.overshoot.is_some()),
        );
        add("rings on", slip(Slip::RingsOn), of.iter().any(|n| n.rings_on));
        add("late", slip(Slip::Late), of.iter().any(|n| n.heard() && !n.on_time()));
        let absent = |n: &&leadbar::listen::played::NoteMark| !n.heard();
        add(
            "missing",
            slip(Slip::Missing) || slip(Slip::WrongGrip),
            of.iter().any(absent),
        );
        let at = Beats(stroke.at).at(Tempo(TEMPO)).0;
        let here = || marks.extra.iter().filter(|e| (e.at.0 - at).abs() < 0.15);
        let extra = here().next().is_some();
        if slip(Slip::WrongGrip) {
            let true_height = instrument().height(string(wrong(&stroke.strings)), Fret(stroke.fret), |_| Travel(0.0));
            let named = here().any(|e| true_height.is_some_and(|h| e.height.above(h).0.abs() < 50.0));
            println!(
                "  grip {:?} at {}: {} instead, {}",
                stroke.strings,
                stroke.fret,
                wrong(&stroke.strings),
                if named {
                    "named"
                } else if extra {
                    "heard as another note"
                } else {
                    "not heard"
                }
            );
        }
        add("wrong grip", slip(Slip::WrongGrip), extra);
        if extra && !slip(Slip::WrongGrip) {
            println!("  made up beside {stroke:?}: {:?}", here().next());
        }
    }
    // What is made up between strokes.
    let between = marks.extra.iter().filter(|e| {
        strokes
            .iter()
            .all(|s| (e.at.0 - Beats(s.at).at(Tempo(TEMPO)).0).abs() >= 0.15)
    });
    let between: Vec<_> = between.collect();
    for extra in &between {
        let beats = extra.at.0 * TEMPO / 60.0;
        let of = strokes.iter().rfind(|s| s.at < beats);
        println!("  made up at beat {beats:.2}: {:?} after {of:?}", extra.height);
    }
    table.entry("wrong grip").or_default().wrong += between.len() as u32;
}

fn run(soil: impl Fn(u64, &mut Vec<f32>)) -> Table {
    let mut table = Table::new();
    for seed in 0..PHRASES {
        let strokes = phrase(seed);
        let wanted = expected(&performed(&strokes, false), &instrument(), Tempo(TEMPO), Seconds(0.0));
        let mut sound = heard(&performed(&strokes, true), true);
        soil(seed, &mut sound);
        count(&mut table, &strokes, &mark(&sound, SampleRate(RATE), &wanted));
    }
    table
}

/// Least precision and recall. A wrong string an octave from one that is rightly picked has no partial of its own: the
/// missing note is told then, and the other is not.
const LEAST: [(&str, f64, f64); 6] = [
    ("detuned", 0.9, 0.9),
    ("late", 0.95, 0.95),
    ("missing", 0.9, 0.9),
    ("overshoot", 0.9, 0.9),
    ("rings on", 0.9, 0.9),
    ("wrong grip", 0.75, 0.65),
];
/// With the band in the microphone a wrong string is oftener hidden: a known weakness.
const LEAST_FOUND_IN_THE_BAND: f64 = 0.55;

fn hold(name: &str, table: &Table) {
    for (what, precision, recall) in LEAST {
        let count = table.get(what).copied().unwrap_or_default();
        let recall = match (name, what) {
            ("band", "wrong grip") => LEAST_FOUND_IN_THE_BAND,
            _ => recall,
        };
        assert!(
            count.precision() >= precision && count.recall() >= recall,
            "{name}, {what}: {count:?}"
        );
    }
}

fn say(name: &str, table: &Table) {
    for (what, count) in table {
        println!(
            "{name}, {what}: precision {:.2}, recall {:.2} {count:?}",
            count.precision(),
            count.recall()
        );
    }
}

#[test]
fn what_was_done_wrong_is_found_and_little_else() {
    let clean = run(|_, _| ());
    say("clean", &clean);
    let noisy = run(|seed, sound| {
        let mut chance = fastrand::Rng::with_seed(seed);
        let noise: Vec<f32> = sound.iter().map(|_| chance.f32() - 0.5).collect();
        under(sound, &noise, 30.0);
    });
    say("noise 30 dB down", &noisy);
    let bleeding = run(|_, sound| {
        let band = heard(&performed(&[], false), false);
        under(sound, &band, 20.0);
    });
    say("band 20 dB down", &bleeding);
    for (name, table) in [("clean", &clean), ("noise", &noisy), ("band", &bleeding)] {
        hold(name, table);
    }
}

/// Drafted passes, with all their slides, squeezes, rolls and rings, played as they are written.
#[test]
fn a_whole_pass_played_as_written_is_hardly_faulted() {
    let e9 = instrument();
    let (mut right, mut all, mut extra) = (0, 0, 0);
    for (demo, feel) in DEMO_SONGS.iter().zip(["country", "ballad", "blues"]) {
        let song = Timeline::clone(&Reading::of(demo.chart).song.expect("a song"));
        let drafted = draft(&Brief {
            timeline: &song,
            instrument: &e9,
            feel: feels::by_id(feel).expect("a feel"),
            limits: feels::limits(leadbar::solo::Level::default()).expect("limits"),
            request: &Request::default(),
        });
        let pass = Arc::new(drafted.expect("a draft").passes.remove(0));
        let shown = Shown::of(&pass, &song, &e9).expect("a pass");
        for (how, amp) in [("direct", Amp::DIRECT), ("driven", Amp::DRIVEN)] {
            let score = Score::new(e9.clone(), (*shown.performance).clone(), song.clone());
            let seconds = shown.performance.length.at(song.tempo).0;
            let sound = render(
                score,
                RATE,
                seconds,
                &[
                    Command::Mix(alone(true)),
                    Command::Amp(amp),
                    Command::CountIn { bars: 0 },
                ],
            );
            let wanted = expected(&shown.performance, &e9, song.tempo, Seconds(0.0));
            let marks = mark(&sound, SampleRate(RATE), &wanted);
            let good = marks
                .notes
                .iter()
                .filter(|n| n.on_time() && n.intonation.is_none_or(|i| i.in_tune()))
                .count();
            println!(
                "{}, {how}: {good} of {} right, {} too many",
                demo.name,
                wanted.len(),
                marks.extra.len()
            );
            (right, all, extra) = (right + good, all + wanted.len(), extra + marks.extra.len());
        }
    }
    println!("all: {right} of {all} right, {extra} too many");
    assert!(100 * right >= 94 * all, "{right} of {all}");
    assert!(100 * extra <= 4 * all, "{extra} of {all}");
}
