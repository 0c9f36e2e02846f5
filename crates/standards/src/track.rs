//! Published limits of track, edition by edition.
//!
//! Symbols of the sheets: G gauge; C check gauge of the track, guard face to frog point; S span
//! between the guard faces; F flangeway; H flange clearance, depth of the flangeway; P points.
//! The old S-3.2 prints bounds, that of 2010 targets with unequal tolerances: the two answer
//! different questions and are two standards here.
//! S of 2010 is not C − F to the thousandth: it is .002 in less in every row but two, [NMRA-S-3.2].
//! Sources: [NMRA-S-3.2], [NMRA-RP-3-4], [NMRA-S-3.1], [NEM-310], [PROTO-87].

use std::fmt;
use std::sync::LazyLock;

use crate::limit::{Bounds, Limit};
use crate::wheels::{fine_row, nmra_row};
use crate::{Scale, Table, table};

/// One edition of one publication on track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TrackStandard {
    /// NMRA S-3.2, old minimum/maximum edition; belongs with the old S-4.2.
    NmraS32Old,
    /// NMRA S-3.2 of February 2010, targets; no wheels of its edition are held.
    NmraS32Of2010,
    /// NMRA RP-3, Fine and Proto; belongs with RP-4.
    NmraRp3,
    /// NMRA S-3.1 of 2004, Proto.
    NmraS31Of2004,
    /// The Proto:87 page.
    Proto87,
    /// The track figures used with NEM 310 of 1977, superseded.
    Nem310Of1977,
}

/// What one row of a track standard prints.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackLimits {
    /// The edition.
    pub standard: TrackStandard,
    /// The row, as printed.
    pub row: &'static str,
    /// G.
    pub gauge: Bounds,
    /// C. Where the old S-3.2 is not held, C min is K max of S-4.2 and marked as derived.
    pub check_gauge: Bounds,
    /// S.
    pub span: Bounds,
    /// F.
    pub flangeway: Bounds,
    /// H.
    pub flange_clearance: Bounds,
    /// P.
    pub points: Bounds,
}

static LIMITS: LazyLock<Vec<TrackLimits>> = LazyLock::new(|| {
    TrackStandard::all()
        .flat_map(|standard| {
            let tables = standard.table_ids().iter().filter_map(|id| table(id));
            tables.flat_map(move |table| {
                table
                    .rows()
                    .map(move |row| TrackLimits::read(standard, table, row))
            })
        })
        .collect()
});

/// What `standard` prints for `scale`; `None` when it has no such row.
#[must_use]
pub fn track_limits(standard: TrackStandard, scale: Scale) -> Option<&'static TrackLimits> {
    let row = standard.row(scale)?;
    track_rows(standard).find(|limits| limits.row == row)
}

/// Every row of `standard`.
pub fn track_rows(standard: TrackStandard) -> impl Iterator<Item = &'static TrackLimits> {
    LIMITS
        .iter()
        .filter(move |limits| limits.standard == standard)
}

impl TrackLimits {
    fn read(standard: TrackStandard, table: &'static Table, row: &'static str) -> Self {
        let bounds = |stem| Bounds::read(table, row, stem);
        // S-3.1 parts the flangeway at the frog from that at the guard rail; the frog rules here.
        Self {
            standard,
            row,
            gauge: bounds("g"),
            check_gauge: bounds("c"),
            span: bounds("s"),
            flangeway: bounds("f").or(bounds("f_frog")),
            flange_clearance: bounds("h"),
            points: bounds("p"),
        }
    }

    /// The least flange clearance: printed as a minimum, or in S-3.1 as a bare figure.
    #[must_use]
    pub fn flange_clearance_min(&self) -> Option<Limit> {
        self.flange_clearance.min.or(self.flange_clearance.target)
    }
}

impl TrackStandard {
    /// Every edition held.
    pub fn all() -> impl Iterator<Item = Self> {
        [
            Self::NmraS32Old,
            Self::NmraS32Of2010,
            Self::NmraRp3,
            Self::NmraS31Of2004,
            Self::Proto87,
            Self::Nem310Of1977,
        ]
        .into_iter()
    }

    const fn table_ids(self) -> &'static [&'static str] {
        match self {
            Self::NmraS32Old => &["nmra-s-3.2-old", "nmra-s-3.2-old-inferred"],
            Self::NmraS32Of2010 => &["nmra-s-3.2-2010"],
            Self::NmraRp3 => &["nmra-rp-3-rp-4"],
            Self::NmraS31Of2004 => &["nmra-s-3.1-proto"],
            Self::Proto87 => &["proto-87.1"],
            Self::Nem310Of1977 => &["nem-310-old"],
        }
    }

    /// The row of `scale`, as printed.
    fn row(self, scale: Scale) -> Option<&'static str> {
        match self {
            Self::NmraS32Old => Some(nmra_row(scale)),
            Self::NmraS32Of2010 if scale == Scale::OO => Some("OO"),
            Self::NmraS32Of2010 => Some(nmra_row(scale)),
            Self::NmraRp3 => fine_row(scale),
            Self::NmraS31Of2004 => match scale {
                Scale::F => Some("Proto:20.3"),
                Scale::No1 => Some("Proto:32"),
                Scale::O => Some("Proto:48"),
                _ => None,
            },
            Self::Proto87 => (scale == Scale::HO).then_some("Proto:87"),
            Self::Nem310Of1977 => {
                let h0 = Scale::NemH0.gauge();
                (scale.gauge() == h0).then_some("16.5")
            }
        }
    }
}

impl fmt::Display for TrackStandard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.table_ids().first().and_then(|id| table(id)) {
            Some(table) => table.standard.fmt(f),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::Length;

    use super::*;

    // Source: [NMRA-S-3.2], HO row of both editions.
    #[test]
    fn the_two_editions_of_s_3_2_stay_two() {
        let of = |standard| track_limits(standard, Scale::HO).expect("both have an HO row");
        let old = of(TrackStandard::NmraS32Old);
        let new = of(TrackStandard::NmraS32Of2010);
        let thousandths = |limit: Option<Limit>| limit.map(|limit| limit.value);
        let inch = |thousandths| Some(Length::from_thousandths(thousandths));
        assert_eq!(thousandths(old.check_gauge.min), inch(605));
        assert_eq!(thousandths(old.check_gauge.max), None);
        assert_eq!(thousandths(new.check_gauge.target), inch(607));
        assert_eq!(thousandths(new.check_gauge.max), inch(614));
        assert_eq!(thousandths(old.span.max), inch(564));
        assert_eq!(thousandths(new.span.max), inch(559));
        assert_eq!(thousandths(old.gauge.max), inch(672));
        assert_eq!(thousandths(new.gauge.max), inch(661));
    }

    #[test]
    fn an_inferred_check_gauge_is_no_oracle() {
        let n = track_limits(TrackStandard::NmraS32Old, Scale::N).expect("inferred");
        let c = n.check_gauge.min.expect("inferred from K max");
        assert!(!c.confidence().may_be_oracle());
        assert!(n.gauge.is_empty());
    }
}
