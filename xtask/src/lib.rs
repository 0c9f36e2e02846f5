//! The house checks as a library: small functions from text to complaints, tested on snippets.
//!
//! [`tidy`] holds the rules of `docs/STYLE.md` that a machine can judge; [`browser`] runs the journeys
//! through the pages; [`ci`] strings them together with the compiler's, the tests' and the licences'
//! own judgement.

pub mod browser;
pub mod ci;
pub mod tidy;
