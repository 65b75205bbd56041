//! What the tests of marks reckon by themselves: notes from the strings' pitches and pulls, chords from a table of
//! semitones, places by trying every one. Nothing here asks the crate what is right.

#![allow(dead_code)] // each test takes what it needs
#![allow(clippy::expect_used)] // a test that cannot go on says so

use fastrand::Rng;
use leadbar::solo::stroke::Grip;
use leadbar::steel::{Instrument, Place, Stance, StringNumber, StringSet, body};
use leadbar::teach::exercise::{Answer, Exercise, Kind, Task};
use leadbar::theory::{Key, Letter};
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;

/// How many tasks of each kind, each drawn by a seed of its own, are given a right answer, and how many a wrong one.
pub(crate) const ANSWERS: usize = 1000;
/// Some draws allow no wrong answer of the sort that is tried, or no right one but the model: this many are tried.
const MOST_SEEDS: u64 = 4 * ANSWERS as u64;

/// What was tried of a kind.
#[derive(Default)]
pub(crate) struct Tally {
    right: BTreeSet<u64>,
    wrong: BTreeSet<u64>,
    answers: [usize; 2],
}

impl Tally {
    /// Fails unless the answer is right in everything.
    pub(crate) fn right(&mut self, task: &Task, answer: &Answer) {
        assert_right(task, answer);
        self.right.insert(task.seed);
        self.answers[0] += 1;
    }

    /// Fails if the answer is right in everything.
    pub(crate) fn wrong(&mut self, task: &Task, answer: &Answer) {
        assert_wrong(task, answer);
        self.wrong.insert(task.seed);
        self.answers[1] += 1;
    }

    fn is_full(&self) -> bool {
        self.right.len() >= ANSWERS && self.wrong.len() >= ANSWERS
    }
}

/// Draws one task after the other, no seed twice, until a thousand of them had right answers and a thousand had wrong
/// ones; prints how many that were.
pub(crate) fn thousand(kind: Kind, mut each: impl FnMut(&Task, &mut Rng, &mut Tally)) {
    let exercise = Exercise::of(kind);
    let mut tally = Tally::default();
    let mut drawn = 0;
    while drawn < MOST_SEEDS && !tally.is_full() {
        let task = exercise.task(drawn + 100).expect("a task");
        each(&task, &mut Rng::with_seed(drawn), &mut tally);
        drawn += 1;
    }
    let [rights, wrongs] = tally.answers;
    let counted = format!(
        "{kind}: {drawn} seeds, {} with {rights} right answers, {} with {wrongs} wrong ones",
        tally.right.len(),
        tally.wrong.len()
    );
    println!("{counted}");
    assert!(tally.is_full(), "{counted}");
}

/// Fails with everything one needs to see.
fn assert_right(task: &Task, answer: &Answer) {
    let mark = task.mark(answer);
    assert!(
        mark.is_right(),
        "refused: {}\n{}\n{answer:?}\n{mark:#?}",
        task.setting.chart,
        task.question().english()
    );
}

/// Fails with everything one needs to see.
fn assert_wrong(task: &Task, answer: &Answer) {
    let mark = task.mark(answer);
    assert!(
        !mark.is_right(),
        "passed: {}\n{}\n{answer:?}\n{mark:#?}",
        task.setting.chart,
        task.question().english()
    );
}

/// One of some.
pub(crate) fn one<T: Clone>(rng: &mut Rng, from: &[T]) -> T {
    from[rng.usize(0..from.len())].clone()
}

/// Semitones of the degrees of a major scale.
const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

/// A number taken apart by hand: degree, alteration, and what stands behind.
pub(crate) fn number(text: &str) -> (i32, i32, String) {
    let (alteration, rest) = match text.as_bytes()[0] {
        b'b' => (-1, &text[1..]),
        b'#' => (1, &text[1..]),
        _ => (0, text),
    };
    let degree = i32::from(rest.as_bytes()[0] - b'0');
    (degree, alteration, rest[1..].to_owned())
}

/// The pitch class of a number's root in a key.
pub(crate) fn root_class(text: &str, key: Key) -> i32 {
    let (degree, alteration, _) = number(text);
    let tonic = i32::from(key.tonic.class().number());
    (tonic + MAJOR[degree as usize - 1] + alteration).rem_euclid(12)
}

/// The name of a number's root in a key, letter by letter.
pub(crate) fn root_name(text: &str, key: Key) -> String {
    let (degree, _, _) = number(text);
    let letters = [
        Letter::C,
        Letter::D,
        Letter::E,
        Letter::F,
        Letter::G,
        Letter::A,
        Letter::B,
    ];
    let from = letters.iter().position(|l| *l == key.tonic.letter).expect("a letter");
    let at = (from + degree as usize - 1) % 7;
    let natural = MAJOR[at];
    let off = (root_class(text, key) - natural + 6).rem_euclid(12) - 6;
    let sign = if off < 0 { "b" } else { "#" };
    format!(
        "{}{}",
        ["C", "D", "E", "F", "G", "A", "B"][at],
        sign.repeat(off.unsigned_abs() as usize)
    )
}

/// The semitones of the chord that stands behind a number, above its root.
pub(crate) fn tones(suffix: &str) -> &'static [i32] {
    match suffix {
        "" => &[0, 4, 7],
        "-" => &[0, 3, 7],
        "7" => &[0, 4, 7, 10],
        other => panic!("{other} is not in the table"),
    }
}

/// The pitch classes of a number in a key.
pub(crate) fn classes(text: &str, key: Key) -> Vec<i32> {
    let (_, _, suffix) = number(text);
    tones(&suffix)
        .iter()
        .map(|t| (root_class(text, key) + t).rem_euclid(12))
        .collect()
}

/// The note of a string in semitones on the MIDI scale, from its pitch and the pulls on it.
pub(crate) fn note(instrument: &Instrument, string: StringNumber, place: Place) -> i32 {
    let open = i32::from(instrument.strings[string.index()].pitch.number().expect("a note").0);
    let (mut up, mut down) = (0.0_f64, 0.0_f64);
    for id in place.stance.pressed() {
        for pull in instrument.changes[id.index()]
            .pulls
            .iter()
            .filter(|p| p.string == string)
        {
            up = up.max(pull.by.0);
            down = down.min(pull.by.0);
        }
    }
    open + i32::from(place.fret) + ((up + down) / 100.0).round() as i32
}

/// The notes of a grip, from the lowest up.
pub(crate) fn notes(instrument: &Instrument, grip: Grip) -> Vec<i32> {
    let mut notes: Vec<i32> = grip.strings.iter().map(|s| note(instrument, s, grip.place)).collect();
    notes.sort_unstable();
    notes
}

/// The highest note of a grip.
pub(crate) fn top(instrument: &Instrument, grip: Grip) -> i32 {
    *notes(instrument, grip).last().expect("a string")
}

/// Every way to press up to two changes fully.
pub(crate) fn stances(instrument: &Instrument) -> Vec<Stance> {
    let ids: Vec<_> = instrument.change_ids().collect();
    let mut all = vec![Stance::OPEN];
    for (i, a) in ids.iter().enumerate() {
        all.push(Stance::OPEN.with(*a));
        all.extend(ids[i + 1..].iter().map(|b| Stance::OPEN.with(*a).with(*b)));
    }
    all
}

/// Every set of three strings within six neighbours.
pub(crate) fn threes(instrument: &Instrument) -> Vec<StringSet> {
    let strings: Vec<_> = instrument.string_numbers().collect();
    let mut sets = Vec::new();
    for (i, a) in strings.iter().enumerate() {
        for (j, b) in strings.iter().enumerate().skip(i + 1) {
            sets.extend(
                strings
                    .iter()
                    .skip(j + 1)
                    .filter(|c| c.index() - i < 6)
                    .map(|c| [*a, *b, *c].into_iter().collect::<StringSet>()),
            );
        }
    }
    sets
}

/// Those places that are right and those that are wrong.
type Sorted = Rc<(Vec<Grip>, Vec<Grip>)>;

/// The places of a chord as [`sort_places`] finds them, looked for once.
pub(crate) fn sorted_places(instrument: &Instrument, chord: &[i32]) -> Sorted {
    thread_local! {
        static FOUND: RefCell<HashMap<(String, Vec<i32>), Sorted>> = RefCell::default();
    }
    let key = (instrument.name.clone(), chord.to_vec());
    FOUND.with_borrow_mut(|found| {
        let find = || Rc::new(sort_places(instrument, chord));
        Rc::clone(found.entry(key).or_insert_with(find))
    })
}

/// Every place up to fret 15 tried: those that sound exactly this chord and can be held, and those that do not.
fn sort_places(instrument: &Instrument, chord: &[i32]) -> (Vec<Grip>, Vec<Grip>) {
    let (mut right, mut wrong) = (Vec::new(), Vec::new());
    let sets = threes(instrument);
    for stance in stances(instrument) {
        let held = body::can_hold(instrument, stance).is_ok();
        for fret in 0..=15 {
            let place = Place::straight(fret, stance);
            for strings in &sets {
                let grip = Grip {
                    place,
                    strings: *strings,
                };
                let heard: Vec<i32> = notes(instrument, grip).iter().map(|n| n.rem_euclid(12)).collect();
                let sounds = chord.iter().all(|c| heard.contains(c)) && heard.iter().all(|h| chord.contains(h));
                if sounds && held {
                    right.push(grip)
                } else {
                    wrong.push(grip)
                }
            }
        }
    }
    (right, wrong)
}
