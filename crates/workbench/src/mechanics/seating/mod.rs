//! What the gaps under the wheels say: the errors of truck frames and bolsters, which wheels
//! carry, and the shims that cure it.
//!
//! The car stands on a surface plate with its trucks held tight, and a gap is read under every
//! wheel.
//! However the car happens to rest, its gaps are heights of the wheels over one plane plus a rigid
//! motion, so only what a rigid motion cannot change is a fault of the car:
//! 3 of the 4, 8 or 12 readings are spent on the motion, and 1, 5 or 9 errors are left.
//!
//! With gap z at axle x, left minus right halved `d = (z_L − z_R)/2`, and mean
//! `c = (z_L + z_R)/2`:
//!
//! | symbol | error | formula |
//! | --- | --- | --- |
//! | e (mm) | frame warp, height of a corner | slope of d × half the wheelbase (S1) |
//! | φ (rad) | roll of a truck | `mean d / y_c`, `y_c` half the contact spacing (S2) |
//! | Δφ (rad) | roll of bolster A against bolster B | `φ_A − φ_B` (S3) |
//! | θ (rad) | pitch of a truck | slope of c along the truck (S4) |
//! | ψ (rad) | pitch of a truck against the car | `θ − (c̄_A − c̄_B)/(x̄_A − x̄_B)` (S5) |
//!
//! A three-axle truck has two more: the bow (its middle axle above the line of the outer two) and
//! the cross bow (the same of d). Its e, φ and θ are then those of the least-squares plane, so
//! that 2 × (warp, bow, cross bow) + Δφ + 2 × ψ are the 9 errors.
//! A two-axle car has the one error, e over the whole car.
//!
//! Validity: small angles (a gap is thousandths of a wheelbase), a rigid body, plate flat to well
//! under the reading uncertainty, readings independent and equally uncertain.
//! Uncertainties follow by the law of propagation, which is exact for these linear forms:
//! [JCGM-100 §5.1.2].
//! Source: the formulas are derived here; the mechanics is that of a rigid body on a plane.

mod cure;
mod stance;
mod stand;

pub use cure::{Cure, Diagonal, PadEdge, Pads, StockShim, StripBox, cures, shim_from_stock};
pub use stance::Stance;
pub use stand::{Centre, Standing, stand};

use gradeworthy_units::{Angle, Length};

use super::ends::{End, Ends};
use super::input::{Measured, Unusable, measured_angle, measured_length, not_negative_mm};
use stance::{Axles, Truck};

/// Why seating could not be worked out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SeatingError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// There is not one gap for every wheel.
    #[error("{found} gaps were read, but this car stands on {wanted} wheels: read every wheel")]
    GapCount {
        /// How many were given.
        found: usize,
        /// How many wheels there are.
        wanted: usize,
    },
    /// The middle axle of a truck does not lie between the outer ones.
    #[error(
        "the middle axle lies {found:.2} from the middle of its truck, outside the half wheelbase \
         of {limit:.2}"
    )]
    MiddleAxleOutside {
        /// Its distance from the middle of the truck.
        found: Length,
        /// Half the wheelbase.
        limit: Length,
    },
    /// The trucks of a car overlap.
    #[error("trucks of wheelbase {wheelbase:.2} do not fit on truck centres of {truck_centres:.2}")]
    TrucksOverlap {
        /// Wheelbase of one truck.
        wheelbase: Length,
        /// Distance of the truck centres.
        truck_centres: Length,
    },
    /// The centre of gravity lies outside the wheels: the car would fall over.
    #[error(
        "a centre of gravity at {along:.1} along and {across:.1} across lies outside the wheels: \
         such a car falls over"
    )]
    FallsOver {
        /// Along the car, towards A.
        along: Length,
        /// Across the car, to the left.
        across: Length,
    },
}

/// The gaps under the wheels, and how well they were read.
#[derive(Clone, Copy, Debug)]
pub struct Gaps<'a> {
    /// From the axle at the A end to the axle at the B end, left before right.
    pub gaps: &'a [Length],
    /// Standard uncertainty of each gap.
    pub standard_uncertainty: Length,
}

/// What the gaps say about the car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Flatness {
    /// Of a two-axle car.
    TwoAxle {
        /// Height of a corner of the frame over its mean plane: left at A and right at B are this
        /// much high, the other two this much low.
        corner: Measured<Length>,
        /// Roll of the A axle against the B axle, `2e/y_c`.
        twist: Measured<Angle>,
    },
    /// Of a car with trucks.
    Trucks(TruckFlatness),
}

/// The errors of a car with trucks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruckFlatness {
    /// Of each truck's own frame.
    pub frame: Ends<FrameWarp>,
    /// Δφ: positive when the left wheels of A hang higher than those of B.
    pub roll: Measured<Angle>,
    /// ψ: positive when the axle nearer the A end hangs too high.
    pub pitch: Ends<Measured<Angle>>,
}

/// The errors of one truck frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrameWarp {
    /// e: left wheel of the outer axle nearer A, and right wheel of the other, this much high.
    pub corner: Measured<Length>,
    /// Of a three-axle truck: its middle axle above the line of the outer ones.
    pub bow: Option<Measured<Length>>,
    /// Of a three-axle truck: the same of half the left-right difference.
    pub cross_bow: Option<Measured<Length>>,
}

/// Separates the gaps of `readings` into the errors of the car.
///
/// # Errors
/// [`SeatingError`] when the stance is impossible or the number of gaps does not suit it.
///
/// # Example
/// ```
/// use gradeworthy_units::Length;
/// use gradeworthy_workbench::mechanics::seating::{Flatness, Gaps, Stance, flatness};
/// let mm = |hundredths| Length::from_hundredths_mm(hundredths);
/// let stance = Stance::TwoAxle { wheelbase: mm(50_00), contact_spacing: mm(17_80) };
/// let gaps = [mm(20), mm(0), mm(0), mm(0)];
/// let readings = Gaps { gaps: &gaps, standard_uncertainty: mm(2) };
/// let Ok(Flatness::TwoAxle { corner, .. }) = flatness(&stance, readings) else { panic!() };
/// assert_eq!(corner.value, mm(5));
/// assert_eq!(corner.standard_uncertainty, mm(1));
/// ```
pub fn flatness(stance: &Stance, readings: Gaps<'_>) -> Result<Flatness, SeatingError> {
    let axles = stance.axles()?;
    let heights_mm = heights(&axles, readings.gaps)?;
    let u_mm = not_negative_mm("the uncertainty of a gap", readings.standard_uncertainty)?;
    match axles.trucks() {
        None => {
            let whole = Plane::fit(axles.whole(), &heights_mm, axles.y_c_mm, u_mm);
            let per_corner = 2.0 / axles.y_c_mm;
            Ok(Flatness::TwoAxle {
                corner: measured_length("the corner height", whole.corner_mm, whole.u_corner_mm)?,
                twist: measured_angle(
                    "the twist",
                    whole.corner_mm * per_corner,
                    whole.u_corner_mm * per_corner,
                )?,
            })
        }
        Some(trucks) => {
            let planes = trucks.map(|truck| Plane::fit(truck, &heights_mm, axles.y_c_mm, u_mm));
            Ok(Flatness::Trucks(between(&planes)?))
        }
    }
}

fn heights(axles: &Axles, gaps: &[Length]) -> Result<[f64; 12], SeatingError> {
    let wanted = 2 * axles.count;
    if gaps.len() != wanted {
        return Err(SeatingError::GapCount {
            found: gaps.len(),
            wanted,
        });
    }
    let mut heights_mm = [0.0; 12];
    for (height_mm, gap) in heights_mm.iter_mut().zip(gaps) {
        *height_mm = gap.mm();
    }
    Ok(heights_mm)
}

/// The least-squares plane of one truck, and what of its wheels lies outside that plane.
struct Plane {
    x_mean_mm: f64,
    c_mean_mm: f64,
    u_c_mean_mm: f64,
    roll: f64,
    u_roll: f64,
    pitch: f64,
    u_pitch: f64,
    corner_mm: f64,
    u_corner_mm: f64,
    bows_mm: Option<[f64; 2]>,
    u_bow_mm: f64,
}

impl Plane {
    #[expect(clippy::cast_precision_loss, reason = "a truck has two or three axles")]
    fn fit(truck: Truck<'_>, heights_mm: &[f64; 12], y_c_mm: f64, u_mm: f64) -> Self {
        let n = truck.x_mm.len() as f64;
        let mean = |of: &dyn Fn(usize) -> f64| (0..truck.x_mm.len()).map(of).sum::<f64>() / n;
        let left_mm = |i: usize| heights_mm[2 * (truck.first + i)];
        let right_mm = |i: usize| heights_mm[2 * (truck.first + i) + 1];
        let c_mm = |i: usize| (left_mm(i) + right_mm(i)) / 2.0;
        let d_mm = |i: usize| (left_mm(i) - right_mm(i)) / 2.0;

        let x_mean_mm = mean(&|i| truck.x_mm[i]);
        let run_mm = |i: usize| truck.x_mm[i] - x_mean_mm;
        let spread_mm2 = n * mean(&|i| run_mm(i) * run_mm(i));
        let slope = |of: &dyn Fn(usize) -> f64| n * mean(&|i| run_mm(i) * of(i)) / spread_mm2;
        // Both c and d are half the sum of two readings: variance u²/2 each.
        let u_half_mm = u_mm / 2.0_f64.sqrt();
        let u_slope = u_half_mm / spread_mm2.sqrt();

        let half_wheelbase_mm = (truck.x_mm[0] - truck.x_mm[truck.x_mm.len() - 1]) / 2.0;
        let bow = truck.middle().map(|share| {
            let of = |z: &dyn Fn(usize) -> f64| z(1) - share * z(0) - (1.0 - share) * z(2);
            [of(&c_mm), of(&d_mm)]
        });
        let share = truck.middle().unwrap_or(0.5);
        Self {
            x_mean_mm,
            c_mean_mm: mean(&c_mm),
            u_c_mean_mm: u_half_mm / n.sqrt(),
            roll: mean(&d_mm) / y_c_mm,
            u_roll: u_half_mm / n.sqrt() / y_c_mm,
            pitch: slope(&c_mm),
            u_pitch: u_slope,
            corner_mm: slope(&d_mm) * half_wheelbase_mm,
            u_corner_mm: u_slope * half_wheelbase_mm,
            bows_mm: bow,
            u_bow_mm: u_half_mm * (1.0 + share * share + (1.0 - share) * (1.0 - share)).sqrt(),
        }
    }

    fn frame(&self) -> Result<FrameWarp, Unusable> {
        let bow = |which: usize| {
            self.bows_mm
                .map(|bows_mm| measured_length("the bow", bows_mm[which], self.u_bow_mm))
                .transpose()
        };
        Ok(FrameWarp {
            corner: measured_length("the corner height", self.corner_mm, self.u_corner_mm)?,
            bow: bow(0)?,
            cross_bow: bow(1)?,
        })
    }
}

/// What stands between two trucks: (S3) and (S5).
fn between(planes: &Ends<Plane>) -> Result<TruckFlatness, Unusable> {
    let Ends { a, b } = planes;
    let chord_mm = a.x_mean_mm - b.x_mean_mm;
    let chord = (a.c_mean_mm - b.c_mean_mm) / chord_mm;
    let u_chord = a.u_c_mean_mm.hypot(b.u_c_mean_mm) / chord_mm;
    let pitch = |plane: &Plane| {
        measured_angle("a pitch", plane.pitch - chord, plane.u_pitch.hypot(u_chord))
    };
    Ok(TruckFlatness {
        frame: Ends {
            a: a.frame()?,
            b: b.frame()?,
        },
        roll: measured_angle("the roll", a.roll - b.roll, a.u_roll.hypot(b.u_roll))?,
        pitch: Ends {
            a: pitch(a)?,
            b: pitch(b)?,
        },
    })
}

/// Which wheel a gap belongs to.
///
/// `index` counts as [`Gaps::gaps`] does. `None` beyond the last wheel or for a two-axle car's
/// truck.
#[must_use]
pub fn truck_of_wheel(stance: &Stance, index: usize) -> Option<End> {
    let per_truck = match stance {
        Stance::TwoAxle { .. } => return None,
        Stance::TwoAxleTrucks { .. } => 4,
        Stance::ThreeAxleTrucks { .. } => 6,
    };
    match index / per_truck {
        0 => Some(End::A),
        1 => Some(End::B),
        _ => None,
    }
}
