//! The microphone as the views share it: one at a time, on only while a view listens.
//!
//! *Invariant:* a view that goes away takes its microphone with it.

use crate::platform::microphone::{Block, MicError, MicFacts, Microphone};
use crate::platform::wake::Wake;
use crate::sound::SampleRate;
use crate::ui::language::{look, tell};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;

/// So long nothing at all may come before that is said.
const DEAF_AFTER: Duration = Duration::from_secs(3);

/// Whether the microphone is on.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Hearing {
    /// It is off.
    Off,
    /// The browser is being asked.
    Asking,
    /// It is on, at this rate.
    On(SampleRate, MicFacts),
    /// It is off, and why.
    Failed(MicError),
}

/// The microphone of one view.
#[derive(Clone, Copy)]
pub(super) struct Ears {
    pub(super) hearing: RwSignal<Hearing>,
    /// Whether it is on and gives nothing but zeros.
    deaf: RwSignal<bool>,
    heard: StoredValue<bool>,
    open: StoredValue<Option<Microphone>, LocalStorage>,
    wake: StoredValue<Wake, LocalStorage>,
    /// Tells an opening from one that was given up.
    turn: StoredValue<u32>,
}

impl Ears {
    /// A microphone that is off, and goes off with the view that asks for it.
    pub(super) fn new() -> Self {
        let ears = Self {
            hearing: RwSignal::new(Hearing::Off),
            deaf: RwSignal::new(false),
            heard: StoredValue::new(false),
            open: StoredValue::new_local(None),
            wake: StoredValue::new_local(Wake::default()),
            turn: StoredValue::new(0),
        };
        on_cleanup(move || {
            ears.open.try_update_value(Option::take);
            ears.turn.try_update_value(|turn| *turn += 1);
        });
        ears
    }

    /// Whether it is on.
    pub(super) fn is_on(self) -> bool {
        self.hearing.with(|h| matches!(h, Hearing::On(..)))
    }

    /// Turns it on; what is heard goes to `listen`. Call it from a click or a key.
    pub(super) fn start(self, listen: impl Fn(SampleRate, Block) + 'static) {
        self.stop();
        self.hearing.set(Hearing::Asking);
        self.heard.set_value(false);
        let turn = self.turn.get_value();
        let rate = StoredValue::new_local(None::<SampleRate>);
        let on_block = move |block: Block| {
            let Some(Some(rate)) = rate.try_get_value() else { return };
            if block.samples.iter().any(|x| *x != 0.0) && !self.heard.get_value() {
                self.heard.set_value(true);
                self.deaf.set(false);
            }
            listen(rate, block);
        };
        let on_gone = move |error| {
            self.open.set_value(None);
            self.wake.with_value(Wake::release);
            self.hearing.set(Hearing::Failed(error));
        };
        let opening = Microphone::open(on_block, on_gone);
        self.wake.with_value(Wake::hold);
        spawn_local(async move {
            let opened = opening.await;
            // Given up meanwhile, with the view or by the player: the microphone goes off again as it is dropped.
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            match opened {
                Ok(microphone) => {
                    rate.set_value(Some(microphone.rate()));
                    self.hearing.set(Hearing::On(microphone.rate(), microphone.facts()));
                    self.open.set_value(Some(microphone));
                    self.watch(turn);
                }
                Err(error) => {
                    self.wake.with_value(Wake::release);
                    self.hearing.set(Hearing::Failed(error));
                }
            }
        });
    }

    /// Turns it off.
    pub(super) fn stop(self) {
        self.turn.update_value(|turn| *turn += 1);
        self.open.set_value(None);
        self.wake.with_value(Wake::release);
        self.deaf.set(false);
        self.hearing.set(Hearing::Off);
    }

    /// Says so when nothing comes.
    fn watch(self, turn: u32) {
        let look = move || {
            if self.turn.try_get_value() == Some(turn) && !self.heard.get_value() {
                self.deaf.set(true);
            }
        };
        set_timeout(look, DEAF_AFTER);
    }
}

/// The button that turns it on and off, with what there is to say about it.
#[component]
pub(super) fn Listen<F>(ears: Ears, listen: F) -> impl IntoView
where
    F: Fn(SampleRate, Block) + Clone + 'static,
{
    let listen = StoredValue::new_local(listen);
    let press = move |_| match ears.hearing.get_untracked() {
        Hearing::Off | Hearing::Failed(_) => ears.start(listen.get_value()),
        Hearing::Asking | Hearing::On(..) => ears.stop(),
    };
    let word = move || match ears.hearing.get() {
        Hearing::Off | Hearing::Failed(_) => say!("Listen"),
        Hearing::Asking => say!("Waiting for the microphone"),
        Hearing::On(..) => say!("Stop listening"),
    };
    let fault = move || match ears.hearing.get() {
        Hearing::Failed(error) => tell(&error.said()),
        Hearing::On(..) if ears.deaf.get() => say!(
            "Nothing comes from the microphone: look for a switch that mutes it, or choose another one in the browser."
        )
        .to_owned(),
        Hearing::On(_, facts) => look(facts.words()).to_owned(),
        Hearing::Off | Hearing::Asking => String::new(),
    };
    let fault = Memo::new(move |_| fault());
    view! {
        <div class="listen">
            <div class="line-up">
                <button type="button" class:go=move || !ears.is_on() class:do=move || ears.is_on() on:click=press>{word}</button>
                <span class="small soft">{say!("Nothing leaves this device.")}</span>
            </div>
            <div role="alert">
                {move || fault.with(|f| (!f.is_empty()).then(|| view! { <p class="fault small">{f.clone()}</p> }))}
            </div>
        </div>
    }
}
