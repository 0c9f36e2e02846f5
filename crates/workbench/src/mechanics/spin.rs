//! What a free spin of a wheelset tells, and what it does not.
//!
//! A wheelset spun in its side frames slows down by dry friction in the bearings and a little air:
//! `J ω' = −(M_c + c ω)`, which stops after `t = (J/c) ln(1 + c ω₀/M_c)` (a) and, without air,
//! after `J ω₀/M_c`.
//! Dry friction at a contact radius `r_c` on a cone of half-angle α works at the friction length
//! `λ = μ r_c / cos α` (b): `M_c = λ M g` in the free spin, and in the car it asks for a grade of
//! `i = φ λ/r` (c), φ the part of the car's weight that rests on the bearings,
//! `φ = 1 − n M/m` (d) for n wheelsets of mass M under a car of mass m.
//! Without air, (a) to (c) leave `i = φ κ² v₀/(g t)` (e), `v₀ = ω₀ r` the speed of the rim at the
//! start: **a spin time without its starting speed says nothing about a grade**, and this module
//! has no function that pretends otherwise.
//! The mass of the wheelset cancels in (e); its shape, through κ, does not.
//!
//! One spin through (e) is uncertain by a factor of which the logarithm has the variance
//! `(ln f_v)² + (2 u_κ)² + (ln f_μ)²` (f), with f the factors by which speed and friction are
//! known and `u_κ` the relative uncertainty of κ.
//! What serves the shop better is a line through its own cars, measured both ways: [`Calibration`].
//!
//! Symbols: J moment of inertia kg·m², ω rad/s, `M_c` N·m, c N·m·s, λ m, r tread radius m, v₀ m/s,
//! t s, i ratio, μ and κ and φ pure numbers.
//! Validity: (e) ignores air, side rub and breakaway friction, and takes friction as proportional
//! to load; of plastic bearings the last is not true.
//! Sources: derivation above; `λ` from the normal force on a cone, `N = W / cos α`.

mod calibration;

pub use calibration::{Calibration, Pair, Prediction, Reach, Scatter};

use gradeworthy_units::{Angle, Grade, Length, Mass, NotFinite, STANDARD_GRAVITY, Time};

/// A free spin with dry friction and air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpinDown {
    /// J, kg·m².
    pub moment_kg_m2: f64,
    /// `M_c`, N·m.
    pub coulomb_n_m: f64,
    /// c, N·m·s; zero for none.
    pub viscous_n_m_s: f64,
    /// ω₀, rad/s.
    pub start_rad_per_s: f64,
}

impl SpinDown {
    /// The time to a standstill, eq. (a).
    ///
    /// # Errors
    /// [`SpinError::OutOfRange`] names the quantity that is not positive.
    pub fn time_to_stop(&self) -> Result<Time, SpinError> {
        positive("moment of inertia, kg·m²", self.moment_kg_m2)?;
        positive("friction torque, N·m", self.coulomb_n_m)?;
        positive("starting speed, rad/s", self.start_rad_per_s)?;
        not_negative("air torque, N·m·s", self.viscous_n_m_s)?;
        let dry_s = self.moment_kg_m2 * self.start_rad_per_s / self.coulomb_n_m;
        let air_over_dry = self.viscous_n_m_s * self.start_rad_per_s / self.coulomb_n_m;
        let shortening = if air_over_dry > 0.0 {
            air_over_dry.ln_1p() / air_over_dry
        } else {
            1.0
        };
        Ok(Time::from_seconds(dry_s * shortening)?)
    }
}

/// A free spin timed from a known speed, and the car that the wheelset runs under.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimedSpin {
    /// t.
    pub time: Time,
    /// v₀, m/s at the rim.
    pub rim_speed_m_s: f64,
    /// κ.
    pub gyration_ratio: f64,
    /// φ.
    pub bearing_share: f64,
}

impl TimedSpin {
    /// The grade at which the car's bearings would just let it roll, eq. (e).
    ///
    /// # Errors
    /// [`SpinError::OutOfRange`] names the quantity that makes no spin.
    pub fn grade(&self) -> Result<Grade, SpinError> {
        positive("spin time, s", self.time.seconds())?;
        positive("rim speed, m/s", self.rim_speed_m_s)?;
        check_car(self.gyration_ratio, self.bearing_share)?;
        let gyration2 = self.gyration_ratio * self.gyration_ratio;
        let grade = self.bearing_share * gyration2 * self.rim_speed_m_s
            / (STANDARD_GRAVITY * self.time.seconds());
        Ok(Grade::from_ratio(grade)?)
    }
}

/// The rim speed, m/s, from which a spin of `time` would mean `grade`; eq. (e) for v₀.
///
/// # Errors
/// [`SpinError::OutOfRange`] names the quantity that makes no spin.
pub fn rim_speed_for_m_s(
    grade: Grade,
    time: Time,
    gyration_ratio: f64,
    bearing_share: f64,
) -> Result<f64, SpinError> {
    positive("grade", grade.ratio())?;
    positive("spin time, s", time.seconds())?;
    check_car(gyration_ratio, bearing_share)?;
    Ok(STANDARD_GRAVITY * time.seconds() * grade.ratio()
        / (bearing_share * gyration_ratio * gyration_ratio))
}

/// φ, eq. (d).
///
/// # Errors
/// [`SpinError::OutOfRange`] when the wheelsets weigh as much as the car, or nothing does.
pub fn bearing_share(wheelset_count: u32, wheelset: Mass, car: Mass) -> Result<f64, SpinError> {
    positive("wheelset mass, g", wheelset.grams())?;
    positive("car mass, g", car.grams())?;
    let share = 1.0 - f64::from(wheelset_count) * wheelset.grams() / car.grams();
    positive("share of the car's weight on its bearings", share)?;
    Ok(share)
}

/// λ, eq. (b).
///
/// # Errors
/// [`SpinError::OutOfRange`] for a negative friction, a radius that is not positive, or a
/// half-angle outside 0° to 90°.
pub fn friction_length(
    friction: f64,
    contact_radius: Length,
    half_angle: Angle,
) -> Result<Length, SpinError> {
    not_negative("coefficient of friction", friction)?;
    positive("contact radius, mm", contact_radius.mm())?;
    not_negative("cone half-angle, °", half_angle.degrees())?;
    positive(
        "90° less the cone half-angle, °",
        90.0 - half_angle.degrees(),
    )?;
    let length_mm = friction * contact_radius.mm() / half_angle.radians().cos();
    Length::from_mm_rounded(length_mm).ok_or(SpinError::NotFinite(NotFinite {
        quantity: "a friction length",
        value: length_mm,
    }))
}

/// i, eq. (c).
///
/// # Errors
/// [`SpinError::OutOfRange`].
pub fn bearing_grade(
    friction_length: Length,
    tread_radius: Length,
    bearing_share: f64,
) -> Result<Grade, SpinError> {
    positive("tread radius, mm", tread_radius.mm())?;
    let grade = bearing_share * friction_length.mm() / tread_radius.mm();
    Ok(Grade::from_ratio(grade)?)
}

/// How well the parts of eq. (e) are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpinDoubt {
    /// `f_v` ≥ 1: the starting speed is known to ×/÷ this, one standard deviation.
    pub rim_speed_factor: f64,
    /// `u_κ`, relative.
    pub gyration_relative: f64,
    /// `f_μ` ≥ 1: friction under load against friction in the free spin, to ×/÷ this.
    pub friction_factor: f64,
}

impl SpinDoubt {
    /// The geometric standard deviation of a grade from one spin, eq. (f).
    ///
    /// # Errors
    /// [`SpinError::OutOfRange`] for a factor below one or a negative uncertainty.
    pub fn geometric_deviation(&self) -> Result<f64, SpinError> {
        not_negative("factor of rim speed, less one", self.rim_speed_factor - 1.0)?;
        not_negative("factor of friction, less one", self.friction_factor - 1.0)?;
        not_negative("relative uncertainty of κ", self.gyration_relative)?;
        let speed = self.rim_speed_factor.ln();
        let shape = 2.0 * self.gyration_relative;
        let friction = self.friction_factor.ln();
        Ok((speed * speed + shape * shape + friction * friction)
            .sqrt()
            .exp())
    }
}

/// Why a spin gives no answer.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SpinError {
    /// A quantity outside the range in which it means anything.
    #[error("{what}: {found} is out of range; expected {expected}")]
    OutOfRange {
        /// Which quantity, with its unit.
        what: &'static str,
        /// What was found.
        found: f64,
        /// What would do.
        expected: &'static str,
    },
    /// Too few cars measured both ways.
    #[error("{found} cars measured both ways; a line of this shop's own needs {needed} or more")]
    TooFewPairs {
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// The spins are too much alike to show a slope.
    #[error(
        "the longest spin is {found:.2} times the shortest; \
         a line needs {needed} times or more, so measure a freer or a stiffer car as well"
    )]
    SpinsTooAlike {
        /// Longest over shortest.
        found: f64,
        /// The least taken.
        needed: f64,
    },
    /// The longer spinners rolled worse.
    #[error(
        "slope of {found_s:.4} s: in these pairs a longer spin goes with a steeper grade; \
         check that the spins were started alike, a spin tells nothing here"
    )]
    SlopeNotPositive {
        /// b₀, s.
        found_s: f64,
    },
    /// Arithmetic left the numbers.
    #[error(transparent)]
    NotFinite(#[from] NotFinite),
}

fn check_car(gyration_ratio: f64, bearing_share: f64) -> Result<(), SpinError> {
    positive("radius of gyration over tread radius", gyration_ratio)?;
    positive("share of the car's weight on its bearings", bearing_share)?;
    not_negative(
        "share of the car's weight on its wheels",
        1.0 - bearing_share,
    )
}

fn positive(what: &'static str, found: f64) -> Result<(), SpinError> {
    if found.is_finite() && found > 0.0 {
        return Ok(());
    }
    Err(SpinError::OutOfRange {
        what,
        found,
        expected: "a positive number",
    })
}

fn not_negative(what: &'static str, found: f64) -> Result<(), SpinError> {
    if found.is_finite() && found >= 0.0 {
        return Ok(());
    }
    Err(SpinError::OutOfRange {
        what,
        found,
        expected: "zero or more",
    })
}
