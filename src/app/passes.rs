//! Passes as they are shown: what is played, why, whether a body can do it, and how one differs from the others.

use super::feels;
use crate::solo::plan::{Point, Remark};
use crate::solo::playable;
use crate::solo::{Breach, Kind, Move, Pass, Performance, reasons};
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Which pass is looked at and heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Chosen {
    /// One of those just drafted, from 0.
    Drafted(usize),
    /// One of those kept, from 0.
    Kept(usize),
}

impl Default for Chosen {
    fn default() -> Self {
        Self::Drafted(0)
    }
}

/// One move, as it is listed.
#[derive(Debug, Clone, PartialEq)]
pub struct MoveLine {
    /// When it begins.
    pub at: Beats,
    /// When it ends.
    pub end: Beats,
    /// The bar it begins in, counted from 1.
    pub bar: usize,
    /// What it is called.
    pub name: &'static str,
    /// Whether it stays as it is.
    pub locked: bool,
}

/// Something a body can't do.
#[derive(Debug, Clone, PartialEq)]
pub struct BreachLine {
    /// When.
    pub at: Beats,
    /// The bar it is in, counted from 1.
    pub bar: usize,
    /// What it is.
    pub words: Said,
    /// The same, to be mended.
    pub breach: Breach,
}

/// A pass ready to be shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The pass itself.
    pub pass: Arc<Pass>,
    /// What hands, feet and knees do.
    pub performance: Arc<Performance>,
    /// Its moves.
    pub moves: Vec<MoveLine>,
    /// What a body can't do; empty for every drafted pass.
    pub breaches: Vec<BreachLine>,
}

impl Shown {
    /// A pass over a song on an instrument; nothing when the limits can't be read.
    #[must_use]
    pub fn of(pass: &Arc<Pass>, song: &Timeline, instrument: &Instrument) -> Option<Self> {
        let limits = feels::limits(pass.request.level)?;
        let performance = pass.performance(instrument, limits, song.tempo);
        let bar = |at: Beats| song.bar_index_at(at + Beats(1e-6)).map_or(1, |b| b + 1);
        let line = |action: &Arc<Move>| MoveLine {
            at: action.at,
            end: action.end(),
            bar: bar(action.at),
            name: action.kind.name(),
            locked: action.locked,
        };
        let breach = |breach: playable::Breach| BreachLine {
            at: breach.at,
            bar: bar(breach.at),
            words: breach.trouble.said(),
            breach,
        };
        Some(Self {
            moves: pass.moves.iter().map(line).collect(),
            breaches: playable::report(&performance, instrument, song.tempo, limits)
                .into_iter()
                .map(breach)
                .collect(),
            performance: Arc::new(performance),
            pass: Arc::clone(pass),
        })
    }

    /// Why the move at `index` is there; worked out when it is asked, for a long solo has many.
    #[must_use]
    pub fn why(&self, index: usize, song: &Timeline, instrument: &Instrument) -> Said {
        reasons::why(&self.pass, index, song, instrument)
    }

    /// The move in force at `at`, or the last one before it.
    #[must_use]
    pub fn move_at(&self, at: Beats) -> Option<usize> {
        self.moves.partition_point(|m| m.at <= at + Beats(1e-6)).checked_sub(1)
    }
}

/// A remark on a draft, in words.
#[must_use]
pub fn remark_words(remark: &Remark) -> Said {
    match remark {
        Remark::Thinned { number, chord } => {
            said!(
                "This instrument can't sound all of the {number} ({chord}): it is played thinner.",
                number,
                chord = Said::notes(chord)
            )
        }
        Remark::LeftOut { bar, .. } => said!(
            "In bar {bar} a move is left out: none could be joined there in time.",
            bar
        ),
        Remark::EntryUnmet(_) => said!("It could not come in the way you asked; it comes in as it can."),
        Remark::EndingUnmet(_) => said!("It could not go out the way you asked; it ends as it can."),
        Remark::MotifUnmet { missed, of, bar, .. } => said!(
            "{missed} of {of} notes of your motif could not be had, the first in bar {bar}: on a strong beat only a \
             tone of the chord can stand. Put that note off the beat, or take 1, 3 or 5.",
            missed,
            of,
            bar
        ),
        Remark::MelodyUnmet { missed, of, bar, .. } => said!(
            "{missed} of {of} notes of the melody could not be had, the first in bar {bar}: on a strong beat only a \
             tone of the chord can stand, and every note needs a place the hand can reach in time.",
            missed,
            of,
            bar
        ),
        Remark::MelodyCut { bar, beats } => said!(
            "The melody of bar {bar} is longer than the bar: what comes after beat {beats} is left out. Write the rest \
             behind a bar line.",
            bar,
            beats
        ),
        Remark::MelodyLong { bars } => {
            said!(
                "The melody is longer than the solo, which has {bars} bars: what comes after is left out.",
                bars
            )
        }
        Remark::MotifCut { beats } => said!(
            "Your motif is longer than a bar: what comes after beat {beats} is left out. Shorten it to {beats} beats.",
            beats
        ),
        Remark::StringsUnmet { .. } => {
            said!(
                "The strings you favour could not carry it: most of it lies on others. Favour more strings, or allow more \
             pedals and levers."
            )
        }
        Remark::PlaceUnmet { point, wished, is, .. } => {
            let said = match point {
                Point::Start => said!("It begins at fret {is}, not near {wished}: ", is, wished),
                Point::High => said!("It is highest at fret {is}, not near {wished}: ", is, wished),
                Point::End => said!("It ends at fret {is}, not near {wished}: ", is, wished),
            };
            said!(
                "{said}the chord there has no easier place. Allow more pedals and levers, or ask for a fret nearer to {is}.",
                said,
                is
            )
        }
    }
}

/// What sets each pass apart from the others, in a few words each.
#[must_use]
pub fn differences(passes: &[Arc<Pass>]) -> Vec<Said> {
    passes.iter().map(|pass| difference(pass, passes)).collect()
}

fn difference(pass: &Arc<Pass>, all: &[Arc<Pass>]) -> Said {
    let notes = notes(pass);
    let count = |pass: &Pass, kind: Kind| pass.moves.iter().filter(|m| m.kind == kind).count();
    let others = || all.iter().filter(|other| !Arc::ptr_eq(other, pass));
    let most_by = |kind: Kind| {
        let rival = others().map(|other| count(other, kind)).max().unwrap_or(0);
        count(pass, kind).saturating_sub(rival)
    };
    let lead = Kind::ALL
        .into_iter()
        .map(|kind| (most_by(kind), kind))
        .max_by_key(|(by, _)| *by);
    match lead {
        Some((1.., kind)) => {
            said!(notes => "{n} note, more {kind}", "{n} notes, more {kind}", kind = Said::of(many(kind)))
        }
        _ => said!(notes => "{n} note", "{n} notes"),
    }
}

/// How many strings are plucked in a pass.
fn notes(pass: &Pass) -> usize {
    let strokes = pass.moves.iter().flat_map(|m| &m.strokes);
    strokes
        .filter(|stroke| stroke.arrival.plucks())
        .map(|stroke| stroke.grip.strings.len())
        .sum()
}

/// Several moves of a kind, as a player says it.
fn many(kind: Kind) -> &'static str {
    match kind {
        Kind::Strike => key!("held chords"),
        Kind::SlideIn => key!("slides"),
        Kind::Squeeze => key!("squeezes"),
        Kind::Lean => key!("leans"),
        Kind::Carry => key!("carries"),
        Kind::Climb => key!("climbs"),
        Kind::Walk => key!("walk-ups"),
        Kind::DoubleStop => key!("double stops"),
        Kind::Run => key!("runs"),
        Kind::Roll => key!("rolls"),
        Kind::Blocked => key!("blocked hits"),
        Kind::Unison => key!("unisons"),
        Kind::RingOut => key!("ringing"),
        Kind::Grace => key!("grace slides"),
        Kind::Rake => key!("rakes"),
        Kind::Harmonic => key!("harmonics"),
        Kind::Swell => key!("swells"),
        Kind::FallOff => key!("fall-offs"),
        Kind::PreBend => key!("pre-bends"),
        Kind::PedalRoll => key!("rolling pedals"),
        Kind::PedalWalk => key!("pedal walks"),
        Kind::Chromatic => key!("chromatic walks"),
        Kind::DoubleRun => key!("double-stop runs"),
        Kind::Slant => key!("slants"),
        Kind::OpenRun => key!("open-string runs"),
        Kind::CallAnswer => key!("calls and answers"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::planning;
    use crate::app::reading::Reading;

    #[test]
    fn the_notes_told_of_a_draft_are_those_that_are_played() {
        let song = Reading::of("key G, 110; 1 4 5 1 / 6- 2- 5 1").song.unwrap();
        let instrument = Instrument::shipped("e9").unwrap();
        let ask = planning::Ask {
            song: (*song).clone(),
            instrument: instrument.clone(),
            request: crate::solo::Request::default(),
        };
        let passes: Vec<_> = planning::plan(&ask).unwrap().passes.into_iter().map(Arc::new).collect();
        let words = differences(&passes);
        for (pass, words) in passes.iter().zip(words) {
            let shown = Shown::of(pass, &song, &instrument).unwrap();
            let played = shown.performance.plucks.len();
            assert!(
                words.english().starts_with(&format!("{played} notes")),
                "{words:?}, {played} played"
            );
        }
    }
}
