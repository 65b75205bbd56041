//! Rehearsing a pass: the way to the stand, and the sheet that says how much is heard and shown.

use crate::app::desk::SPEEDS;
use crate::app::rehearsal::{CAUTION, Hidden, Ladder, Limb};
use crate::app::{Command, Rehearsal, View};
use crate::ui::controls::{Choice, Stepper, Tick, words};
use crate::ui::help::SheetHead;
use crate::ui::language::look;
use crate::ui::playing;
use crate::ui::rehearsing::{change, here};
use crate::ui::state::Page;
use crate::ui::transport::{LoopPicker, Pace};
use leptos::prelude::*;

const HIDDEN: [(Hidden, &str); 4] = [
    (Hidden::Nothing, key!("all of it")),
    (Hidden::EveryFourth, key!("every 4th bar out")),
    (Hidden::EverySecond, key!("every 2nd bar out")),
    (Hidden::Everything, key!("chords only")),
];

const LIMBS: [(Limb, &str); 4] = [
    (Limb::All, key!("everything")),
    (Limb::Bar, key!("bar¦the steel in the hand")),
    (Limb::Feet, key!("feet and knees")),
    (Limb::Hand, key!("right hand")),
];

/// The way to the sheet and to the stand, and a word on what is held back.
#[component]
pub(super) fn RehearseRow() -> impl IntoView {
    let page = Page::here();
    let rehearsal = here(page);
    let held_back = move || {
        let r = rehearsal.get();
        let word = |on: bool, word: &str| on.then(|| word.to_owned());
        let limb = LIMBS.iter().find(|(limb, _)| *limb == r.limb && r.limb != Limb::All);
        let parts = [
            word(r.muted, say!("solo muted")),
            word(r.hidden != Hidden::Nothing, say!("tab hidden in part")),
            limb.map(|(_, name)| say!("{name} only", name = look(name))),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    };
    let show_all = move |_| {
        change(page, |r| {
            *r = Rehearsal {
                climbing: r.climbing,
                ladder: r.ladder,
                rounds_here: r.rounds_here,
                ..Rehearsal::default()
            };
        });
    };
    view! {
        <div class="line-up rehearse-row">
            <button type="button" class="do slim" popovertarget="rehearse" aria-haspopup="dialog">{say!("Rehearse")}</button>
            <button type="button" class="do slim" on:click=move |_| page.act(Command::Show(View::Stand))>{say!("Stand")}</button>
            {move || {
                let words = held_back();
                (!words.is_empty()).then(|| view! {
                    <span class="small soft">{words}</span>
                    <button type="button" class="do slim" on:click=show_all>{say!("Show and hear all")}</button>
                })
            }}
        </div>
    }
}

/// The sheet.
#[component]
pub(in crate::ui) fn RehearseSheet() -> impl IntoView {
    let page = Page::here();
    let rehearsal = here(page);
    let is = move |read: fn(&Rehearsal) -> bool| Signal::derive(move || rehearsal.with(read));
    let hidden = Signal::derive(move || rehearsal.with(|r| r.hidden));
    let limb = Signal::derive(move || rehearsal.with(|r| r.limb));
    view! {
        <div class="sheet" id="rehearse" popover="auto" role="dialog" aria-label=say!("Rehearse")>
            <SheetHead name=say!("Rehearse") sheet="rehearse" />
            <Pace />
            <LoopPicker />
            <Climb />
            <section class="rehearse-part">
                <Tick
                    name=say!("Mute the solo: I play it")
                    on=is(|r| r.muted)
                    on_change=move |on| change(page, |r| r.muted = on)
                />
                <Choice name=say!("Tab") options=words(HIDDEN) value=hidden on_change=move |h| change(page, |r| r.hidden = h) />
                <Choice name=say!("One limb at a time") options=words(LIMBS) value=limb on_change=move |l| change(page, |r| r.limb = l) />
                <Show when=move || limb.get() != Limb::All>
                    <Tick
                        name=say!("Hear it alone too, the rest held still")
                        on=is(|r| r.alone)
                        on_change=move |on| change(page, |r| r.alone = on)
                    />
                </Show>
            </section>
            <p class="small soft">{look(CAUTION)}</p>
        </div>
    }
}

/// The speed ladder.
#[component]
fn Climb() -> impl IntoView {
    let page = Page::here();
    let rehearsal = here(page);
    let climbing = Signal::derive(move || rehearsal.with(|r| r.climbing));
    let begin = move |on| {
        change(page, |r| r.climbing = on);
        // Rounds need something to go round.
        if on && page.desk.with_untracked(|d| d.looped.is_none()) {
            playing::toggle_loop(page);
        }
    };
    let figure = move |read: fn(&Ladder) -> u16| Signal::derive(move || i32::from(rehearsal.with(|r| read(&r.ladder))));
    let set = move |value: i32, write: fn(&mut Ladder, u16)| {
        let value = u16::try_from(value).unwrap_or_default();
        change(page, |r| write(&mut r.ladder, value));
    };
    let (least, most) = (i32::from(*SPEEDS.start()), i32::from(*SPEEDS.end()));
    let standing = move || {
        let (speed, rung) = page.desk.with(|d| (d.speed, d.rehearsal.rung(d.speed)));
        let rung = rung?;
        let then = rung
            .next
            .map_or(say!("the top").to_owned(), |next| say!("then {next}%", next));
        Some(say!(
            "Now {speed}%, time {round} of {of}, {then}.",
            speed,
            round = rung.round,
            of = rung.of,
            then
        ))
    };
    let again = move |_| change(page, |r| r.climbing = false);
    view! {
        <section class="rehearse-part">
            <Tick name=say!("Get faster by itself") on=climbing on_change=begin />
            <Show when=move || climbing.get()>
                <div class="ladder">
                    <Stepper name="lowest" value=figure(|l| l.from) least=least most=most step=5 unit="%"
                        on_change=move |v| set(v, |l, v| l.from = v) />
                    <Stepper name="highest" value=figure(|l| l.to) least=least most=most step=5 unit="%"
                        on_change=move |v| set(v, |l, v| l.to = v) />
                    <Stepper name=say!("each step") value=figure(|l| l.step) least=1 most=25 step=1 unit="%"
                        on_change=move |v| set(v, |l, v| l.step = v) />
                    <Stepper name=say!("times round") value=figure(|l| u16::from(l.rounds)) least=1 most=12 step=1 unit=""
                        on_change=move |v| set(v, |l, v| l.rounds = u8::try_from(v).unwrap_or(1)) />
                </div>
                <div class="line-up apart">
                    <p class="small" role="status">{standing}</p>
                    <button type="button" class="do slim" on:click=move |event| {
                        again(event);
                        begin(true);
                    }>{say!("From the bottom")}</button>
                </div>
            </Show>
        </section>
    }
}
