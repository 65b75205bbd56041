//! The sheet to tune by: targets by string, beats by chord, the bar's places, and the trade-off as a curve.

use crate::app::tuning::{BarLine, PullLine, Sheet, StringLine, TradeOff};
use crate::steel::temper::Scheme;
use crate::theory::Cents;
use crate::ui::language::{look, notes, number};
use leptos::prelude::*;

type Shown = Memo<Option<Sheet>>;

/// Cents with their sign, to a tenth.
pub(in crate::ui) fn cents(target: Cents) -> String {
    // A plain zero carries no sign.
    let rounded = (target.0 * 10.0).round() / 10.0;
    if rounded == 0.0 {
        "0".to_owned()
    } else {
        number(format!("{rounded:+.1}"))
    }
}

/// What a tuner is to show.
#[component]
pub(super) fn Targets(sheet: Shown) -> impl IntoView {
    let rows = move || {
        sheet
            .get()
            .map(|s| s.strings.into_iter().map(target_row).collect_view())
    };
    view! {
        <table class="tuning-targets">
            <caption>{say!("What a tuner is to show, in cents off its own note; in bold what this pass sounds")}</caption>
            <thead>
                <tr><th scope="col">{say!("String")}</th><th scope="col">{say!("Open¦strings without the bar")}</th><th scope="col">{say!("Pressed")}</th></tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
}

fn target_row(line: StringLine) -> impl IntoView {
    let pulls = line.pulls.into_iter().map(pull).collect_view();
    view! {
        <tr>
            <th scope="row"><span class="soft fine">{line.string.number()}</span>" "<b>{notes(line.note)}</b></th>
            <td class:unheard=!line.heard>
                <b>{cents(line.target)}</b>
                {line.home.then(|| view! { <span class="fine soft">{say!(" home")}</span> })}
            </td>
            <td><ul class="tuning-pulls">{pulls}</ul></td>
        </tr>
    }
}

fn pull(line: PullLine) -> impl IntoView {
    view! {
        <li class:unheard=!line.heard>
            <span class="soft">{line.change}</span>" "{notes(line.note)}" "<b>{cents(line.target)}</b>
        </li>
    }
}

/// How fast each chord beats.
#[component]
pub(super) fn Beats(sheet: Shown) -> impl IntoView {
    let rows = move || {
        let lines = sheet
            .with(|s| s.as_ref().map(|s| s.beats.clone()))
            .filter(|b| !b.is_empty())?;
        let row = |line: crate::app::tuning::BeatLine| {
            let schemes = line
                .schemes
                .map(|rate| view! { <td>{number(format!("{rate:.1}"))}</td> })
                .collect_view();
            view! { <tr><th scope="row">{line.number}</th><td><b>{number(format!("{:.1}", line.here))}</b></td>{schemes}</tr> }
        };
        let heads = Scheme::ALL
            .map(|s| view! { <th scope="col">{look(s.name())}</th> })
            .collect_view();
        Some(view! {
            <table class="tuning-beats">
                <caption>{say!("Beats a second that remain in each chord of this pass")}</caption>
                <thead><tr><th scope="col">{say!("Chord")}</th><th scope="col">{say!("Yours")}</th>{heads}</tr></thead>
                <tbody>{lines.into_iter().map(row).collect_view()}</tbody>
            </table>
        })
    };
    view! { {rows} }
}

/// Where the bar must sit.
#[component]
pub(super) fn Bar(sheet: Shown) -> impl IntoView {
    let rows = move || {
        let lines = sheet
            .with(|s| s.as_ref().map(|s| s.bar.clone()))
            .filter(|b| !b.is_empty())?;
        Some(view! {
            <table class="tuning-bar">
                <caption>{say!("Where the bar must sit to be at one with the band")}</caption>
                <thead>
                    <tr><th scope="col">{say!("Chord")}</th><th scope="col">{say!("Fret")}</th><th scope="col">{say!("Off the line")}</th><th scope="col">{say!("Strings differ")}</th></tr>
                </thead>
                <tbody>{lines.into_iter().map(bar_row).collect_view()}</tbody>
            </table>
        })
    };
    view! { {rows} }
}

fn bar_row(line: BarLine) -> impl IntoView {
    let towards = if line.off.0 >= 0.0 { say!("up") } else { say!("down") };
    let off = if line.off.0.abs() < 0.05 {
        say!("on it").to_owned()
    } else {
        say!(
            "{off} mm {towards}, {cents} cents",
            off = number(format!("{:.1}", line.off.0.abs())),
            towards,
            cents = cents(line.cents)
        )
    };
    let pressed = line.pressed.join(" ");
    let differ = if line.spread.0 < 0.05 {
        say!("at one").to_owned()
    } else {
        let ((low, under), (high, over)) = (line.lowest, line.highest);
        say!(
            "{spread} cents: string {low} asks {under}, string {high} {over}",
            spread = number(format!("{:.1}", line.spread.0)),
            low,
            under = cents(under),
            high,
            over = cents(over)
        )
    };
    view! {
        <tr>
            <th scope="row">{line.number}</th>
            <td><b>{line.fret}</b>" "<span class="fine soft">{pressed}</span></td>
            <td>{off}</td>
            <td>{differ}</td>
        </tr>
    }
}

/// The curve's frame, in its own units.
const WIDE: f64 = 280.0;
const HIGH: f64 = 120.0;
/// The most cents drawn either way.
const MOST: f64 = 20.0;

fn point(at: TradeOff) -> (f64, f64) {
    let along = |cents: Cents, length: f64| (cents.0 / MOST).clamp(0.0, 1.0) * length;
    (along(at.departure, WIDE), HIGH - along(at.impurity, HIGH))
}

/// Purity against nearness.
#[component]
pub(super) fn Curve(sheet: Shown) -> impl IntoView {
    let drawn = move || {
        let (here, curve) = sheet.with(|s| s.as_ref().map(|s| (s.here, s.curve.clone())))?;
        if curve.is_empty() {
            return None;
        }
        let path: Vec<String> = curve
            .iter()
            .map(|at| point(*at))
            .map(|(x, y)| format!("{x:.1},{y:.1}"))
            .collect();
        let (x, y) = point(here);
        let words = say!(
            "Chords are {impurity} cents from pure, tones {departure} cents from equal steps.",
            impurity = number(format!("{:.1}", here.impurity.0)),
            departure = number(format!("{:.1}", here.departure.0))
        );
        Some(view! {
            <figure class="tuning-curve">
                <svg viewBox="-8 -8 296 136" role="img" aria-label=words.clone()>
                    <path class="axis" d="M0 0V120H280" />
                    <polyline points=path.join(" ") />
                    <circle cx=x cy=y r="6" />
                </svg>
                <figcaption class="small">{words}" "<span class="soft">{say!("Up: chords beat more. Right: further from equal steps. The line is the best that can be had.")}</span></figcaption>
            </figure>
        })
    };
    view! { {drawn} }
}
