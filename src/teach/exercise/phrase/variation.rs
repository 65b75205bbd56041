//! Change one thing, and only one.

use super::{Answer, Criterion, Draw, Setting, Spot, TRIES, drawn, shifted, slid, slow_moments, sound, strokes_of};
use crate::solo::stroke::{Arrival, Stroke};
use crate::steel::Instrument;
use crate::teach::exercise::task::{Ask, Heard, Input, Shown, TaskError};
use crate::teach::rows;
use crate::words::Said;

/// A phrase to be varied in one stroke.
#[derive(Debug)]
pub(in crate::teach::exercise) struct Variation {
    phrase: Vec<Stroke>,
    model: Vec<Stroke>,
}

impl Variation {
    pub(in crate::teach::exercise) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
    ) -> Result<(Setting, Self), TaskError> {
        for _ in 0..TRIES {
            let key = draw.key();
            let bars = draw.progression(2, &["1", "4", "5", "6-"]);
            let s = draw.setting(instrument, key, &bars)?;
            let moments = slow_moments(&s, 0..s.timeline.bars.len());
            let Some(phrase) = drawn(&mut draw, &s, &moments, s.timeline.length()) else {
                continue;
            };
            let mut model = phrase.clone();
            if let Some(first) = model.first_mut() {
                *first = slid(*first);
            }
            let ask = Self { phrase, model };
            if ask.mark(&s, &ask.model(&s)).iter().all(Criterion::is_met) {
                return Ok((s, ask));
            }
        }
        Err(draw.not_here(instrument))
    }
}

/// How many strokes have to be put in, taken out or altered to make one phrase of another.
///
/// Source: the edit distance of Levenshtein, *Soviet Physics Doklady* 10 (8), 1966.
fn changes(s: &Setting, from: &[Stroke], to: &[Stroke]) -> usize {
    // Rows as written: a stroke that only lasts longer because the next one is gone is the same row.
    let rows = |strokes: &[Stroke]| -> Vec<String> {
        let text = rows::print(strokes, &s.instrument, &s.timeline);
        text.lines().map(str::to_owned).collect()
    };
    let (from, to) = (rows(from), rows(to));
    let mut before: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.iter().enumerate() {
        let mut here = vec![i + 1];
        for (j, b) in to.iter().enumerate() {
            let kept = before.get(j).copied().unwrap_or(0) + usize::from(a != b);
            let out = before.get(j + 1).copied().unwrap_or(0) + 1;
            let put = here.last().copied().unwrap_or(0) + 1;
            here.push(kept.min(out).min(put));
        }
        before = here;
    }
    before.last().copied().unwrap_or(0)
}

impl Ask for Variation {
    fn question(&self, _: &Setting) -> Said {
        said!("Play this again and change one stroke: its place, its moment, how it is reached, or leave it out.")
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Strokes(self.phrase.clone())
    }

    fn heard(&self, s: &Setting, answer: Option<&Answer>) -> Option<Heard> {
        super::played(s, answer, &self.phrase)
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Phrase(self.phrase.clone())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let first = self
            .phrase
            .first()
            .map_or_else(Said::default, |p| Spot::at(&s.timeline, p.at).said());
        [
            said!("The smallest change is often the best: how a note is reached."),
            said!(
                "Look at the stroke at {spot}: it is struck. Slide into it.",
                spot = first
            ),
            said!("Slide into the first stroke from two frets away, and leave all others as they are."),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let strokes = match strokes_of(s, answer) {
            Ok(strokes) => strokes,
            Err(criteria) => return criteria,
        };
        let mut criteria = sound(s, &strokes);
        criteria.push(match changes(s, &self.phrase, &strokes) {
            1 => Criterion::met(
                said!("one change"),
                3,
                said!("One stroke is another, and all others are as they were."),
            ),
            0 => {
                let why = said!("Nothing is changed yet.");
                Criterion::missed(
                    said!("one change"),
                    0,
                    3,
                    why,
                    said!("Choose one stroke and change it."),
                )
            }
            changed => {
                let why = said!(
                    "{changed} strokes are changed: then nobody can say which of them made the difference.",
                    changed
                );
                let next = said!("Put all but one back.");
                Criterion::missed(said!("one change"), u16::from(changed == 2), 3, why, next)
            }
        });
        criteria
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::phrase(&self.model, s)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let mut wrong = super::never_right();
        wrong.push(Answer::phrase(&self.phrase, s));
        let all: Vec<Stroke> = self.phrase.iter().copied().map(slid).collect();
        wrong.push(Answer::phrase(&all, s));
        let mut off = self.phrase.clone();
        if let Some(first) = off.first_mut() {
            *first = shifted(first).arriving(Arrival::Struck);
        }
        wrong.push(Answer::phrase(&off, s));
        wrong
    }
}
