//! Where on the neck two passes differ: every string and fret that one of them, or both, plays in a stretch.

use super::Difference;
use crate::solo::Pass;
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::steel::{Fret, Instrument, Stance, StringNumber, Travel};
use crate::theory::Beats;

/// Which of two passes plays something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Whose {
    /// The one that is looked at.
    Here,
    /// The other one.
    There,
    /// Both do.
    Both,
}

/// A string at a fret that is played.
#[derive(Debug, Clone, PartialEq)]
pub struct NeckMark {
    /// The string.
    pub string: StringNumber,
    /// A fret it comes to or comes from.
    pub fret: Fret,
    /// The pedals and levers that pull this string there, as "A" or "B½"; empty where none does.
    pub pressed: String,
    /// Who plays it.
    pub whose: Whose,
}

/// What both passes play in the stretch of a difference, by string and fret.
#[must_use]
pub fn on_neck(here: &Pass, there: &Pass, difference: &Difference, instrument: &Instrument) -> Vec<NeckMark> {
    let mut marks = played(here, difference, instrument, Whose::Here);
    for other in played(there, difference, instrument, Whose::There) {
        let same =
            |own: &&mut NeckMark| (own.string, own.fret, &own.pressed) == (other.string, other.fret, &other.pressed);
        match marks.iter_mut().find(same) {
            Some(own) if own.whose == Whose::Here => own.whose = Whose::Both,
            Some(_) => {}
            None => marks.push(other),
        }
    }
    marks.sort_by(|a, b| a.string.cmp(&b.string).then(a.fret.0.total_cmp(&b.fret.0)));
    marks
}

fn played(pass: &Pass, difference: &Difference, instrument: &Instrument, whose: Whose) -> Vec<NeckMark> {
    let hair = Beats(1e-6);
    let inside = |s: &Stroke| s.at >= difference.from - hair && s.at < difference.to - hair;
    let strokes = pass.moves.iter().flat_map(|m| m.timed()).filter(inside);
    let mut marks: Vec<NeckMark> = Vec::new();
    for stroke in &strokes.collect::<Vec<_>>() {
        for string in stroke.grip.strings.iter() {
            for (fret, stance) in way(stroke, string, instrument) {
                let mark = NeckMark {
                    string,
                    fret,
                    pressed: pressed(instrument, string, stance),
                    whose,
                };
                if !marks.contains(&mark) {
                    marks.push(mark);
                }
            }
        }
    }
    marks
}

/// Where a stroke comes to, and where it comes from or leans to.
fn way(stroke: &Stroke, string: StringNumber, instrument: &Instrument) -> impl Iterator<Item = (Fret, Stance)> {
    let Grip { place, .. } = stroke.grip;
    let (fret, stance) = (place.fret_on(instrument, string), place.stance);
    let other = match stroke.arrival {
        Arrival::Struck | Arrival::Carried { .. } => None,
        Arrival::Slid { from, .. } => Some((from, stance)),
        Arrival::Squeezed { from, .. } => Some((fret, from)),
        Arrival::Leaned { through, .. } => Some((fret, through)),
    };
    std::iter::once((fret, stance)).chain(other)
}

/// The letters of what pulls a string in a stance.
fn pressed(instrument: &Instrument, string: StringNumber, stance: Stance) -> String {
    let pulls = instrument.change_ids().zip(&instrument.changes);
    let pulls = pulls.filter(|(_, change)| change.pulls.iter().any(|pull| pull.string == string));
    let letter = |(id, change): (_, &crate::steel::Change)| {
        let Travel(travel) = instrument.travel(stance, id);
        match travel {
            t if t <= 0.0 => String::new(),
            t if t < 1.0 => format!("{}½", change.name),
            _ => change.name.clone(),
        }
    };
    pulls.map(letter).collect()
}

#[cfg(test)]
mod tests {
    use super::super::tests::scene;
    use super::*;
    use crate::app::compare::differences;
    use crate::app::revising::offers;

    #[test]
    fn what_only_one_pass_plays_is_its_own_and_what_both_play_is_of_both() {
        let scene = scene();
        for offer in offers(&scene).unwrap() {
            let changed = offer.made_in(&scene.pass);
            for difference in differences(&changed, &scene.pass, &scene.song) {
                let marks = on_neck(&changed, &scene.pass, &difference, &scene.instrument);
                let back = on_neck(&scene.pass, &changed, &difference, &scene.instrument);
                let turned = |whose| match whose {
                    Whose::Here => Whose::There,
                    Whose::There => Whose::Here,
                    Whose::Both => Whose::Both,
                };
                assert_eq!(marks.len(), back.len(), "{}", offer.words.english());
                for mark in &marks {
                    let other = NeckMark {
                        whose: turned(mark.whose),
                        ..mark.clone()
                    };
                    assert!(back.contains(&other), "{}: {mark:?}", offer.words.english());
                }
            }
        }
    }

    #[test]
    fn a_move_that_is_left_out_is_marked_as_the_others_alone() {
        let scene = scene();
        let mut thinner = scene.pass.clone();
        thinner.moves.remove(3);
        let found = differences(&thinner, &scene.pass, &scene.song);
        let marks = on_neck(&thinner, &scene.pass, &found[0], &scene.instrument);
        assert!(
            !marks.is_empty() && marks.iter().all(|m| m.whose == Whose::There),
            "{marks:?}"
        );
    }
}
