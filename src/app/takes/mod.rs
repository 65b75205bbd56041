//! What the player has recorded over the song: takes, what is used of each, and which of them sounds in which bar.
//!
//! *Invariant:* a take's sound is never changed. Where it lies, what is used of it and what it is called are written
//! down beside it, and all of that can be undone. The sound itself stays on the device, under the take's key.
//!
//! | file | what it is |
//! |---|---|
//! | `pace` | when the song has each beat |
//! | `recorder` | what the microphone hears, packed as it comes |
//! | `cut_off` | a take whose page was left while it was recorded |
//! | `level` | how loud that is, and what to tell the player |
//! | `file` | a take or the comp as a sound file |

mod cut_off;
mod file;
mod level;
mod pace;
mod recorder;

pub use cut_off::{Begun, frames_of};
pub use file::{Finished, Named, WaveFile};
pub use level::{Level, Meter};
pub use pace::Pace;
pub use recorder::{CHUNK, Heard, LONGEST, Recorder, unpack};

use super::looped::LoopBars;
use crate::sound::SampleRate;
use crate::sound::comp::{Comp, Cut, Source};
use crate::sound::render::Length;
use crate::theory::{Beats, Seconds, Tempo, Timeline};
use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;
use std::sync::Arc;

/// So much before its bar a take is heard where it comes out of silence: a pick-up.
pub const PICK_UP: Beats = Beats(1.0);
/// The furthest a take may be moved against the song.
pub const FURTHEST: Seconds = Seconds(2.0);
/// The rates that devices have, in hertz.
const RATES: RangeInclusive<f64> = 8_000.0..=192_000.0;
/// The most takes of a song, the longest name, the most points of a picture, the most bars.
const MOST: usize = 99;
const LONGEST_NAME: usize = 60;
const MOST_PEAKS: usize = 240;
const MOST_BARS: usize = 10_000;

/// Names a take among those of its song.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TakeId(u32);

/// Something that was played over the song and recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Take {
    /// Which.
    pub id: TakeId,
    /// What its sound is kept under on the device.
    pub key: String,
    /// What the player calls it.
    pub name: String,
    /// Its rate.
    pub rate: SampleRate,
    /// How many samples it has.
    pub frames: u64,
    /// When its first sample was heard, in the song's time: later than it was played, by the device's delay.
    pub heard: Seconds,
    /// How late the device heard itself; nothing where that was not measured.
    #[serde(default)]
    pub delay: Option<Seconds>,
    /// How far the player has moved it; later is more.
    #[serde(default)]
    pub nudge: Seconds,
    /// What is cut off from its beginning.
    #[serde(default)]
    pub from_start: Seconds,
    /// What is cut off from its end.
    #[serde(default)]
    pub from_end: Seconds,
    /// The bars that were to be played.
    pub bars: LoopBars,
    /// How fast the song was: at another tempo the take does not fit.
    pub tempo: Tempo,
    /// Whether the player likes it.
    #[serde(default)]
    pub starred: bool,
    /// Whether the microphone was too loud for its scale.
    #[serde(default)]
    pub clipped: bool,
    /// How far its wave goes, from its beginning to its end in equal steps, 255 being full scale.
    #[serde(default)]
    pub peaks: Vec<u8>,
}

impl Take {
    /// How long it is.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // samples of a few minutes
    pub fn length(&self) -> Seconds {
        Seconds(self.frames as f64 / self.rate.0)
    }

    /// When its first sample was played, in the song's time.
    #[must_use]
    pub fn start(&self) -> Seconds {
        self.heard - self.delay.unwrap_or_default() + self.nudge
    }

    /// The take as a line of sound needs it.
    #[must_use]
    pub fn source(&self) -> Source {
        let start = self.start();
        Source {
            rate: self.rate,
            frames: self.frames,
            start,
            from: start + self.from_start,
            to: start + self.length() - self.from_end,
        }
    }

    /// Cuts this off from its ends; a tenth of a second always stays.
    pub fn trim(&mut self, from_start: Seconds, from_end: Seconds) {
        let most = (self.length().0 - 0.1).max(0.0);
        self.from_start = Seconds(from_start.0.clamp(0.0, most));
        self.from_end = Seconds(from_end.0.clamp(0.0, most - self.from_start.0));
    }

    /// Moves it against the song.
    pub fn shift(&mut self, by: Seconds) {
        self.nudge = Seconds((self.nudge + by).0.clamp(-FURTHEST.0, FURTHEST.0));
    }

    /// Whether it can be what it says; one from elsewhere can be anything.
    fn is_sane(&self) -> bool {
        let times = [self.heard, self.nudge, self.from_start, self.from_end];
        let small = |time: Seconds| time.0.abs() < LONGEST.0;
        RATES.contains(&self.rate.0)
            && times.into_iter().all(small)
            && self.delay.is_none_or(|delay| (0.0..1.0).contains(&delay.0))
            && self.length() <= LONGEST
            && self.tempo.0.is_finite()
            && self.name.chars().count() <= LONGEST_NAME
            && self.key.len() <= LONGEST_NAME
            && self.peaks.len() <= MOST_PEAKS
    }
}

/// The takes of a song and what is made of them.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Takes {
    /// All of them, the first recorded first.
    pub list: Vec<Arc<Take>>,
    /// Which one sounds in each bar, in playing order.
    comp: Vec<Option<TakeId>>,
}

impl Takes {
    /// Whether nothing was recorded.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Adds a take that was heard just now. It sounds in the bars it was played in where none does yet.
    pub fn add(
        &mut self,
        heard: Heard,
        key: String,
        bars: LoopBars,
        delay: Option<Seconds>,
        song: &Timeline,
        pace: &Pace,
    ) {
        let number = self.list.iter().map(|take| take.id.0).max().unwrap_or(0) + 1;
        let mut take = Take {
            id: TakeId(number),
            key,
            name: format!("Take {number}"),
            rate: heard.rate,
            frames: heard.frames,
            heard: heard.at,
            delay,
            nudge: Seconds::default(),
            from_start: Seconds::default(),
            from_end: Seconds::default(),
            bars,
            tempo: song.tempo,
            starred: false,
            clipped: heard.clipped,
            peaks: heard.peaks,
        };
        // The count before the song is not part of it.
        if let Some(first) = song.bars.get(bars.from) {
            let counted = pace.time(first.start - PICK_UP) - take.start();
            take.trim(counted, Seconds::default());
        }
        let end = take.source().to;
        let reached = |bar: &usize| song.bars.get(*bar).is_some_and(|bar| pace.time(bar.start) < end);
        for bar in (bars.from..=bars.to.min(MOST_BARS)).filter(reached) {
            if self.in_bar(bar).is_none() {
                self.choose(bar, Some(take.id));
            }
        }
        self.list.push(Arc::new(take));
        self.list.truncate(MOST);
    }

    /// A take.
    #[must_use]
    pub fn get(&self, id: TakeId) -> Option<&Arc<Take>> {
        self.list.iter().find(|take| take.id == id)
    }

    /// Changes what is written beside a take.
    pub fn amend(&mut self, id: TakeId, change: impl FnOnce(&mut Take)) {
        if let Some(take) = self.list.iter_mut().find(|take| take.id == id) {
            change(Arc::make_mut(take));
        }
    }

    /// Calls a take so.
    pub fn rename(&mut self, id: TakeId, name: &str) {
        let name: String = name.trim().chars().take(LONGEST_NAME).collect();
        if !name.is_empty() {
            self.amend(id, |take| take.name = name);
        }
    }

    /// Lets a take go, and the bars it sounded in with it.
    pub fn discard(&mut self, id: TakeId) {
        self.list.retain(|take| take.id != id);
        for chosen in &mut self.comp {
            *chosen = chosen.filter(|chosen| *chosen != id);
        }
        self.shorten();
    }

    /// Which take sounds in a bar, counted from 0 in playing order.
    #[must_use]
    pub fn in_bar(&self, bar: usize) -> Option<TakeId> {
        self.comp.get(bar).copied().flatten()
    }

    /// Has a take sound in a bar, or none.
    pub fn choose(&mut self, bar: usize, take: Option<TakeId>) {
        if bar >= MOST_BARS {
            return;
        }
        if self.comp.len() <= bar {
            self.comp.resize(bar + 1, None);
        }
        if let Some(chosen) = self.comp.get_mut(bar) {
            *chosen = take;
        }
        self.shorten();
    }

    /// Has a take sound in all bars it was played in.
    pub fn choose_all(&mut self, id: TakeId, song: &Timeline, pace: &Pace) {
        let Some(take) = self.get(id).cloned() else { return };
        for bar in 0..song.bars.len() {
            if has(&take, bar, song, pace) {
                self.choose(bar, Some(id));
            }
        }
    }

    /// Whether a take has something in a bar.
    #[must_use]
    pub fn has(&self, id: TakeId, bar: usize, song: &Timeline, pace: &Pace) -> bool {
        self.get(id).is_some_and(|take| has(take, bar, song, pace))
    }

    /// Whether any bar has a take.
    #[must_use]
    pub fn makes_something(&self) -> bool {
        self.comp.iter().any(Option::is_some)
    }

    /// The takes that were put together, as one line.
    #[must_use]
    pub fn comp(&self, song: &Timeline, pace: &Pace, rate: SampleRate, length: Length) -> Comp {
        let sources: Vec<Source> = self.list.iter().map(|take| take.source()).collect();
        Comp::new(&sources, &self.cuts(song, pace), rate, length)
    }

    /// The line of one take alone, counted from 0; its number among all stays what its sound is asked for by.
    #[must_use]
    pub fn alone(&self, of: Option<usize>, rate: SampleRate, length: Length) -> Comp {
        let sources: Vec<Source> = self.list.iter().map(|take| take.source()).collect();
        let from = of.and_then(|n| sources.get(n)).map(|source| source.from);
        let cut = from.map(|at| Cut { at, source: of });
        Comp::new(&sources, cut.as_slice(), rate, length)
    }

    /// Where one take hands over to another.
    fn cuts(&self, song: &Timeline, pace: &Pace) -> Vec<Cut> {
        let mut cuts: Vec<Cut> = Vec::new();
        // The bar up to which what sounds was played.
        let mut played_to = None;
        let mut sounding = None;
        for (index, bar) in song.bars.iter().enumerate() {
            let chosen = self.in_bar(index);
            let source = chosen.and_then(|id| self.list.iter().position(|take| take.id == id));
            match (sounding, source) {
                (before, now) if before == now => continue,
                // Nothing follows it: it rings on.
                (Some(_), None) if played_to.is_some_and(|last| index > last) => {
                    sounding = None;
                    continue;
                }
                (None, Some(_)) => cuts.push(Cut {
                    at: pace.time(bar.start - PICK_UP),
                    source,
                }),
                _ => cuts.push(Cut {
                    at: pace.time(bar.start),
                    source,
                }),
            }
            sounding = source;
            played_to = source.and_then(|n| self.list.get(n)).map(|take| take.bars.to);
        }
        cuts
    }

    /// What can be believed of takes that come from elsewhere.
    #[must_use]
    pub fn believed(mut self) -> Self {
        let mut seen: Vec<TakeId> = Vec::new();
        self.list.retain(|take| {
            let good = take.is_sane() && !seen.contains(&take.id) && seen.len() < MOST;
            seen.extend(good.then_some(take.id));
            good
        });
        self.comp.truncate(MOST_BARS);
        for chosen in &mut self.comp {
            *chosen = chosen.filter(|id| seen.contains(id));
        }
        self.shorten();
        self
    }

    fn shorten(&mut self) {
        let last = self.comp.iter().rposition(Option::is_some).map_or(0, |last| last + 1);
        self.comp.truncate(last);
    }
}

fn has(take: &Take, bar: usize, song: &Timeline, pace: &Pace) -> bool {
    let Some(bar) = song.bars.get(bar) else { return false };
    let source = take.source();
    let (from, to) = (pace.time(bar.start), pace.time(bar.start + bar.metre.bar()));
    source.from < to && source.to > from
}

#[cfg(test)]
mod tests;
