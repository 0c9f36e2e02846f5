//! Published limits of wheelsets, edition by edition.
//!
//! Symbols of the sheets: K check gauge, back of one flange to the rail-side face of the other;
//! B back-to-back; N tire width; T flange thickness; D flange depth; P wobble.
//! K = B + T, and tread width W = N − T.
//! The NMRA prints bounds one-sided (K max, B min, N min, D max) and no T; what a sheet does not
//! print is `None` here.
//! Sources: [NMRA-S-4.2], [NMRA-RP-3-4], [NEM-310], [NEM-311.1], [PROTO-87].

use std::fmt;
use std::sync::LazyLock;

use crate::limit::{Bounds, millimetres};
use crate::{Scale, TrackStandard, table};

/// One edition of one publication on wheels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum WheelStandard {
    /// NMRA S-4.2, old minimum/maximum edition. It has no row for `HOn3`.
    NmraS42Old,
    /// NMRA RP-4, Fine and Proto.
    NmraRp4,
    /// The Proto:87 page.
    Proto87,
    /// NEM 310 of 2009.
    Nem310Of2009,
    /// NEM 310 of 1977, superseded.
    Nem310Of1977,
    /// NEM 311.1 of 1996, low flanges, superseded.
    Nem3111Of1996,
}

/// What one row of a wheel standard prints.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelLimits {
    /// The edition.
    pub standard: WheelStandard,
    /// The row, as printed.
    pub row: &'static str,
    /// K.
    pub check_gauge: Bounds,
    /// B.
    pub back_to_back: Bounds,
    /// N.
    pub tire_width: Bounds,
    /// N1: what N may come down to where every frog has the least flangeway.
    pub tire_width_at_least_flangeway: Bounds,
    /// T.
    pub flange_thickness: Bounds,
    /// D.
    pub flange_depth: Bounds,
    /// P.
    pub wobble: Bounds,
}

static LIMITS: LazyLock<Vec<WheelLimits>> = LazyLock::new(|| {
    WheelStandard::all()
        .flat_map(|standard| {
            let rows = table(standard.table_id())
                .into_iter()
                .flat_map(crate::Table::rows);
            rows.map(move |row| WheelLimits::read(standard, row))
                .chain(standard.rows_by_note())
        })
        .collect()
});

/// What `standard` prints for `scale`; `None` when it has no such row.
///
/// NEM rows are gauges: a scale finds its row by its customary gauge, HO and On30 that of 16.5 mm
/// like H0, and the clause names the row.
///
/// # Example
/// ```
/// use gradeworthy_standards::{Scale, WheelStandard, wheel_limits};
/// let limits = wheel_limits(WheelStandard::NmraS42Old, Scale::HO).ok_or("no row")?;
/// let least = limits.back_to_back.min.ok_or("not printed")?;
/// assert_eq!(least.value.nanometres(), 14_376_400);
/// assert_eq!(
///     least.clause.to_string(),
///     "NMRA S-4.2 (old minimum/maximum edition), row HO, B min",
/// );
/// # Ok::<(), &'static str>(())
/// ```
#[must_use]
pub fn wheel_limits(standard: WheelStandard, scale: Scale) -> Option<&'static WheelLimits> {
    let row = standard.row(scale)?;
    wheel_rows(standard).find(|limits| limits.row == row)
}

/// Every row of `standard`.
pub fn wheel_rows(standard: WheelStandard) -> impl Iterator<Item = &'static WheelLimits> {
    LIMITS
        .iter()
        .filter(move |limits| limits.standard == standard)
}

impl WheelLimits {
    fn read(standard: WheelStandard, row: &'static str) -> Self {
        Self::read_from(standard, standard.table_id(), row)
    }

    fn read_from(standard: WheelStandard, table_id: &str, row: &'static str) -> Self {
        let bounds = |stem| {
            table(table_id).map_or_else(Bounds::default, |table| Bounds::read(table, row, stem))
        };
        Self {
            standard,
            row,
            check_gauge: bounds("k"),
            back_to_back: bounds("b"),
            tire_width: bounds("n"),
            tire_width_at_least_flangeway: bounds("n1"),
            flange_thickness: bounds("t"),
            flange_depth: bounds("d"),
            wobble: bounds("p"),
        }
    }

    /// These limits, with what they lack taken from the row that a note refers to.
    fn or(self, others: &Self) -> Self {
        Self {
            check_gauge: self.check_gauge.or(others.check_gauge),
            back_to_back: self.back_to_back.or(others.back_to_back),
            tire_width: self.tire_width.or(others.tire_width),
            flange_thickness: self.flange_thickness.or(others.flange_thickness),
            flange_depth: self.flange_depth.or(others.flange_depth),
            wobble: self.wobble.or(others.wobble),
            ..self
        }
    }
}

impl WheelStandard {
    /// Every edition held.
    pub fn all() -> impl Iterator<Item = Self> {
        [
            Self::NmraS42Old,
            Self::NmraRp4,
            Self::Proto87,
            Self::Nem310Of2009,
            Self::Nem310Of1977,
            Self::Nem3111Of1996,
        ]
        .into_iter()
    }

    /// The track edition that these wheels belong with, where one is held.
    ///
    /// None for NEM 310 of 2009, whose NEM 110 is held in part only, nor for NEM 311.1, which
    /// prints wheels alone.
    #[must_use]
    pub const fn track(self) -> Option<TrackStandard> {
        match self {
            Self::NmraS42Old => Some(TrackStandard::NmraS32Old),
            Self::NmraRp4 => Some(TrackStandard::NmraRp3),
            Self::Proto87 => Some(TrackStandard::Proto87),
            Self::Nem310Of1977 => Some(TrackStandard::Nem310Of1977),
            Self::Nem310Of2009 | Self::Nem3111Of1996 => None,
        }
    }

    const fn table_id(self) -> &'static str {
        match self {
            Self::NmraS42Old => "nmra-s-4.2-old",
            Self::NmraRp4 => "nmra-rp-3-rp-4",
            Self::Proto87 => "proto-87.1",
            Self::Nem310Of2009 => "nem-310-2009",
            Self::Nem310Of1977 => "nem-310-old",
            Self::Nem3111Of1996 => "nem-311.1-1996",
        }
    }

    /// The row of `scale`, as printed.
    fn row(self, scale: Scale) -> Option<&'static str> {
        match self {
            Self::NmraS42Old => Some(nmra_row(scale)),
            Self::NmraRp4 => fine_row(scale),
            Self::Proto87 => (scale == Scale::HO).then_some("Proto:87"),
            Self::Nem310Of2009 | Self::Nem310Of1977 | Self::Nem3111Of1996 => {
                let gauge = scale.gauge()?;
                table(self.table_id())?
                    .rows()
                    .find(|row| millimetres(row) == Some(gauge))
            }
        }
    }

    /// F, Fn3 and On30 stand in notes under the table of S-4.2, which refer to other rows of it.
    fn rows_by_note(self) -> Vec<WheelLimits> {
        const NOTES: &str = "nmra-s-4.2-old-notes";
        let Some(notes) = table(NOTES).filter(|_| self == Self::NmraS42Old) else {
            return Vec::new();
        };
        notes
            .rows()
            .map(|row| {
                let own = WheelLimits::read_from(self, NOTES, row);
                match notes.cell(row, "wheels_of") {
                    Some(base) => own.or(&WheelLimits::read(self, base.printed())),
                    None => own,
                }
            })
            .collect()
    }
}

impl fmt::Display for WheelStandard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match table(self.table_id()) {
            Some(table) => table.standard.fmt(f),
            None => f.write_str(self.table_id()),
        }
    }
}

/// The name of a row in the old NMRA sheets, where it is not the scale's own.
pub(crate) fn nmra_row(scale: Scale) -> &'static str {
    match scale {
        Scale::OneInch => "1\"",
        Scale::ThreeQuarterInch => "3/4\"",
        Scale::No1 => "#1 (I)",
        Scale::No1n3 => "#1n3",
        Scale::OO => "OO (Am.)",
        other => other.name(),
    }
}

/// The row of the Fine and Proto sheets.
pub(crate) fn fine_row(scale: Scale) -> Option<&'static str> {
    match scale {
        Scale::No1 => Some("Proto 32"),
        Scale::O => Some("Proto 48"),
        Scale::S => Some("S Fine"),
        Scale::HO => Some("HO Fine"),
        Scale::TT => Some("TT Fine"),
        Scale::N => Some("N Fine"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::Length;

    use super::*;
    use crate::Limit;

    #[test]
    fn a_row_that_is_not_printed_is_none() {
        assert_eq!(wheel_limits(WheelStandard::NmraS42Old, Scale::HOn3), None);
        assert_eq!(wheel_limits(WheelStandard::NmraS42Old, Scale::NemH0), None);
        assert_eq!(wheel_limits(WheelStandard::Nem310Of2009, Scale::O), None);
    }

    // Source: [NMRA-S-4.2], notes under the table.
    #[test]
    fn on30_takes_ho_wheels_and_fn3_those_of_no_1() {
        let of = |scale| wheel_limits(WheelStandard::NmraS42Old, scale).expect("a row or a note");
        assert_eq!(of(Scale::On30).back_to_back, of(Scale::HO).back_to_back);
        assert_eq!(of(Scale::Fn3).check_gauge, of(Scale::No1).check_gauge);
        let depth = of(Scale::Fn3).flange_depth.max.expect("in the note");
        assert_eq!(depth.value, Length::from_thousandths(90));
        assert_eq!(depth.clause.row, "Fn3");
        assert!(of(Scale::F).check_gauge.is_empty());
    }

    #[test]
    fn memory_and_print_stand_side_by_side_in_one_row() {
        let limits = wheel_limits(WheelStandard::Nem310Of2009, Scale::NemH0).expect("16.5 mm");
        let trusted = |limit: Option<Limit>| limit.map(|limit| limit.confidence().may_be_oracle());
        assert_eq!(trusted(limits.check_gauge.max), Some(true));
        assert_eq!(trusted(limits.flange_depth.max), Some(false));
        assert_eq!(trusted(limits.wobble.max), Some(false));
        assert_eq!(
            limits
                .tire_width_at_least_flangeway
                .min
                .map(|limit| limit.value),
            Some(Length::from_hundredths_mm(240))
        );
    }
}
