//! A place of the neck as a small picture that sounds when it is tapped.

use super::plate::plate;
use crate::app::appearance::{NamedBy, Side};
use crate::app::lesson_view::{CardString, NeckCard, hold_of, picked_of};
use crate::sound::Score;
use crate::teach::lesson::NeckBlock;
use crate::ui::language::{notes, tell};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The picture's measures in its own units, which are CSS pixels where there is room.
const WIDE: f64 = 320.0;
const ROW: f64 = 16.0;
const TOP: f64 = 20.0;
const NAMES: f64 = 34.0;
/// A plate with a degree.
const PLATE: (f64, f64) = (24.0, 15.0);

/// A place with its chord and stance; a tap plucks it while `score`, a silent song, stands in the work's place.
#[component]
pub(in crate::ui) fn PlaceCard(block: NeckBlock, score: Arc<Score>) -> impl IntoView {
    let page = Page::here();
    let card = NeckCard::of(&block);
    let (strings, hold) = (picked_of(&block), hold_of(&block));
    let sound = move |_| {
        playing::lend(page, &score);
        playing::pluck(page, strings, &hold);
    };
    let chord = card.chord.clone().map(|(number, name)| {
        view! {
            <b>{number}</b>
            <span>{notes(name)}</span>
        }
    });
    let place = format!("{}, {}", tell(&card.fret), tell(&card.stance));
    let spoken = card.spoken.clone();
    let mirrored = Memo::new(move |_| page.desk.with(|d| d.side == Side::LeftHand));
    let naming = Memo::new(move |_| page.desk.with(|d| d.naming));
    view! {
        <button type="button" class="neck-card" on:click=sound>
            <span class="neck-card-head"><span class="unseen">{say!("Play ")}</span>{chord} <i>{place}</i></span>
            {move || view! { <Picture card=card.clone() mirrored=mirrored.get() naming /> }}
            <span class="unseen">{spoken}</span>
        </button>
    }
}

/// The strings and frets around the bar.
#[component]
fn Picture(card: NeckCard, mirrored: bool, #[prop(into)] naming: Signal<NamedBy>) -> impl IntoView {
    let side = |x: f64| if mirrored { WIDE - x } else { x };
    let x = |part: f64| side(NAMES + part * (WIDE - NAMES));
    let y = |row: usize| TOP + (rows(row) + 0.5) * ROW;
    let foot = TOP + rows(card.strings.len()) * ROW;
    let frets = card.frets.iter().map(|f| {
        let class = if f.number == 0 { "neck-nut" } else { "neck-fret" };
        let at = x(f.along);
        view! {
            <path class=class d=format!("M{at:.1} {TOP}V{foot:.1}")></path>
            {(f.number > 0).then(|| view! { <text class="neck-number" x=at y=TOP - 7.0>{f.number}</text> })}
        }
    });
    let bar = x(card.bar);
    let string = |(row, s): (usize, &CardString)| {
        let at = y(row);
        view! {
            <text class="neck-string-number" class:soft=!s.picked x=side(8.0) y=at + 4.0>{s.string.string.number()}</text>
            <text class="neck-string-name" x=side(24.0) y=at + 4.0>{notes(&s.string.name)}</text>
            <path class="neck-string" d=format!("M{} {at:.1}H{}", side(NAMES), side(WIDE)) stroke-width=if s.string.wound { "1.8" } else { "1" }></path>
        }
    };
    let plate_at = |(row, s): (usize, &CardString)| {
        let degree = s.degree.as_ref()?;
        let called = Signal::stored(degree.called.clone());
        Some(plate(degree.role, (bar, y(row)), PLATE, called, naming))
    };
    view! {
        <svg class="neck-picture" viewBox=format!("0 0 {WIDE} {:.0}", foot + 6.0) aria-hidden="true">
            {frets.collect_view()}
            {card.strings.iter().enumerate().map(string).collect_view()}
            <rect class="neck-picture-bar" x=bar - 5.0 y=TOP width="10" height=foot - TOP rx="5"></rect>
            {card.strings.iter().enumerate().filter_map(plate_at).collect_view()}
        </svg>
    }
}

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
fn rows(count: usize) -> f64 {
    count as f64
}
