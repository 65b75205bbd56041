//! The laws of `tests/foreign` for a fuzzer, and one more: what is read takes memory in proportion to what came.

#[path = "../../foreign/mod.rs"]
mod foreign;

use foreign::{READERS, Reader};
use peak_alloc::PeakAlloc;
use std::sync::Once;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// The most that may be held at once beside what was held before: that of a hostile link.
const MOST_MEGABYTES: usize = 16;

/// Holds a reader's law to these bytes. Panics where it is broken.
pub fn obey(name: &str, bytes: &[u8]) {
    static WARM: Once = Once::new();
    let Some(Reader { law, seeds, .. }) = READERS.into_iter().find(|reader| reader.name == name) else {
        panic!("there is no reader called {name}");
    };
    // What is made once and kept (shipped instruments, limits) is not these bytes' doing.
    WARM.call_once(|| seeds().iter().for_each(|seed| law(seed)));
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    law(bytes);
    let held = MEMORY.peak_usage().saturating_sub(before);
    assert!(held <= MOST_MEGABYTES << 20, "{held} bytes were held at once for {} bytes", bytes.len());
}
