//! One take: its name and picture, and what can be done with it.

use super::Studio;
use crate::app::delivery::Played;
use crate::app::takes::{FURTHEST, Take, TakeId};
use crate::theory::Seconds;
use crate::ui::controls::Stepper;
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::number;
use leptos::prelude::*;
use std::fmt::Write;
use std::sync::Arc;

/// The picture's height, its wave's middle at half of it.
const HEIGHT: f64 = 40.0;

/// The row.
#[component]
pub(super) fn Row(studio: Studio, id: TakeId) -> impl IntoView {
    let take = Memo::new(move |before: Option<&Option<Arc<Take>>>| {
        let now = studio.takes.with(|takes| takes.get(id).cloned());
        // One that is going away is drawn for the last time as it was.
        now.or_else(|| before.cloned().flatten())
    });
    let starred = Memo::new(move |_| take.with(|t| t.as_ref().is_some_and(|t| t.starred)));
    let name = Memo::new(move |_| take.with(|t| t.as_ref().map(|t| t.name.clone()).unwrap_or_default()));
    let star = move |_| studio.change(None, |takes| takes.amend(id, |take| take.starred = !take.starred));
    let sign = move || if starred.get() { Sign::Star } else { Sign::NoStar };
    view! {
        <li class="take-row">
            <div class="take-head">
                <button
                    type="button"
                    class="tool"
                    aria-pressed=move || starred.get().to_string()
                    aria-label=move || say!("Star {name}", name = name.get())
                    on:click=star
                >
                    <Icon sign=Signal::derive(sign) />
                </button>
                <label class="pick">
                    <span class="unseen">{say!("The take's name")}</span>
                    <input
                        type="text"
                        maxlength="60"
                        prop:value=name
                        on:change=move |event| studio.change(None, |takes| takes.rename(id, &event_target_value(&event)))
                    />
                </label>
                <span class="small soft">{move || take.with(|t| t.as_ref().map(|t| played(t)))}</span>
            </div>
            {move || take.get().map(|take| view! { <Picture take /> })}
            <Remarks studio id take />
            <details class="take-more">
                <summary class="small">{move || say!("Trim or move {name}", name = name.get())}</summary>
                <Trim studio id take />
            </details>
            <div class="line-up">
                <button type="button" class="do slim" aria-label=move || say!("Use in all its bars: {name}", name = name.get()) on:click=move |_| use_all(studio, id)>
                    {say!("Use in all its bars")}
                </button>
                <button type="button" class="do slim" aria-label=move || say!("Save as WAV: {name}", name = name.get()) on:click=move |_| studio.save(Played::Take(id))>
                    {say!("Save as WAV")}
                </button>
                <button type="button" class="do slim" aria-label=move || say!("Discard: {name}", name = name.get()) on:click=move |_| discard(studio, id)>
                    {say!("Discard")}
                </button>
            </div>
        </li>
    }
}

fn use_all(studio: Studio, id: TakeId) {
    if let Some((song, pace)) = untrack(|| studio.song()) {
        studio.change(None, |takes| takes.choose_all(id, &song, &pace));
    }
}

fn discard(studio: Studio, id: TakeId) {
    let name = untrack(|| super::bars::name(studio, id));
    studio.change(None, |takes| takes.discard(id));
    studio.page.say(say!("{name} is discarded. Undo brings it back.", name));
}

/// Which bars and how long.
fn played(take: &Take) -> String {
    say!(
        "bars {from} to {to}, {seconds} s",
        from = take.bars.from + 1,
        to = take.bars.to + 1,
        seconds = number(format!("{:.1}", take.source().to.0 - take.source().from.0))
    )
}

/// The wave, what is cut off drawn faint.
#[component]
fn Picture(take: Arc<Take>) -> impl IntoView {
    let mut path = String::new();
    let mut x = 0.0_f64;
    for peak in &take.peaks {
        let half = (f64::from(*peak) / 255.0 * HEIGHT / 2.0).max(0.5);
        // Writing to a string cannot fail.
        let _ = write!(path, "M{x} {:.1}v{:.1}", HEIGHT / 2.0 - half, 2.0 * half);
        x += 1.0;
    }
    let whole = x.max(1.0);
    let place = |time: Seconds| whole * (time.0 / take.length().0.max(0.001));
    let (from, to) = (place(take.from_start), whole - place(take.from_end));
    view! {
        <svg class="take-picture" viewBox=format!("-0.5 0 {whole} {HEIGHT}") preserveAspectRatio="none" aria-hidden="true">
            <path d=path></path>
            <rect x="-0.5" y="0" width=format!("{from:.1}") height=HEIGHT></rect>
            <rect x=format!("{:.1}", to - 0.5) y="0" width=format!("{:.1}", (whole - to).max(0.0)) height=HEIGHT></rect>
        </svg>
    }
}

/// What is to be said about it.
#[component]
fn Remarks(studio: Studio, id: TakeId, take: Memo<Option<Arc<Take>>>) -> impl IntoView {
    let page = studio.page;
    let words = move || {
        let take = take.get()?;
        let tempo = page.song.with(|song| song.as_ref().map(|song| song.tempo));
        let mut words: Vec<String> = Vec::new();
        if studio.missing.with(|missing| missing.contains(&id)) {
            words.push(say!("Its sound is not on this device: it is silent.").to_owned());
        }
        if tempo.is_some_and(|tempo| tempo != take.tempo) {
            words.push(say!(
                "It was played at {tempo} beats a minute, and the song is at another tempo now: it does not fit.",
                tempo = format!("{:.0}", take.tempo.0)
            ));
        }
        if take.clipped {
            words.push(say!("It was too loud in places: the wave is cut off.").to_owned());
        }
        if take.delay.is_none() {
            words.push(say!("The delay was not measured when it was played: it may lie late.").to_owned());
        }
        (!words.is_empty()).then(|| view! { <p class="small soft">{words.join(" ")}</p> })
    };
    let known = Memo::new(move |_| page.desk.with(|d| d.delay));
    let late = move || {
        let delay = known.get()?;
        take.with(|t| t.as_ref().is_some_and(|t| t.delay.is_none()))
            .then(|| view! {
                <button type="button" class="do slim" on:click=move |_| studio.change(None, |takes| takes.amend(id, |take| take.delay = Some(delay)))>
                    {say!("Lay it {delay} ms earlier, as is measured now", delay = format!("{:.0}", 1000.0 * delay.0))}
                </button>
            })
    };
    view! {
        {words}
        {late}
    }
}

/// What is cut off, and moving it against the song.
#[component]
fn Trim(studio: Studio, id: TakeId, take: Memo<Option<Arc<Take>>>) -> impl IntoView {
    let run = StoredValue::new(0_u64);
    let read = move |of: fn(&Take) -> Seconds| take.with(|t| t.as_ref().map_or(Seconds::default(), |t| of(t)));
    let trim = move |from_start: Seconds, from_end: Seconds| {
        let run = run.get_value();
        studio.change(Some(run), |takes| {
            takes.amend(id, |take| take.trim(from_start, from_end))
        });
    };
    let over = move |_| run.update_value(|run| *run += 1);
    let slider = move |name: &'static str, of: fn(&Take) -> Seconds, set: Callback<Seconds>| {
        view! {
            <label class="take-slide">
                <span class="small">{move || format!("{name}: {} s", number(format!("{:.1}", read(of).0)))}</span>
                <input
                    type="range"
                    class="slide"
                    min="0"
                    step="0.1"
                    max=move || format!("{:.1}", read(Take::length).0)
                    prop:value=move || format!("{:.1}", read(of).0)
                    on:input=move |event| {
                        if let Ok(time) = event_target_value(&event).parse() {
                            set.run(Seconds(time));
                        }
                    }
                    on:change=over
                />
            </label>
        }
    };
    let from_start = |take: &Take| take.from_start;
    let from_end = |take: &Take| take.from_end;
    #[allow(clippy::cast_possible_truncation)] // within two seconds
    let moved = Signal::derive(move || (1000.0 * read(|take| take.nudge).0).round() as i32);
    #[allow(clippy::cast_possible_truncation)]
    let furthest = (1000.0 * FURTHEST.0) as i32;
    let shift = move |to: i32| {
        let by = Seconds(f64::from(to - moved.get_untracked()) / 1000.0);
        studio.change(None, |takes| takes.amend(id, |take| take.shift(by)));
    };
    view! {
        {slider(say!("Cut from the beginning"), from_start, Callback::new(move |time| trim(time, read(from_end))))}
        {slider(say!("Cut from the end"), from_end, Callback::new(move |time| trim(read(from_start), time)))}
        <Stepper name=say!("Play it later by") value=moved least=-furthest most=furthest step=1 unit=say!(" ms") on_change=shift />
    }
}
