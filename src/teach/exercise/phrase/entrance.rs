//! Come in: a way into the second bar.

use super::{Answer, Criterion, Draw, Setting, Spot, TRIES, bar_start, drawn, shifted, slid, sound, strokes_of};
use crate::solo::Note;
use crate::solo::notes;
use crate::solo::stroke::{Arrival, Stroke};
use crate::steel::Instrument;
use crate::teach::exercise::task::{Ask, Heard, Input, Shown, TaskError};
use crate::theory::Beats;
use crate::words::Said;

/// The last pulse of the first bar leads in; the second bar is where it lands.
#[derive(Debug)]
pub(in crate::teach::exercise) struct Entrance {
    model: Vec<Stroke>,
}

impl Entrance {
    pub(in crate::teach::exercise) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
    ) -> Result<(Setting, Self), TaskError> {
        for _ in 0..TRIES {
            let key = draw.key();
            let bars = draw.progression(2, &["1", "4", "5", "6-"]);
            let s = draw.setting(instrument, key, &bars)?;
            if s.timeline.bars.len() < 2 {
                return Err(TaskError::Chart(bars));
            }
            let lands = bar_start(&s, 1);
            let middle = lands + super::pulse(&s).scaled(2.0);
            let Some(mut model) = drawn(&mut draw, &s, &[lands, middle], bar_start(&s, 2)) else {
                continue;
            };
            if let Some(first) = model.first_mut() {
                *first = slid(*first);
            }
            let ask = Self { model };
            if ask.mark(&s, &ask.model(&s)).iter().all(Criterion::is_met) {
                return Ok((s, ask));
            }
        }
        Err(draw.not_here(instrument))
    }
}

/// Whether the first stroke is led into: by a slide, a squeeze, a lean, or single notes before it.
fn led_in(s: &Setting, strokes: &[Stroke]) -> bool {
    let before = strokes
        .iter()
        .filter(|x| x.at < bar_start(s, 1) && x.grip.strings.len() == 1)
        .count();
    before >= 2 || strokes.first().is_some_and(|f| f.arrival != Arrival::Struck)
}

/// The notes of the chord that sound as the second bar begins, or settle into it within half a beat.
fn landed(s: &Setting, strokes: &[Stroke]) -> usize {
    let at = bar_start(s, 1) + Beats(0.5);
    let Some(span) = s.timeline.span_at(at) else { return 0 };
    let heard = notes(&s.performance(strokes), &s.instrument, s.timeline.tempo);
    let stands = |n: &&Note| {
        let height = n
            .rests()
            .filter(|(moment, _)| moment.0 <= at.0 + 1e-6)
            .last()
            .map(|(_, h)| h);
        height.is_some_and(|h| span.chord.tone_of(h.nearest().class()).is_some())
    };
    heard
        .iter()
        .filter(|n| n.start() <= bar_start(s, 1) && n.end > at)
        .filter(stands)
        .count()
}

impl Ask for Entrance {
    fn question(&self, s: &Setting) -> Said {
        said!(
            "Come in, in {key}: lead into bar 2 by a slide, a squeeze or a few single notes, and stand in the chord on \
             its first beat with two strings or more.",
            key = Said::notes(s.key)
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
            said!("Pick a home of bar 2's chord, and begin two frets below it."),
            &self.model,
        )
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let strokes = match strokes_of(s, answer) {
            Ok(strokes) => strokes,
            Err(criteria) => return criteria,
        };
        let mut criteria = sound(s, &strokes);
        let first = strokes.first().map(|f| Spot::at(&s.timeline, f.at));
        criteria.push(if led_in(s, &strokes) {
            Criterion::met(said!("way in"), 2, said!("The first chord is led into."))
        } else {
            let why = said!("It starts dead on the chord: a listener meets it without a hand held out.");
            Criterion::missed(
                said!("way in"),
                0,
                2,
                why,
                said!("Slide in from two frets below, or squeeze a pedal into it."),
            )
            .at(first)
        });
        criteria.push(match landed(s, &strokes) {
            0 => {
                let why = said!("Nothing of the chord sounds as bar 2 begins: the band arrives without you.");
                Criterion::missed(said!("landing"), 0, 3, why, said!("Be in the chord on the first beat."))
                    .at(Some(Spot::bar(1)))
            }
            1 => {
                let why = said!("Only one string stands in the chord as bar 2 begins.");
                Criterion::missed(said!("landing"), 2, 3, why, said!("Take a second string with it."))
                    .at(Some(Spot::bar(1)))
            }
            strings => Criterion::met(
                said!("landing"),
                3,
                said!("{strings} strings stand in the chord on the first beat.", strings),
            ),
        });
        criteria
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::phrase(&self.model, s)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let mut wrong = super::never_right();
        let cold: Vec<Stroke> = self.model.iter().map(|m| m.arriving(Arrival::Struck)).collect();
        wrong.push(Answer::phrase(&cold, s));
        let off: Vec<Stroke> = self.model.iter().map(shifted).collect();
        wrong.push(Answer::phrase(&off, s));
        let late: Vec<Stroke> = self.model.iter().skip(1).copied().map(slid).collect();
        wrong.push(Answer::phrase(&late, s));
        wrong
    }
}
