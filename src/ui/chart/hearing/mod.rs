//! The chart from a recording: the way to it, and its correction by ear.

mod bars;
mod candidates;
mod ear;
mod player;

pub(in crate::ui) use ear::{Ear, connect};

use super::heading::{KEYS, MINOR_KEYS, Pick};
use crate::app::bench::Progress;
use crate::app::hearing::Hearing;
use crate::listen::song::Correction;
use crate::theory::{Key, Metre};
use crate::ui::controls::{BackForth, SoundFile};
use crate::ui::language::tell;
use crate::ui::playing;
use crate::ui::state::Page;
use bars::HeardBars;
use candidates::BarDesk;
use ear::Stage;
use leptos::prelude::*;
use player::{Player, PlayerElement};

/// The metres that are told apart.
const METRES: [(Metre, &str); 2] = [(Metre { count: 3, unit: 4 }, "3/4"), (Metre::COMMON, "4/4")];

/// The way from a recording to a chart.
#[component]
pub(super) fn FromRecording() -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    let aside = move || ear.read(|hearing| Some(hearing.source().name.clone()));
    view! {
        <section class="from-recording" aria-label=say!("Chart from a recording")>
            {move || match ear.stage.get() {
                Stage::Opening => view! { <Going progress=None /> }.into_any(),
                Stage::Going(progress) => view! { <Going progress=Some(progress) /> }.into_any(),
                stage => {
                    let fault = match stage {
                        Stage::Failed(words) => Some(view! { <p class="fault" role="alert">{words}</p> }),
                        _ => None,
                    };
                    view! {
                        {fault}
                        <div class="line-up">
                            <SoundFile words=say!("Chart from a recording") on_choose=move |file| ear.choose(page, file) />
                            {move || {
                                aside()
                                    .map(|name| {
                                        view! {
                                            <button type="button" class="do slim" on:click=move |_| ear.open.set(true)>
                                                {say!("Go on with {name}", name)}
                                            </button>
                                        }
                                    })
                            }}
                        </div>
                        <p class="small soft">
                            {say!("Choose or drop a sound file of a song: its bars, key and chords are heard here, and nothing leaves this device.")}
                        </p>
                    }
                        .into_any()
                }
            }}
            <p class="unseen" role="status">{move || matches!(ear.stage.get(), Stage::Opening | Stage::Going(_)).then_some(say!("Listening."))}</p>
        </section>
    }
}

/// How far the hearing is.
#[component]
fn Going(progress: Option<Progress>) -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    let percent = progress.map(Progress::percent);
    let words = percent.map_or(say!("Opening the recording").to_owned(), |percent| {
        format!("{percent} %")
    });
    view! {
        <div class="line-up">
            <progress
                class="progress"
                max="100"
                value=percent.map(|percent| percent.to_string())
                aria-label=say!("Listening to the recording")
            ></progress>
            <span class="small">{words}</span>
            <button type="button" class="do slim" on:click=move |_| ear.call_off(page)>{say!("Cancel")}</button>
        </div>
    }
}

/// What was heard, to be corrected while it plays.
#[component]
pub(super) fn Correcting() -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    let player = Player::new();
    let bar = RwSignal::new(0_usize);
    // Fewer bars than before: the last one is looked at.
    Effect::new(move || {
        let last = ear.read(|hearing| hearing.song().bars.len()).saturating_sub(1);
        if bar.get() > last {
            bar.set(last);
        }
    });
    on_cleanup(move || playing::give_back(page));
    let name = move || ear.read(|hearing| hearing.source().name.clone());
    view! {
        <div
            class="correcting"
            on:wheel=move |_| player.follows.set(false)
            on:touchmove=move |_| player.follows.set(false)
        >
            <section class="correcting-bars" aria-label=say!("Bars that were heard")>
                <div class="line-up apart">
                    <h1>{name}</h1>
                    <div class="line-up">
                        <button type="button" class="go" on:click=move |_| ear.take(page)>{say!("Use this chart")}</button>
                        <button type="button" class="do slim" on:click=move |_| ear.open.set(false)>{say!("Put aside")}</button>
                    </div>
                </div>
                <p class="small soft">{move || tell(&ear.read(Hearing::summary))}" "{move || unsure_words(ear)}</p>
                <PlayerElement player />
                <HeardBars player bar />
            </section>
            <div class="correcting-desk">
                <BarDesk player bar />
                <Counting />
            </div>
        </div>
    }
}

fn unsure_words(ear: Ear) -> String {
    match ear.read(Hearing::unsure) {
        0 => say!("Tap a bar to hear it and what else it could be.").to_owned(),
        unsure => say!(unsure => "One bar is unsure: tap it to hear it and what else it could be.",
            "{n} bars are unsure: tap one to hear it and what else it could be."),
    }
}

/// Tempo, first beat, metre and key, where they were heard otherwise than they are.
#[component]
fn Counting() -> impl IntoView {
    let ear = Ear::here();
    let faster = Signal::derive(move || ear.read(|hearing| hearing.song().can_be_faster()));
    let slower = Signal::derive(move || ear.read(|hearing| hearing.song().can_be_slower()));
    let button = move |words: &'static str, correction: Correction, able: Signal<bool>| {
        view! {
            <button type="button" class="do slim" prop:disabled=move || !able.get() on:click=move |_| ear.correct(correction)>
                {words}
            </button>
        }
    };
    let always = Signal::derive(|| true);
    let key = Signal::derive(move || ear.read(|hearing| hearing.song().key.to_string()));
    let set_key = move |key: String| {
        if let Ok(key) = key.parse::<Key>() {
            ear.correct(Correction::Key(key));
        }
    };
    let metre = Signal::derive(move || ear.read(|h| h.song().metre.count.to_string()));
    let metres = METRES.map(|(metre, word)| (metre.count.to_string(), word));
    let set_metre = move |count: String| {
        if let Some((metre, _)) = METRES.iter().find(|(metre, _)| metre.count.to_string() == count) {
            ear.correct(Correction::Metre(*metre));
        }
    };
    view! {
        <section class="counting" aria-labelledby="counting">
            <h2 id="counting">{say!("Counted wrongly?")}</h2>
            <div class="counting-ways">
                {button(say!("Half as fast"), Correction::Slower, slower)}
                {button(say!("Twice as fast"), Correction::Faster, faster)}
                {button(say!("Bars a beat earlier"), Correction::Earlier, always)}
                {button(say!("Bars a beat later"), Correction::Later, always)}
            </div>
            <div class="line-up">
                <Pick name=say!("Key heard") options=KEYS.into_iter().chain(MINOR_KEYS).collect() value=key on_pick=set_key />
                <crate::ui::controls::Choice
                    name=say!("Beats in a bar")
                    options=crate::ui::controls::words(metres)
                    value=metre
                    on_change=set_metre
                />
            </div>
            <BackForth
                can_undo=Signal::derive(move || ear.read(Hearing::can_undo))
                can_redo=Signal::derive(move || ear.read(Hearing::can_redo))
                on_undo=move || ear.change(Hearing::undo)
                on_redo=move || ear.change(Hearing::redo)
            />
        </section>
    }
}
