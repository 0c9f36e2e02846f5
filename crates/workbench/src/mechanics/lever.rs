//! What washers under the trucks and shims in the boxes do to both couplers.
//!
//! A washer of thickness t under one bolster lifts that end of the body, and the body turns about
//! the other bolster: the near coupler rises by t(1 + q), the far one **falls** by t·q.
//!
//! | symbol | meaning |
//! | --- | --- |
//! | h | coupler height above the rail, mm |
//! | 2a, n | truck centres; overhang of a coupler beyond its bolster, mm |
//! | q | n/2a of that end |
//! | t, s | change of the washers under a bolster, and of the shims in a box, mm |
//!
//! - `h_A' = h_A + t_A(1 + q_A) − t_B q_A − s_A`, and the same with A and B exchanged (L1)
//! - the ride height at a bolster changes by t (L2)
//!
//! s counts as positive when it lowers the coupler: that is a shim between the box and the floor;
//! one under the shank raises and counts as negative ([`BoxMounting`]).
//! Validity: couplers mounted on the body (one on a truck does not move with the body), small
//! angles.
//! Source: rigid body on two supports, derived here.
//!
//! Reading errors go through by interval arithmetic: [`heights_between`] returns bounds that hold
//! for every combination of readings within theirs, rounded outwards.

use gradeworthy_units::Length;

use super::ends::Ends;
use super::input::{Unusable, not_negative_mm, positive_mm};

/// Why heights could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LeverError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// A length is so large that exact arithmetic would overflow.
    #[error("{what} is {found:.0}, above the limit of {limit:.0} for a bench")]
    TooLong {
        /// Which length.
        what: &'static str,
        /// What was given.
        found: Length,
        /// The limit.
        limit: Length,
    },
    /// An interval whose low end lies above its high end.
    #[error("{what} runs from {low:.3} to {high:.3}: the low end has to come first")]
    EmptyInterval {
        /// Which quantity.
        what: &'static str,
        /// Its low end.
        low: Length,
        /// Its high end.
        high: Length,
    },
}

/// No car on a bench is longer than this, which keeps every product inside an `i64`.
pub(crate) const LONGEST: Length = Length::from_nanometres(2_000_000_000);

/// Where the couplers hang beyond the bolsters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lever {
    /// 2a.
    pub truck_centres: Length,
    /// n at each end: coupler face beyond the bolster.
    pub overhang: Ends<Length>,
}

/// Which way a shim in the coupler box moves the coupler.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BoxMounting {
    /// Between the box and the floor above it: the coupler goes down.
    #[default]
    ShimLowers,
    /// Under the shank or the box: the coupler goes up.
    ShimRaises,
}

impl BoxMounting {
    /// The sign of s in (L1) for a shim of positive thickness.
    #[must_use]
    pub const fn sign(self) -> i64 {
        match self {
            Self::ShimLowers => 1,
            Self::ShimRaises => -1,
        }
    }
}

/// The changes that are made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Changes {
    /// t: added thickness under each bolster, negative when washers come out.
    pub washers: Ends<Length>,
    /// s: how far the box shims lower each coupler, negative when they raise it.
    pub lowered_in_box: Ends<Length>,
}

/// (L1), to the nearest nanometre.
///
/// # Errors
/// [`LeverError`] when a length is impossible.
///
/// # Example
/// ```
/// use gradeworthy_units::Length;
/// use gradeworthy_workbench::mechanics::{ends::Ends, lever::{Changes, Lever, heights_after}};
/// let mm = |hundredths| Length::from_hundredths_mm(hundredths);
/// let lever = Lever { truck_centres: mm(100_00), overhang: Ends { a: mm(20_00), b: mm(20_00) } };
/// let one_washer = Changes { washers: Ends { a: mm(50), b: mm(0) }, ..Changes::default() };
/// let after = heights_after(&lever, Ends { a: mm(9_40), b: mm(9_90) }, &one_washer);
/// assert_eq!(after, Ok(Ends { a: mm(10_00), b: mm(9_80) }));
/// ```
pub fn heights_after(
    lever: &Lever,
    heights: Ends<Length>,
    changes: &Changes,
) -> Result<Ends<Length>, LeverError> {
    let exact = ExactLever::new(lever)?;
    let base = exact.scaled(heights)?;
    let washers_nm = bounded("a washer", changes.washers)?;
    let lowered_nm = bounded("a box shim", changes.lowered_in_box)?;
    let after = exact.after(base, washers_nm, lowered_nm);
    Ok(after.map(|scaled| exact.length(scaled)))
}

/// (L1) in whole numbers: heights in nanometres times the truck centres in nanometres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ExactLever {
    /// 2a in nm: the denominator of every scaled height.
    pub(crate) centres_nm: i64,
    /// n in nm.
    pub(crate) overhang_nm: Ends<i64>,
}

impl ExactLever {
    pub(crate) fn new(lever: &Lever) -> Result<Self, LeverError> {
        positive_mm("the distance of the truck centres", lever.truck_centres)?;
        for overhang in [lever.overhang.a, lever.overhang.b] {
            not_negative_mm("a coupler's overhang", overhang)?;
        }
        Ok(Self {
            centres_nm: checked("the distance of the truck centres", lever.truck_centres)?,
            overhang_nm: bounded("a coupler's overhang", lever.overhang)?,
        })
    }

    /// Heights in units of nm/(2a in nm).
    pub(crate) fn scaled(&self, heights: Ends<Length>) -> Result<Ends<i64>, LeverError> {
        Ok(bounded("a coupler height", heights)?.map(|nm| nm * self.centres_nm))
    }

    pub(crate) fn after(&self, base: Ends<i64>, t_nm: Ends<i64>, s_nm: Ends<i64>) -> Ends<i64> {
        let Self {
            centres_nm,
            overhang_nm,
        } = *self;
        let end = |base, near_nm, far_nm, n_nm, s_nm| {
            base + near_nm * (centres_nm + n_nm) - far_nm * n_nm - s_nm * centres_nm
        };
        Ends {
            a: end(base.a, t_nm.a, t_nm.b, overhang_nm.a, s_nm.a),
            b: end(base.b, t_nm.b, t_nm.a, overhang_nm.b, s_nm.b),
        }
    }

    /// The nearest whole nanometre, halves upwards.
    pub(crate) fn length(&self, scaled: i64) -> Length {
        Length::from_nanometres((scaled + self.centres_nm / 2).div_euclid(self.centres_nm))
    }
}

fn checked(what: &'static str, found: Length) -> Result<i64, LeverError> {
    if found.abs() <= LONGEST {
        Ok(found.nanometres())
    } else {
        Err(LeverError::TooLong {
            what,
            found,
            limit: LONGEST,
        })
    }
}

/// Heights, washers, shims: no more than a tenth of the longest car, so that a sum of a few
/// products stays below 2⁶³ ≈ 9.2 × 10¹⁸: 2 × 10⁹ × 2 × 10⁸ = 4 × 10¹⁷ each.
fn bounded(what: &'static str, found: Ends<Length>) -> Result<Ends<i64>, LeverError> {
    const LIMIT: Length = Length::from_nanometres(LONGEST.nanometres() / 10);
    found.try_map(|found| {
        if found.abs() <= LIMIT {
            Ok(found.nanometres())
        } else {
            Err(LeverError::TooLong {
                what,
                found,
                limit: LIMIT,
            })
        }
    })
}

/// A quantity known to lie between two values, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Between {
    /// The least it can be.
    pub low: Length,
    /// The most it can be.
    pub high: Length,
}

impl Between {
    /// A reading with the most it can be wrong by.
    #[must_use]
    pub fn around(reading: Length, error_max: Length) -> Self {
        Self {
            low: reading - error_max.abs(),
            high: reading + error_max.abs(),
        }
    }

    fn ends_nm(self, what: &'static str) -> Result<[i128; 2], LeverError> {
        if self.low <= self.high {
            Ok([self.low, self.high].map(|length| i128::from(length.nanometres())))
        } else {
            Err(LeverError::EmptyInterval {
                what,
                low: self.low,
                high: self.high,
            })
        }
    }
}

/// The readings and parts of (L1) as intervals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeverBetween {
    /// h.
    pub heights: Ends<Between>,
    /// 2a.
    pub truck_centres: Between,
    /// n.
    pub overhang: Ends<Between>,
    /// t.
    pub washers: Ends<Between>,
    /// s.
    pub lowered_in_box: Ends<Between>,
}

/// Bounds on both heights after the changes, for any readings within their intervals.
///
/// (L1) written as `h + t + q(t − t_far) − s` has every quantity once but t, so the bounds are
/// widened by at most q times the width of t: with calipered washers a few micrometres.
///
/// # Errors
/// [`LeverError`] for an empty interval or truck centres that may be zero.
pub fn heights_between(parts: &LeverBetween) -> Result<Ends<Between>, LeverError> {
    positive_mm("the distance of the truck centres", parts.truck_centres.low)?;
    let centres_nm = parts
        .truck_centres
        .ends_nm("the distance of the truck centres")?;
    let end = |h: Between, n: Between, near: Between, far: Between, s: Between| {
        not_negative_mm("a coupler's overhang", n.low)?;
        let h_nm = h.ends_nm("a coupler height")?;
        let n_nm = n.ends_nm("a coupler's overhang")?;
        let t_nm = near.ends_nm("a washer")?;
        let far_nm = far.ends_nm("a washer")?;
        let s_nm = s.ends_nm("a box shim")?;
        let turn_nm = [t_nm[0] - far_nm[1], t_nm[1] - far_nm[0]];
        // q·(t − t_far) is bilinear in n and 1/2a: its extremes lie at corners.
        let corners = || {
            n_nm.into_iter().flat_map(move |n| {
                turn_nm
                    .into_iter()
                    .flat_map(move |turn| centres_nm.into_iter().map(move |c| (n * turn, c)))
            })
        };
        let low = corners()
            .map(|(top, c)| top.div_euclid(c))
            .min()
            .unwrap_or(0);
        let high = corners()
            .map(|(top, c)| -(-top).div_euclid(c))
            .max()
            .unwrap_or(0);
        Ok::<_, LeverError>(Between {
            low: narrow(h_nm[0] + t_nm[0] + low - s_nm[1]),
            high: narrow(h_nm[1] + t_nm[1] + high - s_nm[0]),
        })
    };
    let LeverBetween {
        heights,
        overhang,
        washers,
        lowered_in_box,
        ..
    } = *parts;
    Ok(Ends {
        a: end(
            heights.a,
            overhang.a,
            washers.a,
            washers.b,
            lowered_in_box.a,
        )?,
        b: end(
            heights.b,
            overhang.b,
            washers.b,
            washers.a,
            lowered_in_box.b,
        )?,
    })
}

/// Bounds beyond the range of a length are held at its end, which still bounds.
fn narrow(nm: i128) -> Length {
    let held = nm.clamp(i128::from(i64::MIN), i128::from(i64::MAX));
    Length::from_nanometres(i64::try_from(held).unwrap_or(i64::MAX))
}
