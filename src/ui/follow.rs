//! Keeping the place that is played in sight, unless the user has scrolled away from it.

use super::later::put_off;
use crate::platform::frames::SizeWatch;
use leptos::html::Div;
use leptos::prelude::*;
use std::time::Duration;
use web_sys::{ScrollBehavior, ScrollToOptions};

/// A scroll this soon after one of ours is still ours, in milliseconds.
const OURS_FOR: f64 = 700.0;
/// A scroll this soon after a wheel turn or a moving finger is the user's, in milliseconds.
const THEIRS_FOR: f64 = 1500.0;
/// How long a picture without a button of its own waits before it follows again.
const PATIENCE: Duration = Duration::from_secs(5);

/// Along which axis a picture scrolls.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    Across,
    Down,
}

/// A scroller that follows a place in it.
#[derive(Clone, Copy)]
pub(super) struct Follow {
    /// The element that scrolls.
    pub scroller: NodeRef<Div>,
    /// Whether the user has taken over.
    pub let_go: RwSignal<bool>,
    ours: StoredValue<f64>,
    theirs: StoredValue<f64>,
    last: StoredValue<(i32, i32)>,
}

impl Follow {
    pub(super) fn new() -> Self {
        Self {
            scroller: NodeRef::new(),
            let_go: RwSignal::new(false),
            ours: StoredValue::new(f64::NEG_INFINITY),
            theirs: StoredValue::new(f64::NEG_INFINITY),
            last: StoredValue::new((0, 0)),
        }
    }

    /// A wheel turns or a finger moves on the picture: what scrolls it now may be the user.
    pub(super) fn touched(self) {
        self.theirs.set_value(now());
    }

    /// The picture has scrolled: if it was the user, leave it to them.
    pub(super) fn scrolled(self) -> bool {
        let Some(element) = self.scroller.get_untracked() else {
            return false;
        };
        let place = (element.scroll_left(), element.scroll_top());
        let moved = self.last.get_value() != place;
        self.last.set_value(place);
        let now = now();
        let theirs = now - self.theirs.get_value() < THEIRS_FOR && now - self.ours.get_value() > OURS_FOR;
        if moved && theirs {
            self.let_go.set(true);
        }
        moved && theirs
    }

    /// As [`Follow::scrolled`], for a picture that takes up the place again by itself.
    pub(super) fn scrolled_for_a_while(self) {
        if self.scrolled() {
            set_timeout(
                move || {
                    self.let_go.try_set(false);
                },
                PATIENCE,
            );
        }
    }

    /// Back to the place that is played.
    pub(super) fn resume(self) {
        self.let_go.set(false);
    }

    /// Brings `place` (in the scroller's own pixels) to the part `rest` of the view, when it has left the
    /// middle of it or `always`: with the next picture, when all is drawn that was changed with it.
    pub(super) fn show(self, axis: Axis, place: f64, rest: f64, always: bool) {
        request_animation_frame(move || self.bring(axis, place, rest, always));
    }

    fn bring(self, axis: Axis, place: f64, rest: f64, always: bool) {
        // The view may be gone already.
        let (scroller, let_go) = (self.scroller.try_get_untracked(), self.let_go.try_get_untracked());
        let (Some(Some(element)), Some(false)) = (scroller, let_go) else {
            return;
        };
        let (size, from) = match axis {
            Axis::Across => (element.client_width(), element.scroll_left()),
            Axis::Down => (element.client_height(), element.scroll_top()),
        };
        let (size, from) = (f64::from(size), f64::from(from));
        let part = (place - from) / size.max(1.0);
        if !always && (0.12..0.72).contains(&part) {
            return;
        }
        let goal = (place - size * rest).max(0.0);
        let options = ScrollToOptions::new();
        // A short way glides; a long one (a seek) is taken at once.
        let glides = !always && (goal - from).abs() < size * 1.2 && !wants_stillness();
        options.set_behavior(if glides {
            ScrollBehavior::Smooth
        } else {
            ScrollBehavior::Instant
        });
        match axis {
            Axis::Across => options.set_left(goal),
            Axis::Down => options.set_top(goal),
        }
        self.ours.set_value(now());
        element.scroll_to_with_scroll_to_options(&options);
    }
}

/// The page's clock in milliseconds.
fn now() -> f64 {
    window().performance().map_or(0.0, |clock| clock.now())
}

/// Whether the user asked the device for less motion.
fn wants_stillness() -> bool {
    window()
        .match_media("(prefers-reduced-motion: reduce)")
        .ok()
        .flatten()
        .is_some_and(|query| query.matches())
}

/// The width an element has room for, followed as it changes, and whether it has been measured yet: each time in a task
/// of its own, for what is drawn by it may be much. What goes by the width need not be drawn before.
pub(super) fn width_of(element: NodeRef<Div>) -> (Signal<f64>, Signal<bool>) {
    let (width, measured) = (RwSignal::new(0.0), RwSignal::new(false));
    let measure = move || {
        // The view may be gone already.
        let (found, before) = (element.try_get_untracked().flatten(), width.try_get_untracked());
        if let (Some(found), Some(before)) = (found, before) {
            let now = f64::from(found.client_width());
            // To be asked for its width, the page is laid out: what is drawn by it has a task of its own.
            put_off(move || {
                if (now - before).abs() >= 1.0 {
                    width.try_set(now);
                }
                if measured.try_get_untracked() == Some(false) {
                    measured.set(true);
                }
            });
        }
    };
    let watch = StoredValue::new_local(None);
    Effect::new(move || {
        let found = element.get();
        put_off(measure);
        watch.set_value(found.and_then(|found| SizeWatch::new(&found, move || put_off(measure)).ok()));
    });
    (width.into(), measured.into())
}
