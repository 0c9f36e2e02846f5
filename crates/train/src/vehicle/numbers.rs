//! The card as the arithmetic reads it: plain SI numbers, named, with what depends on them alone.

use gradeworthy_standards::wheel_climb::nadal_of_slope;

use super::card::{Kind, Vehicle};
use super::quantity::Quantity;

/// A vehicle's numbers, SI; each is the [`Quantity`] of the same meaning.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(
    missing_docs,
    reason = "each field is the quantity whose name it bears, documented there"
)]
pub struct Numbers {
    pub half_truck_centres: f64,
    pub pivot_front: f64,
    pub pivot_rear: f64,
    pub shank_front: f64,
    pub shank_rear: f64,
    pub coupler_slack: f64,
    pub truck_wheelbase: f64,
    pub contact_spacing: f64,
    pub lateral_play: f64,
    pub weight: f64,
    pub cg_forward: f64,
    pub cg_left: f64,
    pub cg_height: f64,
    pub coupler_height_front: f64,
    pub coupler_height_rear: f64,
    pub knuckle_face: f64,
    pub least_overlap: f64,
    pub rolling_drag: f64,
    pub rolling_drag_per_speed: f64,
    pub breakaway_drag: f64,
    pub curve_drag: f64,
    pub flange_friction: f64,
    pub swivel_moment: f64,
    pub tread_friction: f64,
    pub coupler_swing: f64,
    pub truck_swing: f64,
    pub coupler_strength: f64,
    pub twist_capability: f64,
    /// The locomotive's numbers, if it is one.
    pub power: Option<Power>,
    /// Nadal's limit of L/V for this flange angle and friction.
    pub nadal: f64,
    /// Lever ratios of the truck.
    pub truck_reach: TruckReach,
}

/// Lever ratios of a truck, from its wheelbase w and half the contact spacing y alone;
/// ρ0 = √(w²/4 + y²), ρ = √(w² + y²).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruckReach {
    /// 1/w, 1/m.
    pub per_wheelbase: f64,
    /// (ρ + y)/2w.
    pub leaning: f64,
    /// w/2ρ0.
    pub relief: f64,
    /// ρ0/w.
    pub trailing_ahead: f64,
    /// y(y + ρ)/2wρ.
    pub trailing_behind: f64,
}

impl TruckReach {
    fn of(wheelbase: f64, contact_spacing: f64) -> Self {
        let y = 0.5 * contact_spacing;
        let (short, long) = ((0.5 * wheelbase).hypot(y), wheelbase.hypot(y));
        Self {
            per_wheelbase: 1.0 / wheelbase,
            leaning: 0.5 * (long + y) / wheelbase,
            relief: 0.5 * wheelbase / short,
            trailing_ahead: short / wheelbase,
            trailing_behind: 0.5 * y * (y + long) / (wheelbase * long),
        }
    }
}

/// A locomotive's numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Power {
    /// `v_set`, m/s.
    pub speed_setting: f64,
    /// K, N·s/m.
    pub speed_slope: f64,
    /// Greatest pull before the wheels slip, N.
    pub adhesion_pull: f64,
    /// Greatest pull of the motor, N.
    pub stall_pull: f64,
    /// Greatest holding force, N.
    pub brake_pull: f64,
}

impl Numbers {
    /// The numbers of one card.
    #[must_use]
    pub fn of(vehicle: &Vehicle) -> Self {
        let value = |quantity| vehicle.value(quantity);
        Self {
            half_truck_centres: value(Quantity::HalfTruckCentres),
            pivot_front: value(Quantity::PivotFront),
            pivot_rear: value(Quantity::PivotRear),
            shank_front: value(Quantity::ShankFront),
            shank_rear: value(Quantity::ShankRear),
            coupler_slack: value(Quantity::CouplerSlack),
            truck_wheelbase: value(Quantity::TruckWheelbase),
            contact_spacing: value(Quantity::ContactSpacing),
            lateral_play: value(Quantity::LateralPlay),
            weight: value(Quantity::Weight),
            cg_forward: value(Quantity::CgForward),
            cg_left: value(Quantity::CgLeft),
            cg_height: value(Quantity::CgHeight),
            coupler_height_front: value(Quantity::CouplerHeightFront),
            coupler_height_rear: value(Quantity::CouplerHeightRear),
            knuckle_face: value(Quantity::KnuckleFace),
            least_overlap: value(Quantity::LeastOverlap),
            rolling_drag: value(Quantity::RollingDrag),
            rolling_drag_per_speed: value(Quantity::RollingDragPerSpeed),
            breakaway_drag: value(Quantity::BreakawayDrag),
            curve_drag: value(Quantity::CurveDrag),
            flange_friction: value(Quantity::FlangeFriction),
            swivel_moment: value(Quantity::SwivelMoment),
            tread_friction: value(Quantity::TreadFriction),
            coupler_swing: value(Quantity::CouplerSwing),
            truck_swing: value(Quantity::TruckSwing),
            coupler_strength: value(Quantity::CouplerStrength),
            twist_capability: value(Quantity::TwistCapability),
            power: Power::of(vehicle),
            nadal: nadal_of_slope(
                value(Quantity::FlangeAngle).tan(),
                value(Quantity::TreadFriction),
            ),
            truck_reach: TruckReach::of(
                value(Quantity::TruckWheelbase),
                value(Quantity::ContactSpacing),
            ),
        }
    }

    /// Length of the link to the vehicle behind, pivot to pivot, with the slack halfway, m.
    #[must_use]
    pub fn link_to(&self, behind: &Self) -> f64 {
        self.shank_rear + behind.shank_front
    }

    /// Free slack of the coupling to the vehicle behind, m: the mean of the two couplers'.
    #[must_use]
    pub fn slack_to(&self, behind: &Self) -> f64 {
        0.5 * (self.coupler_slack + behind.coupler_slack)
    }

    /// Whether both stand on the track in the same way.
    #[must_use]
    pub fn has_shape_of(&self, other: &Self) -> bool {
        let mut shaped = *other;
        shaped.take_shape_of(self);
        shaped == *other
    }

    /// Takes over the numbers that decide where a vehicle stands
    /// ([`Quantity::shapes_the_train`]).
    pub fn take_shape_of(&mut self, other: &Self) {
        self.half_truck_centres = other.half_truck_centres;
        self.pivot_front = other.pivot_front;
        self.pivot_rear = other.pivot_rear;
        self.shank_front = other.shank_front;
        self.shank_rear = other.shank_rear;
        self.coupler_slack = other.coupler_slack;
    }

    /// Weight on the front and the rear truck of the standing vehicle, N.
    #[must_use]
    pub fn truck_weights(&self) -> [f64; 2] {
        let shift = self.cg_forward / (2.0 * self.half_truck_centres);
        [self.weight * (0.5 + shift), self.weight * (0.5 - shift)]
    }

    /// Height of the couplers above the rail, mean of both ends, m.
    #[must_use]
    pub fn coupler_height(&self) -> f64 {
        0.5 * (self.coupler_height_front + self.coupler_height_rear)
    }
}

impl Power {
    fn of(vehicle: &Vehicle) -> Option<Self> {
        (vehicle.kind() == Kind::Locomotive).then(|| Self {
            speed_setting: vehicle.value(Quantity::SpeedSetting),
            speed_slope: vehicle.value(Quantity::SpeedSlope),
            adhesion_pull: vehicle.value(Quantity::AdhesionPull),
            stall_pull: vehicle.value(Quantity::StallPull),
            brake_pull: vehicle.value(Quantity::BrakePull),
        })
    }

    /// The greatest pull: whichever gives out first, wheel or motor, N.
    #[must_use]
    pub fn greatest_pull(&self) -> f64 {
        self.adhesion_pull.min(self.stall_pull)
    }

    /// The greatest holding force, N: brake or wheel, whichever gives out first.
    #[must_use]
    pub fn greatest_hold(&self) -> f64 {
        self.adhesion_pull.min(self.brake_pull)
    }
}
