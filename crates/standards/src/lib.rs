//! Room for `standards`.
