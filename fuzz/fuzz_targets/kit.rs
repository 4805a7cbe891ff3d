//! Any bytes as the entry `kit` reads them.
#![no_main]

#[path = "../../tests/it/entries.rs"]
mod entries;

libfuzzer_sys::fuzz_target!(|data: &[u8]| entries::kit(data));
