//! How much larger than life a small deviation is drawn.
//!
//! (X1) e = p·δ, with δ the deviation in mm, p pixels per mm and e pixels; p is chosen so that a
//! tolerance t comes out at a set number of pixels: `p = e_t/t`. Beyond a greatest e the picture is
//! cut short and says so, because a car that is far out would otherwise leave the sheet.

/// A factor for deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Exaggeration {
    /// Pixels for a millimetre of deviation.
    pub(super) px_per_mm: f64,
    /// The most that is drawn, in pixels.
    pub(super) px_max: f64,
}

/// A deviation as drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shift {
    /// Pixels, with the sign of the deviation.
    pub(super) px: f64,
    /// Whether it was cut short.
    pub(super) cut: bool,
}

impl Exaggeration {
    /// The factor that draws a tolerance of `tolerance_mm` as `px`, and nothing beyond `px_max`.
    ///
    /// `None` where there is no tolerance to go by.
    pub(super) fn drawing(tolerance_mm: f64, px: f64, px_max: f64) -> Option<Self> {
        let px_per_mm = px / tolerance_mm;
        (tolerance_mm > 0.0 && px_per_mm.is_finite()).then_some(Self { px_per_mm, px_max })
    }

    /// (X1).
    pub(super) fn of(&self, deviation_mm: f64) -> Shift {
        let px = self.px_per_mm * deviation_mm;
        Shift {
            px: px.clamp(-self.px_max, self.px_max),
            cut: px.abs() > self.px_max,
        }
    }

    /// How many times larger than the rest of a picture at `scale` pixels per mm, as people say it.
    pub(super) fn times(&self, scale: f64) -> String {
        let times = self.px_per_mm / scale;
        if times < 10.0 {
            format!("{times:.1}")
        } else {
            format!("{times:.0}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tolerance_is_drawn_as_asked_and_the_rest_in_proportion() {
        let by = Exaggeration::drawing(0.254, 16.0, 36.0).expect("a tolerance");
        let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(close(by.of(0.254).px, 16.0) && !by.of(0.254).cut);
        assert!(close(by.of(-0.127).px, -8.0));
        assert!(close(by.of(2.54).px, 36.0) && by.of(2.54).cut);
        assert_eq!(Exaggeration::drawing(0.0, 16.0, 36.0), None);
    }
}
