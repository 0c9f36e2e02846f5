//! The entries of a vehicle's card: symbol, unit, and the bound below which a value is nonsense.

/// One number of a vehicle's card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// a: half the distance between the bolsters, m.
    HalfTruckCentres,
    /// `p_f`: front draft pivot ahead of the middle of the body, m.
    PivotFront,
    /// `p_r`: rear draft pivot behind the middle of the body, m.
    PivotRear,
    /// `l_f`: front pivot to pulling face, m.
    ShankFront,
    /// `l_r`: rear pivot to pulling face, m.
    ShankRear,
    /// s: free slack of a coupling of two such couplers, from bunched to stretched, m.
    CouplerSlack,
    /// w: wheelbase of a truck, m.
    TruckWheelbase,
    /// `g_c`: spacing of the rolling contacts across the track, m.
    ContactSpacing,
    /// σ: how far an axle can move to either side before a flange touches, m.
    LateralPlay,
    /// W: weight, N.
    Weight,
    /// Centre of gravity ahead of the middle between the bolsters, m.
    CgForward,
    /// `y_cg`: centre of gravity left of the centreline, m.
    CgLeft,
    /// `h_cg`: height of the centre of gravity above the rail, m.
    CgHeight,
    /// Height of the front coupler above the rail, m.
    CouplerHeightFront,
    /// Height of the rear coupler above the rail, m.
    CouplerHeightRear,
    /// f: height of the knuckle's face, m.
    KnuckleFace,
    /// Least overlap of two knuckles that still holds, m.
    LeastOverlap,
    /// r0: rolling drag while running, part of the weight.
    RollingDrag,
    /// r1: growth of the rolling drag with speed, s/m.
    RollingDragPerSpeed,
    /// Rolling drag at the moment of starting, part of the weight.
    BreakawayDrag,
    /// `c_κ`: curve drag times radius, part of the weight, m.
    CurveDrag,
    /// `μ_f`: friction of flange on rail, for the flange law of curve drag.
    FlangeFriction,
    /// `M_s`: friction moment of a truck against swivelling, N·m.
    SwivelMoment,
    /// μ: friction of tread and flange on the rail.
    TreadFriction,
    /// δ: flange angle at the gauge point, rad.
    FlangeAngle,
    /// `γ_max`: swing of a coupler to either side, rad.
    CouplerSwing,
    /// `ψ_max`: swing of a truck to either side, rad.
    TruckSwing,
    /// `F_max`: force at which a coupler slips or breaks, N.
    CouplerStrength,
    /// Difference of cross-level over the truck centres that the trucks follow before a wheel
    /// unloads, m.
    TwistCapability,
    /// `v_set`: speed asked for, m/s; locomotives only.
    SpeedSetting,
    /// K: loss of pull per gain of speed, N·s/m; locomotives only.
    SpeedSlope,
    /// Greatest pull before the wheels slip, N; locomotives only.
    AdhesionPull,
    /// Greatest pull of the motor, N; locomotives only.
    StallPull,
    /// Greatest holding force, N; locomotives only.
    BrakePull,
}

/// What values a quantity can take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bound {
    AnyFinite,
    NotNegative,
    Positive,
}

impl Quantity {
    /// Every quantity, in the order of the card.
    pub const ALL: [Self; 34] = [
        Self::HalfTruckCentres,
        Self::PivotFront,
        Self::PivotRear,
        Self::ShankFront,
        Self::ShankRear,
        Self::CouplerSlack,
        Self::TruckWheelbase,
        Self::ContactSpacing,
        Self::LateralPlay,
        Self::Weight,
        Self::CgForward,
        Self::CgLeft,
        Self::CgHeight,
        Self::CouplerHeightFront,
        Self::CouplerHeightRear,
        Self::KnuckleFace,
        Self::LeastOverlap,
        Self::RollingDrag,
        Self::RollingDragPerSpeed,
        Self::BreakawayDrag,
        Self::CurveDrag,
        Self::FlangeFriction,
        Self::SwivelMoment,
        Self::TreadFriction,
        Self::FlangeAngle,
        Self::CouplerSwing,
        Self::TruckSwing,
        Self::CouplerStrength,
        Self::TwistCapability,
        Self::SpeedSetting,
        Self::SpeedSlope,
        Self::AdhesionPull,
        Self::StallPull,
        Self::BrakePull,
    ];

    /// The SI unit, as written after a number.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::HalfTruckCentres
            | Self::PivotFront
            | Self::PivotRear
            | Self::ShankFront
            | Self::ShankRear
            | Self::CouplerSlack
            | Self::TruckWheelbase
            | Self::ContactSpacing
            | Self::LateralPlay
            | Self::CgForward
            | Self::CgLeft
            | Self::CgHeight
            | Self::CouplerHeightFront
            | Self::CouplerHeightRear
            | Self::KnuckleFace
            | Self::LeastOverlap
            | Self::CurveDrag
            | Self::TwistCapability => "m",
            Self::Weight
            | Self::CouplerStrength
            | Self::AdhesionPull
            | Self::StallPull
            | Self::BrakePull => "N",
            Self::RollingDrag
            | Self::BreakawayDrag
            | Self::FlangeFriction
            | Self::TreadFriction => "",
            Self::RollingDragPerSpeed => "s/m",
            Self::SwivelMoment => "N·m",
            Self::FlangeAngle | Self::CouplerSwing | Self::TruckSwing => "rad",
            Self::SpeedSetting => "m/s",
            Self::SpeedSlope => "N·s/m",
        }
    }

    /// Whether only locomotives have it.
    #[must_use]
    pub const fn is_of_locomotives(self) -> bool {
        matches!(
            self,
            Self::SpeedSetting
                | Self::SpeedSlope
                | Self::AdhesionPull
                | Self::StallPull
                | Self::BrakePull
        )
    }

    /// Whether it decides where the cars stand, and not only what forces act.
    #[must_use]
    pub const fn shapes_the_train(self) -> bool {
        matches!(
            self,
            Self::HalfTruckCentres
                | Self::PivotFront
                | Self::PivotRear
                | Self::ShankFront
                | Self::ShankRear
                | Self::CouplerSlack
        )
    }

    pub(super) const fn bound(self) -> Bound {
        match self {
            Self::CgForward | Self::CgLeft => Bound::AnyFinite,
            Self::ShankFront
            | Self::ShankRear
            | Self::CouplerSlack
            | Self::LateralPlay
            | Self::LeastOverlap
            | Self::RollingDrag
            | Self::RollingDragPerSpeed
            | Self::BreakawayDrag
            | Self::CurveDrag
            | Self::FlangeFriction
            | Self::SwivelMoment
            | Self::TreadFriction
            | Self::SpeedSetting
            | Self::BrakePull => Bound::NotNegative,
            Self::HalfTruckCentres
            | Self::PivotFront
            | Self::PivotRear
            | Self::TruckWheelbase
            | Self::ContactSpacing
            | Self::Weight
            | Self::CgHeight
            | Self::CouplerHeightFront
            | Self::CouplerHeightRear
            | Self::KnuckleFace
            | Self::FlangeAngle
            | Self::CouplerSwing
            | Self::TruckSwing
            | Self::CouplerStrength
            | Self::TwistCapability
            | Self::SpeedSlope
            | Self::AdhesionPull
            | Self::StallPull => Bound::Positive,
        }
    }

    pub(super) const fn index(self) -> usize {
        self as usize
    }
}

impl Bound {
    pub(super) fn admits(self, value: f64) -> bool {
        value.is_finite()
            && match self {
                Self::AnyFinite => true,
                Self::NotNegative => value >= 0.0,
                Self::Positive => value > 0.0,
            }
    }

    pub(super) const fn wish(self) -> &'static str {
        match self {
            Self::AnyFinite => "a finite number",
            Self::NotNegative => "zero or more",
            Self::Positive => "more than zero",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_all_is_in_card_order_and_whole() {
        for (index, quantity) in Quantity::ALL.iter().enumerate() {
            assert_eq!(quantity.index(), index);
        }
        assert_eq!(Quantity::BrakePull.index() + 1, Quantity::ALL.len());
    }
}
