//! Mass and moment of inertia of a wheelset, from discs.
//!
//! The tire is a disc of tread radius r and width N − T, the flange a disc of radius r + D and
//! width T, the axle a cylinder of its own radius over its whole length:
//! `M_disc = ρ π R² w`, `J_disc = ½ M_disc R²` (a).
//! A dished or spoked wheel keeps only the part `fill` of the disc of radius 0.8 r over the whole
//! width N; (1 − fill) of that disc is taken away (b).
//! The radius of gyration over the tread radius is `κ = √(J/M)/r` (c).
//!
//! Rolling, a car of mass m with n wheelsets of mass M answers a force as if it were heavier by the
//! part `ε = n κ² M/m` (d): kinetic energy ½ m v² (1 + ε). Derived from ½ J ω² with ω = v/r.
//!
//! Units: mm and kg/m³ in, kg and kg·m² inside. Validity: wheels of one stuff, axle of another;
//! the axle's seat in the wheel is counted in both, which overstates the mass by the density of
//! the wheel times a plug of the axle's radius (HO in brass: 1.8 % of a dished set, 3.4 % of a solid).
//! ASSUMED: 0.8 r for the inner edge of the rim; between 0.75 r and 0.85 r a dished HO set changes
//! κ by under 1 % and M by 6 %.
//! Check from outside: [WEBB §120], energy of the wheels of a box car.

use gradeworthy_units::{Length, Mass};

/// The inner edge of the rim over the tread radius, eq. (b).
const RIM_INNER_OVER_TREAD: f64 = 0.8;

/// The discs a wheelset is made of; both wheels alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelsetShape {
    /// r, half the tread diameter.
    pub tread_radius: Length,
    /// D.
    pub flange_depth: Length,
    /// N, flange included.
    pub tire_width: Length,
    /// T.
    pub flange_thickness: Length,
    /// Over the points.
    pub axle_length: Length,
    /// Half the axle's diameter.
    pub axle_radius: Length,
    /// Of the wheels, kg/m³.
    pub wheel_density_kg_m3: f64,
    /// Of the axle, kg/m³.
    pub axle_density_kg_m3: f64,
    /// What is left inside the rim: 1 for a solid wheel, less for a dished or spoked one.
    pub fill: f64,
}

/// What the discs add up to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inertia {
    mass_kg: f64,
    moment_kg_m2: f64,
    tread_radius: Length,
}

/// Discs that make no wheelset.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum InertiaError {
    /// A length, mass or density that has to be positive.
    #[error("{what} of {found} is not positive")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// What was found, mm, g or kg/m³.
        found: f64,
    },
    /// The flange is as wide as the tire.
    #[error("flange thickness {flange} leaves no tread on a tire of {tire}")]
    NoTread {
        /// T.
        flange: Length,
        /// N.
        tire: Length,
    },
    /// `fill` outside 0 to 1.
    #[error("fill of {found}; 0 is an empty rim and 1 a solid wheel")]
    Fill {
        /// What was found.
        found: f64,
    },
}

impl Inertia {
    /// Adds up the discs, eqs. (a) and (b).
    ///
    /// # Errors
    /// [`InertiaError`] names the dimension that makes no wheelset.
    pub fn of(shape: &WheelsetShape) -> Result<Self, InertiaError> {
        check(shape)?;
        let radius_m = shape.tread_radius.metres();
        let tread_width = shape.tire_width - shape.flange_thickness;
        let over_flange_m = (shape.tread_radius + shape.flange_depth).metres();
        let wheel = shape.wheel_density_kg_m3;
        let discs = [
            (2.0 * wheel, radius_m, tread_width.metres()),
            (2.0 * wheel, over_flange_m, shape.flange_thickness.metres()),
            (
                -2.0 * wheel * (1.0 - shape.fill),
                RIM_INNER_OVER_TREAD * radius_m,
                shape.tire_width.metres(),
            ),
            (
                shape.axle_density_kg_m3,
                shape.axle_radius.metres(),
                shape.axle_length.metres(),
            ),
        ];
        let (mut mass_kg, mut moment_kg_m2) = (0.0, 0.0);
        for (density_kg_m3, disc_radius_m, width_m) in discs {
            let disc_kg =
                density_kg_m3 * std::f64::consts::PI * disc_radius_m * disc_radius_m * width_m;
            mass_kg += disc_kg;
            moment_kg_m2 += 0.5 * disc_kg * disc_radius_m * disc_radius_m;
        }
        Ok(Self {
            mass_kg,
            moment_kg_m2,
            tread_radius: shape.tread_radius,
        })
    }

    /// From a weighed wheelset and a known radius of gyration over tread radius.
    ///
    /// # Errors
    /// [`InertiaError::NotPositive`].
    pub fn from_gyration(
        mass: Mass,
        gyration_ratio: f64,
        tread_radius: Length,
    ) -> Result<Self, InertiaError> {
        positive("mass", mass.grams())?;
        positive("radius of gyration", gyration_ratio)?;
        positive("tread radius", tread_radius.mm())?;
        let mass_kg = mass.grams() / 1e3;
        let gyration_m = gyration_ratio * tread_radius.metres();
        Ok(Self {
            mass_kg,
            moment_kg_m2: mass_kg * gyration_m * gyration_m,
            tread_radius,
        })
    }

    /// M, kg.
    #[must_use]
    pub const fn mass_kg(&self) -> f64 {
        self.mass_kg
    }

    /// J about the axle, kg·m².
    #[doc(alias = "J")]
    #[must_use]
    pub const fn moment_kg_m2(&self) -> f64 {
        self.moment_kg_m2
    }

    /// r.
    #[must_use]
    pub const fn tread_radius(&self) -> Length {
        self.tread_radius
    }

    /// κ, eq. (c).
    #[doc(alias = "kappa")]
    #[must_use]
    pub fn gyration_ratio(&self) -> f64 {
        (self.moment_kg_m2 / self.mass_kg).sqrt() / self.tread_radius.metres()
    }

    /// ε, eq. (d), for a car with `wheelset_count` of these.
    ///
    /// # Errors
    /// [`InertiaError::NotPositive`] for a car without mass.
    pub fn rotating_part(&self, wheelset_count: u32, car: Mass) -> Result<f64, InertiaError> {
        positive("car mass", car.grams())?;
        let radius_m = self.tread_radius.metres();
        let equivalent_kg = f64::from(wheelset_count) * self.moment_kg_m2 / (radius_m * radius_m);
        Ok(equivalent_kg / (car.grams() / 1e3))
    }
}

fn positive(what: &'static str, found: f64) -> Result<(), InertiaError> {
    if found.is_finite() && found > 0.0 {
        Ok(())
    } else {
        Err(InertiaError::NotPositive { what, found })
    }
}

fn check(shape: &WheelsetShape) -> Result<(), InertiaError> {
    for (what, found) in [
        ("tread radius", shape.tread_radius.mm()),
        ("flange depth", shape.flange_depth.mm()),
        ("tire width", shape.tire_width.mm()),
        ("flange thickness", shape.flange_thickness.mm()),
        ("axle length", shape.axle_length.mm()),
        ("axle radius", shape.axle_radius.mm()),
        ("wheel density", shape.wheel_density_kg_m3),
        ("axle density", shape.axle_density_kg_m3),
    ] {
        positive(what, found)?;
    }
    if shape.flange_thickness >= shape.tire_width {
        return Err(InertiaError::NoTread {
            flange: shape.flange_thickness,
            tire: shape.tire_width,
        });
    }
    if !(0.0..=1.0).contains(&shape.fill) {
        return Err(InertiaError::Fill { found: shape.fill });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wheels_of_webbs_box_car_hold_their_share_of_its_energy() {
        // [WEBB §120]: eight wheels of 700 lb, radius 18 in, gyration 13 in; the car of 93,000 lb
        // holds 1,244,340 ft-lb at 20 mph, the spinning of its wheels 39,016 ft-lb (printed with
        // slide-rule rounding: both agree to 0.2 %).
        let pair = Mass::from_milliounces(2 * 700 * 16_000);
        let wheelset = Inertia::from_gyration(pair, 13.0 / 18.0, Length::from_thousandths(18_000));
        let car = Mass::from_milliounces(93_000 * 16_000);
        let part = wheelset
            .and_then(|wheelset| wheelset.rotating_part(4, car))
            .expect("positive");
        let printed = 39_016.0 / 1_244_340.0;
        assert!((part / printed - 1.0).abs() < 2.5e-3, "{part} {printed}");
    }

    #[test]
    fn a_plain_disc_has_its_textbook_gyration() {
        // J = ½ M R² for any disc: a wheel whose flange and axle are almost nothing.
        let nm = Length::from_nanometres;
        let shape = WheelsetShape {
            tread_radius: nm(5_000_000),
            flange_depth: nm(1),
            tire_width: nm(3_000_000),
            flange_thickness: nm(1),
            axle_length: nm(1),
            axle_radius: nm(1),
            wheel_density_kg_m3: 8_500.0,
            axle_density_kg_m3: 7_850.0,
            fill: 1.0,
        };
        let disc = Inertia::of(&shape).expect("a disc");
        assert!((disc.gyration_ratio() - std::f64::consts::FRAC_1_SQRT_2).abs() < 1e-9);
    }

    #[test]
    fn impossible_discs_are_refused() {
        let shape = WheelsetShape {
            tread_radius: Length::from_hundredths_mm(480),
            flange_depth: Length::from_hundredths_mm(60),
            tire_width: Length::from_hundredths_mm(280),
            flange_thickness: Length::from_hundredths_mm(76),
            axle_length: Length::from_hundredths_mm(2_550),
            axle_radius: Length::from_hundredths_mm(100),
            wheel_density_kg_m3: 8_500.0,
            axle_density_kg_m3: 7_850.0,
            fill: 1.0,
        };
        assert!(Inertia::of(&shape).is_ok());
        for wrong in [
            WheelsetShape { fill: 1.5, ..shape },
            WheelsetShape {
                wheel_density_kg_m3: f64::NAN,
                ..shape
            },
            WheelsetShape {
                tread_radius: Length::ZERO,
                ..shape
            },
            WheelsetShape {
                flange_thickness: Length::from_hundredths_mm(280),
                ..shape
            },
        ] {
            assert!(Inertia::of(&wrong).is_err(), "{wrong:?}");
        }
    }
}
