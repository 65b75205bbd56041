//! What is drawn of the lanes: the ground, the names beside it, and a pass.

use super::measure::Measure;
use super::window::{may_ring, points, shows};
use crate::app::appearance::NamedBy;
use crate::app::lanes_view::{ChordMark, Fate, LanesView, Ribbon, Ring, Stroke};
use crate::app::rehearsal::Limb;
use crate::steel::{Fret, Travel};
use crate::theory::Beats;
use crate::ui::language::{notes, spell};
use leptos::prelude::*;
use std::fmt::Write;
use std::ops::Range;
use std::sync::Arc;

/// The size of a plate: where two plucks stand closer, the figure is left out.
const PLATE: (f64, f64) = (15.0, 13.0);

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

/// One performance.
#[component]
pub(super) fn Pass(
    #[prop(into)] lanes: Signal<Arc<LanesView>>,
    measure: Memo<Measure>,
    window: Memo<Range<Beats>>,
    second: bool,
    naming: Memo<NamedBy>,
) -> impl IntoView {
    let name = if second { "lanes-other" } else { "lanes-pass" };
    move || {
        let (lanes, m, window) = (lanes.get(), measure.get(), window.get());
        let ribbons = if second {
            Vec::new()
        } else {
            lanes.ribbons.iter().take(m.ribbons()).enumerate().collect()
        };
        let (path, near) = if m.has_path() {
            (&lanes.path[..], &lanes.near[..])
        } else {
            (&[][..], &[][..])
        };
        view! {
            <g class=name aria-hidden="true">
                <defs inner_html=gradients(name)></defs>
                {(!second).then(|| view! { <path class="path-shade" d=shade(path, &window, &m)></path> })}
                <path class="path-silent" d=strokes(path, false, &window, &m)></path>
                <path class="path-sounding" d=strokes(path, true, &window, &m)></path>
                <path class="path-sounding" d=strokes(near, true, &window, &m)></path>
                {ribbons.into_iter().map(|(i, r)| ribbon(i, r, &window, &m)).collect_view()}
                {lanes
                    .rows
                    .iter()
                    .take(m.rows())
                    .enumerate()
                    .map(|(i, row)| row.rings.iter().enumerate().filter(|(_, ring)| may_ring(&window, ring.at)).map(|(n, ring)| {
                        let next = row.rings.get(n + 1).map(|r| r.at);
                        draw_ring(ring, next, m.row(i), name, &m, naming.get())
                    }).collect_view())
                    .collect_view()}
                {(!second && m.has_path()).then(|| labels(&lanes, &window, &m))}
            </g>
        }
    }
}

/// How a tail fades: to nothing where the string dies, half where it is stopped. As text, for the view macro
/// takes a gradient's stops for groups.
fn gradients(name: &str) -> String {
    let gradient = |kind: &str, last: &str| {
        format!(
            "<linearGradient id=\"{name}-{kind}\"><stop class=\"tail-first\" offset=\"0\"/><stop class=\"{last}\" offset=\"1\"/></linearGradient>"
        )
    };
    gradient("dies", "tail-last") + &gradient("cut", "tail-cut")
}

fn strokes(path: &[Stroke], sounding: bool, window: &Range<Beats>, m: &Measure) -> String {
    let mut d = String::new();
    for stroke in path.iter().filter(|s| s.sounding == sounding) {
        let seen = seen(stroke, window);
        line(&mut d, seen.iter().map(|(at, fret)| (m.x(*at), m.fret(*fret))), 'M');
    }
    d
}

/// The points of a stroke that are in sight; none where it lies outside.
fn seen<'a>(stroke: &'a Stroke, window: &Range<Beats>) -> &'a [(Beats, Fret)] {
    let ends = stroke.points.first().zip(stroke.points.last());
    match ends {
        Some((first, last)) if shows(window, first.0, last.0) => points(&stroke.points, window),
        _ => &[],
    }
}

/// The ground under the path where it sounds.
fn shade(path: &[Stroke], window: &Range<Beats>, m: &Measure) -> String {
    let foot = m.path_foot();
    let mut d = String::new();
    for stroke in path.iter().filter(|s| s.sounding) {
        let seen = seen(stroke, window);
        let (Some(first), Some(last)) = (seen.first(), seen.last()) else {
            continue;
        };
        // Writing to a string cannot fail.
        let _ = write!(d, "M{:.1} {foot:.1}", m.x(first.0));
        line(&mut d, seen.iter().map(|(at, fret)| (m.x(*at), m.fret(*fret))), 'L');
        let _ = write!(d, "L{:.1} {foot:.1}Z", m.x(last.0));
    }
    d
}

fn line(d: &mut String, points: impl Iterator<Item = (f64, f64)>, first: char) {
    for (index, (x, y)) in points.enumerate() {
        let _ = write!(d, "{}{x:.1} {y:.1}", if index == 0 { first } else { 'L' });
    }
}

fn labels(lanes: &LanesView, window: &Range<Beats>, m: &Measure) -> impl IntoView + use<> {
    lanes
        .labels(m.beats(22.0))
        .into_iter()
        .filter(|l| shows(window, l.at, l.at))
        .map(|l| {
            let y = (m.fret(Fret(l.fret.0)) - 8.0).max(m.head() + 10.0);
            view! { <text class="path-fret" x=m.x(l.at) + 2.0 y=y>{l.text.clone()}</text> }
        })
        .collect_view()
}

fn ribbon(index: usize, ribbon: &Ribbon, window: &Range<Beats>, m: &Measure) -> impl IntoView + use<> {
    let base = m.ribbon(index);
    let mut area = String::new();
    let mut edge = String::new();
    let seen = |press: &&Vec<(Beats, Travel)>| {
        let ends = press.first().zip(press.last());
        ends.is_some_and(|(first, last)| shows(window, first.0, last.0))
    };
    for press in ribbon.presses.iter().filter(seen) {
        let press = points(press, window);
        let drawn = || press.iter().map(|(at, travel)| (m.x(*at), base - m.travel(*travel)));
        if let (Some(first), Some(last)) = (press.first(), press.last()) {
            let _ = write!(area, "M{:.1} {base:.1}", m.x(first.0));
            line(&mut area, drawn(), 'L');
            let _ = write!(area, "L{:.1} {base:.1}Z", m.x(last.0));
        }
        line(&mut edge, drawn(), 'M');
    }
    view! {
        <path class="ribbon" d=area></path>
        <path class="ribbon-edge" d=edge></path>
    }
}

/// A pluck: its tail, how it ends, and its plate.
fn draw_ring(
    ring: &Ring,
    next: Option<Beats>,
    y: f64,
    pass: &str,
    m: &Measure,
    naming: NamedBy,
) -> impl IntoView + use<> {
    let (x, end) = (m.x(ring.at), m.x(ring.end));
    let thick = 2.0 + 4.0 * ring.strength.clamp(0.0, 1.0);
    let (last, paint) = match ring.fate {
        Fate::Dies => (0.3, "dies"),
        Fate::Stopped | Fate::Replaced => (thick * 0.3, "cut"),
    };
    let tail = format!(
        "M{x:.1} {a:.2}L{end:.1} {b:.2}V{c:.2}L{x:.1} {d:.2}Z",
        a = y - thick / 2.0,
        b = y - last / 2.0,
        c = y + last / 2.0,
        d = y + thick / 2.0
    );
    let stop = (ring.fate == Fate::Stopped)
        .then(|| view! { <path class="ring-stop" d=format!("M{end:.1} {:.1}v9", y - 4.5)></path> });
    let room = next.map_or(f64::INFINITY, |n| m.x(n) - x);
    // Both names where they have room, else the number alone.
    let ways = [naming, NamedBy::Numbers].map(|way| ring.called.by(way, spell));
    let name = ways
        .into_iter()
        .find(|name| !name.is_empty() && room > plate_width(name));
    let roomy = name.is_some();
    let by_hand = m.limb() == Limb::Hand;
    let turns = (roomy && !by_hand).then(|| turned(ring, next, y, m, naming));
    view! {
        <path class="ring-tail" d=tail fill=format!("url(#{pass}-{paint})")></path>
        {stop}
        {turns}
        {if by_hand { finger(ring, x, y) } else { plate(ring, x, y, name) }}
    }
}

/// The degrees a ringing string comes to, where there is room for them.
fn turned(ring: &Ring, next: Option<Beats>, y: f64, m: &Measure, naming: NamedBy) -> impl IntoView + use<> {
    let limit = m.x(next.unwrap_or(ring.end).min(ring.end)) - 4.0;
    let mut free = m.x(ring.at) + PLATE.0 / 2.0 + 4.0;
    let mut shown = Vec::new();
    for (at, called, _) in &ring.turns {
        let text = called.by(naming, spell);
        #[allow(clippy::cast_precision_loss)]
        let half = 3.2 * text.chars().count() as f64;
        let x = m.x(*at);
        if x - half >= free && x + half <= limit {
            free = x + half + 3.0;
            shown.push(view! { <text class="ring-turn" x=x y=y + 3.6>{text}</text> });
        }
    }
    shown
}

/// Which finger plucks, where the right hand is looked at alone.
fn finger(ring: &Ring, x: f64, y: f64) -> AnyView {
    view! { <text class="ring-finger" x=x y=y + 4.0>{Limb::letter(ring.finger)}</text> }.into_any()
}

/// How wide a plate with this name is.
#[allow(clippy::cast_precision_loss)]
fn plate_width(name: &str) -> f64 {
    (6.2 * name.chars().count() as f64 + 2.6).max(PLATE.0)
}

fn plate(ring: &Ring, x: f64, y: f64, name: Option<String>) -> AnyView {
    let role = format!("plate {}", ring.role.word());
    let Some(name) = name else {
        return view! { <path class="ring-mark" d=format!("M{x:.1} {:.1}v10", y - 5.0)></path> }.into_any();
    };
    let (wide, high) = (plate_width(&name), PLATE.1);
    let shape = if ring.harmonic {
        // Pointed at both ends, as a diamond notehead is.
        let (w, h) = (wide / 2.0, high / 2.0);
        format!(
            "M{:.1} {y:.1}l5 -{h:.1}h{:.1}l5 {h:.1}l-5 {h:.1}h-{:.1}Z",
            x - w - 3.0,
            2.0 * w - 4.0,
            2.0 * w - 4.0
        )
    } else {
        let (w, h) = (wide, high);
        format!(
            "M{:.1} {:.1}h{:.1}a2 2 0 0 1 2 2v{:.1}a2 2 0 0 1 -2 2h-{:.1}a2 2 0 0 1 -2 -2v-{:.1}a2 2 0 0 1 2 -2Z",
            x - w / 2.0 + 2.0,
            y - h / 2.0,
            w - 4.0,
            h - 4.0,
            w - 4.0,
            h - 4.0
        )
    };
    view! {
        <g class=role>
            <path d=shape></path>
            <text x=x y=y + 3.6>{name}</text>
        </g>
    }
    .into_any()
}
