//! Any bytes as the entry `drill` reads them.
#![no_main]

#[path = "../../tests/it/entries.rs"]
mod entries;

libfuzzer_sys::fuzz_target!(|data: &[u8]| entries::drill(data));
