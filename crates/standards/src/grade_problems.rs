//! Grade problems of the handbooks: what a locomotive takes up a grade, and what helps it.
//!
//! Full-size units: lb, short tons, percent, degrees, mph, feet.
//!
//! (1) grade: 20 lb/ton per 1 %, [TR0603 ¶2.7]. (2) curve: 0.8 lb/ton per degree, [TR0603 ¶2.8].
//! (3) [TR0603 ¶2.10] gross trailing load = (TE − 20·W) · weather / (rolling + (1) + (2)), W the
//!     locomotive's tons, rounded up.
//! (4) [WEBB §204] pusher grades: n engines of weight W and effort TE balance a gross train of
//!     n·TE / (r + 20 G); with the train less n·W and one engine, what is left of TE per ton goes
//!     into the through grade.
//! (5) [TI-850-02 eq. 3-3] ruling grade = TE / (20 (W + Wc)) − 0.15.
//! (6) [WEBB §120] acceleration over s feet from V1 to V2: 70 (V2² − V1²) / s lb/ton.
//! (7) [WEBB §120] energy = W v² / (2 g), and in the wheels that times (k/r)², k the radius of
//!     gyration.
//! (8) cars = pull / (car weight · resistance).

use crate::StandardsError;
use crate::error::{finite, not_negative, positive, within};

/// Grade resistance, lb per short ton per percent. Source: [TR0603 ¶2.7].
pub const GRADE_LB_PER_TON_PER_PERCENT: f64 = 20.0;
/// Curve resistance, lb per short ton per degree. Source: [TR0603 ¶2.8].
pub const CURVE_LB_PER_TON_PER_DEGREE: f64 = 0.8;
/// Rolling resistance of the average car in percent. Source: [TI-850-02 eq. 3-3].
pub const AVERAGE_ROLLING_PERCENT: f64 = 0.15;
/// Free fall as Webb takes it, ft/s². Source: [WEBB §120].
pub const WEBB_GRAVITY_FT_S2: f64 = 32.16;

const POUNDS_PER_TON: f64 = 2_000.0;
const FT_S_PER_MPH: f64 = 5_280.0 / 3_600.0;

/// Resistance in lb per short ton that is `percent` of the weight.
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for NaN and infinity.
pub fn lb_per_ton_from_percent(percent: f64) -> Result<f64, StandardsError> {
    Ok(finite("a resistance in percent", percent)? / 100.0 * POUNDS_PER_TON)
}

/// Grade and curve resistance in lb per short ton, equations (1) and (2).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a grade that is no number or a negative curve.
pub fn grade_and_curve_lb_per_ton(
    grade_percent: f64,
    curve_degrees: f64,
) -> Result<f64, StandardsError> {
    let grade = finite("a grade in percent", grade_percent)?;
    let curve = not_negative("a degree of curve", curve_degrees)?;
    Ok(GRADE_LB_PER_TON_PER_PERCENT * grade + CURVE_LB_PER_TON_PER_DEGREE * curve)
}

/// A locomotive and the line before it, as TR0603 takes them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hauling {
    /// Continuous tractive effort, lb.
    pub tractive_effort_lb: f64,
    /// Weight of the locomotive, short tons.
    pub locomotive_tons: f64,
    /// Part of the effort left by the weather, 0 to 1.
    pub weather_factor: f64,
    /// Rolling resistance, lb/ton.
    pub rolling_lb_per_ton: f64,
    /// Grade, percent.
    pub grade_percent: f64,
    /// Curve, degrees.
    pub curve_degrees: f64,
}

impl Hauling {
    /// Gross trailing load in whole short tons, equation (3), rounded up as the source has it.
    ///
    /// # Errors
    /// [`StandardsError::OutOfDomain`] for an input outside its range, or a line so steep down
    /// that nothing resists.
    pub fn gross_trailing_tons(&self) -> Result<f64, StandardsError> {
        let effort = positive("a tractive effort in lb", self.tractive_effort_lb)?;
        let locomotive = positive("a locomotive's weight in tons", self.locomotive_tons)?;
        let weather = within(
            "a weather factor",
            self.weather_factor,
            (0.0..=1.0).contains(&self.weather_factor),
            "0 to 1",
        )?;
        let rolling = positive("a rolling resistance in lb/ton", self.rolling_lb_per_ton)?;
        let line = grade_and_curve_lb_per_ton(self.grade_percent, self.curve_degrees)?;
        let resistance = positive("the whole resistance in lb/ton", rolling + line)?;
        let drawbar_pull = effort - GRADE_LB_PER_TON_PER_PERCENT * locomotive;
        Ok(whole_above(drawbar_pull.max(0.0) * weather / resistance))
    }
}

/// Engines that take one train up a pusher grade, as Webb balances them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PusherBalance {
    /// Tractive effort of one engine, lb.
    pub tractive_effort_lb: f64,
    /// Weight of one engine, short tons.
    pub engine_tons: f64,
    /// Engines on the pusher grade.
    pub engine_count: f64,
    /// Rolling resistance, lb/ton.
    pub rolling_lb_per_ton: f64,
    /// The pusher grade, percent.
    pub pusher_grade_percent: f64,
}

impl PusherBalance {
    /// The through grade in percent that one engine manages with the same train, equation (4).
    ///
    /// # Errors
    /// [`StandardsError::OutOfDomain`] for an input outside its range, or engines that cannot
    /// lift themselves.
    pub fn through_grade_percent(&self) -> Result<f64, StandardsError> {
        let effort = positive("a tractive effort in lb", self.tractive_effort_lb)?;
        let engine = positive("an engine's weight in tons", self.engine_tons)?;
        let count = positive("a number of engines", self.engine_count)?;
        let rolling = positive("a rolling resistance in lb/ton", self.rolling_lb_per_ton)?;
        let grade = positive("a pusher grade in percent", self.pusher_grade_percent)?;
        let gross = count * effort / (rolling + GRADE_LB_PER_TON_PER_PERCENT * grade);
        let train = positive(
            "the train behind the engines in tons",
            gross - count * engine,
        )?;
        Ok((effort / (train + engine) - rolling) / GRADE_LB_PER_TON_PER_PERCENT)
    }
}

/// The ruling grade in percent of a train of this gross weight, equation (5).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for an effort or a weight that is not above zero.
pub fn ruling_grade_percent(
    tractive_effort_lb: f64,
    train_with_engine_tons: f64,
) -> Result<f64, StandardsError> {
    let effort = positive("a tractive effort in lb", tractive_effort_lb)?;
    let tons = positive("a train's weight in tons", train_with_engine_tons)?;
    Ok(effort / (GRADE_LB_PER_TON_PER_PERCENT * tons) - AVERAGE_ROLLING_PERCENT)
}

/// Force in lb per short ton to change speed over a distance, rotating mass included, equation (6).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a negative speed or a distance that is not above zero.
pub fn acceleration_lb_per_ton(
    from_mph: f64,
    to_mph: f64,
    distance_ft: f64,
) -> Result<f64, StandardsError> {
    let from = not_negative("a speed in mph", from_mph)?;
    let to = not_negative("a speed in mph", to_mph)?;
    let distance = positive("a distance in feet", distance_ft)?;
    Ok(70.0 * (to * to - from * from) / distance)
}

/// Kinetic energy in ft-lb of a weight at a speed, equation (7).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a negative weight or speed.
pub fn kinetic_energy_ft_lb(weight_lb: f64, speed_mph: f64) -> Result<f64, StandardsError> {
    let weight = not_negative("a weight in lb", weight_lb)?;
    let speed = not_negative("a speed in mph", speed_mph)? * FT_S_PER_MPH;
    Ok(weight * speed * speed / (2.0 * WEBB_GRAVITY_FT_S2))
}

/// Wheels that roll.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RollingWheels {
    /// Weight of all of them, lb.
    pub weight_lb: f64,
    /// Radius of gyration, in.
    pub gyration_in: f64,
    /// Radius of the tread, in.
    pub radius_in: f64,
}

impl RollingWheels {
    /// Energy of rotation in ft-lb at a speed, equation (7).
    ///
    /// # Errors
    /// [`StandardsError::OutOfDomain`] for a negative weight or speed, or radii not above zero.
    pub fn energy_ft_lb(&self, speed_mph: f64) -> Result<f64, StandardsError> {
        let gyration = positive("a radius of gyration in inches", self.gyration_in)?;
        let radius = positive("a wheel radius in inches", self.radius_in)?;
        Ok(kinetic_energy_ft_lb(self.weight_lb, speed_mph)? * (gyration / radius).powi(2))
    }
}

/// How many like cars a pull moves at constant speed, equation (8); not rounded.
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a pull or resistance that is not above zero.
pub fn car_count(
    pull_over_car_weight: f64,
    resistance_percent: f64,
) -> Result<f64, StandardsError> {
    let pull = positive("a pull over a car's weight", pull_over_car_weight)?;
    let resistance = positive("a resistance in percent", resistance_percent)?;
    Ok(pull / (resistance / 100.0))
}

/// The next whole number, where a float's last places do not make a whole number the one below.
pub(crate) fn whole_above(value: f64) -> f64 {
    // ASSUMED: a part in 10⁹ is arithmetic and no load; it moves a result by one only there.
    (value - value.abs() * 1e-9).ceil()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table;

    // The constants above are the cells of the table.
    #[test]
    fn constants_are_those_of_the_table() {
        for (row, constant) in [
            ("grade resistance per 1 %", GRADE_LB_PER_TON_PER_PERCENT),
            ("curve resistance per degree", CURVE_LB_PER_TON_PER_DEGREE),
            (
                "rolling resistance of the average car",
                AVERAGE_ROLLING_PERCENT,
            ),
            ("acceleration over s feet with rotating mass", 70.0),
        ] {
            let cell = table("grade-curve-inertia").and_then(|table| table.cell(row, "value"));
            let printed = cell.and_then(crate::Cell::number).expect(row);
            assert!((printed - constant).abs() < 1e-12, "{row}");
        }
    }

    // Derived, a regression: (v2² − v1²)/2g per ton is 66.9 at g = 32.16, Webb §120 prints 66.9.
    #[test]
    fn acceleration_without_rotation_is_66_9() {
        let energy = kinetic_energy_ft_lb(POUNDS_PER_TON, 1.0).expect("in range");
        assert!((energy - 66.9).abs() < 0.05, "{energy}");
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(car_count(1.0, 0.0).is_err());
        assert!(ruling_grade_percent(f64::NAN, 100.0).is_err());
        assert!(grade_and_curve_lb_per_ton(2.0, -1.0).is_err());
        let heavy = PusherBalance {
            tractive_effort_lb: 1_000.0,
            engine_tons: 100.0,
            engine_count: 2.0,
            rolling_lb_per_ton: 6.0,
            pusher_grade_percent: 2.0,
        };
        assert!(heavy.through_grade_percent().is_err());
    }

    #[test]
    fn a_whole_number_stays_itself() {
        assert!((whole_above(1.0 / 0.1) - 10.0).abs() < f64::EPSILON);
        assert!((whole_above(13.5) - 14.0).abs() < f64::EPSILON);
    }
}
