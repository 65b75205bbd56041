//! By ear: which tone of a triad lies lowest.

use super::answer::Answer;
use super::draw::{Draw, TRIES, USUAL, holds, is_triad};
use super::hearing::steel_alone;
use super::holding;
use super::mark::{Criterion, not_answered};
use super::setting::Setting;
use super::task::{Ask, Heard, Input, TaskError};
use crate::solo::stroke::{Grip, Stroke};
use crate::steel::hold::Inversion;
use crate::steel::{Instrument, StringSet};
use crate::theory::{Beats, Numeral};
use crate::words::Said;

/// A triad on the steel: which of its tones is lowest?
#[derive(Debug)]
pub(super) struct HearInversion {
    grip: Grip,
    numeral: Numeral,
    inversion: Inversion,
}

/// What a triad can have at the bottom.
const TRIAD: [Inversion; 3] = [Inversion::Root, Inversion::First, Inversion::Second];

impl HearInversion {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let numerals: Vec<Numeral> = draw.numerals(&USUAL).into_iter().filter(is_triad).collect();
        for _ in 0..TRIES {
            let key = draw.key();
            let (Some(numeral), Some(inversion)) = (draw.one(&numerals), draw.one(&TRIAD)) else {
                break;
            };
            let found = holds(instrument, &numeral.chord(key));
            let found: Vec<_> = found.into_iter().filter(|h| h.inversion == inversion).collect();
            if let Some(hold) = draw.one(&found) {
                let grip = Grip {
                    place: hold.place,
                    strings: hold.strings,
                };
                let setting = draw.setting(instrument, key, &format!("{numeral} {numeral}"))?;
                return Ok((
                    setting,
                    Self {
                        grip,
                        numeral,
                        inversion,
                    },
                ));
            }
        }
        Err(draw.not_here(instrument))
    }
}

impl Ask for HearInversion {
    fn question(&self, s: &Setting) -> Said {
        let chord = self.numeral.chord(s.key).symbol();
        said!(
            "You hear {chord}, note by note from the lowest up, then together. Which of its notes is lowest?",
            chord = Said::notes(chord)
        )
    }

    fn heard(&self, s: &Setting, _: Option<&Answer>) -> Option<Heard> {
        let notes = holding::sounded(&s.instrument, self.grip);
        let end = Beats(8.0);
        #[allow(clippy::cast_precision_loss)] // three strings
        let mut strokes: Vec<Stroke> = notes
            .iter()
            .enumerate()
            .map(|(i, (string, _))| {
                let strings: StringSet = std::iter::once(*string).collect();
                Stroke::struck(Grip { strings, ..self.grip }, Beats(i as f64), Beats(3.75))
            })
            .collect();
        strokes.push(Stroke::struck(self.grip, Beats(4.0), end));
        Some(steel_alone(s, &strokes))
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Inversions(TRIAD.to_vec())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let gap = match self.inversion {
            Inversion::Second => said!("The first step up is a fourth, as in a bugle call."),
            _ => said!("The first step up is a third."),
        };
        let second = match self.inversion {
            Inversion::Root => said!("The second step up is a third as well."),
            Inversion::First => said!("The second step up is a fourth."),
            _ => said!("The second step up is a third."),
        };
        let lowest = holding::sounded(&s.instrument, self.grip);
        let lowest = lowest
            .first()
            .and_then(|(_, n)| *n)
            .map_or_else(Said::default, |n| Said::notes(s.key.spell(n.class())));
        [gap, second, said!("The lowest note is {lowest}.", lowest)]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Inversion(given) = answer else {
            return not_answered(2, said!("Answer with an inversion."));
        };
        let grip = holding::words(&s.instrument, self.grip);
        let is = Said::of(self.inversion.name());
        if *given == self.inversion {
            return vec![Criterion::met(
                said!("inversion"),
                2,
                said!("It is {is}: {grip}.", is, grip),
            )];
        }
        let why = said!(
            "It is {is}, not {other}: {grip}.",
            is,
            other = Said::of(given.name()),
            grip
        );
        vec![Criterion::missed(
            said!("inversion"),
            0,
            2,
            why,
            said!("Sing the lowest note, then find the root from it."),
        )]
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Inversion(self.inversion)
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        TRIAD
            .into_iter()
            .filter(|i| *i != self.inversion)
            .map(Answer::Inversion)
            .collect()
    }
}
