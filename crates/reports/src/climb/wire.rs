//! An answer for programs: everything as JSON, one row for each vehicle and way as CSV.
//!
//! Names carry unit and qualifier: `head_place_m`, `draft_n_max`.

use gradeworthy_train::margins::Mode;
use gradeworthy_train::vehicle::{Provenance, Quantity};
use serde::Serialize;

use super::advice::wire::PlanOut;
use super::answer::{Answer, Line, Spot};
use super::join::Consist;
use super::text::defaulted;
use super::words;

#[derive(Serialize)]
struct Report<'a> {
    said: String,
    margin: f64,
    least_margin: f64,
    condition: &'static str,
    curve_drag: String,
    jerk_allowance: f64,
    line: LineOut<'a>,
    cause: &'static str,
    spots: Vec<SpotOut<'a>>,
    small_margin: Option<SmallOut<'a>>,
    prone_to_stringlining: Vec<ProneOut<'a>>,
    leans: Vec<LeanOut>,
    bench: Vec<String>,
    not_measured: Vec<DefaultOut<'a>>,
    vehicles: Vec<VehicleOut<'a>>,
    places: Places<'a>,
    pieces: Vec<Piece<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    advice: Option<PlanOut>,
}

#[derive(Serialize)]
struct LineOut<'a> {
    name: &'a str,
    length_m: f64,
    warnings: Vec<String>,
}

#[derive(Serialize)]
struct SpotOut<'a> {
    said: String,
    vehicle: &'a str,
    vehicle_number: usize,
    mode: &'static str,
    margin: f64,
    demand: f64,
    capacity: f64,
    unit: &'static str,
    head_place_m: f64,
    car_place_m: f64,
    place: Option<&'a str>,
    curvature_per_m: f64,
    grade: f64,
    coupler_force_n_mean: f64,
}

#[derive(Serialize)]
struct SmallOut<'a> {
    below: f64,
    from_m: f64,
    to_m: f64,
    places: &'a [String],
}

#[derive(Serialize)]
struct ProneOut<'a> {
    vehicle: &'a str,
    use_with_jerk: f64,
    ahead_of_loads: bool,
}

#[derive(Serialize)]
struct LeanOut {
    quantity: &'static str,
    measure: &'static str,
    vehicle_count: usize,
    margin_low: Option<f64>,
    margin_high: Option<f64>,
}

#[derive(Serialize)]
struct DefaultOut<'a> {
    quantity: &'static str,
    assumed_count: usize,
    vehicles: Vec<&'a str>,
}

#[derive(Serialize)]
struct VehicleOut<'a> {
    name: &'a str,
    number: usize,
    kind: &'static str,
    description: Option<&'a str>,
    bench: Option<&'static str>,
    numbers: Vec<NumberOut>,
    peaks: Vec<PeakOut>,
}

#[derive(Serialize)]
struct NumberOut {
    quantity: String,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
    known: &'static str,
}

#[derive(Serialize)]
struct PeakOut {
    mode: &'static str,
    r#use: f64,
    demand: f64,
    capacity: f64,
    unit: &'static str,
    head_place_m: f64,
}

#[derive(Serialize)]
struct Places<'a> {
    head_place_m: &'a [f64],
    speed_m_s: &'a [f64],
    required_n: &'a [f64],
    available_n: &'a [f64],
    draft_n_max: &'a [f64],
    buff_n_max: &'a [f64],
    margin: Vec<f64>,
}

#[derive(Serialize)]
struct Piece<'a> {
    place_m: f64,
    margin: f64,
    mode: &'static str,
    vehicle: &'a str,
    draft_n_max: f64,
    buff_n_max: f64,
}

/// The name of a way to come to grief, in files.
#[must_use]
pub const fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::WheelClimb => "wheel climb",
        Mode::Jackknife => "jackknife",
        Mode::Stringline => "stringline",
        Mode::Buckling => "buckling",
        Mode::Unloading => "unloading",
        Mode::CouplerSwing => "coupler swing",
        Mode::TruckSwing => "truck swing",
        Mode::PullApart => "pull-apart",
        Mode::Bypass => "bypass",
        Mode::Twist => "twist",
        Mode::Adhesion => "adhesion",
        Mode::Stall => "stall",
    }
}

/// Everything, as JSON.
///
/// # Errors
/// None of these values fails to be written; the error is that of the writer.
pub fn json(answer: &Answer, consist: &Consist, line: &Line) -> Result<String, serde_json::Error> {
    json_with_advice(answer, consist, line, None)
}

/// The same with what is advised, under `advice`.
///
/// # Errors
/// As [`json`].
pub fn json_with_advice(
    answer: &Answer,
    consist: &Consist,
    line: &Line,
    advice: Option<PlanOut>,
) -> Result<String, serde_json::Error> {
    let name = |vehicle: usize| consist.members[vehicle].name.as_str();
    let columns = &answer.sweep.places;
    let report = Report {
        said: words::headline(answer, consist),
        margin: answer.margin.margin,
        least_margin: answer.asked.least_margin,
        condition: words::condition(answer.asked.check.condition),
        curve_drag: format!("{:?}", answer.asked.check.law),
        jerk_allowance: answer.asked.jerk_allowance,
        line: LineOut {
            name: &line.name,
            length_m: line.alignment.length(),
            warnings: line.findings.iter().map(words::line).collect(),
        },
        cause: words::cause(answer.margin.cause),
        spots: answer
            .spots
            .iter()
            .map(|spot| spot_out(spot, consist))
            .collect(),
        small_margin: answer.small.as_ref().map(|small| SmallOut {
            below: small.below,
            from_m: small.from,
            to_m: small.to,
            places: &small.places,
        }),
        prone_to_stringlining: answer
            .prone
            .iter()
            .map(|car| ProneOut {
                vehicle: name(car.vehicle),
                use_with_jerk: car.peak.used.ratio() * answer.asked.jerk_allowance,
                ahead_of_loads: car.is_ahead_of_loads(),
            })
            .collect(),
        leans: leans(answer),
        bench: consist.members.iter().flat_map(words::bench).collect(),
        not_measured: not_measured(consist),
        vehicles: vehicles(answer, consist),
        places: Places {
            head_place_m: &columns.head_s,
            speed_m_s: &columns.speed,
            required_n: &columns.required,
            available_n: &columns.available,
            draft_n_max: &columns.greatest_draft,
            buff_n_max: &columns.greatest_buff,
            margin: columns.worst_use.iter().map(|used| 1.0 - used).collect(),
        },
        pieces: pieces(answer, consist),
        advice,
    };
    Ok(serde_json::to_string_pretty(&report)? + "\n")
}

fn spot_out<'a>(spot: &'a Spot, consist: &'a Consist) -> SpotOut<'a> {
    SpotOut {
        said: words::spot(spot, consist),
        vehicle: &consist.members[spot.vehicle].name,
        vehicle_number: spot.vehicle + 1,
        mode: mode(spot.mode),
        margin: spot.margin(),
        demand: spot.used.demand,
        capacity: spot.used.capacity,
        unit: spot.mode.unit(),
        head_place_m: spot.head_s,
        car_place_m: spot.car_s,
        place: spot.place.as_deref(),
        curvature_per_m: spot.curvature,
        grade: spot.grade,
        coupler_force_n_mean: spot.force,
    }
}

fn leans(answer: &Answer) -> Vec<LeanOut> {
    let one = |lean: &gradeworthy_train::sweep::Lean| {
        let (quantity, measure) = words::quantity(lean.quantity);
        LeanOut {
            quantity,
            measure,
            vehicle_count: lean.vehicle_count,
            margin_low: lean.margin_low,
            margin_high: lean.margin_high,
        }
    };
    answer.margin.leans.iter().map(one).collect()
}

fn not_measured(consist: &Consist) -> Vec<DefaultOut<'_>> {
    let rows = Quantity::ALL.into_iter();
    rows.filter_map(|quantity| defaulted(consist.train.vehicles(), quantity))
        .map(|row| DefaultOut {
            quantity: words::quantity(row.quantity).0,
            assumed_count: row.assumed,
            vehicles: row.vehicles,
        })
        .collect()
}

fn vehicles<'a>(answer: &'a Answer, consist: &'a Consist) -> Vec<VehicleOut<'a>> {
    let each = consist
        .train
        .vehicles()
        .iter()
        .zip(&consist.members)
        .enumerate();
    each.map(|(index, (vehicle, member))| VehicleOut {
        name: &member.name,
        number: member.number,
        kind: if member.is_power { "locomotive" } else { "car" },
        description: member.description.as_deref(),
        bench: member.verdict.as_ref().map(|(verdict, _)| verdict.word()),
        numbers: Quantity::ALL
            .into_iter()
            .filter(|quantity| member.is_power || !quantity.is_of_locomotives())
            .map(|quantity| number_out(vehicle, quantity))
            .collect(),
        peaks: peaks(answer, index),
    })
    .collect()
}

fn number_out(vehicle: &gradeworthy_train::vehicle::Vehicle, quantity: Quantity) -> NumberOut {
    let entry = vehicle.entry(quantity);
    NumberOut {
        quantity: format!("{quantity:?}"),
        value: entry.value,
        low: entry.low,
        high: entry.high,
        unit: quantity.unit(),
        known: match entry.provenance {
            Provenance::Measured => "measured",
            Provenance::ClassDefault => "class default",
            Provenance::Assumed => "assumed",
        },
    }
}

fn peaks(answer: &Answer, vehicle: usize) -> Vec<PeakOut> {
    let row = answer.sweep.envelope.vehicle(vehicle).into_iter().flatten();
    row.zip(Mode::ALL)
        .map(|(peak, own)| PeakOut {
            mode: mode(own),
            r#use: peak.used.ratio(),
            demand: peak.used.demand,
            capacity: peak.used.capacity,
            unit: own.unit(),
            head_place_m: peak.head_s,
        })
        .collect()
}

fn pieces<'a>(answer: &Answer, consist: &'a Consist) -> Vec<Piece<'a>> {
    let rows = answer.trace.rows().iter().enumerate();
    rows.filter(|(_, row)| row.passed)
        .map(|(index, row)| Piece {
            place_m: answer.trace.middle(index),
            margin: 1.0 - row.used.ratio(),
            mode: mode(row.mode),
            vehicle: &consist.members[row.vehicle].name,
            draft_n_max: row.draft,
            buff_n_max: row.buff,
        })
        .collect()
}

/// One row for each vehicle and way to come to grief.
///
/// # Errors
/// The writer's own words; none is expected.
pub fn csv(answer: &Answer, consist: &Consist) -> Result<String, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let heading = [
        "vehicle_number",
        "vehicle",
        "kind",
        "mode",
        "use",
        "margin",
        "demand",
        "capacity",
        "unit",
        "head_place_m",
    ];
    writer
        .write_record(heading)
        .map_err(|error| error.to_string())?;
    for (index, member) in consist.members.iter().enumerate() {
        for peak in peaks(answer, index) {
            let kind = if member.is_power { "locomotive" } else { "car" };
            let row = [
                (index + 1).to_string(),
                member.name.clone(),
                kind.to_owned(),
                peak.mode.to_owned(),
                format!("{:.6}", peak.r#use),
                format!("{:.6}", 1.0 - peak.r#use),
                format!("{:.9}", peak.demand),
                format!("{:.9}", peak.capacity),
                peak.unit.to_owned(),
                format!("{:.4}", peak.head_place_m),
            ];
            writer
                .write_record(row)
                .map_err(|error| error.to_string())?;
        }
    }
    let bytes = writer.into_inner().map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}
