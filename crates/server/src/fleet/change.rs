//! One limit of a rule book changed as typed, to see what it would do.

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Mass, Reader};
use gradeworthy_workbench::rules::{Limit, Limited, RuleBook, ScaleRules, WeightRule};
use serde::Deserialize;
use utoipa::IntoParams;

use super::asked::one_of;
use crate::refusal::Refusal;

/// Which limit, and what it would be; an amount left empty stays as it is, and '-' takes it away.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[serde(default)]
pub(crate) struct LimitAsked {
    /// The scale whose rules are changed.
    pub(super) of_scale: String,
    /// The class of car, by its name in the rule book; the scale's own limit if not given.
    pub(super) class: String,
    /// The limit, by name: 'coupler height', 'droop', 'weight'.
    pub(super) limit: String,
    /// So far from the nominal value either way.
    pub(super) tolerance: String,
    /// The lower limit.
    pub(super) min: String,
    /// The upper limit.
    pub(super) max: String,
}

/// What stands before and after a change, in words.
pub(super) struct Changed {
    pub(super) book: RuleBook,
    pub(super) what: String,
    pub(super) before: String,
    pub(super) after: String,
}

impl LimitAsked {
    pub(super) fn is_asked(&self) -> bool {
        let fields = [&self.tolerance, &self.min, &self.max];
        fields.iter().any(|own| !own.trim().is_empty())
    }

    /// The book with this limit as asked.
    pub(super) fn applied(&self, book: &RuleBook) -> Result<Changed, Refusal> {
        let mut changed = book.clone();
        let scale = one_of(&self.of_scale, "scale", |text| {
            Scale::all().find(|scale| scale.name() == text)
        })?;
        let scale = scale.unwrap_or(Scale::HO);
        let wrong = |fault: String| Refusal::Reading {
            faults: vec![fault],
        };
        let none = || wrong(format!("the rule book has no rules for {scale}"));
        let bare = book.bare;
        let rules = changed
            .scales
            .iter_mut()
            .find(|own| own.scale == scale)
            .ok_or_else(none)?;
        let class = self.class.trim();
        let on = if class.is_empty() {
            scale.to_string()
        } else {
            format!("{scale} {class}")
        };
        if self.limit.trim() == "weight" {
            let rule = weight_of(rules, class)
                .ok_or_else(|| wrong(format!("the rule book has no weight rule for {on}")))?;
            let before = weight_words(rule);
            self.change_weight(rule, bare.weight)?;
            let after = weight_words(rule);
            return Ok(Changed {
                what: format!("{on} weight"),
                book: changed,
                before,
                after,
            });
        }
        let limited = one_of(&self.limit, "limit of the rule book", Limited::from_name)?;
        let limited = limited.unwrap_or(Limited::CouplerHeight);
        let limit = limit_of(rules, class, limited)
            .ok_or_else(|| wrong(format!("the rule book sets no limit on {limited} for {on}")))?;
        let before = limit_words(limit);
        self.change(limit, &bare.of(limited.dimension()), limited)?;
        let after = limit_words(limit);
        Ok(Changed {
            what: format!("{on} {limited}"),
            book: changed,
            before,
            after,
        })
    }

    fn change(
        &self,
        limit: &mut Limit,
        bare: &gradeworthy_units::Unit,
        limited: Limited,
    ) -> Result<(), Refusal> {
        let read = |text: &str| read(text, *bare, &limited.to_string());
        if !self.tolerance.trim().is_empty() {
            let (Some(nominal), Some(tolerance)) = (limit.nominal, read(&self.tolerance)?) else {
                return Err(Refusal::Reading {
                    faults: vec![format!(
                        "{limited} has no nominal value to be within a tolerance of: give the limits themselves"
                    )],
                });
            };
            let base = |sign: f64| {
                let sum = nominal.base() + sign * tolerance.base();
                Amount::from_base_rounded(nominal.dimension(), sum)
            };
            (limit.lower, limit.upper) = match (nominal, tolerance) {
                (Amount::Length(nominal), Amount::Length(own)) => {
                    (Some((nominal - own).into()), Some((nominal + own).into()))
                }
                _ => (base(-1.0), base(1.0)),
            };
        }
        for (text, own) in [(&self.min, &mut limit.lower), (&self.max, &mut limit.upper)] {
            match text.trim() {
                "" => {}
                "-" => *own = None,
                text => *own = read(text)?,
            }
        }
        Ok(())
    }

    fn change_weight(
        &self,
        rule: &mut WeightRule,
        bare: gradeworthy_units::Unit,
    ) -> Result<(), Refusal> {
        let mass = |text: &str| -> Result<Option<Mass>, Refusal> {
            let amount = read(text, bare, "weight")?;
            Ok(amount.and_then(|amount| Mass::try_from(amount).ok()))
        };
        if let Some(tolerance) = mass(&self.tolerance)? {
            rule.under = tolerance;
            rule.over = Some(tolerance);
        }
        if let Some(under) = mass(&self.min)? {
            rule.under = under;
        }
        match self.max.trim() {
            "-" => rule.over = None,
            text => rule.over = mass(text)?.or(rule.over),
        }
        Ok(())
    }
}

fn read(text: &str, bare: gradeworthy_units::Unit, what: &str) -> Result<Option<Amount>, Refusal> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let typed = Reader::new(bare).read(text.trim().trim_start_matches('±'));
    let typed = typed.map_err(|error| Refusal::Reading {
        faults: vec![format!("{what}: {error}")],
    })?;
    Ok(Some(typed.amount))
}

fn limit_of<'a>(rules: &'a mut ScaleRules, class: &str, limited: Limited) -> Option<&'a mut Limit> {
    let limits = if class.is_empty() {
        &mut rules.limits
    } else {
        let own = rules.classes.iter_mut().find(|own| *own.name == *class)?;
        &mut own.limits
    };
    let found = limits.iter_mut().find(|(own, _)| *own == limited);
    found.map(|(_, limit)| limit)
}

fn weight_of<'a>(rules: &'a mut ScaleRules, class: &str) -> Option<&'a mut WeightRule> {
    if class.is_empty() {
        return rules.weight.as_mut();
    }
    let own = rules.classes.iter_mut().find(|own| *own.name == *class)?;
    own.weight.as_mut()
}

fn limit_words(limit: &Limit) -> String {
    use gradeworthy_reports::words::{System, amount};
    let said = |own: Amount| amount(own, System::Both);
    match (limit.lower.map(said), limit.upper.map(said)) {
        (Some(lower), Some(upper)) => format!("{lower} to {upper}"),
        (Some(lower), None) => format!("at least {lower}"),
        (None, Some(upper)) => format!("at most {upper}"),
        (None, None) => "no limit".to_owned(),
    }
}

fn weight_words(rule: &WeightRule) -> String {
    use gradeworthy_reports::words::{System, amount};
    let said = |own: Mass| amount(own.into(), System::Both);
    let over = rule.over.map_or_else(
        || "no cap above".to_owned(),
        |over| format!("{} over", said(over)),
    );
    format!("{} under and {over} the target", said(rule.under))
}
