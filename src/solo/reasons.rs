//! Why each move is there, in plain words: what the chord does, what the body does, what the ear hears.
//!
//! *Invariant:* a reason is read off the pass and the song; it is never stored, so it can't go stale.

use super::moves::{Kind, Move};
use super::notes::Meaning;
use super::pass::Pass;
use super::stroke::{Arrival, Attack, Grip, Stroke};
use super::words;
use crate::steel::{Instrument, Place, Stance, Travel};
use crate::theory::{Beats, ChordSpan, Height, NoteNumber, Timeline};

/// Silence after a move that is heard as a breath.
const BREATH: Beats = Beats(0.9);
/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// Why the move at `index` is there. Empty for an index the pass has not.
#[must_use]
pub fn why(pass: &Pass, index: usize, timeline: &Timeline, instrument: &Instrument) -> String {
    let (Some(action), Some(reader)) = (pass.moves.get(index), Reader::of(pass, index, timeline, instrument)) else {
        return String::new();
    };
    let mut sentences = vec![reader.what_happens(action)];
    sentences.extend(reader.slant(action));
    sentences.extend(reader.top_line(action));
    sentences.extend(reader.place_in_solo(action));
    sentences.join(" ")
}

struct Reader<'a> {
    pass: &'a Pass,
    index: usize,
    timeline: &'a Timeline,
    instrument: &'a Instrument,
    span: &'a ChordSpan,
    first: &'a Stroke,
    last: &'a Stroke,
    before: Option<Grip>,
}

impl<'a> Reader<'a> {
    fn of(pass: &'a Pass, index: usize, timeline: &'a Timeline, instrument: &'a Instrument) -> Option<Self> {
        let action = pass.moves.get(index)?;
        let before = index
            .checked_sub(1)
            .and_then(|i| pass.moves.get(i))
            .and_then(|m| m.last_grip());
        Some(Self {
            pass,
            index,
            timeline,
            instrument,
            span: timeline.span_at(action.at + EPSILON)?,
            first: action.strokes.first()?,
            last: action.strokes.last()?,
            before,
        })
    }

    fn number(&self) -> String {
        self.span.numeral.to_string()
    }

    /// Whether the chord is new here.
    fn arrives(&self) -> bool {
        let at = self.pass.moves.get(self.index).map_or(Beats::ZERO, |m| m.at);
        let index = self.timeline.span_index_at(at + EPSILON);
        let before = index
            .and_then(|i| i.checked_sub(1))
            .and_then(|i| self.timeline.spans.get(i));
        (self.span.start - at).0.abs() < EPSILON.0 && before.is_some_and(|b| b.chord != self.span.chord)
    }

    fn what_happens(&self, action: &Move) -> String {
        let number = self.number();
        let place = self.place(self.first.grip.place);
        let lead = if self.arrives() {
            format!("The {number} arrives: ")
        } else {
            format!("On the {number}: ")
        };
        match action.kind {
            Kind::Strike => format!("{lead}struck at {place} and held."),
            Kind::RingOut => format!("{lead}the last chord, at {place}, rings out."),
            Kind::SlideIn => format!("{lead}{}.", self.slide(place)),
            Kind::Squeeze => format!("{lead}{}.", self.squeeze()),
            Kind::Lean => format!("{lead}{}.", self.lean(place)),
            Kind::Carry => format!("{lead}{}.", self.carry(action)),
            Kind::Climb => format!(
                "The {number} in its next inversions, like stairs: frets {}.",
                self.frets(action)
            ),
            Kind::Walk => format!(
                "{lead}two strings walk the scale together, frets {}.",
                self.frets(action)
            ),
            Kind::DoubleStop => format!(
                "{lead}pairs of its own tones, all at fret {}.",
                self.first.grip.place.fret
            ),
            Kind::Run => format!("{lead}a run along {}, frets {}.", self.strings(), self.frets(action)),
            Kind::Roll => format!("{lead}its tones one after another at {place}, left ringing."),
            Kind::Blocked => format!("{lead}struck and blocked {} times at {place}.", action.strokes.len()),
            Kind::Unison => {
                format!(
                    "{lead}one note on {}, {} times, so that the end can't be missed.",
                    self.strings(),
                    action.strokes.len()
                )
            }
            Kind::Rake => format!(
                "{lead}the thumb is drawn over {} at {place}, so the chord opens like a fan.",
                self.strings()
            ),
            Kind::Harmonic => format!("{lead}{}.", self.harmonic(place)),
            Kind::Swell => {
                format!("{lead}plucked at {place} with the volume pedal up, which then opens: no pick is heard.")
            }
            Kind::FallOff => format!(
                "{lead}held at {place}, then the bar slides away to fret {} until nothing is left.",
                self.last.grip.place.fret
            ),
            Kind::PreBend => format!("{lead}{}.", self.pre_bend()),
            Kind::PedalRoll => format!("{lead}{}.", self.carry(action)),
            Kind::PedalWalk => format!(
                "{lead}two strings walk the scale, led by {}, frets {}.",
                self.pairs_pressed(action),
                self.frets(action)
            ),
            Kind::Grace => {
                format!("{lead}from a fret away in a flash, so that {place} is hit with a lick, not a slide.")
            }
            Kind::Chromatic => format!(
                "{lead}half steps lead to a tone of the chord, frets {}.",
                self.frets(action)
            ),
            Kind::DoubleRun => format!(
                "{lead}pairs of strings run along the scale near fret {}.",
                self.first.grip.place.fret
            ),
            Kind::OpenRun => format!("{lead}open strings run along the scale; the bar is lifted."),
            Kind::Slant => format!("{lead}{}.", self.turned(action)),
            Kind::CallAnswer => format!(
                "{lead}a word on {}, answered in the same shape lower down.",
                self.strings()
            ),
        }
    }

    /// The first slant of a move.
    fn slant(&self, action: &Move) -> Option<String> {
        let mut grips = action.strokes.iter().map(|s| s.grip);
        grips.find_map(|grip| words::slant(self.instrument, grip))
    }

    /// A bar turned under ringing strings.
    fn turned(&self, action: &Move) -> String {
        let (from, to) = (
            self.first.grip,
            action.strokes.get(1).map_or(self.first.grip, |s| s.grip),
        );
        let into = if to.place.slant.is_some() {
            "turned into a slant"
        } else {
            "straightened"
        };
        let back = if action.strokes.len() > 2 { ", and back" } else { "" };
        let moved = self.moved(from, to);
        format!(
            "struck at {}, then the bar is {into} while it rings, so {moved}{back}",
            self.place(from.place)
        )
    }

    fn harmonic(&self, place: String) -> String {
        let higher = match self.first.attack {
            Attack::Harmonic(7) => "an octave and a fifth",
            Attack::Harmonic(5) => "two octaves",
            _ => "an octave",
        };
        let above = match self.first.attack {
            Attack::Harmonic(above) => above,
            _ => 12,
        };
        format!(
            "{} touched {above} frets above the bar at {place}, so it rings {higher} higher",
            self.strings()
        )
    }

    /// A change let up after the pluck.
    fn pre_bend(&self) -> String {
        let (from, to) = (self.first.grip, self.last.grip);
        let legs = self.footwork(from.place.stance, to.place.stance);
        let moved = self.moved(from, to);
        format!(
            "bent before it is plucked, at {}; then {legs}, so {moved}",
            self.place(from.place)
        )
    }

    /// Which pairs of pedals a walk holds.
    fn pairs_pressed(&self, action: &Move) -> String {
        let mut pairs: Vec<String> = action
            .strokes
            .iter()
            .map(|s| s.grip.place.stance)
            .filter(|s| s.pressed().count() > 1)
            .map(|s| words::held(self.instrument, s))
            .collect();
        pairs.sort();
        pairs.dedup();
        words::join(pairs)
    }

    fn slide(&self, place: String) -> String {
        let Arrival::Slid { from, .. } = self.first.arrival else {
            return format!("struck at {place}");
        };
        let away = self.first.grip.place.bar().0 - from.0;
        let frets = away.abs().round();
        let side = if away > 0.0 { "below" } else { "above" };
        let plural = if frets > 1.5 { "s" } else { "" };
        let why = match (self.arrives(), self.first.grip.strings.len()) {
            (true, _) => "and announces the new chord",
            (false, 1) => "so the note is sung, not just hit",
            (false, _) => "so the chord is drawn in, not just hit",
        };
        format!("the bar slides into {place} from {frets} fret{plural} {side}, {why}")
    }

    fn squeeze(&self) -> String {
        let grip = self.first.grip;
        let Arrival::Squeezed { from, .. } = self.first.arrival else {
            return String::new();
        };
        let moved = self.moved(
            Grip {
                place: Place {
                    stance: from,
                    ..grip.place
                },
                ..grip
            },
            grip,
        );
        let legs = self.footwork(from, grip.place.stance);
        format!(
            "plucked a step off at fret {}, then {legs}, so {moved}",
            grip.place.fret
        )
    }

    fn lean(&self, place: String) -> String {
        let Arrival::Leaned { through, .. } = self.first.arrival else {
            return String::new();
        };
        let half = through.pressed().any(|c| through.travel(c) == Travel::HALF);
        let how = if half {
            "a half pedal leans on it"
        } else {
            "the change leans on it"
        };
        let legs = self.footwork(self.first.grip.place.stance, through);
        format!("held at {place} while {how} ({legs}) and lets it back")
    }

    fn carry(&self, action: &Move) -> String {
        match (self.first.arrival, self.before, action.strokes.get(1)) {
            (Arrival::Carried { .. }, Some(before), _) => self.carried_over(before, self.first.grip),
            (_, _, Some(second)) => {
                let (from, to) = (self.first.grip, second.grip);
                let legs = self.footwork(from.place.stance, to.place.stance);
                let back = if action.strokes.len() > 2 { ", and back" } else { "" };
                format!("struck at {}, then rolled over by {legs}{back}", self.place(from.place))
            }
            _ => "the strings ring on".to_owned(),
        }
    }

    /// How ringing strings get from one grip to another.
    fn carried_over(&self, from: Grip, to: Grip) -> String {
        let (a, b) = (from.place, to.place);
        let legs = self.footwork(a.stance, b.stance);
        let (here, there) = (words::frets_of(a), words::frets_of(b));
        let there = there.strip_prefix("fret ").unwrap_or(&there);
        let body = match ((a.fret, a.slant) == (b.fret, b.slant), a.stance == b.stance) {
            (true, _) => format!("same fret, {legs}"),
            (false, true) => format!("the bar glides from {here} to {there}"),
            (false, false) => format!("the bar glides from {here} to {there}, {legs}"),
        };
        format!("{body}, so {}", self.moved(from, to))
    }

    /// What the top note does between two grips on the same strings.
    fn moved(&self, from: Grip, to: Grip) -> String {
        let (Some(a), Some(b)) = (self.top(from), self.top(to)) else {
            return "the chord changes".to_owned();
        };
        let by = b.above(a).0;
        let size = match by.abs() {
            0 => {
                let inner = self.inner_movement(from, to);
                return format!("the top note stays and {inner} under it");
            }
            1 => "a half step".to_owned(),
            2 => "a step".to_owned(),
            n => format!("{n} frets' worth"),
        };
        let way = if by > 0 { "rises" } else { "falls" };
        format!("the top note {way} {size} to the {}", self.degree(b))
    }

    /// Which inner string moves and where to.
    fn inner_movement(&self, from: Grip, to: Grip) -> String {
        let moving = to.strings.iter().find_map(|s| {
            let (a, b) = (self.instrument.note(s, from.place)?, self.instrument.note(s, to.place)?);
            (a != b).then(|| format!("string {s} moves to the {}", self.degree(b)))
        });
        moving.unwrap_or_else(|| "nothing moves".to_owned())
    }

    fn top_line(&self, action: &Move) -> Option<String> {
        let tops: Vec<String> = action
            .strokes
            .iter()
            .filter_map(|s| self.top(s.grip))
            .map(|n| self.degree(n))
            .collect();
        let last = tops.last()?;
        match action.kind {
            Kind::Carry
            | Kind::Squeeze
            | Kind::Unison
            | Kind::Blocked
            | Kind::PreBend
            | Kind::PedalRoll
            | Kind::Slant
            | Kind::Harmonic => None,
            Kind::FallOff => self
                .top(self.first.grip)
                .map(|n| format!("Top note: the {}.", self.degree(n))),
            _ if tops.len() > 1 && tops.iter().any(|t| t != last) => {
                Some(format!("The top note goes {}.", tops.join(", ")))
            }
            _ => Some(format!("Top note: the {last}.")),
        }
    }

    fn place_in_solo(&self, action: &Move) -> Option<String> {
        if self.index == 0 {
            return Some("This is the way in.".to_owned());
        }
        let highest = |m: &Move| m.strokes.iter().filter_map(|s| self.top(s.grip)).max();
        let own = highest(action);
        let others = self
            .pass
            .moves
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != self.index)
            .filter_map(|(_, m)| highest(m));
        if own > others.max() {
            return Some("This is the high point of the solo.".to_owned());
        }
        if let Some(bar) = self.returning_bar(action) {
            return Some(format!("The figure of bar {} returns.", bar + 1));
        }
        let next = self.pass.moves.get(self.index + 1)?;
        let silence = next.at - (action.at + self.last.until);
        (silence >= BREATH).then(|| "Then room to breathe.".to_owned())
    }

    /// The first bar with the rhythm of this move's bar, when the move opens a later one.
    fn returning_bar(&self, action: &Move) -> Option<usize> {
        let bar = self.timeline.bar_index_at(action.at + EPSILON)?;
        let rhythm = |index: usize| -> Option<Vec<i64>> {
            let bar = self.timeline.bars.get(index)?;
            let end = bar.start + bar.metre.bar();
            let inside = self
                .pass
                .moves
                .iter()
                .flat_map(|m| m.beats())
                .filter(|at| *at >= bar.start - EPSILON && *at < end - EPSILON);
            #[allow(clippy::cast_possible_truncation)]
            let ticks = |at: Beats| ((at - bar.start).0 * 48.0).round() as i64;
            Some(inside.map(ticks).collect())
        };
        let here = rhythm(bar).filter(|r| r.len() > 1)?;
        let opens = (action.at - self.timeline.bars.get(bar)?.start).0 * 48.0 <= *here.first()? as f64 + 0.5;
        let first = self.timeline.bar_index_at(self.pass.moves.first()?.at + EPSILON)?;
        opens.then(|| (first..bar).find(|b| rhythm(*b).as_ref() == Some(&here)))?
    }

    fn top(&self, grip: Grip) -> Option<NoteNumber> {
        grip.strings
            .iter()
            .filter_map(|s| self.instrument.note(s, grip.place))
            .max()
    }

    fn degree(&self, note: NoteNumber) -> String {
        let height: Height = note.height();
        Meaning::of(height, self.span).degree()
    }

    fn place(&self, place: Place) -> String {
        words::place(self.instrument, place)
    }

    fn footwork(&self, from: Stance, to: Stance) -> String {
        words::footwork(self.instrument, from, to)
    }

    fn strings(&self) -> String {
        words::strings(self.first.grip.strings)
    }

    fn frets(&self, action: &Move) -> String {
        let mut frets: Vec<String> = action.strokes.iter().map(|s| s.grip.place.fret.to_string()).collect();
        frets.dedup();
        frets.join(", ")
    }
}
