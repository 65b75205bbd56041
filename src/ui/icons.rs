//! The page's own signs, drawn on 24 units with a line of 2.

use leptos::prelude::*;

/// A sign by its use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    Play,
    Stop,
    Loop,
    Level,
    Rig,
    Tuner,
    Deliver,
    Help,
    Day,
    Night,
    Close,
    Less,
    More,
    Undo,
    Redo,
    Heard,
    Muted,
    Lock,
    Unlock,
    Change,
    Star,
    NoStar,
}

impl Sign {
    /// Stroked outlines, and filled ones.
    fn paths(self) -> (&'static str, &'static str) {
        match self {
            Self::Play => (
                "",
                "M7 4.5v15a1 1 0 0 0 1.5.87l12-7.5a1 1 0 0 0 0-1.74l-12-7.5A1 1 0 0 0 7 4.5z",
            ),
            Self::Stop => (
                "",
                "M6 5h12a1 1 0 0 1 1 1v12a1 1 0 0 1-1 1H6a1 1 0 0 1-1-1V6a1 1 0 0 1 1-1z",
            ),
            Self::Loop => (
                "M4 12V9.5A3.5 3.5 0 0 1 7.5 6H19M16 3l3 3-3 3M20 12v2.5a3.5 3.5 0 0 1-3.5 3.500H5M8 21l-3-3 3-3",
                "",
            ),
            Self::Level => ("M5 4v16M12 4v16M19 4v16", "M3 13h4v4H3zM10 6h4v4h-4zM17 10h4v4h-4z"),
            // The instrument from above: body, strings, the bar across them.
            Self::Rig => (
                "M3 7h18v9H3zM3 10h18M3 13h18M7 16v4M12 16v4M17 16v4",
                "M14 5h2.500v13H14z",
            ),
            // A needle over its scale.
            Self::Tuner => ("M3 17a9.500 9.500 0 0 1 18 0M12 17l4-8M3 17h18", ""),
            // Down into a tray.
            Self::Deliver => ("M12 3v11M7.5 10l4.5 4.500L16.5 10M4 15v5h16v-5", ""),
            Self::Help => (
                "M9 9a3 3 0 1 1 4.5 2.600c-1 .6-1.5 1.2-1.5 2.4",
                "M10.8 17h2.400v2.400h-2.400z",
            ),
            Self::Day => (
                "M12 3v2M12 19v2M3 12h2M19 12h2M5.6 5.6 7 7M17 17l1.4 1.400M5.6 18.4 7 17M17 7l1.4-1.4",
                "M12 8a4 4 0 1 0 0 8 4 4 0 0 0 0-8z",
            ),
            Self::Night => ("", "M20 14.500A8.5 8.5 0 0 1 9.5 4 8.5 8.5 0 1 0 20 14.500z"),
            Self::Close => ("M6 6l12 12M18 6 6 18", ""),
            Self::Less => ("M6 12h12", ""),
            Self::More => ("M6 12h12M12 6v12", ""),
            Self::Undo => ("M8 5 4 9l4 4M4 9h10a5 5 0 0 1 0 10H9", ""),
            Self::Heard => ("M15 9a4 4 0 0 1 0 6M17.5 6a8 8 0 0 1 0 12", "M4 9.500h3l5-4v13l-5-4H4z"),
            Self::Muted => ("M15.500 9.500l5 5M20.500 9.500l-5 5", "M4 9.500h3l5-4v13l-5-4H4z"),
            Self::Lock => ("M8 11V8a4 4 0 0 1 8 0v3", "M6 11h12v9H6z"),
            Self::Unlock => ("M8 11V8a4 4 0 0 1 7.500-2M6 11h12v9H6z", ""),
            // One of two ways at a fork.
            Self::Change => ("M4 12h5l6-6h5M9 12l6 6h5M17 3l3 3-3 3", ""),
            Self::Star => (
                "",
                "M12 3l2.700 6 6.300.600-4.800 4.300 1.400 6.300L12 17l-5.600 3.200 1.400-6.300L3 9.600 9.300 9z",
            ),
            Self::NoStar => (
                "M12 3l2.700 6 6.300.600-4.800 4.300 1.400 6.300L12 17l-5.600 3.200 1.400-6.300L3 9.600 9.300 9z",
                "",
            ),
            Self::Redo => ("M16 5l4 4-4 4M20 9H10a5 5 0 0 0 0 10h5", ""),
        }
    }
}

/// Draws a sign; what it means is said by the control around it.
#[component]
pub(super) fn Icon(#[prop(into)] sign: Signal<Sign>) -> impl IntoView {
    view! {
        <svg class="icon" viewBox="0 0 24 24" aria-hidden="true">
            <path d=move || sign.get().paths().0></path>
            <path class="solid" d=move || sign.get().paths().1></path>
        </svg>
    }
}

/// The page's mark: a bar across three strings.
#[component]
pub(super) fn Mark() -> impl IntoView {
    view! {
        <svg class="mark" width="44" height="32" viewBox="0 0 44 32" role="img" aria-label="Leadbar">
            <path d="M0 8h44M0 16h44M0 24h44" stroke="var(--string)" stroke-width="1.5"></path>
            <rect x="22" y="1" width="8" height="30" rx="4" fill="var(--bar)"></rect>
        </svg>
    }
}
