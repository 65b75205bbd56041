//! Drawing a task's particulars: everything the exercise leaves open is chosen by the seed.

use super::setting::Setting;
use super::task::TaskError;
use super::{Exercise, Kind};
use crate::solo::Limits;
use crate::solo::chance;
use crate::steel::Instrument;
use crate::steel::hold::{Finder, Hold, HoldQuery, Tones, easiest};
use crate::steel::instrument::shipped;
use crate::theory::{Chord, Key, Mode, Numeral, Quality, chart};
use fastrand::Rng;

/// The tempo of an exercise where none is asked for: slow enough to think. Taste, no source.
const TEMPO: f64 = 84.0;

/// The keys drawn from where none is asked for: those with at most four sharps or flats.
fn usual_keys() -> Vec<Key> {
    Key::all(Mode::Major).filter(|k| k.signature().0.abs() <= 4).collect()
}

/// The source of everything a task leaves to chance.
pub(super) struct Draw<'e> {
    pub(super) exercise: &'e Exercise,
    pub(super) rng: Rng,
}

impl<'e> Draw<'e> {
    pub(super) fn new(exercise: &'e Exercise, seed: u64) -> Self {
        // The kind is stirred in, so that one seed does not give every kind the same key.
        let stirred = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ exercise.kind as u64;
        Self {
            exercise,
            rng: Rng::with_seed(stirred),
        }
    }

    /// One of some; nothing of none.
    pub(super) fn one<T: Clone>(&mut self, from: &[T]) -> Option<T> {
        let index = chance::below(from.len(), &mut self.rng);
        from.get(index).cloned()
    }

    pub(super) fn key(&mut self) -> Key {
        let keys = if self.exercise.keys.is_empty() {
            usual_keys()
        } else {
            self.exercise.keys.clone()
        };
        self.one(&keys).unwrap_or(Key::C)
    }

    /// The numbers it may be about: those asked for, or else those of `usual` that read.
    pub(super) fn numerals(&self, usual: &[&str]) -> Vec<Numeral> {
        if self.exercise.chords.is_empty() {
            usual.iter().filter_map(|n| n.parse().ok()).collect()
        } else {
            self.exercise.chords.clone()
        }
    }

    /// Numbers for some bars: those asked for, or a row that begins and ends at home and never stands still.
    pub(super) fn progression(&mut self, bars: usize, usual: &[&str]) -> String {
        if let Some(chart) = &self.exercise.chart {
            return chart.clone();
        }
        let all = self.numerals(usual);
        let mut row: Vec<Numeral> = Vec::with_capacity(bars);
        for bar in 0..bars {
            let others: Vec<Numeral> = all.iter().filter(|n| row.last() != Some(n)).copied().collect();
            let home = all
                .first()
                .filter(|n| bar == 0 || bar + 1 == bars && row.last() != Some(n));
            let next = home
                .copied()
                .or_else(|| self.one(&others))
                .or_else(|| all.first().copied());
            row.extend(next);
        }
        row.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    }

    /// What the task counts from: these bars in this key.
    pub(super) fn setting(&self, instrument: &Instrument, key: Key, bars: &str) -> Result<Setting, TaskError> {
        let tempo = self.exercise.tempo.map_or(TEMPO, |t| t.0);
        let text = format!("key {key}, {tempo}; {bars}");
        let timeline = chart::parse(&text).chart.timeline();
        let limits = Limits::steady().map_err(|_| TaskError::Chart(bars.to_owned()))?;
        if timeline.bars.is_empty() || timeline.spans.is_empty() {
            return Err(TaskError::Chart(bars.to_owned()));
        }
        Ok(Setting {
            key,
            instrument: instrument.clone(),
            chart: text,
            timeline,
            limits,
        })
    }

    pub(super) fn not_here(&self, instrument: &Instrument) -> TaskError {
        TaskError::NotHere {
            kind: self.exercise.kind,
            instrument: instrument.name.clone(),
        }
    }
}

/// The shipped instrument an exercise names, or the default one.
pub(super) fn instrument(exercise: &Exercise) -> Result<Instrument, TaskError> {
    let id = exercise
        .instrument
        .as_deref()
        .or_else(|| shipped::ids().next())
        .unwrap_or("");
    Instrument::shipped(id).ok_or_else(|| TaskError::NoInstrument(id.to_owned()))
}

/// Every way to hold a chord with three picks that sounds all of it, or all that makes it, up to the twelfth fret.
pub(super) fn holds(instrument: &Instrument, chord: &Chord) -> Vec<Hold> {
    let tones = if chord.tones().count() > 3 {
        Tones::Essential
    } else {
        Tones::All
    };
    let query = HoldQuery {
        frets: 1..=12,
        tones,
        ..HoldQuery::default()
    };
    easiest(Finder::new(instrument, &query).holds(chord))
}

/// Whether a chord is a major or minor triad over its own root.
pub(super) fn is_triad(numeral: &Numeral) -> bool {
    matches!(numeral.quality, Quality::Major | Quality::Minor) && numeral.bass.is_none()
}

/// Numbers a beginner meets first.
pub(super) const USUAL: [&str; 6] = ["1", "4", "5", "6-", "2-", "3-"];
/// Numbers met a little later.
pub(super) const WIDER: [&str; 10] = ["1", "4", "5", "6-", "2-", "3-", "b7", "57", "2", "17"];

/// A kind's own draw gives up after this many tries.
pub(super) const TRIES: usize = 40;

impl Kind {
    /// Whether it is asked by ear.
    #[must_use]
    pub fn is_heard(self) -> bool {
        matches!(
            self,
            Self::HearChange | Self::HearNumber | Self::HearInversion | Self::FollowByEar | Self::TuneBeats
        )
    }

    /// Whether it is answered by building a phrase.
    #[must_use]
    pub fn is_phrase(self) -> bool {
        matches!(
            self,
            Self::FixBar | Self::Entrance | Self::Climb | Self::Answer | Self::Variation | Self::Ending
        )
    }
}
