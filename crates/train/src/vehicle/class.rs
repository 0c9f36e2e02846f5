//! Defaults by class, for what was not measured.
//!
//! Sources, by the words below: 'published' values are [NMRA-S-3.2], [NMRA-S-4.2], [NMRA-RP-25]
//! and [RP-20.1] as they enter here (contact spacing, play, weight); 'from memory' marks an
//! engineering estimate, which is entered as assumed with the range it may lie in.
//! Every entry can be replaced by a measurement, and should be.

use super::card::Kind;
use super::quantity::Quantity;
use super::sourced::Sourced;

/// A class of vehicle whose defaults are known well enough to start from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// A 40-ft HO freight car on two four-wheel trucks with body-mounted couplers.
    HoCar,
    /// An HO road locomotive on two trucks.
    HoLocomotive,
    /// A 40-ft N freight car on two four-wheel trucks.
    NCar,
    /// An N road locomotive on two trucks.
    NLocomotive,
}

impl Class {
    /// Every class.
    pub const ALL: [Self; 4] = [
        Self::HoCar,
        Self::HoLocomotive,
        Self::NCar,
        Self::NLocomotive,
    ];

    /// Car or locomotive.
    #[must_use]
    pub const fn kind(self) -> Kind {
        match self {
            Self::HoCar | Self::NCar => Kind::Car,
            Self::HoLocomotive | Self::NLocomotive => Kind::Locomotive,
        }
    }

    pub(super) fn default_of(self, quantity: Quantity) -> Sourced {
        self.own(quantity).unwrap_or_else(|| match self {
            Self::HoCar | Self::HoLocomotive => ho(quantity),
            Self::NCar | Self::NLocomotive => n(quantity),
        })
    }

    /// What sets this class apart from the rest of its scale.
    fn own(self, quantity: Quantity) -> Option<Sourced> {
        use Quantity as Q;
        let entry = match (self, quantity) {
            (Self::HoCar, Q::Weight) => Sourced::class_default(1.112, 0.9, 1.4),
            (Self::HoLocomotive, Q::Weight) => Sourced::assumed(5.0, 3.4, 6.9),
            (Self::HoLocomotive, Q::HalfTruckCentres) => Sourced::assumed(0.065, 0.05, 0.08),
            (Self::HoLocomotive, Q::PivotFront | Q::PivotRear) => {
                Sourced::assumed(0.095, 0.08, 0.115)
            }
            (Self::HoLocomotive, Q::TruckWheelbase) => Sourced::assumed(0.030, 0.026, 0.048),
            (Self::NCar, Q::Weight) => Sourced::class_default(0.277, 0.22, 0.35),
            (Self::NLocomotive, Q::Weight) => Sourced::assumed(0.9, 0.6, 1.2),
            _ => return None,
        };
        Some(entry)
    }
}

fn ho(quantity: Quantity) -> Sourced {
    use Quantity as Q;
    match quantity {
        Q::HalfTruckCentres => Sourced::assumed(0.050, 0.045, 0.055),
        Q::PivotFront | Q::PivotRear => Sourced::assumed(0.064, 0.060, 0.070),
        Q::ShankFront | Q::ShankRear => Sourced::assumed(0.008, 0.007, 0.009),
        Q::CouplerSlack => Sourced::assumed(0.0012, 0.0008, 0.002),
        Q::TruckWheelbase => Sourced::assumed(0.0175, 0.017, 0.020),
        Q::ContactSpacing => Sourced::assumed(0.0178, 0.0174, 0.0182),
        Q::LateralPlay => Sourced::class_default(0.0003, 0.0001, 0.0006),
        Q::CgHeight => Sourced::assumed(0.022, 0.015, 0.030),
        Q::CouplerHeightFront | Q::CouplerHeightRear => Sourced::assumed(0.0099, 0.00965, 0.01015),
        Q::KnuckleFace => Sourced::assumed(0.0036, 0.0029, 0.0036),
        Q::LeastOverlap => Sourced::assumed(0.0015, 0.001, 0.002),
        Q::CurveDrag => Sourced::class_default(0.008_128, 0.004, 0.0085),
        Q::CouplerStrength => Sourced::assumed(6.0, 3.0, 15.0),
        Q::SpeedSlope => Sourced::assumed(50.0, 5.0, 500.0),
        Q::AdhesionPull => Sourced::assumed(1.1, 1.0, 1.25),
        Q::StallPull => Sourced::assumed(2.0, 1.5, 3.0),
        Q::BrakePull => Sourced::assumed(1.1, 0.8, 1.25),
        Q::SwivelMoment => Sourced::assumed(2.2e-4, 0.0, 1e-3),
        Q::TwistCapability => Sourced::assumed(0.0006, 0.0003, 0.0018),
        Q::Weight => Sourced::class_default(1.112, 0.9, 1.4),
        Q::CgForward
        | Q::CgLeft
        | Q::RollingDrag
        | Q::RollingDragPerSpeed
        | Q::BreakawayDrag
        | Q::FlangeFriction
        | Q::TreadFriction
        | Q::FlangeAngle
        | Q::CouplerSwing
        | Q::TruckSwing
        | Q::SpeedSetting => either_scale(quantity),
    }
}

fn n(quantity: Quantity) -> Sourced {
    use Quantity as Q;
    match quantity {
        Q::HalfTruckCentres => Sourced::assumed(0.027, 0.024, 0.030),
        Q::PivotFront | Q::PivotRear => Sourced::assumed(0.035, 0.032, 0.038),
        Q::ShankFront | Q::ShankRear => Sourced::assumed(0.005, 0.004, 0.006),
        Q::CouplerSlack => Sourced::assumed(0.0008, 0.0005, 0.0015),
        Q::TruckWheelbase => Sourced::assumed(0.010, 0.009, 0.011),
        Q::ContactSpacing => Sourced::assumed(0.0097, 0.0094, 0.010),
        Q::LateralPlay => Sourced::class_default(0.0002, 0.0001, 0.0005),
        Q::CgHeight => Sourced::assumed(0.012, 0.008, 0.016),
        Q::CouplerHeightFront | Q::CouplerHeightRear => Sourced::assumed(0.0054, 0.0053, 0.0056),
        Q::KnuckleFace => Sourced::assumed(0.002, 0.0016, 0.002),
        Q::LeastOverlap => Sourced::assumed(0.0008, 0.0005, 0.001),
        Q::CurveDrag => Sourced::assumed(0.006, 0.004, 0.008),
        Q::CouplerStrength => Sourced::assumed(2.0, 1.0, 4.0),
        Q::SpeedSlope => Sourced::assumed(10.0, 1.0, 100.0),
        Q::AdhesionPull => Sourced::assumed(0.2, 0.18, 0.225),
        Q::StallPull => Sourced::assumed(0.4, 0.3, 0.6),
        Q::BrakePull => Sourced::assumed(0.2, 0.15, 0.225),
        Q::SwivelMoment => Sourced::assumed(3e-5, 0.0, 1.5e-4),
        Q::TwistCapability => Sourced::assumed(0.0004, 0.0002, 0.001),
        Q::Weight => Sourced::class_default(0.277, 0.22, 0.35),
        Q::CgForward
        | Q::CgLeft
        | Q::RollingDrag
        | Q::RollingDragPerSpeed
        | Q::BreakawayDrag
        | Q::FlangeFriction
        | Q::TreadFriction
        | Q::FlangeAngle
        | Q::CouplerSwing
        | Q::TruckSwing
        | Q::SpeedSetting => either_scale(quantity),
    }
}

/// What does not depend on the scale: all from memory, hence assumed.
fn either_scale(quantity: Quantity) -> Sourced {
    use Quantity as Q;
    let degrees = std::f64::consts::PI / 180.0;
    match quantity {
        Q::RollingDrag => Sourced::assumed(0.015, 0.004, 0.025),
        Q::BreakawayDrag => Sourced::assumed(0.022, 0.006, 0.04),
        Q::FlangeFriction => Sourced::assumed(0.25, 0.15, 0.35),
        Q::TreadFriction => Sourced::assumed(0.25, 0.15, 0.35),
        Q::FlangeAngle => Sourced::assumed(70.0 * degrees, 65.0 * degrees, 75.0 * degrees),
        Q::CouplerSwing => Sourced::assumed(17.0 * degrees, 12.0 * degrees, 22.0 * degrees),
        Q::TruckSwing => Sourced::assumed(15.0 * degrees, 10.0 * degrees, 20.0 * degrees),
        Q::SpeedSetting => Sourced::assumed(0.2, 0.1, 0.3),
        Q::CgForward => Sourced::assumed(0.0, -0.002, 0.002),
        Q::CgLeft => Sourced::assumed(0.0, -0.0005, 0.0005),
        _ => Sourced::assumed(0.0, 0.0, 0.0),
    }
}
