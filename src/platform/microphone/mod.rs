//! The microphone, heard raw: no echo is taken out, no noise, and its loudness is left alone (W3C, Media Capture and
//! Streams).
//!
//! *Invariant:* what is heard goes to the listener it was opened with and nowhere else; dropped, the microphone is off,
//! and the browser's own sign of it goes out.

mod trouble;

pub use trouble::{MicError, MicFacts};

use super::audio::Ear;
use crate::sound::SampleRate;
use js_sys::{Array, Float32Array, Function, Object, Promise, Reflect};
use std::fmt;
use std::future::Future;
use std::rc::Rc;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioContext, AudioContextOptions, AudioNode, AudioWorkletNode, EventTarget, MessageEvent};

/// Where the audio thread's half lies, relative to the page.
const SCRIPT: &str = "./microphone.js";

/// A microphone of a lower rate than this hears no overtones of a steel, in hertz.
const NARROW: f64 = 30_000.0;

/// What was heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// The sample that the block begins at: on the sound's own clock where it is heard in the sound's context.
    pub at: f64,
    /// One channel, 1 being full scale.
    pub samples: Vec<f32>,
}

type OnBlock = Box<dyn Fn(Block)>;
type OnGone = Rc<dyn Fn(MicError)>;

/// A microphone that is being heard.
pub struct Microphone {
    context: AudioContext,
    /// Whether the context goes with the microphone.
    own: bool,
    stream: JsValue,
    node: AudioWorkletNode,
    facts: MicFacts,
    _on_message: Closure<dyn FnMut(JsValue)>,
    ears: Vec<Ear>,
}

impl fmt::Debug for Microphone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Microphone").field("rate", &self.rate()).finish()
    }
}

impl Microphone {
    /// Asks the browser for a microphone. Call it inside the handler of a click or key: what needs the user's gesture
    /// is done before this returns. `on_gone` is told when the microphone is lost later on.
    ///
    /// # Errors
    /// When there is none, when the browser may not use it, or when it can't be connected.
    pub fn open(
        on_block: impl Fn(Block) + 'static,
        on_gone: impl Fn(MicError) + 'static,
    ) -> impl Future<Output = Result<Self, MicError>> {
        let context = AudioContext::new().map_err(|error| MicError::of(&error));
        if let Ok(context) = &context {
            // What comes of it is seen by whether blocks arrive.
            drop(context.resume());
        }
        let asked = ask();
        async move {
            let context = context?;
            let closed = context.clone();
            let opened = Self::connect((context, true), asked?, Box::new(on_block), Rc::new(on_gone)).await;
            if opened.is_err() {
                drop(closed.close());
            }
            opened
        }
    }

    /// The same in a context that sounds already, so that what is heard lies on its clock.
    ///
    /// # Errors
    /// As [`Self::open`] has them, and when the two rates can't be brought together.
    pub async fn join(
        sounding: AudioContext,
        on_block: impl Fn(Block) + 'static,
        on_gone: impl Fn(MicError) + 'static,
    ) -> Result<Self, MicError> {
        Self::connect((sounding, false), ask()?, Box::new(on_block), Rc::new(on_gone)).await
    }

    async fn connect(
        context: (AudioContext, bool),
        asked: Promise,
        on_block: OnBlock,
        on_gone: OnGone,
    ) -> Result<Self, MicError> {
        let stream = JsFuture::from(asked).await.map_err(|error| MicError::of(&error))?;
        let opened = Self::listen(context, &stream, on_block, &on_gone).await;
        if opened.is_err() {
            stop(&stream);
        }
        opened.map_err(|error| MicError::of(&error))
    }

    async fn listen(
        (context, own): (AudioContext, bool),
        stream: &JsValue,
        on_block: OnBlock,
        on_gone: &OnGone,
    ) -> Result<Self, JsValue> {
        let settings = track(stream).and_then(|track| call(&track, "getSettings", &[]).ok());
        let (context, heard) = if own {
            source_anywhere(context, stream, settings.as_ref())?
        } else {
            let node = source(&context, stream)?;
            (context, node)
        };
        let worklet = context.audio_worklet()?;
        JsFuture::from(worklet.add_module(SCRIPT)?).await?;
        let node = AudioWorkletNode::new(&context, "leadbar-ear")?;
        let on_message = Closure::new(move |event: JsValue| {
            if let Some(block) = read(&event.unchecked_into::<MessageEvent>().data()) {
                on_block(block);
            }
        });
        node.port()?.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        heard.connect_with_audio_node(&node)?;
        // It gives silence; connected, every browser runs it.
        node.connect_with_audio_node(&context.destination())?;
        let gone = Rc::clone(on_gone);
        let ended = track(stream)
            .and_then(|track| track.dyn_into::<EventTarget>().ok())
            .map(|track| Ear::new(&track, "ended", move |_| gone(MicError::Gone)));
        Ok(Self {
            context,
            own,
            stream: stream.clone(),
            node,
            facts: facts(settings.as_ref()),
            _on_message: on_message,
            ears: ended.into_iter().collect(),
        })
    }

    /// Samples in a second.
    #[must_use]
    pub fn rate(&self) -> SampleRate {
        SampleRate(f64::from(self.context.sample_rate()))
    }

    /// What the browser tells of it.
    #[must_use]
    pub fn facts(&self) -> MicFacts {
        self.facts
    }
}

impl Drop for Microphone {
    fn drop(&mut self) {
        self.ears.clear();
        if let Ok(port) = self.node.port() {
            port.set_onmessage(None);
        }
        stop(&self.stream);
        let _ = self.node.disconnect();
        if self.own {
            // Closing is not waited for; nothing depends on when it is done.
            drop(self.context.close());
        }
    }
}

/// Asks for the microphone as it is.
fn ask() -> Result<Promise, MicError> {
    let navigator = web_sys::window().map(|w| w.navigator()).ok_or(MicError::Missing)?;
    let devices = Reflect::get(&navigator, &"mediaDevices".into())
        .ok()
        .filter(|devices| !devices.is_undefined() && !devices.is_null())
        .ok_or(MicError::Missing)?;
    let raw = Object::new();
    for effect in ["echoCancellation", "noiseSuppression", "autoGainControl"] {
        set(&raw, effect, &JsValue::FALSE);
    }
    set(&raw, "channelCount", &1.into());
    let wanted = Object::new();
    set(&wanted, "audio", &raw);
    let asked = call(&devices, "getUserMedia", &[wanted.into()]).map_err(|error| MicError::of(&error))?;
    asked.dyn_into().map_err(|_| MicError::Missing)
}

/// The stream as a node.
fn source(context: &AudioContext, stream: &JsValue) -> Result<AudioNode, JsValue> {
    call(context, "createMediaStreamSource", std::slice::from_ref(stream)).map(JsCast::unchecked_into::<AudioNode>)
}

/// The stream as a node. Where a browser can't bring the two rates together, in a context of the microphone's own rate.
fn source_anywhere(
    context: AudioContext,
    stream: &JsValue,
    settings: Option<&JsValue>,
) -> Result<(AudioContext, AudioNode), JsValue> {
    let refused = match source(&context, stream) {
        Ok(node) => return Ok((context, node)),
        Err(refused) => refused,
    };
    let Some(rate) = settings.and_then(|settings| number(settings, "sampleRate")) else {
        return Err(refused);
    };
    drop(context.close());
    let options = AudioContextOptions::new();
    #[allow(clippy::cast_possible_truncation)] // a rate is a small whole number
    options.set_sample_rate(rate as f32);
    let own = AudioContext::new_with_context_options(&options)?;
    drop(own.resume());
    let node = source(&own, stream)?;
    Ok((own, node))
}

fn facts(settings: Option<&JsValue>) -> MicFacts {
    let Some(settings) = settings else {
        return MicFacts::default();
    };
    let on = |effect: &str| Reflect::get(settings, &effect.into()).is_ok_and(|on| on.is_truthy());
    MicFacts {
        cleaned: on("echoCancellation") || on("noiseSuppression"),
        narrow: number(settings, "sampleRate").is_some_and(|rate| rate < NARROW),
    }
}

/// A message of the audio thread's half.
fn read(message: &JsValue) -> Option<Block> {
    let heard = Reflect::get(message, &"heard".into()).ok()?;
    Some(Block {
        at: number(message, "at")?,
        samples: heard.dyn_into::<Float32Array>().ok()?.to_vec(),
    })
}

fn tracks(stream: &JsValue) -> Option<Array> {
    call(stream, "getTracks", &[]).ok()?.dyn_into().ok()
}

fn track(stream: &JsValue) -> Option<JsValue> {
    Some(tracks(stream)?.get(0)).filter(|track| !track.is_undefined())
}

fn stop(stream: &JsValue) {
    for track in tracks(stream).iter().flat_map(Array::iter) {
        drop(call(&track, "stop", &[]));
    }
}

fn number(of: &JsValue, key: &str) -> Option<f64> {
    Reflect::get(of, &key.into()).ok()?.as_f64()
}

fn set(on: &Object, key: &str, value: &JsValue) {
    // A plain object takes any property.
    drop(Reflect::set(on, &key.into(), value));
}

fn call(on: &JsValue, name: &str, with: &[JsValue]) -> Result<JsValue, JsValue> {
    let function: Function = Reflect::get(on, &name.into())?.dyn_into()?;
    function.apply(on, &with.iter().cloned().collect::<Array>())
}
