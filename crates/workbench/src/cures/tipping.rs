//! The rule book's tilt limits as limits on where the centre of gravity may lie.
//!
//! Symbols: β half the width on which the car tips, d how far that line lies below the rail head,
//! y and h the centre of gravity off the centre line and above the rail head, mm.
//!
//! - the lower of the two angles, tan θ = (β − |y|)/(h + d), is at least θ₀ where
//!   |y| + (h + d) tan θ₀ ≤ β (T1): height and offset share one allowance
//! - the two angles differ by tan δ = 2|y|(h + d)/((h + d)² + β² − y²), at a given y the most where
//!   (h + d)² = β² − y², and there sin δ = |y|/β; so |y| ≤ β sin δ₀ keeps the difference within δ₀
//!   at every height (T2), and asks at most 2 % too much between 39° and 51°, 14 % at 30°
//!
//! The search for weights knows limits on x, y and h one by one. Where its best plan breaks (T1),
//! plans are sought in rectangles under that slanting line instead.
//! Source: statics, derived here from [`crate::mechanics::balance`] (B2).

use gradeworthy_units::{Angle, Length, Mass};

use crate::mechanics::balance::Support;
use crate::mechanics::ballast::{
    BallastError, BallastPlan, BallastTask, Limits, Point, Proof, find_plan,
};

/// (T1).
#[derive(Clone, Copy, Debug)]
pub(super) struct Tipping {
    half_width_mm: f64,
    below_mm: f64,
    tangent: f64,
}

impl Tipping {
    /// What a least tilt angle asks of a car on `support`.
    pub(super) fn new(support: Support, least: Angle) -> Self {
        let (half_width, below) = match support {
            Support::Rails { half_width } => (half_width, Length::ZERO),
            Support::Plate {
                half_width,
                flange_depth,
            } => (half_width, flange_depth),
        };
        Self {
            half_width_mm: half_width.mm(),
            below_mm: below.mm(),
            tangent: least.radians().tan(),
        }
    }

    fn holds(self, centre: &Point) -> bool {
        let lean_mm = (centre.up.mm() + self.below_mm) * self.tangent;
        centre.across.abs().mm() + lean_mm <= self.half_width_mm
    }

    /// Rectangles under (T1), from the widest and lowest to the narrowest and highest.
    ///
    /// ASSUMED: eight. More come nearer to the line and take as much longer; a plan that lies
    /// between two steps is missed, and the answer's gap says by how much the found one may be off.
    fn under(self, limits: Limits) -> impl Iterator<Item = Limits> {
        const STEPS: i64 = 8;
        let half_width = Length::from_mm_rounded(self.half_width_mm).unwrap_or(Length::ZERO);
        let widest = limits.across_max.min(half_width);
        (0..STEPS).rev().filter_map(move |step| {
            let across_max = Length::from_nanometres(widest.nanometres() / STEPS * step);
            let room_mm = self.half_width_mm - across_max.mm();
            let height_mm = room_mm / self.tangent - self.below_mm;
            // A nanometre for rounding.
            let height_max = Length::from_mm_rounded(height_mm - 1e-6)?.min(limits.height_max);
            (height_max > Length::ZERO).then_some(Limits {
                across_max,
                height_max,
                ..limits
            })
        })
    }
}

/// What came of a search under (T1).
pub(super) enum Sought {
    /// This plan.
    Plan(BallastPlan, Proof),
    /// No plan; within these limits least of all.
    Nothing(Limits),
}

/// The best plan for `task` that also keeps clear of `tipping`.
pub(super) fn seek(
    task: &BallastTask<'_>,
    tipping: Option<Tipping>,
) -> Result<Sought, BallastError> {
    let Some((plan, proof)) = find_plan(task)? else {
        return Ok(Sought::Nothing(task.limits));
    };
    let Some(tipping) = tipping.filter(|tipping| !tipping.holds(&plan.centre)) else {
        return Ok(Sought::Plan(plan, proof));
    };
    // With (T1) left out no plan costs less than this, and so none does with it.
    let cost_at_least = match proof {
        Proof::Optimal => plan.cost,
        Proof::NodeLimit { cost_at_least, .. } => cost_at_least,
    };
    let mut best: Option<BallastPlan> = None;
    let mut blocked = task.limits;
    for limits in tipping.under(task.limits) {
        match find_plan(&BallastTask { limits, ..*task })? {
            Some((plan, _)) => {
                if best.as_ref().is_none_or(|own| plan.cost < own.cost) {
                    best = Some(plan);
                }
            }
            None => blocked = limits,
        }
    }
    let Some(plan) = best else {
        return Ok(Sought::Nothing(blocked));
    };
    let gap = plan.cost - cost_at_least;
    let proof = if gap <= Mass::ZERO {
        Proof::Optimal
    } else {
        Proof::NodeLimit { cost_at_least, gap }
    };
    Ok(Sought::Plan(plan, proof))
}
