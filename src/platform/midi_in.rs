//! MIDI controllers, where the browser has them (Web MIDI API).

use crate::words::Said;
use js_sys::{Function, Promise, Reflect, Uint8Array};
use std::rc::Rc;
use thiserror::Error;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// Why there are no controllers to be heard.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum MidiError {
    /// This browser has no such thing.
    Missing,
    /// The user or the device said no.
    Refused,
}

impl MidiError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Missing => {
                said!("This browser can't hear MIDI controllers: use one that can, or the pedals on the page.")
            }
            Self::Refused => said!(
                "The browser was not allowed to hear MIDI controllers: allow it in the settings of this page, then try again."
            ),
        }
    }
}

/// The controllers, heard as long as this lives.
#[derive(Debug)]
pub struct MidiIn {
    access: JsValue,
    _on_change: Closure<dyn FnMut()>,
}

type Hear = Rc<Closure<dyn FnMut(JsValue)>>;

impl MidiIn {
    /// Asks the browser for all controllers, those plugged in later too; each message's bytes go to `on_message`.
    /// Call it from a click or a key: the browser may ask the user.
    ///
    /// # Errors
    /// When the browser has no MIDI, or may not use it.
    pub async fn open(on_message: impl Fn(&[u8]) + 'static) -> Result<Self, MidiError> {
        let access = ask().await?;
        let hear: Hear = Rc::new(Closure::new(move |event: JsValue| {
            if let Ok(data) = Reflect::get(&event, &"data".into())
                && let Some(bytes) = data.dyn_ref::<Uint8Array>()
            {
                on_message(&bytes.to_vec());
            }
        }));
        listen(&access, &hear);
        let known = access.clone();
        let on_change = Closure::new(move || listen(&known, &hear));
        // A plain object that takes any property.
        let _ = Reflect::set(&access, &"onstatechange".into(), on_change.as_ref());
        Ok(Self {
            access,
            _on_change: on_change,
        })
    }

    /// The names of the controllers that are plugged in.
    #[must_use]
    pub fn names(&self) -> Vec<Said> {
        let mut names = Vec::new();
        each_input(&self.access, |input| {
            let name = Reflect::get(input, &"name".into()).ok().and_then(|n| n.as_string());
            names.push(name.map_or_else(|| said!("A controller without a name"), Said::from));
        });
        names
    }
}

impl Drop for MidiIn {
    fn drop(&mut self) {
        let _ = Reflect::set(&self.access, &"onstatechange".into(), &JsValue::NULL);
        each_input(&self.access, |input| {
            let _ = Reflect::set(input, &"onmidimessage".into(), &JsValue::NULL);
        });
    }
}

async fn ask() -> Result<JsValue, MidiError> {
    let navigator = web_sys::window().map(|w| w.navigator()).ok_or(MidiError::Missing)?;
    let ask = Reflect::get(&navigator, &"requestMIDIAccess".into())
        .ok()
        .and_then(|f| f.dyn_into::<Function>().ok())
        .ok_or(MidiError::Missing)?;
    let promise = ask.call0(&navigator).map_err(|_| MidiError::Refused)?;
    JsFuture::from(promise.unchecked_into::<Promise>())
        .await
        .map_err(|_| MidiError::Refused)
}

/// Hears every controller there is; setting the same listener twice changes nothing.
fn listen(access: &JsValue, hear: &Hear) {
    each_input(access, |input| {
        let _ = Reflect::set(input, &"onmidimessage".into(), (**hear).as_ref());
    });
}

fn each_input(access: &JsValue, mut act: impl FnMut(&JsValue)) {
    let Some(inputs) = Reflect::get(access, &"inputs".into()).ok() else {
        return;
    };
    let Some(values) = Reflect::get(&inputs, &"values".into())
        .ok()
        .and_then(|f| f.dyn_into::<Function>().ok())
        .and_then(|values| values.call0(&inputs).ok())
    else {
        return;
    };
    if let Ok(Some(all)) = js_sys::try_iter(&values) {
        all.flatten().for_each(|input| act(&input));
    }
}
