//! Whether a truck swings far enough for the tightest curve, and what its drag does to the rails.
//!
//! | symbol | meaning | |
//! | --- | --- | --- |
//! | 2a, R | truck centres, radius of the curve | mm |
//! | ψ | angle of the truck against the body | rad |
//! | F, l | force that just turns the truck, and its lever from the pivot | N, m |
//! | M | swing drag F·l | N·m |
//! | w, W, n | truck wheelbase, weight of the car, its number of wheels | m, N, – |
//!
//! - constant curve: ψ = asin(a/R) (W1)
//! - symmetric S without a straight between: ψ = asin(a/2R) (W2), with the car's middle on the
//!   turning point: the bolsters lie at arc ±s with 2R sin(s/2R) = a, the chord turns by s/2R and
//!   the track by s/R
//! - flanges carry the drag as a couple: ΔL = M/w, Δ(L/V) = ΔL/(W/n) (W3)
//! - a flat disc of radius r under load N at friction μ would drag M = ⅔μNr (W4); far more than
//!   that means something binds
//!
//! An S-curve asks about half of the **truck** swing of the plain curve, so the plain curve
//! governs trucks. It is the **couplers** that it asks far more of: (W5) and (W6).
//! - equal cars coupled on a curve, p the coupler pivot from the middle, ℓ pivot to pivot:
//!   γ = α + asin(ℓ/2ρ), d = √(R² − a²), ρ = √(d² + p²), α = atan2(p, d) (W5)
//! - the same two cars with the turning point of an S midway:
//!   γ = π/2 + α − acos((ρ² + ℓ²/4 − R²)/(ρℓ)), R from the centre to the turning point (W6)
//!
//! Validity: rigid trucks centred on the track (play in the gauge adds about 2σ/w, σ half the
//! lateral play), R above a. Small (W3) is a static bound.
//! Source: plane geometry, derived here; (W4) is uniform pressure on a disc, a standard result.

use gradeworthy_units::{Angle, Force, Length};

use super::input::{Unusable, above_zero, angle, not_negative_mm, positive_mm};

/// Why swing could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SwingError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// The curve is tighter than the car's truck centres can stand on.
    #[error("a curve of {radius:.1} is tighter than half the truck centres, {limit:.1}")]
    CurveTooTight {
        /// Radius of the curve.
        radius: Length,
        /// Half the truck centres.
        limit: Length,
    },
    /// The couplers would be further apart than the curves let them.
    #[error(
        "couplers of {link:.1} pivot to pivot cannot join these cars on a curve of {radius:.1}"
    )]
    CannotCouple {
        /// Distance of the pivots.
        link: Length,
        /// Radius of the curve.
        radius: Length,
    },
}

/// The swing that a line asks of a truck, and what is left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruckSwing {
    /// On the tightest curve (W1); this governs.
    pub needed: Angle,
    /// In an S of the same radius (W2), for comparison: about half.
    pub needed_in_s_curve: Angle,
    /// Measured swing less what is needed; negative when the truck would bind.
    pub margin: Angle,
}

/// Compares the swing that was measured (the lesser of left and right) with the tightest curve.
///
/// # Errors
/// [`SwingError`] when a length is impossible or the curve tighter than the car.
pub fn truck_swing(
    measured: Angle,
    truck_centres: Length,
    radius: Length,
) -> Result<TruckSwing, SwingError> {
    let a_mm = positive_mm("the distance of the truck centres", truck_centres)? / 2.0;
    let r_mm = positive_mm("the radius", radius)?;
    if r_mm <= a_mm {
        return Err(SwingError::CurveTooTight {
            radius,
            limit: truck_centres.half(),
        });
    }
    let needed = angle("the swing", (a_mm / r_mm).asin())?;
    Ok(TruckSwing {
        needed,
        needed_in_s_curve: angle("the swing", (a_mm / (2.0 * r_mm)).asin())?,
        margin: measured - needed,
    })
}

/// A car whose couplers swing, coupled to one like it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CoupledCar {
    /// 2a.
    pub truck_centres: Length,
    /// p: coupler pivot from the middle of the car.
    pub pivot_from_middle: Length,
    /// ℓ: pivot to pivot of the two couplers, stretched.
    pub link: Length,
}

/// The coupler angles of two equal cars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CouplerSwing {
    /// Both on the same curve (W5).
    pub on_curve: Angle,
    /// One on each side of the turning point of an S without a straight between (W6).
    pub in_s_curve: Angle,
}

/// The coupler swing that a curve, and an S of the same radius, ask of two equal cars.
///
/// # Errors
/// [`SwingError`] when a length is impossible, or when the cars could not be coupled there.
pub fn coupler_swing(car: &CoupledCar, radius: Length) -> Result<CouplerSwing, SwingError> {
    let a_mm = positive_mm("the distance of the truck centres", car.truck_centres)? / 2.0;
    let p_mm = positive_mm("the coupler pivot's distance", car.pivot_from_middle)?;
    let link_mm = positive_mm("the couplers' length", car.link)?;
    let r_mm = positive_mm("the radius", radius)?;
    if r_mm <= a_mm {
        return Err(SwingError::CurveTooTight {
            radius,
            limit: car.truck_centres.half(),
        });
    }
    let d_mm = (r_mm * r_mm - a_mm * a_mm).sqrt();
    let rho_mm = d_mm.hypot(p_mm);
    let alpha = p_mm.atan2(d_mm);
    let on_curve = alpha + (link_mm / (2.0 * rho_mm)).asin();
    let cosine = (rho_mm * rho_mm + link_mm * link_mm / 4.0 - r_mm * r_mm) / (rho_mm * link_mm);
    let in_s_curve = std::f64::consts::FRAC_PI_2 + alpha - cosine.acos();
    if on_curve.is_nan() || in_s_curve.is_nan() {
        return Err(SwingError::CannotCouple {
            link: car.link,
            radius,
        });
    }
    Ok(CouplerSwing {
        on_curve: angle("the coupler swing", on_curve)?,
        in_s_curve: angle("the coupler swing", in_s_curve)?,
    })
}

/// The pull at the end of a lever that just turns a truck under the standing car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverTest {
    /// F: mean of both directions.
    pub force: Force,
    /// l: from the pivot to where the pull acts, at right angles.
    pub lever: Length,
}

/// The car that was tested.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestedCar {
    /// W.
    pub weight: Force,
    /// n.
    pub wheel_count: u32,
    /// w: truck wheelbase.
    pub wheelbase: Length,
}

/// What the drag of a swinging truck does to the rails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SwingDrag {
    /// M in newton metres.
    pub moment_newton_metres: f64,
    /// ΔL: the couple's force at each of the outer axles.
    pub flange_force: Force,
    /// Δ(L/V) on a wheel of nominal load.
    pub l_over_v: f64,
}

impl TestedCar {
    fn wheel_load_n(&self) -> Result<f64, SwingError> {
        let weight_n = above_zero("the car's weight in newtons", self.weight.newtons())?;
        let wheels = above_zero("the number of wheels", f64::from(self.wheel_count))?;
        Ok(weight_n / wheels)
    }
}

/// (W3).
///
/// # Errors
/// [`SwingError`] when a number is impossible.
pub fn swing_drag(test: &LeverTest, car: &TestedCar) -> Result<SwingDrag, SwingError> {
    let lever_m = positive_mm("the lever", test.lever)? / 1e3;
    let wheelbase_m = positive_mm("the truck wheelbase", car.wheelbase)? / 1e3;
    let moment_newton_metres = test.force.newtons().abs() * lever_m;
    let flange_n = moment_newton_metres / wheelbase_m;
    Ok(SwingDrag {
        moment_newton_metres,
        flange_force: force("the flange force", flange_n)?,
        l_over_v: flange_n / car.wheel_load_n()?,
    })
}

/// The largest lever force that keeps Δ(L/V) within `l_over_v_max`: (W3) solved for F.
///
/// # Errors
/// [`SwingError`] when a number is impossible.
pub fn lever_force_max(
    l_over_v_max: f64,
    lever: Length,
    car: &TestedCar,
) -> Result<Force, SwingError> {
    let limit = above_zero("the limit on Δ(L/V)", l_over_v_max)?;
    let lever_mm = positive_mm("the lever", lever)?;
    let wheelbase_mm = positive_mm("the truck wheelbase", car.wheelbase)?;
    Ok(force(
        "the lever force",
        limit * car.wheel_load_n()? * wheelbase_mm / lever_mm,
    )?)
}

/// (W4): the drag in newton metres of a clean flat pivot of `radius` under `load` at friction
/// `friction`; a measured drag far above it means that something binds.
///
/// # Errors
/// [`SwingError`] when a number is impossible.
pub fn flat_pivot_newton_metres(
    friction: f64,
    load: Force,
    radius: Length,
) -> Result<f64, SwingError> {
    let mu = above_zero("the friction", friction)?;
    let load_n = above_zero("the load on the pivot in newtons", load.newtons())?;
    let radius_m = not_negative_mm("the radius of the pivot", radius)? / 1e3;
    Ok(2.0 / 3.0 * mu * load_n * radius_m)
}

fn force(what: &'static str, newtons: f64) -> Result<Force, Unusable> {
    Force::from_newtons(newtons).map_err(|_| Unusable::NotFinite {
        what,
        value: newtons,
    })
}
