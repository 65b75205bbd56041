//! A stretch of bars.

use serde::{Deserialize, Serialize};

/// A stretch of bars to play over and over, counted from 0 in playing order, `to` included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct LoopBars {
    /// First bar.
    pub from: usize,
    /// Last bar.
    pub to: usize,
}

impl LoopBars {
    /// The stretch kept inside a song of `bars` bars, or nothing when none of it is.
    #[must_use]
    pub fn within(self, bars: usize) -> Option<Self> {
        let last = bars.checked_sub(1)?;
        if self.from.min(self.to) > last {
            return None;
        }
        let (from, to) = (self.from.min(last), self.to.min(last));
        Some(Self {
            from: from.min(to),
            to: from.max(to),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_loop_is_kept_inside_the_song_and_the_right_way_round() {
        let backwards = LoopBars { from: 9, to: 2 };
        assert_eq!(backwards.within(8), Some(LoopBars { from: 2, to: 7 }));
        assert_eq!(backwards.within(2), None);
        assert_eq!(backwards.within(0), None);
    }
}
