//! Keeping the screen awake while hands and feet are on the instrument (W3C, Screen Wake Lock API).
//!
//! *Invariant:* the screen is held only between [`Wake::hold`] and [`Wake::release`], and while the page is seen:
//! the browser lets go of it in the background, and it is asked for again when the page comes back.

use js_sys::{Function, Promise, Reflect};
use std::cell::{Cell, RefCell};
use std::fmt;
use std::rc::Rc;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

struct Inner {
    wanted: Cell<bool>,
    asking: Cell<bool>,
    sentinel: RefCell<Option<JsValue>>,
}

/// The screen's wake lock; dropped, it is let go.
pub struct Wake {
    inner: Rc<Inner>,
    on_seen: Closure<dyn FnMut()>,
}

impl fmt::Debug for Wake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Wake")
            .field("wanted", &self.inner.wanted.get())
            .finish()
    }
}

impl Default for Wake {
    fn default() -> Self {
        let inner = Rc::new(Inner {
            wanted: Cell::new(false),
            asking: Cell::new(false),
            sentinel: RefCell::default(),
        });
        let own = Rc::clone(&inner);
        let on_seen = Closure::new(move || own.ask());
        listen(&on_seen, true);
        Self { inner, on_seen }
    }
}

impl Drop for Wake {
    fn drop(&mut self) {
        listen(&self.on_seen, false);
        self.release();
    }
}

impl Wake {
    /// Whether this browser can keep the screen awake.
    #[must_use]
    pub fn possible() -> bool {
        lock().is_some()
    }

    /// Keeps the screen awake from now on. Refused (a low battery, say), it is not asked for again until the page
    /// is seen anew.
    pub fn hold(&self) {
        self.inner.wanted.set(true);
        self.inner.ask();
    }

    /// Lets the screen sleep again.
    pub fn release(&self) {
        self.inner.wanted.set(false);
        self.inner.let_go();
    }
}

impl Inner {
    fn ask(self: &Rc<Self>) {
        let seen = web_sys::window()
            .and_then(|w| w.document())
            .is_some_and(|d| d.visibility_state() == web_sys::VisibilityState::Visible);
        let held = self.sentinel.borrow().as_ref().is_some_and(|s| !is_released(s));
        if !seen || held || !self.wanted.get() || self.asking.replace(true) {
            return;
        }
        let inner = Rc::clone(self);
        spawn_local(async move {
            let asked = lock().and_then(|lock| call(&lock, "request", &["screen".into()]));
            if let Some(Ok(sentinel)) = match asked {
                Some(promise) => Some(JsFuture::from(promise).await),
                None => None,
            } {
                inner.sentinel.replace(Some(sentinel));
            }
            inner.asking.set(false);
            if !inner.wanted.get() {
                inner.let_go();
            }
        });
    }

    fn let_go(&self) {
        if let Some(sentinel) = self.sentinel.borrow_mut().take() {
            // Nothing depends on when the browser has done it.
            drop(call(&sentinel, "release", &[]));
        }
    }
}

fn is_released(sentinel: &JsValue) -> bool {
    Reflect::get(sentinel, &"released".into()).is_ok_and(|released| released.is_truthy())
}

/// `navigator.wakeLock`, where there is one.
fn lock() -> Option<JsValue> {
    let navigator = web_sys::window()?.navigator();
    let lock = Reflect::get(&navigator, &"wakeLock".into()).ok()?;
    (!lock.is_undefined() && !lock.is_null()).then_some(lock)
}

fn call(on: &JsValue, name: &str, with: &[JsValue]) -> Option<Promise> {
    let function = Reflect::get(on, &name.into()).ok()?.dyn_into::<Function>().ok()?;
    let given = with.iter().cloned().collect::<js_sys::Array>();
    function.apply(on, &given).ok()?.dyn_into().ok()
}

fn listen(on_seen: &Closure<dyn FnMut()>, on: bool) {
    let Some(document) = web_sys::window().and_then(|w| w.document()) else {
        return;
    };
    let listener = on_seen.as_ref().unchecked_ref();
    let done = if on {
        document.add_event_listener_with_callback("visibilitychange", listener)
    } else {
        document.remove_event_listener_with_callback("visibilitychange", listener)
    };
    // Refused only for a malformed name, and this is a constant.
    drop(done);
}
