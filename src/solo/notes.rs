//! The notes of a performance: what is heard of each pluck, from the pluck until the string is stopped or has died.
//!
//! Tab, lanes, MIDI and marks are made from these.
//!
//! *Invariant:* one note for each pluck, in the plucks' order; no note ends before it starts, and on one string
//! no note reaches past the next pluck.

#[cfg(test)]
mod tests;

use super::performance::{BarMovement, BlockKind, Movement, Performance, Pluck, Touch};
use crate::steel::{ChangeId, Fret, Instrument, StringNumber, Travel};
use crate::theory::{Beats, Cents, ChordSpan, ChordTone, Height, NoteName, Pitch, Seconds, Tempo, rank};
use crate::theory::{Interval, Letter, PitchClass};

/// How long an open low string rings before it is lost under the band. From memory, adjustable here.
const LOW_RING: Seconds = Seconds(12.0);
/// How long the highest notes ring. From memory, adjustable here.
const HIGH_RING: Seconds = Seconds(3.0);
/// Heights that [`LOW_RING`] and [`HIGH_RING`] belong to; between them the time falls evenly.
const RING_RANGE: (Height, Height) = (Height(40.0), Height(88.0));
/// Pitch differences below this are no movement.
const STILL: Cents = Cents(1.0);

/// What ends a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The same string is plucked again.
    Pluck,
    /// The string is stopped.
    Block(BlockKind),
    /// It has died away by itself.
    Decay,
    /// The performance is over.
    Over,
}

/// What moves a sounding note's pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cause {
    /// The bar glides.
    Bar {
        /// Where it sets off, as far as this note hears it.
        from: Fret,
        /// Where it arrives.
        to: Fret,
    },
    /// A pedal or lever is pressed or let up.
    Change {
        /// Which one.
        id: ChangeId,
        /// How far it was pressed.
        from: Travel,
        /// How far it is pressed then.
        to: Travel,
    },
}

/// One movement of a note's pitch while it sounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// When it begins; not before the note.
    pub start: Beats,
    /// When it has arrived; not after the note.
    pub end: Beats,
    /// What moves.
    pub cause: Cause,
    /// The string's height at the start, everything that moves counted in.
    pub from: Height,
    /// The string's height at the end.
    pub to: Height,
}

/// One sounding note.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// The pluck that starts it.
    pub pluck: Pluck,
    /// When it stops sounding.
    pub end: Beats,
    /// What stops it.
    pub ended_by: End,
    /// Its height as it is plucked, without vibrato, the harmonic counted in.
    pub height: Height,
    /// How its pitch moves while it sounds, in order of time.
    pub motions: Vec<Motion>,
}

impl Note {
    /// Its string.
    #[must_use]
    pub fn string(&self) -> StringNumber {
        self.pluck.string
    }

    /// When it is plucked.
    #[must_use]
    pub fn start(&self) -> Beats {
        self.pluck.at
    }

    /// How long it sounds.
    #[must_use]
    pub fn length(&self) -> Beats {
        self.end - self.pluck.at
    }

    /// Whether it sounds at `at`.
    #[must_use]
    pub fn sounds_at(&self, at: Beats) -> bool {
        self.start() <= at && at < self.end
    }

    /// The heights it comes to rest on, each with its moment: first the pluck (unless the pitch is moving
    /// already), then the end of each movement that no other one overlaps and that the note outlasts.
    pub fn rests(&self) -> impl Iterator<Item = (Beats, Height)> + '_ {
        let moving = |at: Beats| self.motions.iter().any(|m| m.start <= at && at < m.end);
        let first = (!moving(self.start())).then_some((self.start(), self.height));
        let later = self
            .motions
            .iter()
            .filter(move |m| m.end < self.end && !moving(m.end))
            .map(|m| (m.end, m.to));
        first.into_iter().chain(later)
    }
}

impl Touch {
    /// How far the touch raises the string above its stopped pitch: a string touched 12, 7 or 5 frets above
    /// the bar sounds its 2nd, 3rd or 4th partial. Any other fret has no clear harmonic and raises nothing.
    ///
    /// Source: the partials of an ideal string, f_n = n f_1.
    #[must_use]
    pub fn raise(self) -> Cents {
        let partial: f64 = match self {
            Self::Harmonic(12) => 2.0,
            Self::Harmonic(7 | 19) => 3.0,
            Self::Harmonic(5 | 24) => 4.0,
            Self::Plain | Self::Harmonic(_) => 1.0,
        };
        Cents(1200.0 * partial.log2())
    }
}

/// All notes of a performance, one for each pluck, in the plucks' order. Plucks of strings the instrument
/// has not are left out.
#[must_use]
pub fn notes(performance: &Performance, instrument: &Instrument, tempo: Tempo) -> Vec<Note> {
    let movements = Movements::of(performance, instrument);
    let mut next_pluck: [Option<Beats>; StringNumber::MOST] = [None; StringNumber::MOST];
    let mut found: Vec<Note> = Vec::with_capacity(performance.plucks.len());
    for pluck in performance.plucks.iter().rev() {
        let again = next_pluck[pluck.string.index()].replace(pluck.at);
        let Some(stopped) = still_height(performance, instrument, pluck.string, pluck.at) else {
            continue;
        };
        let height = stopped.shifted(pluck.touch.raise());
        let (end, ended_by) = ending(performance, pluck, again, ring(height).at(tempo));
        let motions = motions(performance, instrument, &movements, pluck, end);
        found.push(Note {
            pluck: *pluck,
            end,
            ended_by,
            height,
            motions,
        });
    }
    found.reverse();
    found
}

/// What moves in a performance: the bar, and each change.
struct Movements {
    bar: InTime<BarMovement>,
    changes: Vec<(ChangeId, InTime<Movement>)>,
}

impl Movements {
    fn of(performance: &Performance, instrument: &Instrument) -> Self {
        let lanes = instrument.change_ids().zip(&performance.travels);
        Self {
            bar: InTime::new(performance.bar_movements(), |m| (m.start, m.end)),
            changes: lanes
                .map(|(id, curve)| (id, InTime::new(curve.movements().collect(), |m| (m.start, m.end))))
                .collect(),
        }
    }
}

/// Movements in the order in which they start, among which those near a note are found without looking at all of them.
struct InTime<M> {
    all: Vec<M>,
    /// When each starts.
    starts: Vec<Beats>,
    /// When it and all before it are over.
    over: Vec<Beats>,
}

impl<M> InTime<M> {
    fn new(all: Vec<M>, stretch: impl Fn(&M) -> (Beats, Beats)) -> Self {
        let (starts, ends): (Vec<_>, Vec<_>) = all.iter().map(stretch).unzip();
        let mut last = Beats(f64::NEG_INFINITY);
        let over = ends.into_iter().map(|end| {
            last = last.max(end);
            last
        });
        Self {
            over: over.collect(),
            starts,
            all,
        }
    }

    /// Those that start before `to` and may last beyond `from`.
    fn between(&self, from: Beats, to: Beats) -> &[M] {
        let first = self.over.partition_point(|over| *over <= from);
        let end = self.starts.partition_point(|start| *start < to);
        self.all.get(first..end).unwrap_or_default()
    }
}

/// How long a string of this height rings when nothing stops it.
fn ring(height: Height) -> Seconds {
    let (low, high) = RING_RANGE;
    let part = ((height.0 - low.0) / (high.0 - low.0)).clamp(0.0, 1.0);
    Seconds(LOW_RING.0 + (HIGH_RING.0 - LOW_RING.0) * part)
}

/// The height of a string without vibrato.
fn still_height(performance: &Performance, instrument: &Instrument, string: StringNumber, at: Beats) -> Option<Height> {
    instrument.height(string, performance.fret_on(instrument, string, at), |c| {
        performance.travel(c, at)
    })
}

fn ending(performance: &Performance, pluck: &Pluck, again: Option<Beats>, ring: Beats) -> (Beats, End) {
    let later = performance.blocks.partition_point(|b| b.at <= pluck.at);
    let block = performance
        .blocks
        .iter()
        .skip(later)
        .find(|b| b.strings.contains(pluck.string))
        .map(|b| (b.at, End::Block(b.kind)));
    // At one moment the first in this list names the end.
    let candidates = [
        Some((performance.length, End::Over)),
        again.map(|at| (at, End::Pluck)),
        block,
        Some((pluck.at + ring, End::Decay)),
    ];
    let mut first = (Beats(f64::INFINITY), End::Over);
    for candidate in candidates.into_iter().flatten() {
        if candidate.0 < first.0 {
            first = candidate;
        }
    }
    (first.0.max(pluck.at), first.1)
}

fn motions(
    performance: &Performance,
    instrument: &Instrument,
    movements: &Movements,
    pluck: &Pluck,
    end: Beats,
) -> Vec<Motion> {
    let heard = |from: Beats, to: Beats| {
        let (from, to) = (from.max(pluck.at), to.min(end));
        (from <= to && to > pluck.at && from < end).then_some((from, to))
    };
    let height = |bar: Fret, travel: &dyn Fn(ChangeId) -> Travel| {
        instrument
            .height(pluck.string, bar, travel)
            .map(|h| h.shifted(pluck.touch.raise()))
    };
    let stopped = |at: Beats| performance.fret_on(instrument, pluck.string, at);
    let at_time = |at: Beats| height(stopped(at), &|c| performance.travel(c, at));
    let mut found = Vec::new();
    let mut add = |start: Beats, stop: Beats, cause: Cause| {
        let jump = stop <= start;
        let before = if jump {
            before_jump(performance, instrument, pluck, start, cause)
        } else {
            at_time(start)
        };
        if let (Some(from), Some(to)) = (before, at_time(stop)) {
            found.push(Motion {
                start,
                end: stop,
                cause,
                from,
                to,
            });
        }
    };
    for m in movements.bar.between(pluck.at, end) {
        if let Some((start, stop)) = heard(m.start, m.end) {
            let (from, to) = if m.end > m.start {
                (stopped(start), stopped(stop))
            } else {
                (m.from.on(instrument, pluck.string), m.to.on(instrument, pluck.string))
            };
            // The string by which a bar is held stands still while it turns.
            let turns = !(m.from.is_straight() && m.to.is_straight());
            if !turns || (to.0 - from.0).abs() * 100.0 >= STILL.0 {
                add(start, stop, Cause::Bar { from, to });
            }
        }
    }
    for (id, lane) in &movements.changes {
        let id = *id;
        for m in lane.between(pluck.at, end) {
            let Some((start, stop)) = heard(m.start, m.end) else {
                continue;
            };
            let (from, to) = if m.end > m.start {
                (performance.travel(id, start), performance.travel(id, stop))
            } else {
                (Travel(m.from), Travel(m.to))
            };
            let bar = stopped(stop);
            let others = |c: ChangeId| performance.travel(c, stop);
            let with = |t: Travel| height(bar, &|c| if c == id { t } else { others(c) });
            let moves = with(from)
                .zip(with(to))
                .is_some_and(|(a, b)| b.above(a).0.abs() >= STILL.0);
            if moves {
                add(start, stop, Cause::Change { id, from, to });
            }
        }
    }
    found.sort_by_cached_key(|one| (rank(one.start.0), rank(one.end.0)));
    found
}

/// The height just before a movement that takes no time.
fn before_jump(
    performance: &Performance,
    instrument: &Instrument,
    pluck: &Pluck,
    at: Beats,
    cause: Cause,
) -> Option<Height> {
    let bar = match cause {
        Cause::Bar { from, .. } => from,
        Cause::Change { .. } => performance.fret_on(instrument, pluck.string, at),
    };
    let travel = |c: ChangeId| match cause {
        Cause::Change { id, from, .. } if id == c => from,
        _ => performance.travel(c, at),
    };
    instrument
        .height(pluck.string, bar, travel)
        .map(|h| h.shifted(pluck.touch.raise()))
}

/// What a height means over a chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meaning {
    /// The nearest note, spelled for the chord and its key.
    pub pitch: Pitch,
    /// How far the height lies above that note.
    pub off: Cents,
    /// Its place in the chord, or nothing when it is foreign to it.
    pub tone: Option<ChordTone>,
    /// The interval above the chord's root, for tensions and passing notes too.
    pub above_root: Interval,
}

impl Meaning {
    /// What `height` means while `span` is in force.
    #[must_use]
    pub fn of(height: Height, span: &ChordSpan) -> Self {
        let number = height.nearest();
        let class = number.class();
        let tone = span.chord.tone_of(class);
        let above_root = tone.map_or_else(|| foreign(class, span), |t| t.0);
        let name = above_root.above(span.chord.root);
        Self {
            pitch: with_octave(name, number.height()),
            off: height.above(number.height()),
            tone,
            above_root,
        }
    }

    /// The degree as players say it: 1, b3, 5, b7, 9 ...
    #[must_use]
    pub fn degree(&self) -> String {
        ChordTone(self.above_root).label()
    }
}

/// A note foreign to the chord, as an interval above its root: spelled as the key has it where the key has it,
/// else as the chord suggests.
fn foreign(class: PitchClass, span: &ChordSpan) -> Interval {
    let in_key = span.key.scale().notes().find(|name| name.class() == class);
    let name = in_key.unwrap_or_else(|| span.chord.spell(class));
    Interval::between(span.chord.root, name)
}

/// The named note nearest to `height` (which sounds its class).
#[allow(clippy::cast_possible_truncation)]
fn with_octave(name: NoteName, height: Height) -> Pitch {
    // The letter's octave is that of its natural note: Cb4 is B3 by ear.
    let natural = height.0 - f64::from(name.accidental.0) - f64::from(Letter::natural(name.letter).0);
    Pitch {
        name,
        octave: (natural / 12.0).round() as i8 - 1,
    }
}
