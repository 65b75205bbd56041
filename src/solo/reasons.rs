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
use crate::words::Said;

/// Silence after a move that is heard as a breath.
const BREATH: Beats = Beats(0.9);
/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// Why the move at `index` is there. Empty for an index the pass has not.
#[must_use]
pub fn why(pass: &Pass, index: usize, timeline: &Timeline, instrument: &Instrument) -> Said {
    let (Some(action), Some(reader)) = (pass.moves.get(index), Reader::of(pass, index, timeline, instrument)) else {
        return Said::default();
    };
    let mut sentences = vec![reader.what_happens(action)];
    sentences.extend(reader.slant(action));
    sentences.extend(reader.top_line(action));
    sentences.extend(reader.place_in_solo(action));
    Said::joined(sentences, " ")
}

/// What a move says that goes back to where it came from.
fn back(action: &Move) -> Said {
    if action.strokes.len() > 2 {
        said!(", and back")
    } else {
        Said::default()
    }
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

    fn what_happens(&self, action: &Move) -> Said {
        let number = self.number();
        let place = self.place(self.first.grip.place);
        let lead = if self.arrives() {
            said!("The {number} arrives: ", number)
        } else {
            said!("On the {number}: ", number)
        };
        match action.kind {
            Kind::Strike => said!("{lead}struck at {place} and held.", lead, place),
            Kind::RingOut => said!("{lead}the last chord, at {place}, rings out.", lead, place),
            Kind::SlideIn => said!("{lead}{what}.", lead, what = self.slide(place)),
            Kind::Squeeze => said!("{lead}{what}.", lead, what = self.squeeze()),
            Kind::Lean => said!("{lead}{what}.", lead, what = self.lean(place)),
            Kind::Carry => said!("{lead}{what}.", lead, what = self.carry(action)),
            Kind::Climb => said!(
                "The {number} in its next inversions, like stairs: frets {action}.",
                number,
                action = self.frets(action)
            ),
            Kind::Walk => said!(
                "{lead}two strings walk the scale together, frets {action}.",
                lead,
                action = self.frets(action)
            ),
            Kind::DoubleStop => said!(
                "{lead}pairs of its own tones, all at fret {fret}.",
                lead,
                fret = self.first.grip.place.fret
            ),
            Kind::Run => said!(
                "{lead}a run along {strings}, frets {action}.",
                lead,
                strings = self.strings(),
                action = self.frets(action)
            ),
            Kind::Roll => said!(
                "{lead}its tones one after another at {place}, left ringing.",
                lead,
                place
            ),
            Kind::Blocked => said!(
                "{lead}struck and blocked {strokes} times at {place}.",
                lead,
                strokes = action.strokes.len(),
                place
            ),
            Kind::Unison => {
                said!(
                    "{lead}one note on {strings}, {strokes} times, so that the end can't be missed.",
                    lead,
                    strings = self.strings(),
                    strokes = action.strokes.len()
                )
            }
            Kind::Rake => said!(
                "{lead}the thumb is drawn over {strings} at {place}, so the chord opens like a fan.",
                lead,
                strings = self.strings(),
                place
            ),
            Kind::Harmonic => said!("{lead}{what}.", lead, what = self.harmonic(place)),
            Kind::Swell => {
                said!(
                    "{lead}plucked at {place} with the volume pedal up, which then opens: no pick is heard.",
                    lead,
                    place
                )
            }
            Kind::FallOff => said!(
                "{lead}held at {place}, then the bar slides away to fret {fret} until nothing is left.",
                lead,
                place,
                fret = self.last.grip.place.fret
            ),
            Kind::PreBend => said!("{lead}{what}.", lead, what = self.pre_bend()),
            Kind::PedalRoll => said!("{lead}{what}.", lead, what = self.carry(action)),
            Kind::PedalWalk => said!(
                "{lead}two strings walk the scale, led by {action}, frets {action_2}.",
                lead,
                action = self.pairs_pressed(action),
                action_2 = self.frets(action)
            ),
            Kind::Grace => {
                said!(
                    "{lead}from a fret away in a flash, so that {place} is hit with a lick, not a slide.",
                    lead,
                    place
                )
            }
            Kind::Chromatic => said!(
                "{lead}half steps lead to a tone of the chord, frets {action}.",
                lead,
                action = self.frets(action)
            ),
            Kind::DoubleRun => said!(
                "{lead}pairs of strings run along the scale near fret {fret}.",
                lead,
                fret = self.first.grip.place.fret
            ),
            Kind::OpenRun => said!("{lead}open strings run along the scale; the bar is lifted.", lead),
            Kind::Slant => said!("{lead}{what}.", lead, what = self.turned(action)),
            Kind::CallAnswer => said!(
                "{lead}a word on {strings}, answered in the same shape lower down.",
                lead,
                strings = self.strings()
            ),
        }
    }

    /// The first slant of a move.
    fn slant(&self, action: &Move) -> Option<Said> {
        let mut grips = action.strokes.iter().map(|s| s.grip);
        grips.find_map(|grip| words::slant(self.instrument, grip))
    }

    /// A bar turned under ringing strings.
    fn turned(&self, action: &Move) -> Said {
        let (from, to) = (
            self.first.grip,
            action.strokes.get(1).map_or(self.first.grip, |s| s.grip),
        );
        let into = if to.place.slant.is_some() {
            "turned into a slant"
        } else {
            "straightened"
        };
        let back = back(action);
        let moved = self.moved(from, to);
        said!(
            "struck at {place}, then the bar is {into} while it rings, so {moved}{back}",
            place = self.place(from.place),
            into,
            moved,
            back
        )
    }

    fn harmonic(&self, place: Said) -> Said {
        let higher = match self.first.attack {
            Attack::Harmonic(7) => said!("an octave and a fifth"),
            Attack::Harmonic(5) => said!("two octaves"),
            _ => said!("an octave"),
        };
        let above = match self.first.attack {
            Attack::Harmonic(above) => above,
            _ => 12,
        };
        said!(
            "{strings} touched {above} frets above the bar at {place}, so it rings {higher} higher",
            strings = self.strings(),
            above,
            place,
            higher
        )
    }

    /// A change let up after the pluck.
    fn pre_bend(&self) -> Said {
        let (from, to) = (self.first.grip, self.last.grip);
        let legs = self.footwork(from.place.stance, to.place.stance);
        let moved = self.moved(from, to);
        said!(
            "bent before it is plucked, at {place}; then {legs}, so {moved}",
            place = self.place(from.place),
            legs,
            moved
        )
    }

    /// Which pairs of pedals a walk holds.
    fn pairs_pressed(&self, action: &Move) -> Said {
        let mut pairs: Vec<Said> = action
            .strokes
            .iter()
            .map(|s| s.grip.place.stance)
            .filter(|s| s.pressed().count() > 1)
            .map(|s| words::held(self.instrument, s))
            .collect();
        pairs.sort_by_key(Said::english);
        pairs.dedup();
        words::join(pairs)
    }

    fn slide(&self, place: Said) -> Said {
        let Arrival::Slid { from, .. } = self.first.arrival else {
            return said!("struck at {place}", place);
        };
        let away = self.first.grip.place.bar().0 - from.0;
        let frets = words::frets(away);
        let side = if away > 0.0 { said!("below") } else { said!("above") };
        let why = match (self.arrives(), self.first.grip.strings.len()) {
            (true, _) => said!("and announces the new chord"),
            (false, 1) => said!("so the note is sung, not just hit"),
            (false, _) => said!("so the chord is drawn in, not just hit"),
        };
        said!(
            "the bar slides into {place} from {frets} {side}, {why}",
            place,
            frets,
            side,
            why
        )
    }

    fn squeeze(&self) -> Said {
        let grip = self.first.grip;
        let Arrival::Squeezed { from, .. } = self.first.arrival else {
            return Said::default();
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
        said!(
            "plucked a step off at fret {fret}, then {legs}, so {moved}",
            fret = grip.place.fret,
            legs,
            moved
        )
    }

    fn lean(&self, place: Said) -> Said {
        let Arrival::Leaned { through, .. } = self.first.arrival else {
            return Said::default();
        };
        let half = through.pressed().any(|c| through.travel(c) == Travel::HALF);
        let how = if half {
            "a half pedal leans on it"
        } else {
            "the change leans on it"
        };
        let legs = self.footwork(self.first.grip.place.stance, through);
        said!(
            "held at {place} while {how} ({legs}) and lets it back",
            place,
            how,
            legs
        )
    }

    fn carry(&self, action: &Move) -> Said {
        match (self.first.arrival, self.before, action.strokes.get(1)) {
            (Arrival::Carried { .. }, Some(before), _) => self.carried_over(before, self.first.grip),
            (_, _, Some(second)) => {
                let (from, to) = (self.first.grip, second.grip);
                let legs = self.footwork(from.place.stance, to.place.stance);
                let back = back(action);
                said!(
                    "struck at {place}, then rolled over by {legs}{back}",
                    place = self.place(from.place),
                    legs,
                    back
                )
            }
            _ => said!("the strings ring on"),
        }
    }

    /// How ringing strings get from one grip to another.
    fn carried_over(&self, from: Grip, to: Grip) -> Said {
        let (a, b) = (from.place, to.place);
        let legs = self.footwork(a.stance, b.stance);
        let here = words::frets_of(a);
        // "From fret 3 to 5": the word is not said twice.
        let there = if b.slant.is_some() {
            words::frets_of(b)
        } else {
            b.fret.into()
        };
        let body = match ((a.fret, a.slant) == (b.fret, b.slant), a.stance == b.stance) {
            (true, _) => said!("same fret, {legs}", legs),
            (false, true) => said!("the bar glides from {here} to {there}", here, there),
            (false, false) => said!("the bar glides from {here} to {there}, {legs}", here, there, legs),
        };
        said!("{body}, so {to}", body, to = self.moved(from, to))
    }

    /// What the top note does between two grips on the same strings.
    fn moved(&self, from: Grip, to: Grip) -> Said {
        let (Some(a), Some(b)) = (self.top(from), self.top(to)) else {
            return said!("the chord changes");
        };
        let by = b.above(a).0;
        let size = match by.abs() {
            0 => {
                let inner = self.inner_movement(from, to);
                return said!("the top note stays and {inner} under it", inner);
            }
            1 => said!("a half step"),
            2 => said!("a step"),
            n => said!("{n} frets' worth", n),
        };
        let way = if by > 0 { said!("rises") } else { said!("falls") };
        said!(
            "the top note {way} {size} to the {degree}",
            way,
            size,
            degree = self.degree(b)
        )
    }

    /// Which inner string moves and where to.
    fn inner_movement(&self, from: Grip, to: Grip) -> Said {
        let moving = to.strings.iter().find_map(|s| {
            let (a, b) = (self.instrument.note(s, from.place)?, self.instrument.note(s, to.place)?);
            (a != b).then(|| said!("string {s} moves to the {degree}", s, degree = self.degree(b)))
        });
        moving.unwrap_or_else(|| said!("nothing moves"))
    }

    fn top_line(&self, action: &Move) -> Option<Said> {
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
                .map(|n| said!("Top note: the {degree}.", degree = self.degree(n))),
            _ if tops.len() > 1 && tops.iter().any(|t| t != last) => {
                Some(said!("The top note goes {tops}.", tops = tops.join(", ")))
            }
            _ => Some(said!("Top note: the {last}.", last)),
        }
    }

    fn place_in_solo(&self, action: &Move) -> Option<Said> {
        if self.index == 0 {
            return Some(said!("This is the way in."));
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
            return Some(said!("This is the high point of the solo."));
        }
        if let Some(bar) = self.returning_bar(action) {
            return Some(said!("The figure of bar {bar} returns.", bar = bar + 1));
        }
        let next = self.pass.moves.get(self.index + 1)?;
        let silence = next.at - (action.at + self.last.until);
        (silence >= BREATH).then(|| said!("Then room to breathe."))
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

    fn place(&self, place: Place) -> Said {
        words::place(self.instrument, place)
    }

    fn footwork(&self, from: Stance, to: Stance) -> Said {
        words::footwork(self.instrument, from, to)
    }

    fn strings(&self) -> Said {
        words::strings(self.first.grip.strings)
    }

    fn frets(&self, action: &Move) -> String {
        let mut frets: Vec<String> = action.strokes.iter().map(|s| s.grip.place.fret.to_string()).collect();
        frets.dedup();
        frets.join(", ")
    }
}
