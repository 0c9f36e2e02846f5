//! The body is shared with the test that replays the corpus.
#![no_main]

#[path = "../bodies/rule_book.rs"]
mod body;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| body::run(bytes));
