//! The browser's audio context with the worklet's node, and all that listens to them.

use js_sys::Reflect;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use web_sys::{AudioContext, AudioWorkletNode, EventTarget};

/// The event by which the browser says that the processor threw.
const PROCESSOR_ERROR: &str = "processorerror";
/// The events by which a context says that it runs, stands, or has lost its device.
const STATE_CHANGE: &str = "statechange";
const DEVICE_ERROR: &str = "error";

/// A listener that goes when it is dropped.
#[derive(Debug)]
pub(in crate::platform) struct Ear {
    target: EventTarget,
    event: &'static str,
    closure: Closure<dyn FnMut(JsValue)>,
}

impl Ear {
    pub(in crate::platform) fn new(
        target: &EventTarget,
        event: &'static str,
        hear: impl FnMut(JsValue) + 'static,
    ) -> Self {
        let closure = Closure::new(hear);
        let ear = Self {
            target: target.clone(),
            event,
            closure,
        };
        // Refused only by a page that is being torn down.
        let _ = target.add_event_listener_with_callback(event, ear.closure.as_ref().unchecked_ref());
        ear
    }
}

impl Drop for Ear {
    fn drop(&mut self) {
        let hear = self.closure.as_ref().unchecked_ref();
        let _ = self.target.remove_event_listener_with_callback(self.event, hear);
    }
}

/// A context and, once the scripts are loaded, its node. Dropping it closes both.
#[derive(Debug)]
pub(super) struct Device {
    pub(super) context: AudioContext,
    node: Option<AudioWorkletNode>,
    ears: Vec<Ear>,
    on_message: Option<Closure<dyn FnMut(JsValue)>>,
}

impl Device {
    /// Asks the browser for a context and for its sound to start.
    ///
    /// # Errors
    /// The browser's own, when there is nothing to play through.
    pub(super) fn open(on_state: impl Fn() + 'static, on_lost: impl Fn() + 'static) -> Result<Self, JsValue> {
        let context = AudioContext::new()?;
        let _ = context.resume()?;
        let ears = vec![
            Ear::new(&context, STATE_CHANGE, move |_| on_state()),
            Ear::new(&context, DEVICE_ERROR, move |_| on_lost()),
        ];
        Ok(Self {
            context,
            node: None,
            ears,
            on_message: None,
        })
    }

    /// The node, once it is there.
    pub(super) fn node(&self) -> Option<&AudioWorkletNode> {
        self.node.as_ref()
    }

    /// Connects the node, and hears what it says and when it breaks.
    ///
    /// # Errors
    /// The browser's own, when the two do not belong together.
    pub(super) fn connect(
        &mut self,
        node: AudioWorkletNode,
        on_message: impl FnMut(JsValue) + 'static,
        on_break: impl Fn() + 'static,
    ) -> Result<(), JsValue> {
        node.connect_with_audio_node(&self.context.destination())?;
        let closure = Closure::new(on_message);
        node.port()?.set_onmessage(Some(closure.as_ref().unchecked_ref()));
        self.on_message = Some(closure);
        // A listener and not the `onprocessorerror` attribute, which Chromium does not call for an event
        // that a test dispatches.
        self.ears.push(Ear::new(&node, PROCESSOR_ERROR, move |_| on_break()));
        self.node = Some(node);
        Ok(())
    }

    /// The context's state in the browser's own word; some have one more than the standard ("interrupted").
    pub(super) fn state(&self) -> String {
        Reflect::get(&self.context, &"state".into())
            .ok()
            .and_then(|s| s.as_string())
            .unwrap_or_default()
    }
}

impl Drop for Device {
    fn drop(&mut self) {
        self.ears.clear();
        if let Some(node) = &self.node {
            if let Ok(port) = node.port() {
                port.set_onmessage(None);
            }
            let _ = node.disconnect();
        }
        // Closing is not waited for; nothing depends on when it is done.
        let _ = self.context.close();
    }
}
