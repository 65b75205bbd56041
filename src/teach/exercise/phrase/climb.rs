//! Climb from here to there: one chord up the neck, by its inversions.

use super::{Answer, Criterion, Draw, Setting, Spot, TRIES, grip_of, holds_at, shifted, sound, strokes_of, top};
use crate::solo::stroke::{Grip, Stroke};
use crate::steel::Instrument;
use crate::teach::exercise::holding;
use crate::teach::exercise::task::{Ask, Heard, Input, Shown, TaskError};
use crate::theory::{Beats, Numeral};
use crate::words::Said;

/// Stairs up one chord.
#[derive(Debug)]
pub(in crate::teach::exercise) struct Climb {
    numeral: Numeral,
    model: Vec<Stroke>,
}

/// The fewest stairs.
const STAIRS: usize = 3;
/// How far up the last stair lies from the first, in frets.
const RISE: u8 = 4;

impl Climb {
    pub(in crate::teach::exercise) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
    ) -> Result<(Setting, Self), TaskError> {
        let bars = usize::from(draw.exercise.bars.unwrap_or(2));
        for _ in 0..TRIES {
            let key = draw.key();
            let numerals = draw.numerals(&["1", "4", "5"]);
            let numeral = draw.one(&numerals).unwrap_or(Numeral::ONE);
            let asked = draw.exercise.chart.clone();
            let row = asked.unwrap_or_else(|| vec![numeral.to_string(); bars].join(" "));
            let s = draw.setting(instrument, key, &row)?;
            let numeral = s.timeline.spans.first().map_or(numeral, |span| span.numeral);
            let Some(model) = stairs(&mut draw, &s) else { continue };
            let ask = Self { numeral, model };
            if ask.mark(&s, &ask.model(&s)).iter().all(Criterion::is_met) {
                return Ok((s, ask));
            }
        }
        Err(draw.not_here(instrument))
    }

    fn ends(&self) -> (Option<Grip>, Option<Grip>) {
        (self.model.first().map(|m| m.grip), self.model.last().map(|m| m.grip))
    }
}

/// Three holds of the chord going up, spread over the song, the last one at its last bar's first beat or later.
fn stairs(draw: &mut Draw<'_>, s: &Setting) -> Option<Vec<Stroke>> {
    let pool = holds_at(s, Beats::ZERO);
    let first = draw.one(&pool.iter().filter(|h| h.place.fret <= 7).collect::<Vec<_>>())?;
    let mut line = vec![grip_of(first)];
    while line.len() < STAIRS {
        let last = *line.last()?;
        let higher = pool.iter().map(grip_of).filter(|g| {
            g.place.fret > last.place.fret
                && g.place.fret - last.place.fret <= 5
                && holding::top(&s.instrument, *g) > holding::top(&s.instrument, last)
        });
        line.push(draw.one(&higher.collect::<Vec<_>>())?);
    }
    let rise = line.last()?.place.fret - line.first()?.place.fret;
    let step = s.timeline.length().scaled(1.0 / 4.0);
    let at = |i: usize| {
        [Beats::ZERO, step, step.scaled(2.0), s.timeline.length()]
            .get(i)
            .copied()
            .unwrap_or_default()
    };
    (rise >= RISE).then(|| {
        line.iter()
            .enumerate()
            .map(|(i, g)| Stroke::struck(*g, at(i), at(i + 1)))
            .collect()
    })
}

impl Ask for Climb {
    fn question(&self, s: &Setting) -> Said {
        let (from, to) = self.ends();
        let words = |g: Option<Grip>| g.map_or_else(Said::default, |g| holding::words(&s.instrument, g));
        let fret = to.map_or(0, |g| g.place.fret);
        said!(
            "Climb the {number} of {key}: begin with strings {grip}, and be at fret {fret} in the last half, in {stairs} \
             strokes or more, each higher at the top.",
            number = self.numeral,
            key = Said::notes(s.key),
            grip = words(from),
            fret,
            stairs = STAIRS
        )
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Chart
    }

    fn heard(&self, s: &Setting, answer: Option<&Answer>) -> Option<Heard> {
        super::played(s, answer, &[])
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Phrase(self.model.first().copied().into_iter().collect())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        super::hints(
            s,
            said!("Each home of a chord up the neck is its next inversion: use one between."),
            &self.model,
        )
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let strokes = match strokes_of(s, answer) {
            Ok(strokes) => strokes,
            Err(criteria) => return criteria,
        };
        let (from, to) = self.ends();
        let mut criteria = sound(s, &strokes);
        let spot = |i: usize| strokes.get(i).map(|x| Spot::at(&s.timeline, x.at));
        criteria.push(if strokes.first().map(|x| x.grip) == from {
            Criterion::met(said!("start"), 1, said!("It begins where it should."))
        } else {
            let words = from.map_or_else(Said::default, |g| holding::words(&s.instrument, g));
            Criterion::missed(
                said!("start"),
                0,
                1,
                said!("It begins elsewhere."),
                said!("Begin with strings {grip}.", grip = words),
            )
            .at(spot(0))
        });
        let last = strokes.len().saturating_sub(1);
        let there = strokes
            .last()
            .is_some_and(|x| Some(x.grip.place.fret) == to.map(|g| g.place.fret));
        let in_time = strokes.last().is_some_and(|x| x.at >= s.timeline.length().scaled(0.5));
        criteria.push(if there && in_time {
            Criterion::met(said!("arrival"), 2, said!("It arrives in time."))
        } else {
            let fret = to.map_or(0, |g| g.place.fret);
            let why = if there {
                said!("It arrives in the first half and waits.")
            } else {
                said!("It does not end where it should.")
            };
            let next = said!("Be at fret {fret} with the last stroke, in the last half.", fret);
            Criterion::missed(said!("arrival"), u16::from(there), 2, why, next).at(spot(last))
        });
        let falls = strokes
            .windows(2)
            .position(|w| matches!(w, [a, b] if top(s, b) <= top(s, a)));
        criteria.push(match falls {
            None if strokes.len() >= STAIRS => {
                Criterion::met(said!("stairs"), 3, said!("Each stroke is a stair higher."))
            }
            None => {
                let why = said!("{strokes} strokes are no stairs.", strokes = strokes.len());
                Criterion::missed(said!("stairs"), 1, 3, why, said!("Put another inversion between."))
            }
            Some(i) => {
                let why = said!("This stroke is no higher at the top than the one before: the climb stalls.");
                Criterion::missed(
                    said!("stairs"),
                    1,
                    3,
                    why,
                    said!("Take the chord's next home up the neck."),
                )
                .at(spot(i + 1))
            }
        });
        criteria
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::phrase(&self.model, s)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let mut wrong = super::never_right();
        let off: Vec<Stroke> = self.model.iter().map(shifted).collect();
        let short: Vec<Stroke> = self.model.iter().take(STAIRS - 1).copied().collect();
        let mut still = self.model.clone();
        if let [first, second, ..] = still.as_mut_slice() {
            second.grip = first.grip;
        }
        wrong.extend([off, short, still].iter().map(|w| Answer::phrase(w, s)));
        wrong
    }
}
