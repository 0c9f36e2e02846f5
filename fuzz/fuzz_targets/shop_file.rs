//! The body is shared with the test that replays the corpus.
#![no_main]

#[path = "../bodies/shop_file.rs"]
mod body;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| body::run(bytes));
