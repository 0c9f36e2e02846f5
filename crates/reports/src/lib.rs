//! Room for `reports`.
