//! A place on the neck in a lesson: a small picture that sounds, and the whole neck to try it on.

use super::lesson::Tried;
use crate::app::lesson_view::{CardString, Example, NeckCard, hold_of, picked_of, span_of, still};
use crate::app::neck_view::Hold;
use crate::sound::LiveEvent;
use crate::steel::{Instrument, StringSet};
use crate::teach::lesson::NeckBlock;
use crate::theory::ChordSpan;
use crate::ui::NeckView;
use crate::ui::neck::plate;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// How long what was plucked is shown as sounding.
const RINGS_FOR: Duration = Duration::from_secs(3);
/// The picture's measures in its own units, which are CSS pixels where there is room.
const WIDE: f64 = 320.0;
const ROW: f64 = 16.0;
const TOP: f64 = 20.0;
const NAMES: f64 = 34.0;
/// A plate with a degree.
const PLATE: (f64, f64) = (24.0, 15.0);

/// The picture of a place with its chord, stance and caption.
#[component]
pub(super) fn NeckLive(block: NeckBlock) -> impl IntoView {
    let page = Page::here();
    let tried = Tried::here();
    let mine = tried.ticket();
    let card = NeckCard::of(&block);
    let silent = Example::silent(still(span_of(&block).as_ref()), block.instrument.clone());
    let (strings, hold) = (picked_of(&block), hold_of(&block));
    let sound = {
        let (score, hold) = (silent.score.clone(), hold.clone());
        move |_| {
            playing::lend(page, &score);
            playing::pluck(page, strings, &hold);
        }
    };
    let chord = card.chord.clone().map(|(number, name)| {
        view! {
            <b>{number}</b>
            <span>{name}</span>
        }
    });
    let place = format!("{}, {}", card.fret, card.stance);
    let spoken = card.spoken.clone();
    let caption = block.caption.clone();
    let open = move || tried.is(mine);
    let (span, instrument) = (span_of(&block), Arc::clone(&silent.instrument));
    view! {
        <figure class="live live-neck">
            <button type="button" class="neck-card" on:click=sound>
                <span class="neck-card-head"><span class="unseen">"Play "</span>{chord} <i>{place}</i></span>
                <Picture card />
                <span class="unseen">{spoken}</span>
            </button>
            {caption.map(|words| view! { <figcaption>{words}</figcaption> })}
            <button
                type="button"
                class="do slim"
                aria-expanded=move || if open() { "true" } else { "false" }
                on:click=move |_| tried.turn(mine)
            >
                {move || if open() { "Close the neck" } else { "Try it on the neck" }}
            </button>
            {move || {
                open()
                    .then(|| {
                        view! {
                            <TryNeck
                                instrument=instrument.clone()
                                span
                                hold=hold.clone()
                                silent=silent.clone()
                            />
                        }
                    })
            }}
        </figure>
    }
}

/// The strings and frets around the bar.
#[component]
fn Picture(card: NeckCard) -> impl IntoView {
    let x = |part: f64| NAMES + part * (WIDE - NAMES);
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
            <text class="neck-string-number" class:soft=!s.picked x="8" y=at + 4.0>{s.string.string.number()}</text>
            <text class="neck-string-name" x="24" y=at + 4.0>{s.string.name.clone()}</text>
            <path class="neck-string" d=format!("M{NAMES} {at:.1}H{WIDE}") stroke-width=if s.string.wound { "1.8" } else { "1" }></path>
        }
    };
    let plate_at = |(row, s): (usize, &CardString)| {
        let degree = s.degree.as_ref()?;
        let figure = Signal::stored(degree.figure.clone());
        Some(plate(degree.role, (bar, y(row)), PLATE, figure))
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

/// The whole neck, to be tried from the place that was shown.
#[component]
fn TryNeck(instrument: Arc<Instrument>, span: Option<ChordSpan>, hold: Hold, silent: Example) -> impl IntoView {
    let page = Page::here();
    let hold = RwSignal::new(hold);
    let ringing = RwSignal::new(StringSet::EMPTY);
    let turn = StoredValue::new(0_u32);
    let score = silent.score.clone();
    let pluck = move |strings| {
        turn.update_value(|t| *t += 1);
        ringing.set(strings);
        let mine = turn.get_value();
        set_timeout(
            move || {
                if turn.try_get_value() == Some(mine) {
                    ringing.set(StringSet::EMPTY);
                }
            },
            RINGS_FOR,
        );
        playing::lend(page, &score);
        playing::pluck(page, strings, &hold.get_untracked());
    };
    view! {
        <NeckView
            instrument=Signal::stored(instrument)
            span=Signal::stored(span)
            hold
            ringing
            on_bar=move |bar| {
                hold.update(|h| h.bar = bar);
                playing::bend(page, LiveEvent::Bar { fret: bar });
            }
            on_press=move |(change, travel)| {
                hold.update(|h| *h = h.clone().with(change, travel));
                playing::bend(page, LiveEvent::Press { change, travel });
            }
            on_pluck=pluck
        />
    }
}

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
fn rows(count: usize) -> f64 {
    count as f64
}
