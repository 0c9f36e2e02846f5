//! Bytes of a moving picture, little-endian.

/// The bytes so far.
#[derive(Default)]
pub(crate) struct Bytes(Vec<u8>);

impl Bytes {
    /// Counts as unsigned 32-bit numbers.
    pub(crate) fn counts(&mut self, counts: &[usize]) {
        for own in counts {
            let count = u32::try_from(*own).unwrap_or(0);
            self.0.extend(count.to_le_bytes());
        }
    }

    /// A 32-bit float.
    pub(crate) fn float(&mut self, value: f32) {
        self.0.extend(value.to_le_bytes());
    }

    /// A number in 16 bits; what is beyond them is at their end.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a float is clamped to the range on the way"
    )]
    pub(crate) fn step(&mut self, value: f32) {
        self.0.extend((value.round() as i16).to_le_bytes());
    }

    /// One byte.
    pub(crate) fn byte(&mut self, value: u8) {
        self.0.push(value);
    }

    /// Every byte.
    pub(crate) fn all(self) -> Vec<u8> {
        self.0
    }
}

/// A number in single precision, in which pictures are drawn.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a picture is drawn in single precision"
)]
pub(crate) fn single(value: f64) -> f32 {
    value as f32
}
