//! Two-dimensional codes that a phone reads back.
//!
//! Source: [ISO-18004]: symbol versions 1 to 40 of 4v + 17 modules a side, a quiet zone of four modules
//! on every side, error correction level M, which recovers from about 15 % of damage.

use fast_qr::{ECL, QRBuilder};

use crate::PaperError;

/// Light modules on every side.
const QUIET: usize = 4;
/// Longest text taken, bytes. Version 10 at level M holds 213 bytes; a larger symbol is too fine for
/// any label.
const BYTES_MOST: usize = 213;

/// A code: its modules, row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Code {
    /// Modules a side, the quiet zone left out.
    pub(crate) side: usize,
    dark: Vec<bool>,
}

impl Code {
    /// The code of a text.
    pub(crate) fn of(text: &str) -> Result<Self, PaperError> {
        let too_long = || PaperError::CodeTooLong {
            start: text.chars().take(24).collect(),
            length: text.len(),
            length_max: BYTES_MOST,
        };
        if text.len() > BYTES_MOST {
            return Err(too_long());
        }
        let symbol = QRBuilder::new(text).ecl(ECL::M).build();
        let symbol = symbol.map_err(|_| too_long())?;
        let side = symbol.size;
        let dark = (0..side).flat_map(|row| (0..side).map(move |column| (row, column)));
        let dark = dark.map(|(row, column)| symbol[row][column].value());
        Ok(Self {
            side,
            dark: dark.collect(),
        })
    }

    /// Modules a side with the quiet zone.
    pub(crate) fn side_with_quiet(&self) -> usize {
        self.side + 2 * QUIET
    }

    /// Runs of dark modules: column and row of the first, quiet zone counted, and how many.
    pub(crate) fn runs(&self) -> Vec<(usize, usize, usize)> {
        let mut runs: Vec<(usize, usize, usize)> = Vec::new();
        for row in 0..self.side {
            let mut open: Option<usize> = None;
            for column in 0..=self.side {
                let dark = column < self.side && self.dark[row * self.side + column];
                match (open, dark) {
                    (None, true) => open = Some(column),
                    (Some(from), false) => {
                        runs.push((from + QUIET, row + QUIET, column - from));
                        open = None;
                    }
                    (None, false) | (Some(_), true) => {}
                }
            }
        }
        runs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: [ISO-18004], module count of a version and the finder pattern of seven dark modules.
    #[test]
    fn a_short_address_makes_a_small_symbol_with_its_finder() {
        let code = Code::of("http://10.0.0.5:7700/c").expect("a code");
        assert_eq!(code.side, 25);
        assert_eq!(code.side_with_quiet(), 33);
        assert_eq!(code.runs()[0], (4, 4, 7));
    }

    #[test]
    fn a_text_that_no_label_could_hold_is_refused() {
        let error = Code::of(&"x".repeat(214)).expect_err("too long");
        assert!(error.to_string().contains("214 bytes"));
    }
}
