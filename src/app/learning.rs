//! Working at exercises: one sitting over the work that was set, and what is heard of a task.
//!
//! *Invariant:* a sitting holds what was answered and nothing that can be computed from it.

use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::sound::Score;
use crate::steel::{Fret, Instrument, Place, Stance, StringSet, Travel};
use crate::teach::exercise::{Heard, Input, Setting, Shown, Task};
use crate::teach::{Answer, Assignment, Attempt, Handed, rows};
use crate::theory::{Beats, Hit};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A student at the work that was set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sitting {
    /// The work.
    pub work: Assignment,
    /// What the student calls himself or herself.
    pub name: String,
    /// What was answered.
    #[serde(flatten)]
    pub attempt: Attempt,
}

impl Sitting {
    /// A fresh sitting.
    #[must_use]
    pub fn new(work: Assignment) -> Self {
        Self {
            attempt: Attempt::of(work.items.len()),
            name: String::new(),
            work,
        }
    }

    /// The kept sitting if it is over this work, or a fresh one.
    #[must_use]
    pub fn resumed(work: Assignment, kept: Option<Self>) -> Self {
        kept.filter(|k| k.work == work && k.attempt.fits(&work))
            .unwrap_or_else(|| Self::new(work))
    }

    /// Notes an answer that was checked.
    pub fn answer(&mut self, index: usize, answer: Answer) {
        self.attempt.answer(index, answer);
    }

    /// Notes that a hint was taken; how many there are now.
    pub fn hint(&mut self, index: usize) -> u8 {
        let given = self.attempt.given.get_mut(index).filter(|_| self.work.hints);
        given.map_or(0, |given| {
            given.hints = (given.hints + 1).min(3);
            given.hints
        })
    }

    /// How many exercises have an answer.
    #[must_use]
    pub fn done(&self) -> usize {
        self.attempt.done()
    }

    /// What is handed in.
    #[must_use]
    pub fn handed(&self) -> Handed {
        Handed::new(self.work.clone(), &self.name, self.attempt.given.clone())
    }
}

/// What is heard of a task, ready for the sound. Where the band is silent, the song rests.
#[must_use]
pub fn score_of(heard: Heard, setting: &Setting) -> Arc<Score> {
    let mut timeline = setting.timeline.clone();
    if !heard.band {
        for span in &mut timeline.spans {
            span.hit = Hit::Rest;
        }
    }
    Arc::new(Score::new(heard.instrument, heard.performance, timeline))
}

/// What is shown of a task in words, line by line; nothing where the question says it all.
#[must_use]
pub fn shown_words(task: &Task) -> Vec<String> {
    let s = &task.setting;
    match task.shown() {
        Shown::Nothing => Vec::new(),
        Shown::Chart => vec![s.chart.clone()],
        Shown::Letters(chords) => {
            let bars: Vec<String> = chords.iter().map(ToString::to_string).collect();
            vec![s.chart.clone(), format!("Written out: {}", bars.join(" | "))]
        }
        Shown::Hold(grip, numeral) => vec![format!("{numeral}: {}", grip_words(&s.instrument, grip))],
        Shown::Strokes(strokes) => {
            let rows = rows::print(&strokes, &s.instrument, &s.timeline);
            std::iter::once(s.chart.clone())
                .chain(rows.lines().map(str::to_owned))
                .collect()
        }
        Shown::Melody(pitches, fret) => {
            let names: Vec<String> = pitches.iter().map(ToString::to_string).collect();
            vec![format!("{}, the bar at fret {fret}", names.join(" "))]
        }
    }
}

/// A grip in words: "3-4-5 at fret 8, A+B".
#[must_use]
pub fn grip_words(instrument: &Instrument, grip: Grip) -> String {
    let pressed = rows::stance_name(instrument, grip.place.stance);
    let strings = if grip.strings.is_empty() {
        "no strings".to_owned()
    } else {
        grip.strings.to_string()
    };
    if pressed == "-" {
        format!("{strings} at fret {}", grip.place.fret)
    } else {
        format!("{strings} at fret {}, {pressed}", grip.place.fret)
    }
}

/// A hand that lies nowhere yet.
pub const NOWHERE: Grip = Grip {
    place: Place {
        fret: 3,
        stance: Stance::OPEN,
    },
    strings: StringSet::EMPTY,
};

/// The places a task's answer begins with.
#[must_use]
pub fn first_places(task: &Task) -> Vec<Grip> {
    match task.input() {
        Input::Places(count) => vec![NOWHERE; count],
        _ => Vec::new(),
    }
}

/// A stance with a change one step further: up, down, half where there is a half, up again.
#[must_use]
pub fn pressed_further(instrument: &Instrument, stance: Stance, id: crate::steel::ChangeId) -> Stance {
    let half = instrument.change(id).is_some_and(|c| c.half.is_some());
    match stance.travel(id) {
        Travel::UP => stance.with(id),
        Travel::DOWN if half => stance.with_half(id),
        _ => stance.without(id),
    }
}

/// How a stroke of a phrase can be reached, as the pad offers it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Way {
    /// In place.
    Struck,
    /// By a slide from two frets below.
    Below,
    /// By a slide from two frets above.
    Above,
    /// With nothing pressed, then squeezed.
    Squeezed,
    /// Not plucked: what rings is carried.
    Carried,
}

impl Way {
    /// Every way with its word.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Struck, "Struck"),
        (Self::Below, "Slide up"),
        (Self::Above, "Slide down"),
        (Self::Squeezed, "Squeeze"),
        (Self::Carried, "Carry"),
    ];

    /// The way a stroke is reached.
    #[must_use]
    pub fn of(stroke: &Stroke) -> Self {
        match stroke.arrival {
            Arrival::Struck | Arrival::Leaned { .. } => Self::Struck,
            Arrival::Slid { from, .. } if from.0 < f64::from(stroke.grip.place.fret) => Self::Below,
            Arrival::Slid { .. } => Self::Above,
            Arrival::Squeezed { .. } => Self::Squeezed,
            Arrival::Carried { .. } => Self::Carried,
        }
    }

    /// The stroke, reached this way.
    #[must_use]
    pub fn take(self, stroke: Stroke) -> Stroke {
        let time = Beats(0.5);
        let fret = f64::from(stroke.grip.place.fret);
        stroke.arriving(match self {
            Self::Struck => Arrival::Struck,
            Self::Below => Arrival::Slid {
                from: Fret((fret - 2.0).max(0.0)),
                time,
            },
            Self::Above => Arrival::Slid {
                from: Fret(fret + 2.0),
                time,
            },
            Self::Squeezed => Arrival::Squeezed {
                from: Stance::OPEN,
                time,
            },
            Self::Carried => Arrival::Carried { time },
        })
    }
}

/// One stroke more: on the next felt beat, held as the last.
#[must_use]
pub fn with_one_more(setting: &Setting, strokes: &[Stroke]) -> Vec<Stroke> {
    let mut more = strokes.to_vec();
    let last = strokes.last();
    let at = last.map_or(Beats::ZERO, |l| l.at + Beats(1.0));
    if at < setting.timeline.length() {
        let grip = last.map_or(NOWHERE, |l| l.grip);
        more.push(Stroke::struck(grip, at, at));
    }
    more
}

/// The strokes in order, each lasting to the next one, as an answer.
#[must_use]
pub fn phrase(setting: &Setting, strokes: &[Stroke]) -> Answer {
    let mut strokes = strokes.to_vec();
    strokes.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
    rows::join(&mut strokes, setting.timeline.length());
    Answer::phrase(&strokes, setting)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::Item;
    use crate::teach::exercise::{Exercise, Kind};

    fn work() -> Assignment {
        let item = |(seed, kind)| Item {
            exercise: Exercise::of(kind),
            seed,
            weight: 1,
        };
        Assignment {
            title: "Two".to_owned(),
            hints: true,
            items: (1..).zip([Kind::FindChord, Kind::Ending]).map(item).collect(),
            ..Assignment::default()
        }
    }

    #[test]
    fn a_sitting_goes_on_with_the_same_work_and_begins_anew_with_other_work() {
        let mut sitting = Sitting::new(work());
        sitting.answer(0, Answer::Places(Vec::new()));
        assert_eq!((sitting.hint(0), sitting.hint(0), sitting.done()), (1, 2, 1));
        assert_eq!(Sitting::resumed(work(), Some(sitting.clone())), sitting);
        let other = Assignment {
            title: "Other".to_owned(),
            ..work()
        };
        assert_eq!(Sitting::resumed(other, Some(sitting)).done(), 0);
    }

    #[test]
    fn where_hints_are_not_offered_none_is_given() {
        let mut sitting = Sitting::new(Assignment { hints: false, ..work() });
        assert_eq!(sitting.hint(0), 0);
    }

    #[test]
    fn strokes_built_on_the_pad_read_back_as_an_answer() {
        let task = work().task(&work().items[1]).unwrap();
        let Answer::Phrase(model) = task.model_answer() else {
            panic!("a phrase")
        };
        let strokes = rows::parse(&model, &task.setting.instrument, &task.setting.timeline).unwrap();
        let mut built = Vec::new();
        for stroke in &strokes {
            built = with_one_more(&task.setting, &built);
            let last = built.last_mut().unwrap();
            *last = Way::Struck.take(Stroke {
                at: stroke.at,
                grip: stroke.grip,
                ..*last
            });
        }
        assert!(task.mark(&phrase(&task.setting, &built)).is_right());
    }

    #[test]
    fn every_way_is_read_off_the_stroke_it_makes() {
        let grip = Grip {
            place: Place {
                fret: 8,
                stance: Stance::OPEN,
            },
            ..NOWHERE
        };
        for (way, _) in Way::ALL {
            assert_eq!(Way::of(&way.take(Stroke::struck(grip, Beats(0.0), Beats(1.0)))), way);
        }
    }
}
