//! Sound in the browser: starts the audio worklet, hands it commands, gives its reports, and mends it.
//!
//! *Invariant:* what is said about the sound is what the browser says of it: `Running` only while its audio
//! clock runs.

use crate::sound::{Command, Report};
use js_sys::{Array, Object, Promise, Reflect};
use std::cell::{Cell, RefCell};
use std::fmt;
use std::future::Future;
use std::rc::{Rc, Weak};
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{AudioContext, AudioWorkletNode, AudioWorkletNodeOptions, BaseAudioContext, MessageEvent};

/// How long the browser gets to let the sound start before it counts as blocked, in milliseconds.
const PATIENCE_MS: i32 = 1500;
/// How often a broken engine is built anew before giving up.
const MOST_REPAIRS: u8 = 3;

/// Whether there is sound, in terms a user can act on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum AudioState {
    /// Not asked for yet.
    #[default]
    Off,
    /// Being started.
    Starting,
    /// Sounding, or ready to.
    Running,
    /// The browser holds the sound back until the user acts.
    Blocked,
    /// Something else took the sound: a call, another app, a sleeping device.
    Interrupted,
    /// The engine broke and is being built anew.
    Mending,
    /// There is no sound, and why.
    Failed(String),
}

impl AudioState {
    /// What to tell the user; empty when all is well.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Off | Self::Starting | Self::Running => String::new(),
            Self::Blocked => "The browser is holding the sound back. Press play again to allow it.".to_owned(),
            Self::Interrupted => "The sound was interrupted. Press play to go on.".to_owned(),
            Self::Mending => "The sound broke off and is being restarted.".to_owned(),
            Self::Failed(why) => format!("There is no sound: {why}. Load the page again to try once more."),
        }
    }
}

impl fmt::Display for AudioState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words())
    }
}

/// The event by which the browser says that the processor threw.
const PROCESSOR_ERROR: &str = "processorerror";

/// Addresses of the two scripts that the audio thread loads, relative to the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scripts {
    /// Gives the audio thread what the module's glue needs.
    pub text: String,
    /// The processor.
    pub voice: String,
}

impl Default for Scripts {
    fn default() -> Self {
        Self {
            text: "./worklet-text.js".to_owned(),
            voice: "./worklet.js".to_owned(),
        }
    }
}

/// A running context with its node, and what must live as long.
struct Device {
    context: AudioContext,
    node: Option<AudioWorkletNode>,
    _on_change: Closure<dyn FnMut()>,
    keep: Vec<Closure<dyn FnMut(JsValue)>>,
}

struct Inner {
    scripts: Scripts,
    state: RefCell<AudioState>,
    device: RefCell<Option<Device>>,
    /// Commands that a new engine has to be given, so that it stands where the old one stood.
    standing: RefCell<Standing>,
    /// Commands that came before the engine was ready.
    waiting: RefCell<Vec<String>>,
    repairs: Cell<u8>,
    on_report: Box<dyn Fn(Report)>,
    on_state: Box<dyn Fn(AudioState)>,
}

/// The last command of each lasting kind, as JSON.
#[derive(Debug, Default)]
struct Standing {
    load: Option<String>,
    mix: Option<String>,
    amp: Option<String>,
    speed: Option<String>,
    around: Option<String>,
    count_in: Option<String>,
}

impl Standing {
    fn remember(&mut self, command: &Command, json: &str) {
        let place = match command {
            Command::Load(_) => &mut self.load,
            Command::Mix(_) => &mut self.mix,
            Command::Amp(_) => &mut self.amp,
            Command::Speed(_) => &mut self.speed,
            Command::Loop(_) => &mut self.around,
            Command::CountIn { .. } => &mut self.count_in,
            Command::Play { .. } | Command::Stop | Command::Live(_) => return,
        };
        *place = Some(json.to_owned());
    }

    fn all(&self) -> impl Iterator<Item = &String> {
        let mixed = [&self.mix, &self.amp, &self.speed, &self.around, &self.count_in];
        std::iter::once(&self.load).chain(mixed).flatten()
    }
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
                standing: RefCell::default(),
                waiting: RefCell::default(),
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
        self.inner.device.borrow().as_ref()?.node.clone()
    }

    /// Starts or resumes the sound. Call it inside the handler of a click or key: the part that needs the
    /// user's gesture is done before this returns; the future brings the outcome.
    pub fn start(&self) -> impl Future<Output = AudioState> + use<> {
        let inner = self.inner.clone();
        let begun = inner.begin();
        async move {
            match begun {
                Ok(true) => inner.build().await,
                Ok(false) => inner.settle().await,
                Err(error) => inner.set(AudioState::Failed(plain(&error))),
            }
            inner.state.borrow().clone()
        }
    }

    /// Gives the engine a command; one that comes before the sound has started waits for it.
    pub fn send(&self, command: &Command) {
        let Ok(json) = serde_json::to_string(command) else {
            return;
        };
        self.inner.standing.borrow_mut().remember(command, &json);
        let Some(node) = self.node() else {
            // Lasting commands are given to a new engine anyway.
            if matches!(command, Command::Play { .. } | Command::Stop | Command::Live(_)) {
                self.inner.waiting.borrow_mut().push(json);
            }
            return;
        };
        post(&node, &json);
    }
}

impl Inner {
    fn set(&self, state: AudioState) {
        if *self.state.borrow() != state {
            self.state.replace(state.clone());
            (self.on_state)(state);
        }
    }

    /// Makes or resumes the context at once; says whether it was made.
    fn begin(self: &Rc<Self>) -> Result<bool, JsValue> {
        play_through_silent_switch();
        if let Some(device) = self.device.borrow().as_ref() {
            let _ = device.context.resume()?;
            return Ok(false);
        }
        self.set(AudioState::Starting);
        let context = AudioContext::new()?;
        let _ = context.resume()?;
        let weak = Rc::downgrade(self);
        let on_change = Closure::<dyn FnMut()>::new(move || {
            if let Some(inner) = Weak::upgrade(&weak) {
                inner.follow_context();
            }
        });
        context.set_onstatechange(Some(on_change.as_ref().unchecked_ref()));
        self.device.replace(Some(Device {
            context,
            node: None,
            _on_change: on_change,
            keep: Vec::new(),
        }));
        Ok(true)
    }

    fn context(&self) -> Option<AudioContext> {
        self.device.borrow().as_ref().map(|d| d.context.clone())
    }

    /// Loads the scripts, makes the node and connects it.
    async fn build(self: &Rc<Self>) {
        let Some(context) = self.context() else { return };
        let commands: Vec<String> = self.standing.borrow().all().cloned().collect();
        match voice_node(&context, &self.scripts, &commands).await {
            Ok(node) => {
                self.listen(&node);
                if let Err(error) = node.connect_with_audio_node(&context.destination()) {
                    return self.set(AudioState::Failed(plain(&error)));
                }
                // What changed while the scripts were loading.
                let now: Vec<String> = self.standing.borrow().all().cloned().collect();
                for json in now.iter().filter(|json| !commands.contains(json)) {
                    post(&node, json);
                }
                for json in self.waiting.borrow_mut().drain(..) {
                    post(&node, &json);
                }
                if let Some(device) = self.device.borrow_mut().as_mut() {
                    device.node = Some(node);
                }
                self.settle().await;
            }
            Err(error) => {
                self.drop_device();
                self.set(AudioState::Failed(plain(&error)));
            }
        }
    }

    /// Waits for the context to run; if it does not, it is blocked.
    async fn settle(self: &Rc<Self>) {
        const STEP_MS: i32 = 25;
        for _ in 0..PATIENCE_MS / STEP_MS {
            if self.context_state() == "running" {
                return self.set(AudioState::Running);
            }
            pause(STEP_MS).await;
        }
        self.set(AudioState::Blocked);
    }

    /// The context's state in the browser's own word; Safari has one more than the standard ("interrupted").
    fn context_state(&self) -> String {
        self.context()
            .and_then(|c| Reflect::get(&c, &"state".into()).ok())
            .and_then(|s| s.as_string())
            .unwrap_or_default()
    }

    fn follow_context(&self) {
        let ready = self.device.borrow().as_ref().is_some_and(|d| d.node.is_some());
        match self.context_state().as_str() {
            "running" if ready => self.set(AudioState::Running),
            "suspended" | "interrupted" if *self.state.borrow() == AudioState::Running => {
                self.set(AudioState::Interrupted);
            }
            _ => {}
        }
    }

    /// Hears reports and faults of a node.
    fn listen(self: &Rc<Self>, node: &AudioWorkletNode) {
        let weak = Rc::downgrade(self);
        let on_message = Closure::<dyn FnMut(JsValue)>::new(move |event: JsValue| {
            let data = event.unchecked_into::<MessageEvent>().data();
            let Some(inner) = Weak::upgrade(&weak) else { return };
            match data.as_string() {
                Some(json) => {
                    if let Ok(report) = serde_json::from_str(&json) {
                        (inner.on_report)(report);
                    }
                }
                None => inner.mend(),
            }
        });
        let weak = Rc::downgrade(self);
        let on_error = Closure::<dyn FnMut(JsValue)>::new(move |_| {
            if let Some(inner) = Weak::upgrade(&weak) {
                inner.mend();
            }
        });
        if let Ok(port) = node.port() {
            port.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        }
        // A listener and not the `onprocessorerror` attribute, which Chromium does not call for an event
        // that a test dispatches.
        let _ = node.add_event_listener_with_callback(PROCESSOR_ERROR, on_error.as_ref().unchecked_ref());
        if let Some(device) = self.device.borrow_mut().as_mut() {
            device.keep = vec![on_message, on_error];
        }
    }

    /// A broken engine can't be trusted: the context goes, and a new one takes over what was loaded.
    fn mend(self: &Rc<Self>) {
        if *self.state.borrow() == AudioState::Mending {
            return;
        }
        self.set(AudioState::Mending);
        let inner = self.clone();
        // Not at once: this may run inside one of the closures that are about to go.
        spawn_local(async move {
            pause(0).await;
            inner.drop_device();
            (inner.on_report)(Report::Ended);
            let repairs = inner.repairs.get() + 1;
            inner.repairs.set(repairs);
            if repairs > MOST_REPAIRS {
                return inner.set(AudioState::Failed("the sound engine keeps breaking".to_owned()));
            }
            match inner.begin() {
                Ok(_) => inner.build().await,
                Err(error) => inner.set(AudioState::Failed(plain(&error))),
            }
        });
    }

    fn drop_device(&self) {
        if let Some(device) = self.device.borrow_mut().take() {
            device.context.set_onstatechange(None);
            if let Some(node) = device.node {
                for listener in &device.keep {
                    let listener = listener.as_ref().unchecked_ref();
                    let _ = node.remove_event_listener_with_callback(PROCESSOR_ERROR, listener);
                }
                let _ = node.disconnect();
            }
            // Closing is not waited for; nothing depends on when it is done.
            let _ = device.context.close();
        }
    }
}

/// Makes the worklet's node in any context, real-time or offline, with commands it obeys before its first sample.
///
/// # Errors
/// The browser's own error when a script can't be loaded or the processor can't be made.
pub async fn voice_node(
    context: &BaseAudioContext,
    scripts: &Scripts,
    commands: &[String],
) -> Result<AudioWorkletNode, JsValue> {
    let worklet = context.audio_worklet()?;
    JsFuture::from(worklet.add_module(&scripts.text)?).await?;
    JsFuture::from(worklet.add_module(&scripts.voice)?).await?;
    let given = Object::new();
    Reflect::set(&given, &"module".into(), &wasm_bindgen::module())?;
    let list: Array = commands.iter().map(|c| JsValue::from_str(c)).collect();
    Reflect::set(&given, &"commands".into(), &list)?;
    let options = AudioWorkletNodeOptions::new();
    options.set_number_of_inputs(0);
    options.set_output_channel_count(&Array::of1(&2.into()));
    options.set_processor_options(Some(&given));
    AudioWorkletNode::new_with_options(context, "leadbar-voice", &options)
}

fn post(node: &AudioWorkletNode, json: &str) {
    if let Ok(port) = node.port() {
        // A string can always be sent.
        let _ = port.post_message(&JsValue::from_str(json));
    }
}

/// On iOS the ringer switch silences a page unless it says that it plays.
fn play_through_silent_switch() {
    let Some(window) = web_sys::window() else { return };
    if let Ok(session) = Reflect::get(&window.navigator(), &"audioSession".into())
        && session.is_object()
    {
        let _ = Reflect::set(&session, &"type".into(), &"playback".into());
    }
}

async fn pause(milliseconds: i32) {
    let promise = Promise::new(&mut |done, _| {
        if let Some(window) = web_sys::window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, milliseconds);
        }
    });
    let _ = JsFuture::from(promise).await;
}

/// A browser's error in its own words.
fn plain(error: &JsValue) -> String {
    error
        .dyn_ref::<js_sys::Error>()
        .map_or_else(|| format!("{error:?}"), |e| String::from(e.message()))
}
