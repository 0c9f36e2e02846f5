//! An inspection for programs: JSON, and a flat CSV with one row a judged reading.
//!
//! Names are lower case with the unit last. Amounts are numbers in one fixed unit per dimension:
//! mm, g, degree, ratio, s, N; the unit stands beside each.
//! The shape is this crate's own and changes only with a note in the changelog.

use gradeworthy_units::{Amount, Dimension};
use gradeworthy_workbench::checks::{Inspection, Line};
use gradeworthy_workbench::cures::Cure;
use gradeworthy_workbench::record::{Car, Check};
use serde::Serialize;

use crate::words::{self, System};

/// One car with its verdicts and cures.
#[derive(Clone, Debug, Serialize)]
pub struct CarReport {
    /// Reporting marks and number.
    pub car: String,
    /// Scale.
    pub scale: String,
    /// Whose it is.
    pub owner: Option<String>,
    /// The verdict on the car.
    pub verdict: &'static str,
    /// Edition of the rule book.
    pub edition: u32,
    /// Verdict of each check.
    pub checks: Vec<CheckReport>,
    /// Every judged reading.
    pub lines: Vec<LineReport>,
    /// What else there is to know.
    pub findings: Vec<String>,
    /// What to do.
    pub cures: Vec<CureReport>,
}

/// The verdict of one check.
#[derive(Clone, Debug, Serialize)]
pub struct CheckReport {
    /// The check.
    pub check: &'static str,
    /// Its verdict.
    pub verdict: &'static str,
}

/// One judged reading.
#[derive(Clone, Debug, Serialize)]
pub struct LineReport {
    /// The check it belongs to.
    pub check: &'static str,
    /// What it is about.
    pub aspect: String,
    /// Where.
    pub place: String,
    /// The verdict.
    pub verdict: &'static str,
    /// The unit of the amounts that follow.
    pub unit: Option<&'static str>,
    /// The reading.
    pub reading: Option<f64>,
    /// The lower limit.
    pub lower_limit: Option<f64>,
    /// The upper limit.
    pub upper_limit: Option<f64>,
    /// Distance to the nearer limit, positive inside.
    pub margin: Option<f64>,
    /// Conformance probability, where the uncertainty is known.
    pub conformity: Option<f64>,
    /// On whose word.
    pub authority: String,
}

/// One cure.
#[derive(Clone, Debug, Serialize)]
pub struct CureReport {
    /// The check whose fault it cures.
    pub check: &'static str,
    /// Where.
    pub place: String,
    /// The kind of work.
    pub cure: &'static str,
    /// What to do, as a sentence with its numbers.
    pub what: String,
    /// What to look at again.
    pub in_doubt: Vec<&'static str>,
    /// Days until the second look.
    pub rest_days: Option<u16>,
    /// The customary caution.
    pub caution: Option<String>,
}

impl CarReport {
    /// Everything about one car.
    #[must_use]
    pub fn new(car: &Car, inspection: &Inspection, cures: &[Cure], system: System) -> Self {
        let checks = Check::ALL.into_iter().map(|check| CheckReport {
            check: check.name(),
            verdict: inspection.of(check).word(),
        });
        Self {
            car: car.mark.to_string(),
            scale: car.scale.to_string(),
            owner: car.owner.as_deref().map(ToOwned::to_owned),
            verdict: inspection.verdict.word(),
            edition: inspection.edition,
            checks: checks.collect(),
            lines: inspection.lines.iter().map(LineReport::from).collect(),
            findings: inspection
                .findings
                .iter()
                .map(ToString::to_string)
                .collect(),
            cures: cures
                .iter()
                .map(|cure| CureReport::new(cure, system))
                .collect(),
        }
    }
}

impl From<&Line> for LineReport {
    fn from(line: &Line) -> Self {
        let base = |amount: Option<Amount>| amount.map(Amount::base);
        let any = line.reading.or(line.lower).or(line.upper);
        Self {
            check: line.check.name(),
            aspect: line.aspect.to_string(),
            place: line.place.to_string(),
            verdict: line.verdict.word(),
            unit: any.map(|amount| unit(amount.dimension())),
            reading: base(line.reading),
            lower_limit: base(line.lower),
            upper_limit: base(line.upper),
            margin: base(line.margin),
            conformity: line.conformity,
            authority: line.grounds.to_string(),
        }
    }
}

impl CureReport {
    fn new(cure: &Cure, system: System) -> Self {
        Self {
            check: cure.check.name(),
            place: cure.place.to_string(),
            cure: cure.kind.name(),
            what: words::cure(cure, system),
            in_doubt: cure.in_doubt.iter().map(|check| check.name()).collect(),
            rest_days: cure.rest_days,
            caution: cure.caution.as_deref().map(ToOwned::to_owned),
        }
    }
}

fn unit(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "mm",
        Dimension::Mass => "g",
        Dimension::Angle => "degree",
        Dimension::Grade => "ratio",
        Dimension::Time => "s",
        Dimension::Force => "N",
    }
}

/// One row of the flat CSV.
#[derive(Serialize)]
struct Row<'a> {
    car: &'a str,
    car_verdict: &'a str,
    edition: u32,
    check: &'a str,
    aspect: &'a str,
    place: &'a str,
    verdict: &'a str,
    unit: Option<&'a str>,
    reading: Option<f64>,
    lower_limit: Option<f64>,
    upper_limit: Option<f64>,
    margin: Option<f64>,
    conformity: Option<f64>,
    authority: &'a str,
    cure: String,
}

/// All judged readings of `cars` as CSV; the cures of a check stand on its first faulty row.
///
/// # Errors
/// A sentence when a row cannot be written, which a text in memory never causes.
pub fn csv(cars: &[CarReport]) -> Result<String, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for car in cars {
        let mut told: Vec<&str> = Vec::new();
        for line in &car.lines {
            let mut cure = String::new();
            if line.verdict == "bad order" && !told.contains(&line.check) {
                told.push(line.check);
                let own = car.cures.iter().filter(|cure| cure.check == line.check);
                cure = own
                    .map(|cure| cure.what.as_str())
                    .collect::<Vec<_>>()
                    .join(" | ");
            }
            let row = Row {
                car: &car.car,
                car_verdict: car.verdict,
                edition: car.edition,
                check: line.check,
                aspect: &line.aspect,
                place: &line.place,
                verdict: line.verdict,
                unit: line.unit,
                reading: line.reading,
                lower_limit: line.lower_limit,
                upper_limit: line.upper_limit,
                margin: line.margin,
                conformity: line.conformity,
                authority: &line.authority,
                cure,
            };
            writer.serialize(row).map_err(|error| error.to_string())?;
        }
    }
    let bytes = writer.into_inner().map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}
