//! Playing a phrase of the pass oneself, and being marked on it.
//!
//! *Invariant:* what was played stays on the device: it goes to the worker and no further, and only marks come back.
//!
//! | file | what it is |
//! |---|---|
//! | `tape` | what the microphone heard, on the clock of the sound |
//! | `words` | the marks as a player reads them |

mod tape;
mod words;

pub use tape::{Take, Tape};
pub use words::{Line, Summary};

use super::bench::Refused;
use super::lanes_view::{Spot, SpotKind};
use crate::listen::played::{Extra, NoteMark, delay, expected, likely_delays, mark};
use crate::solo::Performance;
use crate::steel::{Fret, Instrument, StringNumber};
use crate::theory::{Beats, Cents, Height, Seconds, Tempo, rank};
use serde::{Deserialize, Serialize};
use std::ops::Range;
use std::sync::Arc;

/// Notes that begin this much before the stretch still belong to it: played as pick-ups.
const EARLY: Beats = Beats(0.05);

/// A phrase that was played, to be marked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskMarks {
    /// What was heard.
    pub take: Take,
    /// What should have been played.
    pub performance: Arc<Performance>,
    /// On what, as it is tuned.
    pub instrument: Arc<Instrument>,
    /// How fast.
    pub tempo: Tempo,
    /// Which stretch.
    pub stretch: Range<Beats>,
    /// How late this device hears itself; nothing while that has not been measured.
    pub delay: Option<Seconds>,
}

/// Clicks that were played and heard, to find how late this device hears itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskDelay {
    /// What was heard.
    pub take: Take,
    /// How fast the clicks came.
    pub tempo: Tempo,
    /// The moments they were played at.
    pub clicks: Vec<Beats>,
}

/// One note of the phrase and what is said of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlayedNote {
    /// Its string.
    pub string: StringNumber,
    /// Where the bar should be.
    pub fret: Fret,
    /// When it should come.
    pub at: Beats,
    /// When it should have stopped.
    pub end: Beats,
    /// What is said of it.
    pub mark: NoteMark,
    /// Its pitch over time: how far it lay above what was asked.
    pub course: Vec<(Beats, Cents)>,
}

/// Something that was plucked though nothing was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlayedExtra {
    /// When.
    pub at: Beats,
    /// How high, to the semitone.
    pub height: Height,
}

/// A phrase with its marks.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Played {
    /// Every note of the stretch, in order of time.
    pub notes: Vec<PlayedNote>,
    /// What was too much.
    pub extra: Vec<PlayedExtra>,
    /// Whether the device's delay was known; if not, only how the notes differ from one another was marked.
    pub delay_known: bool,
}

/// Marks a phrase.
///
/// # Errors
/// When nothing is asked for in the stretch, or nothing at all was heard.
pub(super) fn marks(ask: &AskMarks) -> Result<Played, Refused> {
    let start = |delay: Seconds| ask.take.time(Beats::ZERO, ask.tempo) + delay;
    let marked = |delay: Seconds| {
        let all = expected(&ask.performance, &ask.instrument, ask.tempo, start(delay));
        let beat = |at: Seconds| (at - start(delay)).at(ask.tempo);
        let inside = |at: Beats| at + EARLY >= ask.stretch.start && at < ask.stretch.end;
        let wanted: Vec<_> = all.into_iter().filter(|note| inside(beat(note.at))).collect();
        let marks = mark(&ask.take.samples(), ask.take.rate, &wanted);
        let notes = wanted.iter().zip(marks.notes).map(|(note, mut mark)| PlayedNote {
            string: note.string,
            fret: note.fret,
            at: beat(note.at),
            end: beat(note.end),
            course: std::mem::take(&mut mark.course)
                .into_iter()
                .map(|(at, off)| (beat(at), off))
                .collect(),
            mark,
        });
        let extra = |extra: Extra| PlayedExtra {
            at: beat(extra.at),
            height: extra.height,
        };
        Played {
            notes: notes.collect(),
            extra: marks.extra.into_iter().map(extra).filter(|e| inside(e.at)).collect(),
            delay_known: false,
        }
    };
    // One that was read from elsewhere can be anything.
    let delay = ask.delay.filter(|delay| (0.0..1.0).contains(&delay.0));
    let played = match delay {
        Some(delay) => Played {
            delay_known: true,
            ..marked(delay)
        },
        // Of the delays that fit, the one at which most notes are found; then the middle note's lateness is the rest.
        None => {
            let all = expected(&ask.performance, &ask.instrument, ask.tempo, start(Seconds(0.0)));
            let wanted: Vec<_> = all
                .into_iter()
                .filter(|note| ask.stretch.contains(&(note.at - start(Seconds(0.0))).at(ask.tempo)))
                .collect();
            let likely = likely_delays(&ask.take.samples(), ask.take.rate, &wanted);
            let tried = likely.into_iter().map(|delay| (delay, marked(delay)));
            let best = tried.max_by_key(|(_, played)| played.score().0);
            let rest = best
                .as_ref()
                .and_then(|(delay, played)| Some(*delay + played.lateness()?));
            rest.map_or_else(|| best.map(|(_, played)| played).unwrap_or_default(), marked)
        }
    };
    if played.notes.is_empty() {
        return Err(Refused(said!(
            "There is nothing to play in these bars: choose a stretch that holds notes."
        )));
    }
    if played.notes.iter().all(|n| !n.mark.heard()) && played.extra.is_empty() {
        return Err(Refused(said!(
            "Nothing of the phrase was heard. Move nearer to the microphone, or turn the backing down, and play it again."
        )));
    }
    Ok(played)
}

/// Measures how late a device hears itself.
///
/// # Errors
/// When the clicks were not heard clearly.
pub(super) fn measure(ask: &AskDelay) -> Result<Seconds, Refused> {
    let clicks: Vec<Seconds> = ask.clicks.iter().map(|at| ask.take.time(*at, ask.tempo)).collect();
    delay(&ask.take.samples(), ask.take.rate, &clicks).ok_or_else(|| {
        Refused(said!("The clicks were not heard clearly. Turn the sound up and let it come from a loudspeaker, or hold one side of the headphones to the microphone; then measure again."))
    })
}

impl Played {
    /// The middle of how late the notes came.
    fn lateness(&self) -> Option<Seconds> {
        let mut late: Vec<Seconds> = self.notes.iter().filter_map(|n| n.mark.late).collect();
        late.sort_by_cached_key(|one| rank(one.0));
        late.get(late.len() / 2).copied()
    }

    /// How many notes came as they should, of how many.
    #[must_use]
    pub fn score(&self) -> (usize, usize) {
        let right = self.notes.iter().filter(|n| n.is_right()).count();
        (right, self.notes.len())
    }

    /// Where something is to be mended, for lanes and tab.
    #[must_use]
    pub fn spots(&self) -> Vec<Spot> {
        let wrong = self.notes.iter().filter(|n| !n.is_right()).map(|n| n.at);
        let mut moments: Vec<Beats> = wrong.chain(self.extra.iter().map(|e| e.at)).collect();
        moments.sort_by_cached_key(|one| rank(one.0));
        moments.dedup_by(|a, b| (a.0 - b.0).abs() < 0.1);
        let spot = |from: Beats| Spot {
            from,
            to: from + Beats(0.25),
            kind: SpotKind::Missed,
        };
        moments.into_iter().map(spot).collect()
    }
}

impl PlayedNote {
    /// Whether nothing is to be said against it.
    #[must_use]
    pub fn is_right(&self) -> bool {
        let m = &self.mark;
        m.on_time() && m.intonation.is_none_or(|i| i.in_tune()) && m.overshoot.is_none() && !m.rings_on
    }
}

#[cfg(test)]
mod tests;
