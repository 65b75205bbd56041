//! End it: the last bars.

use super::{
    Answer, Criterion, Draw, Setting, Spot, TRIES, bar_start, drawn, ends_home, pulse, shifted, sound, strokes_of,
};
use crate::solo::rules;
use crate::solo::stroke::Stroke;
use crate::steel::Instrument;
use crate::teach::exercise::task::{Ask, Heard, Input, Shown, TaskError};
use crate::theory::Beats;
use crate::words::Said;

/// The last bars of a song, to be ended.
#[derive(Debug)]
pub(in crate::teach::exercise) struct End {
    model: Vec<Stroke>,
}

/// How long the last stroke rings at least, in felt beats.
const RING: f64 = 2.0;

impl End {
    pub(in crate::teach::exercise) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
    ) -> Result<(Setting, Self), TaskError> {
        let bars = draw.exercise.chart.clone();
        let ways = ["5 1", "4 1", "57 1", "2- 1"].map(str::to_owned);
        for _ in 0..TRIES {
            let key = draw.key();
            let row = bars.clone().or_else(|| draw.one(&ways)).unwrap_or_default();
            let s = draw.setting(instrument, key, &row)?;
            let last = s.timeline.bars.len().saturating_sub(1);
            let moments: Vec<Beats> = (0..=last).map(|bar| bar_start(&s, bar)).collect();
            let Some(model) = drawn(&mut draw, &s, &moments, s.timeline.length()) else {
                continue;
            };
            let ask = Self { model };
            if ask.mark(&s, &ask.model(&s)).iter().all(Criterion::is_met) {
                return Ok((s, ask));
            }
        }
        Err(draw.not_here(instrument))
    }
}

/// The last stroke falls on a strong beat of the last bar.
fn in_last_bar(s: &Setting, last: &Stroke) -> Criterion {
    let start = bar_start(s, s.timeline.bars.len().saturating_sub(1));
    let spot = Some(Spot::at(&s.timeline, last.at));
    if last.at < start {
        let why = said!("The last stroke comes before the last bar: the end is heard as a hole.");
        return Criterion::missed(
            said!("last bar"),
            0,
            2,
            why,
            said!("Put the last stroke on the last bar's first beat."),
        )
        .at(spot);
    }
    if !rules::is_strong(&s.timeline, last.at) {
        let why = said!("The last stroke falls on a weak beat: it sounds as if more would come.");
        return Criterion::missed(
            said!("last bar"),
            1,
            2,
            why,
            said!("Put it on the first or third beat."),
        )
        .at(spot);
    }
    Criterion::met(
        said!("last bar"),
        2,
        said!("The last stroke falls where the band ends."),
    )
}

/// The last stroke is left to ring.
fn rings(s: &Setting, last: &Stroke) -> Criterion {
    let held = (last.until.min(s.timeline.length()) - last.at).0 / pulse(s).0;
    if held + 1e-6 >= RING {
        return Criterion::met(said!("ring"), 2, said!("The last chord is left to ring."));
    }
    let why = said!(
        "The last stroke is stopped after {beats} beats: an end wants room.",
        beats = Said::number(format_args!("{held:.1}"))
    );
    let next = said!(
        "Let it ring for {beats} beats or more, with nothing after it.",
        beats = Said::number(RING)
    );
    Criterion::missed(said!("ring"), 0, 2, why, next).at(Some(Spot::at(&s.timeline, last.at)))
}

impl Ask for End {
    fn question(&self, s: &Setting) -> Said {
        let bars = s.timeline.bars.len();
        said!(
            "End it, in {key}: {bars} bars. The last stroke stands on a strong beat of the last bar, has the root in it, \
             and rings for two beats.",
            key = Said::notes(s.key),
            bars
        )
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Chart
    }

    fn heard(&self, s: &Setting, answer: Option<&Answer>) -> Option<Heard> {
        super::played(s, answer, &[])
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Phrase(Vec::new())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        super::hints(
            s,
            said!("Begin at the end: choose the last chord's place, then find the way to it."),
            &self.model,
        )
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let strokes = match strokes_of(s, answer) {
            Ok(strokes) => strokes,
            Err(criteria) => return criteria,
        };
        let mut criteria = sound(s, &strokes);
        criteria.push(ends_home(s, &strokes));
        if let Some(last) = strokes.last() {
            criteria.extend([in_last_bar(s, last), rings(s, last)]);
        }
        criteria
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::phrase(&self.model, s)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let mut wrong = super::never_right();
        let off: Vec<Stroke> = self.model.iter().map(shifted).collect();
        let open: Vec<Stroke> = self
            .model
            .iter()
            .take(self.model.len().saturating_sub(1))
            .copied()
            .collect();
        let mut short = self.model.clone();
        if let Some(last) = short.last_mut() {
            last.until = last.at + pulse(s).scaled(0.5);
        }
        wrong.extend([off, open, short].iter().map(|w| Answer::phrase(w, s)));
        wrong
    }
}
