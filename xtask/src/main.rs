//! House checks.

fn main() {}
