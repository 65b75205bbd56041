//! The stand's leaves: the bar that is played and the ones after it, each on a leaf that stays where it is.
//!
//! A bar that has been played makes way for the next one that is not in sight yet, so the eye reads round and
//! the page never turns under it.
//!
//! *Invariant:* the leaf after the one that is played always shows the bar that is played next.

use crate::app::LoopBars;

/// How many bars are shown at once.
pub const SHOWN: usize = 4;

/// What stands on each leaf: a bar counted from 0, or nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Leaves {
    /// The leaves in reading order.
    pub bars: [Option<usize>; SHOWN],
    /// Which of them is played.
    pub here: usize,
}

impl Leaves {
    /// The leaves from `bar` on, in a song of `count` bars.
    #[must_use]
    pub fn from(bar: usize, count: usize, looped: Option<LoopBars>) -> Self {
        let mut leaves = Self::default();
        let mut next = (bar < count).then_some(bar);
        for leaf in 0..SHOWN {
            // A loop shorter than the leaves is shown once.
            if leaves.bars[..leaf].contains(&next) {
                break;
            }
            leaves.bars[leaf] = next;
            next = next.and_then(|bar| after(bar, count, looped));
        }
        leaves
    }

    /// The leaves once `bar` is played: turned by one if it is the next one, else laid anew from there.
    #[must_use]
    pub fn at(self, bar: usize, count: usize, looped: Option<LoopBars>) -> Self {
        let used = self.used();
        if used == 0 {
            return Self::from(bar, count, looped);
        }
        if self.bars[self.here] == Some(bar) {
            return self;
        }
        let here = (self.here + 1) % used;
        let last = self.bars[self.here.checked_sub(1).unwrap_or(used - 1)];
        if self.bars[here] != Some(bar) {
            return Self::from(bar, count, looped);
        }
        let mut turned = Self { here, ..self };
        let new = last.and_then(|bar| after(bar, count, looped));
        // With all of a short loop in sight nothing has to make way.
        let in_sight = new.is_some() && self.bars.contains(&new);
        if !in_sight {
            turned.bars[self.here] = new;
        }
        turned
    }

    /// How many leaves are taken.
    fn used(self) -> usize {
        self.bars.iter().rposition(Option::is_some).map_or(0, |last| last + 1)
    }
}

/// The bar played after `bar`.
fn after(bar: usize, count: usize, looped: Option<LoopBars>) -> Option<usize> {
    match looped.and_then(|l| l.within(count)) {
        Some(l) if bar == l.to => Some(l.from),
        _ => (bar + 1 < count).then_some(bar + 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn played(count: usize, looped: Option<LoopBars>, bars: &[usize]) -> Leaves {
        let first = Leaves::from(bars[0], count, looped);
        bars[1..]
            .iter()
            .fold(first, |leaves, bar| leaves.at(*bar, count, looped))
    }

    #[test]
    fn a_played_bar_makes_way_for_the_next_one_not_in_sight() {
        let leaves = played(9, None, &[0, 1, 2]);
        assert_eq!(leaves.bars, [Some(4), Some(5), Some(2), Some(3)]);
        assert_eq!(leaves.here, 2);
        assert_eq!(played(9, None, &[0, 1, 2, 3, 4]).here, 0);
    }

    #[test]
    fn towards_the_end_leaves_stay_empty() {
        let leaves = played(6, None, &[0, 1, 2, 3, 4, 5]);
        assert_eq!(leaves.bars[leaves.here], Some(5));
        assert_eq!(leaves.bars.iter().flatten().count(), 1);
        assert_eq!(Leaves::from(1, 2, None).bars, [Some(1), None, None, None]);
        assert_eq!(Leaves::from(0, 0, None).bars, [None; SHOWN]);
    }

    #[test]
    fn a_loop_leads_back_to_its_first_bar() {
        let looped = Some(LoopBars { from: 2, to: 7 });
        let leaves = played(9, looped, &[6]);
        assert_eq!(leaves.bars, [Some(6), Some(7), Some(2), Some(3)]);
        assert_eq!(played(9, looped, &[6, 7, 2]).bars[2..], [Some(2), Some(3)]);
    }

    #[test]
    fn a_short_loop_is_shown_once_and_stands_still() {
        let looped = Some(LoopBars { from: 4, to: 5 });
        let leaves = played(9, looped, &[4, 5, 4, 5]);
        assert_eq!(leaves.bars, [Some(4), Some(5), None, None]);
        assert_eq!(leaves.here, 1);
        let one = Some(LoopBars { from: 3, to: 3 });
        assert_eq!(played(9, one, &[3, 3]).bars, [Some(3), None, None, None]);
    }

    #[test]
    fn a_jump_lays_the_leaves_anew() {
        let leaves = played(20, None, &[0, 1, 12]);
        assert_eq!(leaves.bars, [Some(12), Some(13), Some(14), Some(15)]);
        assert_eq!(leaves.here, 0);
    }

    #[test]
    fn the_leaf_after_the_played_one_is_always_the_next_bar() {
        for looped in [
            None,
            Some(LoopBars { from: 1, to: 6 }),
            Some(LoopBars { from: 0, to: 3 }),
        ] {
            let (mut leaves, mut bar) = (Leaves::from(0, 11, looped), 0);
            for _ in 0..40 {
                assert_eq!(leaves.bars[leaves.here], Some(bar));
                let Some(next) = after(bar, 11, looped) else { break };
                assert_eq!(leaves.bars[(leaves.here + 1) % leaves.used()], Some(next));
                leaves = leaves.at(next, 11, looped);
                bar = next;
            }
        }
    }
}
