//! Answering one task: what is shown, the places and strokes that are given, how they sound, and where a mark points.
//!
//! *Invariant:* what is drawn and heard of an answer is computed from the answer each time.

use super::lanes_view::{Spot, SpotKind};
use super::lesson_view::Example;
use super::neck_view::Hold;
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::sound::Score;
use crate::steel::{Fret, Instrument, Place, Stance, StringNumber, StringSet, Travel};
use crate::teach::exercise::{Heard, Input, Mark, Setting, Shown, Task};
use crate::teach::lesson::NeckBlock;
use crate::teach::{Answer, rows};
use crate::theory::{Beats, Hit, Numeral};
use crate::words::Said;
use std::sync::Arc;

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

/// What is shown of a task in words, line by line; nothing where the question says it all, or where it is drawn.
#[must_use]
pub fn shown_words(task: &Task) -> Vec<Said> {
    let s = &task.setting;
    match task.shown() {
        Shown::Nothing | Shown::Hold(..) => Vec::new(),
        Shown::Chart | Shown::Strokes(_) => vec![chart_words(s)],
        Shown::Letters(chords) => {
            let bars: Vec<String> = chords.iter().map(ToString::to_string).collect();
            vec![
                chart_words(s),
                said!("Written out: {bars}", bars = Said::notes(bars.join(" | "))),
            ]
        }
        Shown::Melody(pitches, fret) => {
            let names: Vec<String> = pitches.iter().map(ToString::to_string).collect();
            vec![said!(
                "{names}, the bar at fret {fret}",
                names = Said::notes(names.join(" ")),
                fret
            )]
        }
    }
}

/// The chart of a task as it is read: "Key G, 92 a minute: 1 4 5 1".
fn chart_words(s: &Setting) -> Said {
    let bars = s.chart.split_once("; ").map_or(s.chart.as_str(), |(_, bars)| bars);
    said!(
        "Key {key}, {tempo} a minute: {bars}",
        key = Said::notes(s.key),
        tempo = s.timeline.tempo.0.round(),
        bars
    )
}

/// What each place of a task's answer is called.
#[must_use]
pub fn place_names(task: &Task) -> Vec<Said> {
    let count = first_places(task).len();
    match task.shown() {
        Shown::Melody(pitches, _) => (1..)
            .zip(pitches)
            .map(|(i, p)| said!("Note {number}, {note}", number = i, note = Said::notes(p)))
            .collect(),
        _ if count == 1 => vec![said!("The place")],
        _ => (1..=count).map(|i| said!("Place {number}", number = i)).collect(),
    }
}

/// The place that is held at first, as a picture; nothing where none is told.
#[must_use]
pub fn held_card(task: &Task) -> Option<NeckBlock> {
    match task.shown() {
        Shown::Hold(grip, numeral) => Some(card(&task.setting, grip, Some(numeral))),
        _ => None,
    }
}

fn card(s: &Setting, grip: Grip, chord: Option<Numeral>) -> NeckBlock {
    NeckBlock {
        instrument: s.instrument.clone(),
        place: grip.place,
        strings: grip.strings,
        chord,
        key: s.key,
        caption: None,
    }
}

/// A grip in words: "3-4-5 at fret 8, A+B".
#[must_use]
pub fn grip_words(instrument: &Instrument, grip: Grip) -> Said {
    let pressed = rows::stance_name(instrument, grip.place.stance);
    let strings = if grip.strings.is_empty() {
        said!("no strings yet")
    } else {
        Said::from(grip.strings)
    };
    if pressed == "-" {
        said!("{strings} at fret {fret}", strings, fret = grip.place.fret)
    } else {
        said!(
            "{strings} at fret {fret}, {pressed}",
            strings,
            fret = grip.place.fret,
            pressed
        )
    }
}

/// A hand that lies nowhere yet.
pub const NOWHERE: Grip = Grip {
    place: Place::straight(3, Stance::OPEN),
    strings: StringSet::EMPTY,
};

/// The places a task's answer begins with: where the hand lies, if that is told.
#[must_use]
pub fn first_places(task: &Task) -> Vec<Grip> {
    let first = match task.shown() {
        Shown::Hold(grip, _) => grip,
        Shown::Melody(_, bar) => grip_held(
            &task.setting.instrument,
            &Hold::at(bar, &task.setting.instrument),
            StringSet::EMPTY,
        ),
        _ => NOWHERE,
    };
    match task.input() {
        Input::Places(count) => vec![first; count],
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
        (Self::Struck, key!("Struck")),
        (Self::Below, key!("Slide up")),
        (Self::Above, key!("Slide down")),
        (Self::Squeezed, key!("Squeeze")),
        (Self::Carried, key!("Carry")),
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

    /// The stroke, reached this way on a neck of so many frets.
    #[must_use]
    pub fn take(self, stroke: Stroke, frets: u8) -> Stroke {
        let time = Beats(0.5);
        let fret = f64::from(stroke.grip.place.fret);
        stroke.arriving(match self {
            Self::Struck => Arrival::Struck,
            Self::Below => Arrival::Slid {
                from: Fret((fret - 2.0).max(0.0)),
                time,
            },
            Self::Above => Arrival::Slid {
                from: Fret((fret + 2.0).min(f64::from(frets))),
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

/// What is held as a place of an answer: the bar at its nearest fret, each change down, up or half.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // held within the neck
pub fn grip_held(instrument: &Instrument, hold: &Hold, strings: StringSet) -> Grip {
    let fret = hold.bar.0.round().clamp(0.0, f64::from(instrument.frets)) as u8;
    let stance = instrument.change_ids().fold(Stance::OPEN, |stance, id| {
        pressed_to(instrument, stance, id, hold.travel(id))
    });
    Grip {
        place: Place::straight(fret, stance),
        strings,
    }
}

/// A stance with a change pressed so far; what has no half goes down at once.
#[must_use]
pub fn pressed_to(instrument: &Instrument, stance: Stance, id: crate::steel::ChangeId, travel: Travel) -> Stance {
    let half = instrument.change(id).is_some_and(|c| c.half.is_some());
    match travel.0 {
        t if t < 0.25 => stance.without(id),
        t if t < 0.75 && half => stance.with_half(id),
        _ => stance.with(id),
    }
}

/// A grip after a tap on a string at a fret: the bar goes there; where it lies already, the string is picked or left
/// out. With `single`, one string at a time is picked.
#[must_use]
pub fn tapped(grip: Grip, string: StringNumber, fret: u8, single: bool) -> Grip {
    let there = grip.place.fret == fret;
    let strings = if there && grip.strings.contains(string) {
        grip.strings.without(string)
    } else if single {
        StringSet::EMPTY.with(string)
    } else {
        grip.strings.with(string)
    };
    let place = Place { fret, ..grip.place };
    Grip { place, strings }
}

/// Whether a task's places sound one string each.
#[must_use]
pub fn is_single(task: &Task) -> bool {
    matches!(task.shown(), Shown::Melody(..))
}

/// Whether a task's places are played one after the other, so that they can be seen in time.
#[must_use]
pub fn is_in_time(task: &Task) -> bool {
    match task.input() {
        Input::Places(count) => count > 1 || matches!(task.shown(), Shown::Hold(..)),
        Input::Phrase(_) => true,
        _ => false,
    }
}

/// Places as strokes over the task's bars, after what is held at first, evenly spread on felt beats. A place without
/// strings is silent.
#[must_use]
pub fn in_turn(task: &Task, places: &[Grip]) -> Vec<Stroke> {
    let mut strokes = placed(task, places);
    strokes.retain(|s| !s.grip.strings.is_empty());
    strokes
}

/// What is held at first, if anything, and the places, each at its moment.
fn placed(task: &Task, places: &[Grip]) -> Vec<Stroke> {
    let song = &task.setting.timeline;
    let held = match task.shown() {
        Shown::Hold(grip, _) => Some(grip),
        _ => None,
    };
    let grips: Vec<Grip> = held.into_iter().chain(places.iter().copied()).collect();
    let pulse = song.bars.first().map_or(Beats(1.0), |b| b.metre.pulse());
    #[allow(clippy::cast_precision_loss)] // a handful of places
    let room = song.length().0 / grips.len().max(1) as f64;
    let step = pulse.scaled((room / pulse.0).floor().max(1.0));
    let starts = std::iter::successors(Some(Beats::ZERO), |at| Some(*at + step));
    let struck = |(grip, at)| Stroke::struck(grip, at, at + step);
    grips.into_iter().zip(starts).map(struck).collect()
}

/// What is heard of a task with an answer: with the band where it is answered in places or by a phrase.
#[must_use]
pub fn heard_of(task: &Task, answer: Option<&Answer>) -> Option<Heard> {
    match (task.input(), answer) {
        (Input::Places(count), answer) => {
            let places = match answer {
                Some(Answer::Places(places)) => places.clone(),
                _ => Vec::new(),
            };
            let strokes = in_turn(task, places.get(..count).unwrap_or(&places));
            Some(Heard {
                performance: task.setting.performance(&strokes),
                instrument: task.setting.instrument.clone(),
                band: true,
            })
        }
        (_, Some(answer)) => task.heard_with(answer),
        (_, None) => task.heard(),
    }
}

/// What a task sounds like with an answer, to be seen and heard.
#[must_use]
pub fn example_of(task: &Task, answer: Option<&Answer>) -> Option<Example> {
    let heard = heard_of(task, answer)?;
    let (performance, instrument) = (heard.performance.clone(), heard.instrument.clone());
    Some(Example {
        score: score_of(heard, &task.setting),
        timeline: Arc::new(task.setting.timeline.clone()),
        instrument: Arc::new(instrument),
        performance: Arc::new(performance),
    })
}

/// Where in time a mark points at, a felt beat long each; a place that was held, where it is played in turn.
#[must_use]
pub fn spots_of(mark: &Mark, task: &Task) -> Vec<Spot> {
    let song = &task.setting.timeline;
    let turns = placed(task, &first_places(task));
    let own = turns.len() - first_places(task).len();
    let turn = |place: usize| turns.get(own + place).map(|s| s.at);
    let missed = mark.criteria.iter().filter(|c| !c.is_met());
    let moments = missed.filter_map(|c| {
        let spot = c.spot.as_ref().and_then(|s| s.moment(song));
        spot.or_else(|| turn(c.place?))
    });
    let spot = |from: Beats| {
        let bar = song.bar_index_at(from).and_then(|i| song.bars.get(i));
        Spot {
            from,
            to: from + bar.map_or(Beats(1.0), |b| b.metre.pulse()),
            kind: SpotKind::Missed,
        }
    };
    moments.map(spot).collect()
}

/// The places of an answer as pictures, with the degrees of the chords they belong to; nothing for a place without
/// strings.
#[must_use]
pub fn cards_of(task: &Task, places: &[Grip]) -> Vec<Option<NeckBlock>> {
    let s = &task.setting;
    let placed = placed(task, places);
    let own = placed.len() - places.len();
    let seen = |stroke: &Stroke| {
        let span = s.timeline.span_at(stroke.at + Beats(1e-6));
        (!stroke.grip.strings.is_empty()).then(|| card(s, stroke.grip, span.map(|span| span.numeral)))
    };
    placed.iter().skip(own).map(seen).collect()
}

/// An answer that needs no picture, in words.
#[must_use]
pub fn answer_words(answer: &Answer) -> Said {
    match answer {
        Answer::Chord(text) => Said::notes(text),
        Answer::Number(text) | Answer::Chart(text) => text.into(),
        Answer::Bar(bar) => said!("Bar {bar}", bar),
        Answer::Change(name) => name.into(),
        Answer::Inversion(inversion) => Said::of(inversion.name()),
        Answer::Cents(by) => said!("Turned by {by} cents", by = format!("{:+.1}", by.0)),
        Answer::Places(_) | Answer::Phrase(_) => Said::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::{Exercise, Kind};

    #[test]
    fn a_hold_becomes_the_place_it_was_made_of_and_a_tap_picks_or_leaves_out() {
        let e9 = Instrument::shipped("e9").unwrap();
        for stance in crate::steel::body::stances(&e9) {
            let place = Place::straight(7, stance);
            let held = grip_held(&e9, &Hold::holding(place, &e9), StringSet::EMPTY);
            assert_eq!(held.place, place);
        }
        let string = StringNumber::new(4).unwrap();
        let once = tapped(NOWHERE, string, 8, false);
        assert_eq!((once.place.fret, once.strings.contains(string)), (8, true));
        assert!(tapped(once, string, 8, false).strings.is_empty());
        assert!(
            tapped(once, string, 10, false).strings.contains(string),
            "the hand takes it along"
        );
        let other = StringNumber::new(5).unwrap();
        assert_eq!(tapped(once, other, 8, true).strings.len(), 1);
        assert_eq!(tapped(once, other, 8, false).strings.len(), 2);
    }

    #[test]
    fn places_are_heard_in_time_with_the_band_and_never_after_the_song() {
        for kind in [Kind::FindChord, Kind::Inversions, Kind::VoiceLead, Kind::PutPedals] {
            for seed in 0..20 {
                let task = Exercise::of(kind).task(seed).unwrap();
                let Answer::Places(places) = task.model_answer() else {
                    panic!("places")
                };
                let strokes = in_turn(&task, &places);
                let held = usize::from(kind == Kind::VoiceLead);
                assert_eq!(strokes.len(), places.len() + held, "{kind}");
                assert!(strokes.iter().all(|s| s.at < task.setting.timeline.length()), "{kind}");
                assert!(example_of(&task, Some(&task.model_answer())).is_some());
            }
        }
    }

    #[test]
    fn a_mark_points_at_the_bars_and_beats_it_speaks_of() {
        let task = Exercise::of(Kind::Answer).task(1).unwrap();
        let pointed = |answer: &Answer| spots_of(&task.mark(answer), &task);
        assert_eq!(pointed(&task.model_answer()), []);
        let spots: Vec<Spot> = task.typical_wrong().iter().flat_map(pointed).collect();
        assert!(!spots.is_empty());
        assert!(
            spots
                .iter()
                .all(|s| s.from < s.to && s.from < task.setting.timeline.length())
        );
    }

    #[test]
    fn every_way_is_read_off_the_stroke_it_makes() {
        let grip = Grip {
            place: Place::straight(8, Stance::OPEN),
            ..NOWHERE
        };
        for (way, _) in Way::ALL {
            assert_eq!(
                Way::of(&way.take(Stroke::struck(grip, Beats(0.0), Beats(1.0)), 24)),
                way
            );
        }
    }
}
