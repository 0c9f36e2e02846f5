//! The rules of one scale, from their tables in the TOML.

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Dimension, Length, Mass};

use super::Limited;
use super::read::{names, read_authority};
use super::scale::{
    BalanceMethod, ClassRules, Limit, PartSizes, Pocket, ScaleRules, WeightKind, WeightRule,
};
use super::wheels::{TRACK_STANDARDS, WHEEL_STANDARDS, WheelRules, WheelSettings};
use crate::mechanics::wheelset::Clearances;
use crate::section::Section;

pub(super) fn read_scales(root: &Section<'_>) -> Vec<ScaleRules> {
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
