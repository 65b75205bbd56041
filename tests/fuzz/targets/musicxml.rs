#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| leadbar_fuzz::obey("musicxml", bytes));
