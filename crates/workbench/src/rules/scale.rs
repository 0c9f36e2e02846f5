//! The rules for one scale, and what a class of car changes in them.

use std::sync::Arc;

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Length, Mass};
use jiff::civil::Date;

use super::{Limited, WheelRules};
use crate::authority::Authority;
use crate::record::Car;

/// Lower limit, upper limit, bands, and on whose word.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// The lower limit.
    pub lower: Option<Amount>,
    /// The upper limit.
    pub upper: Option<Amount>,
    /// The value aimed at, where the book names one.
    pub nominal: Option<Amount>,
    /// Caution band inside the limit.
    pub caution: Option<Amount>,
    /// Guard band, where the book sets one instead of r·U.
    pub guard: Option<Amount>,
    /// Standard uncertainty of the usual reading, for entries that name no instrument.
    pub uncertainty: Option<Amount>,
    /// On whose word.
    pub authority: Arc<Authority>,
    /// From when, where it differs from the book's own date.
    pub since: Option<Date>,
}

/// How the target weight of a car is found.
#[derive(Clone, Debug, PartialEq)]
pub enum WeightKind {
    /// NMRA RP-20.1: a start and so much per inch of body.
    Rp201 {
        /// Multiple of the recommended weight: 1.25 for a club that wants a quarter more.
        factor: f64,
    },
    /// NEM 302: least weight per millimetre over buffers, and a cap above it.
    Nem302 {
        /// Multiple of the least weight.
        factor: f64,
    },
    /// A start and so much per unit of body length.
    PerLength {
        /// The start.
        start: Mass,
        /// Added for every `per` of body.
        added: Mass,
        /// The length that `added` is for.
        per: Length,
    },
    /// A table of body lengths and weights; between two rows the weight is interpolated.
    Table(Vec<(Length, Mass)>),
    /// One weight for all.
    Fixed(Mass),
}

/// The weight rule of a scale or class.
#[derive(Clone, Debug, PartialEq)]
pub struct WeightRule {
    /// How the target is found.
    pub kind: WeightKind,
    /// How far under the target is allowed.
    pub under: Mass,
    /// How far over the target is allowed; `None` for no cap.
    pub over: Option<Mass>,
    /// Caution band inside.
    pub caution: Mass,
    /// Guard band, where the book sets one.
    pub guard: Option<Mass>,
    /// Standard uncertainty of the usual scale.
    pub uncertainty: Option<Mass>,
    /// On whose word.
    pub authority: Arc<Authority>,
}

/// On what the car stands while it is tilted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BalanceMethod {
    /// Wheels on a flat plate, standing on their flanges.
    Plate,
    /// Treads on rail heads.
    Rail,
}

/// A place for weights.
#[derive(Clone, Debug, PartialEq)]
pub struct Pocket {
    /// What the shop calls it.
    pub name: Box<str>,
    /// Forward of the middle, towards the A end.
    pub x: Length,
    /// Left of the centre line.
    pub y: Length,
    /// Above the rail.
    pub z: Length,
    /// The most it holds.
    pub holds: Mass,
}

/// Sizes of parts that are much alike on all cars of a scale; `None` where the book is silent.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PartSizes {
    /// Half the width of the centre plate.
    pub centre_plate_half_width: Option<Length>,
    /// Distance of the side bearings from the middle.
    pub side_bearing_offset: Option<Length>,
    /// Half the length of the pad on which a bolster bears.
    pub pad_half_length: Option<Length>,
    /// Half its width.
    pub pad_half_width: Option<Length>,
    /// How much of a coupler shank the draft-gear box holds.
    pub shank_held: Option<Length>,
    /// From the mouth of the box to the coupler face.
    pub mouth_to_face: Option<Length>,
    /// Play that a shank must keep to swing freely.
    pub shank_play_min: Option<Length>,
    /// Depth of a flange, for cars tilted on a plate.
    pub flange_depth: Option<Length>,
    /// The part by which the wheels' inertia makes a car heavier when it coasts.
    pub rotating_part: Option<f64>,
}

/// What a class of car has instead of, or beside, its scale's rules.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassRules {
    /// What the class is called.
    pub name: Box<str>,
    /// First letters of the car types in it.
    pub types: Vec<Box<str>>,
    /// Limits that replace the scale's.
    pub limits: Vec<(Limited, Limit)>,
    /// A weight rule that replaces the scale's.
    pub weight: Option<WeightRule>,
    /// Where weights go.
    pub pockets: Vec<Pocket>,
}

/// The rules for one scale.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleRules {
    /// The scale.
    pub scale: Scale,
    /// Radius of the tightest curve that cars must pass.
    pub tightest_radius: Option<Length>,
    /// Arm at which the swivel force is read.
    pub swivel_lever: Option<Length>,
    /// Distance between the wheels' contacts on the two rails.
    pub rail_contact_spacing: Option<Length>,
    /// Half the width of the support while a car is tilted.
    pub balance_half_width: Option<Length>,
    /// What that support is.
    pub balance_method: Option<BalanceMethod>,
    /// Sizes of parts.
    pub parts: PartSizes,
    /// Wheel rules.
    pub wheels: Option<WheelRules>,
    /// Weight rule.
    pub weight: Option<WeightRule>,
    /// Plain limits, by [`Limited`].
    pub limits: Vec<(Limited, Limit)>,
    /// Classes of car, in the book's order.
    pub classes: Vec<ClassRules>,
}

impl ScaleRules {
    /// The class of `car`: the first whose type letters its own begin with.
    #[must_use]
    pub fn class_of(&self, car: &Car) -> Option<&ClassRules> {
        let letters = car.car_type.as_ref()?.as_str();
        self.classes.iter().find(|class| {
            class
                .types
                .iter()
                .any(|start| letters.starts_with(&**start))
        })
    }

    /// The limit on `limited` for a car of `class`.
    #[must_use]
    pub fn limit<'a>(
        &'a self,
        class: Option<&'a ClassRules>,
        limited: Limited,
    ) -> Option<&'a Limit> {
        let find = |limits: &'a [(Limited, Limit)]| {
            limits
                .iter()
                .find(|(own, _)| *own == limited)
                .map(|(_, limit)| limit)
        };
        class
            .and_then(|class| find(&class.limits))
            .or_else(|| find(&self.limits))
    }

    /// The weight rule for a car of `class`.
    #[must_use]
    pub fn weight_rule<'a>(&'a self, class: Option<&'a ClassRules>) -> Option<&'a WeightRule> {
        class
            .and_then(|class| class.weight.as_ref())
            .or(self.weight.as_ref())
    }
}
