//! Bytes made shorter (RFC 1951), for links and for what a learning platform keeps.
//!
//! *Invariant:* the means for it are there once. They are 280 kB in four pieces, a class's page makes its link at every
//! look, and a module's memory is never given back: had anew each time, they came to lie behind one another.

use miniz_oxide::deflate::core::{
    CompressorOxide, TDEFLFlush, TDEFLStatus, compress_to_output, create_comp_flags_from_zip_params,
};
use std::cell::Cell;

/// How hard is tried, 0..=10: links are short texts.
const EFFORT: i32 = 9;

thread_local! {
    static MEANS: Cell<Option<Box<CompressorOxide>>> = const { Cell::new(None) };
}

/// The bytes deflated, without a head.
#[must_use]
pub fn deflated(bytes: &[u8]) -> Vec<u8> {
    let mut means = MEANS.take().unwrap_or_else(|| {
        // No bits for a window: no head. No strategy of its own.
        Box::new(CompressorOxide::new(create_comp_flags_from_zip_params(EFFORT, 0, 0)))
    });
    let mut short = Vec::with_capacity(bytes.len() / 2);
    let (status, _) = compress_to_output(&mut means, bytes, TDEFLFlush::Finish, |part| {
        short.extend_from_slice(part);
        true
    });
    // All is taken in at once, and nothing refuses what comes out.
    debug_assert_eq!(status, TDEFLStatus::Done);
    means.reset();
    MEANS.set(Some(means));
    short
}

#[cfg(test)]
mod tests {
    use super::*;
    use miniz_oxide::deflate::compress_to_vec;
    use miniz_oxide::inflate::decompress_to_vec;

    /// Texts that repeat, that don't, that are longer than what is looked back over, and none.
    fn texts() -> Vec<Vec<u8>> {
        let noise = (0_u32..200_000).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8);
        vec![
            Vec::new(),
            b"key Eb; 1 4 5 1 ".repeat(40),
            noise.collect(),
            b"1 4 5".to_vec(),
            b"one bar, and the next bar; ".repeat(9_000),
        ]
    }

    #[test]
    fn means_that_were_used_give_what_new_ones_give() {
        for text in texts().iter().chain(&texts()) {
            assert_eq!(deflated(text), compress_to_vec(text, 9), "{} bytes", text.len());
        }
    }

    #[test]
    fn what_is_deflated_comes_back() {
        for text in texts() {
            assert_eq!(decompress_to_vec(&deflated(&text)).unwrap(), text);
        }
    }
}
