//! Room for `demo`.
