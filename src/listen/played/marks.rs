//! What is said of each note: there or not, when, how high, and how it ended.

use super::expected::Expected;
use super::lines::{Heard, own};
use super::onsets::onsets;
use crate::sound::SampleRate;
use crate::steel::Fret;
use crate::theory::{Cents, Height, Seconds};
use serde::{Deserialize, Serialize};

/// A note may be this early or late and still be the one that was meant.
const REACH: f64 = 0.2;

/// A plucked string grows by at least this, in decibels, and stands out of what is beside it by so much.
const GROWS: f64 = 4.0;
const STANDS_OUT: f64 = 8.0;

/// The same for a string that still rang at the same pitch.
const GROWS_AGAIN: f64 = 1.5;

/// A string that still rang may be picked again softer than before: alone, on time, and fallen by no more than this.
const AGAIN_SOFTER: f64 = -6.0;

/// Plucks nearer than this, in seconds, are made together.
const TOGETHER: f64 = 0.08;

/// A note more than this below the loudest one is not heard, in decibels.
const FAINT: f64 = 38.0;

/// A pluck so much fainter in a string's own partials than another one near it, in decibels, is somebody else's.
const LEAKS: f64 = 10.0;

/// A string beside a note's own that is so much louder, in decibels, was plucked in its stead.
const OUTSHINES: f64 = 14.0;
/// Partials of its own that a string must have to be compared with the one beside it.
const COMPARED: usize = 3;

/// Which notes may be played unasked, as MIDI note numbers.
const EXTRA_FROM: u8 = 40;
const EXTRA_TO: u8 = 90;

/// A pluck this near a note that is missing, in seconds, may have been made in its stead.
const INSTEAD: f64 = 0.12;

/// Where around a pluck a glide would be taken for one, in seconds: while it lasts, and as long after it as a bar takes
/// that went past its end and comes back.
const SLIDE: [f64; 6] = [-0.3, -0.24, -0.18, -0.06, 0.0, 0.06];

/// Overtones that are strong enough to be taken for a note, and how far from its place one may lie whose string went past
/// the end of its slide.
const OVERTONES: u32 = 6;
const PAST_THE_END: Cents = Cents(60.0);

/// Heights nearer than this are the same note.
const ANOTHER: Cents = Cents(50.0);

/// Where the sound is compared before and after a pluck.
const BEFORE: f64 = 0.045;
const AFTER: f64 = 0.06;

/// The pitch is looked at from here after the pluck, every so often.
const SETTLED: f64 = 0.07;
const EVERY: f64 = 0.02;

/// A height that moves by more within 80 ms is gliding.
const GLIDES: Cents = Cents(25.0);

/// How near the ear wants a note at the nut, and how much the hand's own error adds from fret to fret: an error of
/// 1.5 mm is 5 cents at the third fret and 8.4 at the twelfth, for the same move of the bar counts for more up there
/// (`steel::geometry::for_cents`).
const AT_NUT: Cents = Cents(4.2);

/// What stops sounds by less than this, in decibels, within 150 ms was not stopped.
const STOPS: f64 = 10.0;

/// A note this near its time is on time: what players of one band differ by. Common practice, no source.
pub const ON_TIME: Seconds = Seconds(0.045);

/// How a note's pitch was.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Intonation {
    /// The middle of how far it lay above what was asked.
    pub off: Cents,
    /// How far off it may be at its fret.
    pub tolerance: Cents,
}

impl Intonation {
    /// Whether it is as near as it should be.
    #[must_use]
    pub fn in_tune(&self) -> bool {
        self.off.0.abs() <= self.tolerance.0
    }
}

/// What is said of one note.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct NoteMark {
    /// How late it came, negative when early; nothing when it was not heard.
    pub late: Option<Seconds>,
    /// Its pitch where it rests; nothing when it can't be told.
    pub intonation: Option<Intonation>,
    /// How far a slide went past its end before it settled, when more than tolerance.
    pub overshoot: Option<Cents>,
    /// It should have been stopped and rings on.
    pub rings_on: bool,
    /// How far it lay above what was asked, time after time, in the note's own time; empty where it can't be told.
    pub course: Vec<(Seconds, Cents)>,
}

impl NoteMark {
    /// Whether it came as near its time as a listener asks.
    #[must_use]
    pub fn on_time(&self) -> bool {
        self.late.is_some_and(|late| late.0.abs() <= ON_TIME.0)
    }

    /// Whether it was played.
    #[must_use]
    pub fn heard(&self) -> bool {
        self.late.is_some()
    }
}

/// A note that nobody asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Extra {
    /// When it was plucked.
    pub at: Seconds,
    /// How high it was, to the semitone.
    pub height: Height,
}

/// What is said of a phrase.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Marks {
    /// Of each expected note, in their order.
    pub notes: Vec<NoteMark>,
    /// What was plucked that no expected note explains, in order of time.
    pub extra: Vec<Extra>,
}

/// How far off a note may be at a fret.
#[must_use]
pub fn tolerance(fret: Fret) -> Cents {
    Cents(AT_NUT.0 * (fret.0 / 12.0).exp2())
}

/// Marks what was played: `samples` at `rate`, in the time of the expected notes.
#[must_use]
pub fn mark(samples: &[f32], rate: SampleRate, expected: &[Expected]) -> Marks {
    let heard = Heard { samples, rate };
    let plucks = onsets(samples, rate);
    let looks: Vec<Look> = (0..expected.len())
        .map(|n| Look::of(&heard, expected, n, &plucks))
        .collect();
    let loudest = looks
        .iter()
        .filter_map(|look| look.best)
        .map(|best| best.level)
        .fold(f64::NEG_INFINITY, f64::max);
    let found: Vec<Option<Seconds>> = looks
        .iter()
        .map(|look| {
            look.best
                .filter(|best| best.level > loudest - FAINT)
                .map(|best| best.at)
        })
        .zip(expected)
        .map(|(at, note)| at.filter(|at| !outshone(&heard, expected, note, *at)))
        .collect();
    let each = expected.iter().zip(&looks).zip(&found);
    let notes = each.map(|((note, look), found)| NoteMark {
        rings_on: found.is_some() && note.stopped && rings_on(&heard, note, expected),
        ..look.mark(&heard, note, *found)
    });
    let there: Vec<(&Expected, bool)> = expected.iter().zip(found.iter().map(Option::is_some)).collect();
    let explained = |pluck: &Seconds| {
        let played = found.iter().flatten().any(|at| (*at - *pluck).0.abs() < 0.03);
        // Beside notes that were played another string may have been picked instead of one that is missing.
        let lacking = |(note, heard): &(&Expected, bool)| !heard && (note.at - *pluck).0.abs() < INSTEAD;
        played && !there.iter().any(lacking)
    };
    Marks {
        notes: notes.collect(),
        extra: plucks
            .iter()
            .filter(|pluck| asked_for(expected, **pluck) && !explained(pluck))
            .filter_map(|pluck| extra(&heard, &there, *pluck, loudest))
            .collect(),
    }
}

/// Whether anything was to be played about that time: what sounds before the first note and after the last one is not the
/// player's answer, but the band, or a hand that gets ready.
fn asked_for(expected: &[Expected], at: Seconds) -> bool {
    let first = expected.iter().map(|note| note.at.0).fold(f64::INFINITY, f64::min);
    let last = expected.iter().map(|note| note.end.0).fold(f64::NEG_INFINITY, f64::max);
    (first - REACH..=last + REACH).contains(&at.0)
}

/// Whether a note at `height` would be an overtone of `note`, which may have gone past the end of a slide.
fn is_overtone(height: Height, note: Height) -> bool {
    let above = height.above(note).0;
    (2..=OVERTONES).any(|number| (above - 1200.0 * f64::from(number).log2()).abs() < PAST_THE_END.0)
}

/// Whether a string beside a note's own was plucked at that time and not the note: so much louder that what is left of
/// the note's partials is only what leaks from it.
fn outshone(heard: &Heard, expected: &[Expected], note: &Expected, at: Seconds) -> bool {
    let (before, after) = (Seconds(at.0 - BEFORE), Seconds(at.0 + AFTER));
    let sounds =
        |other: &&Expected| !std::ptr::eq(*other, note) && other.at.0 < after.0 + 0.1 && other.end.0 > before.0 - 0.1;
    let asked: Vec<Height> = expected.iter().filter(sounds).map(|other| other.height(at)).collect();
    let own_height = note.height(at);
    note.beside.iter().any(|beside| {
        // What is asked of another string is no mistake, nor is the same note on another one.
        let asked_for = |height: &Height| height.above(*beside).0.abs() < ANOTHER.0;
        if asked.iter().chain([&own_height]).any(asked_for) {
            return false;
        }
        let with = |height: Height| asked.iter().copied().chain([height]).collect::<Vec<_>>();
        let (theirs, they_have) = own(*beside, &with(own_height));
        let (its, it_has) = own(own_height, &with(*beside));
        // Where one of the two shares its ground tone with another string, or nearly all above it, too little is left of
        // it to be compared.
        let enough = |numbers: &[u32]| numbers.contains(&1) && numbers.len() >= COMPARED;
        if !they_have || !it_has || !enough(&theirs) || !enough(&its) {
            return false;
        }
        let (Some(they), Some(it)) = (
            heard.strength(&theirs, after, *beside),
            heard.strength(&its, after, own_height),
        ) else {
            return false;
        };
        let grows = heard
            .strength(&theirs, before, *beside)
            .map_or(60.0, |then| they.level - then.level);
        they.level > it.level + OUTSHINES && they.stands_out > STANDS_OUT && grows > GROWS
    })
}

/// The note that was plucked though none was expected; nothing when no pitch grew there (a string was stopped, a hand
/// was set down, somebody else played a drum). `there` are the expected notes and whether each was heard.
fn extra(heard: &Heard, there: &[(&Expected, bool)], at: Seconds, loudest: f64) -> Option<Extra> {
    let (before, after) = (Seconds(at.0 - BEFORE), Seconds(at.0 + AFTER));
    let near = |note: &Expected| note.at.0 < after.0 + 0.1 && note.end.0 > before.0 - 0.1;
    let around = || there.iter().filter(|(note, _)| near(note));
    // A string that glides comes by pitches nobody picked.
    let slides = |note: &Expected| SLIDE.iter().any(|by| gliding(note, Seconds(at.0 + by)));
    if around().any(|(note, _)| note.sounds(at) && slides(note)) {
        return None;
    }
    let others: Vec<Height> = around()
        .filter(|(_, heard)| *heard)
        .map(|(note, _)| note.height(at))
        .collect();
    let asked: Vec<Height> = around().map(|(note, _)| note.height(at)).collect();
    let grown = |height: Height, clear: &Clear| {
        // What was asked for was not too much, however it came.
        let asked_for = |asked: &Height| height.above(*asked).0.abs() < ANOTHER.0 || is_overtone(height, *asked);
        if asked.iter().any(asked_for) {
            return None;
        }
        let (numbers, has_own) = own(height, &others);
        if !has_own || numbers.len() < clear.partials || !numbers.contains(&1) {
            return None;
        }
        let now = heard.strength(&numbers, after, height)?;
        let grows = heard
            .strength(&numbers, before, height)
            .map_or(60.0, |then| now.level - then.level);
        let is_clear = grows > clear.grows && now.stands_out > clear.stands_out && now.level > loudest - clear.faint;
        is_clear.then_some((height, now.level + now.stands_out))
    };
    let lacking = there
        .iter()
        .filter(|(note, heard)| !heard && (note.at - at).0.abs() < INSTEAD);
    let beside = lacking.flat_map(|(note, _)| note.beside.iter().copied());
    let lowest = lowest_about(there, at);
    let anywhere = (EXTRA_FROM..=EXTRA_TO).map(|number| Height(f64::from(number)));
    let anywhere = anywhere.filter(|height| height.0 > lowest.0 - 0.5);
    let loudest_of = |found: &mut dyn Iterator<Item = (Height, f64)>| found.max_by(|a, b| a.1.total_cmp(&b.1));
    let best = loudest_of(&mut beside.filter_map(|height| grown(height, &Clear::INSTEAD)))
        .or_else(|| loudest_of(&mut anywhere.filter_map(|height| grown(height, &Clear::UNASKED))));
    best.map(|(height, _)| Extra { at, height })
}

/// The lowest that the instrument would sound about a time: where the bar was last, or where it is next.
fn lowest_about(there: &[(&Expected, bool)], at: Seconds) -> Height {
    let before = there.iter().rfind(|(note, _)| note.at.0 <= at.0);
    let after = there.iter().find(|(note, _)| note.at.0 > at.0);
    let both = before.into_iter().chain(after).map(|(note, _)| note.lowest.0);
    Height(both.fold(f64::INFINITY, f64::min))
}

/// How clear a note must be that nobody asked for: so many partials of its own, so much growth, so far above what is
/// beside it, at most so far below the loudest note (the last three in decibels).
struct Clear {
    partials: usize,
    grows: f64,
    stands_out: f64,
    faint: f64,
}

impl Clear {
    /// Any note at any time.
    const UNASKED: Self = Self {
        partials: 3,
        grows: 12.0,
        stands_out: 14.0,
        faint: 22.0,
    };
    /// A string beside one that is missing: that few are asked, less will do.
    const INSTEAD: Self = Self {
        partials: 2,
        grows: 8.0,
        stands_out: 10.0,
        faint: 30.0,
    };
}

/// A pluck that may be the note's.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    at: Seconds,
    worth: f64,
    level: f64,
}

/// One expected note as it is looked for.
struct Look {
    /// The partials it shares with no other string, or all when it has none of its own.
    numbers: Vec<u32>,
    has_own: bool,
    best: Option<Candidate>,
    /// Whether the same pitch was sounding on the string until now.
    again: bool,
    /// Whether no other string is to be picked with it.
    alone: bool,
}

impl Look {
    fn of(heard: &Heard, expected: &[Expected], index: usize, plucks: &[Seconds]) -> Self {
        let note = &expected[index];
        let middle = Seconds(note.at.0 + 0.5 * (note.end.0 - note.at.0).min(0.4));
        let near =
            |other: &&Expected| other.string != note.string && other.at.0 < note.end.0 && other.end.0 > note.at.0;
        let others: Vec<Height> = expected.iter().filter(near).map(|other| other.height(middle)).collect();
        let (numbers, has_own) = own(note.height(middle), &others);
        let same = |other: &&Expected| other.string == note.string;
        let last = expected[..index].iter().rfind(same);
        let before = last.map_or(f64::NEG_INFINITY, |n| n.at.0);
        let rang =
            |n: &Expected| note.at.0 - n.end.0 < 0.1 && n.height(n.end).above(note.height(note.at)).0.abs() < 50.0;
        let next = expected[index + 1..]
            .iter()
            .find(same)
            .map_or(f64::INFINITY, |n| n.at.0);
        let reach = REACH.min(0.5 * (note.at.0 - before)).min(0.5 * (next - note.at.0));
        let mut look = Self {
            numbers,
            has_own,
            best: None,
            again: last.is_some_and(rang),
            alone: !expected
                .iter()
                .any(|o| o.string != note.string && (o.at - note.at).0.abs() < TOGETHER),
        };
        let candidates = plucks.iter().filter(|pluck| (**pluck - note.at).0.abs() <= reach);
        let plucked: Vec<Candidate> = candidates
            .filter_map(|pluck| look.candidate(heard, note, *pluck))
            .collect();
        let loudest = plucked.iter().map(|c| c.level).fold(f64::NEG_INFINITY, f64::max);
        look.best = plucked
            .into_iter()
            .filter(|c| c.level > loudest - LEAKS)
            .max_by(|a, b| a.worth.total_cmp(&b.worth));
        look
    }

    /// How well a pluck would be the note's; nothing when it can't be.
    fn candidate(&self, heard: &Heard, note: &Expected, at: Seconds) -> Option<Candidate> {
        // Later than meant, it has the pitch it was meant to have as much later.
        let height = note.height(Seconds(note.at.0 + AFTER));
        let after = heard.strength(&self.numbers, Seconds(at.0 + AFTER), height)?;
        let before = heard.strength(&self.numbers, Seconds(at.0 - BEFORE), height);
        let grows = before.map_or(60.0, |before| after.grown_since(&before));
        let on_time = (at - note.at).0.abs() <= ON_TIME.0;
        let least = match (self.again, self.alone && on_time) {
            (true, true) => AGAIN_SOFTER,
            (true, false) => GROWS_AGAIN,
            _ => GROWS,
        };
        let plucked = grows > least && after.stands_out > STANDS_OUT;
        plucked.then_some(Candidate {
            at,
            worth: grows.min(15.0) - 15.0 * (at - note.at).0.abs(),
            level: after.level,
        })
    }

    fn mark(&self, heard: &Heard, note: &Expected, found: Option<Seconds>) -> NoteMark {
        let Some(at) = found else {
            return NoteMark::default();
        };
        let late = at - note.at;
        let course = if self.has_own {
            self.course(heard, note, late)
        } else {
            Vec::new()
        };
        let tolerance = tolerance(note.fret);
        let resting: Vec<f64> = course
            .iter()
            .filter(|(at, _)| !gliding(note, *at))
            .map(|(_, off)| off.0)
            .collect();
        let intonation = middle(resting).map(|off| Intonation {
            off: Cents(off),
            tolerance,
        });
        NoteMark {
            late: Some(late),
            intonation,
            overshoot: overshoot(note, &course, tolerance),
            rings_on: false,
            course,
        }
    }

    /// How far the note lay off what was asked, time after time, in the note's own time.
    fn course(&self, heard: &Heard, note: &Expected, late: Seconds) -> Vec<(Seconds, Cents)> {
        let until = note.end.0 - 0.03;
        let times = std::iter::successors(Some(note.at.0 + SETTLED), |t| Some(t + EVERY)).take_while(|t| *t < until);
        times
            .filter_map(|t| {
                let off = heard.off(&self.numbers, Seconds(t + late.0.max(0.0)), note.height(Seconds(t)))?;
                Some((Seconds(t), off))
            })
            .collect()
    }
}

/// Whether a note goes on sounding though it should be stopped; no, when another string would sound the same.
fn rings_on(heard: &Heard, note: &Expected, expected: &[Expected]) -> bool {
    let height = note.height(note.end);
    let (now, later) = (Seconds(note.end.0 - 0.05), Seconds(note.end.0 + 0.15));
    let near =
        |other: &&Expected| !std::ptr::eq(*other, note) && other.at.0 < later.0 + 0.05 && other.end.0 > later.0 - 0.25;
    let others: Vec<&Expected> = expected.iter().filter(near).collect();
    if others
        .iter()
        .any(|other| other.string == note.string && other.at.0 > note.at.0)
    {
        return false;
    }
    let heights: Vec<Height> = others.iter().map(|other| other.height(later)).collect();
    let (numbers, has_own) = own(height, &heights);
    let strength = |at: Seconds| heard.strength(&numbers, at, height);
    match (strength(now), strength(later)) {
        (Some(before), Some(after)) if has_own => before.level - after.level < STOPS && after.stands_out > STANDS_OUT,
        _ => false,
    }
}

fn gliding(note: &Expected, at: Seconds) -> bool {
    let around = [at.0 - 0.04, at.0 + 0.04].map(|t| note.height(Seconds(t)));
    around[1].above(around[0]).0.abs() > GLIDES.0
}

/// How far a note went past the end of its last slide before it settled.
fn overshoot(note: &Expected, course: &[(Seconds, Cents)], tolerance: Cents) -> Option<Cents> {
    let (first, last) = (note.heights.first()?, note.heights.last()?);
    let arrives = course.iter().rposition(|(at, _)| gliding(note, *at))? + 1;
    let way = last.above(*first).0;
    if way.abs() < 80.0 {
        return None;
    }
    let after = course.get(arrives..)?;
    let settled = middle(after.iter().skip(after.len() / 2).map(|(_, off)| off.0).collect())?;
    let past = after
        .iter()
        .map(|(_, off)| (off.0 - settled) * way.signum())
        .fold(0.0, f64::max);
    (past > tolerance.0 + 6.0).then_some(Cents(past))
}

fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}
