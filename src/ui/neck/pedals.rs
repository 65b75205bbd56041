//! Pedals and knee levers where the body has them: levers above by knee, pedals in a row on the floor.

use crate::app::neck_view::Hold;
use crate::steel::{Change, ChangeId, Control, Instrument, Travel};
use crate::ui::language::tell;
use crate::ui::later::Later;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// A press shorter than this latches; a longer one lets go when the finger does.
const LATCH_WITHIN: f64 = 260.0;
/// How far a finger must slide up on the pedal to let it up half way, in CSS pixels.
const HALF_SLIDE: i32 = 16;

/// All changes of the instrument. Tap: down, then half, then up. Hold: down while held, half when the finger
/// slides up. Keys: the change's letter while the neck has the focus, with Shift half. Where it `latches`, what is
/// pressed stays so: a long press and a key do as a tap does.
#[component]
pub(in crate::ui) fn Pedals(
    instrument: Signal<Arc<Instrument>>,
    hold: Memo<Hold>,
    on_press: Callback<(ChangeId, Travel)>,
    latches: bool,
) -> impl IntoView {
    let keyed = move |event: &web_sys::KeyboardEvent| {
        let key = event.key();
        instrument.with_untracked(|i| {
            i.change_ids()
                .zip(&i.changes)
                .find(|(_, c)| c.name.eq_ignore_ascii_case(&key))
                .map(|(id, _)| id)
        })
    };
    let halves = move |id| instrument.with_untracked(|i| i.change(id).is_some_and(|c| c.half.is_some()));
    let on_neck = |event: &web_sys::KeyboardEvent| {
        let target = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        target.and_then(|t| t.closest(".neck").ok().flatten()).is_some() && !event.ctrl_key() && !event.meta_key()
    };
    let down = window_event_listener(leptos::ev::keydown, move |event| {
        if !event.repeat()
            && on_neck(&event)
            && let Some(id) = keyed(&event)
        {
            event.prevent_default();
            let travel = match hold.with_untracked(|h| h.travel(id)) {
                now if latches && !event.shift_key() => next(now, halves(id)),
                _ if event.shift_key() => Travel::HALF,
                _ => Travel::DOWN,
            };
            on_press.run((id, travel));
        }
    });
    let up = window_event_listener(leptos::ev::keyup, move |event| {
        if !latches
            && on_neck(&event)
            && let Some(id) = keyed(&event)
        {
            on_press.run((id, Travel::UP));
        }
    });
    on_cleanup(move || {
        down.remove();
        up.remove();
    });
    let of = move |wanted: fn(Control) -> bool| {
        instrument.with(|i| {
            let found = i.change_ids().zip(&i.changes).filter(|(_, c)| wanted(c.control));
            let mut found: Vec<_> = found.map(|(id, c)| (id, c.clone())).collect();
            found.sort_by_key(|(_, c)| order(c.control));
            found
                .into_iter()
                .map(|(id, c)| view! { <Pedal id change=c hold on_press latches /> })
                .collect_view()
        })
    };
    let left = |c: Control| {
        matches!(
            c,
            Control::LeftKneeLeft | Control::LeftKneeRight | Control::LeftKneeVertical
        )
    };
    let right = |c: Control| {
        matches!(
            c,
            Control::RightKneeLeft | Control::RightKneeRight | Control::RightKneeVertical
        )
    };
    view! {
        <div class="neck-limbs" hidden=move || instrument.with(|i| i.changes.is_empty())>
            <div class="knees">
                <div class="knee" role="group" aria-label=say!("Left knee")><Later>{move || of(left)}</Later></div>
                <div class="knee" role="group" aria-label=say!("Right knee")><Later>{move || of(right)}</Later></div>
            </div>
            <div class="floor" role="group" aria-label=say!("Pedals")><Later>{move || of(|c| matches!(c, Control::Pedal(_)))}</Later></div>
        </div>
    }
}

/// From left to right.
fn order(control: Control) -> u8 {
    match control {
        Control::Pedal(number) => number,
        Control::LeftKneeLeft | Control::RightKneeLeft => 0,
        Control::LeftKneeVertical | Control::RightKneeVertical => 1,
        Control::LeftKneeRight | Control::RightKneeRight => 2,
    }
}

/// Which way it goes, drawn and in words.
fn way(control: Control) -> (&'static str, String) {
    let arrow = match control {
        Control::Pedal(_) => "",
        Control::LeftKneeLeft | Control::RightKneeLeft => "M13 5 6 10l7 5z",
        Control::LeftKneeRight | Control::RightKneeRight => "M7 5l7 5-7 5z",
        Control::LeftKneeVertical | Control::RightKneeVertical => "M5 13l5-7 5 7z",
    };
    (arrow, tell(&crate::exchange::tab::control_words(control)))
}

#[component]
fn Pedal(
    id: ChangeId,
    change: Change,
    hold: Memo<Hold>,
    on_press: Callback<(ChangeId, Travel)>,
    latches: bool,
) -> impl IntoView {
    let travel = Memo::new(move |_| hold.with(|h| h.travel(id)));
    // On the neck itself everything may stand half way; where it latches, only what has a half.
    let halves = !latches || change.half.is_some();
    // Where and when the finger came down, and what was pressed then.
    let touch = StoredValue::new(None::<(f64, i32, Travel)>);
    let take = move |event: web_sys::PointerEvent| {
        touch.set_value(Some((event.time_stamp(), event.client_y(), travel.get_untracked())));
        if let Some(target) = event
            .current_target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
        {
            // A pointer that is gone already cannot be captured; nothing is lost then.
            drop(target.set_pointer_capture(event.pointer_id()));
        }
        if travel.get_untracked().0 < 0.25 {
            on_press.run((id, Travel::DOWN));
        }
    };
    let slide = move |event: web_sys::PointerEvent| {
        if let Some((_, from, before)) = touch.get_value() {
            let lifted = halves && from - event.client_y() > HALF_SLIDE;
            if before.0 < 0.25 {
                on_press.run((id, if lifted { Travel::HALF } else { Travel::DOWN }));
            }
        }
    };
    let leave = move |event: web_sys::PointerEvent| {
        let Some((from, low, before)) = touch.get_value() else {
            return;
        };
        touch.set_value(None);
        let lifted = halves && before.0 < 0.25 && low - event.client_y() > HALF_SLIDE;
        if latches && lifted {
            on_press.run((id, Travel::HALF));
        } else if latches || event.time_stamp() - from < LATCH_WITHIN {
            on_press.run((id, next(before, halves)));
        } else {
            on_press.run((id, Travel::UP));
        }
    };
    let key = move |event: web_sys::KeyboardEvent| {
        if matches!(event.key().as_str(), "Enter" | " ") {
            event.prevent_default();
            event.stop_propagation();
            on_press.run((id, next(travel.get_untracked(), halves)));
        }
    };
    let (arrow, place) = way(change.control);
    let pedal = matches!(change.control, Control::Pedal(_));
    // A lever that is called by its way needs no arrow.
    let arrowed = !pedal && change.name != change.control.to_string();
    let depth = move || match travel.get().0 {
        t if t >= 0.75 => "true",
        t if t >= 0.25 => "mixed",
        _ => "false",
    };
    view! {
        <button
            type="button"
            class="pedal"
            class:lever=!pedal
            aria-label=format!("{}, {place}", change.name)
            aria-pressed=depth
            title=place
            on:pointerdown=take
            on:pointermove=slide
            on:pointerup=leave
            on:pointercancel=move |_| {
                let before = touch.get_value().map_or(Travel::UP, |(_, _, before)| before);
                touch.set_value(None);
                on_press.run((id, if latches { before } else { Travel::UP }));
            }
            on:keydown=key
        >
            <span class="pedal-face" style:transform=move || format!("translateY({:.1}px)", travel.get().0 * 10.0)>
                {arrowed.then(|| view! { <svg width="20" height="20" aria-hidden="true"><path d=arrow></path></svg> })}
                <b>{change.name.clone()}</b>
            </span>
            <span class="pedal-depth" style:height=move || format!("{:.0}%", travel.get().0 * 100.0)></span>
        </button>
    }
}

/// What a tap makes of a change: down, half where there is a half, up.
fn next(travel: Travel, halves: bool) -> Travel {
    match travel.0 {
        t if t < 0.25 => Travel::DOWN,
        t if t >= 0.75 && halves => Travel::HALF,
        _ => Travel::UP,
    }
}
