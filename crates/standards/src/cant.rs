//! Cant, as NEM 114 limits it.
//!
//! (1) u ≤ G / 15, u the cant and G the gauge, printed rounded down to a step of the sheet.
//!
//! The sheet calls cant dynamically needless on a model and warns that it raises the risk of cars
//! tipping inwards. Source: [NEM-114].

use gradeworthy_units::Length;

use crate::limit::{Limit, millimetres};
use crate::table;

/// The greatest cant printed for this gauge; `None` for a gauge the sheet has no row for.
#[must_use]
pub fn nem_114_cant_max(gauge: Length) -> Option<Limit> {
    let table = table("nem-114-umax")?;
    let row = table.rows().find(|row| millimetres(row) == Some(gauge))?;
    Limit::of(table.cell(row, "u_max")?)
}

/// The greatest cant by the rule itself, equation (1), for gauges between the rows.
#[must_use]
pub fn nem_114_cant_by_rule(gauge: Length) -> Length {
    gauge / 15
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gauge_between_the_rows_has_no_printed_cant() {
        let narrow = Length::from_hundredths_mm(1050);
        assert_eq!(nem_114_cant_max(narrow), None);
        assert_eq!(nem_114_cant_by_rule(narrow), Length::from_hundredths_mm(70));
    }
}
