//! Marking a recording: its bars, its tempo, the hole for the solo.

use super::change;
use crate::app::backing_song::{Mark, NUDGE, TAPS_APART, moment, tapped};
use crate::app::{Command, LoopBars};
use crate::theory::{Beats, Seconds, Tempo as Bpm};
use crate::ui::controls::{Stepper, Tick};
use crate::ui::icons::{Icon, Sign};
use crate::ui::language::number;
use crate::ui::state::Page;
use leptos::html::Audio;
use leptos::prelude::*;
use web_sys::MouseEvent;

/// Bars from one mark to the one proposed next.
const BARS_ON: usize = 8;

fn bars(page: Page) -> usize {
    page.song.with(|s| s.as_ref().map_or(0, |s| s.bars.len()))
}

/// A bar as it is counted by people.
fn figure(bar: usize) -> i32 {
    i32::try_from(bar + 1).unwrap_or(i32::MAX)
}

fn index(figure: i32) -> usize {
    usize::try_from(figure - 1).unwrap_or(0)
}

/// A button that acts as it is pressed and not as it is let go: the beat is when the finger comes down.
#[component]
fn OnTheBeat(#[prop(into)] words: Signal<String>, on_press: impl Fn() + Copy + 'static) -> impl IntoView {
    // A click without a pointer is a key.
    let by_key = move |event: MouseEvent| {
        if event.detail() == 0 {
            on_press();
        }
    };
    view! {
        <button type="button" class="do" on:pointerdown=move |_| on_press() on:click=by_key>{words}</button>
    }
}

/// Marks a bar at the moment that is heard.
#[component]
pub(super) fn Marking(player: NodeRef<Audio>) -> impl IntoView {
    let page = Page::here();
    let bar = RwSignal::new(0_usize);
    let mark = move || {
        let Some(player) = player.get_untracked() else { return };
        let (now, at) = (bar.get_untracked(), Seconds(player.current_time()));
        change(page, |recording| recording.mark(now, at));
        let last = bars(page).saturating_sub(1);
        bar.set((now + BARS_ON).min(last).max(now));
    };
    view! {
        <div class="line-up">
            <Stepper
                name=say!("Bar")
                value=Signal::derive(move || figure(bar.get()))
                least=1
                most=Signal::derive(move || figure(bars(page).saturating_sub(1)))
                step=1
                unit=""
                on_change=move |to| bar.set(index(to))
            />
            <OnTheBeat words=Signal::derive(move || say!("Bar {bar} begins now", bar = bar.get() + 1)) on_press=mark />
        </div>
        <p class="small soft">
            {say!("Play the recording above and press on the first beat. A mark every eight bars keeps solo and song together however the tempo wavers.")}
        </p>
    }
}

/// The recording's tempo, tapped or typed; it counts until a second bar is marked.
#[component]
pub(super) fn Tempo(player: NodeRef<Audio>) -> impl IntoView {
    let page = Page::here();
    let taps = StoredValue::new(Vec::<Seconds>::new());
    let tap = move || {
        let Some(player) = player.get_untracked() else { return };
        let now = Seconds(player.current_time());
        let pulse = page.song.with_untracked(|s| {
            let first = s.as_ref().and_then(|s| s.bars.first());
            first.map_or(Beats(1.0), |b| b.metre.pulse())
        });
        let tempo = taps.try_update_value(|taps| {
            if taps.last().is_some_and(|last| now <= *last || now - *last > TAPS_APART) {
                taps.clear();
            }
            taps.push(now);
            tapped(taps, pulse)
        });
        if let Some(tempo) = tempo.flatten() {
            change(page, |recording| recording.tempo = Some(tempo));
        }
    };
    let known = move || page.work.with(|w| w.recording.as_ref().and_then(|r| r.tempo));
    let shown = move || known().map(|t| number(format!("{:.1}", t.0))).unwrap_or_default();
    let typed = move |event: web_sys::Event| {
        let tempo = event_target_value(&event).replace(',', ".").parse::<f64>().ok();
        let tempo = tempo.filter(|t| (20.0..=400.0).contains(t)).map(Bpm);
        change(page, |recording| recording.tempo = tempo);
    };
    let marked = move || {
        page.work
            .with(|w| w.recording.as_ref().is_some_and(|r| r.marks.len() > 1))
    };
    view! {
        <div class="line-up" hidden=marked>
            <label class="pick">
                {say!("Its tempo")}
                <input type="text" inputmode="decimal" placeholder=say!("as the chart") prop:value=shown on:change=typed />
            </label>
            <OnTheBeat words=Signal::derive(|| say!("Tap its beat").to_owned()) on_press=tap />
        </div>
    }
}

/// The marked bars, each to be moved or taken away.
#[component]
pub(super) fn Marks() -> impl IntoView {
    let page = Page::here();
    let marks = Memo::new(move |_| {
        page.work
            .with(|w| w.recording.as_ref().map(|r| r.marks.clone()).unwrap_or_default())
    });
    let line = move |mark: Mark| {
        let bar = mark.bar;
        let nudge = move |by: f64| change(page, |recording| recording.nudge(bar, Seconds(by * NUDGE.0)));
        let name = say!("Bar {bar}", bar = bar + 1);
        view! {
            <li class="mark-line">
                <span><b>{name.clone()}</b>{say!(" at ")}{moment(mark.time)}</span>
                <button type="button" class="tool" aria-label=say!("{name}: a hundredth earlier", name) on:click=move |_| nudge(-1.0)>
                    <Icon sign=Sign::Less />
                </button>
                <button type="button" class="tool" aria-label=say!("{name}: a hundredth later", name) on:click=move |_| nudge(1.0)>
                    <Icon sign=Sign::More />
                </button>
                <button
                    type="button"
                    class="tool"
                    aria-label=say!("{name}: take the mark away", name)
                    on:click=move |_| change(page, |recording| recording.unmark(bar))
                >
                    <Icon sign=Sign::Close />
                </button>
            </li>
        }
    };
    view! { <ul class="mark-lines" aria-label=say!("Marked bars")>{move || marks.get().into_iter().map(line).collect_view()}</ul> }
}

/// The bars that the recording leaves for the solo.
#[component]
pub(super) fn Hole() -> impl IntoView {
    let page = Page::here();
    let hole = move || {
        page.work
            .with(|w| w.recording.as_ref().and_then(|r| r.hole))
            .and_then(|h| h.within(bars(page)))
    };
    let most = Signal::derive(move || figure(bars(page).saturating_sub(1)));
    let from = Signal::derive(move || hole().map_or(1, |h| figure(h.from)));
    let to = Signal::derive(move || hole().map_or(most.get(), |h| figure(h.to)));
    let set = move |hole: Option<LoopBars>| change(page, |recording| recording.hole = hole);
    let between = move |from: i32, to: i32| {
        set(Some(LoopBars {
            from: index(from),
            to: index(to),
        }));
    };
    let is_there = Signal::derive(move || hole().is_some());
    view! {
        <div class="line-up">
            <Tick
                name=say!("Hole for the solo")
                on=is_there
                on_change=move |on| if on { between(from.get_untracked(), to.get_untracked()) } else { set(None) }
            />
            {move || {
                is_there
                    .get()
                    .then(|| {
                        view! {
                            <Stepper name=say!("from bar") value=from least=1 most=most step=1 unit=""
                                on_change=move |bar| between(bar, to.get_untracked().max(bar)) />
                            <Stepper name=say!("to bar") value=to least=1 most=most step=1 unit=""
                                on_change=move |bar| between(from.get_untracked().min(bar), bar) />
                            <button type="button" class="do slim" on:click=move |_| page.act(Command::Loop(hole()))>
                                {say!("Loop the hole")}
                            </button>
                        }
                    })
            }}
        </div>
    }
}
