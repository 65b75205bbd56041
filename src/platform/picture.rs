//! A drawing turned into dots.

use crate::words::Said;
use js_sys::{JsString, Reflect};
use thiserror::Error;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue, wasm_bindgen};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, HtmlCanvasElement, HtmlImageElement};

/// Dots to a pixel of the drawing: sharp on paper.
const DOTS: f64 = 3.0;
/// The most dots along one side, and in all: what every browser can hold.
const MOST_SIDE: f64 = 16_000.0;
const MOST_DOTS: f64 = 16_000_000.0;

#[wasm_bindgen]
extern "C" {
    /// A canvas's context for drawing, of which only this is needed.
    type Brush;

    #[wasm_bindgen(method, catch, js_name = drawImage)]
    fn draw_image(
        this: &Brush,
        image: &HtmlImageElement,
        x: f64,
        y: f64,
        width: f64,
        height: f64,
    ) -> Result<(), JsValue>;
}

/// Why there is no picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub struct PictureError;

impl PictureError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        said!("The browser could not make the picture: close other pages and try again, or save it as a drawing (SVG).")
    }
}

/// Shows a drawing that needs no file.
pub fn show(image: &HtmlImageElement, svg: &str) {
    // Only a frozen element refuses.
    let _ = Reflect::set(image, &"src".into(), &address(svg));
}

/// The address of a drawing, as the browser's own text: it is several times as long as the drawing, and the module never
/// gives memory back.
fn address(svg: &str) -> JsString {
    JsString::from("data:image/svg+xml,").concat(&js_sys::encode_uri_component(svg))
}

/// A drawing as PNG. A drawing that is too large for the browser becomes coarser.
///
/// # Errors
/// When the browser refuses.
pub async fn png(svg: &str) -> Result<Blob, PictureError> {
    dots(svg).await.map_err(|error| {
        web_sys::console::warn_2(&"a picture was not made:".into(), &error);
        PictureError
    })
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most MOST_SIDE
async fn dots(svg: &str) -> Result<Blob, JsValue> {
    let image = HtmlImageElement::new()?;
    Reflect::set(&image, &"src".into(), &address(svg))?;
    JsFuture::from(image.decode()).await?;
    let (wide, high) = (f64::from(image.natural_width()), f64::from(image.natural_height()));
    let most = (MOST_DOTS / (wide * high)).sqrt().min(MOST_SIDE / wide.max(high));
    let scale = DOTS.min(most);
    let document = web_sys::window().and_then(|w| w.document()).ok_or("no page")?;
    let canvas: HtmlCanvasElement = document.create_element("canvas")?.unchecked_into();
    canvas.set_width((wide * scale) as u32);
    canvas.set_height((high * scale) as u32);
    let brush: Brush = canvas.get_context("2d")?.ok_or("no canvas")?.unchecked_into();
    brush.draw_image(&image, 0.0, 0.0, f64::from(canvas.width()), f64::from(canvas.height()))?;
    let made = js_sys::Promise::new(&mut |done, _| {
        let hand_on = Closure::once_into_js(move |blob: JsValue| {
            // The promise takes whatever comes.
            let _ = done.call1(&JsValue::UNDEFINED, &blob);
        });
        // Only a canvas that holds others' pictures refuses, and that is seen by the missing answer.
        let _ = canvas.to_blob(hand_on.unchecked_ref());
    });
    JsFuture::from(made).await?.dyn_into()
}
