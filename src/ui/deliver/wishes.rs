//! What the user wants: which stems, in which form.

use crate::app::Command;
use crate::app::delivery::{Order, Rate, Wishes, about, size_words};
use crate::exchange::wave::Width;
use crate::sound::Lufs;
use crate::sound::render::Stem;
use crate::ui::controls::{Choice, Tick};
use crate::ui::language::{look, tell};
use crate::ui::state::Page;
use leptos::prelude::*;

fn wishes(page: Page) -> Signal<Wishes> {
    Signal::derive(move || page.desk.with(|d| d.delivery.clone()))
}

fn change(page: Page, change: impl FnOnce(&mut Wishes)) {
    let mut wishes = page.desk.with_untracked(|d| d.delivery.clone());
    change(&mut wishes);
    page.act(Command::WishDelivery(wishes));
}

/// The stems, each with what it is and how large its file will be.
#[component]
pub(super) fn Stems(order: Signal<Option<Order>>) -> impl IntoView {
    let page = Page::here();
    let rows = Stem::ALL.map(|stem| {
        let wanted = Signal::derive(move || page.desk.with(|d| d.delivery.stems.contains(&stem)));
        let set = move |on: bool| {
            change(page, |wishes| {
                wishes.stems.retain(|other| *other != stem);
                if on {
                    wishes.stems.push(stem);
                }
            });
        };
        let size = move || {
            let planned = order.with(|o| o.as_ref().map(Order::planned).unwrap_or_default());
            let own = planned.into_iter().find(|file| file.stem == Some(stem));
            own.map(|file| tell(&size_words(file.size)))
        };
        view! {
            <li>
                <Tick name=name(stem) on=wanted on_change=set />
                <span class="small soft deliver-size">{size}</span>
                <span class="small soft deliver-about">{look(about(stem))}</span>
            </li>
        }
    });
    let recorded = Memo::new(move |_| page.work.with(|w| w.takes.list.len()));
    let played = move || {
        (recorded.get() > 0).then(|| view! {
            <li>
                <Tick
                    name=say!("What you played")
                    on=Signal::derive(move || page.desk.with(|d| d.delivery.played))
                    on_change=move |on| change(page, |wishes| wishes.played = on)
                />
                <span class="small soft deliver-size">{move || order.with(|o| o.as_ref().map(|o| tell(&size_words(o.played.iter().map(|file| file.size).sum()))))}</span>
                <span class="small soft deliver-about">{move || played_words(recorded.get())}</span>
            </li>
        })
    };
    view! {
        <fieldset>
            <legend>{say!("Stems")}</legend>
            <ul class="deliver-stems">{rows.collect_view()}{played}</ul>
        </fieldset>
    }
}

fn played_words(takes: usize) -> String {
    say!(
        takes => "your take and the bars chosen of it, 24 bits, as long as the stems",
        "your {n} takes and the bars chosen of them, 24 bits, as long as the stems"
    )
}

/// What a stem is called on the page.
fn name(stem: Stem) -> &'static str {
    match stem {
        Stem::DirectClean => say!("Steel, direct, clean"),
        Stem::AmpClean => say!("Steel, amplifier, clean"),
        Stem::DirectDriven => say!("Steel, direct, driven"),
        Stem::AmpDriven => say!("Steel, amplifier, driven"),
        Stem::Backing => say!("Backing"),
        Stem::Mix => say!("Reference mix"),
    }
}

/// The form of the files, the count and the loudness.
#[component]
pub(super) fn Form() -> impl IntoView {
    let page = Page::here();
    let wishes = wishes(page);
    let widths = vec![
        (Width::Pcm24, say!("24 bits").to_owned()),
        (Width::Pcm16, say!("16 bits").to_owned()),
        (Width::Float32, say!("32 bits, floating").to_owned()),
    ];
    let rates = vec![
        (Rate::Studio, say!("48 kHz").to_owned()),
        (Rate::Disc, say!("44.1 kHz").to_owned()),
    ];
    let loudness = Wishes::LOUDNESS.map(|lufs| (lufs, loudness_words(lufs))).to_vec();
    view! {
        <Choice
            name=say!("Samples")
            options=widths
            value=Signal::derive(move || wishes.get().width)
            on_change=move |width| change(page, |wishes| wishes.width = width)
        />
        <Choice
            name=say!("Sample rate")
            options=rates
            value=Signal::derive(move || wishes.get().rate)
            on_change=move |rate| change(page, |wishes| wishes.rate = rate)
        />
        <Choice
            name=say!("Loudness of the mix")
            options=loudness
            value=Signal::derive(move || wishes.get().loudness)
            on_change=move |loudness| change(page, |wishes| wishes.loudness = loudness)
        />
        <Tick
            name=say!("Count a bar in: bar 1 begins after it")
            on=Signal::derive(move || wishes.get().count_in)
            on_change=move |on| change(page, |wishes| wishes.count_in = on)
        />
    }
}

fn loudness_words(loudness: Lufs) -> String {
    let use_for = match loudness.0 {
        l if l > -15.0 => say!("loud"),
        l if l > -20.0 => say!("usual"),
        _ => say!("broadcast"),
    };
    say!(
        "{loudness} LUFS, {use_for}",
        loudness = format!("{:.0}", loudness.0),
        use_for
    )
    .replace('-', "\u{2212}")
}
