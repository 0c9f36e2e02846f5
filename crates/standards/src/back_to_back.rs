//! The window of back-to-back for a wheelset whose flange is known.
//!
//! The NMRA prints no greatest back-to-back; it follows from the check gauge. With B back-to-back,
//! T flange thickness and K check gauge, all lengths:
//!
//! (1) K = B + T, so B ≤ K max − T and B ≥ K min − T.
//!
//! T is that of the flange really on the axle: a thinner flange than the standard contour widens
//! the window upward. Sources: [NMRA-S-4.2], [NMRA-RP-25], [NEM-310] and its supplement.

use gradeworthy_units::Length;

use crate::limit::Limit;
use crate::{Clause, WheelLimits};

/// The least and greatest back-to-back that one flange thickness allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BackToBackWindow {
    /// The lower end.
    pub min: Option<WindowEnd>,
    /// The upper end.
    pub max: Option<WindowEnd>,
}

/// One end of the window and what sets it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowEnd {
    /// The back-to-back.
    pub value: Length,
    /// The printed limit behind it: one of B, or one of K from which T was taken.
    pub clause: Clause,
    /// The flange thickness taken from K; `None` when the sheet prints B itself.
    pub flange_thickness: Option<Length>,
}

impl BackToBackWindow {
    /// The window that `limits` leave to flanges `flange_thickness` thick.
    ///
    /// Both the printed B and what K leaves hold; the narrower end is reported.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_standards::{BackToBackWindow, Scale, WheelStandard, contour, wheel_limits};
    /// use gradeworthy_units::Length;
    /// let ho = wheel_limits(WheelStandard::NmraS42Old, Scale::HO).ok_or("no row")?;
    /// let code_88 = contour(88).ok_or("no contour")?;
    /// let window = BackToBackWindow::new(ho, code_88.flange_thickness.value);
    /// assert_eq!(window.max.map(|end| end.value), Some(Length::from_thousandths(580)));
    /// # Ok::<(), &'static str>(())
    /// ```
    #[must_use]
    pub fn new(limits: &WheelLimits, flange_thickness: Length) -> Self {
        let printed = |limit: Limit| WindowEnd {
            value: limit.value,
            clause: limit.clause,
            flange_thickness: None,
        };
        // Equation (1).
        let from_check_gauge = |limit: Limit| WindowEnd {
            value: limit.value - flange_thickness,
            clause: limit.clause,
            flange_thickness: Some(flange_thickness),
        };
        let lower = limits.back_to_back.min.map(printed);
        let upper = limits.back_to_back.max.map(printed);
        let lower_by_k = limits.check_gauge.min.map(from_check_gauge);
        let upper_by_k = limits.check_gauge.max.map(from_check_gauge);
        Self {
            min: lower
                .into_iter()
                .chain(lower_by_k)
                .max_by_key(|end| end.value),
            max: upper
                .into_iter()
                .chain(upper_by_k)
                .min_by_key(|end| end.value),
        }
    }

    /// Greatest less least; negative when no back-to-back satisfies both.
    #[must_use]
    pub fn width(&self) -> Option<Length> {
        Some(self.max?.value - self.min?.value)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Scale, WheelStandard, wheel_limits};

    #[test]
    fn a_printed_b_max_holds_when_a_thin_flange_would_allow_more() {
        let h0 = wheel_limits(WheelStandard::Nem310Of2009, Scale::NemH0).expect("16.5 mm");
        let thin = BackToBackWindow::new(h0, Length::from_hundredths_mm(50));
        assert_eq!(thin.max.map(|end| end.clause.column), Some("b_max"));
        assert_eq!(thin.min.map(|end| end.clause.column), Some("k_min"));
        let thick = BackToBackWindow::new(h0, Length::from_hundredths_mm(90));
        assert_eq!(
            thick.max.map(|end| end.value),
            Some(Length::from_hundredths_mm(1440))
        );
        assert_eq!(thick.max.map(|end| end.clause.column), Some("k_max"));
    }

    proptest! {
        #[test]
        fn a_thicker_flange_never_widens_the_window(thin in 100_i64..400, more in 0_i64..200) {
            for limits in crate::wheel_rows(WheelStandard::NmraS42Old) {
                let thinner = Length::from_nanometres(thin * 1000);
                let thin_window = BackToBackWindow::new(limits, thinner);
                let thick = Length::from_nanometres((thin + more) * 1000);
                let thick_window = BackToBackWindow::new(limits, thick);
                prop_assert!(thick_window.width() <= thin_window.width());
            }
        }
    }
}
