//! Wheel contours of NMRA RP-25, and the flange angles of NEM 311.
//!
//! A contour is named by its width N' in thousandths of an inch. T and W are taken at the gauging
//! point P, about where the fillet R1 meets R2, and N' = T + W in every row.
//! N' and D' are design sizes; the limits of N and D stand in S-4. RP-25 gives no flange angle.
//! Sources: [NMRA-RP-25], [NEM-311].

use std::sync::LazyLock;

use crate::limit::Limit;
use crate::table;

/// One contour of RP-25.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contour {
    /// The code: N' in thousandths of an inch.
    pub code: u16,
    /// N'.
    pub width: Limit,
    /// T.
    pub flange_thickness: Limit,
    /// W.
    pub tread_width: Limit,
    /// D'.
    pub flange_depth: Limit,
    /// P.
    pub gauging_point: Limit,
    /// R1, between tread and flange.
    pub fillet: Limit,
    /// R2, the inner flank.
    pub inner_radius: Limit,
    /// R3, the outer flank.
    pub outer_radius: Limit,
}

static CONTOURS: LazyLock<Vec<Contour>> = LazyLock::new(|| {
    table("nmra-rp-25")
        .into_iter()
        .flat_map(crate::Table::rows)
        .filter_map(Contour::read)
        .collect()
});

/// The contour of this code; `None` when RP-25 has no such row.
#[must_use]
pub fn contour(code: u16) -> Option<&'static Contour> {
    CONTOURS.iter().find(|contour| contour.code == code)
}

/// Every contour of RP-25, the widest first.
#[must_use]
pub fn contours() -> &'static [Contour] {
    &CONTOURS
}

/// Flange angle on the rail side in degrees, as NEM 311 of 2009 prints it.
#[must_use]
pub fn nem_311_flange_angle_deg() -> Option<f64> {
    table("nem-311-2009")?
        .cell("all gauges", "flange_rail_side_deg")?
        .number()
}

impl Contour {
    fn read(row: &str) -> Option<Self> {
        let limit = |column| Limit::of(table("nmra-rp-25")?.cell(row, column)?);
        Some(Self {
            code: row.parse().ok()?,
            width: limit("n")?,
            flange_thickness: limit("t")?,
            tread_width: limit("w")?,
            flange_depth: limit("d")?,
            gauging_point: limit("p")?,
            fillet: limit("r1")?,
            inner_radius: limit("r2")?,
            outer_radius: limit("r3")?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_printed_row_is_a_contour_named_by_its_width() {
        let printed = table("nmra-rp-25")
            .expect("in the catalogue")
            .rows()
            .count();
        assert_eq!(contours().len(), printed);
        for contour in contours() {
            let width = gradeworthy_units::Length::from_thousandths(i64::from(contour.code));
            assert_eq!(contour.width.value, width);
        }
        assert_eq!(contour(111), None);
    }
}
