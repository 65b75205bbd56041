//! Bytes deflated by the browser (RFC 1951), away from the page's thread and outside the module's memory.

use js_sys::{Array, Uint8Array};
use wasm_bindgen::prelude::{JsCast, JsValue, wasm_bindgen};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Response};

/// Bytes made shorter; nothing where the browser can't.
pub async fn deflated(bytes: &[u8]) -> Option<Vec<u8>> {
    let file = Blob::new_with_u8_array_sequence(&Array::of1(&Uint8Array::from(bytes))).ok()?;
    bytes_of(&deflated_file(&file).await?).await
}

/// A file made shorter; nothing where the browser can't.
pub(super) async fn deflated_file(file: &Blob) -> Option<Blob> {
    let packer = CompressionStream::new("deflate-raw").ok()?;
    let stream = file.stream().pipe_through(packer.unchecked_ref());
    blob_of(&Response::new_with_opt_readable_stream(Some(&stream)).ok()?).await
}

/// All that a response brings.
pub(super) async fn blob_of(response: &Response) -> Option<Blob> {
    JsFuture::from(response.blob().ok()?).await.ok()?.dyn_into().ok()
}

/// What is in a file.
pub(super) async fn bytes_of(file: &Blob) -> Option<Vec<u8>> {
    let buffer = JsFuture::from(file.array_buffer()).await.ok()?;
    Some(Uint8Array::new(&buffer).to_vec())
}

#[wasm_bindgen]
extern "C" {
    /// WHATWG, Compression Standard; the crate of browser types does not count it among the stable ones.
    type CompressionStream;

    #[wasm_bindgen(constructor, catch)]
    fn new(format: &str) -> Result<CompressionStream, JsValue>;
}
