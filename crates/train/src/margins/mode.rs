//! The ways to come to grief, and how near one is.

/// One way in which a train comes to grief.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Mode {
    /// A flange climbs its rail.
    WheelClimb,
    /// A flange climbs its rail in buff, pushed by the zig-zag that play allows.
    Jackknife,
    /// Draft on a curve pulls the car over towards the inside.
    Stringline,
    /// Buff pushes the car over.
    Buckling,
    /// One side of one truck loses its load.
    Unloading,
    /// A coupler reaches its stop and levers the car.
    CouplerSwing,
    /// A truck reaches its stop.
    TruckSwing,
    /// The coupling in front of the vehicle slips or breaks.
    PullApart,
    /// The knuckles in front of the vehicle slide past each other in height.
    Bypass,
    /// The track twists more than the trucks follow.
    Twist,
    /// A locomotive's wheels slip. Saturates at 1, and does not end the climb by itself: how far
    /// the train is from stopping is [`Mode::Stall`].
    Adhesion,
    /// The locomotives cannot take the train on, or cannot hold it. Entered on the first of them.
    Stall,
}

impl Mode {
    /// Every mode, in the order of a row of uses.
    pub const ALL: [Self; 12] = [
        Self::WheelClimb,
        Self::Jackknife,
        Self::Stringline,
        Self::Buckling,
        Self::Unloading,
        Self::CouplerSwing,
        Self::TruckSwing,
        Self::PullApart,
        Self::Bypass,
        Self::Twist,
        Self::Adhesion,
        Self::Stall,
    ];

    /// The SI unit of demand and capacity.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::WheelClimb | Self::Jackknife => "",
            Self::Stringline
            | Self::Buckling
            | Self::Unloading
            | Self::PullApart
            | Self::Adhesion
            | Self::Stall => "N",
            Self::CouplerSwing | Self::TruckSwing => "rad",
            Self::Bypass | Self::Twist => "m",
        }
    }

    /// Whether reaching it ends the climb, so that it counts in the margin of the train.
    #[must_use]
    pub const fn ends_the_climb(self) -> bool {
        !matches!(self, Self::Adhesion)
    }
}

/// How much of a capacity is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Use {
    /// What is asked, in the unit of the mode.
    pub demand: f64,
    /// What can be borne, in the unit of the mode.
    pub capacity: f64,
}

impl Use {
    /// Nothing asked.
    pub const NONE: Self = Self {
        demand: 0.0,
        capacity: 1.0,
    };

    /// u = demand/capacity.
    #[must_use]
    #[inline]
    pub fn ratio(&self) -> f64 {
        self.demand / self.capacity
    }

    #[inline]
    pub(super) fn worse(self, other: Self) -> Self {
        if other.demand * self.capacity > self.demand * other.capacity {
            other
        } else {
            self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_all_is_in_row_order() {
        for (index, mode) in Mode::ALL.iter().enumerate() {
            assert_eq!(*mode as usize, index);
        }
    }
}
