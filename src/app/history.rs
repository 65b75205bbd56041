//! The way back: every state of the work that a command left behind, as far as memory is set aside for it.
//!
//! *Invariant:* the states kept never weigh more than [`History::BUDGET`] together, except that one step back
//! is always kept.

use std::collections::VecDeque;

/// Something whose size in memory can be told.
pub trait Weighed {
    /// Bytes it occupies, roughly.
    fn weight(&self) -> usize;
}

/// States to go back and forth between.
#[derive(Debug, Clone)]
pub struct History<T> {
    past: VecDeque<T>,
    future: Vec<T>,
    /// What the newest entry of `past` was kept for; the same again joins it.
    run: Option<u64>,
}

impl<T> Default for History<T> {
    fn default() -> Self {
        Self {
            past: VecDeque::new(),
            future: Vec::new(),
            run: None,
        }
    }
}

impl<T: Weighed> History<T> {
    /// Bytes set aside for states one may go back to.
    pub const BUDGET: usize = 8 << 20;

    /// Keeps `before`, the state that is about to change. Changes of one `run` (typing a word, dragging a
    /// handle) are undone together.
    pub fn keep(&mut self, before: T, run: Option<u64>) {
        self.future.clear();
        if run.is_some() && self.run == run && !self.past.is_empty() {
            return;
        }
        self.run = run;
        self.past.push_back(before);
        self.trim();
    }

    /// The state before the last change; `now` can be had back by [`Self::forward`].
    pub fn back(&mut self, now: T) -> Result<T, T> {
        self.run = None;
        match self.past.pop_back() {
            Some(before) => {
                self.future.push(now);
                Ok(before)
            }
            None => Err(now),
        }
    }

    /// The state that was undone last.
    pub fn forward(&mut self, now: T) -> Result<T, T> {
        self.run = None;
        match self.future.pop() {
            Some(after) => {
                self.past.push_back(now);
                Ok(after)
            }
            None => Err(now),
        }
    }

    /// The state that [`Self::back`] would go to.
    #[must_use]
    pub fn last(&self) -> Option<&T> {
        self.past.back()
    }

    /// Whether there is a state to go back to.
    #[must_use]
    pub fn can_go_back(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is an undone state to go forward to.
    #[must_use]
    pub fn can_go_forward(&self) -> bool {
        !self.future.is_empty()
    }

    /// Every state that can be gone to, for what must hold in all of them.
    pub fn states_mut(&mut self) -> impl Iterator<Item = &mut T> {
        self.past.iter_mut().chain(&mut self.future)
    }

    fn trim(&mut self) {
        let mut weight: usize = self.past.iter().map(Weighed::weight).sum();
        while weight > Self::BUDGET && self.past.len() > 1 {
            weight -= self.past.pop_front().map_or(0, |oldest| oldest.weight());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Weighed for String {
        fn weight(&self) -> usize {
            self.len()
        }
    }

    fn text(s: &str) -> String {
        s.to_owned()
    }

    #[test]
    fn one_goes_back_and_forth_through_every_state() {
        let mut history = History::default();
        history.keep(text("a"), None);
        history.keep(text("b"), None);
        let b = history.back(text("c")).unwrap();
        let a = history.back(b.clone()).unwrap();
        assert_eq!((a.as_str(), b.as_str()), ("a", "b"));
        assert_eq!(history.back(text("a")), Err(text("a")));
        let b = history.forward(text("a")).unwrap();
        assert_eq!(history.forward(b).unwrap(), "c");
        assert!(!history.can_go_forward());
    }

    #[test]
    fn changes_of_one_run_are_undone_together() {
        let mut history = History::default();
        history.keep(text("a"), Some(1));
        history.keep(text("ab"), Some(1));
        history.keep(text("abc"), Some(2));
        assert_eq!(history.back(text("abcd")).unwrap(), "abc");
        assert_eq!(history.back(text("abc")).unwrap(), "a");
    }

    #[test]
    fn a_new_change_forgets_what_was_undone() {
        let mut history = History::default();
        history.keep(text("a"), None);
        history.back(text("b")).unwrap();
        history.keep(text("a"), None);
        assert!(!history.can_go_forward());
    }

    #[test]
    fn memory_is_bounded_and_the_oldest_states_go_first() {
        let mut history = History::default();
        let big = "x".repeat(History::<String>::BUDGET / 4);
        for i in 0..20 {
            history.keep(format!("{i}{big}"), None);
        }
        let mut steps = 0;
        let mut now = text("now");
        while let Ok(before) = history.back(now.clone()) {
            if steps == 0 {
                assert!(before.starts_with("19x"));
            }
            now = before;
            steps += 1;
        }
        assert_eq!(steps, 3);
    }
}
