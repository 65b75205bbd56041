//! A song's beats on the clock of a recording that breathes.
//!
//! *Invariant:* time and beats grow together: a later beat is always at a later time, so each way undoes the other.

use super::time::{Beats, Seconds, Tempo};
use crate::theory::rank::rank;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// A beat whose time is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Anchor {
    /// The moment of the song.
    pub at: Beats,
    /// When it is heard, from the start of the recording.
    pub time: Seconds,
}

/// Why anchors make no clock.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ClockError {
    /// Fewer than two are known.
    #[error("two marks are needed, or one and a tempo")]
    TooFew,
    /// Time would stand still or run backwards, or faster or slower than anybody plays.
    #[error("the tempo between two marks comes to {tempo:.0} a minute: one of them is in the wrong place")]
    Unplayable {
        /// Index of the later one of the two, in order of the beats.
        later: usize,
        /// The tempo between them; negative where the later beat is heard earlier.
        tempo: f64,
    },
}

/// The slowest and the fastest stretch between two anchors, in quarter notes a minute.
pub const TEMPI: std::ops::RangeInclusive<f64> = 15.0..=500.0;

/// A map between beats and the time at which a recording has them: straight between two anchors, and on in the same
/// tempo before the first and after the last.
///
/// ```
/// use leadbar::theory::clock::SongClock;
/// use leadbar::theory::{Beats, Seconds, Tempo};
/// let clock = SongClock::steady(Seconds(1.5), Tempo(120.0))?;
/// assert_eq!(clock.time(Beats(4.0)), Seconds(3.5));
/// assert_eq!(clock.beat(Seconds(3.5)), Beats(4.0));
/// # Ok::<(), leadbar::theory::clock::ClockError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<Anchor>", into = "Vec<Anchor>")]
pub struct SongClock {
    anchors: Vec<Anchor>,
}

impl SongClock {
    /// A clock through these anchors, given in any order.
    ///
    /// # Errors
    /// When there are fewer than two, or two of them make a tempo outside [`TEMPI`].
    pub fn through(mut anchors: Vec<Anchor>) -> Result<Self, ClockError> {
        anchors.sort_by_cached_key(|one| rank(one.at.0));
        if anchors.len() < 2 {
            return Err(ClockError::TooFew);
        }
        for (index, pair) in anchors.windows(2).enumerate() {
            let [before, after] = pair else { continue };
            let tempo = tempo_between(*before, *after).0;
            if !TEMPI.contains(&tempo) {
                let later = index + 1;
                return Err(ClockError::Unplayable { later, tempo });
            }
        }
        Ok(Self { anchors })
    }

    /// A clock that never wavers: the song's first beat at `start`, then `tempo`.
    ///
    /// # Errors
    /// When the tempo is outside [`TEMPI`].
    pub fn steady(start: Seconds, tempo: Tempo) -> Result<Self, ClockError> {
        let first = Anchor {
            at: Beats::ZERO,
            time: start,
        };
        Self::through(vec![first, going_on(first, tempo)])
    }

    /// When a beat is heard.
    #[must_use]
    pub fn time(&self, at: Beats) -> Seconds {
        let (before, after) = self.around(|anchor| anchor.at.0 <= at.0);
        let part = (at - before.at).0 / (after.at - before.at).0;
        Seconds(before.time.0 + part * (after.time - before.time).0)
    }

    /// Which beat is heard at a time.
    #[must_use]
    pub fn beat(&self, time: Seconds) -> Beats {
        let (before, after) = self.around(|anchor| anchor.time.0 <= time.0);
        let part = (time - before.time).0 / (after.time - before.time).0;
        Beats(before.at.0 + part * (after.at - before.at).0)
    }

    /// The tempo in force at a beat.
    #[must_use]
    pub fn tempo(&self, at: Beats) -> Tempo {
        let (before, after) = self.around(|anchor| anchor.at.0 <= at.0);
        tempo_between(before, after)
    }

    /// The two anchors that a moment lies between, or the two nearest to it; `is_before` tells those at or before it.
    fn around(&self, is_before: impl Fn(&Anchor) -> bool) -> (Anchor, Anchor) {
        let last = self.anchors.len().saturating_sub(1);
        let after = self.anchors.partition_point(is_before).clamp(1, last.max(1));
        match (self.anchors.get(after - 1), self.anchors.get(after)) {
            (Some(before), Some(after)) => (*before, *after),
            // Never: a clock has two anchors.
            _ => (EVEN[0], EVEN[1]),
        }
    }
}

/// A beat a second.
const EVEN: [Anchor; 2] = [
    Anchor {
        at: Beats::ZERO,
        time: Seconds(0.0),
    },
    Anchor {
        at: Beats(1.0),
        time: Seconds(1.0),
    },
];

/// Where a clock in this tempo is a bar or so later.
#[must_use]
pub fn going_on(from: Anchor, tempo: Tempo) -> Anchor {
    let length = Beats(4.0);
    Anchor {
        at: from.at + length,
        time: from.time + length.at(tempo),
    }
}

fn tempo_between(before: Anchor, after: Anchor) -> Tempo {
    Tempo(60.0 * (after.at - before.at).0 / (after.time - before.time).0)
}

impl TryFrom<Vec<Anchor>> for SongClock {
    type Error = ClockError;

    fn try_from(anchors: Vec<Anchor>) -> Result<Self, ClockError> {
        Self::through(anchors)
    }
}

impl From<SongClock> for Vec<Anchor> {
    fn from(clock: SongClock) -> Self {
        clock.anchors
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A clock of some anchors, each a few beats after the one before at a tempo people play.
    fn clocks() -> impl Strategy<Value = SongClock> {
        let step = (1.0..64.0_f64, 40.0..260.0_f64);
        (-2.0..30.0_f64, prop::collection::vec(step, 1..20)).prop_map(|(start, steps)| {
            let mut anchors = vec![Anchor {
                at: Beats::ZERO,
                time: Seconds(start),
            }];
            for (beats, tempo) in steps {
                let last = *anchors.last().unwrap();
                anchors.push(Anchor {
                    at: last.at + Beats(beats),
                    time: last.time + Beats(beats).at(Tempo(tempo)),
                });
            }
            SongClock::through(anchors).unwrap()
        })
    }

    proptest! {
        #[test]
        fn each_way_undoes_the_other(clock in clocks(), at in -50.0..2000.0_f64) {
            let back = clock.beat(clock.time(Beats(at)));
            prop_assert!((back.0 - at).abs() < 1e-6, "{at} came back as {}", back.0);
        }

        #[test]
        fn a_later_beat_is_at_a_later_time(clock in clocks(), at in -50.0..2000.0_f64, more in 1e-3..500.0_f64) {
            prop_assert!(clock.time(Beats(at)) < clock.time(Beats(at + more)));
        }

        #[test]
        fn every_anchor_is_met(clock in clocks()) {
            for anchor in Vec::from(clock.clone()) {
                prop_assert!((clock.time(anchor.at) - anchor.time).0.abs() < 1e-9);
            }
        }

        #[test]
        fn the_tempo_is_the_slope(clock in clocks(), at in -50.0..2000.0_f64) {
            let (from, to) = (clock.time(Beats(at)), clock.time(Beats(at + 1e-4)));
            let slope = 60.0 * 1e-4 / (to - from).0;
            let (least, most) = (clock.tempo(Beats(at)).0, clock.tempo(Beats(at + 1e-4)).0);
            prop_assert!(slope > least.min(most) * 0.999 && slope < least.max(most) * 1.001);
        }
    }

    #[test]
    fn anchors_that_run_backwards_or_too_fast_are_refused_and_the_place_is_told() {
        let anchor = |at, time| Anchor {
            at: Beats(at),
            time: Seconds(time),
        };
        let back = SongClock::through(vec![anchor(0.0, 1.0), anchor(8.0, 5.0), anchor(16.0, 4.0)]);
        assert!(matches!(back, Err(ClockError::Unplayable { later: 2, .. })), "{back:?}");
        let together = SongClock::through(vec![anchor(0.0, 1.0), anchor(0.0, 1.0)]);
        assert!(together.is_err());
        assert_eq!(SongClock::through(vec![anchor(0.0, 1.0)]), Err(ClockError::TooFew));
        assert!(SongClock::steady(Seconds(0.0), Tempo(f64::NAN)).is_err());
    }
}
