//! Room for `train`.
