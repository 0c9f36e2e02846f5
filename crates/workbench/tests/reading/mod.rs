//! Reads numbers out of the JSON vectors and oracles.
#![allow(
    dead_code,
    clippy::panic,
    reason = "every test file takes what it needs of this, and a missing file has to stop it"
)]

use gradeworthy_units::{Angle, Length, Mass};
use serde_json::Value;

/// A file under this crate, as JSON.
pub(crate) fn json(path: &str) -> Value {
    let full = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&full).unwrap_or_else(|error| panic!("{full}: {error}"));
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{full}: {error}"))
}

/// The number at a JSON pointer.
pub(crate) fn number(value: &Value, pointer: &str) -> f64 {
    let found = value.pointer(pointer);
    found
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("no number at {pointer}"))
}

/// The list at a JSON pointer.
pub(crate) fn list<'a>(value: &'a Value, pointer: &str) -> &'a [Value] {
    let found = value.pointer(pointer);
    found
        .and_then(Value::as_array)
        .unwrap_or_else(|| panic!("no list at {pointer}"))
}

/// Millimetres to the nearest nanometre.
pub(crate) fn mm(value: f64) -> Length {
    Length::from_mm_rounded(value).expect("finite")
}

/// Grams to the nearest femtogram.
pub(crate) fn grams(value: f64) -> Mass {
    Mass::from_grams_rounded(value).expect("finite")
}

/// Radians.
pub(crate) fn radians(value: f64) -> Angle {
    Angle::from_radians(value).expect("finite")
}

/// Fails unless both numbers agree within `tolerance`.
#[track_caller]
pub(crate) fn close(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected} ± {tolerance}"
    );
}
