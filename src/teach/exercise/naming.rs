//! Naming: the chord of a number, the number of a chord, and the bar that somebody wrote out wrong.

use super::answer::Answer;
use super::draw::{Draw, USUAL, WIDER};
use super::mark::{Criterion, Spot, not_answered};
use super::setting::Setting;
use super::task::{Ask, Input, Shown, TaskError};
use crate::solo::chance;
use crate::steel::Instrument;
use crate::theory::{Chord, Key, Numeral, ScaleDegree};
use crate::words::Said;
use std::fmt::Display;

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

    /// A note, chord or key: as the reader spells it, but in letters where the answer is to be written in letters.
    fn named(&self, letters: impl Display) -> Said {
        if self.to_letters {
            Said::from(letters)
        } else {
            Said::notes(letters)
        }
    }
}

impl Ask for Naming {
    fn question(&self, s: &Setting) -> Said {
        if self.to_letters {
            said!(
                "In the key of {key}, which chord is {number}?",
                key = self.named(s.key),
                number = self.numeral
            )
        } else {
            said!(
                "In the key of {key}, which number is {chord}?",
                key = self.named(s.key),
                chord = self.named(self.chord(s.key).symbol())
            )
        }
    }

    fn input(&self, _: &Setting) -> Input {
        if self.to_letters { Input::Chord } else { Input::Number }
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let (scale, tonic) = (self.named(scale_words(s.key)), self.named(s.key.tonic));
        let degree = self.numeral.degree;
        let note = self.named(s.key.note(degree));
        let kind =
            said!("Then add what stands behind the root: a dash for minor is m in letters, sevenths stay as they are.");
        if self.to_letters {
            [
                said!("Count up the major scale of {tonic}: {scale}.", tonic, scale),
                kind,
                said!("{one} is {other}.", one = degree, other = note),
            ]
        } else {
            [
                said!("Find the root in the major scale of {tonic}: {scale}.", tonic, scale),
                kind,
                said!("{one} is {other}.", one = note, other = degree),
            ]
        }
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let read = match (answer, self.to_letters) {
            (Answer::Chord(text), true) => text.trim().parse::<Chord>().map_err(|e| e.said()),
            (Answer::Number(text), false) => text
                .trim()
                .parse::<Numeral>()
                .map(|n| n.chord(s.key))
                .map_err(|e| e.said()),
            (_, true) => return not_answered(5, said!("Answer with a chord in letters.")),
            (_, false) => return not_answered(5, said!("Answer with a number.")),
        };
        match read {
            Ok(given) => self.compare(given, s.key),
            Err(why) => vec![Criterion::missed(
                said!("answer"),
                0,
                5,
                why,
                said!("Write it once more."),
            )],
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

impl Naming {
    /// A given chord beside the wanted one: root, kind, bass and spelling.
    fn compare(&self, given: Chord, key: Key) -> Vec<Criterion> {
        let right = self.chord(key);
        vec![
            self.root(given, right, key),
            self.quality(given, right),
            self.spelling(given, right, key),
        ]
    }

    fn root(&self, given: Chord, right: Chord, key: Key) -> Criterion {
        let named = self.named(key);
        if given.root.class() == right.root.class() {
            let why = said!(
                "{number} is {note} in {key}.",
                number = self.numeral.degree,
                note = self.named(right.root),
                key = named
            );
            return Criterion::met(said!("root"), 2, why);
        }
        let why = said!(
            "{number} is {note} in {key}, not {other}.",
            number = key.degree_named(given.root),
            note = self.named(given.root),
            key = named,
            other = self.named(right.root)
        );
        let next = said!(
            "Count the scale of {tonic}: {scale}.",
            tonic = self.named(key.tonic),
            scale = self.named(scale_words(key))
        );
        Criterion::missed(said!("root"), 0, 2, why, next)
    }

    fn quality(&self, given: Chord, right: Chord) -> Criterion {
        if given.quality == right.quality {
            return Criterion::met(said!("kind"), 2, said!("The kind of chord is right."));
        }
        let thirds = given.quality.has_minor_third() == right.quality.has_minor_third();
        let why = said!(
            "{number} asks for {right}, and {given} is another kind.",
            number = self.numeral,
            right = self.named(right.symbol()),
            given = self.named(given.symbol())
        );
        let next =
            said!("Read what stands behind the number: nothing is major, a dash is minor, 7 is a flat seventh on top.");
        Criterion::missed(said!("kind"), u16::from(thirds), 2, why, next)
    }

    fn spelling(&self, given: Chord, right: Chord, key: Key) -> Criterion {
        if given.root == right.root && given.bass == right.bass {
            return Criterion::met(said!("spelling"), 1, said!("It is written as the key spells it."));
        }
        let (why, next) = if given.bass.map(|b| b.class()) != right.bass.map(|b| b.class()) {
            (
                said!("The note in the bass is another."),
                said!("Look at what stands behind the slash."),
            )
        } else {
            (
                said!(
                    "The key of {key} calls it {chord}: each letter of the scale once.",
                    key = self.named(key),
                    chord = self.named(right.symbol())
                ),
                said!("Name the letters of the scale in turn, then add sharps or flats."),
            )
        };
        Criterion::missed(said!("spelling"), 0, 1, why, next)
    }
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

/// The chord of a bar as it is written; nothing for a bar that is not there.
fn symbol_at(chords: &[Chord], bar: usize) -> Said {
    chords.get(bar).map_or_else(Said::default, |c| Said::notes(c.symbol()))
}

impl Ask for SpotWrong {
    fn question(&self, s: &Setting) -> Said {
        said!(
            "Somebody wrote this chart out in {key} and got one bar wrong. Which bar?",
            key = Said::notes(s.key)
        )
    }

    fn shown(&self, _: &Setting) -> Shown {
        Shown::Letters(self.letters.clone())
    }

    fn input(&self, s: &Setting) -> Input {
        Input::Bar(s.timeline.bars.len())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let half = s.timeline.bars.len() / 2;
        let side = if self.wrong < half {
            said!("It is in the first half.")
        } else {
            said!("It is in the second half.")
        };
        let scale = Said::notes(scale_words(s.key));
        [
            said!("Go bar by bar and count the scale: {scale}.", scale),
            side,
            said!("Look for {chord}.", chord = symbol_at(&self.letters, self.wrong)),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Bar(given) = answer else {
            return not_answered(2, said!("Answer with a bar."));
        };
        let index = usize::from(*given).checked_sub(1);
        let name = |i: usize| symbol_at(&first_chords(s), i);
        if index == Some(self.wrong) {
            let why = said!(
                "The chart says {chord}, and {other} was written.",
                chord = name(self.wrong),
                other = symbol_at(&self.letters, self.wrong)
            );
            return vec![Criterion::met(said!("bar"), 2, why).at(Some(Spot::bar(self.wrong)))];
        }
        let (why, spot) = match index.filter(|i| *i < self.letters.len()) {
            Some(i) => (
                said!(
                    "Bar {bar} is right: the chart says {chord}.",
                    bar = given,
                    chord = name(i)
                ),
                Some(Spot::bar(i)),
            ),
            None => (said!("There is no bar {bar}.", bar = given), None),
        };
        vec![
            Criterion::missed(
                said!("bar"),
                0,
                2,
                why,
                said!("Turn each number into its chord, then compare."),
            )
            .at(spot),
        ]
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
