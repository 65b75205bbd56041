//! Waiting: for the next picture the browser draws, until the page is at rest, for a while, or until an element has
//! another size.

use js_sys::Promise;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::{Closure, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Element, ResizeObserver};

type Frame = Rc<RefCell<Option<Closure<dyn FnMut(f64)>>>>;

/// Calls `draw` with the clock in milliseconds before each picture until it answers `false`.
pub fn each_frame(mut draw: impl FnMut(f64) -> bool + 'static) {
    let frame: Frame = Rc::default();
    let own = Rc::clone(&frame);
    let closure = Closure::new(move |now: f64| {
        if draw(now) {
            ask(&own);
        } else {
            own.borrow_mut().take();
        }
    });
    frame.replace(Some(closure));
    ask(&frame);
}

fn ask(frame: &Frame) {
    let (Some(window), Some(closure)) = (web_sys::window(), &*frame.borrow()) else {
        return;
    };
    // Refused only by a page that is being torn down.
    drop(window.request_animation_frame(closure.as_ref().unchecked_ref()));
}

/// The clock that [`each_frame`] gives, in milliseconds.
#[must_use]
pub fn clock() -> f64 {
    web_sys::window().and_then(|w| w.performance()).map_or(0.0, |p| p.now())
}

/// Lets the page have its turn for this long.
pub async fn pause(milliseconds: i32) {
    let promise = Promise::new(&mut |done, _| {
        if let Some(window) = web_sys::window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, milliseconds);
        }
    });
    let _ = JsFuture::from(promise).await;
}

/// How long [`rest`] waits where the browser can't say when it has nothing to do, in milliseconds.
const SOME_REST: i32 = 200;

/// Waits until what was done last is on the screen and the browser has nothing more urgent to do.
pub async fn rest() {
    let Some(window) = web_sys::window() else { return };
    // A page that is not looked at draws nothing.
    if !window.document().is_some_and(|document| document.hidden()) {
        let drawn = Promise::new(&mut |done, _| {
            let _ = window.request_animation_frame(&done);
        });
        let _ = JsFuture::from(drawn).await;
        // That was before the picture; this is after it.
        pause(0).await;
    }
    let idle = Promise::new(&mut |done, failed| {
        if window.request_idle_callback(&done).is_err() {
            // Any refusal does.
            let _ = failed.call0(&JsValue::UNDEFINED);
        }
    });
    if JsFuture::from(idle).await.is_err() {
        pause(SOME_REST).await;
    }
}

/// Hears of each change of an element's size, and of its first, as long as it is kept.
pub struct SizeWatch {
    observer: ResizeObserver,
    _heard: Closure<dyn FnMut()>,
}

impl SizeWatch {
    /// Calls `heard` when the browser has laid the page out and the element's size is another one.
    ///
    /// # Errors
    /// What a browser says that has no such observer.
    pub fn new(element: &Element, heard: impl FnMut() + 'static) -> Result<Self, JsValue> {
        let heard = Closure::<dyn FnMut()>::new(heard);
        let observer = ResizeObserver::new(heard.as_ref().unchecked_ref())?;
        observer.observe(element);
        Ok(Self {
            observer,
            _heard: heard,
        })
    }
}

impl Drop for SizeWatch {
    fn drop(&mut self) {
        self.observer.disconnect();
    }
}
