//! The worklet's node: how it is made and how it is spoken to.

use super::Slot;
use super::orders::Written;
use crate::platform::compiled::engine;
use js_sys::{Array, Int16Array, Object, Reflect};
use wasm_bindgen::prelude::JsValue;
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioWorkletNode, AudioWorkletNodeOptions, BaseAudioContext};

/// What the audio thread loads: addresses relative to the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scripts {
    /// Gives the audio thread what the module's glue needs.
    pub text: String,
    /// The processor.
    pub voice: String,
    /// Whether the engine is a module of its own; else the page's module is it.
    pub apart: bool,
}

impl Default for Scripts {
    fn default() -> Self {
        Self {
            text: "./worklet-text.js".to_owned(),
            voice: "./worklet.js".to_owned(),
            apart: true,
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
    commands: &[Written],
) -> Result<AudioWorkletNode, JsValue> {
    let worklet = context.audio_worklet()?;
    JsFuture::from(worklet.add_module(&scripts.text)?).await?;
    JsFuture::from(worklet.add_module(&scripts.voice)?).await?;
    let given = Object::new();
    let module = if scripts.apart {
        engine().await?
    } else {
        wasm_bindgen::module()
    };
    Reflect::set(&given, &"module".into(), &module)?;
    let list: Array = commands.iter().map(|written| JsValue::from(written.copy())).collect();
    Reflect::set(&given, &"commands".into(), &list)?;
    let options = AudioWorkletNodeOptions::new();
    options.set_number_of_inputs(0);
    options.set_output_channel_count(&Array::of1(&2.into()));
    options.set_processor_options(Some(&given));
    AudioWorkletNode::new_with_options(context, "leadbar-voice", &options)
}

/// Gives the node a command. Bytes and not text: the audio thread has no reader of text, and theirs is free.
pub(super) fn post(node: &AudioWorkletNode, written: &Written) {
    let bytes = written.copy();
    let handed_over = Array::of1(&bytes.buffer());
    if let Ok(port) = node.port() {
        // Bytes can always be sent.
        let _ = port.post_message_with_transferable(&bytes, &handed_over);
    }
}

/// Gives the node a block of a recording; a copy, for the next engine will want it too.
pub(super) fn feed(node: &AudioWorkletNode, slot: Slot, block: &Int16Array) {
    let message = match slot {
        Slot::Song => JsValue::from(block),
        Slot::StandIn => {
            let wrapped = Object::new();
            // A plain object takes any property.
            drop(Reflect::set(&wrapped, &"standIn".into(), block));
            wrapped.into()
        }
    };
    if let Ok(port) = node.port() {
        // Numbers can always be sent.
        let _ = port.post_message(&message);
    }
}
