//! A locomotive as measured, and the card that the arithmetic reads.
//!
//! ASSUMED where the pull test was not made: wheels slip at 0.22 of the weight (0.20 to 0.25, hobby
//! forum figures, secondary), with traction tires at 0.42 (0.35 to 0.50, from memory). Pull scales
//! with it one to one. Where the holding force was not tried it is the slip pull, down to 0.7 of it.

use gradeworthy_units::{STANDARD_GRAVITY, Typed};

use super::figure::Figure;
use crate::vehicle::{Class, Quantity, Sourced, Vehicle, VehicleError};

/// A locomotive of a power file: its name and what was measured on it, as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Locomotive {
    /// What the club calls it.
    pub name: String,
    /// Whether some of its wheels carry traction tires.
    pub traction_tires: bool,
    /// What was measured, in the order of [`Figure::ALL`], each at most once.
    pub figures: Vec<(Figure, Typed)>,
    /// Where the figures come from.
    pub note: Option<String>,
}

impl Locomotive {
    /// The figure in the base unit of its dimension (mm, g, degree, ratio, s, N), where measured.
    #[must_use]
    pub fn base(&self, figure: Figure) -> Option<f64> {
        let found = self.figures.iter().find(|(own, _)| *own == figure);
        found.map(|(_, typed)| typed.amount.base())
    }

    /// Speed asked for, m/s (1).
    #[must_use]
    pub fn speed(&self) -> Option<f64> {
        Some(self.base(Figure::TimedOver)? / 1e3 / self.base(Figure::FreeTime)?)
    }

    /// Loss of pull per gain of speed, N·s/m (2).
    #[must_use]
    pub fn speed_slope(&self) -> Option<f64> {
        let loaded = self.base(Figure::TimedOver)? / 1e3 / self.base(Figure::LoadedTime)?;
        Some(self.base(Figure::Load)? / (self.speed()? - loaded))
    }

    /// Its card: what was measured over the defaults of `class`.
    ///
    /// # Errors
    /// [`VehicleError`] names the number that cannot be.
    pub fn vehicle(&self, class: Class) -> Result<Vehicle, VehicleError> {
        use Quantity as Q;
        let mut vehicle = Vehicle::of_class(&self.name, class);
        let metres = |figure| self.base(figure).map(|mm| mm / 1e3);
        let radians = |figure| self.base(figure).map(f64::to_radians);
        let weight = self
            .base(Figure::Weight)
            .map(|g| g / 1e3 * STANDARD_GRAVITY);
        let mut set = |quantity, value: Option<f64>| -> Result<(), VehicleError> {
            if let Some(value) = value {
                vehicle = vehicle.clone().with(quantity, Sourced::measured(value))?;
            }
            Ok(())
        };
        set(Q::Weight, weight)?;
        set(Q::SpeedSetting, self.speed())?;
        set(Q::SpeedSlope, self.speed_slope())?;
        set(Q::AdhesionPull, self.base(Figure::SlipPull))?;
        set(Q::StallPull, self.base(Figure::StallPull))?;
        set(Q::BrakePull, self.base(Figure::HoldPull))?;
        set(Q::TruckWheelbase, metres(Figure::TruckWheelbase))?;
        set(
            Q::HalfTruckCentres,
            metres(Figure::TruckCentres).map(|d| d / 2.0),
        )?;
        set(Q::CouplerHeightFront, metres(Figure::CouplerHeightFront))?;
        set(Q::CouplerHeightRear, metres(Figure::CouplerHeightRear))?;
        set(Q::CgHeight, metres(Figure::CgHeight))?;
        set(Q::RollingDrag, self.base(Figure::Drag))?;
        set(Q::BreakawayDrag, self.base(Figure::StartDrag))?;
        set(Q::CouplerSwing, radians(Figure::CouplerSwing))?;
        set(Q::TruckSwing, radians(Figure::TruckSwing))?;
        if let Some(length) = metres(Figure::LengthOverCouplers) {
            for (pivot, shank) in [(Q::PivotFront, Q::ShankFront), (Q::PivotRear, Q::ShankRear)] {
                let reach = length / 2.0 - vehicle.value(shank);
                vehicle = vehicle.with(pivot, Sourced::measured(reach))?;
            }
        }
        self.with_pulls(vehicle)
    }

    /// Pulls that were not tried, from those that were and from the weight.
    fn with_pulls(&self, mut vehicle: Vehicle) -> Result<Vehicle, VehicleError> {
        use Quantity as Q;
        if self.base(Figure::SlipPull).is_none() {
            let (mean, low, high) = if self.traction_tires {
                (0.42, 0.35, 0.50)
            } else {
                (0.22, 0.20, 0.25)
            };
            let weight = vehicle.value(Q::Weight);
            let pull = Sourced::assumed(mean * weight, low * weight, high * weight);
            vehicle = vehicle.with(Q::AdhesionPull, pull)?;
        }
        if self.base(Figure::HoldPull).is_none() {
            let slip = vehicle.value(Q::AdhesionPull);
            vehicle = vehicle.with(Q::BrakePull, Sourced::assumed(slip, 0.7 * slip, slip))?;
        }
        Ok(vehicle)
    }
}
