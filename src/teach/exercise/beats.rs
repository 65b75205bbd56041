//! Two strings that beat: turn one until they stand still.
//!
//! Source: two tones whose frequencies are near p : q beat |p f1 - q f2| times a second, by the partials that
//! nearly coincide (Helmholtz, *On the Sensations of Tone*, 1863).

use super::answer::Answer;
use super::draw::Draw;
use super::mark::{Criterion, not_answered};
use super::setting::Setting;
use super::task::{Ask, Heard, Input, TaskError};
use crate::solo::stroke::{Grip, Stroke};
use crate::steel::{Instrument, Place, Stance, StringNumber};
use crate::theory::{Beats, Cents, Hertz, Key};
use crate::words::Said;

/// An interval tuned by ear: its semitones, and the partials that coincide, of the lower and of the upper string.
const TUNED: [(i16, f64, f64, &str); 4] = [
    (4, 5.0, 4.0, key!("major third")),
    (3, 6.0, 5.0, key!("minor third")),
    (7, 3.0, 2.0, key!("fifth")),
    (5, 4.0, 3.0, key!("fourth")),
];
/// Beats this slow are taken as still: one in four seconds. Common practice, no source.
const STILL: Hertz = Hertz(0.25);
/// Beats this slow are nearly there.
const NEAR: Hertz = Hertz(1.5);
/// How far a string can be turned to either side.
const TURN: Cents = Cents(60.0);

/// Two open strings, the upper one out of tune.
#[derive(Debug)]
pub(super) struct TuneBeats {
    lower: StringNumber,
    upper: StringNumber,
    interval: usize,
    /// How far off equal temperament the upper string is at first.
    off: Cents,
}

impl TuneBeats {
    pub(super) fn draw(mut draw: Draw<'_>, instrument: &Instrument) -> Result<(Setting, Self), TaskError> {
        let setting = draw.setting(instrument, Key::C, "1 1")?;
        let pairs = pairs(instrument);
        let Some((lower, upper, interval)) = draw.one(&pairs) else {
            return Err(draw.not_here(instrument));
        };
        let mut ask = Self {
            lower,
            upper,
            interval,
            off: Cents(0.0),
        };
        let pure = ask.pure(&setting);
        let away = f64::from(draw.rng.u8(8..=35));
        let way = if draw.rng.bool() { 1.0 } else { -1.0 };
        ask.off = Cents((pure.0 + way * away).round());
        Ok((setting, ask))
    }

    fn figures(&self) -> (i16, f64, f64, &'static str) {
        TUNED.get(self.interval).copied().unwrap_or(TUNED[0])
    }

    /// The frequencies of the two strings with the upper one this far off equal temperament.
    fn frequencies(&self, s: &Setting, off: Cents) -> Option<(Hertz, Hertz)> {
        let open = |string: StringNumber| {
            s.instrument
                .strings
                .get(string.index())?
                .pitch
                .number()
                .map(|n| n.height())
        };
        Some((open(self.lower)?.hertz(), open(self.upper)?.shifted(off).hertz()))
    }

    /// Beats a second with the upper string this far off.
    fn rate(&self, s: &Setting, off: Cents) -> Hertz {
        let (_, p, q, _) = self.figures();
        let rate = self
            .frequencies(s, off)
            .map_or(f64::INFINITY, |(low, high)| (p * low.0 - q * high.0).abs());
        Hertz(rate)
    }

    /// How far off equal temperament the upper string stands still against the lower.
    fn pure(&self, s: &Setting) -> Cents {
        let (_, p, q, _) = self.figures();
        let ratio = self
            .frequencies(s, Cents(0.0))
            .map_or(1.0, |(low, high)| p * low.0 / (q * high.0));
        Cents(1200.0 * ratio.log2())
    }
}

/// Pairs of open strings an interval apart that is tuned by ear: lower, upper, and which interval.
fn pairs(instrument: &Instrument) -> Vec<(StringNumber, StringNumber, usize)> {
    let note = |s: StringNumber| instrument.note(s, Place::straight(0, Stance::OPEN));
    let mut found = Vec::new();
    for lower in instrument.string_numbers() {
        for upper in instrument.string_numbers() {
            let Some((low, high)) = note(lower).zip(note(upper)) else {
                continue;
            };
            let interval = TUNED.iter().position(|t| t.0 == high.above(low).0);
            found.extend(interval.map(|i| (lower, upper, i)));
        }
    }
    found
}

impl Ask for TuneBeats {
    fn question(&self, _: &Setting) -> Said {
        let (_, _, _, name) = self.figures();
        said!(
            "String {lower} is in tune. String {upper}, a {interval} above it, is not. Turn it until the beats stand still.",
            lower = self.lower,
            upper = self.upper,
            interval = Said::of(name)
        )
    }

    fn heard(&self, s: &Setting, answer: Option<&Answer>) -> Option<Heard> {
        let turned = match answer {
            Some(Answer::Cents(by)) => *by,
            _ => Cents(0.0),
        };
        let mut instrument = s.instrument.clone();
        if let Some(string) = instrument.strings.get_mut(self.lower.index()) {
            string.offset = Cents(0.0);
        }
        if let Some(string) = instrument.strings.get_mut(self.upper.index()) {
            string.offset = self.off + turned;
        }
        let place = Place::straight(0, Stance::OPEN);
        let strings = [self.lower, self.upper].into_iter().collect();
        let stroke = Stroke::struck(Grip { place, strings }, Beats::ZERO, s.timeline.length());
        Some(Heard {
            performance: s.performance(&[stroke]),
            instrument,
            band: false,
        })
    }

    fn input(&self, _: &Setting) -> Input {
        Input::Cents(TURN)
    }

    fn hints(&self, s: &Setting) -> [Said; 3] {
        let [turn, way] = if self.off > self.pure(s) {
            [
                said!("Turn a little either way: down the beats get slower, up they get faster."),
                said!("It has to go down."),
            ]
        } else {
            [
                said!("Turn a little either way: up the beats get slower, down they get faster."),
                said!("It has to go up."),
            ]
        };
        let by = (self.pure(s) - self.off).0;
        [
            turn,
            way,
            said!("It is about {by} cents away.", by = format!("{by:+.0}")),
        ]
    }

    fn mark(&self, s: &Setting, answer: &Answer) -> Vec<Criterion> {
        let Answer::Cents(turned) = answer else {
            return not_answered(4, said!("Answer with a turn of the string."));
        };
        let off = self.off + *turned;
        let (left, first) = (self.rate(s, off), self.rate(s, self.off));
        let per_second = Said::number(format_args!("{:.1}", left.0));
        // A turn to another interval altogether can beat slowly too: only the nearby one counts.
        let within = (off - self.pure(s)).0.abs() <= TURN.0 * 2.0 && turned.0.abs() <= TURN.0;
        if within && left.0 <= STILL.0 {
            let (_, _, _, name) = self.figures();
            return vec![Criterion::met(
                said!("beats"),
                4,
                said!(
                    "The {interval} stands still: {rate} beats a second are left.",
                    interval = Said::of(name),
                    rate = per_second
                ),
            )];
        }
        let next = if off > self.pure(s) {
            said!("Turn it down until they slow down and stop.")
        } else {
            said!("Turn it up until they slow down and stop.")
        };
        let part = if within && left.0 <= NEAR.0 {
            3
        } else if within && left.0 < first.0 / 2.0 {
            2
        } else {
            u16::from(within && left.0 < first.0)
        };
        let why = said!(
            "{rate} beats a second are left; at first there were {first}. A held chord shimmers with them.",
            rate = per_second,
            first = Said::number(format_args!("{:.1}", first.0))
        );
        vec![Criterion::missed(said!("beats"), part, 4, why, next)]
    }

    fn model(&self, s: &Setting) -> Answer {
        Answer::Cents(self.pure(s) - self.off)
    }

    fn wrong(&self, s: &Setting) -> Vec<Answer> {
        // Left alone, turned the wrong way, and turned as much too far.
        let by = (self.pure(s) - self.off).0;
        [0.0, -by, 2.0 * by]
            .into_iter()
            .map(|c| Answer::Cents(Cents(c)))
            .collect()
    }
}
