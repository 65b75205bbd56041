//! Rehearsing: a pass is learnt by heart a little at a time: slower, in rounds, with less to read, by one limb.
//!
//! *Invariant:* nothing here changes a pass; it only says how much of one is heard and shown.

mod ladder;
mod leaves;
mod limb;

pub use ladder::{Ladder, Rung};
pub use leaves::{Leaves, SHOWN};
pub use limb::Limb;

use serde::{Deserialize, Serialize};

/// Why and when to rest, for those who are about to repeat a thing many times. Common practice, no source.
pub const CAUTION: &str = key!(
    "The same few bars over and over tire wrists, knees and ankles before you feel it. Rest five minutes in every half hour, and stop at once if anything hurts or goes numb."
);

/// How much of the tab is taken away, so that the hands must know it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hidden {
    /// All of it is there.
    #[default]
    Nothing,
    /// Every fourth bar is empty.
    EveryFourth,
    /// Every second bar is empty.
    EverySecond,
    /// Only the chords are left.
    Everything,
}

impl Hidden {
    /// Whether the signs of this bar, counted from 0, are taken away.
    #[must_use]
    pub fn hides(self, bar: usize) -> bool {
        match self {
            Self::Nothing => false,
            Self::EveryFourth => bar % 4 == 3,
            Self::EverySecond => bar % 2 == 1,
            Self::Everything => true,
        }
    }
}

/// How a pass is rehearsed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Rehearsal {
    /// Whether the speed climbs by itself.
    pub climbing: bool,
    /// How it climbs.
    pub ladder: Ladder,
    /// Rounds played at the speed of the moment; starts anew with each visit.
    #[serde(skip)]
    pub rounds_here: u8,
    /// Whether the solo is silent: the player plays it.
    pub muted: bool,
    /// How much of the tab is taken away.
    pub hidden: Hidden,
    /// Which limb is looked at.
    pub limb: Limb,
    /// Whether that limb alone is heard too.
    pub alone: bool,
}

impl Rehearsal {
    /// Everything kept inside its range.
    #[must_use]
    pub fn sane(self) -> Self {
        Self {
            ladder: self.ladder.sane(),
            ..self
        }
    }

    /// Counts a round played at `speed` (hundredths of the chart's tempo), and gives the speed of the next one.
    pub fn round(&mut self, speed: u16) -> u16 {
        if !self.climbing {
            return speed;
        }
        let (rounds_here, next) = self.ladder.after(self.rounds_here, speed);
        self.rounds_here = rounds_here;
        next
    }

    /// The rung of the moment, while the speed climbs.
    #[must_use]
    pub fn rung(&self, speed: u16) -> Option<Rung> {
        self.climbing.then(|| self.ladder.rung(self.rounds_here, speed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tab_is_taken_away_bit_by_bit() {
        let kept = |hidden: Hidden| (0..8).filter(|bar| !hidden.hides(*bar)).count();
        let steps = [
            Hidden::Nothing,
            Hidden::EveryFourth,
            Hidden::EverySecond,
            Hidden::Everything,
        ];
        assert_eq!(steps.map(kept), [8, 6, 4, 0]);
    }

    #[test]
    fn what_is_hidden_stays_hidden_when_more_is() {
        let steps = [Hidden::EveryFourth, Hidden::EverySecond, Hidden::Everything];
        for bar in 0..16 {
            for pair in steps.windows(2) {
                assert!(!pair[0].hides(bar) || pair[1].hides(bar), "bar {bar}");
            }
        }
    }

    #[test]
    fn a_speed_that_does_not_climb_stays() {
        let mut rehearsal = Rehearsal::default();
        assert_eq!(rehearsal.round(80), 80);
        assert_eq!(rehearsal.rung(80), None);
    }

    #[test]
    fn a_rehearsal_written_by_an_older_version_is_read() {
        let read: Rehearsal = serde_json::from_str("{\"muted\":true}").unwrap();
        assert_eq!(
            read,
            Rehearsal {
                muted: true,
                ..Rehearsal::default()
            }
        );
    }
}
