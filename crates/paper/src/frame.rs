//! Rectangles on paper: millimetres from the upper left corner, y downwards.

/// A rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Frame {
    /// Left edge, mm.
    pub x_mm: f64,
    /// Upper edge, mm.
    pub y_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
}

impl Frame {
    pub(crate) const fn new(x_mm: f64, y_mm: f64, width_mm: f64, height_mm: f64) -> Self {
        Self {
            x_mm,
            y_mm,
            width_mm,
            height_mm,
        }
    }

    /// Right edge, mm.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x_mm + self.width_mm
    }

    /// Lower edge, mm.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.y_mm + self.height_mm
    }

    /// The frame with `by` mm taken off every side; never less than nothing.
    pub(crate) fn inset(&self, by: f64) -> Self {
        Self {
            x_mm: self.x_mm + by,
            y_mm: self.y_mm + by,
            width_mm: (self.width_mm - 2.0 * by).max(0.0),
            height_mm: (self.height_mm - 2.0 * by).max(0.0),
        }
    }

    /// The least frame around both.
    pub(crate) fn around(self, other: Self) -> Self {
        let (x_mm, y_mm) = (self.x_mm.min(other.x_mm), self.y_mm.min(other.y_mm));
        Self {
            x_mm,
            y_mm,
            width_mm: self.right().max(other.right()) - x_mm,
            height_mm: self.bottom().max(other.bottom()) - y_mm,
        }
    }

    /// Whether `inner` lies within, give or take `slack` mm.
    #[cfg(test)]
    pub(crate) fn holds(&self, inner: &Self, slack: f64) -> bool {
        inner.x_mm >= self.x_mm - slack
            && inner.y_mm >= self.y_mm - slack
            && inner.right() <= self.right() + slack
            && inner.bottom() <= self.bottom() + slack
    }

    /// Whether the two share more than `slack` mm in both directions.
    #[cfg(test)]
    pub(crate) fn overlaps(&self, other: &Self, slack: f64) -> bool {
        let across = self.right().min(other.right()) - self.x_mm.max(other.x_mm);
        let down = self.bottom().min(other.bottom()) - self.y_mm.max(other.y_mm);
        across > slack && down > slack
    }
}
