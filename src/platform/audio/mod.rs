//! Sound in the browser: starts the audio worklet, hands it commands, gives its reports, and mends it.
//!
//! *Invariant:* what is said about the sound is what the browser says of it: `Running` only while its audio
//! clock runs. Whatever stops the sound from outside stops the song too, so that it never runs on unheard.
//!
//! | file | what it is |
//! |---|---|
//! | `state` | whether there is sound, and what to tell the user |
//! | `orders` | what an engine has been told, for the next one |
//! | `voice` | the worklet's node |
//! | `device` | the browser's context and what listens to it |

mod device;
mod orders;
mod state;
mod voice;

pub(super) use device::Ear;
pub use state::AudioState;
pub use voice::{Scripts, voice_node};

use super::decode::Recording;
use super::frames::pause;
use crate::sound::{Command, Report};
use crate::words::Said;
use device::Device;
use orders::Orders;
pub use orders::Written;
use std::cell::{Cell, RefCell};
use std::fmt;
use std::future::Future;
use std::rc::{Rc, Weak};
use wasm_bindgen::prelude::{JsCast, JsValue};
use wasm_bindgen_futures::spawn_local;
use web_sys::{AudioWorkletNode, MessageEvent};

/// How long the browser gets to let the sound start before it counts as blocked, in milliseconds.
const PATIENCE_MS: i32 = 1500;
/// How often a broken engine is built anew before giving up.
const MOST_REPAIRS: u8 = 3;

struct Inner {
    scripts: Scripts,
    state: RefCell<AudioState>,
    device: RefCell<Option<Device>>,
    orders: RefCell<Orders>,
    /// The recordings that each engine is to be fed with: those of [`Slot`], in order.
    reels: [Reel; 2],
    repairs: Cell<u8>,
    on_report: Box<dyn Fn(Report)>,
    on_state: Box<dyn Fn(AudioState)>,
}

/// What a recording is put on for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// It is the song itself, and the song follows it.
    Song,
    /// It sounds in the place of the steel.
    StandIn,
}

/// A recording for the engine.
#[derive(Default)]
struct Reel {
    recording: RefCell<Option<Recording>>,
    /// Counts what was put on, so that the feeding of an earlier one ends.
    feeding: Rc<Cell<u32>>,
}

/// The page's sound. Clones share it.
#[derive(Clone)]
pub struct Audio {
    inner: Rc<Inner>,
}

impl fmt::Debug for Audio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Audio").field("state", &self.state()).finish()
    }
}

impl Audio {
    /// Sound that is off; reports and changes of state go to the two callbacks.
    #[must_use]
    pub fn new(on_report: impl Fn(Report) + 'static, on_state: impl Fn(AudioState) + 'static) -> Self {
        Self::with_scripts(Scripts::default(), on_report, on_state)
    }

    /// The same with the worklet's scripts somewhere else.
    #[must_use]
    pub fn with_scripts(
        scripts: Scripts,
        on_report: impl Fn(Report) + 'static,
        on_state: impl Fn(AudioState) + 'static,
    ) -> Self {
        Self {
            inner: Rc::new(Inner {
                scripts,
                state: RefCell::default(),
                device: RefCell::default(),
                orders: RefCell::default(),
                reels: Default::default(),
                repairs: Cell::new(0),
                on_report: Box::new(on_report),
                on_state: Box::new(on_state),
            }),
        }
    }

    /// How the sound is now.
    #[must_use]
    pub fn state(&self) -> AudioState {
        self.inner.state.borrow().clone()
    }

    /// The worklet's node, once it is there.
    #[must_use]
    pub fn node(&self) -> Option<AudioWorkletNode> {
        self.inner.node()
    }

    /// Starts or resumes the sound. Call it inside the handler of a click or key: the part that needs the
    /// user's gesture is done before this returns; the future brings the outcome.
    pub fn start(&self) -> impl Future<Output = AudioState> + use<> {
        let inner = self.inner.clone();
        let begun = inner.begin();
        async move {
            match begun {
                Ok(Begun::Made) => inner.build().await,
                Ok(Begun::Resumed) => inner.settle().await,
                // Whoever is making it brings the outcome.
                Ok(Begun::InTheMaking) => {}
                Err(error) => inner.fail(plain(&error)),
            }
            inner.state.borrow().clone()
        }
    }

    /// Gives the engine a command; one that comes before the sound has started waits for it.
    pub fn send(&self, command: &Command) {
        let Ok(written) = Written::of(command) else {
            return;
        };
        let runs = self.state() == AudioState::Running;
        let waits = self.inner.orders.borrow_mut().note(command, &written, runs);
        if let (Some(node), false) = (self.node(), waits) {
            voice::post(&node, &written);
        }
    }

    /// Puts on a recording that plays with the song, or takes it off.
    pub fn put_on(&self, slot: Slot, recording: Option<Recording>) {
        self.inner.reel(slot).recording.replace(recording);
        self.inner.feed(slot);
    }
}

/// Between two blocks of a recording, so that the audio thread never gets two at once, in milliseconds.
const BETWEEN_BLOCKS_MS: i32 = 5;

/// How a start began.
enum Begun {
    Made,
    Resumed,
    InTheMaking,
}

impl Inner {
    fn set(&self, state: AudioState) {
        if *self.state.borrow() == state {
            return;
        }
        if state.is_silenced() {
            self.hush();
        }
        self.state.replace(state.clone());
        if state == AudioState::Running {
            self.catch_up();
        }
        (self.on_state)(state);
    }

    /// Gives the engine what waited for the sound to run.
    fn catch_up(&self) {
        let waiting = self.orders.borrow_mut().take_waiting();
        if let Some(node) = self.node() {
            for written in waiting {
                voice::post(&node, &written);
            }
        }
    }

    /// Nothing of the moment waits, and the song does not run on unheard when the sound comes back.
    fn hush(&self) {
        self.orders.borrow_mut().forget_waiting();
        if let (Some(node), Ok(stop)) = (self.node(), Written::of(&Command::Stop)) {
            voice::post(&node, &stop);
        }
    }

    fn fail(&self, why: Said) {
        self.device.take();
        self.set(AudioState::Failed(why));
    }

    fn node(&self) -> Option<AudioWorkletNode> {
        self.device.borrow().as_ref()?.node().cloned()
    }

    /// Makes or resumes the context at once.
    fn begin(self: &Rc<Self>) -> Result<Begun, JsValue> {
        play_through_silent_switch();
        if let Some(device) = self.device.borrow().as_ref() {
            let _ = device.context.resume()?;
            let begun = match device.node() {
                Some(_) => Begun::Resumed,
                None => Begun::InTheMaking,
            };
            if self.state.borrow().is_silenced() {
                // So that a start that fails once more is told once more.
                self.set(AudioState::Starting);
            }
            return Ok(begun);
        }
        self.set(AudioState::Starting);
        let (follow, lose) = (Rc::downgrade(self), Rc::downgrade(self));
        let device = Device::open(
            move || {
                if let Some(inner) = Weak::upgrade(&follow) {
                    inner.follow_context();
                }
            },
            move || {
                later(&lose, |inner| {
                    inner.fail(said!("the audio device was lost or could not be opened"))
                })
            },
        )?;
        self.device.replace(Some(device));
        Ok(Begun::Made)
    }

    /// Loads the scripts, makes the node and connects it.
    async fn build(self: &Rc<Self>) {
        let Some(context) = self.device.borrow().as_ref().map(|d| d.context.clone()) else {
            return;
        };
        let given = self.orders.borrow().lasting();
        let made = voice_node(&context, &self.scripts, &given).await;
        if let Err(error) = made.and_then(|node| self.connect(node)) {
            return self.fail(plain(&error));
        }
        self.brief(&given);
        self.settle().await;
    }

    /// Gives a new engine what changed while its scripts were loading, and the recording.
    fn brief(&self, given: &[Written]) {
        let Some(node) = self.node() else { return };
        for written in self
            .orders
            .borrow()
            .lasting()
            .iter()
            .filter(|written| !given.contains(written))
        {
            voice::post(&node, written);
        }
        self.feed(Slot::Song);
        self.feed(Slot::StandIn);
    }

    fn reel(&self, slot: Slot) -> &Reel {
        let [song, stand_in] = &self.reels;
        match slot {
            Slot::Song => song,
            Slot::StandIn => stand_in,
        }
    }

    /// Gives the engine a recording, a block at a time.
    fn feed(&self, slot: Slot) {
        let Some(node) = self.node() else { return };
        let reel = self.reel(slot);
        let recording = reel.recording.borrow().clone();
        let turn = reel.feeding.get().wrapping_add(1);
        reel.feeding.set(turn);
        let rate = recording.as_ref().map(|r| r.rate);
        let head = match slot {
            Slot::Song => Command::Tape(rate),
            Slot::StandIn => Command::StandIn(rate),
        };
        if let Ok(head) = Written::of(&head) {
            voice::post(&node, &head);
        }
        let Some(recording) = recording else { return };
        let feeding = Rc::clone(&reel.feeding);
        spawn_local(async move {
            for block in recording.blocks.iter() {
                // Another one was put on meanwhile.
                if feeding.get() != turn {
                    return;
                }
                voice::feed(&node, slot, block);
                pause(BETWEEN_BLOCKS_MS).await;
            }
        });
    }

    fn connect(self: &Rc<Self>, node: AudioWorkletNode) -> Result<(), JsValue> {
        let (hear, broken) = (Rc::downgrade(self), Rc::downgrade(self));
        let on_message = move |event: JsValue| {
            let Some(inner) = Weak::upgrade(&hear) else { return };
            match event.unchecked_into::<MessageEvent>().data().as_string() {
                Some(json) => {
                    if let Ok(report) = serde_json::from_str(&json) {
                        (inner.on_report)(report);
                    }
                }
                None => inner.mend(),
            }
        };
        let on_break = move || {
            if let Some(inner) = Weak::upgrade(&broken) {
                inner.mend();
            }
        };
        match self.device.borrow_mut().as_mut() {
            Some(device) => device.connect(node, on_message, on_break),
            // The device was lost while the scripts were loading; that has been said.
            None => Ok(()),
        }
    }

    /// Waits for the context to run; if it does not, it is blocked.
    async fn settle(self: &Rc<Self>) {
        const STEP_MS: i32 = 25;
        for _ in 0..PATIENCE_MS / STEP_MS {
            match self.device.borrow().as_ref().map(Device::state) {
                Some(state) if state == "running" => return self.set(AudioState::Running),
                // Lost meanwhile; that has been said.
                None => return,
                Some(_) => {}
            }
            pause(STEP_MS).await;
        }
        self.set(AudioState::Blocked);
    }

    fn follow_context(&self) {
        let Some(state) = self
            .device
            .borrow()
            .as_ref()
            .filter(|d| d.node().is_some())
            .map(Device::state)
        else {
            return;
        };
        match state.as_str() {
            "running" => self.set(AudioState::Running),
            "suspended" | "interrupted" if *self.state.borrow() == AudioState::Running => {
                self.set(AudioState::Interrupted);
            }
            _ => {}
        }
    }

    /// A broken engine can't be trusted: the context goes, and a new one takes over what was loaded.
    fn mend(self: &Rc<Self>) {
        if *self.state.borrow() == AudioState::Mending {
            return;
        }
        self.set(AudioState::Mending);
        later(&Rc::downgrade(self), |inner| {
            inner.device.take();
            inner.orders.borrow_mut().forget_waiting();
            let repairs = inner.repairs.get() + 1;
            inner.repairs.set(repairs);
            if repairs > MOST_REPAIRS {
                return inner.set(AudioState::Failed(said!("the sound engine keeps breaking")));
            }
            match inner.begin() {
                Ok(_) => spawn_local(async move { inner.build().await }),
                Err(error) => inner.fail(plain(&error)),
            }
        });
    }
}

/// Does something once the closure that asks for it has returned: it may be about to go with its device.
fn later(inner: &Weak<Inner>, act: impl FnOnce(Rc<Inner>) + 'static) {
    let inner = inner.clone();
    spawn_local(async move {
        pause(0).await;
        if let Some(inner) = inner.upgrade() {
            act(inner);
        }
    });
}

/// On iOS the ringer switch silences a page unless it says that it plays.
fn play_through_silent_switch() {
    let Some(window) = web_sys::window() else { return };
    if let Ok(session) = js_sys::Reflect::get(&window.navigator(), &"audioSession".into())
        && session.is_object()
    {
        let _ = js_sys::Reflect::set(&session, &"type".into(), &"playback".into());
    }
}

/// A browser's error in its own words.
fn plain(error: &JsValue) -> Said {
    let words = error.dyn_ref::<js_sys::Error>().map(|e| String::from(e.message()));
    Said::from(
        words
            .or_else(|| error.as_string())
            .unwrap_or_else(|| format!("{error:?}")),
    )
}
