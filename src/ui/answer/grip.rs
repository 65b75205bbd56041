//! One place as it is given: on the drawn neck, or in figures. What is chosen sounds at once.

use crate::app::answering::{grip_held, grip_words, is_single, pressed_further, pressed_to, tapped};
use crate::app::lesson_view::{Example, still};
use crate::app::neck_view::Hold;
use crate::solo::stroke::Grip;
use crate::sound::LiveEvent;
use crate::steel::{ChangeId, Fret, Instrument, StringNumber, Travel};
use crate::teach::exercise::Task;
use crate::theory::ChordSpan;
use crate::ui::NeckView;
use crate::ui::controls::{Choice, Stepper, words};
use crate::ui::language::tell;
use crate::ui::neck::{OpenNeck, Ringing};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// What a place is given to: the instrument, what is there, and who hears of a change.
#[derive(Clone)]
struct Hand {
    instrument: Arc<Instrument>,
    grip: Signal<Grip>,
    on_change: Callback<Grip>,
    single: bool,
    ringing: Ringing,
    silent: Example,
    page: Page,
}

impl Hand {
    /// Gives the place and plucks it.
    fn take(&self, grip: Grip) {
        self.on_change.run(grip);
        self.pluck(grip);
    }

    fn pluck(&self, grip: Grip) {
        if !grip.strings.is_empty() {
            self.ringing.pluck(grip.strings);
            playing::lend(self.page, &self.silent.score);
            playing::pluck(self.page, grip.strings, &Hold::holding(grip.place, &self.instrument));
        }
    }

    /// Gives the place and bends what rings; what has died is plucked again.
    fn bend(&self, grip: Grip, event: LiveEvent) {
        let is_new = self.grip.get_untracked() != grip;
        if is_new {
            self.on_change.run(grip);
        }
        if !self.ringing.strings().get_untracked().is_empty() {
            playing::bend(self.page, event);
        } else if is_new {
            self.pluck(grip);
        }
    }
}

/// A place with its two ways of being given. `span` is the chord whose degrees are shown, if they may be.
#[component]
pub(super) fn GripEditor(
    task: Arc<Task>,
    #[prop(into)] name: String,
    grip: Signal<Grip>,
    span: Signal<Option<ChordSpan>>,
    on_change: Callback<Grip>,
) -> impl IntoView {
    let instrument = Arc::new(task.setting.instrument.clone());
    let hand = Hand {
        silent: Example::silent(still(None), task.setting.instrument.clone()),
        single: is_single(&task),
        instrument,
        grip,
        on_change,
        ringing: Ringing::new(),
        page: Page::here(),
    };
    let figures = OpenNeck::here().figures();
    let ways = words([(false, say!("On the neck")), (true, say!("In figures"))]);
    let way = move || {
        let hand = hand.clone();
        if figures.get() {
            view! { <Figures hand /> }.into_any()
        } else {
            view! { <OnNeck hand span /> }.into_any()
        }
    };
    view! {
        <div class="grip-editor" role="group" aria-label=name>
            <form on:submit=move |e| e.prevent_default()>
                <Choice name=say!("Given") options=ways value=figures on_change=move |to| figures.set(to) />
            </form>
            {way}
        </div>
    }
}

/// The place on the drawn neck: a tap elsewhere moves the bar there, a tap under the bar picks the string or leaves it.
#[component]
fn OnNeck(hand: Hand, span: Signal<Option<ChordSpan>>) -> impl IntoView {
    let instrument = Arc::clone(&hand.instrument);
    let grip = hand.grip;
    let hold = {
        let instrument = Arc::clone(&instrument);
        Signal::derive(move || Hold::holding(grip.get().place, &instrument))
    };
    let on_bar = {
        let hand = hand.clone();
        move |bar: Fret| {
            let now = grip.get_untracked();
            let held = Hold {
                bar,
                ..hold.get_untracked()
            };
            hand.bend(
                grip_held(&hand.instrument, &held, now.strings),
                LiveEvent::Bar { fret: bar },
            );
        }
    };
    let on_press = {
        let hand = hand.clone();
        move |(change, travel): (ChangeId, Travel)| {
            let mut to = grip.get_untracked();
            to.place.stance = pressed_to(&hand.instrument, to.place.stance, change, travel);
            let travel = hand.instrument.travel(to.place.stance, change);
            hand.bend(to, LiveEvent::Press { change, travel });
        }
    };
    let ringing = hand.ringing.strings();
    let picked = Signal::derive(move || grip.get().strings);
    let said = {
        let instrument = Arc::clone(&instrument);
        move || tell(&grip_words(&instrument, grip.get()))
    };
    let on_choose = move |(string, fret): (StringNumber, u8)| {
        hand.take(tapped(grip.get_untracked(), string, fret, hand.single));
    };
    view! {
        <NeckView
            instrument=Signal::stored(instrument)
            span
            hold
            ringing
            picked
            on_bar=on_bar
            on_press=on_press
            on_choose=on_choose
        />
        <output class="small soft">{said}</output>
    }
}

/// The place in figures: the bar's fret, the strings picked, the pedals and levers pressed.
#[component]
fn Figures(hand: Hand) -> impl IntoView {
    let grip = hand.grip;
    let instrument = Arc::clone(&hand.instrument);
    let hand = StoredValue::new(hand);
    let take = move |how: &dyn Fn(&mut Grip)| {
        let mut now = grip.get_untracked();
        how(&mut now);
        hand.with_value(|h| h.take(now));
    };
    let fret = Signal::derive(move || i32::from(grip.get().place.fret));
    let to_fret = move |to: i32| take(&|g| g.place.fret = u8::try_from(to).unwrap_or(0));
    let single = hand.with_value(|h| h.single);
    let strings = instrument.string_numbers().map(|string| {
        let on = move || grip.get().strings.contains(string);
        let turn = move |_| take(&|g| *g = tapped(*g, string, g.place.fret, single));
        view! {
            <button type="button" class="chip" aria-label=say!("String {string}", string) aria-pressed=move || on().to_string() on:click=turn>
                {string.number()}
            </button>
        }
    });
    let changes = instrument.change_ids().filter_map(|id| {
        let change = instrument.change(id)?.name.clone();
        let further = Arc::clone(&instrument);
        let press = move |_| take(&|g| g.place.stance = pressed_further(&further, g.place.stance, id));
        let pressed = move || match grip.get().place.stance.travel(id) {
            Travel::UP => "false",
            Travel::DOWN => "true",
            _ => "mixed",
        };
        let half = move || (pressed() == "mixed").then_some("½");
        // A reader says what is seen, the half as well.
        let said = {
            let change = change.clone();
            move || say!("Press {change}{half}", change, half = half().unwrap_or_default())
        };
        Some(view! {
            <button type="button" class="chip" aria-label=said aria-pressed=pressed on:click=press>
                {change.clone()}{half}
            </button>
        })
    });
    let (strings, changes) = (strings.collect_view(), changes.collect_view());
    let most = i32::from(instrument.frets);
    let said = move || tell(&grip_words(&instrument, grip.get()));
    view! {
        <div class="place-pad">
            <Stepper name=say!("Fret") value=fret least=0 most=Signal::stored(most) step=1 unit="" on_change=to_fret />
            <div class="chips" role="group" aria-label=say!("Strings")>{strings}</div>
            <div class="chips" role="group" aria-label=say!("Pedals and levers")>{changes}</div>
            <output class="small soft">{said}</output>
        </div>
    }
}
