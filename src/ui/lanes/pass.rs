//! A pass in the lanes, written by hand: the bar's path, pedals and levers, plucks and how long they ring.

use super::measure::Measure;
use super::window::{may_ring, points, shows};
use crate::app::appearance::NamedBy;
use crate::app::lanes_view::{Fate, LanesView, Ribbon, Ring, StringRow, Stroke};
use crate::app::rehearsal::Limb;
use crate::steel::{Fret, Travel};
use crate::theory::Beats;
use crate::ui::drawn::{group, path, text};
use crate::ui::language::spell;
use leptos::prelude::*;
use leptos::svg::G;
use std::fmt::Write;
use std::ops::Range;
use std::sync::Arc;
use wasm_bindgen::JsValue;
use web_sys::Element;

/// The size of a plate: where two plucks stand closer, the figure is left out.
const PLATE: (f64, f64) = (15.0, 13.0);

/// One performance.
#[component]
pub(super) fn Pass(
    #[prop(into)] lanes: Signal<Arc<LanesView>>,
    measure: Memo<Measure>,
    window: Memo<Range<Beats>>,
    second: bool,
    naming: Memo<NamedBy>,
) -> impl IntoView {
    let name = pass_name(second);
    let sheet = NodeRef::<G>::new();
    Effect::new(move |drawn: Option<Option<Drawn>>| {
        let into = sheet.get()?;
        let shown = Shown {
            lanes: lanes.get(),
            measure: measure.get(),
            window: window.get(),
            naming: naming.get(),
            second,
        };
        // What the browser refuses to draw is drawn anew with the next change.
        Drawn::show(drawn.flatten(), &into, shown).ok()
    });
    view! {
        <g class=name aria-hidden="true">
            <defs inner_html=gradients(name)></defs>
            <g node_ref=sheet></g>
        </g>
    }
}

/// What a pass is called in the style sheet.
fn pass_name(second: bool) -> &'static str {
    if second { "lanes-other" } else { "lanes-pass" }
}

/// What is to be seen.
struct Shown {
    lanes: Arc<LanesView>,
    measure: Measure,
    window: Range<Beats>,
    naming: NamedBy,
    /// Whether it lies behind another pass.
    second: bool,
}

impl Shown {
    /// Whether what both have alike stands at the same place and is called the same.
    fn is_laid_like(&self, other: &Self) -> bool {
        self.measure == other.measure && self.window == other.window && self.naming == other.naming
    }
}

/// What is seen, in three layers: path and ribbons, each string's plucks, the frets of the path.
struct Drawn {
    shown: Shown,
    below: Element,
    rows: Vec<Element>,
    above: Element,
}

impl Drawn {
    /// Draws what is to be seen; of what has been drawn before, the strings stay on which nothing has changed.
    fn show(before: Option<Self>, into: &Element, shown: Shown) -> Result<Self, JsValue> {
        let before = before.filter(|before| before.shown.is_laid_like(&shown));
        let written = before.as_ref().map(|before| Arc::clone(&before.shown.lanes));
        let drawn = match before {
            Some(before) => Self { shown, ..before },
            None => {
                into.set_text_content(None);
                let below = group(into, "")?;
                let rows = (0..shown.measure.rows())
                    .map(|_| group(into, ""))
                    .collect::<Result<_, _>>()?;
                let above = group(into, "")?;
                Self {
                    shown,
                    below,
                    rows,
                    above,
                }
            }
        };
        drawn.draw_path()?;
        for (index, (row, into)) in drawn.shown.lanes.rows.iter().zip(&drawn.rows).enumerate() {
            let before = written.as_ref().and_then(|lanes| lanes.rows.get(index));
            if before != Some(row) {
                drawn.draw_row(into, index, row)?;
            }
        }
        Ok(drawn)
    }

    fn draw_path(&self) -> Result<(), JsValue> {
        let (
            Shown {
                lanes,
                measure: m,
                window,
                second,
                ..
            },
            below,
        ) = (&self.shown, &self.below);
        below.set_text_content(None);
        self.above.set_text_content(None);
        // Where the path is not looked at its lines stay, and are empty.
        let drawn = |strokes| if m.has_path() { strokes } else { &[][..] };
        let (along, near) = (drawn(&lanes.path[..]), drawn(&lanes.near[..]));
        if !second {
            path(below, "path-shade", &shade(along, window, m))?;
        }
        path(below, "path-silent", &strokes(along, false, window, m))?;
        path(below, "path-sounding", &strokes(along, true, window, m))?;
        path(below, "path-sounding", &strokes(near, true, window, m))?;
        if *second {
            return Ok(());
        }
        for (index, ribbon) in lanes.ribbons.iter().take(m.ribbons()).enumerate() {
            let (area, edge) = ribbon_paths(index, ribbon, window, m);
            path(below, "ribbon", &area)?;
            path(below, "ribbon-edge", &edge)?;
        }
        if m.has_path() {
            draw_labels(&self.above, lanes, window, m)?;
        }
        Ok(())
    }

    fn draw_row(&self, into: &Element, index: usize, row: &StringRow) -> Result<(), JsValue> {
        into.set_text_content(None);
        for (n, ring) in row.rings.iter().enumerate() {
            if may_ring(&self.shown.window, ring.at) {
                let next = row.rings.get(n + 1).map(|next| next.at);
                draw_ring(into, ring, next, self.shown.measure.row(index), &self.shown)?;
            }
        }
        Ok(())
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

fn draw_labels(into: &Element, lanes: &LanesView, window: &Range<Beats>, m: &Measure) -> Result<(), JsValue> {
    for label in lanes.labels(m.beats(22.0)) {
        if shows(window, label.at, label.at) {
            let y = (m.fret(Fret(label.fret.0)) - 8.0).max(m.head() + 10.0);
            text(into, "path-fret", (m.x(label.at) + 2.0, y), &label.text)?;
        }
    }
    Ok(())
}

/// How far a pedal or lever is pressed over time: the area and its edge.
fn ribbon_paths(index: usize, ribbon: &Ribbon, window: &Range<Beats>, m: &Measure) -> (String, String) {
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
    (area, edge)
}

/// A pluck: its tail, how it ends, and its plate.
fn draw_ring(into: &Element, ring: &Ring, next: Option<Beats>, y: f64, shown: &Shown) -> Result<(), JsValue> {
    let (m, naming) = (&shown.measure, shown.naming);
    let (x, end) = (m.x(ring.at), m.x(ring.end));
    let tail = path(into, "ring-tail", &tail(ring, y, m))?;
    let fades = match ring.fate {
        Fate::Dies => "dies",
        Fate::Stopped | Fate::Replaced => "cut",
    };
    tail.set_attribute("fill", &format!("url(#{}-{fades})", pass_name(shown.second)))?;
    if ring.fate == Fate::Stopped {
        path(into, "ring-stop", &format!("M{end:.1} {:.1}v9", y - 4.5))?;
    }
    if m.limb() == Limb::Hand {
        // Which finger plucks, where the right hand is looked at alone.
        text(into, "ring-finger", (x, y + 4.0), Limb::letter(ring.finger))?;
        return Ok(());
    }
    let room = next.map_or(f64::INFINITY, |n| m.x(n) - x);
    // Both names where they have room, else the number alone.
    let ways = [naming, NamedBy::Numbers].map(|way| ring.called.by(way, spell));
    let name = ways
        .into_iter()
        .find(|name| !name.is_empty() && room > plate_width(name));
    match name {
        Some(name) => {
            draw_turns(into, ring, next, y, shown)?;
            draw_plate(into, ring, (x, y), &name)
        }
        None => path(into, "ring-mark", &format!("M{x:.1} {:.1}v10", y - 5.0)).map(drop),
    }
}

/// How a string sounds on: the thinner, the softer.
fn tail(ring: &Ring, y: f64, m: &Measure) -> String {
    let (x, end) = (m.x(ring.at), m.x(ring.end));
    let thick = 2.0 + 4.0 * ring.strength.clamp(0.0, 1.0);
    let last = match ring.fate {
        Fate::Dies => 0.3,
        Fate::Stopped | Fate::Replaced => thick * 0.3,
    };
    format!(
        "M{x:.1} {a:.2}L{end:.1} {b:.2}V{c:.2}L{x:.1} {d:.2}Z",
        a = y - thick / 2.0,
        b = y - last / 2.0,
        c = y + last / 2.0,
        d = y + thick / 2.0
    )
}

/// The degrees a ringing string comes to, where there is room for them.
fn draw_turns(into: &Element, ring: &Ring, next: Option<Beats>, y: f64, shown: &Shown) -> Result<(), JsValue> {
    let m = &shown.measure;
    let limit = m.x(next.unwrap_or(ring.end).min(ring.end)) - 4.0;
    let mut free = m.x(ring.at) + PLATE.0 / 2.0 + 4.0;
    for (at, called, _) in &ring.turns {
        let name = called.by(shown.naming, spell);
        #[allow(clippy::cast_precision_loss)]
        let half = 3.2 * name.chars().count() as f64;
        let x = m.x(*at);
        if x - half >= free && x + half <= limit {
            free = x + half + 3.0;
            text(into, "ring-turn", (x, y + 3.6), &name)?;
        }
    }
    Ok(())
}

/// How wide a plate with this name is.
#[allow(clippy::cast_precision_loss)]
fn plate_width(name: &str) -> f64 {
    (6.2 * name.chars().count() as f64 + 2.6).max(PLATE.0)
}

fn draw_plate(into: &Element, ring: &Ring, (x, y): (f64, f64), name: &str) -> Result<(), JsValue> {
    let (w, h) = (plate_width(name), PLATE.1);
    let shape = if ring.harmonic {
        // Pointed at both ends, as a diamond notehead is.
        let (w, h) = (w / 2.0, h / 2.0);
        format!(
            "M{:.1} {y:.1}l5 -{h:.1}h{:.1}l5 {h:.1}l-5 {h:.1}h-{:.1}Z",
            x - w - 3.0,
            2.0 * w - 4.0,
            2.0 * w - 4.0
        )
    } else {
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
    let plate = group(into, &format!("plate {}", ring.role.word()))?;
    path(&plate, "", &shape)?;
    text(&plate, "", (x, y + 3.6), name).map(drop)
}
