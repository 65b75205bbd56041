//! Drawings written by hand: elements without a view of their own.
//!
//! What is drawn of a pass has a thousand elements and more. As views each keeps what it last said of itself, in memory
//! that is never given back; an element that is drawn anew with the whole need not.

use leptos::prelude::*;
use wasm_bindgen::JsValue;
use web_sys::Element;

/// A new element of a drawing in another, with what it says of itself; what is empty is left out.
pub(super) fn part(into: &Element, name: &str, said: &[(&str, &str)]) -> Result<Element, JsValue> {
    const SVG: &str = "http://www.w3.org/2000/svg";
    let part = document().create_element_ns(Some(SVG), name)?;
    for (key, word) in said.iter().filter(|(_, word)| !word.is_empty()) {
        part.set_attribute(key, word)?;
    }
    into.append_child(&part)?;
    Ok(part)
}

/// A group of parts.
pub(super) fn group(into: &Element, class: &str) -> Result<Element, JsValue> {
    part(into, "g", &[("class", class)])
}

/// A line or a shape.
pub(super) fn path(into: &Element, class: &str, d: &str) -> Result<Element, JsValue> {
    part(into, "path", &[("class", class), ("d", d)])
}

/// A rectangle with round corners; its upper left corner, its width and height.
pub(super) fn rect(into: &Element, class: &str, corner: (f64, f64), size: (f64, f64)) -> Result<Element, JsValue> {
    let rect = plain_rect(into, class, corner, size)?;
    rect.set_attribute("rx", "3")?;
    Ok(rect)
}

/// A rectangle; its upper left corner, its width and height.
pub(super) fn plain_rect(
    into: &Element,
    class: &str,
    corner: (f64, f64),
    size: (f64, f64),
) -> Result<Element, JsValue> {
    let [x, y, w, h] = [corner.0, corner.1, size.0, size.1].map(|figure| figure.to_string());
    let said = [("class", class), ("x", &x), ("y", &y), ("width", &w), ("height", &h)];
    part(into, "rect", &said)
}

/// Words; where they stand.
pub(super) fn text(into: &Element, class: &str, at: (f64, f64), words: &str) -> Result<Element, JsValue> {
    let [x, y] = [at.0, at.1].map(|figure| figure.to_string());
    let text = part(into, "text", &[("class", class), ("x", &x), ("y", &y)])?;
    text.set_text_content(Some(words));
    Ok(text)
}
