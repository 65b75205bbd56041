//! Keeping the place that is played in sight, unless the user has scrolled away from it.

use leptos::html::Div;
use leptos::prelude::*;
use web_sys::{ScrollBehavior, ScrollToOptions};

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
}

impl Follow {
    pub(super) fn new() -> Self {
        Self {
            scroller: NodeRef::new(),
            let_go: RwSignal::new(false),
        }
    }

    /// The user scrolls: leave it to them.
    pub(super) fn release(self) {
        self.let_go.set(true);
    }

    /// Back to the place that is played.
    pub(super) fn resume(self) {
        self.let_go.set(false);
    }

    /// Brings `place` (in the scroller's own pixels) to the part `rest` of the view, when it has left the
    /// middle of it or `always`.
    pub(super) fn show(self, axis: Axis, place: f64, rest: f64, always: bool) {
        let Some(element) = self.scroller.get_untracked() else {
            return;
        };
        if self.let_go.get_untracked() {
            return;
        }
        let (size, now) = match axis {
            Axis::Across => (element.client_width(), element.scroll_left()),
            Axis::Down => (element.client_height(), element.scroll_top()),
        };
        let (size, now) = (f64::from(size), f64::from(now));
        let part = (place - now) / size.max(1.0);
        if !always && (0.12..0.72).contains(&part) {
            return;
        }
        let goal = (place - size * rest).max(0.0);
        let options = ScrollToOptions::new();
        // A short way glides; a long one (a seek) is taken at once.
        let near = (goal - now).abs() < size * 1.2;
        options.set_behavior(if near && !always {
            ScrollBehavior::Smooth
        } else {
            ScrollBehavior::Instant
        });
        match axis {
            Axis::Across => options.set_left(goal),
            Axis::Down => options.set_top(goal),
        }
        element.scroll_to_with_scroll_to_options(&options);
    }
}

/// The width an element has room for, followed as the window changes.
pub(super) fn width_of(element: NodeRef<Div>) -> Signal<f64> {
    let width = RwSignal::new(0.0);
    let measure = move || {
        if let Some(found) = element.get_untracked() {
            let now = f64::from(found.client_width());
            if (now - width.get_untracked()).abs() >= 1.0 {
                width.set(now);
            }
        }
    };
    Effect::new(move || {
        element.track();
        request_animation_frame(measure);
    });
    let handle = window_event_listener(leptos::ev::resize, move |_| measure());
    on_cleanup(move || handle.remove());
    width.into()
}
