//! Why each move is there, in plain words: what the chord does, what the body does, what the ear hears.
//!
//! *Invariant:* a reason is read off the pass and the song; it is never stored, so it can't go stale.

mod motions;

use super::moves::{Kind, Move};
use super::notes::Meaning;
use super::pass::Pass;
use super::stroke::{Grip, Stroke};
use super::words;
use crate::steel::{Instrument, Place, Stance};
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
