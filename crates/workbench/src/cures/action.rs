//! What a cure says, as numbers that a page, a terminal and a program can each show in their way.

use gradeworthy_units::{Angle, Length, Mass};

use super::CureKind;
use crate::doubt::CheckSet;
use crate::mechanics::seating::Diagonal;
use crate::mechanics::wheelset::{Bound, Fault};
use crate::record::{Check, End, Place};

/// One cure for one fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// The check whose fault it cures.
    pub check: Check,
    /// Where on the car.
    pub place: Place,
    /// What kind of work it is.
    pub kind: CureKind,
    /// What to do.
    pub action: Action,
    /// What to look at again afterwards.
    pub in_doubt: CheckSet,
    /// Days to wait before the second look.
    pub rest_days: Option<u16>,
    /// The customary caution for this work.
    pub caution: Option<Box<str>>,
}

/// What to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Move wheels along their axle.
    MoveWheels {
        /// How far outward the left wheel goes; negative is inward.
        left_outward: Length,
        /// How far outward the right wheel goes.
        right_outward: Length,
        /// Back-to-back as it is, the mean round the axle.
        from: Length,
        /// Back-to-back to come to.
        to: Length,
        /// What holds it from below.
        lower: Option<Bound>,
        /// What holds it from above.
        upper: Option<Bound>,
    },
    /// Exchange a wheel or the wheelset.
    ChangeWheels(Fault),
    /// Bend a truck frame past where it should be and let it spring back.
    Overbend {
        /// The set that is wanted tomorrow.
        wanted: Length,
        /// The set to leave it at today.
        today: Length,
        /// What will be left tomorrow: low, middle and high of the 90 % interval.
        tomorrow: [Length; 3],
        /// Probability that tomorrow's set is within the tolerance.
        probability: f64,
        /// How far tomorrow's set may be off.
        tolerance: Length,
        /// How many bends of this material the shop has looked at again.
        past_bends: usize,
        /// The material, where the car's record names it.
        material: Option<Box<str>>,
        /// The corners that have to come down.
        lower: Diagonal,
    },
    /// Put a pad between truck and body.
    Pad {
        /// Its thickness as computed.
        computed: Length,
        /// What to use from stock.
        pads: Vec<Length>,
        /// Where it goes.
        at: SeatPlace,
    },
    /// Put washers under bolsters and shims over draft-gear boxes.
    Heights {
        /// Washers to put under the A and the B bolster.
        washers: [Vec<Length>; 2],
        /// Washers to take from under the A and the B bolster.
        taken: [Vec<Length>; 2],
        /// Shims between box and floor at the A and the B end.
        box_shims: [Vec<Length>; 2],
        /// The coupler heights to expect at the A and the B end.
        expected: [Length; 2],
        /// What the ride height changes by at the A and the B end.
        ride: [Length; 2],
    },
    /// Lay a strip in a draft-gear box.
    Strip {
        /// Its thickness, from stock.
        thickness: Length,
        /// The length to cut.
        cut: Length,
        /// The droop to expect.
        expected: Length,
    },
    /// Add weights.
    Weights {
        /// What goes where.
        pieces: Vec<Piece>,
        /// The weight to expect.
        expected: Mass,
        /// The target.
        target: Mass,
        /// Centre of gravity to expect forward of the middle, left of the centre line, above the rail.
        centre: [Length; 3],
        /// How far the answer can be from the best; zero when it is proven to be the best.
        gap: Mass,
    },
    /// Turn the truck screw, trim, or otherwise gain this much.
    Gain {
        /// The angle that is missing.
        missing: Angle,
        /// In what way, in words of the trade.
        how: &'static str,
    },
    /// Work without a number of its own.
    Do(&'static str),
    /// Nothing in stock cures it; this is missing.
    Lacking(Lack),
}

/// What is missing.
#[derive(Clone, Debug, PartialEq)]
pub enum Lack {
    /// Something about the car that a cure needs to know.
    Knowledge(&'static str),
    /// Stock: what, in words with figures.
    Stock(String),
}

/// A kind of weight in a pocket.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The weight, as the shop names it.
    pub weight: Box<str>,
    /// How many.
    pub count: u32,
    /// The pocket.
    pub pocket: Box<str>,
}

/// Where a seating pad goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeatPlace {
    /// Between bolster and body at a truck, on one side, to take out roll.
    SideOf(End, crate::record::Side),
    /// Under one edge of the bolster pad, to take out pitch: the edge towards that end of the car.
    EdgeOf(End, End),
}
