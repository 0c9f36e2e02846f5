//! Tables: columns with a share of the width, rows of wrapped cells.

use crate::face::Face;

/// A table.
pub(crate) struct Table {
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<Vec<Cell>>,
    pub(crate) size_pt: f64,
}

/// A column.
pub(crate) struct Column {
    pub(crate) title: &'static str,
    /// Its part of the width, against the shares of the others.
    pub(crate) share: f64,
    /// Whether its cells stand at its right edge, as counts do.
    pub(crate) right: bool,
}

/// A cell; a line break in its text begins a paragraph.
pub(crate) struct Cell {
    pub(crate) text: String,
    pub(crate) face: Face,
}

impl Column {
    pub(crate) const fn new(title: &'static str, share: f64) -> Self {
        Self {
            title,
            share,
            right: false,
        }
    }

    pub(crate) const fn counts(title: &'static str, share: f64) -> Self {
        Self {
            title,
            share,
            right: true,
        }
    }
}

impl Cell {
    pub(crate) fn new(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            face: Face::Regular,
        }
    }

    pub(crate) fn bold(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            face: Face::Bold,
        }
    }
}
