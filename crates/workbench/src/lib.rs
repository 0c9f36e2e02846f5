//! Room for `workbench`.
