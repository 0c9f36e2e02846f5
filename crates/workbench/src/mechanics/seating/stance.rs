//! Where the wheels stand under a car.

use gradeworthy_units::Length;

use super::SeatingError;
use crate::mechanics::ends::Ends;
use crate::mechanics::input::positive_mm;

/// The wheels a car stands on.
///
/// `contact_spacing` is the distance between the two rolling contacts of an axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stance {
    /// Four wheels, no trucks.
    TwoAxle {
        /// Distance of the axles.
        wheelbase: Length,
        /// Distance of the contacts of one axle.
        contact_spacing: Length,
    },
    /// Two trucks of two axles.
    TwoAxleTrucks {
        /// Distance of the truck centres.
        truck_centres: Length,
        /// Distance of the axles of a truck.
        wheelbase: Length,
        /// Distance of the contacts of one axle.
        contact_spacing: Length,
    },
    /// Two trucks of three axles.
    ThreeAxleTrucks {
        /// Distance of the truck centres.
        truck_centres: Length,
        /// Distance of the outer axles of a truck.
        wheelbase: Length,
        /// How far the middle axle lies from the middle of its truck, towards the middle of the
        /// car; zero for evenly spaced axles.
        middle_axle_inward: Length,
        /// Distance of the contacts of one axle.
        contact_spacing: Length,
    },
}

/// The axles in numbers: along the car from A to B.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axles {
    pub(super) count: usize,
    pub(super) y_c_mm: f64,
    x_mm: [f64; 6],
    have_trucks: bool,
}

/// The axles of one truck.
#[derive(Clone, Copy, Debug)]
pub(super) struct Truck<'a> {
    pub(super) first: usize,
    pub(super) x_mm: &'a [f64],
}

impl Stance {
    pub(super) fn axles(&self) -> Result<Axles, SeatingError> {
        match *self {
            Self::TwoAxle {
                wheelbase,
                contact_spacing,
            } => {
                let half_mm = positive_mm("the wheelbase", wheelbase)? / 2.0;
                Axles::new(&[half_mm, -half_mm], contact_spacing, false)
            }
            Self::TwoAxleTrucks {
                truck_centres,
                wheelbase,
                contact_spacing,
            } => {
                let (a_mm, half_mm) = centres(truck_centres, wheelbase)?;
                let x_mm = [
                    a_mm + half_mm,
                    a_mm - half_mm,
                    -a_mm + half_mm,
                    -a_mm - half_mm,
                ];
                Axles::new(&x_mm, contact_spacing, true)
            }
            Self::ThreeAxleTrucks {
                truck_centres,
                wheelbase,
                middle_axle_inward,
                contact_spacing,
            } => {
                let (a_mm, half_mm) = centres(truck_centres, wheelbase)?;
                let inward_mm = middle_axle_inward.mm();
                if inward_mm.abs() >= half_mm {
                    return Err(SeatingError::MiddleAxleOutside {
                        found: middle_axle_inward,
                        limit: wheelbase.half(),
                    });
                }
                let x_mm = [
                    a_mm + half_mm,
                    a_mm - inward_mm,
                    a_mm - half_mm,
                    -a_mm + half_mm,
                    -a_mm + inward_mm,
                    -a_mm - half_mm,
                ];
                Axles::new(&x_mm, contact_spacing, true)
            }
        }
    }
}

fn centres(truck_centres: Length, wheelbase: Length) -> Result<(f64, f64), SeatingError> {
    let a_mm = positive_mm("the distance of the truck centres", truck_centres)? / 2.0;
    let half_mm = positive_mm("the truck wheelbase", wheelbase)? / 2.0;
    if half_mm < a_mm {
        Ok((a_mm, half_mm))
    } else {
        Err(SeatingError::TrucksOverlap {
            wheelbase,
            truck_centres,
        })
    }
}

impl Axles {
    fn new(x_mm: &[f64], contact_spacing: Length, have_trucks: bool) -> Result<Self, SeatingError> {
        let mut padded_mm = [0.0; 6];
        padded_mm[..x_mm.len()].copy_from_slice(x_mm);
        Ok(Self {
            count: x_mm.len(),
            y_c_mm: positive_mm("the spacing of the wheel contacts", contact_spacing)? / 2.0,
            x_mm: padded_mm,
            have_trucks,
        })
    }

    /// All axles as if they were one truck.
    pub(super) fn whole(&self) -> Truck<'_> {
        Truck {
            first: 0,
            x_mm: &self.x_mm[..self.count],
        }
    }

    pub(super) fn trucks(&self) -> Option<Ends<Truck<'_>>> {
        let per_truck = self.count / 2;
        self.have_trucks.then(|| Ends {
            a: Truck {
                first: 0,
                x_mm: &self.x_mm[..per_truck],
            },
            b: Truck {
                first: per_truck,
                x_mm: &self.x_mm[per_truck..self.count],
            },
        })
    }

    /// Where wheel `index` touches, along and across.
    pub(super) fn contact_mm(&self, index: usize) -> [f64; 2] {
        let y_mm = if index.is_multiple_of(2) {
            self.y_c_mm
        } else {
            -self.y_c_mm
        };
        [self.x_mm[index / 2], y_mm]
    }
}

impl Truck<'_> {
    /// Of three axles: the part of the first in the height that the outer two give the middle one.
    pub(super) fn middle(&self) -> Option<f64> {
        match self.x_mm {
            [first_mm, middle_mm, last_mm] => Some((middle_mm - last_mm) / (first_mm - last_mm)),
            _ => None,
        }
    }
}
