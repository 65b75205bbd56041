//! Naming: the chord of a number, the number of a chord, and the bar that somebody wrote out wrong.

use super::answer::Answer;
use super::draw::{Draw, USUAL, WIDER};
use super::mark::{Criterion, Spot, not_answered};
use super::task::{Ask, Input, Setting, Shown, TaskError};
use crate::solo::chance;
use crate::steel::Instrument;
use crate::theory::{Chord, Key, Numeral, ScaleDegree};

/// A number in a key: which chord, or the other way round.
#[derive(Debug)]
pub(super) struct Naming {
    numeral: Numeral,
    to_letters: bool,
}

impl Naming {
    pub(super) fn draw(
        mut draw: Draw<'_>,
        instrument: &Instrument,
        to_letters: bool,
    ) -> Result<(Setting, Self), TaskError> {
        let numerals = draw.numerals(&WIDER);
        let key = draw.key();
        let numeral = draw.one(&numerals).unwrap_or(Numeral::ONE);
        let setting = draw.setting(instrument, key, &numeral.to_string())?;
        Ok((setting, Self { numeral, to_letters }))
    }

    fn chord(&self, key: Key) -> Chord {
        self.numeral.chord(key)
    }
}

impl Ask for Naming {
    fn question(&self, s: &Setting) -> String {
        if self.to_letters {
            format!("In the key of {}, which chord is {}?", s.key, self.numeral)
        } else {
            format!(
                "In the key of {}, which number is {}?",
                s.key,
                self.chord(s.key).symbol()
            )
        }
    }

    fn input(&self, _: &Setting) -> Input {
        if self.to_letters { Input::Chord } else { Input::Number }
    }

    fn hints(&self, s: &Setting) -> [String; 3] {
        let scale = scale_words(s.key);
        let degree = self.numeral.degree;
        let note = s.key.note(degree);
        let kind = "Then add what stands behind the root: a dash for minor is m in letters, sevenths stay as they are.";
        if self.to_letters {
            [
                format!("Count up the major scale of {}: {scale}.", s.key.tonic),
                kind.to_owned(),
                format!("{degree} is {note}."),
            ]
        } else {
            let letter = format!("{note} is {degree}.");
            [
                format!("Find the root in the major scale of {}: {scale}.", s.key.tonic),
                kind.to_owned(),
                letter,
            ]
        }
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let read = match (answer, self.to_letters) {
            (Answer::Chord(text), true) => text.trim().parse::<Chord>().map_err(|e| e.to_string()),
            (Answer::Number(text), false) => text
                .trim()
                .parse::<Numeral>()
                .map(|n| n.chord(s.key))
                .map_err(|e| e.to_string()),
            (_, true) => return not_answered(5, "a chord in letters"),
            (_, false) => return not_answered(5, "a number"),
        };
        match read {
            Ok(given) => compare(self.numeral, given, s.key),
            Err(why) => vec![Criterion::missed("answer", 0, 5, why, "Write it once more.")],
        }
    }

    fn model(&self, s: &Setting) -> Answer {
        if self.to_letters {
            Answer::Chord(self.chord(s.key).symbol())
        } else {
            Answer::Number(self.numeral.to_string())
        }
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        // A degree off, and the right root as another kind of chord.
        let next = ScaleDegree::new(self.numeral.degree.number() % 7 + 1, self.numeral.degree.accidental);
        let off = next.map(|degree| Numeral {
            degree,
            bass: None,
            ..self.numeral
        });
        let quality = if self.numeral.quality.has_minor_third() {
            crate::theory::Quality::Major
        } else {
            crate::theory::Quality::Minor
        };
        let kind = Numeral {
            quality,
            ..self.numeral
        };
        let as_answer = |n: Numeral| {
            if self.to_letters {
                Answer::Chord(n.chord(s.key).symbol())
            } else {
                Answer::Number(n.to_string())
            }
        };
        off.into_iter().chain([kind]).map(as_answer).collect()
    }
}

/// A given chord beside the wanted one: root, kind, bass and spelling.
fn compare(wanted: Numeral, given: Chord, key: Key) -> Vec<Criterion> {
    let right = wanted.chord(key);
    let mut criteria = Vec::new();
    criteria.push(if given.root.class() == right.root.class() {
        Criterion::met("root", 2, format!("{} is {} in {key}.", wanted.degree, right.root))
    } else {
        let why = format!(
            "{} is {} in {key}, not {}.",
            key.degree_named(given.root),
            given.root,
            right.root
        );
        Criterion::missed(
            "root",
            0,
            2,
            why,
            format!("Count the scale of {}: {}.", key.tonic, scale_words(key)),
        )
    });
    criteria.push(if given.quality == right.quality {
        Criterion::met("kind", 2, "The kind of chord is right.")
    } else {
        let thirds = given.quality.has_minor_third() == right.quality.has_minor_third();
        let why = format!(
            "{} asks for {}, and {} is another kind.",
            wanted,
            right.symbol(),
            given.symbol()
        );
        let next = "Read what stands behind the number: nothing is major, a dash is minor, 7 is a flat seventh on top.";
        Criterion::missed("kind", u16::from(thirds), 2, why, next)
    });
    let named = given.root == right.root && given.bass == right.bass;
    criteria.push(if named {
        Criterion::met("name", 1, "It is written as the key spells it.")
    } else if given.bass.map(|b| b.class()) != right.bass.map(|b| b.class()) {
        Criterion::missed(
            "name",
            0,
            1,
            "The note in the bass is another.",
            "Look at what stands behind the slash.",
        )
    } else {
        let why = format!(
            "The key of {key} calls it {}: each letter of the scale once.",
            right.symbol()
        );
        Criterion::missed(
            "name",
            0,
            1,
            why,
            "Name the letters of the scale in turn, then add sharps or flats.",
        )
    });
    criteria
}

/// "G A B C D E F#".
fn scale_words(key: Key) -> String {
    let degrees = (1..=7).filter_map(|n| ScaleDegree::new(n, crate::theory::Accidental::NATURAL));
    degrees.map(|d| key.note(d).to_string()).collect::<Vec<_>>().join(" ")
}

/// A chart and its chords in letters, one of them wrong.
#[derive(Debug)]
pub(super) struct SpotWrong {
    letters: Vec<Chord>,
    wrong: usize,
}

impl SpotWrong {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let key = draw.key();
        let bars = draw.progression(6, &USUAL);
        let setting = draw.setting(instrument, key, &bars)?;
        let mut letters = first_chords(&setting);
        let wrong = chance::below(letters.len(), &mut draw.rng);
        let Some(right) = letters.get(wrong).copied() else {
            return Err(TaskError::Chart(bars));
        };
        let others: Vec<Chord> = WIDER
            .iter()
            .filter_map(|n| n.parse::<Numeral>().ok())
            .map(|n| n.chord(key))
            .filter(|c| {
                c.root.class() != right.root.class() || c.quality.has_minor_third() != right.quality.has_minor_third()
            })
            .collect();
        if let (Some(slot), Some(other)) = (letters.get_mut(wrong), draw.one(&others)) {
            *slot = other;
        }
        Ok((setting, Self { letters, wrong }))
    }
}

/// The first chord of each bar.
fn first_chords(s: &Setting) -> Vec<Chord> {
    let bars = s.timeline.bars.iter();
    bars.filter_map(|b| s.timeline.span_at(b.start).map(|span| span.chord))
        .collect()
}

impl Ask for SpotWrong {
    fn question(&self, s: &Setting) -> String {
        format!(
            "Somebody wrote this chart out in {} and got one bar wrong. Which bar?",
            s.key
        )
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Letters(self.letters.clone())
    }

    fn input(&self, s: &Setting) -> Input {
        Input::Bar(s.timeline.bars.len())
    }

    fn hints(&self, s: &Setting) -> [String; 3] {
        let half = s.timeline.bars.len() / 2;
        let side = if self.wrong < half { "first" } else { "second" };
        let wrong = self.letters.get(self.wrong).map_or_else(String::new, Chord::symbol);
        [
            format!("Go bar by bar and count the scale: {}.", scale_words(s.key)),
            format!("It is in the {side} half."),
            format!("Look for {wrong}."),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Bar(given) = answer else {
            return not_answered(2, "a bar");
        };
        let index = usize::from(*given).checked_sub(1);
        let name = |i: usize| first_chords(s).get(i).map_or_else(String::new, Chord::symbol);
        let wrote = |i: usize| self.letters.get(i).map_or_else(String::new, Chord::symbol);
        if index == Some(self.wrong) {
            let why = format!(
                "The chart says {}, and {} was written.",
                name(self.wrong),
                wrote(self.wrong)
            );
            return vec![Criterion::met("bar", 2, why).at(Some(Spot::bar(self.wrong)))];
        }
        let (why, spot) = match index.filter(|i| *i < self.letters.len()) {
            Some(i) => (
                format!("Bar {given} is right: the chart says {}.", name(i)),
                Some(Spot::bar(i)),
            ),
            None => (format!("There is no bar {given}."), None),
        };
        vec![Criterion::missed("bar", 0, 2, why, "Turn each number into its chord, then compare.").at(spot)]
    }

    #[allow(clippy::cast_possible_truncation)] // a handful of bars
    fn model(&self, _: &Setting) -> Answer {
        Answer::Bar(self.wrong as u16 + 1)
    }

    #[allow(clippy::cast_possible_truncation)] // a handful of bars
    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let all = s.timeline.bars.len();
        let others = (0..=all).filter(|i| *i != self.wrong);
        others.map(|i| Answer::Bar(i as u16 + 1)).collect()
    }
}
