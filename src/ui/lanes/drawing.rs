//! What is drawn of the lanes before a pass: the ground, and the names beside it.

use super::measure::Measure;
use super::window::shows;
use crate::app::appearance::NamedBy;
use crate::app::lanes_view::{ChordMark, LanesView};
use crate::theory::Beats;
use crate::ui::language::{notes, spell};
use leptos::prelude::*;
use std::ops::Range;
use std::sync::Arc;

/// What a reader who does not see the picture is told.
pub(super) fn summary(lanes: &LanesView) -> String {
    let plucks: usize = lanes.rows.iter().map(|r| r.rings.len()).sum();
    let used: Vec<&str> = lanes.ribbons.iter().map(|r| r.name.as_str()).collect();
    let pressed = if used.is_empty() {
        say!("nothing pressed").to_owned()
    } else {
        say!("pressed: {used}", used = used.join(", "))
    };
    say!(
        "{bars} bars, {plucks} plucks, bar between frets {low} and {high}, {pressed}",
        bars = lanes.bars.len(),
        plucks,
        low = format!("{:.0}", lanes.axis.low.0),
        high = format!("{:.0}", lanes.axis.high.0),
        pressed
    )
}

/// Bars, chords, rules: what every pass lies on.
#[component]
pub(super) fn Ground(
    lanes: Memo<Arc<LanesView>>,
    measure: Memo<Measure>,
    window: Memo<Range<Beats>>,
    naming: Memo<NamedBy>,
) -> impl IntoView {
    move || {
        let (lanes, m, window) = (lanes.get(), measure.get(), window.get());
        let bars = || lanes.bars.iter().filter(|b| shows(&window, b.at, b.at));
        let (width, foot) = (m.width(), m.height());
        let rules: String = m
            .axis()
            .rules()
            .into_iter()
            .filter(|_| m.has_path())
            .map(|f| format!("M0 {y:.1}H{width:.1}", y = m.fret(f)))
            .collect();
        let baselines: String = (0..m.ribbons())
            .map(|i| format!("M0 {y:.1}H{width:.1}", y = m.ribbon(i)))
            .collect();
        let strings: String = (0..m.rows())
            .map(|i| format!("M0 {y:.1}H{width:.1}", y = m.row(i)))
            .collect();
        let pulses = bars().flat_map(|b| &b.pulses);
        let pulses: String = pulses
            .map(|at| format!("M{x:.1} {top:.1}V{foot:.1}", x = m.x(*at), top = m.head()))
            .collect();
        let lines: String = bars().map(|b| format!("M{x:.1} 14V{foot:.1}", x = m.x(b.at))).collect();
        let numbers = bars()
            .map(|b| {
                let text = b
                    .section
                    .as_ref()
                    .map_or_else(|| b.number.to_string(), |s| format!("{}  {s}", b.number));
                view! { <text class="lanes-bar" x=m.x(b.at) + 4.0 y="12">{text}</text> }
            })
            .collect_view();
        view! {
            <g aria-hidden="true">
                <path class="lanes-pulse" d=pulses></path>
                <path class="lanes-rule" d=rules></path>
                <path class="lanes-base" d=baselines></path>
                <path class="lanes-string" d=strings></path>
                <path class="lanes-line" d=lines></path>
                {numbers}
                {chords(&lanes.chords, &window, &m, naming.get())}
            </g>
        }
    }
}

/// Chord names; one that would run into the next is left out, but for one of its two names.
fn chords(chords: &[ChordMark], window: &Range<Beats>, m: &Measure, naming: NamedBy) -> impl IntoView + use<> {
    let mut free = f64::NEG_INFINITY;
    let mut shown = Vec::new();
    let seen = chords.iter().enumerate().filter(|(_, c)| shows(window, c.at, c.end));
    for (index, chord) in seen {
        let same = index > 0 && chords[index - 1].called == chord.called && !chord.called.is_empty();
        let x = m.x(chord.at) + 4.0;
        let mut label = chord.called.by(naming, spell);
        if naming == NamedBy::Both && x + chord_width(&label) > m.x(chord.end) {
            label = chord.called.by(NamedBy::Numbers, spell);
        }
        let width = chord_width(&label);
        if label.is_empty() || x < free || (same && m.x(chord.end) - x < width + 6.0) {
            continue;
        }
        free = x + width + 4.0;
        shown.push(view! { <text class="lanes-chord" class:again=same x=x y="38">{label}</text> });
    }
    shown
}

/// The room that a chord's name takes.
#[allow(clippy::cast_precision_loss)]
fn chord_width(label: &str) -> f64 {
    13.0 * label.chars().count() as f64
}

/// The names at the left, which stay while the lanes scroll.
#[component]
pub(super) fn Names(lanes: Memo<Arc<LanesView>>, measure: Memo<Measure>) -> impl IntoView {
    move || {
        let (lanes, m) = (lanes.get(), measure.get());
        let mut last = f64::INFINITY;
        let mut frets = Vec::new();
        for fret in m.axis().rules().into_iter().filter(|_| m.has_path()) {
            let y = m.fret(fret);
            if last - y >= 12.0 {
                last = y;
                frets.push(view! { <text class="lanes-fret" x="38" y=y + 4.0>{format!("{:.0}", fret.0)}</text> });
            }
        }
        let ribbons = lanes
            .ribbons
            .iter()
            .take(m.ribbons())
            .enumerate()
            .map(|(i, r)| view! { <text class="lanes-name" x="38" y=m.ribbon(i) - 5.0>{r.name.clone()}<title>{r.place.clone()}</title></text> })
            .collect_view();
        let strings = lanes
            .rows
            .iter()
            .take(m.rows())
            .enumerate()
            .map(|(i, row)| {
                let y = m.row(i) + 4.0;
                view! {
                    <text class="lanes-number" x="14" y=y>{row.string.number()}</text>
                    <text class="lanes-note" x="38" y=y>{notes(&row.name)}</text>
                }
            })
            .collect_view();
        view! {
            <svg class="lanes-names" width="44" height=m.height() aria-hidden="true">
                {m.has_path().then(|| view! { <text class="lanes-fret" x="38" y=m.head() - 6.0>{say!("fret")}</text> })}
                {frets}
                {ribbons}
                {strings}
            </svg>
        }
    }
}
