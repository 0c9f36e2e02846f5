//! One constraint with its margin, and the fixed-size tally of all of them.

use std::fmt;

use gradeworthy_units::Length;
use statrs::function::erf::erfc;

use super::{BackToBack, Bound, Side, Uncertainty, Window};

/// Which constraint; the letters are those of the module's table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ConstraintKind {
    /// (a) The backs against wing and guard rail.
    Span,
    /// (f) The least back-to-back as printed.
    BackToBackMin,
    /// (f) The greatest back-to-back as printed.
    BackToBackMax,
    /// (e) Both flanges against the narrowest gauge.
    Gauge,
    /// (b) The tread of this wheel on its rail, the other wheel's flange against its own.
    TreadSupport(Side),
    /// (c) The least check gauge over the flange of this wheel.
    CheckGaugeMin(Side),
    /// (d) The greatest check gauge over the flange of this wheel.
    CheckGaugeMax(Side),
    /// (g) The flange of this wheel in its flangeway.
    Flangeway(Side),
    /// (h) T min as printed.
    FlangeThicknessMin(Side),
    /// (h) T max as printed.
    FlangeThicknessMax(Side),
    /// (h) D min as printed.
    FlangeDepthMin(Side),
    /// (h) D max as printed.
    FlangeDepthMax(Side),
    /// (h) N min as printed.
    TireWidthMin(Side),
    /// (h) N max as printed.
    TireWidthMax(Side),
}

/// What a constraint does to the window for B.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// It holds B from below.
    Lower,
    /// It holds B from above.
    Upper,
    /// It does not depend on B: moving a wheel on its axle changes nothing.
    Neither,
}

impl ConstraintKind {
    /// What it does to the window for B.
    #[must_use]
    pub const fn edge(self) -> Edge {
        match self {
            Self::Span | Self::BackToBackMin | Self::TreadSupport(_) | Self::CheckGaugeMin(_) => {
                Edge::Lower
            }
            Self::BackToBackMax | Self::Gauge | Self::CheckGaugeMax(_) => Edge::Upper,
            Self::Flangeway(_)
            | Self::FlangeThicknessMin(_)
            | Self::FlangeThicknessMax(_)
            | Self::FlangeDepthMin(_)
            | Self::FlangeDepthMax(_)
            | Self::TireWidthMin(_)
            | Self::TireWidthMax(_) => Edge::Neither,
        }
    }
}

impl ConstraintKind {
    /// Every constraint on a wheelset.
    pub fn all() -> impl Iterator<Item = Self> {
        let pair = [
            Self::Span,
            Self::BackToBackMin,
            Self::BackToBackMax,
            Self::Gauge,
        ];
        let wheel = |side| {
            [
                Self::TreadSupport(side),
                Self::CheckGaugeMin(side),
                Self::CheckGaugeMax(side),
                Self::Flangeway(side),
                Self::FlangeThicknessMin(side),
                Self::FlangeThicknessMax(side),
                Self::FlangeDepthMin(side),
                Self::FlangeDepthMax(side),
                Self::TireWidthMin(side),
                Self::TireWidthMax(side),
            ]
        };
        pair.into_iter()
            .chain(Side::BOTH.into_iter().flat_map(wheel))
    }

    /// Whether its limit is a least one; the others are greatest ones.
    #[must_use]
    pub const fn is_lower(self) -> bool {
        matches!(
            self,
            Self::Span
                | Self::BackToBackMin
                | Self::TreadSupport(_)
                | Self::CheckGaugeMin(_)
                | Self::FlangeThicknessMin(_)
                | Self::FlangeDepthMin(_)
                | Self::TireWidthMin(_)
        )
    }

    /// The same constraint on the other wheel; itself where it concerns the pair.
    #[must_use]
    pub const fn mirrored(self) -> Self {
        match self {
            Self::Span | Self::BackToBackMin | Self::BackToBackMax | Self::Gauge => self,
            Self::TreadSupport(side) => Self::TreadSupport(side.other()),
            Self::CheckGaugeMin(side) => Self::CheckGaugeMin(side.other()),
            Self::CheckGaugeMax(side) => Self::CheckGaugeMax(side.other()),
            Self::Flangeway(side) => Self::Flangeway(side.other()),
            Self::FlangeThicknessMin(side) => Self::FlangeThicknessMin(side.other()),
            Self::FlangeThicknessMax(side) => Self::FlangeThicknessMax(side.other()),
            Self::FlangeDepthMin(side) => Self::FlangeDepthMin(side.other()),
            Self::FlangeDepthMax(side) => Self::FlangeDepthMax(side.other()),
            Self::TireWidthMin(side) => Self::TireWidthMin(side.other()),
            Self::TireWidthMax(side) => Self::TireWidthMax(side.other()),
        }
    }
}

impl ConstraintKind {
    /// What it is about, without the wheel.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Span => "span",
            Self::BackToBackMin => "back-to-back, least",
            Self::BackToBackMax => "back-to-back, greatest",
            Self::Gauge => "gauge",
            Self::TreadSupport(_) => "tread support",
            Self::CheckGaugeMin(_) => "check gauge, least",
            Self::CheckGaugeMax(_) => "check gauge, greatest",
            Self::Flangeway(_) => "flange in its flangeway",
            Self::FlangeThicknessMin(_) => "flange thickness, least",
            Self::FlangeThicknessMax(_) => "flange thickness, greatest",
            Self::FlangeDepthMin(_) => "flange depth, least",
            Self::FlangeDepthMax(_) => "flange depth, greatest",
            Self::TireWidthMin(_) => "tire width, least",
            Self::TireWidthMax(_) => "tire width, greatest",
        }
    }

    /// The wheel it is about; none for those on the pair.
    #[must_use]
    pub const fn side(self) -> Option<Side> {
        match self {
            Self::Span | Self::BackToBackMin | Self::BackToBackMax | Self::Gauge => None,
            Self::TreadSupport(side)
            | Self::CheckGaugeMin(side)
            | Self::CheckGaugeMax(side)
            | Self::Flangeway(side)
            | Self::FlangeThicknessMin(side)
            | Self::FlangeThicknessMax(side)
            | Self::FlangeDepthMin(side)
            | Self::FlangeDepthMax(side)
            | Self::TireWidthMin(side)
            | Self::TireWidthMax(side) => Some(side),
        }
    }
}

impl fmt::Display for ConstraintKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())?;
        match self.side() {
            Some(side) => write!(f, ", {side} wheel"),
            None => Ok(()),
        }
    }
}

/// One judged constraint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Constraint {
    /// Which.
    pub kind: ConstraintKind,
    /// The left-hand side: the reading, or the sum of readings that the table shows.
    pub found: Length,
    /// The right-hand side, clearance included.
    pub limit: Length,
    /// How far inside the limit, negative outside.
    pub margin: Length,
}

/// 4 constraints on the pair and 10 on each wheel.
const CONSTRAINT_COUNT_MAX: usize = 24;

/// The constraints of one wheelset; lives on the stack.
#[derive(Clone, Debug, Default)]
pub(super) struct Tally {
    judged: [Option<Constraint>; CONSTRAINT_COUNT_MAX],
    judged_count: usize,
    not_measured: [Option<ConstraintKind>; CONSTRAINT_COUNT_MAX],
    not_measured_count: usize,
}

impl Tally {
    #[inline]
    pub(super) fn enter(
        &mut self,
        kind: ConstraintKind,
        found: Option<Length>,
        limit: Option<Length>,
    ) {
        let Some(limit) = limit else { return };
        if let Some(found) = found {
            self.judged[self.judged_count] = Some(Constraint {
                kind,
                found,
                limit,
                margin: if kind.is_lower() {
                    found - limit
                } else {
                    limit - found
                },
            });
            self.judged_count += 1;
        } else {
            self.not_measured[self.not_measured_count] = Some(kind);
            self.not_measured_count += 1;
        }
    }

    pub(super) fn judged(&self) -> impl Iterator<Item = &Constraint> {
        self.judged[..self.judged_count].iter().flatten()
    }

    pub(super) fn not_measured(&self) -> impl Iterator<Item = ConstraintKind> {
        self.not_measured[..self.not_measured_count]
            .iter()
            .flatten()
            .copied()
    }

    /// The edges for B: a margin m of a lower constraint says that B⁻ could fall by m.
    pub(super) fn window(&self, back_to_back: BackToBack) -> Window {
        let mut window = Window {
            lower: None,
            upper: None,
        };
        for constraint in self.judged() {
            match constraint.kind.edge() {
                Edge::Lower => {
                    let at = back_to_back.low - constraint.margin;
                    if window.lower.is_none_or(|edge| at > edge.at) {
                        window.lower = Some(Bound {
                            at,
                            set_by: constraint.kind,
                        });
                    }
                }
                Edge::Upper => {
                    let at = back_to_back.high + constraint.margin;
                    if window.upper.is_none_or(|edge| at < edge.at) {
                        window.upper = Some(Bound {
                            at,
                            set_by: constraint.kind,
                        });
                    }
                }
                Edge::Neither => {}
            }
        }
        window
    }

    /// Eq. (i), clamped to 0..1.
    pub(super) fn conformity(&self, uncertainty: &Uncertainty) -> f64 {
        let sigma = Sigma::new(uncertainty);
        let failing: f64 = self
            .judged()
            .map(|constraint| {
                probability_of_failing(nm(constraint.margin), sigma.of(constraint.kind))
            })
            .sum();
        (1.0 - failing).clamp(0.0, 1.0)
    }
}

/// Standard uncertainty of a margin by kind, nm, from the law of propagation for a plain sum,
/// [JCGM-100 §5.1.2].
struct Sigma {
    back_to_back_nm: f64,
    flange_nm: f64,
    tire_nm: f64,
    depth_nm: f64,
    with_one_flange_nm: f64,
    with_two_flanges_nm: f64,
    with_flange_and_tire_nm: f64,
}

impl Sigma {
    fn new(uncertainty: &Uncertainty) -> Self {
        let back_to_back_nm = nm(uncertainty.back_to_back);
        let flange_nm = nm(uncertainty.flange_thickness);
        let tire_nm = nm(uncertainty.tire_width);
        let one_flange_nm2 = back_to_back_nm * back_to_back_nm + flange_nm * flange_nm;
        Self {
            back_to_back_nm,
            flange_nm,
            tire_nm,
            depth_nm: nm(uncertainty.flange_depth),
            with_one_flange_nm: one_flange_nm2.sqrt(),
            with_two_flanges_nm: (one_flange_nm2 + flange_nm * flange_nm).sqrt(),
            with_flange_and_tire_nm: (one_flange_nm2 + tire_nm * tire_nm).sqrt(),
        }
    }

    fn of(&self, kind: ConstraintKind) -> f64 {
        match kind {
            ConstraintKind::Span
            | ConstraintKind::BackToBackMin
            | ConstraintKind::BackToBackMax => self.back_to_back_nm,
            ConstraintKind::Gauge => self.with_two_flanges_nm,
            ConstraintKind::TreadSupport(_) => self.with_flange_and_tire_nm,
            ConstraintKind::CheckGaugeMin(_) | ConstraintKind::CheckGaugeMax(_) => {
                self.with_one_flange_nm
            }
            ConstraintKind::Flangeway(_)
            | ConstraintKind::FlangeThicknessMin(_)
            | ConstraintKind::FlangeThicknessMax(_) => self.flange_nm,
            ConstraintKind::FlangeDepthMin(_) | ConstraintKind::FlangeDepthMax(_) => self.depth_nm,
            ConstraintKind::TireWidthMin(_) | ConstraintKind::TireWidthMax(_) => self.tire_nm,
        }
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "readings are below 10 m, so below 2^53 nm"
)]
fn nm(length: Length) -> f64 {
    length.nanometres() as f64
}

/// Φ(−m/σ); beyond nine σ it is below 1.2e-19 and taken as zero.
fn probability_of_failing(margin_nm: f64, sigma_nm: f64) -> f64 {
    if margin_nm >= 9.0 * sigma_nm {
        return 0.0;
    }
    if sigma_nm <= 0.0 {
        return 1.0;
    }
    0.5 * erfc(margin_nm / sigma_nm * std::f64::consts::FRAC_1_SQRT_2)
}
