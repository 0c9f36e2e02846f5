//! What a changed rule book can touch: which checks of which cars, and how deep.
//!
//! It may name too much and never too little. Whatever is not told apart by name here, such as an
//! instrument or what a cure puts in doubt, touches the readings of every check of every car.

use gradeworthy_standards::Scale;
use gradeworthy_workbench::checks::judged_with;
use gradeworthy_workbench::decision::Rule;
use gradeworthy_workbench::doubt::CheckSet;
use gradeworthy_workbench::mechanics::wheelset::ConstraintKind;
use gradeworthy_workbench::record::{Car, Check, Tag};
use gradeworthy_workbench::rules::{
    ClassRules, Exception, Limit, Limited, RuleBook, ScaleRules, WeightRule, WheelRules,
};

use crate::fleet::all_checks;

/// The checks of a car to judge again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Again {
    /// From the readings: other aspects are judged, or from other readings, or readings are known
    /// better or less well.
    pub(crate) read: CheckSet,
    /// From what was kept of the last inspection: only limits, bands, exceptions or the decision rule
    /// are others.
    pub(crate) ruled: CheckSet,
}

impl Again {
    const NOTHING: Self = Self {
        read: CheckSet::NONE,
        ruled: CheckSet::NONE,
    };

    fn read_everything() -> Self {
        Self {
            read: all_checks(),
            ..Self::NOTHING
        }
    }

    fn rule_everything() -> Self {
        Self {
            ruled: all_checks(),
            ..Self::NOTHING
        }
    }

    pub(crate) fn is_empty(self) -> bool {
        self == Self::NOTHING
    }

    fn union(self, other: Self) -> Self {
        Self {
            read: self.read.union(other.read),
            ruled: self.ruled.union(other.ruled),
        }
    }

    /// One check, as deep as two rules for it differ.
    fn one<T: PartialEq>(
        check: Check,
        old: Option<&T>,
        new: Option<&T>,
        judge_alike: fn(&T, &T) -> bool,
    ) -> Self {
        let own = judged_with([check].into_iter().collect());
        match (old, new) {
            _ if old == new => Self::NOTHING,
            (Some(old), Some(new)) if judge_alike(old, new) => Self {
                ruled: own,
                ..Self::NOTHING
            },
            _ => Self {
                read: own,
                ..Self::NOTHING
            },
        }
    }
}

/// The checks to judge again.
#[derive(Debug)]
pub(crate) struct Touched {
    everywhere: Again,
    tags: Vec<Tag>,
    scales: Vec<(Scale, InScale)>,
    /// Whether the checks without which no car is admitted are others.
    pub(crate) required: bool,
}

#[derive(Debug)]
struct InScale {
    all: Again,
    classes: Vec<Again>,
}

impl Touched {
    /// What differs between two books, as far as verdicts go.
    pub(crate) fn between(old: &RuleBook, new: &RuleBook) -> Self {
        let ruled =
            (old.rule, old.guard_factor.to_bits()) == (new.rule, new.guard_factor.to_bits());
        let everywhere = if rest_of(old) != rest_of(new) {
            Again::read_everything()
        } else if ruled {
            Again::NOTHING
        } else {
            Again::rule_everything()
        };
        let mut scales: Vec<Scale> = old.scales.iter().map(|rules| rules.scale).collect();
        scales.extend(new.scales.iter().map(|rules| rules.scale));
        scales.sort_unstable();
        scales.dedup();
        let in_scale = |scale| (scale, InScale::between(old.scale(scale), new.scale(scale)));
        Self {
            everywhere,
            tags: tags(&old.exceptions, &new.exceptions),
            scales: scales.into_iter().map(in_scale).collect(),
            required: old.bench.required != new.bench.required,
        }
    }

    /// The checks of `car` to judge again, with those that are judged together with them.
    pub(crate) fn of(&self, car: &Car, book: &RuleBook) -> Again {
        let mut everywhere = self.everywhere;
        if self.tags.iter().any(|tag| car.has_tag(tag)) {
            everywhere = everywhere.union(Again::rule_everything());
        }
        let own = self.scales.iter().find(|(scale, _)| *scale == car.scale);
        let Some((_, own)) = own else {
            return everywhere;
        };
        let rules = book.scale(car.scale);
        let class = rules.and_then(|rules| {
            let class = rules.class_of(car)?;
            rules
                .classes
                .iter()
                .position(|other| std::ptr::eq(other, class))
        });
        let in_class = class.and_then(|class| own.classes.get(class));
        everywhere
            .union(own.all)
            .union(in_class.copied().unwrap_or_default())
    }

    /// Every check of which the readings are needed again on some car.
    pub(crate) fn any_read(&self) -> CheckSet {
        let in_scales = self
            .scales
            .iter()
            .flat_map(|(_, own)| own.classes.iter().chain([&own.all]));
        in_scales.fold(self.everywhere.read, |all, own| all.union(own.read))
    }
}

impl InScale {
    fn between(old: Option<&ScaleRules>, new: Option<&ScaleRules>) -> Self {
        let alike = |all| Self {
            all,
            classes: Vec::new(),
        };
        let (old, new) = match (old, new) {
            (Some(old), Some(new)) => (old, new),
            (None, None) => return alike(Again::NOTHING),
            (Some(_), None) | (None, Some(_)) => return alike(Again::read_everything()),
        };
        if rest_of_scale(old) != rest_of_scale(new) {
            return alike(Again::read_everything());
        }
        let (weights, wheels) = (
            (old.weight.as_ref(), new.weight.as_ref()),
            (old.wheels.as_ref(), new.wheels.as_ref()),
        );
        let classes = old.classes.iter().zip(&new.classes);
        Self {
            all: limits(&old.limits, &new.limits)
                .union(Again::one(Check::Weight, weights.0, weights.1, weigh_alike))
                .union(Again::one(
                    Check::Wheelsets,
                    wheels.0,
                    wheels.1,
                    gauge_alike,
                )),
            classes: classes.map(|(old, new)| of_class(old, new)).collect(),
        }
    }
}

fn of_class(old: &ClassRules, new: &ClassRules) -> Again {
    let (old_weight, new_weight) = (old.weight.as_ref(), new.weight.as_ref());
    limits(&old.limits, &new.limits).union(Again::one(
        Check::Weight,
        old_weight,
        new_weight,
        weigh_alike,
    ))
}

fn limits(old: &[(Limited, Limit)], new: &[(Limited, Limit)]) -> Again {
    let find = |limits: &[(Limited, Limit)], wanted| {
        let own = limits.iter().find(|(own, _)| *own == wanted);
        own.map(|(_, limit)| limit.clone())
    };
    Limited::all().fold(Again::NOTHING, |all, limited| {
        let (old, new) = (find(old, limited), find(new, limited));
        all.union(Again::one(
            limited.check(),
            old.as_ref(),
            new.as_ref(),
            limit_alike,
        ))
    })
}

/// Whether two limits judge the same readings, known equally well. A limit that is open at both ends
/// judges none.
fn limit_alike(old: &Limit, new: &Limit) -> bool {
    let judges = |own: &Limit| own.lower.is_some() || own.upper.is_some();
    old.uncertainty == new.uncertainty && judges(old) == judges(new)
}

/// The same for two weight rules, whose kinds need different lengths of a car.
fn weigh_alike(old: &WeightRule, new: &WeightRule) -> bool {
    old.uncertainty == new.uncertainty && old.kind == new.kind
}

/// The same for two wheel rules.
fn gauge_alike(old: &WheelRules, new: &WheelRules) -> bool {
    let has = |own: &WheelRules, kind| own.functional.limit(kind).is_some();
    old.uncertainty == new.uncertainty
        && ConstraintKind::all().all(|kind| has(old, kind) == has(new, kind))
}

/// Tags of exceptions that only one of the books has, or has so.
fn tags(old: &[Exception], new: &[Exception]) -> Vec<Tag> {
    let only = |own: &[Exception], other: &[Exception]| -> Vec<Tag> {
        let own = own.iter().filter(|exception| !other.contains(exception));
        own.map(|exception| exception.tag.clone()).collect()
    };
    let mut tags = only(old, new);
    tags.extend(only(new, old));
    tags
}

/// The book without what cannot change a verdict and without what is compared by name.
/// What bare numbers mean counts as a change: it cannot touch a reading already taken, and to judge
/// everything again for it costs little.
fn rest_of(book: &RuleBook) -> RuleBook {
    let mut rest = book.clone();
    rest.title = Box::default();
    rest.edition = 1;
    rest.rule = Rule::Simple;
    rest.guard_factor = 1.0;
    rest.effective = jiff::civil::Date::MIN;
    rest.rest_days.clear();
    rest.caution.clear();
    rest.exceptions.clear();
    rest.scales.clear();
    rest.bench.required.clear();
    rest.bench.quick.clear();
    rest
}

/// The rules of a scale without what is compared by name; classes keep their names, letters and order.
fn rest_of_scale(rules: &ScaleRules) -> ScaleRules {
    let mut rest = rules.clone();
    rest.limits.clear();
    rest.weight = None;
    rest.wheels = None;
    for class in &mut rest.classes {
        class.limits.clear();
        class.weight = None;
        class.pockets.clear();
    }
    rest
}
