//! How the instrument is tuned: the manner, its figures, and the sheet to tune by.

mod strings;
mod tables;

use crate::app::Command;
use crate::app::tuning::{ANCHOR, DROP, Manner, NEARNESS, Sheet, Tuning};
use crate::solo::{Sounded, sounded};
use crate::theory::{Cents, Limit};
use crate::ui::controls::Choice;
use crate::ui::language::{look, number};
use crate::ui::state::Page;
use leptos::prelude::*;
use std::ops::RangeInclusive;
use strings::Strings;
pub(in crate::ui) use tables::cents;
use tables::{Bar, Beats, Curve, Targets};

const LIMITS: [(Limit, &str); 2] = [
    (Limit::Five, key!("9/5, wide")),
    (Limit::Seven, key!("7/4, low and still")),
];

/// The tuning in hand, what the chosen pass sounds, and the sheet made of both.
#[derive(Clone, Copy)]
struct Bench {
    page: Page,
    tuning: Memo<Option<Tuning>>,
    heard: Memo<Vec<Sounded>>,
    drags: StoredValue<u64>,
}

impl Bench {
    /// Changes a wish; the targets are found anew.
    fn wish(self, change: impl FnOnce(&mut Tuning), run: Option<u64>) {
        let (Some(mut tuning), Some(instrument)) = (self.tuning.get_untracked(), self.page.instrument.get_untracked())
        else {
            return;
        };
        change(&mut tuning);
        let tuning = self.heard.with_untracked(|heard| tuning.found(&instrument, heard));
        self.page.act(Command::Tune {
            tuning: Box::new(tuning),
            run,
        });
    }

    /// A figure of the tuning, as a slider has it.
    fn figure(self, of: fn(&Tuning) -> f64) -> Signal<f64> {
        Signal::derive(move || self.tuning.with(|t| t.as_ref().map_or(0.0, of)))
    }
}

/// The whole section.
#[component]
pub(super) fn TuningDesk() -> impl IntoView {
    let page = Page::here();
    let tuning = Memo::new(move |_| {
        let instrument = page.instrument.get()?;
        Some(page.work.with(|w| w.rig.tuning(&instrument)))
    });
    let limit = Memo::new(move |_| tuning.with(|t| t.as_ref().map(|t| t.limit).unwrap_or_default()));
    let heard = Memo::new(move |_| {
        let (Some(shown), Some(song), Some(instrument)) = (page.chosen.get(), page.song.get(), page.instrument.get())
        else {
            return Vec::new();
        };
        sounded(&shown.performance, &instrument, &song, limit.get())
    });
    let bench = Bench {
        page,
        tuning,
        heard,
        drags: StoredValue::new(0),
    };
    let sheet = Memo::new(move |_| {
        let instrument = page.instrument.get()?;
        let tuning = tuning.get()?;
        Some(heard.with(|heard| Sheet::of(&instrument, &tuning, heard)))
    });
    view! {
        <section class="tuning" aria-labelledby="tuning-name">
            <div class="tuning-wishes">
                <h2 id="tuning-name">{say!("How it is tuned")}</h2>
                <Wishes bench=bench />
                <Curve sheet=sheet />
            </div>
            <div class="tuning-sheet">
                <Targets sheet=sheet />
                <p class="small soft">
                    {say!("Turn slowly and keep your face away from the strings: one can break while you tune. Glasses protect the eyes.")}
                </p>
                <Beats sheet=sheet />
                <Bar sheet=sheet />
                <Strings />
            </div>
        </section>
    }
}

/// What is asked of the tuning.
#[component]
fn Wishes(bench: Bench) -> impl IntoView {
    let manner = Signal::derive(move || bench.tuning.with(|t| t.as_ref().map_or(Manner::ALL[0], |t| t.manner)));
    let for_pass = move || manner.get() == Manner::ForPass;
    let limit = Signal::derive(move || bench.tuning.with(|t| t.as_ref().map(|t| t.limit).unwrap_or_default()));
    let nothing = move || for_pass() && bench.heard.with(Vec::is_empty);
    let words = |options: [(Limit, &str); 2]| options.map(|(limit, word)| (limit, word.to_owned())).to_vec();
    view! {
        <Choice
            name=say!("Tuned")
            options=Manner::ALL.map(|m| (m, look(m.name()).to_owned())).to_vec()
            value=manner
            on_change=move |manner| bench.wish(|t| t.manner = manner, None)
        />
        <p class="small soft">{move || look(manner.get().about())}</p>
        {move || nothing().then(|| view! {
            <p class="small">{say!("This pass sounds no two strings together yet. Draft one in Solo, then find the tuning again.")}</p>
        })}
        <Figure
            bench=bench
            name=say!("Home strings")
            unit=say!("cents")
            range=ANCHOR
            step=0.5
            value=bench.figure(|t| t.anchor.0)
            set=|t, cents| t.anchor = Cents(cents)
        />
        <Figure
            bench=bench
            name=say!("Body gives under A and B")
            unit=say!("cents")
            range=DROP
            step=0.5
            value=bench.figure(|t| t.drop.0)
            set=|t, cents| t.drop = Cents(cents)
        />
        {move || for_pass().then(|| view! {
            <Figure
                bench=bench
                name=say!("Near to the band")
                unit=""
                range=NEARNESS
                step=0.1
                value=bench.figure(|t| t.nearness)
                set=|t, nearness| t.nearness = nearness
            />
            <span class="slide-ends"><span>{say!("pure chords")}</span><span>{say!("equal steps")}</span></span>
            <Choice name=say!("Seventh of a seventh chord") options=words(LIMITS) value=limit on_change=move |limit| bench.wish(|t| t.limit = limit, None) />
            <button type="button" class="do slim" on:click=move |_| bench.wish(|_| (), None)>{say!("Find again for this pass")}</button>
        })}
    }
}

/// A slider with its figure.
#[component]
fn Figure(
    bench: Bench,
    name: &'static str,
    unit: &'static str,
    range: RangeInclusive<f64>,
    step: f64,
    value: Signal<f64>,
    set: fn(&mut Tuning, f64),
) -> impl IntoView {
    let moved = move |event: web_sys::Event| {
        if let Ok(figure) = event_target_value(&event).parse::<f64>() {
            bench.wish(|tuning| set(tuning, figure), Some(bench.drags.get_value()));
        }
    };
    view! {
        <label class="figure">
            <span class="line-up apart">
                <span class="label">{name}</span>
                <span>{move || figure(value.get(), unit)}</span>
            </span>
            <input
                type="range"
                class="slide"
                min=*range.start()
                max=*range.end()
                step=step
                prop:value=value
                on:input=moved
                on:change=move |_| bench.drags.update_value(|d| *d += 1)
            />
        </label>
    }
}

/// Cents with their sign; a figure without a unit plain.
fn figure(value: f64, unit: &str) -> String {
    if unit.is_empty() {
        number(format!("{value:.1}"))
    } else {
        format!("{} {unit}", cents(Cents(value)))
    }
}
