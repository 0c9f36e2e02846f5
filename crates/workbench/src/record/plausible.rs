//! Readings that no car of the scale can have: a unit mistaken, a decimal slipped.
//!
//! ASSUMED: the ranges below, as multiples of the track gauge (for weights, of the cube of it).
//! They are wide on purpose, several times beyond what any standard or club allows, so that a bad
//! car is judged and only a slip is questioned. Narrowing one would refuse real bad orders;
//! widening it would let `14.4` typed under an inch heading through as a verdict.

use gradeworthy_units::{Amount, Length};

use super::Measure;

/// Why a reading cannot be meant.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "{found} cannot be the {measure} of a car on {gauge} gauge; it would be {low} to {high}: check the unit and the decimal mark"
)]
pub struct Implausible {
    /// What was read.
    pub measure: Measure,
    /// What was found, in base units.
    pub found: String,
    /// The car's gauge.
    pub gauge: Length,
    /// The least that can be meant.
    pub low: String,
    /// The most that can be meant.
    pub high: String,
}

/// Refuses what no car on `gauge` can have.
///
/// # Errors
/// [`Implausible`] with the range that can be meant.
pub fn check(measure: Measure, amount: Amount, gauge: Length) -> Result<(), Implausible> {
    let (low, high, unit) = range(measure, gauge);
    let found = amount.base();
    if found >= low && found <= high {
        return Ok(());
    }
    let shown = |value: f64| format!("{value:.3}{unit}");
    Err(Implausible {
        measure,
        found: shown(found),
        gauge,
        low: shown(low),
        high: shown(high),
    })
}

/// Least and most in base units (mm, g, degree, ratio, s, N), with the unit as printed.
fn range(measure: Measure, gauge: Length) -> (f64, f64, &'static str) {
    let g = gauge.mm();
    let lengths = |low: f64, high: f64| (low * g, high * g, " mm");
    // A 4-oz car on 16.5 mm, by the cube of the gauge, and forty times either way.
    let cube = 113.4 * (g / 16.5).powi(3);
    match measure {
        Measure::BackToBack => lengths(0.6, 1.1),
        Measure::FlangeThickness | Measure::FlangeDepth => lengths(0.005, 0.2),
        Measure::TireWidth => lengths(0.03, 0.5),
        Measure::TreadDiameter => lengths(0.2, 2.0),
        Measure::AxleLength => lengths(0.8, 3.0),
        Measure::CouplerHeight => lengths(0.2, 1.5),
        Measure::WheelOffset => lengths(-0.2, 0.2),
        Measure::Wobble
        | Measure::EndPlay
        | Measure::Gap
        | Measure::RockGap
        | Measure::ScrewPlay
        | Measure::SideBearingGap
        | Measure::Droop
        | Measure::FreePlay => lengths(0.0, 0.4),
        Measure::TripPin => lengths(-0.2, 0.8),
        Measure::Weight
        | Measure::EndWeight
        | Measure::SideWeightLevel
        | Measure::SideWeightTilted => (cube / 40.0, cube * 40.0, " g"),
        Measure::TiltAngle | Measure::TableAngle | Measure::TruckSwing => (0.0, 90.0, "°"),
        Measure::SpinTime | Measure::GateTime => (0.0, 3600.0, " s"),
        Measure::TruckRollGrade | Measure::StartGrade | Measure::RollGrade => (0.0, 0.25, ""),
        Measure::RunGrade => (-0.25, 0.25, ""),
        Measure::SwivelForce => (0.0, 20.0, " N"),
        Measure::LookOver | Measure::WheelDirt | Measure::Centring | Measure::Knuckle => {
            (f64::NEG_INFINITY, f64::INFINITY, "")
        }
    }
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::Mass;

    use super::*;

    const HO: Length = Length::from_hundredths_mm(1650);

    #[test]
    fn a_unit_slip_is_questioned_and_a_bad_car_is_not() {
        let judge = |measure, amount: Amount| check(measure, amount, HO);
        // 14.4 under an inch heading.
        let slip = Length::from_thousandths(14_400);
        let error = judge(Measure::BackToBack, slip.into())
            .expect_err("a slip")
            .to_string();
        assert!(
            error.contains("365.760 mm") && error.contains("check the unit"),
            "{error}"
        );
        // A badly narrow wheelset, and a car of half its weight, are judged.
        assert!(judge(Measure::BackToBack, Length::from_hundredths_mm(1380).into()).is_ok());
        assert!(judge(Measure::Weight, Mass::from_milligrams(50_000).into()).is_ok());
        assert!(judge(Measure::Gap, Length::from_hundredths_mm(-1).into()).is_err());
    }
}
