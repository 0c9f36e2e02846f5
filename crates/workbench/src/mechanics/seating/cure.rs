//! What to put where, or bend which way, so that all wheels come down.
//!
//! A shim of thickness t at one edge of a bolster pad pushes that side of the truck away from the
//! body, hence its wheels **down** against the other wheels of the car.
//! So the shim goes where the wheels hang **high**: with Δφ > 0 (left wheels of A high) under A
//! left or B right, `t = |Δφ|·2y_b` (C1); with ψ > 0 (axle nearer A high) at the edge of that pad
//! towards A, `t = |ψ|·2x_b` (C2). A warped frame is racked by 2|e| between left and right at each
//! axle (C3).
//! Such a shim also lifts the body over that truck by t/2, which pitches both trucks by
//! t/(4a); [`TruckFlatness::with_shim`] tells what is left after it, all effects included.
//!
//! Symbols: `y_b`, `x_b` half width and half length of the bolster pad (mm), a half the truck centres.
//! Validity: the pad turns about its far edge; small angles.
//! Source: derived here.

use gradeworthy_units::Length;

use super::{Flatness, SeatingError, Stance, TruckFlatness};
use crate::mechanics::ends::{End, Ends, Side};
use crate::mechanics::input::{Measured, Unusable, angle, length, not_negative_mm, positive_mm};

/// Half the size of the pad on which a truck bolster bears when held tight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pads {
    /// `x_b`, along the car.
    pub half_length: Length,
    /// `y_b`, across the car.
    pub half_width: Length,
}

/// Two opposite corners of a frame, seen from above, facing the A end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Diagonal {
    /// The left corner towards A and the right corner towards B.
    LeftAheadRightBehind,
    /// The right corner towards A and the left corner towards B.
    RightAheadLeftBehind,
}

/// One correction.
///
/// `wheel_gap` is what the error costs under a wheel: compare it with the limit on a gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cure {
    /// A shim on one side of a bolster; either place does.
    Roll {
        /// (C1).
        thickness: Length,
        /// Where: at A or at B.
        places: Ends<Side>,
        /// `2y_c|Δφ|`.
        wheel_gap: Length,
    },
    /// A shim at one edge of a bolster pad.
    Pitch {
        /// Which truck.
        truck: End,
        /// At the edge of its pad towards this end of the car.
        edge_towards: End,
        /// (C2).
        thickness: Length,
        /// w|ψ|.
        wheel_gap: Length,
    },
    /// The side frames want racking.
    Rack {
        /// Which truck; `None` for a two-axle car.
        truck: Option<End>,
        /// The corners that have to come down.
        lower: Diagonal,
        /// (C3): change of the left-right difference at each axle.
        racking: Length,
        /// 4|e|, the rock of the frame.
        wheel_gap: Length,
    },
    /// A three-axle truck whose middle axle is out of line: no shim at the bolster mends it.
    MiddleAxle {
        /// Which truck.
        truck: End,
        /// Middle axle above the line of the outer ones; lower it by this.
        bow: Length,
        /// The same of half its left-right difference.
        cross_bow: Length,
    },
}

/// The corrections that bring every wheel down, largest share of the car first: roll, then each
/// truck's pitch and frame. Those already exact to the nanometre are left out.
///
/// # Errors
/// [`SeatingError`] when a pad size or the stance is impossible.
pub fn cures(stance: &Stance, flatness: &Flatness, pads: Pads) -> Result<Vec<Cure>, SeatingError> {
    let axles = stance.axles()?;
    let pad_width_mm = 2.0 * positive_mm("half the pad width", pads.half_width)?;
    let pad_length_mm = 2.0 * positive_mm("half the pad length", pads.half_length)?;
    let mut cures = Vec::with_capacity(7);
    let trucks = match flatness {
        Flatness::TwoAxle { corner, .. } => {
            cures.push(rack(None, corner.value));
            return Ok(cures);
        }
        Flatness::Trucks(trucks) => trucks,
    };
    let roll_rad = trucks.roll.value.radians();
    let high_at_a = if roll_rad > 0.0 {
        Side::Left
    } else {
        Side::Right
    };
    cures.push(Cure::Roll {
        thickness: length("a shim", roll_rad.abs() * pad_width_mm)?,
        places: Ends {
            a: high_at_a,
            b: high_at_a.other(),
        },
        wheel_gap: length("a wheel gap", roll_rad.abs() * 2.0 * axles.y_c_mm)?,
    });
    for truck in [End::A, End::B] {
        let pitch_rad = trucks.pitch.at(truck).value.radians();
        cures.push(Cure::Pitch {
            truck,
            edge_towards: if pitch_rad > 0.0 { End::A } else { End::B },
            thickness: length("a shim", pitch_rad.abs() * pad_length_mm)?,
            wheel_gap: length("a wheel gap", pitch_rad.abs() * stance.truck_wheelbase_mm())?,
        });
        let frame = trucks.frame.at(truck);
        cures.push(rack(Some(truck), frame.corner.value));
        if let (Some(bow), Some(cross_bow)) = (frame.bow, frame.cross_bow) {
            cures.push(Cure::MiddleAxle {
                truck,
                bow: bow.value,
                cross_bow: cross_bow.value,
            });
        }
    }
    cures.retain(|cure| !cure.is_nothing());
    Ok(cures)
}

fn rack(truck: Option<End>, corner: Length) -> Cure {
    Cure::Rack {
        truck,
        lower: if corner > Length::ZERO {
            Diagonal::LeftAheadRightBehind
        } else {
            Diagonal::RightAheadLeftBehind
        },
        racking: corner.abs() * 2,
        wheel_gap: corner.abs() * 4,
    }
}

impl Cure {
    fn is_nothing(&self) -> bool {
        match *self {
            Self::Roll { thickness, .. } | Self::Pitch { thickness, .. } => {
                thickness == Length::ZERO
            }
            Self::Rack { racking, .. } => racking == Length::ZERO,
            Self::MiddleAxle { bow, cross_bow, .. } => {
                bow == Length::ZERO && cross_bow == Length::ZERO
            }
        }
    }
}

impl Stance {
    fn truck_wheelbase_mm(&self) -> f64 {
        match self {
            Self::TwoAxle { wheelbase, .. }
            | Self::TwoAxleTrucks { wheelbase, .. }
            | Self::ThreeAxleTrucks { wheelbase, .. } => wheelbase.mm(),
        }
    }
}

/// Where on a bolster pad a shim lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PadEdge {
    /// Along one side.
    Side(Side),
    /// Along the edge towards one end of the car.
    Towards(End),
}

impl TruckFlatness {
    /// The errors that are left once a shim of `thickness` lies at `edge` of the pad of `truck`.
    ///
    /// # Errors
    /// [`Unusable`] when a pad size is impossible.
    pub fn with_shim(
        &self,
        truck_centres: Length,
        pads: Pads,
        truck: End,
        edge: PadEdge,
        thickness: Length,
    ) -> Result<Self, Unusable> {
        let t_mm = thickness.mm();
        let centres_mm = positive_mm("the distance of the truck centres", truck_centres)?;
        let mut after = *self;
        let turned = |old: Measured<_>, by_rad: f64| {
            Ok::<_, Unusable>(Measured {
                value: old.value + angle("a pitch or roll", by_rad)?,
                ..old
            })
        };
        match edge {
            PadEdge::Side(side) => {
                let width_mm = 2.0 * positive_mm("half the pad width", pads.half_width)?;
                // The shimmed side's wheels go down, and roll counts left above right at A.
                let raises_roll = (side == Side::Right) == (truck == End::A);
                let sign = if raises_roll { 1.0 } else { -1.0 };
                after.roll = turned(self.roll, sign * t_mm / width_mm)?;
            }
            PadEdge::Towards(end) => {
                let length_mm = 2.0 * positive_mm("half the pad length", pads.half_length)?;
                let sign = if end == End::A { -1.0 } else { 1.0 };
                let pitch = after.pitch.at_mut(truck);
                *pitch = turned(*pitch, sign * t_mm / length_mm)?;
            }
        }
        // This truck's wheels go down by t/2 on the mean, which tilts the chord of (S5).
        let sign = if truck == End::A { 1.0 } else { -1.0 };
        after.pitch = after
            .pitch
            .try_map(|pitch| turned(pitch, sign * t_mm / (2.0 * centres_mm)))?;
        Ok(after)
    }
}

/// The shim stock, with no count kept, and how finely strip can be had.
#[derive(Clone, Copy, Debug)]
pub struct StripBox<'a> {
    /// The thicknesses at hand.
    pub thicknesses: &'a [Length],
    /// The most pieces that may be stacked.
    pub stack_max: usize,
    /// The step in which strip is sold.
    pub step: Length,
}

/// What the stock offers for one shim.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StockShim {
    /// The error is within the tolerance as it is.
    NotNeeded,
    /// Stack these.
    Use {
        /// The pieces, thickest first.
        pieces: Vec<Length>,
        /// The gap under a wheel that is left.
        leaves: Length,
    },
    /// Nothing at hand does.
    Missing {
        /// The thinnest shim that would do.
        from: Length,
        /// The thickest shim that would do.
        to: Length,
        /// The strip nearest to the exact thickness, when one lies in that range.
        strip: Option<Length>,
    },
}

/// Chooses the stack nearest to `thickness`, if what it leaves is within `tolerance`.
///
/// `wheel_gap` is the gap that the whole `thickness` cures, `tolerance` the gap that may stay.
/// Of two equally near stacks the one with fewer pieces is taken, then the thinner.
///
/// # Errors
/// [`SeatingError`] when a number is negative or the strip step is not above zero.
pub fn shim_from_stock(
    thickness: Length,
    wheel_gap: Length,
    tolerance: Length,
    stock: StripBox<'_>,
) -> Result<StockShim, SeatingError> {
    let needed_mm = not_negative_mm("the shim thickness", thickness)?;
    let gap_mm = not_negative_mm("the gap to cure", wheel_gap)?;
    let tolerance_mm = not_negative_mm("the tolerance on a gap", tolerance)?;
    positive_mm("the strip step", stock.step)?;
    if gap_mm <= tolerance_mm {
        return Ok(StockShim::NotNeeded);
    }
    let off_mm = needed_mm * tolerance_mm / gap_mm;
    let band = length("a shim", off_mm)?;
    let mut search = Nearest {
        thicknesses: stock.thicknesses,
        needed: thickness,
        stack: Vec::with_capacity(stock.stack_max),
        best: None,
    };
    search.extend(0, stock.stack_max);
    match search.best {
        Some((off, pieces)) if off <= band => {
            let mut pieces = pieces;
            pieces.sort_unstable_by(|a, b| b.cmp(a));
            Ok(StockShim::Use {
                pieces,
                leaves: length("a gap", off.mm() * gap_mm / needed_mm)?,
            })
        }
        _ => {
            let step_nm = stock.step.nanometres();
            let steps = (thickness.nanometres() + step_nm / 2) / step_nm;
            let strip = stock.step * steps;
            Ok(StockShim::Missing {
                from: thickness - band,
                to: thickness + band,
                strip: Some(strip).filter(|strip| (*strip - thickness).abs() <= band),
            })
        }
    }
}

struct Nearest<'a> {
    thicknesses: &'a [Length],
    needed: Length,
    stack: Vec<Length>,
    best: Option<(Length, Vec<Length>)>,
}

impl Nearest<'_> {
    fn extend(&mut self, first: usize, room: usize) {
        let sum: Length = self.stack.iter().copied().sum();
        let off = (sum - self.needed).abs();
        let thickness = |pieces: &[Length]| pieces.iter().copied().sum::<Length>();
        let key = |off: Length, pieces: &[Length]| (off, pieces.len(), thickness(pieces));
        let better = self
            .best
            .as_ref()
            .is_none_or(|(least, pieces)| key(off, &self.stack) < key(*least, pieces));
        if better && !self.stack.is_empty() {
            self.best = Some((off, self.stack.clone()));
        }
        if room == 0 || sum > self.needed {
            return;
        }
        for index in first..self.thicknesses.len() {
            self.stack.push(self.thicknesses[index]);
            self.extend(index, room - 1);
            self.stack.pop();
        }
    }
}
