//! Stretches of the lanes that are pointed at, drawn under everything else.

use super::measure::Measure;
use crate::app::lanes_view::{Spot, SpotKind};
use leptos::prelude::*;
use std::fmt::Write;

/// The line on which locks and differences stand: between the chords and the path.
const LINE: f64 = 44.0;

/// All stretches.
#[component]
pub(super) fn Spots(spots: Signal<Vec<Spot>>, measure: Memo<Measure>) -> impl IntoView {
    move || {
        let m = measure.get();
        spots.get().iter().map(|spot| draw(*spot, &m)).collect_view()
    }
}

fn draw(spot: Spot, m: &Measure) -> AnyView {
    let (from, to) = (m.x(spot.from), m.x(spot.to));
    match spot.kind {
        SpotKind::Picked => view! {
            <rect class="spot-picked" x=from y=m.head() width=(to - from).max(1.0) height=m.height() - m.head()></rect>
            <path class="spot-edge" d=format!("M{from:.1} {head:.1}H{to:.1}", head = m.head())></path>
        }
        .into_any(),
        SpotKind::Locked => view! {
            <path class="spot-locked" d=format!("M{:.1} {LINE:.1}H{:.1}", from + 2.0, (to - 2.0).max(from + 2.0))></path>
            <path class="spot-lock" d=format!("M{:.1} {:.1}h9v7h-9zM{:.1} {:.1}v-2a3 3 0 0 1 6 0v2", from + 3.0, LINE - 4.0, from + 4.5, LINE - 4.0)></path>
        }
        .into_any(),
        SpotKind::Differs => view! { <path class="spot-differs" d=zigzag(from, to, LINE + 1.0)></path> }.into_any(),
        SpotKind::Missed => view! {
            <rect class="spot-missed" x=from y=m.head() width=(to - from).max(1.0) height=m.height() - m.head()></rect>
            <path class="spot-mark" d=exclamation(from + 6.0, m.head() + 6.0)></path>
        }
        .into_any(),
    }
}

/// A toothed line.
pub(in crate::ui) fn zigzag(from: f64, to: f64, y: f64) -> String {
    const TOOTH: f64 = 4.0;
    let mut d = format!("M{from:.1} {y:.1}");
    let mut x = from + TOOTH;
    let mut up = true;
    while x <= to {
        // Writing to a string cannot fail.
        let _ = write!(d, "L{x:.1} {:.1}", if up { y - TOOTH } else { y });
        x += TOOTH;
        up = !up;
    }
    d
}

/// An exclamation mark below a point: drawn, so that it is seen without its hue.
pub(in crate::ui) fn exclamation(x: f64, y: f64) -> String {
    format!("M{x:.1} {y:.1}v7m0 4v1.5")
}
