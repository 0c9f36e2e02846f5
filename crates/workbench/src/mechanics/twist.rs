//! How much twist of the track a car follows before a wheel lifts, and what binds.
//!
//! Trucks free on their screws: each truck can roll under the body until its centre plate has
//! lifted by the play of the screw, or until the side bearing meets the body (T1), and each side
//! frame can pitch against the other (T2).
//!
//! | symbol | meaning | |
//! | --- | --- | --- |
//! | v | vertical play of the pivot screw | mm |
//! | `b_c` | half width of the centre plate | mm |
//! | G, `y_sb` | side-bearing gap, and where it is | mm |
//! | `y_c` | half the spacing of the wheel contacts | mm |
//! | 2a, w | truck centres, truck wheelbase | mm |
//! | ε | free pitch of a side frame from the mean of the two, either way | rad |
//!
//! - `ρ = min(v/b_c, (G + v)/y_sb)`, the roll freedom of one truck (T1)
//! - cross-level difference over the truck centres that the body allows: `2y_c(ρ_A + ρ_B)` (T3)
//! - twist rate that the frames allow: τ ≤ 2ε, over the truck centres 2ε·2a (T2)
//! - inside the free range the body rests on one edge of each centre plate, and wheel loads are
//!   `q(1 ± (W_b/2)(b_c/2y_c)/(2q))`, q the nominal wheel load (T4)
//!
//! The play of the screw, not the side gap, is usually what binds: a tight screw with a wide side
//! gap has no freedom at all.
//! Validity: rigid body and plates, small angles, static. A lift below the flange depth is not
//! yet a derailment.
//! Source: derived here; checked against a linear programme solved by HiGHS through SciPy
//! (`oracles/twist_lp.py`).

use gradeworthy_units::{Angle, Length, Mass};

use super::ends::{End, Ends};
use super::input::{Unusable, above_zero, angle, length, not_negative_mm, positive_mm};

/// Why a twist capability could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TwistError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// The side bearing lies inside the centre plate.
    #[error(
        "a side bearing at {side_bearing:.2} lies inside the centre plate's half width of {limit:.2}"
    )]
    SideBearingInside {
        /// Distance of the side bearing from the middle.
        side_bearing: Length,
        /// Half the width of the centre plate.
        limit: Length,
    },
}

/// How one truck is hung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hanging {
    /// v: how far the bolster can drop off the centre plate before the screw holds it.
    pub screw_play: Length,
    /// `b_c`.
    pub centre_plate_half_width: Length,
    /// G: the gap of the side bearing with the car level.
    pub side_bearing_gap: Length,
    /// `y_sb`: distance of the side bearing from the middle of the car.
    pub side_bearing_offset: Length,
}

/// A car with its trucks free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreeTrucks {
    /// Each truck's hanging.
    pub hanging: Ends<Hanging>,
    /// 2a.
    pub truck_centres: Length,
    /// `2y_c`.
    pub contact_spacing: Length,
    /// ε: zero for a rigid frame.
    pub side_frame_pitch: Angle,
}

/// What stops a truck from rolling further under its body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RollStop {
    /// The pivot screw holds the bolster.
    ScrewPlay,
    /// The side bearing meets the body.
    SideBearing,
}

/// What sets the capability of the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Binding {
    /// The trucks' roll under the body, stopped at each end by this.
    Roll(Ends<RollStop>),
    /// The frames: they cannot warp far enough.
    FrameWarp,
}

/// How much twist a car follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwistCapability {
    /// Cross-level difference over the truck centres at which a wheel lifts.
    pub cross_level: Length,
    /// The same as a twist of the track, cross-level over distance.
    pub twist_rate: f64,
    /// What the roll of the trucks alone would allow (T3).
    pub cross_level_by_roll: Length,
    /// What the frames alone would allow (T2).
    pub cross_level_by_warp: Length,
    /// ρ of each truck.
    pub roll_freedom: Ends<Angle>,
    /// What binds.
    pub binding: Binding,
}

/// The twist that `car` follows before a wheel lifts.
///
/// # Errors
/// [`TwistError`] when a length is impossible.
pub fn twist_capability(car: &FreeTrucks) -> Result<TwistCapability, TwistError> {
    let roll = car.hanging.try_map(|hanging| roll_freedom(&hanging))?;
    let centres_mm = positive_mm("the distance of the truck centres", car.truck_centres)?;
    let contacts_mm = positive_mm("the spacing of the wheel contacts", car.contact_spacing)?;
    let by_roll_mm = contacts_mm * (roll.a.0 + roll.b.0);
    let by_warp_mm = 2.0 * car.side_frame_pitch.radians().abs() * centres_mm;
    let (cross_level_mm, binding) = if by_warp_mm < by_roll_mm {
        (by_warp_mm, Binding::FrameWarp)
    } else {
        (by_roll_mm, Binding::Roll(roll.map(|(_, stop)| stop)))
    };
    Ok(TwistCapability {
        cross_level: length("the twist capability", cross_level_mm)?,
        twist_rate: cross_level_mm / centres_mm,
        cross_level_by_roll: length("the roll capability", by_roll_mm)?,
        cross_level_by_warp: length("the warp capability", by_warp_mm)?,
        roll_freedom: roll.try_map(|(rho, _)| angle("the roll freedom", rho))?,
        binding,
    })
}

/// (T1) and what set it.
fn roll_freedom(hanging: &Hanging) -> Result<(f64, RollStop), TwistError> {
    let v_mm = not_negative_mm("the play of the pivot screw", hanging.screw_play)?;
    let g_mm = not_negative_mm("the side-bearing gap", hanging.side_bearing_gap)?;
    let b_c_mm = positive_mm(
        "half the centre plate's width",
        hanging.centre_plate_half_width,
    )?;
    let y_sb_mm = positive_mm("the side bearing's offset", hanging.side_bearing_offset)?;
    if y_sb_mm <= b_c_mm {
        return Err(TwistError::SideBearingInside {
            side_bearing: hanging.side_bearing_offset,
            limit: hanging.centre_plate_half_width,
        });
    }
    let by_screw = v_mm / b_c_mm;
    let by_bearing = (g_mm + v_mm) / y_sb_mm;
    Ok(if by_screw <= by_bearing {
        (by_screw, RollStop::ScrewPlay)
    } else {
        (by_bearing, RollStop::SideBearing)
    })
}

/// The free pitch ε of a side frame, from how far one wheel of a truck can be lifted before
/// another leaves the plate: one corner e goes with w·ε/2, and the lift is 4e.
///
/// # Errors
/// [`TwistError`] for a wheelbase that is not above zero or a negative lift.
pub fn side_frame_pitch(corner_lift: Length, wheelbase: Length) -> Result<Angle, TwistError> {
    let lift_mm = not_negative_mm("the lift of a corner", corner_lift)?;
    let wheelbase_mm = positive_mm("the truck wheelbase", wheelbase)?;
    Ok(angle(
        "the pitch of a side frame",
        lift_mm / (2.0 * wheelbase_mm),
    )?)
}

/// The weights that set the loads of an eight-wheel car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CarWeight {
    /// The body without its trucks.
    pub body: Mass,
    /// One truck.
    pub truck: Mass,
}

/// The lightest wheel's load over the nominal one while the track twists within the free range
/// (T4); the heaviest has 2 minus this. The value may be negative for a wide centre plate: then
/// a wheel lifts as soon as the body rocks over.
///
/// # Errors
/// [`TwistError`] when a length or weight is impossible.
pub fn lightest_wheel(
    weight: CarWeight,
    centre_plate_half_width: Length,
    contact_spacing: Length,
) -> Result<f64, TwistError> {
    let body_g = above_zero("the body's weight in grams", weight.body.grams())?;
    let truck_g = above_zero("a truck's weight in grams", weight.truck.grams())?;
    let b_c_mm = positive_mm("half the centre plate's width", centre_plate_half_width)?;
    let contacts_mm = positive_mm("the spacing of the wheel contacts", contact_spacing)?;
    let nominal_g = (body_g + 2.0 * truck_g) / 8.0;
    Ok(1.0 - (body_g / 2.0) * (b_c_mm / contacts_mm) / (2.0 * nominal_g))
}

impl TwistCapability {
    /// The truck whose roll stops first, when roll binds and one truck has less of it.
    #[must_use]
    pub fn stiffer_truck(&self) -> Option<End> {
        let Ends { a, b } = self.roll_freedom;
        match (self.binding, a.partial_cmp(&b)?) {
            (Binding::FrameWarp, _) | (_, std::cmp::Ordering::Equal) => None,
            (Binding::Roll(_), std::cmp::Ordering::Less) => Some(End::A),
            (Binding::Roll(_), std::cmp::Ordering::Greater) => Some(End::B),
        }
    }
}
