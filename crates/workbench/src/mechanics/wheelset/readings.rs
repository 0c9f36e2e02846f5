//! What is measured on a wheelset, and what no wheelset can measure.

use gradeworthy_units::Length;

use crate::mechanics::ends::Side;

/// The least and the greatest distance between the flange backs, round the axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BackToBack {
    /// The least, B⁻.
    pub low: Length,
    /// The greatest, B⁺.
    pub high: Length,
}

impl BackToBack {
    /// One reading taken for the whole turn: the wheels are taken to run true.
    #[must_use]
    pub const fn assume_true_running(reading: Length) -> Self {
        Self {
            low: reading,
            high: reading,
        }
    }

    /// Half-way between the two, to the nanometre below.
    #[must_use]
    pub fn mean(self) -> Length {
        (self.low + self.high).half()
    }

    /// How far it varies round the axle.
    #[must_use]
    pub fn spread(self) -> Length {
        self.high - self.low
    }
}

/// What was measured on one wheel; what was not measured is `None` and is not guessed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wheel {
    /// T, at the gauging point.
    pub flange_thickness: Option<Length>,
    /// N, over the whole tire, flange included.
    pub tire_width: Option<Length>,
    /// D, below the tread.
    pub flange_depth: Option<Length>,
}

/// A wheelset as measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wheelset {
    /// B round the axle.
    pub back_to_back: BackToBack,
    /// The left wheel.
    pub left: Wheel,
    /// The right wheel.
    pub right: Wheel,
    /// How far the pair of backs sits to the right of the middle of the axle, where known.
    pub offset: Option<Length>,
}

impl Wheelset {
    /// The wheel on that side.
    #[must_use]
    pub const fn wheel(&self, side: Side) -> &Wheel {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }
}

/// Standard uncertainties of the readings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Uncertainty {
    /// Of B.
    pub back_to_back: Length,
    /// Of T.
    pub flange_thickness: Length,
    /// Of N; zero where N is the maker's figure and taken as given.
    pub tire_width: Length,
    /// Of D.
    pub flange_depth: Length,
}

/// Readings that no wheelset can have, or limits that no wheelset can meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WheelsetError {
    /// A length that has to be positive and is not.
    #[error("{what} of {found} is not positive; measure it again")]
    NotPositive {
        /// Which reading or limit.
        what: &'static str,
        /// What was found.
        found: Length,
    },
    /// A length far beyond any model.
    #[error("{what} of {found} is beyond {limit}; check the unit")]
    TooLong {
        /// Which reading or limit.
        what: &'static str,
        /// What was found.
        found: Length,
        /// The greatest taken.
        limit: Length,
    },
    /// The least back-to-back is above the greatest.
    #[error("least back-to-back {low} is above greatest {high}; the two are exchanged")]
    LowAboveHigh {
        /// Given as the least.
        low: Length,
        /// Given as the greatest.
        high: Length,
    },
    /// A flange as thick as the whole tire leaves no tread.
    #[error("flange thickness {flange} leaves no tread on a tire of {tire}; the two are exchanged")]
    NoTread {
        /// T as given.
        flange: Length,
        /// N as given.
        tire: Length,
    },
    /// A standard uncertainty below zero.
    #[error("uncertainty of {what}, {found}, is negative")]
    NegativeUncertainty {
        /// Of which reading.
        what: &'static str,
        /// What was found.
        found: Length,
    },
    /// Two limits that exclude each other whatever the wheelset.
    #[error(
        "no wheelset can meet both: {lower} asks for {at_least} or more, \
         {upper} for {at_most} or less; correct the limits or the clearances"
    )]
    LimitsContradict {
        /// The limit from below.
        lower: &'static str,
        /// Its value, clearance included.
        at_least: Length,
        /// The limit from above.
        upper: &'static str,
        /// Its value, clearance included.
        at_most: Length,
    },
}

/// Far above the largest model wheelset and far below where nanometre sums overflow.
const LENGTH_MAX: Length = Length::from_nanometres(10_000_000_000);

pub(super) fn check_readings(
    wheelset: &Wheelset,
    uncertainty: &Uncertainty,
) -> Result<(), WheelsetError> {
    let BackToBack { low, high } = wheelset.back_to_back;
    check_positive("back-to-back", Some(low))?;
    check_positive("back-to-back", Some(high))?;
    if low > high {
        return Err(WheelsetError::LowAboveHigh { low, high });
    }
    for wheel in [&wheelset.left, &wheelset.right] {
        check_positive("flange thickness", wheel.flange_thickness)?;
        check_positive("tire width", wheel.tire_width)?;
        check_positive("flange depth", wheel.flange_depth)?;
        if let (Some(flange), Some(tire)) = (wheel.flange_thickness, wheel.tire_width)
            && flange >= tire
        {
            return Err(WheelsetError::NoTread { flange, tire });
        }
    }
    check_short("offset", wheelset.offset)?;
    for (what, found) in [
        ("back-to-back", uncertainty.back_to_back),
        ("flange thickness", uncertainty.flange_thickness),
        ("tire width", uncertainty.tire_width),
        ("flange depth", uncertainty.flange_depth),
    ] {
        if found < Length::ZERO {
            return Err(WheelsetError::NegativeUncertainty { what, found });
        }
        check_short(what, Some(found))?;
    }
    Ok(())
}

pub(super) fn check_positive(
    what: &'static str,
    length: Option<Length>,
) -> Result<(), WheelsetError> {
    match length {
        Some(found) if found <= Length::ZERO => Err(WheelsetError::NotPositive { what, found }),
        _ => check_short(what, length),
    }
}

pub(super) fn check_short(what: &'static str, length: Option<Length>) -> Result<(), WheelsetError> {
    match length {
        Some(found) if found > LENGTH_MAX || found < -LENGTH_MAX => Err(WheelsetError::TooLong {
            what,
            found,
            limit: LENGTH_MAX,
        }),
        _ => Ok(()),
    }
}
