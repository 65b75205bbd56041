//! What the tests of marks reckon by themselves: notes from the strings' pitches and pulls, chords from a table of
//! semitones, places by trying every one. Nothing here asks the crate what is right.

#![allow(dead_code)] // each test takes what it needs
#![allow(clippy::expect_used)] // a test that cannot go on says so

use fastrand::Rng;
use leadbar::solo::stroke::Grip;
use leadbar::steel::{Instrument, Place, Stance, StringNumber, StringSet, body};
use leadbar::teach::exercise::{Answer, Exercise, Kind, Task};
use leadbar::theory::{Key, Letter};

/// How many answers of each kind are tried, right ones and wrong ones.
pub(crate) const ANSWERS: usize = 1000;

/// Tasks of a kind, and chance to try answers with.
pub(crate) fn tasks(kind: Kind, count: u64) -> Vec<(Task, Rng)> {
    let exercise = Exercise::of(kind);
    let draw = |seed| (exercise.task(seed + 100).expect("a task"), Rng::with_seed(seed));
    (0..count).map(draw).collect()
}

/// Fails with everything one needs to see.
pub(crate) fn assert_right(task: &Task, answer: &Answer) {
    let mark = task.mark(answer);
    assert!(
        mark.is_right(),
        "refused: {}\n{}\n{answer:?}\n{mark:#?}",
        task.setting.chart,
        task.question()
    );
}

/// Fails with everything one needs to see.
pub(crate) fn assert_wrong(task: &Task, answer: &Answer) {
    let mark = task.mark(answer);
    assert!(
        !mark.is_right(),
        "passed: {}\n{}\n{answer:?}\n{mark:#?}",
        task.setting.chart,
        task.question()
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

/// Every place up to fret 15 tried: those that sound exactly this chord and can be held, and those that do not.
pub(crate) fn sorted_places(instrument: &Instrument, chord: &[i32]) -> (Vec<Grip>, Vec<Grip>) {
    let (mut right, mut wrong) = (Vec::new(), Vec::new());
    let sets = threes(instrument);
    for stance in stances(instrument) {
        let held = body::can_hold(instrument, stance).is_ok();
        for fret in 0..=15 {
            let place = Place { fret, stance };
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
