//! By what a job is known.

use std::fmt;

use sha2::{Digest, Sha256};

/// The hash of what a job works on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct JobId([u8; 16]);

impl JobId {
    /// Of a kind of work on these inputs; each is set apart by its length.
    pub(crate) fn of<'a>(kind: &'a str, inputs: impl IntoIterator<Item = &'a str>) -> Self {
        let mut hash = Sha256::new();
        for input in std::iter::once(kind).chain(inputs) {
            hash.update(input.len().to_le_bytes());
            hash.update(input);
        }
        let mut own = [0; 16];
        own.copy_from_slice(&hash.finalize()[..16]);
        Self(own)
    }

    /// The identity written as 32 hexadecimal digits.
    pub(crate) fn from_hex(text: &str) -> Option<Self> {
        if text.len() != 32 || !text.is_ascii() {
            return None;
        }
        let mut own = [0; 16];
        for (byte, at) in own.iter_mut().zip((0..32).step_by(2)) {
            *byte = u8::from_str_radix(text.get(at..at + 2)?, 16).ok()?;
        }
        Some(Self(own))
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_inputs_have_other_names_and_a_name_is_read_back() {
        let one = JobId::of("climb", ["ab", "c"]);
        assert_ne!(one, JobId::of("climb", ["a", "bc"]));
        assert_ne!(one, JobId::of("advice", ["ab", "c"]));
        assert_eq!(one, JobId::of("climb", ["ab", "c"]));
        assert_eq!(JobId::from_hex(&one.to_string()), Some(one));
        for text in ["", "0", "zz000000000000000000000000000000"] {
            assert_eq!(JobId::from_hex(text), None, "{text}");
        }
    }
}
