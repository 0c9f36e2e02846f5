//! The numeric limits of a wheelset, and their agreement with each other.

use gradeworthy_units::Length;

use super::constraint::Tally;
use super::readings::{check_positive, check_short};
use super::{BackToBack, ConstraintKind, Side, Wheelset, WheelsetError};

/// Limits as a standard or a club prints them; `None` where it does not.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// S max of the track, over the outer faces of wing and guard rail.
    pub span_max: Option<Length>,
    /// G min of the track.
    pub gauge_min: Option<Length>,
    /// G max of the track, widening in curves included.
    pub gauge_max: Option<Length>,
    /// K min of the wheelset; a policy where the standard prints none, needed for thin flanges.
    pub check_gauge_min: Option<Length>,
    /// K max of the wheelset.
    pub check_gauge_max: Option<Length>,
    /// B min of the wheelset.
    pub back_to_back_min: Option<Length>,
    /// B max of the wheelset.
    pub back_to_back_max: Option<Length>,
    /// The flangeway F that a flange has to enter. The narrowest decides; where a standard prints
    /// only the greatest, passing is necessary and not sufficient.
    pub flangeway: Option<Length>,
    /// T min.
    pub flange_thickness_min: Option<Length>,
    /// T max.
    pub flange_thickness_max: Option<Length>,
    /// D min.
    pub flange_depth_min: Option<Length>,
    /// D max.
    pub flange_depth_max: Option<Length>,
    /// N min.
    pub tire_width_min: Option<Length>,
    /// N max.
    pub tire_width_max: Option<Length>,
}

/// What is kept clear beyond the bare limits; zero where nothing is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Clearances {
    /// `c_s`, between the backs and the greatest span.
    pub span: Length,
    /// `c_g`, between the flanges and the narrowest gauge.
    pub gauge: Length,
    /// `s_min`, the least tread left on the rail at the widest gauge.
    pub tread_support: Length,
    /// `c_f`, between the flange and its flangeway.
    pub flangeway: Length,
}

/// Limits and clearances that do not exclude each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FunctionalLimits {
    limits: Limits,
    clearances: Clearances,
}

impl FunctionalLimits {
    /// Joins limits and clearances.
    ///
    /// # Errors
    /// [`WheelsetError::LimitsContradict`] where two of them leave room for no wheelset at all,
    /// and the errors of range for a limit that is not positive or a length beyond 10 m.
    pub fn new(limits: Limits, clearances: Clearances) -> Result<Self, WheelsetError> {
        check_ranges(&limits, &clearances)?;
        let l = &limits;
        let flangeway = l.flangeway.map(|f| f - clearances.flangeway);
        let gauge = l.gauge_min.map(|gauge| gauge - clearances.gauge);
        let span = l.span_max.map(|span| span + clearances.span);
        let span = ("span max and clearance", span);
        let flangeway = ("flangeway less its clearance", flangeway);
        let gauge = ("gauge min less its clearance", gauge);
        check_positive(flangeway.0, flangeway.1)?;
        check_positive(gauge.0, gauge.1)?;
        let (b_min, b_max) = (("B min", l.back_to_back_min), ("B max", l.back_to_back_max));
        let (k_min, k_max) = (("K min", l.check_gauge_min), ("K max", l.check_gauge_max));
        let (t_min, t_max) = (
            ("T min", l.flange_thickness_min),
            ("T max", l.flange_thickness_max),
        );
        for (lower, upper) in [
            (("gauge min", l.gauge_min), ("gauge max", l.gauge_max)),
            (("D min", l.flange_depth_min), ("D max", l.flange_depth_max)),
            (("N min", l.tire_width_min), ("N max", l.tire_width_max)),
            (t_min, t_max),
            (t_min, flangeway),
            (b_min, b_max),
            (span, b_max),
            (k_min, k_max),
            (b_min, k_max),
            (span, k_max),
            (b_min, gauge),
            (span, gauge),
            (k_min, gauge),
        ] {
            check_agree(lower, upper)?;
        }
        Ok(Self { limits, clearances })
    }

    /// The limits without clearances.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.limits
    }

    /// The clearances.
    #[must_use]
    pub const fn clearances(&self) -> &Clearances {
        &self.clearances
    }

    /// `G_max` + `s_min` − `K_max`: the tire that (b) and (d) of the other wheel ask for together.
    pub(super) fn tread_need(&self) -> Option<Length> {
        Some(self.limits.gauge_max? + self.clearances.tread_support - self.limits.check_gauge_max?)
    }

    /// What a constraint is held against, clearance included; `None` where nothing is printed.
    #[must_use]
    pub fn limit(&self, kind: ConstraintKind) -> Option<Length> {
        use ConstraintKind as C;
        let (limits, clear) = (&self.limits, &self.clearances);
        match kind {
            C::Span => limits.span_max.map(|span| span + clear.span),
            C::BackToBackMin => limits.back_to_back_min,
            C::BackToBackMax => limits.back_to_back_max,
            C::Gauge => limits.gauge_min.map(|gauge| gauge - clear.gauge),
            C::TreadSupport(_) => limits.gauge_max.map(|gauge| gauge + clear.tread_support),
            C::CheckGaugeMin(_) => limits.check_gauge_min,
            C::CheckGaugeMax(_) => limits.check_gauge_max,
            C::Flangeway(_) => limits.flangeway.map(|f| f - clear.flangeway),
            C::FlangeThicknessMin(_) => limits.flange_thickness_min,
            C::FlangeThicknessMax(_) => limits.flange_thickness_max,
            C::FlangeDepthMin(_) => limits.flange_depth_min,
            C::FlangeDepthMax(_) => limits.flange_depth_max,
            C::TireWidthMin(_) => limits.tire_width_min,
            C::TireWidthMax(_) => limits.tire_width_max,
        }
    }

    /// Every constraint on this wheelset.
    pub(super) fn tally(&self, wheelset: &Wheelset) -> Tally {
        use ConstraintKind as C;
        let BackToBack { low, high } = wheelset.back_to_back;
        let mut tally = Tally::default();
        let mut enter = |kind: C, found| tally.enter(kind, found, self.limit(kind));
        enter(C::Span, Some(low));
        enter(C::BackToBackMin, Some(low));
        enter(C::BackToBackMax, Some(high));
        let over_flanges = sum(
            wheelset.left.flange_thickness,
            wheelset.right.flange_thickness,
        );
        enter(C::Gauge, over_flanges.map(|flanges| high + flanges));
        for side in Side::BOTH {
            let wheel = wheelset.wheel(side);
            let (flange, tire) = (wheel.flange_thickness, wheel.tire_width);
            let opposite_flange = wheelset.wheel(side.other()).flange_thickness;
            let reach = sum(opposite_flange, tire);
            enter(C::TreadSupport(side), reach.map(|reach| low + reach));
            enter(C::CheckGaugeMin(side), flange.map(|flange| low + flange));
            enter(C::CheckGaugeMax(side), flange.map(|flange| high + flange));
            enter(C::Flangeway(side), flange);
            enter(C::FlangeThicknessMin(side), flange);
            enter(C::FlangeThicknessMax(side), flange);
            enter(C::FlangeDepthMin(side), wheel.flange_depth);
            enter(C::FlangeDepthMax(side), wheel.flange_depth);
            enter(C::TireWidthMin(side), tire);
            enter(C::TireWidthMax(side), tire);
        }
        tally
    }
}

/// A limit with the name it has in messages.
type Named = (&'static str, Option<Length>);

fn check_agree(lower: Named, upper: Named) -> Result<(), WheelsetError> {
    match (lower, upper) {
        ((lower, Some(at_least)), (upper, Some(at_most))) if at_least > at_most => {
            Err(WheelsetError::LimitsContradict {
                lower,
                at_least,
                upper,
                at_most,
            })
        }
        _ => Ok(()),
    }
}

fn sum(one: Option<Length>, other: Option<Length>) -> Option<Length> {
    Some(one? + other?)
}

fn check_ranges(limits: &Limits, clearances: &Clearances) -> Result<(), WheelsetError> {
    for (what, limit) in [
        ("span max", limits.span_max),
        ("gauge min", limits.gauge_min),
        ("gauge max", limits.gauge_max),
        ("K min", limits.check_gauge_min),
        ("K max", limits.check_gauge_max),
        ("B min", limits.back_to_back_min),
        ("B max", limits.back_to_back_max),
        ("flangeway", limits.flangeway),
        ("T min", limits.flange_thickness_min),
        ("T max", limits.flange_thickness_max),
        ("D min", limits.flange_depth_min),
        ("D max", limits.flange_depth_max),
        ("N min", limits.tire_width_min),
        ("N max", limits.tire_width_max),
    ] {
        check_positive(what, limit)?;
    }
    for (what, clearance) in [
        ("span clearance", clearances.span),
        ("gauge clearance", clearances.gauge),
        ("tread support", clearances.tread_support),
        ("flangeway clearance", clearances.flangeway),
    ] {
        check_short(what, Some(clearance))?;
    }
    Ok(())
}
