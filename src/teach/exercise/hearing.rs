//! By ear: which change moved a string, which number was played, which bars were heard.

use super::answer::Answer;
use super::draw::{Draw, TRIES, USUAL, holds};
use super::holding;
use super::mark::{Criterion, Spot, not_answered};
use super::setting::Setting;
use super::task::{Ask, Heard, Input, TaskError};
use crate::solo::Performance;
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::steel::{ChangeId, Instrument, Place, Stance};
use crate::theory::{Beats, Cents, Numeral, chart};
use crate::words::Said;

/// What the steel plays alone.
pub(super) fn steel_alone(s: &Setting, strokes: &[Stroke]) -> Heard {
    Heard {
        performance: s.performance(strokes),
        instrument: s.instrument.clone(),
        band: false,
    }
}

/// The band plays the chart, the steel is silent.
fn band_alone(s: &Setting) -> Heard {
    Heard {
        performance: Performance::silent(s.timeline.length(), s.instrument.changes.len()),
        instrument: s.instrument.clone(),
        band: true,
    }
}

/// Strings that ring, and a change that moves one or more of them.
#[derive(Debug)]
pub(super) struct HearChange {
    grip: Grip,
    change: ChangeId,
    offered: Vec<ChangeId>,
}

impl HearChange {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let named = |id: &ChangeId| {
            let asked = &draw.exercise.changes;
            asked.is_empty() || instrument.change(*id).is_some_and(|c| asked.contains(&c.name))
        };
        let offered: Vec<ChangeId> = instrument.change_ids().filter(named).collect();
        let key = draw.key();
        let setting = draw.setting(instrument, key, "1 1")?;
        let open = holds(instrument, &Numeral::ONE.chord(key));
        let open: Vec<_> = open.into_iter().filter(|h| h.place.stance.is_open()).collect();
        for _ in 0..TRIES {
            let (Some(change), Some(hold)) = (draw.one(&offered), draw.one(&open)) else {
                break;
            };
            let grip = Grip {
                place: hold.place,
                strings: hold.strings,
            };
            let ask = Self {
                grip,
                change,
                offered: offered.clone(),
            };
            if offered.len() > 1 && !ask.effect(instrument, change).is_empty() {
                return Ok((setting, ask));
            }
        }
        Err(draw.not_here(instrument))
    }

    /// What a change does to the strings that ring: which it moves, and how far.
    fn effect(&self, instrument: &Instrument, id: ChangeId) -> Vec<(u8, Cents)> {
        let pulls = instrument.change(id).map_or(&[][..], |c| &c.pulls);
        let mut moved: Vec<_> = pulls
            .iter()
            .filter(|p| self.grip.strings.contains(p.string))
            .map(|p| (p.string.number(), p.by))
            .collect();
        moved.sort_by_key(|(string, _)| *string);
        moved
    }

    fn name(instrument: &Instrument, id: ChangeId) -> String {
        instrument.change(id).map_or_else(String::new, |c| c.name.clone())
    }
}

/// "string 5 up 2 semitones".
fn effect_words(effect: &[(u8, Cents)]) -> Said {
    let one = |(string, by): &(u8, Cents)| {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // an octave at most
        let semitones = (by.0.abs() / 100.0).round() as u64;
        if by.0 > 0.0 {
            said!(semitones => "string {string} up {n} semitone", "string {string} up {n} semitones", string)
        } else {
            said!(semitones => "string {string} down {n} semitone", "string {string} down {n} semitones", string)
        }
    };
    and(effect.iter().map(one)).unwrap_or_else(|| said!("nothing that rings"))
}

/// Several with "and" between them; nothing of none.
fn and(all: impl Iterator<Item = Said>) -> Option<Said> {
    all.reduce(|several, last| said!("{several} and {last}", several, last))
}

impl Ask for HearChange {
    fn question(&self, s: &Setting) -> Said {
        let grip = holding::words(&s.instrument, self.grip);
        said!("Strings {grip}, ring; then one pedal or lever is pressed. Which?", grip)
    }

    fn heard(&self, s: &Setting, _: Option<&Answer>) -> Option<Heard> {
        let end = Beats(6.0);
        let pressed = Grip {
            place: Place {
                stance: Stance::OPEN.with(self.change),
                ..self.grip.place
            },
            ..self.grip
        };
        let time = Beats(0.5);
        let carried = Stroke::struck(pressed, Beats(2.0), end).arriving(Arrival::Carried { time });
        Some(steel_alone(s, &[Stroke::struck(self.grip, Beats::ZERO, end), carried]))
    }

    fn input(&self, s: &Setting) -> Input {
        Input::Changes(self.offered.iter().map(|id| Self::name(&s.instrument, *id)).collect())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let effect = self.effect(&s.instrument, self.change);
        let up = effect.iter().any(|(_, by)| by.0 > 0.0);
        let way = if up {
            said!("It raises what it moves.")
        } else {
            said!("It lowers what it moves.")
        };
        let strings = and(effect.iter().map(|(n, _)| Said::from(n))).unwrap_or_default();
        [
            way,
            said!("It moves string {strings}.", strings),
            said!("It takes {effect}.", effect = effect_words(&effect)),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Change(name) = answer else {
            return not_answered(2, said!("Answer with a pedal or lever."));
        };
        let wanted = self.effect(&s.instrument, self.change);
        let Some(given) = s.instrument.change_named(name).map(|id| self.effect(&s.instrument, id)) else {
            let why = said!("This instrument has no {name}.", name);
            return vec![Criterion::missed(
                said!("change"),
                0,
                2,
                why,
                said!("Choose one of those it has."),
            )];
        };
        let heard = effect_words(&wanted);
        if given == wanted {
            return vec![Criterion::met(
                said!("change"),
                2,
                said!("You heard {heard}: that is {name}.", heard, name),
            )];
        }
        let same_way = given
            .iter()
            .any(|(n, by)| wanted.iter().any(|(m, w)| n == m && by.0.signum() == w.0.signum()));
        let why = said!(
            "{name} takes {effect}. You heard {heard}.",
            name,
            effect = effect_words(&given),
            heard
        );
        let next = said!("Hear it again: first which string moves, then up or down, then how far.");
        vec![Criterion::missed(said!("change"), u16::from(same_way), 2, why, next)]
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::Change(Self::name(&s.instrument, self.change))
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        let wanted = self.effect(&s.instrument, self.change);
        let others = s
            .instrument
            .change_ids()
            .filter(|id| self.effect(&s.instrument, *id) != wanted);
        others.map(|id| Answer::Change(Self::name(&s.instrument, id))).collect()
    }
}

/// A key, then a chord of it: which number?
#[derive(Debug)]
pub(super) struct HearNumber {
    numeral: Numeral,
    offered: Vec<Numeral>,
}

impl HearNumber {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let offered = draw.numerals(&USUAL);
        let key = draw.key();
        let others: Vec<Numeral> = offered.iter().filter(|n| **n != Numeral::ONE).copied().collect();
        let numeral = draw.one(&others).unwrap_or(Numeral::ONE);
        let setting = draw.setting(instrument, key, &format!("1 1 {numeral} {numeral}"))?;
        Ok((setting, Self { numeral, offered }))
    }
}

impl Ask for HearNumber {
    fn question(&self, s: &Setting) -> Said {
        said!(
            "Two bars of the 1 in {key}, then two bars of another number. Which?",
            key = Said::notes(s.key)
        )
    }

    fn heard(&self, s: &Setting, _: Option<&Answer>) -> Option<Heard> {
        Some(band_alone(s))
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Numbers(self.offered.clone())
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let kind = if self.numeral.quality.has_minor_third() {
            said!("It is a minor kind of chord.")
        } else {
            said!("It is a major kind of chord.")
        };
        [
            said!("Sing the bass of the 1, then that of the other chord, and count the steps between."),
            kind,
            said!(
                "Its bass is {note}.",
                note = Said::notes(self.numeral.chord(s.key).lowest())
            ),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Number(text) = answer else {
            return not_answered(3, said!("Answer with a number."));
        };
        match text.trim().parse::<Numeral>() {
            Ok(given) => heard_number(s, self.numeral, given, None),
            Err(error) => vec![Criterion::missed(
                said!("number"),
                0,
                3,
                error.said(),
                said!("Choose a number."),
            )],
        }
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Number(self.numeral.to_string())
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        let others = USUAL
            .iter()
            .filter_map(|n| n.parse::<Numeral>().ok())
            .chain(self.offered.iter().copied());
        let others = others.filter(|n| n.degree != self.numeral.degree || n.quality != self.numeral.quality);
        others.map(|n| Answer::Number(n.to_string())).collect()
    }
}

/// A number that was heard beside the one that was written: its root and its kind.
fn heard_number(s: &Setting, wanted: Numeral, given: Numeral, bar: Option<usize>) -> Vec<Criterion> {
    let spot = bar.map(Spot::bar);
    let (right, written) = (wanted.chord(s.key), given.chord(s.key));
    let name = |of: Said| match bar {
        Some(bar) => said!("bar {bar}: {of}", bar = bar + 1, of),
        None => of,
    };
    let root = if right.root.class() == written.root.class() && right.lowest().class() == written.lowest().class() {
        Criterion::met(
            name(said!("root")),
            2,
            said!("Its root is the {number}.", number = wanted.degree),
        )
    } else {
        let why = said!(
            "You heard the {wanted}, with {note} in the bass; {given} has {other}.",
            wanted,
            note = Said::notes(right.lowest()),
            given,
            other = Said::notes(written.lowest())
        );
        let next = said!("Hum the bass note, and walk down the scale to the 1.");
        Criterion::missed(name(said!("root")), 0, 2, why, next)
    };
    let kind = if right.quality == written.quality {
        Criterion::met(name(said!("kind")), 1, said!("The kind of chord is right."))
    } else {
        let next = said!("Listen for the third: it makes the chord bright or dark.");
        Criterion::missed(
            name(said!("kind")),
            0,
            1,
            said!("It is {wanted}, not {given}.", wanted, given),
            next,
        )
    };
    vec![root.at(spot.clone()), kind.at(spot)]
}

/// A few bars of the band: which numbers?
#[derive(Debug)]
pub(super) struct Follow {
    numbers: Vec<Numeral>,
}

impl Follow {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let bars = usize::from(draw.exercise.bars.unwrap_or(4));
        let key = draw.key();
        let row = draw.progression(bars, &USUAL);
        let setting = draw.setting(instrument, key, &row)?;
        let numbers = numbers_of(&setting);
        Ok((setting, Self { numbers }))
    }
}

/// The number each bar begins with.
fn numbers_of(s: &Setting) -> Vec<Numeral> {
    let bars = s.timeline.bars.iter();
    bars.filter_map(|b| s.timeline.span_at(b.start).map(|span| span.numeral))
        .collect()
}

impl Ask for Follow {
    fn question(&self, s: &Setting) -> Said {
        let first = self.numbers.first().map_or_else(String::new, ToString::to_string);
        said!(
            "The band plays {bars} bars in {key}, beginning on the {first}. Write the numbers.",
            bars = self.numbers.len(),
            key = Said::notes(s.key),
            first
        )
    }

    fn heard(&self, s: &Setting, _: Option<&Answer>) -> Option<Heard> {
        Some(band_alone(s))
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Chart(self.numbers.len())
    }

    fn hints(&self, _: &Setting) -> [Said; 3] {
        let last = self.numbers.last().map_or_else(String::new, ToString::to_string);
        let minors = self.numbers.iter().filter(|n| n.quality.has_minor_third()).count();
        let second = self.numbers.get(1).map_or_else(String::new, ToString::to_string);
        [
            said!("It ends on the {number}.", number = last),
            said!("{minors} of the bars are minor.", minors),
            said!("The second bar is {number}.", number = second),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Chart(text) = answer else {
            return not_answered(3, said!("Answer with numbers for the bars."));
        };
        let heard = chart::parse(&format!("key {}; {text}", s.key));
        let given = heard.chart.timeline();
        let mut criteria = Vec::new();
        for (bar, wanted) in self.numbers.iter().enumerate() {
            let written = given
                .bars
                .get(bar)
                .and_then(|b| given.span_at(b.start))
                .map(|span| span.numeral);
            match written {
                Some(written) => criteria.extend(heard_number(s, *wanted, written, Some(bar))),
                None => {
                    let missing = Criterion::missed(
                        said!("bar {bar}: {of}", bar = bar + 1, of = said!("root")),
                        0,
                        3,
                        said!("Nothing is written."),
                        said!("Write what you hear, a number a bar."),
                    );
                    criteria.push(missing.at(Some(Spot::bar(bar))));
                }
            }
        }
        if given.bars.len() > self.numbers.len() || given.spans.len() > given.bars.len() {
            let why = said!("There are {bars} bars, with one chord each.", bars = self.numbers.len());
            criteria.push(Criterion::missed(
                said!("bars"),
                0,
                1,
                why,
                said!("Count the bars as they pass."),
            ));
        }
        criteria
    }

    fn model(&self, _: &Setting) -> Answer {
        Answer::Chart(
            self.numbers
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(" "),
        )
    }

    fn wrong(&self, _: &Setting) -> Vec<Answer> {
        let row = |numbers: &[Numeral]| numbers.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
        let short = self.numbers.split_last().map_or(&[][..], |(_, rest)| rest);
        let mut dark = self.numbers.clone();
        if let Some(last) = dark.last_mut() {
            last.quality = if last.quality == crate::theory::Quality::Minor {
                crate::theory::Quality::Major
            } else {
                crate::theory::Quality::Minor
            };
        }
        vec![
            Answer::Chart(row(short)),
            Answer::Chart(row(&dark)),
            Answer::Chart(format!("{} 1", row(&self.numbers))),
        ]
    }
}
