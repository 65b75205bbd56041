//! The speed ladder: so many times round at one speed, then a step faster, up to the top.
//!
//! *Invariant:* the speed never falls and never passes the top by itself; whoever changes it by hand climbs on
//! from there.

use crate::app::desk::SPEEDS;
use serde::{Deserialize, Serialize};

/// The largest step, in hundredths of the chart's tempo.
const MOST_STEP: u16 = 25;
/// The most times round before a step.
const MOST_ROUNDS: u8 = 12;

/// How the speed climbs; speeds in hundredths of the chart's tempo, within [`SPEEDS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ladder {
    /// The lowest rung.
    pub from: u16,
    /// The highest rung.
    pub to: u16,
    /// How much faster each rung is, 1..=25.
    pub step: u16,
    /// Times round on each rung, 1..=12.
    pub rounds: u8,
}

impl Default for Ladder {
    fn default() -> Self {
        Self {
            from: 60,
            to: 100,
            step: 5,
            rounds: 2,
        }
    }
}

/// Where one stands on a ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rung {
    /// Which time round this is, from 1.
    pub round: u8,
    /// How many there are on this rung.
    pub of: u8,
    /// The speed after it; nothing at the top.
    pub next: Option<u16>,
}

impl Ladder {
    /// The ladder with every figure in its range and the top not below the bottom.
    #[must_use]
    pub fn sane(self) -> Self {
        let speed = |s: u16| s.clamp(*SPEEDS.start(), *SPEEDS.end());
        let from = speed(self.from);
        Self {
            from,
            to: speed(self.to).max(from),
            step: self.step.clamp(1, MOST_STEP),
            rounds: self.rounds.clamp(1, MOST_ROUNDS),
        }
    }

    /// After one more round at `speed`, with `before` rounds already played there: the rounds played at the
    /// next speed, and that speed.
    #[must_use]
    pub fn after(self, before: u8, speed: u16) -> (u8, u16) {
        let played = before.saturating_add(1);
        match self.next(speed) {
            Some(next) if played >= self.rounds => (0, next),
            // At the top the count stands still: there is no last time round.
            None => (played.min(self.rounds), speed),
            Some(_) => (played, speed),
        }
    }

    /// Where one stands after `before` rounds at `speed`.
    #[must_use]
    pub fn rung(self, before: u8, speed: u16) -> Rung {
        Rung {
            round: before.saturating_add(1).min(self.rounds),
            of: self.rounds,
            next: self.next(speed),
        }
    }

    fn next(self, speed: u16) -> Option<u16> {
        (speed < self.to).then(|| (speed + self.step).min(self.to).max(self.from))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The speeds of the first `count` rounds from the bottom.
    fn rounds(ladder: Ladder, count: usize) -> Vec<u16> {
        let (mut played, mut speed) = (0, ladder.from);
        let mut heard = Vec::new();
        for _ in 0..count {
            heard.push(speed);
            (played, speed) = ladder.after(played, speed);
        }
        heard
    }

    fn ladder(from: u16, to: u16, step: u16, rounds: u8) -> Ladder {
        Ladder { from, to, step, rounds }
    }

    #[test]
    fn each_speed_is_played_so_many_times_and_the_top_for_good() {
        assert_eq!(rounds(ladder(70, 85, 10, 2), 8), [70, 70, 80, 80, 85, 85, 85, 85]);
    }

    #[test]
    fn a_speed_set_by_hand_is_climbed_on_from() {
        let ladder = ladder(60, 100, 5, 1);
        assert_eq!(ladder.after(0, 83), (0, 88));
        assert_eq!(ladder.after(0, 40), (0, 60), "from below, up to the bottom rung");
        assert_eq!(ladder.after(0, 120), (1, 120), "above the top it stays");
    }

    #[test]
    fn the_rung_says_which_time_round_it_is() {
        let ladder = ladder(60, 100, 5, 3);
        assert_eq!(
            ladder.rung(1, 60),
            Rung {
                round: 2,
                of: 3,
                next: Some(65)
            }
        );
        assert_eq!(ladder.rung(3, 100).next, None);
        assert_eq!(ladder.rung(250, 100).round, 3);
    }

    #[test]
    fn odd_figures_are_brought_into_range() {
        let odd = ladder(0, 7, 0, 0).sane();
        assert_eq!((odd.from, odd.to, odd.step, odd.rounds), (30, 30, 1, 1));
        let odd = ladder(u16::MAX, 5, u16::MAX, u8::MAX).sane();
        assert_eq!((odd.from, odd.to, odd.step, odd.rounds), (150, 150, 25, 12));
    }
}
