//! A rule book laid out line by line, for showing, explaining and comparing editions.
//!
//! Every setting becomes one line with a path that does not change between editions, so that two
//! editions differ exactly in the lines that differ.

use std::collections::BTreeMap;
use std::fmt::Write;

use gradeworthy_units::{Amount, Length, Mass};

use super::scale::{ClassRules, Limit, ScaleRules, WeightKind, WeightRule};
use super::{Limited, RuleBook, WheelRules};
use crate::authority::{Authority, Standing};

/// One setting of a rule book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BookLine {
    /// Where it stands: `HO / coupler height`, `HO / flat cars / end balance`.
    pub path: String,
    /// What it says.
    pub text: String,
    /// On whose word, where it has one of its own.
    pub authority: Option<String>,
    /// How far that word goes.
    pub standing: Option<Standing>,
}

/// One difference between two editions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Where it stands.
    pub path: String,
    /// What the older edition says; `None` where it says nothing.
    pub before: Option<String>,
    /// What the newer edition says; `None` where it says nothing.
    pub after: Option<String>,
}

impl RuleBook {
    /// Every setting, in the book's order.
    #[must_use]
    pub fn lines(&self) -> Vec<BookLine> {
        let mut lines = Lines(Vec::new());
        let rule = format!("{}, guard band {} U", self.rule.name(), self.guard_factor);
        lines.plain("decision rule", rule);
        for instrument in &self.instruments {
            let text = format!("u = {}", shown(instrument.uncertainty));
            lines.with(
                format!("instrument / {}", instrument.name),
                text,
                &instrument.authority,
            );
        }
        let checks = |checks: &[crate::record::Check]| list(checks.iter().map(|own| own.name()));
        lines.plain("required checks", checks(&self.bench.required));
        lines.plain("quick pass", checks(&self.bench.quick));
        for (index, line) in self.bench.look_over.iter().enumerate() {
            lines.plain(format!("look-over / {}", index + 1), line.to_string());
        }
        for (cure, disturbed) in &self.doubt.disturbs {
            let text = list(disturbed.iter().map(|check| check.name()));
            lines.plain(format!("{cure} / disturbs"), text);
        }
        for (check, foundations) in &self.doubt.rests_on {
            let text = list(foundations.iter().map(|check| check.name()));
            lines.plain(format!("{check} / rests on"), text);
        }
        for (cure, days) in &self.rest_days {
            lines.plain(format!("{cure} / rest"), format!("{days} day(s)"));
        }
        for (cure, caution) in &self.caution {
            lines.plain(format!("{cure} / caution"), caution.to_string());
        }
        for exception in &self.exceptions {
            let until = exception
                .until
                .map_or(String::new(), |until| format!(", until {until}"));
            let waived = checks(&exception.waives);
            let text = format!("waives {waived}{until}; {}", exception.note);
            lines.with(
                format!("exception / {}", exception.tag),
                text,
                &exception.authority,
            );
        }
        self.scales.iter().for_each(|rules| lines.scale(rules));
        lines.0
    }
}

/// What differs from `older` to `newer`, in path order.
#[must_use]
pub fn compare(older: &RuleBook, newer: &RuleBook) -> Vec<Change> {
    let by_path = |book: &RuleBook| -> BTreeMap<String, String> {
        let whole = |line: BookLine| match line.authority {
            Some(authority) => (line.path, format!("{} — {authority}", line.text)),
            None => (line.path, line.text),
        };
        book.lines().into_iter().map(whole).collect()
    };
    let (mut before, after) = (by_path(older), by_path(newer));
    let mut changes = Vec::new();
    for (path, text) in after {
        let old = before.remove(&path);
        if old.as_ref() != Some(&text) {
            changes.push(Change {
                path,
                before: old,
                after: Some(text),
            });
        }
    }
    changes.extend(before.into_iter().map(|(path, text)| Change {
        path,
        before: Some(text),
        after: None,
    }));
    changes.sort_by(|a, b| a.path.cmp(&b.path));
    changes
}

struct Lines(Vec<BookLine>);

impl Lines {
    fn plain(&mut self, path: impl Into<String>, text: String) {
        self.0.push(BookLine {
            path: path.into(),
            text,
            authority: None,
            standing: None,
        });
    }

    fn with(&mut self, path: String, text: String, authority: &Authority) {
        self.0.push(BookLine {
            path,
            text,
            authority: Some(authority.to_string()),
            standing: Some(authority.standing),
        });
    }

    fn scale(&mut self, rules: &ScaleRules) {
        let scale = rules.scale;
        let lengths = [
            ("tightest radius", rules.tightest_radius),
            ("swivel lever", rules.swivel_lever),
            ("rail contact spacing", rules.rail_contact_spacing),
            ("balance half width", rules.balance_half_width),
        ];
        for (name, length) in lengths {
            if let Some(length) = length {
                self.plain(format!("{scale} / {name}"), shown(length.into()));
            }
        }
        let parts = &rules.parts;
        for (name, length) in [
            ("centre plate half width", parts.centre_plate_half_width),
            ("side bearing offset", parts.side_bearing_offset),
            ("pad half length", parts.pad_half_length),
            ("pad half width", parts.pad_half_width),
            ("shank held", parts.shank_held),
            ("mouth to face", parts.mouth_to_face),
            ("least shank play", parts.shank_play_min),
            ("flange depth", parts.flange_depth),
        ] {
            if let Some(length) = length {
                self.plain(format!("{scale} / parts / {name}"), shown(length.into()));
            }
        }
        if let Some(part) = parts.rotating_part {
            self.plain(
                format!("{scale} / parts / rotating part"),
                format!("{part}"),
            );
        }
        if let Some(method) = rules.balance_method {
            self.plain(
                format!("{scale} / balance method"),
                format!("{method:?}").to_lowercase(),
            );
        }
        if let Some(wheels) = &rules.wheels {
            self.with(
                format!("{scale} / wheels"),
                wheel_text(wheels),
                &wheels.authority,
            );
        }
        if let Some(weight) = &rules.weight {
            self.with(
                format!("{scale} / weight"),
                weight_text(weight),
                &weight.authority,
            );
        }
        self.limits(&scale.to_string(), &rules.limits);
        rules
            .classes
            .iter()
            .for_each(|class| self.class(&scale.to_string(), class));
    }

    fn class(&mut self, scale: &str, class: &ClassRules) {
        let path = format!("{scale} / {}", class.name);
        self.plain(
            format!("{path} / types"),
            list(class.types.iter().map(|own| &**own)),
        );
        if let Some(weight) = &class.weight {
            self.with(
                format!("{path} / weight"),
                weight_text(weight),
                &weight.authority,
            );
        }
        self.limits(&path, &class.limits);
        for pocket in &class.pockets {
            let text = format!(
                "x {}, y {}, z {}, holds {}",
                pocket.x, pocket.y, pocket.z, pocket.holds
            );
            self.plain(format!("{path} / pocket / {}", pocket.name), text);
        }
    }

    fn limits(&mut self, path: &str, limits: &[(Limited, Limit)]) {
        for (limited, limit) in limits {
            self.with(
                format!("{path} / {limited}"),
                limit_text(limit),
                &limit.authority,
            );
        }
    }
}

fn list<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}

/// An amount in the units that the bench reads, lengths in both systems.
pub(crate) fn shown(amount: Amount) -> String {
    match amount {
        Amount::Length(length) => length_text(length),
        Amount::Mass(mass) => mass_text(mass),
        Amount::Angle(angle) => format!("{:.2}°", angle.degrees()),
        Amount::Grade(grade) => format!("{:.2} %", grade.percent()),
        Amount::Time(time) => format!("{:.1} s", time.seconds()),
        Amount::Force(force) => format!("{:.2} gf", force.grams_force()),
    }
}

fn length_text(length: Length) -> String {
    format!("{:.3} mm ({:.4} in)", length.mm(), length.inches())
}

fn mass_text(mass: Mass) -> String {
    format!("{:.1} g ({:.2} oz)", mass.grams(), mass.ounces())
}

fn limit_text(limit: &Limit) -> String {
    let mut text = match (limit.lower, limit.upper) {
        (Some(lower), Some(upper)) => format!("{} to {}", shown(lower), shown(upper)),
        (Some(lower), None) => format!("at least {}", shown(lower)),
        (None, Some(upper)) => format!("at most {}", shown(upper)),
        (None, None) => String::new(),
    };
    for (word, amount) in [
        ("nominal", limit.nominal),
        ("caution", limit.caution),
        ("guard", limit.guard),
    ] {
        if let Some(amount) = amount {
            push(&mut text, format_args!(", {word} {}", shown(amount)));
        }
    }
    if let Some(uncertainty) = limit.uncertainty {
        push(&mut text, format_args!(", u {}", shown(uncertainty)));
    }
    if let Some(since) = limit.since {
        push(&mut text, format_args!(", since {since}"));
    }
    text
}

fn wheel_text(wheels: &WheelRules) -> String {
    let standards: Vec<_> = wheels.standards.iter().map(ToString::to_string).collect();
    let track = wheels
        .track
        .map_or_else(|| "no track given".to_owned(), |track| track.to_string());
    let clear = wheels.functional.clearances();
    let mut text = format!(
        "{} on {track}; span clearance {}, gauge clearance {}, tread support {}, \
         flange clearance {}, caution {}",
        standards.join(" and "),
        clear.span,
        clear.gauge,
        clear.tread_support,
        clear.flangeway,
        wheels.caution,
    );
    if let Some(least) = wheels.functional.limits().check_gauge_min {
        push(
            &mut text,
            format_args!(", check gauge at least {}", length_text(least)),
        );
    }
    if let Some(guard) = wheels.guard {
        push(&mut text, format_args!(", guard {guard}"));
    }
    if let Some(uncertainty) = wheels.uncertainty {
        push(&mut text, format_args!(", u {uncertainty}"));
    }
    text
}

fn weight_text(weight: &WeightRule) -> String {
    let target = match &weight.kind {
        WeightKind::Rp201 { factor } => format!("{:.0} % of RP-20.1", factor * 100.0),
        WeightKind::Nem302 { factor } => format!("{:.0} % of NEM 302", factor * 100.0),
        WeightKind::PerLength { start, added, per } => {
            format!(
                "{} and {} per {}",
                mass_text(*start),
                mass_text(*added),
                length_text(*per)
            )
        }
        WeightKind::Table(rows) => {
            let rows = rows
                .iter()
                .map(|(body, mass)| format!("{body}: {}", mass_text(*mass)));
            rows.collect::<Vec<_>>().join("; ")
        }
        WeightKind::Fixed(mass) => mass_text(*mass),
    };
    let over = weight
        .over
        .map_or_else(|| "no cap".to_owned(), |over| format!("+{over}"));
    format!(
        "{target}; −{} {over}, caution {}",
        weight.under, weight.caution
    )
}

/// Writing to a `String` cannot fail.
fn push(text: &mut String, args: std::fmt::Arguments<'_>) {
    text.write_fmt(args).expect("a String takes everything");
}
