//! Answer a phrase: two bars ask, two bars answer.
//!
//! Source of what makes an answer: call and response keep the shape and change the ending (common practice, no
//! source); a question ends open and its answer at home.

use super::{
    Answer, Criterion, Draw, Setting, Spot, TRIES, bar_start, drawn, ends_home, is_home, same, shifted, sound,
    strokes_of, top,
};
use crate::solo::stroke::Stroke;
use crate::steel::Instrument;
use crate::teach::exercise::task::{Ask, Heard, Input, Shown, TaskError};
use crate::theory::{Beats, rank};
use crate::words::Said;

/// A question that was played, and its answer.
#[derive(Debug)]
pub(in crate::teach::exercise) struct Reply {
    question: Vec<Stroke>,
    model: Vec<Stroke>,
    /// Bar that the answer begins with, from 0.
    turn: usize,
}

/// Rhythms of a question: felt beats from its first bar.
const RHYTHMS: [[f64; 3]; 3] = [[0.0, 2.0, 4.0], [0.0, 1.0, 4.0], [0.0, 3.0, 4.0]];

impl Reply {
    pub(in crate::teach::exercise) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
    ) -> Result<(Setting, Self), TaskError> {
        let ways = ["1 4 5 1", "1 5 4 1", "6- 4 5 1", "1 1 5 1"].map(str::to_owned);
        let asked = draw.exercise.chart.clone();
        for _ in 0..TRIES {
            let key = draw.key();
            let row = asked.clone().or_else(|| draw.one(&ways)).unwrap_or_default();
            let s = draw.setting(instrument, key, &row)?;
            let bars = s.timeline.bars.len();
            if bars < 4 {
                return Err(TaskError::Chart(row));
            }
            let turn = bars / 2;
            let rhythm = draw.one(&RHYTHMS).unwrap_or(RHYTHMS[0]);
            let moments = |from: Beats| rhythm.map(|beat| from + super::pulse(&s).scaled(beat));
            let rest = super::pulse(&s).scaled(1.5);
            let (ask_at, reply_at) = (moments(Beats::ZERO), moments(bar_start(&s, turn)));
            let end = (reply_at[2] + rest).min(s.timeline.length());
            let question = drawn(&mut draw, &s, &ask_at, ask_at[2] + rest);
            let model = drawn(&mut draw, &s, &reply_at, end);
            let Some((question, model)) = question.zip(model) else {
                continue;
            };
            let ask = Self { question, model, turn };
            if ask.mark(&s, &ask.model(&s)).iter().all(Criterion::is_met) {
                return Ok((s, ask));
            }
        }
        Err(draw.not_here(instrument))
    }

    /// The question with an answer behind it.
    fn together(&self, strokes: &[Stroke]) -> Vec<Stroke> {
        let mut all = self.question.clone();
        all.extend_from_slice(strokes);
        all.sort_by_cached_key(|one| rank(one.at.0));
        all
    }

    /// How many of the question's moments come again in the answer.
    fn echoed(&self, s: &Setting, strokes: &[Stroke]) -> usize {
        let turn = bar_start(s, self.turn);
        self.question
            .iter()
            .filter(|q| strokes.iter().any(|x| same(x.at, q.at + turn)))
            .count()
    }

    fn waits(&self, s: &Setting, strokes: &[Stroke]) -> Criterion {
        match strokes.first().filter(|f| f.at < bar_start(s, self.turn)) {
            None => Criterion::met(said!("waits"), 1, said!("It lets the question end.")),
            Some(first) => {
                let why = said!("It speaks while the question is still being asked.");
                let next = said!("Begin in bar {bar} or later.", bar = self.turn + 1);
                Criterion::missed(said!("waits"), 0, 1, why, next).at(Some(Spot::at(&s.timeline, first.at)))
            }
        }
    }

    fn echo(&self, s: &Setting, strokes: &[Stroke]) -> Criterion {
        let (echoed, all) = (self.echoed(s, strokes), self.question.len());
        if echoed * 2 >= all {
            return Criterion::met(said!("echo"), 3, said!("It takes up the question's rhythm."));
        }
        let why = said!(
            "{echoed} of the question's {all} moments come again: it changes the subject.",
            echoed,
            all
        );
        let next = said!("Play the question's rhythm, and change where it goes.");
        Criterion::missed(said!("echo"), u16::from(echoed > 0), 3, why, next).at(Some(Spot::bar(self.turn)))
    }

    fn own(&self, s: &Setting, strokes: &[Stroke]) -> Criterion {
        let tops = |line: &[Stroke]| line.iter().map(|x| top(s, x)).collect::<Vec<_>>();
        if tops(strokes) == tops(&self.question) {
            let why = said!("It is the question once more, note for note.");
            return Criterion::missed(
                said!("own end"),
                0,
                2,
                why,
                said!("Keep the beginning and change the end."),
            );
        }
        Criterion::met(said!("own end"), 2, said!("It goes its own way from there."))
    }
}

impl Ask for Reply {
    fn question(&self, s: &Setting) -> Said {
        let (turn, bars) = (self.turn, s.timeline.bars.len());
        said!(
            "Bars 1 to {turn} ask. Answer in bars {from} to {bars}: take up the rhythm, go your own way, end with the root.",
            turn,
            from = turn + 1,
            bars
        )
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Strokes(self.question.clone())
    }

    fn heard(&self, s: &Setting, answer: Option<&Answer>) -> Option<Heard> {
        let strokes = answer
            .and_then(|a| a.strokes(s))
            .and_then(Result::ok)
            .unwrap_or_default();
        Some(Heard {
            performance: s.performance(&self.together(&strokes)),
            instrument: s.instrument.clone(),
            band: true,
        })
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Phrase(Vec::new())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        super::hints(
            s,
            said!("Clap the question's rhythm: those are your moments too."),
            &self.model,
        )
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let strokes = match strokes_of(s, answer) {
            Ok(strokes) => strokes,
            Err(criteria) => return criteria,
        };
        let mut criteria = sound(s, &self.together(&strokes));
        criteria.extend([self.waits(s, &strokes), self.echo(s, &strokes), self.own(s, &strokes)]);
        criteria.push(ends_home(s, &strokes));
        criteria
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::phrase(&self.model, s)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let mut wrong = super::never_right();
        let off: Vec<Stroke> = self.model.iter().map(shifted).collect();
        // The rhythm lost: everything an eighth late.
        let late: Vec<Stroke> = self
            .model
            .iter()
            .map(|m| Stroke {
                at: m.at + Beats(0.5),
                ..*m
            })
            .collect();
        // Ended before it is home, where that can be.
        let open: Vec<Stroke> = self.model.iter().take(2).copied().collect();
        let open_ended = open.last().is_some_and(|l| !is_home(s, l));
        wrong.extend([off, late].iter().map(|w| Answer::phrase(w, s)));
        wrong.extend(open_ended.then(|| Answer::phrase(&open, s)));
        wrong
    }
}
