//! Room for `workbench`.

pub mod mechanics;
