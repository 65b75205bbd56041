//! MIDI controllers: allowing them, and teaching each what it moves.

use crate::app::Command;
use crate::app::midi_map::{Message, Source, Target};
use crate::platform::midi_in::MidiIn;
use crate::ui::language::tell;
use crate::ui::state::{Lasting, Page};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The controllers, as long as the page lives.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Controllers {
    open: StoredValue<Option<MidiIn>, LocalStorage>,
    /// The controllers that are plugged in, once the browser has told.
    names: Lasting<RwSignal<Option<Vec<String>>>>,
    /// What waits for a controller to be moved.
    learning: Lasting<RwSignal<Option<Target>>>,
    /// Why there are none.
    fault: Lasting<RwSignal<Option<String>>>,
}

/// Makes the controllers' place in the page; the browser is asked only when the user wants them.
pub(in crate::ui) fn provide() {
    provide_context(Controllers {
        open: StoredValue::new_local(None),
        names: Lasting::signal(None),
        learning: Lasting::signal(None),
        fault: Lasting::signal(None),
    });
}

impl Controllers {
    fn ask(self, page: Page) {
        spawn_local(async move {
            match MidiIn::open(move |bytes| self.hear(page, bytes)).await {
                Ok(open) => {
                    self.names.set(Some(open.names().iter().map(tell).collect()));
                    self.fault.set(None);
                    self.open.set_value(Some(open));
                }
                Err(error) => self.fault.set(Some(tell(&error.said()))),
            }
        });
    }

    fn hear(self, page: Page, bytes: &[u8]) {
        let Some(message) = Message::read(bytes) else { return };
        if let Some(target) = self.learning.get_untracked() {
            if message.is_clear() {
                self.learning.set(None);
                learn(page, message.source, target);
            }
            return;
        }
        let mapping = page.desk.with_untracked(|d| d.midi.clone());
        let event = page
            .instrument
            .with_untracked(|instrument| mapping.event(message, instrument.as_ref()?, page.playing.laid()));
        if let Some(event) = event {
            page.playing.by_controller(event);
        }
    }
}

fn learn(page: Page, source: Source, target: Target) {
    let mut mapping = page.desk.with_untracked(|d| d.midi.clone());
    mapping.learn(source, target);
    page.act(Command::Wire(mapping));
}

/// What a target is called here.
fn name(target: &Target) -> String {
    match target {
        Target::Change(name) => name.clone(),
        Target::Bar => say!("Bar¦the steel in the hand").to_owned(),
        Target::Volume => say!("Volume pedal").to_owned(),
    }
}

/// Controllers and what they move.
#[component]
pub(super) fn Midi() -> impl IntoView {
    let page = Page::here();
    let controllers = expect_context::<Controllers>();
    let plugged = move || {
        let names = controllers.names.get()?;
        Some(if names.is_empty() {
            say!("No controller is plugged in yet.").to_owned()
        } else {
            say!("Heard: {names}.", names = names.join(", "))
        })
    };
    let targets = Memo::new(move |_| {
        page.instrument
            .with(|i| i.as_ref().map(|i| Target::all(i)).unwrap_or_default())
    });
    view! {
        <p class="small soft">
            {say!("A MIDI keyboard or footswitch can press your pedals and levers and move the bar and the volume pedal while strings ring.")}
        </p>
        <p class="fault small" hidden=move || controllers.fault.get().is_none()>{move || controllers.fault.get()}</p>
        <p class="small" role="status">{plugged}</p>
        <button type="button" class="do slim" hidden=move || controllers.names.get().is_some() on:click=move |_| controllers.ask(page)>
            {say!("Use MIDI controllers")}
        </button>
        <ul class="midi-lines" hidden=move || controllers.names.get().is_none() aria-label=say!("What controllers move")>
            {move || targets.get().into_iter().map(|target| view! { <Link target /> }).collect_view()}
        </ul>
    }
}

/// One thing and what moves it.
#[component]
fn Link(target: Target) -> impl IntoView {
    let page = Page::here();
    let learning = expect_context::<Controllers>().learning;
    let target = StoredValue::new(target);
    let source = move || page.desk.with(|d| target.with_value(|t| d.midi.source(t)));
    let waits = Memo::new(move |_| learning.with(|l| l.as_ref().is_some_and(|l| target.with_value(|t| t == l))));
    let forget = move |_| {
        let mut mapping = page.desk.with_untracked(|d| d.midi.clone());
        target.with_value(|t| mapping.forget(t));
        page.act(Command::Wire(mapping));
    };
    let words = move || match source() {
        _ if waits.get() => say!("Move it now").to_owned(),
        Some(source) => tell(&source.said()),
        None => say!("Nothing").to_owned(),
    };
    let called = target.with_value(name);
    view! {
        <li class="midi-line">
            <b>{called.clone()}</b>
            <span class="small soft" role="status">{words}</span>
            <button
                type="button"
                class="do slim"
                aria-label=say!("Teach what moves {called}", called)
                aria-pressed=move || if waits.get() { "true" } else { "false" }
                on:click=move |_| learning.set((!waits.get_untracked()).then(|| target.get_value()))
            >
                {move || if waits.get() { say!("Stop") } else { say!("Teach") }}
            </button>
            <button type="button" class="do slim" aria-label=say!("Forget what moves {called}", called) prop:disabled=move || source().is_none() on:click=forget>
                {say!("Forget")}
            </button>
        </li>
    }
}
