//! Mend bars that nobody can play, and keep their tune.

use super::{
    Answer, Criterion, Draw, Setting, Spot, TRIES, drawn, same, shifted, slow_moments, sound, strokes_of, top,
};
use crate::solo::chance;
use crate::solo::playable;
use crate::solo::stroke::{Arrival, Stroke};
use crate::steel::{ChangeId, Fret, Instrument, StringSet};
use crate::teach::exercise::holding;
use crate::teach::exercise::task::{Ask, Heard, Input, Shown, TaskError};
use crate::theory::Beats;
use crate::words::Said;

/// Bars with one stroke that a body can't play, and the bars as they were before that.
#[derive(Debug)]
pub(in crate::teach::exercise) struct FixBar {
    broken: Vec<Stroke>,
    model: Vec<Stroke>,
    at: usize,
}

impl FixBar {
    pub(in crate::teach::exercise) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
    ) -> Result<(Setting, Self), TaskError> {
        for _ in 0..TRIES {
            let key = draw.key();
            let bars = draw.progression(2, &["1", "4", "5", "6-"]);
            let s = draw.setting(instrument, key, &bars)?;
            let moments = slow_moments(&s, 0..s.timeline.bars.len());
            let Some(model) = drawn(&mut draw, &s, &moments, s.timeline.length()) else {
                continue;
            };
            let at = chance::below(model.len(), &mut draw.rng);
            let Some(broken) = broken(&mut draw, &s, &model, at) else {
                continue;
            };
            let ask = Self { broken, model, at };
            let fair = ask.mark(&s, &ask.model(&s)).iter().all(Criterion::is_met);
            if fair && !report(&s, &ask.broken).is_empty() {
                return Ok((s, ask));
            }
        }
        Err(draw.not_here(instrument))
    }
}

fn report(s: &Setting, strokes: &[Stroke]) -> Vec<playable::Breach> {
    playable::report(&s.performance(strokes), &s.instrument, s.timeline.tempo, &s.limits)
}

/// The phrase with the stroke `at` made unplayable: pedals too far apart, a slide too long, or too many strings.
fn broken(draw: &mut Draw<'_>, s: &Setting, model: &[Stroke], at: usize) -> Option<Vec<Stroke>> {
    let stroke = *model.get(at)?;
    let ways = [
        pressed_too_much(s, &stroke),
        slid_too_far(&stroke),
        picked_too_much(s, &stroke),
    ];
    let ways: Vec<Stroke> = ways.into_iter().flatten().collect();
    let mut phrase = model.to_vec();
    *phrase.get_mut(at)? = draw.one(&ways)?;
    Some(phrase)
}

/// Something more pressed that changes nothing on these strings and that the body can't hold.
fn pressed_too_much(s: &Setting, stroke: &Stroke) -> Option<Stroke> {
    let with = |id: ChangeId| {
        let mut more = *stroke;
        more.grip.place.stance = stroke.grip.place.stance.with(id);
        more
    };
    let sounds = |x: &Stroke| holding::sounded(&s.instrument, x.grip);
    let unheld = |x: &Stroke| !holding::hands(s, x.grip).is_met() && sounds(x) == sounds(stroke);
    s.instrument.change_ids().map(with).find(unheld)
}

/// The bar sent most of the neck away in no time.
fn slid_too_far(stroke: &Stroke) -> Option<Stroke> {
    let from = Fret(if stroke.grip.place.fret < 10 { 20.0 } else { 1.0 });
    Some(stroke.arriving(Arrival::Slid { from, time: Beats(0.1) }))
}

/// More strings of the chord than there are picks, below the top one.
fn picked_too_much(s: &Setting, stroke: &Stroke) -> Option<Stroke> {
    let span = s.timeline.span_at(stroke.at + Beats(1e-6))?;
    let high = top(s, stroke)?;
    let belongs = |string: &crate::steel::StringNumber| {
        let note = s.instrument.note(*string, stroke.grip.place);
        note.is_some_and(|n| n <= high && span.chord.tone_of(n.class()).is_some())
    };
    let strings: StringSet = s.instrument.string_numbers().filter(belongs).collect();
    let mut more = *stroke;
    more.grip.strings = strings.or(stroke.grip.strings);
    (more.grip.strings.len() > s.limits.picks).then_some(more)
}

impl Ask for FixBar {
    fn question(&self, _: &Setting) -> Said {
        said!("Nobody can play this. Mend it: keep each stroke's moment and its top note.")
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Strokes(self.broken.clone())
    }

    fn heard(&self, s: &Setting, answer: Option<&Answer>) -> Option<Heard> {
        super::played(s, answer, &self.broken)
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Phrase(self.broken.clone())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let spot = self
            .broken
            .get(self.at)
            .map_or_else(Said::default, |b| Spot::at(&s.timeline, b.at).said());
        let why = report(s, &self.broken)
            .first()
            .map_or_else(Said::default, |b| b.trouble.said().as_sentence());
        let model = self
            .model
            .get(self.at)
            .map_or_else(Said::default, |m| holding::words(&s.instrument, m.grip));
        [
            said!("Look at {spot}.", spot),
            why,
            said!("Strike strings {grip}, without more.", grip = model),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let strokes = match strokes_of(s, answer) {
            Ok(strokes) => strokes,
            Err(criteria) => return criteria,
        };
        let mut criteria = sound(s, &strokes);
        let kept = |b: &&Stroke| strokes.iter().any(|x| same(x.at, b.at) && top(s, x) == top(s, b));
        let lost = self.broken.iter().find(|b| !kept(b));
        #[allow(clippy::cast_possible_truncation)] // three at most
        let part = self.broken.iter().filter(kept).count().min(2) as u16;
        criteria.push(match lost {
            None => Criterion::met(
                said!("tune"),
                3,
                said!("The tune is kept: every moment has its top note."),
            ),
            Some(stroke) => {
                let note = top(s, stroke).map_or_else(Said::default, |n| Said::notes(s.key.spell(n.class())));
                let why = said!(
                    "The {note} on top is gone: the tune is what people remember.",
                    note = &note
                );
                let spot = Some(Spot::at(&s.timeline, stroke.at));
                Criterion::missed(
                    said!("tune"),
                    part,
                    3,
                    why,
                    said!("Bring back the {note}, held in another way.", note),
                )
                .at(spot)
            }
        });
        criteria
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::phrase(&self.model, s)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let mut wrong = super::never_right();
        wrong.push(Answer::phrase(&self.broken, s));
        let without: Vec<Stroke> = self
            .model
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != self.at)
            .map(|(_, m)| *m)
            .collect();
        wrong.push(Answer::phrase(&without, s));
        let off: Vec<Stroke> = self.model.iter().map(shifted).collect();
        wrong.push(Answer::phrase(&off, s));
        wrong
    }
}
