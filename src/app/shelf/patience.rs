//! When what has changed is written down: as soon as the hands rest, and before long even where they never do.

use super::When;
use std::time::Duration;

/// How long the hands must rest.
const REST: Duration = Duration::from_millis(400);
/// The longest that a change waits, however busy the hands are.
const LONGEST: Duration = Duration::from_secs(2);

/// How long to wait from `now` on, where the first change that is not written down was made at `since`.
#[must_use]
pub fn patience(since: When, now: When) -> Duration {
    // A clock that was set back has told nothing of how long it was.
    let waited = Duration::from_millis(now.0.saturating_sub(since.0));
    REST.min(LONGEST.saturating_sub(waited))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endless_work_is_written_down_two_seconds_after_its_first_change() {
        // A change every tenth of a second, each of which begins the wait anew.
        let first = When(1_767_225_600_000);
        let mut now = first;
        let written = loop {
            let wait = patience(first, now);
            if wait <= Duration::from_millis(100) {
                break now.0 + wait.as_millis() as u64;
            }
            now = When(now.0 + 100);
        };
        assert_eq!(written - first.0, 2000);
    }

    #[test]
    fn hands_that_rest_are_not_kept_waiting_and_a_clock_set_back_keeps_nothing_from_being_written() {
        let at = When(10_000);
        assert_eq!(patience(at, at), REST);
        assert_eq!(patience(at, When(60_000)), Duration::ZERO);
        assert_eq!(patience(at, When(0)), REST);
    }
}
