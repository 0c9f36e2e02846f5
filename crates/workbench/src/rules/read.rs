//! From the TOML text of a rule book to the book, or to the full list of what is wrong with it.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Dimension, Length, Mass, Unit};

use super::scale::{BalanceMethod, ClassRules, Limit, PartSizes, Pocket, ScaleRules};
use super::scale::{WeightKind, WeightRule};
use super::wheels::{TRACK_STANDARDS, WHEEL_STANDARDS, WheelRules, WheelSettings};
use super::{BareUnits, Bench, Exception, Instrument, Limited, RuleBook};
use crate::authority::{Authority, Standing};
use crate::cures::CureKind;
use crate::decision::Rule;
use crate::doubt::{CheckSet, DoubtGraph};
use crate::mechanics::wheelset::Clearances;
use crate::record::Check;
pub use crate::section::Problem;
use crate::section::{Problems, Section};

/// The file format that this tool reads.
const FORMAT: u32 = 1;

/// Everything wrong with a rule book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleBookError {
    /// The problems, in the order of the file; never empty.
    pub problems: Vec<Problem>,
}

impl fmt::Display for RuleBookError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the rule book has {} problem(s)", self.problems.len())?;
        self.problems
            .iter()
            .try_for_each(|problem| write!(f, "\n  {problem}"))
    }
}

impl std::error::Error for RuleBookError {}

pub(super) fn read(text: &str) -> Result<RuleBook, RuleBookError> {
    let problems = Problems::of(text);
    let book = problems.parse().and_then(|document| {
        let root = Section::root(&document, &problems);
        let book = read_book(&root);
        root.finish();
        book
    });
    let problems = problems.into_list();
    match book {
        Some(book) if problems.is_empty() => Ok(book),
        _ => Err(RuleBookError { problems }),
    }
}

fn read_book(root: &Section<'_>) -> Option<RuleBook> {
    read_format(root);
    let head = root.section("book");
    if head.is_none() {
        root.missing("book", "a table with title, edition and effective date");
    }
    let (title, edition, effective) = head.as_ref().map_or((None, None, None), read_head);
    let (rule, guard_factor) = read_decision(root);
    let bare = read_bare_numbers(root);
    let book = RuleBook {
        title: title.unwrap_or_default().into(),
        edition: edition.unwrap_or_default(),
        effective: effective.unwrap_or_default(),
        rule: rule.unwrap_or(Rule::Guarded),
        guard_factor: guard_factor.unwrap_or(1.0),
        bare: bare?,
        instruments: root
            .sections("instrument")
            .iter()
            .filter_map(read_instrument)
            .collect(),
        bench: root
            .section("bench")
            .map(|section| read_bench(&section))
            .unwrap_or_default(),
        doubt: read_doubt(root),
        rest_days: read_rest_days(root),
        caution: read_cautions(root),
        exceptions: root
            .sections("exception")
            .iter()
            .filter_map(read_exception)
            .collect(),
        scales: read_scales(root),
    };
    Some(book)
}

fn read_format(root: &Section<'_>) {
    match root.count("format") {
        Some(FORMAT) => {}
        Some(other) => root.wrong("format", other.to_string(), format!("{FORMAT}")),
        None if root.has("format") => {}
        None => root.missing(
            "format",
            format!("format = {FORMAT} at the top of the file"),
        ),
    }
}

type Head<'a> = (Option<&'a str>, Option<u32>, Option<jiff::civil::Date>);

fn read_head<'a>(head: &Section<'a>) -> Head<'a> {
    for key in ["edition", "effective"] {
        if !head.has(key) {
            head.missing(
                key,
                "edition = 1 and effective = 2026-11-25, with your own figures",
            );
        }
    }
    let all = (
        head.required_text("title"),
        head.count("edition"),
        head.date("effective"),
    );
    if all.1 == Some(0) {
        head.wrong("edition", "0", "editions counted from 1");
    }
    head.finish();
    all
}

fn read_decision(root: &Section<'_>) -> (Option<Rule>, Option<f64>) {
    let Some(section) = root.section("decision") else {
        root.missing(
            "decision",
            "a table with the decision rule and the guard band",
        );
        return (None, None);
    };
    let find = |text: &str| Rule::NAMES.into_iter().find(|(name, _)| *name == text);
    let rule = section
        .named("rule", find, || {
            names(Rule::NAMES.iter().map(|(name, _)| *name))
        })
        .map(|(_, rule)| rule);
    let guard = section.number("guard");
    if guard.is_some_and(|guard| guard < 0.0) {
        section.wrong(
            "guard",
            "a negative number",
            "zero or more, as a multiple of U = 2u",
        );
    }
    if rule.is_none() && !section.has("rule") {
        section.missing("rule", "'simple', 'guarded' or 'prove either'");
    }
    section.finish();
    (rule, guard)
}

fn read_bare_numbers(root: &Section<'_>) -> Option<BareUnits> {
    let Some(section) = root.section("bare_numbers") else {
        root.missing(
            "bare_numbers",
            "a table with the units of numbers that carry none",
        );
        return None;
    };
    let unit = |key: &str, dimension: Dimension| {
        if !section.has(key) {
            section.missing(key, format!("a unit of {dimension}"));
        }
        let find =
            |text: &str| Unit::from_spelling(text).filter(|unit| unit.dimension() == dimension);
        section.named(key, find, || {
            names(
                Unit::all()
                    .filter(|unit| unit.dimension() == dimension)
                    .map(Unit::symbol),
            )
        })
    };
    let bare = BareUnits {
        length: unit("length", Dimension::Length)?,
        weight: unit("weight", Dimension::Mass)?,
        angle: unit("angle", Dimension::Angle)?,
        grade: unit("grade", Dimension::Grade)?,
        time: unit("time", Dimension::Time)?,
        force: unit("force", Dimension::Force)?,
    };
    section.finish();
    Some(bare)
}

fn read_authority(section: &Section<'_>) -> Arc<Authority> {
    let standing = section.named("standing", Standing::from_words, || {
        names(Standing::ALL.iter().map(|standing| standing.words()))
    });
    if standing.is_none() && !section.has("standing") {
        section.missing(
            "standing",
            "on whose word: 'published', 'club', 'common practice, no source' …",
        );
    }
    let source = section.text("source").unwrap_or_default();
    let needs_source = standing
        .is_some_and(|standing| !matches!(standing, Standing::Club | Standing::CommonPractice));
    if source.is_empty() && needs_source {
        section.missing(
            "source",
            "the publication, or the reason for an assumed figure",
        );
    }
    Arc::new(Authority {
        standing: standing.unwrap_or(Standing::Club),
        source: source.into(),
    })
}

fn read_instrument(section: &Section<'_>) -> Option<Instrument> {
    let name = section.required_text("name")?;
    let measures = [
        ("length", Dimension::Length),
        ("weight", Dimension::Mass),
        ("angle", Dimension::Angle),
        ("grade", Dimension::Grade),
        ("time", Dimension::Time),
        ("force", Dimension::Force),
    ];
    let find = |text: &str| measures.into_iter().find(|(word, _)| *word == text);
    let dimension = section
        .named("measures", find, || {
            names(measures.iter().map(|(word, _)| *word))
        })
        .map(|(_, dimension)| dimension);
    let uncertainty = dimension.and_then(|dimension| section.amount("uncertainty", dimension));
    let authority = read_authority(section);
    section.finish();
    if uncertainty.is_none() {
        section.missing(
            "uncertainty",
            "the instrument's standard uncertainty, with its unit",
        );
    }
    Some(Instrument {
        name: name.into(),
        uncertainty: uncertainty?,
        authority,
    })
}

fn check_names() -> String {
    names(Check::ALL.iter().map(|check| check.name()))
}

fn read_bench(section: &Section<'_>) -> Bench {
    let bench = Bench {
        required: section.all_named("required", Check::from_name, check_names),
        quick: section.all_named("quick", Check::from_name, check_names),
        look_over: section
            .texts("look_over")
            .into_iter()
            .map(Into::into)
            .collect(),
    };
    section.finish();
    bench
}

fn read_doubt(root: &Section<'_>) -> DoubtGraph {
    let mut graph = DoubtGraph::default();
    if let Some(section) = root.section("disturbs") {
        for (cure, key) in cure_keys(&section) {
            let checks = section.all_named(key, Check::from_name, check_names);
            graph.disturbs.insert(cure, checks.into_iter().collect());
        }
    }
    if let Some(section) = root.section("rests_on") {
        for key in section.keys() {
            let checks: CheckSet = section
                .all_named(key, Check::from_name, check_names)
                .into_iter()
                .collect();
            match Check::from_name(key) {
                Some(check) => {
                    graph.rests_on.insert(check, checks);
                }
                None => section.wrong(key, "no check of that name", check_names()),
            }
        }
    }
    graph
}

/// The keys of a table whose keys are cures; a key that is none is noted.
fn cure_keys<'a>(section: &Section<'a>) -> Vec<(CureKind, &'a str)> {
    let mut keys = Vec::new();
    for key in section.keys() {
        match CureKind::from_name(key) {
            Some(cure) => keys.push((cure, key)),
            None => section.wrong(
                key,
                "no cure of that name",
                names(CureKind::ALL.iter().map(|cure| cure.name())),
            ),
        }
    }
    keys
}

fn read_rest_days(root: &Section<'_>) -> BTreeMap<CureKind, u16> {
    let Some(section) = root.section("rest_days") else {
        return BTreeMap::new();
    };
    let days = |key| section.count(key).and_then(|days| u16::try_from(days).ok());
    cure_keys(&section)
        .into_iter()
        .filter_map(|(cure, key)| Some((cure, days(key)?)))
        .collect()
}

fn read_cautions(root: &Section<'_>) -> BTreeMap<CureKind, Box<str>> {
    let Some(section) = root.section("caution") else {
        return BTreeMap::new();
    };
    let text = |key| section.text(key).map(Into::into);
    cure_keys(&section)
        .into_iter()
        .filter_map(|(cure, key)| Some((cure, text(key)?)))
        .collect()
}

fn read_exception(section: &Section<'_>) -> Option<Exception> {
    let tag = section.required_text("tag")?.into();
    let exception = Exception {
        tag,
        waives: section.all_named("waives", Check::from_name, check_names),
        note: section.required_text("note").unwrap_or_default().into(),
        until: section.date("until"),
        authority: read_authority(section),
    };
    section.finish();
    Some(exception)
}

fn read_scales(root: &Section<'_>) -> Vec<ScaleRules> {
    let Some(scales) = root.section("scale") else {
        root.missing("scale", "at least one scale, under [scale.HO] for example");
        return Vec::new();
    };
    let mut all = Vec::new();
    for key in scales.keys() {
        let Some(section) = scales.section(key) else {
            continue;
        };
        match key.parse::<Scale>() {
            Ok(scale) => all.push(read_scale(scale, &section)),
            Err(error) => scales.wrong(key, error.to_string(), "a scale such as HO, N, S or O"),
        }
    }
    all
}

fn read_scale(scale: Scale, section: &Section<'_>) -> ScaleRules {
    let methods = [
        ("plate", BalanceMethod::Plate),
        ("rail", BalanceMethod::Rail),
    ];
    let find = |text: &str| methods.into_iter().find(|(name, _)| *name == text);
    let rules = ScaleRules {
        scale,
        tightest_radius: section.length("tightest_radius"),
        swivel_lever: section.length("swivel_lever"),
        rail_contact_spacing: section.length("rail_contact_spacing"),
        balance_half_width: section.length("balance_half_width"),
        balance_method: section
            .named("balance_method", find, || "'plate' or 'rail'".to_owned())
            .map(|(_, method)| method),
        parts: section
            .section("parts")
            .map(|parts| read_parts(&parts))
            .unwrap_or_default(),
        wheels: section
            .section("wheels")
            .and_then(|wheels| read_wheels(scale, &wheels)),
        weight: section
            .section("weight")
            .and_then(|weight| read_weight(&weight)),
        limits: read_limits(section),
        classes: section
            .sections("class")
            .iter()
            .filter_map(read_class)
            .collect(),
    };
    section.finish();
    rules
}

fn read_parts(section: &Section<'_>) -> PartSizes {
    let parts = PartSizes {
        centre_plate_half_width: section.length("centre_plate_half_width"),
        side_bearing_offset: section.length("side_bearing_offset"),
        pad_half_length: section.length("pad_half_length"),
        pad_half_width: section.length("pad_half_width"),
        shank_held: section.length("shank_held"),
        mouth_to_face: section.length("mouth_to_face"),
        shank_play_min: section.length("shank_play_min"),
        flange_depth: section.length("flange_depth"),
        rotating_part: section.number("rotating_part"),
    };
    // The word behind these sizes is kept in the file for its readers.
    read_authority(section);
    section.finish();
    parts
}

fn read_limits(section: &Section<'_>) -> Vec<(Limited, Limit)> {
    let Some(limits) = section.section("limit") else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for key in limits.keys() {
        let Some(limit) = limits.section(key) else {
            continue;
        };
        match Limited::from_name(key) {
            Some(limited) => all.extend(read_limit(limited, &limit).map(|limit| (limited, limit))),
            None => limits.wrong(
                key,
                "nothing of that name is limited",
                format!("one of {}", names(Limited::all().map(Limited::name))),
            ),
        }
    }
    all
}

fn read_limit(limited: Limited, section: &Section<'_>) -> Option<Limit> {
    let amount = |key| section.amount(key, limited.dimension());
    let nominal = amount("nominal");
    let tolerance = amount("tolerance");
    let (mut lower, mut upper) = (amount("min"), amount("max"));
    match (nominal, tolerance) {
        (Some(nominal), Some(tolerance)) => {
            if lower.is_some() || upper.is_some() {
                section.wrong(
                    "nominal",
                    "nominal beside min or max",
                    "one way or the other",
                );
            }
            (lower, upper) = (minus(nominal, tolerance), plus(nominal, tolerance));
        }
        (None, Some(_)) => section.missing("nominal", "the value that the tolerance is around"),
        (Some(_), None) if lower.is_none() && upper.is_none() => {
            section.missing(
                "tolerance",
                "how far from nominal is allowed, or min and max",
            );
        }
        (None | Some(_), None) => {}
    }
    if lower.is_none() && upper.is_none() {
        section.missing("min", "min, max, or nominal with tolerance");
    }
    if let (Some(lower), Some(upper)) = (lower, upper)
        && lower.base() > upper.base()
    {
        section.wrong(
            "min",
            "a lower limit above the upper",
            "min no larger than max",
        );
    }
    let limit = Limit {
        lower,
        upper,
        nominal,
        caution: amount("caution"),
        guard: amount("guard"),
        uncertainty: amount("uncertainty"),
        authority: read_authority(section),
        since: section.date("since"),
    };
    section.finish();
    Some(limit)
}

fn plus(a: Amount, b: Amount) -> Option<Amount> {
    Some(match (a, b) {
        (Amount::Length(a), Amount::Length(b)) => (a + b).into(),
        (Amount::Mass(a), Amount::Mass(b)) => (a + b).into(),
        (Amount::Angle(a), Amount::Angle(b)) => (a + b).into(),
        (Amount::Grade(a), Amount::Grade(b)) => (a + b).into(),
        (Amount::Time(a), Amount::Time(b)) => (a + b).into(),
        (Amount::Force(a), Amount::Force(b)) => (a + b).into(),
        _ => return None,
    })
}

fn minus(a: Amount, b: Amount) -> Option<Amount> {
    let negative = match b {
        Amount::Length(b) => (-b).into(),
        Amount::Mass(b) => (-b).into(),
        Amount::Angle(b) => (-b).into(),
        Amount::Grade(b) => (-b).into(),
        Amount::Time(b) => (-b).into(),
        Amount::Force(b) => (-b).into(),
    };
    plus(a, negative)
}

fn read_wheels(scale: Scale, section: &Section<'_>) -> Option<WheelRules> {
    let wheel = |text: &str| find_named(&WHEEL_STANDARDS, text);
    let standards = section.all_named("standards", wheel, || {
        names(WHEEL_STANDARDS.iter().map(|own| own.0))
    });
    if standards.is_empty() {
        section.missing("standards", "at least one wheel standard");
    }
    let clearance = |key| {
        if !section.has(key) {
            section.missing(key, "a length, \"0 mm\" for none");
        }
        section.length(key)
    };
    let track = |text: &str| find_named(&TRACK_STANDARDS, text);
    let settings = WheelSettings {
        standards,
        track: section.named("track", track, || {
            names(TRACK_STANDARDS.iter().map(|own| own.0))
        }),
        clearances: Clearances {
            span: clearance("span_clearance")?,
            gauge: clearance("gauge_clearance")?,
            tread_support: clearance("tread_support")?,
            flangeway: clearance("flange_clearance")?,
        },
        check_gauge_min: section.length("check_gauge_min"),
        printed_tire_width: section.flag("printed_tire_width").unwrap_or(true),
        caution: clearance("caution")?,
        guard: section.length("guard"),
        uncertainty: section.length("uncertainty"),
        authority: read_authority(section),
    };
    section.finish();
    let rules = WheelRules::new(scale, settings);
    rules
        .map_err(|why| section.wrong("standards", why, "standards and clearances that agree"))
        .ok()
}

fn find_named<T: Copy>(list: &[(&str, T)], text: &str) -> Option<T> {
    list.iter()
        .find(|(name, _)| name.eq_ignore_ascii_case(text.trim()))
        .map(|(_, own)| *own)
}

fn read_weight(section: &Section<'_>) -> Option<WeightRule> {
    let kinds = ["RP-20.1", "NEM 302", "per length", "table", "fixed"];
    let find = |text: &str| {
        kinds
            .into_iter()
            .find(|kind| kind.eq_ignore_ascii_case(text))
    };
    if !section.has("kind") {
        section.missing("kind", names(kinds));
    }
    let kind = section.named("kind", find, || names(kinds))?;
    let percent = || match section.amount("percent_of", Dimension::Grade) {
        Some(Amount::Grade(percent)) => percent.ratio(),
        _ => 1.0,
    };
    let kind = match kind {
        "RP-20.1" => WeightKind::Rp201 { factor: percent() },
        "NEM 302" => WeightKind::Nem302 { factor: percent() },
        "per length" => WeightKind::PerLength {
            start: section.mass("start")?,
            added: section.mass("added")?,
            per: section.length("per").filter(|per| *per > Length::ZERO)?,
        },
        "table" => WeightKind::Table(read_weight_table(section)?),
        _ => WeightKind::Fixed(section.mass("weight")?),
    };
    let tolerance = section.mass("tolerance");
    let under = section.mass("under").or(tolerance);
    if under.is_none() {
        section.missing(
            "tolerance",
            "how far from the target is allowed, or under and over",
        );
    }
    let rule = WeightRule {
        kind,
        under: under?,
        over: section.mass("over").or(tolerance),
        caution: section.mass("caution").unwrap_or(Mass::ZERO),
        guard: section.mass("guard"),
        uncertainty: section.mass("uncertainty"),
        authority: read_authority(section),
    };
    section.finish();
    Some(rule)
}

fn read_weight_table(section: &Section<'_>) -> Option<Vec<(Length, Mass)>> {
    let rows: Vec<_> = section
        .sections("row")
        .iter()
        .filter_map(|row| {
            let pair = (row.length("body")?, row.mass("weight")?);
            row.finish();
            Some(pair)
        })
        .collect();
    if rows.is_empty() || rows.windows(2).any(|pair| pair[0].0 >= pair[1].0) {
        section.missing("row", "rows of body and weight, shortest body first");
        return None;
    }
    Some(rows)
}

fn read_class(section: &Section<'_>) -> Option<ClassRules> {
    let types: Vec<Box<str>> = section
        .texts("types")
        .into_iter()
        .map(|letters| letters.to_uppercase().into())
        .collect();
    if types.is_empty() {
        section.missing("types", "car-type letters, such as [\"X\", \"R\"]");
    }
    let class = ClassRules {
        name: section.required_text("name")?.into(),
        types,
        limits: read_limits(section),
        weight: section
            .section("weight")
            .and_then(|weight| read_weight(&weight)),
        pockets: section
            .sections("pocket")
            .iter()
            .filter_map(read_pocket)
            .collect(),
    };
    section.finish();
    Some(class)
}

fn read_pocket(section: &Section<'_>) -> Option<Pocket> {
    for key in ["x", "y", "z", "holds"] {
        if !section.has(key) {
            section.missing(
                key,
                "x, y and z of the pocket, and the weight that it holds",
            );
        }
    }
    let pocket = Pocket {
        name: section.required_text("name")?.into(),
        x: section.length("x")?,
        y: section.length("y")?,
        z: section.length("z")?,
        holds: section.mass("holds")?,
    };
    section.finish();
    Some(pocket)
}

fn names<'a>(all: impl IntoIterator<Item = &'a str>) -> String {
    let quoted: Vec<_> = all.into_iter().map(|name| format!("'{name}'")).collect();
    quoted.join(", ")
}
