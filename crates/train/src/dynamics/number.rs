//! One train at a time, or four side by side: the arithmetic of a step is written once for both.
//!
//! [`Number`] is an `f64`, or four of them in a SIMD register with a train in each lane. Everything
//! a step does is without branches on values, so that lanes never wait for each other.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use wide::f64x4;

/// What a step reckons with.
pub(super) trait Number:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + Send
    + Sync
    + 'static
{
    /// How many trains.
    const LANES: usize;

    /// The same in every lane.
    fn all(value: f64) -> Self;

    /// One value for each lane.
    fn of(lane: impl Fn(usize) -> f64) -> Self;

    /// The value of one lane.
    fn lane(self, index: usize) -> f64;

    /// The lesser, lane by lane.
    fn lesser(self, other: Self) -> Self;

    /// The greater, lane by lane.
    fn greater(self, other: Self) -> Self;

    /// Without its sign.
    fn size(self) -> Self;

    /// `then` in the lanes in which this is below `bound`, `otherwise` in the others.
    fn if_below(self, bound: Self, then: Self, otherwise: Self) -> Self;

    /// The greatest over the lanes.
    fn most(self) -> f64;

    /// Nothing.
    const NOTHING: Self;
}

impl Number for f64 {
    const LANES: usize = 1;
    const NOTHING: Self = 0.0;

    #[inline(always)]
    fn all(value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn of(lane: impl Fn(usize) -> f64) -> Self {
        lane(0)
    }

    #[inline(always)]
    fn lane(self, _: usize) -> f64 {
        self
    }

    #[inline(always)]
    fn lesser(self, other: Self) -> Self {
        if self < other { self } else { other }
    }

    #[inline(always)]
    fn greater(self, other: Self) -> Self {
        if self > other { self } else { other }
    }

    #[inline(always)]
    fn size(self) -> Self {
        self.abs()
    }

    #[inline(always)]
    fn if_below(self, bound: Self, then: Self, otherwise: Self) -> Self {
        if self < bound { then } else { otherwise }
    }

    #[inline(always)]
    fn most(self) -> f64 {
        self
    }
}

impl Number for f64x4 {
    const LANES: usize = 4;
    const NOTHING: Self = f64x4::ZERO;

    #[inline(always)]
    fn all(value: f64) -> Self {
        f64x4::splat(value)
    }

    #[inline(always)]
    fn of(lane: impl Fn(usize) -> f64) -> Self {
        f64x4::from([lane(0), lane(1), lane(2), lane(3)])
    }

    #[inline(always)]
    fn lane(self, index: usize) -> f64 {
        self.to_array()[index]
    }

    #[inline(always)]
    fn lesser(self, other: Self) -> Self {
        self.fast_min(other)
    }

    #[inline(always)]
    fn greater(self, other: Self) -> Self {
        self.fast_max(other)
    }

    #[inline(always)]
    fn size(self) -> Self {
        self.abs()
    }

    #[inline(always)]
    fn if_below(self, bound: Self, then: Self, otherwise: Self) -> Self {
        self.simd_lt(bound).bitselect(then, otherwise)
    }

    #[inline(always)]
    fn most(self) -> f64 {
        let [a, b, c, d] = self.to_array();
        a.max(b).max(c.max(d))
    }
}
