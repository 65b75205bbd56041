//! The needle, large enough to be read from the seat: note, cents, which way to turn.

use super::Tuner;
use crate::app::tuner::{Shown, Target, Verdict};
use crate::theory::Cents;
use crate::ui::language::{look, notes, number};
use leptos::prelude::*;

/// The scale ends here.
const END: f64 = 50.0;
/// Within so many cents the scale is even; beyond, it grows finer.
const EVEN: f64 = 4.0;
/// Half the scale's width in its own units; the middle is 0.
const HALF: f64 = 150.0;
/// What the scale's strokes stand for.
const STROKES: [f64; 11] = [-50.0, -25.0, -10.0, -5.0, -2.0, 0.0, 2.0, 5.0, 10.0, 25.0, 50.0];

/// Where cents lie on the scale.
fn place(off: Cents) -> f64 {
    HALF * (off.0.clamp(-END, END) / EVEN).asinh() / (END / EVEN).asinh()
}

/// Cents as they are read: to a tenth once the needle rests, whole while it moves.
fn figure(shown: &Shown) -> String {
    let off = shown.reading.off.0;
    let text = if shown.reading.steady && off.abs() < 100.0 {
        format!("{off:+.1}")
    } else {
        format!("{off:+.0}")
    };
    // A plain zero carries no sign.
    let bare = text.trim_start_matches(['+', '-']);
    number(if bare.parse() == Ok(0.0) { bare } else { &text })
}

/// What is heard of one string.
#[component]
pub(super) fn Dial(tuner: Tuner) -> impl IntoView {
    let shown = tuner.shown;
    let target = Memo::new(move |_| {
        let string = shown.with(|s| s.map(|s| s.string)).or_else(|| tuner.held.get())?;
        tuner
            .targets
            .with(|all| all.iter().find(|t| t.string == string).cloned())
    });
    let verdict = Memo::new(move |_| shown.with(|s| s.map(|s| s.verdict)));
    let words = move || match verdict.get() {
        Some(verdict) => look(verdict.words()).to_owned(),
        None if !tuner.ears.is_on() => say!("Press Listen and pick a string").to_owned(),
        None => match tuner.held.get() {
            Some(string) => say!("Pick string {string}", string),
            None => say!("Pick a string").to_owned(),
        },
    };
    view! {
        <div class="dial" class:still=move || verdict.get() == Some(Verdict::InTune)>
            <p class="dial-note">
                <b class:nothing=move || target.with(Option::is_none)>{move || target.with(|t| t.as_ref().map_or("–".to_owned(), |t| notes(&t.note)))}</b>
                <span class="soft">{move || target.with(|t| t.as_ref().map(|t| say!("string {string}", string = t.string)))}</span>
            </p>
            <p class="dial-cents">
                <b class:nothing=move || shown.with(Option::is_none)>{move || shown.with(|s| s.as_ref().map_or("–".to_owned(), figure))}</b>
                <span class="soft">{say!("cents")}</span>
            </p>
            <Scale tuner=tuner />
            <p class="dial-words" role="status">
                <Way verdict=verdict />
                <span>{words}</span>
            </p>
            <p class="small soft dial-target">{move || target.with(|t| t.as_ref().map(meant))}</p>
            <Strained target=target verdict=verdict />
            <Tone tuner=tuner />
        </div>
    }
}

/// What the target is in a tuner's own terms.
fn meant(target: &Target) -> String {
    let off = target.off.0;
    let hertz = target.height.hertz().0;
    if off.abs() < 0.05 {
        say!(
            "Target: {note} as it is, {hertz} Hz",
            note = notes(&target.note),
            hertz = number(format!("{hertz:.2}"))
        )
    } else {
        say!(
            "Target: {note} {off} cents, {hertz} Hz",
            note = notes(&target.note),
            off = number(format!("{off:+.1}")),
            hertz = number(format!("{hertz:.2}"))
        )
    }
}

/// Strokes, the place in tune, and the needle.
#[component]
fn Scale(tuner: Tuner) -> impl IntoView {
    let needle = move || tuner.shown.with(|s| s.as_ref().map(|s| place(s.reading.off)));
    let steady = move || tuner.shown.with(|s| s.is_some_and(|s| s.reading.steady));
    let strokes = STROKES.map(|cents| {
        let x = place(Cents(cents));
        let words = (cents == 0.0 || cents.abs() >= 5.0).then(|| {
            let text = if cents == 0.0 {
                "0".to_owned()
            } else {
                format!("{cents:+.0}")
            };
            view! { <text x=x y="66">{text}</text> }
        });
        view! {
            <path d=format!("M{x} {} V46", if cents == 0.0 { 8.0 } else { 30.0 })></path>
            {words}
        }
    });
    let zone = place(crate::app::tuner::IN_TUNE);
    view! {
        <svg class="dial-scale" viewBox="-166 0 332 72" aria-hidden="true">
            <rect class="dial-zone" x=-zone y="8" width=2.0 * zone height="38"></rect>
            {strokes.collect_view()}
            <rect
                class="dial-needle"
                class:steady=steady
                x="-4"
                y="2"
                width="8"
                height="48"
                rx="4"
                style:display=move || if needle().is_some() { "block" } else { "none" }
                transform=move || format!("translate({:.1} 0)", needle().unwrap_or(0.0))
            ></rect>
        </svg>
    }
}

/// Which way to turn, as a shape: upwards, downwards, or level.
#[component]
fn Way(verdict: Memo<Option<Verdict>>) -> impl IntoView {
    let path = move || match verdict.get() {
        Some(Verdict::Flat) => "M12 3l9 16H3z",
        Some(Verdict::Sharp) => "M12 21l9-16H3z",
        Some(Verdict::InTune) => "M3 7h18v4H3zM3 14h18v4H3z",
        None => "",
    };
    view! { <svg class="dial-way" viewBox="0 0 24 24" aria-hidden="true"><path d=path></path></svg> }
}

/// A string that bears much, while it is to be tuned up.
#[component]
fn Strained(target: Memo<Option<Target>>, verdict: Memo<Option<Verdict>>) -> impl IntoView {
    let near_breaking = Memo::new(move |_| {
        verdict.get() == Some(Verdict::Flat) && target.with(|t| t.as_ref().is_some_and(|t| t.strained))
    });
    move || {
        near_breaking.get().then(|| {
            view! { <p class="fault small">{say!("This string bears more than is usual at its highest note. Cover your eyes before you tune it up.")}</p> }
        })
    }
}

/// The reference tone.
#[component]
pub(super) fn Tone(tuner: Tuner) -> impl IntoView {
    let strings = Memo::new(move |_| tuner.reference());
    view! {
        <button
            type="button"
            class="do"
            prop:disabled=move || strings.with(|s| s.is_empty())
            on:click=move |_| tuner.sound(strings.get_untracked())
        >
            {say!("Hear the target")}
        </button>
    }
}
