//! A melody on still strings: which string, and what pressed, for each of its notes.

use super::answer::Answer;
use super::draw::{Draw, TRIES};
use super::holding::{self, merged, words};
use super::mark::{Criterion, not_answered};
use super::places::spoilt;
use super::setting::Setting;
use super::task::{Ask, Input, Shown, TaskError};
use crate::solo::stroke::Grip;
use crate::steel::{Instrument, Place, Stance};
use crate::theory::NoteNumber;
use crate::words::Said;

/// Pedals put to a melody on still strings.
#[derive(Debug)]
pub(super) struct PutPedals {
    fret: u8,
    model: Vec<Grip>,
}

/// Notes of a melody.
const MELODY: usize = 5;

impl PutPedals {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        for _ in 0..TRIES {
            let key = draw.key();
            let fret = draw.rng.u8(2..=10);
            let single = singles(instrument, fret);
            let setting = draw.setting(instrument, key, "1 1")?;
            let scale = crate::theory::Scale::named(key.tonic, crate::theory::scale::ScaleKind::Major);
            let pool: Vec<(Grip, NoteNumber)> = single.into_iter().filter(|(_, n)| scale.contains(n.class())).collect();
            if let Some(model) = melody(&mut draw, &pool) {
                return Ok((setting, Self { fret, model }));
            }
        }
        Err(draw.not_here(instrument))
    }
}

/// Each string of the four that carry melodies, with nothing or one thing pressed that moves it.
fn singles(instrument: &Instrument, fret: u8) -> Vec<(Grip, NoteNumber)> {
    let mut found = Vec::new();
    for string in instrument.string_numbers().filter(|s| (3..=6).contains(&s.number())) {
        let moving = instrument
            .change_ids()
            .filter(|id| instrument.change(*id).is_some_and(|c| c.strings().contains(string)));
        for stance in std::iter::once(Stance::OPEN).chain(moving.map(|id| Stance::OPEN.with(id))) {
            let place = Place::straight(fret, stance);
            let grip = Grip {
                place,
                strings: std::iter::once(string).collect(),
            };
            found.extend(instrument.note(string, place).map(|note| (grip, note)));
        }
    }
    found
}

/// A melody by steps and small leaps that needs something pressed at least twice.
fn melody(draw: &mut Draw<'_>, pool: &[(Grip, NoteNumber)]) -> Option<Vec<Grip>> {
    let mut line: Vec<(Grip, NoteNumber)> = vec![draw.one(pool)?];
    while line.len() < MELODY {
        let (_, last) = *line.last()?;
        let near: Vec<_> = pool
            .iter()
            .filter(|(_, n)| (1..=5).contains(&n.above(last).0.abs()))
            .copied()
            .collect();
        line.push(draw.one(&near)?);
    }
    let pressed = line.iter().filter(|(g, _)| !g.place.stance.is_open()).count();
    (pressed >= 2).then(|| line.into_iter().map(|(g, _)| g).collect())
}

impl PutPedals {
    fn notes(&self, instrument: &Instrument) -> Vec<NoteNumber> {
        self.model.iter().filter_map(|g| holding::top(instrument, *g)).collect()
    }
}

impl Ask for PutPedals {
    fn question(&self, s: &Setting) -> Said {
        said!(
            "Keep the bar at fret {fret} and play this melody in {key}: which string, and what pressed, for each note?",
            fret = self.fret,
            key = Said::notes(s.key)
        )
    }

    fn shown(&self, s: &Setting) -> Shown {
        let named = |n: NoteNumber| crate::theory::Pitch::named(s.key.spell(n.class()), n);
        let pitches = self.notes(&s.instrument).into_iter().filter_map(named).collect();
        Shown::Melody(pitches, Place::straight(self.fret, Stance::OPEN).bar())
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Places(self.model.len())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let place = |i: usize| {
            self.model
                .get(i)
                .map_or_else(Said::default, |g| words(&s.instrument, *g))
        };
        [
            said!("Say what each string sounds at this fret, then what each pedal makes of it."),
            said!("The first note: string {place}.", place = place(0)),
            said!(
                "The second: string {second}. The third: string {third}.",
                second = place(1),
                third = place(2)
            ),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Places(grips) = answer else {
            return not_answered(9, said!("Answer with a place for each note."));
        };
        let wanted = self.notes(&s.instrument);
        let heard: Vec<Option<NoteNumber>> = grips
            .iter()
            .map(|g| holding::top(&s.instrument, *g).filter(|_| g.strings.len() == 1))
            .collect();
        let off =
            (0..wanted.len().max(heard.len())).find(|i| heard.get(*i).copied().flatten() != wanted.get(*i).copied());
        let right = wanted.iter().zip(&heard).filter(|(w, h)| **h == Some(**w)).count();
        #[allow(clippy::cast_possible_truncation)] // five at most
        let melody = match off {
            None => Criterion::met(said!("melody"), 5, said!("Every note of the melody sounds.")),
            Some(i) => {
                let want = wanted
                    .get(i)
                    .map_or_else(|| said!("nothing more"), |n| Said::notes(s.key.spell(n.class())));
                let got = match heard.get(i) {
                    Some(Some(n)) => Said::notes(s.key.spell(n.class())),
                    Some(None) => said!("no single note"),
                    None => said!("nothing"),
                };
                let why = said!(
                    "Note {number} wants {want}, in its octave, and has {got}.",
                    number = i + 1,
                    want,
                    got
                );
                Criterion::missed(
                    said!("melody"),
                    right.min(4) as u16,
                    5,
                    why,
                    said!("Press, or let go, until that string has it."),
                )
                .about(i)
            }
        };
        let stays = match grips.iter().position(|g| g.place.fret != self.fret) {
            None => Criterion::met(said!("bar still"), 2, said!("The bar stays where it is.")),
            Some(i) => {
                let why = said!(
                    "The bar leaves fret {fret} at note {number}: this is about the pedals.",
                    fret = self.fret,
                    number = i + 1
                );
                Criterion::missed(said!("bar still"), 0, 2, why, said!("Find the note at this fret.")).about(i)
            }
        };
        let held = grips.iter().map(|g| vec![holding::hands(s, *g)]).collect();
        let mut criteria = vec![melody, stays];
        criteria.extend(merged(held));
        criteria
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Places(self.model.clone())
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        let mut wrong = spoilt(&self.model);
        let flat = self.model.iter().map(|g| Grip {
            place: Place {
                stance: Stance::OPEN,
                ..g.place
            },
            ..*g
        });
        wrong.push(Answer::Places(flat.collect()));
        wrong
    }
}
