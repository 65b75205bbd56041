//! How high each note was, over what was asked: a line for each note over its band of tolerance.

use crate::app::played::{Played, PlayedNote};
use crate::theory::{Beats, Timeline};
use leptos::prelude::*;
use std::fmt::Write;
use std::sync::Arc;

/// Pixels to a beat.
const BEAT: f64 = 44.0;
/// Cents from the middle to the edge, and pixels for them.
const EDGE: f64 = 50.0;
const HALF: f64 = 56.0;
const MIDDLE: f64 = 66.0;
const HEIGHT: f64 = 136.0;
/// Room before the first note.
const LEFT: f64 = 12.0;

fn y(cents: f64) -> f64 {
    MIDDLE - HALF * cents.clamp(-EDGE, EDGE) / EDGE
}

/// The picture, as wide as the phrase is long.
#[component]
pub(super) fn Pitches(played: Arc<Played>, song: Arc<Timeline>) -> impl IntoView {
    let first = played.notes.first().map_or(Beats::ZERO, |n| n.at);
    let last = played.notes.iter().map(|n| n.end).fold(first, Beats::max);
    let x = move |at: Beats| LEFT + BEAT * (at - first).0;
    let width = x(last) + LEFT;
    let bars = song
        .bars
        .iter()
        .enumerate()
        .filter(|(_, bar)| bar.start >= first && bar.start < last);
    let bars = bars
        .map(|(index, bar)| {
            let x = x(bar.start);
            view! {
                <path class="pitch-bar" d=format!("M{x:.1} 8V{}", HEIGHT - 8.0)></path>
                <text x=x + 4.0 y="18">{index + 1}</text>
            }
        })
        .collect_view();
    let notes = played.notes.iter().map(|note| draw(note, x)).collect_view();
    let strokes = played.notes.chunk_by(|a, b| (b.at - a.at).0 < 0.05);
    let strings = strokes
        .filter_map(|stroke| {
            let names: Vec<String> = stroke.iter().map(|note| note.string.to_string()).collect();
            Some(view! { <text x=x(stroke.first()?.at) y=HEIGHT - 4.0>{names.join(" ")}</text> })
        })
        .collect_view();
    view! {
        <figure class="pitches">
            <figcaption class="small soft">
                {say!("How high each note was: above the line is sharp, below it flat; the band is what passes at its fret, the edges are 50 cents off. A cross was not heard. Below: the strings.")}
            </figcaption>
            <div class="pitches-scroll" tabindex="0" role="region" aria-label=say!("Pitch of each note")>
                <svg width=width height=HEIGHT aria-hidden="true">
                    {bars}
                    <path class="pitch-line" d=format!("M0 {MIDDLE}H{width:.1}")></path>
                    {notes}
                    {strings}
                </svg>
            </div>
        </figure>
    }
}

fn draw(note: &PlayedNote, x: impl Fn(Beats) -> f64) -> AnyView {
    let (from, to) = (x(note.at), x(note.end));
    if !note.mark.heard() {
        let cross = format!("M{:.1} {:.1}l10 10m0 -10l-10 10", from - 1.0, MIDDLE - 5.0);
        return view! { <path class="pitch-absent" d=cross></path> }.into_any();
    }
    let band = note.mark.intonation.map(|i| {
        let (top, foot) = (y(i.tolerance.0), y(-i.tolerance.0));
        view! { <rect class="pitch-band" x=from y=top width=(to - from).max(2.0) height=foot - top></rect> }
    });
    let mut path = String::new();
    for (at, off) in &note.course {
        let step = if path.is_empty() { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _ = write!(path, "{step}{:.1} {:.1}", x(*at), y(off.0));
    }
    let wrong = !note.is_right();
    let class = if wrong { "pitch-wrong" } else { "pitch-right" };
    view! {
        {band}
        <path class=class d=path></path>
    }
    .into_any()
}
