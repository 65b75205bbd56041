//! One exercise drawn: what is asked, what is shown and heard, how it is answered, and its mark.
//!
//! *Invariant:* a task knows nothing of who answers it, or when.

use super::answer::Answer;
use super::mark::{Criterion, Mark};
use super::setting::Setting;
use super::{Exercise, Kind};
use crate::solo::Performance;
use crate::solo::stroke::{Grip, Stroke};
use crate::steel::hold::Inversion;
use crate::steel::{Fret, Instrument};
use crate::theory::{Cents, Chord, Numeral, Pitch};
use crate::words::Said;
use std::fmt::Debug;
use std::sync::Arc;
use thiserror::Error;

/// What the student sees.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// Nothing beside the question.
    Nothing,
    /// The chart of the setting.
    Chart,
    /// The chart of the setting, and what somebody wrote out of it, a chord for each bar.
    Letters(Vec<Chord>),
    /// A chord held on the neck.
    Hold(Grip, Numeral),
    /// Strokes over the chart of the setting.
    Strokes(Vec<Stroke>),
    /// Pitches to be played one after the other, with the bar at a fret.
    Melody(Vec<Pitch>, Fret),
}

/// What the student hears.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// What the steel plays; silent where only the band is heard.
    pub performance: Performance,
    /// The instrument as it is tuned.
    pub instrument: Instrument,
    /// Whether the band plays the chart of the setting.
    pub band: bool,
}

/// How it is answered.
#[derive(Debug, Clone, PartialEq)]
pub enum Input {
    /// A chord in letters, written.
    Chord,
    /// A number, written.
    Number,
    /// One of these numbers.
    Numbers(Vec<Numeral>),
    /// One of the bars 1 to this.
    Bar(usize),
    /// Numbers for this many bars, written in the chart.
    Chart(usize),
    /// This many places held on the neck, in order.
    Places(usize),
    /// One of these pedals and levers.
    Changes(Vec<String>),
    /// One of these.
    Inversions(Vec<Inversion>),
    /// Strokes, built one after the other, starting from those given.
    Phrase(Vec<Stroke>),
    /// How far the string is turned, within this to either side.
    Cents(Cents),
}

/// What a kind of exercise can do with one draw of it.
pub(super) trait Ask: Debug + Send + Sync {
    /// What is asked, in a sentence or two.
    fn question(&self, setting: &Setting) -> Said;
    /// What is seen.
    fn shown(&self, _: &Setting) -> Shown {
        Shown::Nothing
    }
    /// What is heard, with an answer taken into account where that changes it.
    fn heard(&self, _: &Setting, _: Option<&Answer>) -> Option<Heard> {
        None
    }
    /// How it is answered.
    fn input(&self, setting: &Setting) -> Input;
    /// Three hints, each giving away more.
    fn hints(&self, setting: &Setting) -> [Said; 3];
    /// The criteria of an answer.
    fn mark(&self, setting: &Setting, answer: &Answer) -> Vec<Criterion>;
    /// An answer that is right in everything.
    fn model(&self, setting: &Setting) -> Answer;
    /// Answers that students give and that are not right.
    fn wrong(&self, setting: &Setting) -> Vec<Answer>;
}

/// One exercise drawn.
#[derive(Debug, Clone)]
pub struct Task {
    /// The exercise it is of.
    pub exercise: Exercise,
    /// The seed that drew it.
    pub seed: u64,
    /// What it counts from.
    pub setting: Setting,
    pub(super) ask: Arc<dyn Ask>,
}

/// Two draws of one exercise by one seed on one instrument are one task.
impl PartialEq for Task {
    fn eq(&self, other: &Self) -> bool {
        self.exercise == other.exercise && self.seed == other.seed && self.setting == other.setting
    }
}

/// Why an exercise gives no task.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum TaskError {
    /// The instrument cannot do what is asked.
    NotHere {
        /// The kind.
        kind: Kind,
        /// The instrument's name.
        instrument: String,
    },
    /// There is no such instrument.
    NoInstrument(String),
    /// The bars cannot be read.
    Chart(String),
}

impl TaskError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NotHere { kind, instrument } => said!(
                "\"{kind}\" can't be asked on {instrument} with these parameters: choose other chords or another instrument",
                kind = Said::of(kind.name()),
                instrument = Said::known(instrument)
            ),
            Self::NoInstrument(id) => said!(
                "there is no instrument \"{id}\": choose one that comes with the program, or send its file along",
                id
            ),
            Self::Chart(bars) => said!("the bars \"{bars}\" can't be read: write numbers, as in 1 4 5 1", bars),
        }
    }
}

impl Task {
    /// The kind of exercise.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.exercise.kind
    }

    /// What is asked, in a sentence or two.
    #[must_use]
    pub fn question(&self) -> Said {
        self.ask.question(&self.setting)
    }

    /// What is seen.
    #[must_use]
    pub fn shown(&self) -> Shown {
        self.ask.shown(&self.setting)
    }

    /// What is heard before anything is answered; nothing for what is not asked by ear.
    #[must_use]
    pub fn heard(&self) -> Option<Heard> {
        self.ask.heard(&self.setting, None)
    }

    /// What is heard once the answer is taken: a string turned, for one.
    #[must_use]
    pub fn heard_with(&self, answer: &Answer) -> Option<Heard> {
        self.ask.heard(&self.setting, Some(answer))
    }

    /// How it is answered.
    #[must_use]
    pub fn input(&self) -> Input {
        self.ask.input(&self.setting)
    }

    /// Three hints, each giving away more.
    #[must_use]
    pub fn hints(&self) -> [Said; 3] {
        self.ask.hints(&self.setting)
    }

    /// The mark of an answer. An answer of another kind than asked has no points.
    #[must_use]
    pub fn mark(&self, answer: &Answer) -> Mark {
        Mark::of(self.ask.mark(&self.setting, answer))
    }

    /// An answer that is right in everything: one of many, maybe.
    #[must_use]
    pub fn model_answer(&self) -> Answer {
        self.ask.model(&self.setting)
    }

    /// Answers that students give and that are not right; at least one.
    #[must_use]
    pub fn typical_wrong(&self) -> Vec<Answer> {
        self.ask.wrong(&self.setting)
    }
}
