//! What a changed rule book can touch: which checks of which cars.
//!
//! It may name too much and never too little. Whatever is not told apart by name here, such as the
//! decision rule, an instrument or what a cure puts in doubt, touches every check of every car.

use gradeworthy_standards::Scale;
use gradeworthy_workbench::checks::judged_with;
use gradeworthy_workbench::doubt::CheckSet;
use gradeworthy_workbench::record::{Car, Check, Tag};
use gradeworthy_workbench::rules::{ClassRules, Exception, Limit, Limited, RuleBook, ScaleRules};

use crate::fleet::all_checks;

/// The checks to judge again.
#[derive(Debug)]
pub(crate) struct Touched {
    everywhere: CheckSet,
    tags: Vec<Tag>,
    scales: Vec<(Scale, InScale)>,
    /// Whether the checks without which no car is admitted are others.
    pub(crate) required: bool,
}

#[derive(Debug)]
struct InScale {
    all: CheckSet,
    classes: Vec<CheckSet>,
}

impl Touched {
    /// What differs between two books, as far as verdicts go.
    pub(crate) fn between(old: &RuleBook, new: &RuleBook) -> Self {
        let everywhere = if rest_of(old) == rest_of(new) {
            CheckSet::NONE
        } else {
            all_checks()
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
    pub(crate) fn of(&self, car: &Car, book: &RuleBook) -> CheckSet {
        if self.tags.iter().any(|tag| car.has_tag(tag)) {
            return all_checks();
        }
        let own = self.scales.iter().find(|(scale, _)| *scale == car.scale);
        let Some((_, own)) = own else {
            return self.everywhere;
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
        self.everywhere
            .union(own.all)
            .union(in_class.copied().unwrap_or_default())
    }

    /// Every check that is touched on some car.
    pub(crate) fn any(&self) -> CheckSet {
        if !self.tags.is_empty() {
            return all_checks();
        }
        let mut any = self.everywhere;
        for (_, own) in &self.scales {
            any = own
                .classes
                .iter()
                .fold(any.union(own.all), |all, class| all.union(*class));
        }
        any
    }
}

impl InScale {
    fn between(old: Option<&ScaleRules>, new: Option<&ScaleRules>) -> Self {
        let everything = Self {
            all: all_checks(),
            classes: Vec::new(),
        };
        let nothing = Self {
            all: CheckSet::NONE,
            classes: Vec::new(),
        };
        let (old, new) = match (old, new) {
            (Some(old), Some(new)) => (old, new),
            (None, None) => return nothing,
            (Some(_), None) | (None, Some(_)) => return everything,
        };
        if rest_of_scale(old) != rest_of_scale(new) {
            return everything;
        }
        let mut all = changed_limits(&old.limits, &new.limits);
        if old.weight != new.weight {
            all.insert(Check::Weight);
        }
        if old.wheels != new.wheels {
            all.insert(Check::Wheelsets);
        }
        let classes = old.classes.iter().zip(&new.classes);
        Self {
            all: judged_with(all),
            classes: classes.map(|(old, new)| of_class(old, new)).collect(),
        }
    }
}

fn of_class(old: &ClassRules, new: &ClassRules) -> CheckSet {
    let mut own = changed_limits(&old.limits, &new.limits);
    if old.weight != new.weight {
        own.insert(Check::Weight);
    }
    judged_with(own)
}

fn changed_limits(old: &[(Limited, Limit)], new: &[(Limited, Limit)]) -> CheckSet {
    let find = |limits: &[(Limited, Limit)], wanted| {
        let own = limits.iter().find(|(own, _)| *own == wanted);
        own.map(|(_, limit)| limit.clone())
    };
    Limited::all()
        .filter(|limited| find(old, *limited) != find(new, *limited))
        .map(Limited::check)
        .collect()
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
