//! Chords on the neck: find one, climb its inversions, take the next one by small steps.

use super::answer::Answer;
use super::draw::{Draw, TRIES, USUAL, WIDER, holds, is_triad};
use super::holding::{self, judge, merged, words, wrong_count};
use super::mark::{Criterion, not_answered};
use super::setting::Setting;
use super::task::{Ask, Input, Shown, TaskError};
use crate::solo::stroke::Grip;
use crate::steel::hold::{Hold, Tones};
use crate::steel::{Instrument, Place};
use crate::theory::{Chord, NoteNumber, Numeral};
use crate::words::Said;

fn grip_of(hold: &Hold) -> Grip {
    Grip {
        place: hold.place,
        strings: hold.strings,
    }
}

/// How much of a chord a hold must sound: all of three tones; of more, what makes it.
fn tones(chord: &Chord) -> Tones {
    if chord.tones().count() > 3 {
        Tones::Essential
    } else {
        Tones::All
    }
}

/// Answers that are never right: nothing held, and the right hold moved a fret.
pub(super) fn spoilt(right: &[Grip]) -> Vec<Answer> {
    let moved = |g: &Grip| Grip {
        place: Place {
            fret: g.place.fret.saturating_add(1),
            ..g.place
        },
        ..*g
    };
    vec![
        Answer::Places(Vec::new()),
        Answer::Places(right.iter().map(moved).collect()),
    ]
}

/// A chord: hold it, once or at several frets.
#[derive(Debug)]
pub(super) struct FindChord {
    numeral: Numeral,
    model: Vec<Grip>,
}

impl FindChord {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let wanted = usize::from(draw.exercise.places.unwrap_or(1));
        let numerals = draw.numerals(&USUAL);
        for _ in 0..TRIES {
            let key = draw.key();
            let numeral = draw.one(&numerals).unwrap_or(Numeral::ONE);
            let mut found = holds(instrument, &numeral.chord(key));
            found.sort_by_key(|h| h.effort);
            let mut model: Vec<Grip> = Vec::new();
            for hold in &found {
                if model.len() < wanted && model.iter().all(|g| g.place.fret != hold.place.fret) {
                    model.push(grip_of(hold));
                }
            }
            if model.len() == wanted {
                let setting = draw.setting(instrument, key, &numeral.to_string())?;
                return Ok((setting, Self { numeral, model }));
            }
        }
        Err(draw.not_here(instrument))
    }
}

impl Ask for FindChord {
    fn question(&self, s: &Setting) -> Said {
        let (key, chord) = (Said::notes(s.key), Said::notes(self.numeral.chord(s.key).symbol()));
        match self.model.len() {
            1 => said!(
                "In {key}, hold the {number}, which is {chord}, anywhere on the neck.",
                key,
                number = self.numeral,
                chord
            ),
            places => said!(
                "In {key}, hold the {number}, which is {chord}, at {places} different frets.",
                key,
                number = self.numeral,
                chord,
                places
            ),
        }
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Places(self.model.len())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let chord = self.numeral.chord(s.key);
        let tones: Vec<String> = chord.tones().map(|(_, name)| name.to_string()).collect();
        let first = self
            .model
            .first()
            .map_or_else(Said::default, |g| words(&s.instrument, *g));
        let fret = self.model.first().map_or(0, |g| g.place.fret);
        [
            said!(
                "{one} is {other}.",
                one = Said::notes(chord.symbol()),
                other = Said::notes(tones.join(" "))
            ),
            said!("One lies at fret {fret}.", fret),
            said!("Try strings {grip}.", grip = first),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Places(grips) = answer else {
            return not_answered(10, said!("Answer with places on the neck."));
        };
        let chord = self.numeral.chord(s.key);
        let mut criteria = vec![places(grips, self.model.len())];
        criteria.extend(merged(
            grips.iter().map(|g| judge(s, *g, &chord, tones(&chord))).collect(),
        ));
        criteria
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Places(self.model.clone())
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        let mut wrong = spoilt(&self.model);
        if let (Some(first), true) = (self.model.first(), self.model.len() > 1) {
            wrong.push(Answer::Places(vec![*first; self.model.len()]));
        }
        wrong
    }
}

/// As many places as wanted, each at a fret of its own.
fn places(grips: &[Grip], wanted: usize) -> Criterion {
    if grips.len() != wanted {
        return wrong_count(grips.len(), wanted);
    }
    let mut frets: Vec<u8> = grips.iter().map(|g| g.place.fret).collect();
    frets.sort_unstable();
    frets.dedup();
    if frets.len() == wanted {
        return Criterion::met(said!("places"), 3, said!("As many places as asked."));
    }
    let why = said!("Two of them are at one fret: the hand learns more from another place.");
    Criterion::missed(said!("places"), 1, 3, why, said!("Look further up the neck."))
}

/// A triad: three inversions of it, each higher.
#[derive(Debug)]
pub(super) struct Inversions {
    numeral: Numeral,
    model: Vec<Grip>,
}

impl Inversions {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let numerals: Vec<Numeral> = draw.numerals(&USUAL).into_iter().filter(is_triad).collect();
        for _ in 0..TRIES {
            let key = draw.key();
            let Some(numeral) = draw.one(&numerals) else { break };
            if let Some(model) = stairs(instrument, &numeral.chord(key)) {
                let setting = draw.setting(instrument, key, &numeral.to_string())?;
                return Ok((setting, Self { numeral, model }));
            }
        }
        Err(draw.not_here(instrument))
    }
}

/// Three different inversions of a triad, each with a higher top note, the easiest there are.
fn stairs(instrument: &Instrument, chord: &Chord) -> Option<Vec<Grip>> {
    let mut found = holds(instrument, chord);
    found.sort_by_key(|h| h.effort);
    let mut best: Vec<&Hold> = Vec::new();
    for hold in &found {
        let new_kind = best.iter().all(|b| b.inversion != hold.inversion);
        let new_top = best
            .iter()
            .all(|b| b.top().map(|v| v.note) != hold.top().map(|v| v.note));
        if new_kind && new_top && best.len() < 3 {
            best.push(hold);
        }
    }
    best.sort_by_key(|h| h.top().map(|v| v.note));
    (best.len() == 3).then(|| best.into_iter().map(grip_of).collect())
}

impl Ask for Inversions {
    fn question(&self, s: &Setting) -> Said {
        said!(
            "Hold {chord}, the {number} of {key}, in three inversions, each one higher than the last.",
            chord = Said::notes(self.numeral.chord(s.key).symbol()),
            number = self.numeral,
            key = Said::notes(s.key)
        )
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Places(3)
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let place = |i: usize| {
            self.model
                .get(i)
                .map_or_else(Said::default, |g| words(&s.instrument, *g))
        };
        [
            said!("An inversion is named by its lowest note: the root, the third or the fifth. Use each once."),
            said!("Begin with {grip}.", grip = place(0)),
            said!("Then {second}, and {third}.", second = place(1), third = place(2)),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Places(grips) = answer else {
            return not_answered(13, said!("Answer with three places on the neck."));
        };
        let chord = self.numeral.chord(s.key);
        let mut criteria = merged(grips.iter().map(|g| judge(s, *g, &chord, Tones::All)).collect());
        criteria.push(different(s, grips, &chord));
        criteria.push(rising(&s.instrument, grips));
        criteria
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Places(self.model.clone())
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        let mut wrong = spoilt(&self.model);
        let mut down = self.model.clone();
        down.reverse();
        wrong.push(Answer::Places(down));
        wrong.extend(self.model.first().map(|g| Answer::Places(vec![*g; 3])));
        wrong
    }
}

fn different(s: &Setting, grips: &[Grip], chord: &Chord) -> Criterion {
    let found: Vec<_> = grips
        .iter()
        .map(|g| holding::inversion(&s.instrument, *g, chord))
        .collect();
    let twin = (1..found.len()).find(|i| found.iter().take(*i).any(|f| Some(f) == found.get(*i)));
    if grips.len() != 3 {
        return wrong_count(grips.len(), 3);
    }
    match twin {
        None if found.iter().all(Option::is_some) => {
            Criterion::met(said!("inversions"), 3, said!("Each inversion once."))
        }
        None => {
            let why = said!("The lowest note of one of them is not in the chord.");
            Criterion::missed(said!("inversions"), 1, 3, why, said!("Mend its notes first."))
        }
        Some(i) => {
            let name = found.get(i).copied().flatten();
            let why = said!(
                "Place {number} is {inversion} once more: the colour of a chord comes from its lowest note.",
                number = i + 1,
                inversion = name.map_or_else(|| said!("one¦an inversion"), |f| Said::of(f.name()))
            );
            Criterion::missed(
                said!("inversions"),
                1,
                3,
                why,
                said!("Take other strings, or the chord's next home up the neck."),
            )
            .about(i)
        }
    }
}

fn rising(instrument: &Instrument, grips: &[Grip]) -> Criterion {
    let tops: Vec<_> = grips.iter().map(|g| holding::top(instrument, *g)).collect();
    let falls = tops.windows(2).position(|pair| matches!(pair, [a, b] if b <= a));
    match falls {
        None if grips.len() == 3 => Criterion::met(said!("rising"), 3, said!("Each is higher than the last.")),
        None => Criterion::missed(
            said!("rising"),
            0,
            3,
            said!("There are not three to climb."),
            said!("Hold three."),
        ),
        Some(i) => {
            let why = said!(
                "Place {number} is no higher at the top than place {other}.",
                number = i + 2,
                other = i + 1
            );
            Criterion::missed(said!("rising"), 1, 3, why, said!("Order them by their top note.")).about(i + 1)
        }
    }
}

/// A held chord, and the next one by small steps.
#[derive(Debug)]
pub(super) struct VoiceLead {
    from: Numeral,
    held: Grip,
    to: Numeral,
    model: Grip,
}

/// The largest step a voice may take, in semitones: a whole tone.
const STEP: i16 = 2;

impl VoiceLead {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let numerals: Vec<Numeral> = draw.numerals(&WIDER);
        for _ in 0..TRIES {
            let key = draw.key();
            let (Some(from), Some(to)) = (draw.one(&numerals), draw.one(&numerals)) else {
                break;
            };
            let mut starts = holds(instrument, &from.chord(key));
            starts.sort_by_key(|h| h.effort);
            starts.truncate(12);
            let ends = holds(instrument, &to.chord(key));
            let Some(start) = draw.one(&starts).filter(|_| from != to) else {
                continue;
            };
            let near = ends
                .iter()
                .filter(|e| steps(&notes_of(&start), &notes_of(e)).is_some_and(|m| m <= STEP));
            let best = near.min_by_key(|e| (e.place.fret.abs_diff(start.place.fret), e.effort));
            if let Some(end) = best {
                let setting = draw.setting(instrument, key, &format!("{from} {to}"))?;
                let (held, model) = (grip_of(&start), grip_of(end));
                return Ok((setting, Self { from, held, to, model }));
            }
        }
        Err(draw.not_here(instrument))
    }
}

fn notes_of(hold: &Hold) -> Vec<NoteNumber> {
    hold.voices.iter().map(|v| v.note).collect()
}

/// The largest step between two chords, voice by voice from the lowest; nothing where they have not as many voices.
fn steps(from: &[NoteNumber], to: &[NoteNumber]) -> Option<i16> {
    let largest = from.iter().zip(to).map(|(a, b)| b.above(*a).0.abs()).max();
    largest.filter(|_| from.len() == to.len())
}

impl Ask for VoiceLead {
    fn question(&self, s: &Setting) -> Said {
        said!(
            "In {key} you hold {from}, the {number}. Take {to}, the {other}, so that no voice moves more than a whole tone.",
            key = Said::notes(s.key),
            from = Said::notes(self.from.chord(s.key).symbol()),
            number = self.from,
            to = Said::notes(self.to.chord(s.key).symbol()),
            other = self.to
        )
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Hold(self.held, self.from)
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Places(1)
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let tones: Vec<String> = self.to.chord(s.key).tones().map(|(_, n)| n.to_string()).collect();
        [
            said!(
                "{chord} is {tones}: what of it do you hold already?",
                chord = Said::notes(self.to.chord(s.key).symbol()),
                tones = Said::notes(tones.join(" "))
            ),
            said!("The bar can be at fret {fret}.", fret = self.model.place.fret),
            said!("Try strings {grip}.", grip = words(&s.instrument, self.model)),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Places(grips) = answer else {
            return not_answered(10, said!("Answer with a place on the neck."));
        };
        let [grip] = grips.as_slice() else {
            return vec![wrong_count(grips.len(), 1)];
        };
        let chord = self.to.chord(s.key);
        let mut criteria = judge(s, *grip, &chord, tones(&chord));
        criteria.push(self.small_steps(s, *grip));
        criteria
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Places(vec![self.model])
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        let mut wrong = spoilt(&[self.model]);
        // The old chord, held on; and the new one an octave up.
        wrong.push(Answer::Places(vec![self.held]));
        let place = Place {
            fret: self.model.place.fret + 12,
            ..self.model.place
        };
        wrong.push(Answer::Places(vec![Grip { place, ..self.model }]));
        wrong
    }
}

impl VoiceLead {
    fn small_steps(&self, s: &Setting, grip: Grip) -> Criterion {
        let notes = |g: Grip| -> Vec<NoteNumber> {
            holding::sounded(&s.instrument, g)
                .into_iter()
                .filter_map(|(_, n)| n)
                .collect()
        };
        match steps(&notes(self.held), &notes(grip)) {
            Some(largest) if largest <= STEP => Criterion::met(
                said!("small steps"),
                3,
                said!("Each voice stays or moves to its neighbour."),
            ),
            Some(largest) => {
                let why = said!(
                    "One voice leaps {semitones} semitones: the ear follows lines, and here one breaks.",
                    semitones = largest
                );
                let part = u16::from(largest <= STEP + 2);
                Criterion::missed(
                    said!("small steps"),
                    part,
                    3,
                    why,
                    said!("Look for the chord nearer to where you are."),
                )
            }
            None => {
                let why = said!(
                    "You held {before} strings, now {now}.",
                    before = self.held.strings.len(),
                    now = grip.strings.len()
                );
                Criterion::missed(
                    said!("small steps"),
                    0,
                    3,
                    why,
                    said!("Give each voice a string to go on."),
                )
            }
        }
    }
}
