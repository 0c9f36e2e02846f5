//! The figures of a locomotive: key in files, unit of a bare number, and what values make sense.

use gradeworthy_units::Unit;

/// One figure of a locomotive's section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Figure {
    /// Weight on the scale.
    Weight,
    /// Pull on the coupler at which the wheels slip.
    SlipPull,
    /// Pull at which the motor stalls.
    StallPull,
    /// Force it holds with when stopped.
    HoldPull,
    /// Distance timed over.
    TimedOver,
    /// Time over it, running free.
    FreeTime,
    /// Time over it, pulling the load.
    LoadedTime,
    /// The load of the second timing.
    Load,
    /// Pulling face to pulling face.
    LengthOverCouplers,
    /// Bolster to bolster.
    TruckCentres,
    /// Outer axle to outer axle of a truck.
    TruckWheelbase,
    /// Height of the front coupler.
    CouplerHeightFront,
    /// Height of the rear coupler.
    CouplerHeightRear,
    /// Height of the centre of gravity.
    CgHeight,
    /// Drag of its own running gear when not pulling, part of the weight.
    Drag,
    /// The same on starting.
    StartDrag,
    /// Swing of its couplers to either side.
    CouplerSwing,
    /// Swing of its trucks to either side.
    TruckSwing,
}

impl Figure {
    /// Every figure, in the order in which they are written.
    pub const ALL: [Self; 18] = [
        Self::Weight,
        Self::SlipPull,
        Self::StallPull,
        Self::HoldPull,
        Self::TimedOver,
        Self::FreeTime,
        Self::LoadedTime,
        Self::Load,
        Self::LengthOverCouplers,
        Self::TruckCentres,
        Self::TruckWheelbase,
        Self::CouplerHeightFront,
        Self::CouplerHeightRear,
        Self::CgHeight,
        Self::Drag,
        Self::StartDrag,
        Self::CouplerSwing,
        Self::TruckSwing,
    ];

    /// The key in files.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Weight => "weight",
            Self::SlipPull => "slip_pull",
            Self::StallPull => "stall_pull",
            Self::HoldPull => "hold_pull",
            Self::TimedOver => "timed_over",
            Self::FreeTime => "free_time",
            Self::LoadedTime => "loaded_time",
            Self::Load => "load",
            Self::LengthOverCouplers => "length_over_couplers",
            Self::TruckCentres => "truck_centres",
            Self::TruckWheelbase => "truck_wheelbase",
            Self::CouplerHeightFront => "coupler_height_front",
            Self::CouplerHeightRear => "coupler_height_rear",
            Self::CgHeight => "cg_height",
            Self::Drag => "drag",
            Self::StartDrag => "start_drag",
            Self::CouplerSwing => "coupler_swing",
            Self::TruckSwing => "truck_swing",
        }
    }

    /// The unit of a bare number.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Self::Weight => Unit::Gram,
            Self::SlipPull | Self::StallPull | Self::HoldPull | Self::Load => Unit::GramForce,
            Self::FreeTime | Self::LoadedTime => Unit::Second,
            Self::TimedOver
            | Self::LengthOverCouplers
            | Self::TruckCentres
            | Self::TruckWheelbase
            | Self::CouplerHeightFront
            | Self::CouplerHeightRear
            | Self::CgHeight => Unit::Millimetre,
            Self::Drag | Self::StartDrag => Unit::Percent,
            Self::CouplerSwing | Self::TruckSwing => Unit::Degree,
        }
    }

    /// Whether nothing is a sensible value.
    pub(super) const fn may_be_zero(self) -> bool {
        matches!(self, Self::HoldPull | Self::Drag | Self::StartDrag)
    }
}
