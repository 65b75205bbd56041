//! Which earlier states of a song are kept: many of the last hour, fewer the further back.

use super::When;

const MINUTE: u64 = 60_000;
/// A song that is worked on leaves a state behind this often.
const APART: u64 = 5 * MINUTE;
/// Between two states that are kept, at most this part of their age goes by where there were more.
const PART_OF_AGE: u64 = 4;
/// The most states of one song.
const MOST: usize = 60;

/// Whether the state written at `changed` is worth keeping before it is written over, when the newest kept one is
/// of `newest`.
#[must_use]
pub fn due(newest: Option<When>, changed: When) -> bool {
    newest.is_none_or(|newest| changed.0 >= newest.0.saturating_add(APART))
}

/// Which of the kept states, in the order they were made, can be let go at `now`: those whose neighbours lie close
/// enough together for their age, and the oldest where there are too many.
#[must_use]
pub fn spare(kept: &[When], now: When) -> Vec<When> {
    let (mut spare, mut stay): (Vec<When>, Vec<When>) = (Vec::new(), Vec::new());
    for (index, when) in kept.iter().enumerate() {
        let apart = APART.max(now.0.saturating_sub(when.0) / PART_OF_AGE);
        let neighbours = stay.last().zip(kept.get(index + 1));
        if neighbours.is_some_and(|(before, after)| after.0.saturating_sub(before.0) <= apart) {
            spare.push(*when);
        } else {
            stay.push(*when);
        }
    }
    spare.extend(stay.iter().take(stay.len().saturating_sub(MOST)));
    spare
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_state_is_kept_when_the_last_one_is_some_minutes_old() {
        assert!(due(None, When(7)));
        assert!(!due(Some(When(0)), When(APART - 1)));
        assert!(due(Some(When(0)), When(APART)));
        assert!(!due(Some(When(APART)), When(0)), "a clock that was set back");
    }

    #[test]
    fn the_newest_states_stay_and_the_old_ones_thin_out() {
        let day = 24 * 60 * MINUTE;
        let mut kept: Vec<When> = Vec::new();
        for step in 0..(30 * day / APART) {
            let now = When(step * APART);
            kept.push(now);
            let spare = spare(&kept, now);
            kept.retain(|when| !spare.contains(when));
            assert_eq!(kept.last(), Some(&now));
        }
        let now = 30 * day;
        let aged = |from: u64, to: u64| kept.iter().filter(|w| (from..to).contains(&(now - w.0))).count();
        assert!(kept.len() <= MOST, "{}", kept.len());
        assert!(aged(0, 60 * MINUTE) >= 6, "the last hour");
        assert!(aged(60 * MINUTE, day) >= 6, "the last day");
        assert!(aged(day, 30 * day) >= 6, "the last month");
    }
}
