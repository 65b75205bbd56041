//! What pedals and levers do, one at a time.

use super::Workshop;
use crate::app::workshop::{Edit, controls};
use crate::steel::{Change, ChangeId, Control, Half, Instrument, StringNumber, Travel};
use crate::theory::Cents;
use crate::ui::controls::Stepper;
use leptos::prelude::*;

/// Half steps a pedal moves a string by at most, either way.
const MOST: i32 = 6;

/// The change in hand, what it does, and the way to one more.
#[component]
pub(super) fn Changes(workshop: Workshop) -> impl IntoView {
    let page = workshop.page;
    let wanted = RwSignal::new(0_usize);
    let names = Memo::new(move |_| {
        let names = |i: &Instrument| i.changes.iter().map(|c| c.name.clone()).collect::<Vec<_>>();
        page.instrument
            .with(|i| i.as_ref().map(|i| names(i)).unwrap_or_default())
    });
    let chosen = Memo::new(move |_| {
        let last = names.with(Vec::len).checked_sub(1)?;
        u8::try_from(wanted.get().min(last)).ok().map(ChangeId)
    });
    let add = move |_| {
        workshop.make(&Edit::AddChange);
        wanted.set(usize::MAX);
    };
    let options = move || {
        let is = chosen.get();
        let option = |(index, name): (usize, String)| {
            let mine = is.is_some_and(|id| id.index() == index);
            view! { <option value=index.to_string() selected=mine>{name}</option> }
        };
        names.get().into_iter().enumerate().map(option).collect_view()
    };
    let choose = move |event| {
        if let Ok(index) = event_target_value(&event).parse() {
            wanted.set(index);
        }
    };
    view! {
        <h3>{say!("Pedals and levers")}</h3>
        <label class="pick" hidden=move || names.with(Vec::is_empty)>
            {say!("In hand")}
            <select on:change=choose>{options}</select>
        </label>
        {move || chosen.get().map(|id| view! { <InHand workshop=workshop id=id /> })}
        <button type="button" class="do slim" on:click=add>{say!("Add a pedal or lever")}</button>
    }
}

#[component]
fn InHand(workshop: Workshop, id: ChangeId) -> impl IntoView {
    let page = workshop.page;
    let change = Memo::new(move |_| page.instrument.with(|i| i.as_ref().and_then(|i| i.change(id).cloned())));
    let name = move || change.with(|c| c.as_ref().map(|c| c.name.clone()));
    let count = Memo::new(move |_| page.instrument.with(|i| i.as_ref().map_or(0, |i| i.strings.len())));
    let works = move || {
        let is = change.with(|c| c.as_ref().map(|c| c.control));
        let option = |control: Control| {
            view! { <option value=control.to_string() selected=is == Some(control)>{control.to_string()}</option> }
        };
        controls().map(option).collect_view()
    };
    let work = move |event| {
        if let Ok(control) = event_target_value(&event).parse() {
            workshop.make(&Edit::Work { change: id, control });
        }
    };
    let rows = move || {
        (0..count.get())
            .filter_map(StringNumber::from_index)
            .map(|string| view! { <PullRow workshop=workshop change=change id=id string=string /> })
            .collect_view()
    };
    view! {
        <div class="workshop-whole">
            <label class="pick">
                {say!("Called")}
                <input
                    prop:value=name
                    on:change=move |event| workshop.make(&Edit::CallChange { change: id, name: event_target_value(&event) })
                />
            </label>
            <label class="pick">{say!("Worked by")}<select on:change=work>{works}</select></label>
            <HalfStop workshop=workshop change=change id=id />
        </div>
        <ul class="workshop-pulls" aria-label=say!("What it does to each string")>{rows}</ul>
        <button type="button" class="do slim" on:click=move |_| workshop.make(&Edit::RemoveChange(id))>
            {move || say!("Remove {name}", name = name().unwrap_or_default())}
        </button>
    }
}

/// How far the change moves one string, and on which part of its travel.
#[component]
fn PullRow(workshop: Workshop, change: Memo<Option<Change>>, id: ChangeId, string: StringNumber) -> impl IntoView {
    let pull = Memo::new(move |_| {
        let of = |c: &Change| c.pulls.iter().find(|p| p.string == string).copied();
        change.with(|c| c.as_ref().and_then(of))
    });
    #[allow(clippy::cast_possible_truncation, reason = "a pull is a few half steps")]
    let steps = Signal::derive(move || pull.get().map_or(0, |p| (p.by.0 / 100.0).round() as i32));
    let words = move || {
        let instrument = workshop.page.instrument.get()?;
        let open = instrument.strings.get(string.index())?.pitch.name;
        let to = crate::app::copedent::spelled(&instrument, open, f64::from(steps.get()));
        Some(if steps.get() == 0 {
            say!("{open} stays", open)
        } else {
            say!("{open} to {to}", open, to)
        })
    };
    let travel = move |from: f64, to: f64| Edit::Travel {
        change: id,
        string,
        from: Travel(from / 100.0),
        to: Travel(to / 100.0),
    };
    let percent = |travel: Travel| (travel.0 * 100.0).round();
    let begins = Signal::derive(move || pull.get().map_or(0.0, |p| percent(p.from)));
    let ends = Signal::derive(move || pull.get().map_or(100.0, |p| percent(p.to)));
    let set = move |text: String, begin: bool| match text.trim().trim_end_matches('%').parse::<f64>() {
        Ok(figure) if begin => workshop.make(&travel(figure, ends.get_untracked())),
        Ok(figure) => workshop.make(&travel(begins.get_untracked(), figure)),
        Err(_) => workshop.complain(say!("\"{text}\" is no part of the travel: write 0 to 100.", text)),
    };
    view! {
        <li>
            <Stepper
                name=say!("String {string}", string)
                value=steps
                least=-MOST
                most=MOST
                step=1
                unit=""
                on_change=move |steps| workshop.make(&Edit::Pull { change: id, string, by: Cents(f64::from(steps) * 100.0) })
            />
            <span class="small soft">{words}</span>
            <label class="small" hidden=move || pull.with(Option::is_none)>
                {say!("from ")}
                <input
                    inputmode="numeric"
                    aria-label=say!("String {string} begins to move at, per cent of the travel", string)
                    prop:value=move || begins.get().to_string()
                    on:change=move |event| set(event_target_value(&event), true)
                />
                {say!(" to ")}
                <input
                    inputmode="numeric"
                    aria-label=say!("String {string} has arrived at, per cent of the travel", string)
                    prop:value=move || ends.get().to_string()
                    on:change=move |event| set(event_target_value(&event), false)
                />
                " %"
            </label>
        </li>
    }
}

/// Where the change can be held on its way.
#[component]
fn HalfStop(workshop: Workshop, change: Memo<Option<Change>>, id: ChangeId) -> impl IntoView {
    let half = Memo::new(move |_| change.with(|c| c.as_ref().and_then(|c| c.half)));
    let at = move || half.get().map_or(0.5, |h| h.travel().0);
    let put = move |half| workshop.make(&Edit::Half { change: id, half });
    let kind = move |event| {
        put(match event_target_value(&event).as_str() {
            "stop" => Some(Half::Stop(Travel(at()))),
            "ear" => Some(Half::ByEar(Travel(at()))),
            _ => None,
        });
    };
    let place = move |text: String| {
        let Ok(percent) = text.trim().trim_end_matches('%').parse::<f64>() else {
            return workshop.complain(say!("\"{text}\" is no part of the travel: write 5 to 95.", text));
        };
        let travel = Travel(percent / 100.0);
        put(half.get_untracked().map(|half| match half {
            Half::Stop(_) => Half::Stop(travel),
            Half::ByEar(_) => Half::ByEar(travel),
        }));
    };
    let is = move |wanted: fn(Option<Half>) -> bool| wanted(half.get());
    view! {
        <label class="pick">
            {say!("Half way")}
            <select on:change=kind>
                <option value="" prop:selected=move || is(|h| h.is_none())>{say!("no half stop")}</option>
                <option value="stop" prop:selected=move || is(|h| matches!(h, Some(Half::Stop(_))))>{say!("a stop that is felt")}</option>
                <option value="ear" prop:selected=move || is(|h| matches!(h, Some(Half::ByEar(_))))>{say!("found by ear")}</option>
            </select>
        </label>
        <label class="pick" hidden=move || half.with(Option::is_none)>
            {say!("at, % of the travel")}
            <input
                inputmode="numeric"
                prop:value=move || (at() * 100.0).round().to_string()
                on:change=move |event| place(event_target_value(&event))
            />
        </label>
    }
}
