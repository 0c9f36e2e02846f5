//! A line as it is designed: pieces of plan and profile, cant, and named places.
//!
//! Every number keeps what was typed ([`Typed`]), so that a line read, changed and written again
//! still says '36 in' where the track lead wrote '36 in'. [`super::lay`] turns it into metres.

use gradeworthy_units::{Ratio, Typed, Unit};

/// A designed line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineDesign {
    /// What the club calls it.
    pub name: String,
    /// Prototype over model, where scale feet or degrees of curve are used.
    pub scale: Option<Ratio>,
    /// The unit of lengths typed without one.
    pub unit: Unit,
    /// Track gauge, for cant and for the limits that are multiples of it.
    pub gauge: Option<Typed>,
    /// Distance between the middles of the two rail heads, on which cant is an angle.
    pub rail_spacing: Option<Typed>,
    /// Whether the line is a loop that has to close.
    pub closed: bool,
    /// Height of the rail at the start.
    pub start_height: Option<Typed>,
    /// Where the figures come from.
    pub note: Option<String>,
    /// Plan, in order.
    pub plan: Vec<PlanPiece>,
    /// Profile, in order.
    pub profile: Vec<ProfilePiece>,
    /// Canted stretches, in order.
    pub cant: Vec<CantStretch>,
    /// Named places.
    pub places: Vec<Place>,
}

/// A piece of plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanPiece {
    /// Its shape.
    pub shape: PlanShape,
    /// Where its figures come from.
    pub note: Option<String>,
}

/// The shapes of plan.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanShape {
    /// Straight track.
    Tangent {
        /// How long.
        length: Typed,
    },
    /// Track of one radius.
    Arc {
        /// To which side it turns.
        turn: Side,
        /// How sharply.
        bend: Bend,
        /// How far.
        extent: Extent,
    },
    /// A clothoid from the curvature of the piece before to that of the piece after. Next to
    /// another easement, and at the end of an open line, it starts or ends straight.
    Easement {
        /// How long.
        length: Typed,
    },
}

/// Left or right, looking along the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

impl Side {
    /// +1 for left, −1 for right.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// The word in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// How sharply an arc turns.
#[derive(Clone, Debug, PartialEq)]
pub enum Bend {
    /// Radius of the track's centre line.
    Radius(Typed),
    /// Degree of curve of the prototype: the angle of a chord of 100 ft, R = 50/sin(D/2) ft,
    /// [TR0671, chord definition]. Not the degree of an arc of 100 ft that roads use.
    Degree(Typed),
}

/// How far an arc goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Extent {
    /// Length along the track.
    Length(Typed),
    /// Central angle.
    Angle(Typed),
}

/// A piece of profile.
#[derive(Clone, Debug, PartialEq)]
pub struct ProfilePiece {
    /// Its shape.
    pub shape: ProfileShape,
    /// Where its figures come from.
    pub note: Option<String>,
}

/// The shapes of profile.
#[derive(Clone, Debug, PartialEq)]
pub enum ProfileShape {
    /// One grade, rising positive.
    Grade {
        /// How steep.
        grade: Typed,
        /// How long; `None` is the rest of the line.
        length: Option<Typed>,
    },
    /// A parabola from the grade before to the grade after.
    VerticalCurve {
        /// How long.
        length: VerticalLength,
    },
}

/// How long a vertical curve is.
#[derive(Clone, Debug, PartialEq)]
pub enum VerticalLength {
    /// As it stands.
    Length(Typed),
    /// For each percent that the grade changes.
    PerPercent(Typed),
}

/// A stretch with one rail high, ramps included.
#[derive(Clone, Debug, PartialEq)]
pub struct CantStretch {
    /// Where the first ramp starts.
    pub from: Typed,
    /// Where the last ramp ends.
    pub to: Typed,
    /// How much higher the high rail is.
    pub height: Typed,
    /// Which rail is high.
    pub high: Side,
    /// Length of the ramp up.
    pub ramp_in: Typed,
    /// Length of the ramp down.
    pub ramp_out: Typed,
    /// Where its figures come from.
    pub note: Option<String>,
}

/// A named place.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// What the club calls it.
    pub name: String,
    /// Where it is.
    pub where_it_is: Whereabouts,
    /// Anything about it.
    pub note: Option<String>,
}

/// A point or a stretch of line.
#[derive(Clone, Debug, PartialEq)]
pub enum Whereabouts {
    /// One point.
    At(Typed),
    /// From one point to another.
    Range(Typed, Typed),
}
