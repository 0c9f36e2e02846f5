//! What the rule book lays on one aspect of one car: a tolerance, and the bands at it.
//!
//! It is looked up by aspect alone, so that a reading that was judged can be held against another
//! edition without being read again.

use gradeworthy_units::Amount;

use super::inspection::Aspect;
use super::weight::target;
use crate::decision::{Bands, Judgeable, Tolerance};
use crate::record::Car;
use crate::rules::{ClassRules, Limit, Limited, RuleBook, ScaleRules};

/// A tolerance with its bands.
pub(super) struct Laid<Q> {
    pub(super) tolerance: Tolerance<Q>,
    pub(super) caution: Q,
    /// A guard band of the book's own, instead of r·U.
    guard: Option<Q>,
}

impl<Q: Judgeable + TryFrom<Amount>> Laid<Q> {
    /// What `rules` lay on `aspect` of `car`, which is of `class`; `None` where they are silent.
    pub(super) fn on(
        aspect: Aspect,
        car: &Car,
        rules: &ScaleRules,
        class: Option<&ClassRules>,
    ) -> Option<Self> {
        match aspect {
            Aspect::Limited(limited) => Some(Self::of_limit(rules.limit(class, limited)?)),
            // The book's guard band is for grades that were read, not for those that were predicted.
            Aspect::SpinGrade => Some(Self {
                guard: None,
                ..Self::of_limit(rules.limit(class, Limited::RollGrade)?)
            }),
            Aspect::Wheel(kind) => {
                let wheels = rules.wheels.as_ref()?;
                let limit = quantity(wheels.functional.limit(kind)?)?;
                Some(Self {
                    tolerance: if kind.is_lower() {
                        Tolerance::at_least(limit)
                    } else {
                        Tolerance::at_most(limit)
                    },
                    caution: quantity(wheels.caution)?,
                    guard: wheels.guard.and_then(quantity),
                })
            }
            Aspect::Weight => {
                let rule = rules.weight_rule(class)?;
                let target = target(rule, car)?;
                Some(Self {
                    tolerance: Tolerance {
                        lower: quantity(target - rule.under),
                        upper: rule.over.and_then(|over| quantity(target + over)),
                    },
                    caution: quantity(rule.caution)?,
                    guard: rule.guard.and_then(quantity),
                })
            }
            Aspect::LookOver | Aspect::WheelDirt | Aspect::Centring | Aspect::Knuckle => None,
        }
    }

    fn of_limit(limit: &Limit) -> Self {
        Self {
            tolerance: Tolerance {
                lower: limit.lower.and_then(quantity),
                upper: limit.upper.and_then(quantity),
            },
            caution: limit.caution.and_then(quantity).unwrap_or(Q::NIL),
            guard: limit.guard.and_then(quantity),
        }
    }

    /// The bands for a reading whose expanded uncertainty U is `expanded`, nil where it is unknown.
    pub(super) fn bands(&self, book: &RuleBook, expanded: Q) -> Bands<Q> {
        let guard = self.guard;
        Bands {
            caution: self.caution,
            guard: guard.unwrap_or_else(|| Q::from_number(book.guard_factor * expanded.number())),
        }
    }
}

fn quantity<Q: TryFrom<Amount>>(amount: impl Into<Amount>) -> Option<Q> {
    Q::try_from(amount.into()).ok()
}
