//! Room for `sheets`.
