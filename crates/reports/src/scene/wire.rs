//! What came of a scene for programs: everything as JSON.
//!
//! Names carry unit and qualifier. Samples stand at steady intervals, one list for each vehicle and
//! each coupling, rounded to what the integrator answers for.

use gradeworthy_train::dynamics::{Effort, Samples};
use gradeworthy_train::scene::Jolt;
use serde::Serialize;

use super::answer::{Answer, Part};
use super::words;
use crate::climb::wire::mode;
use crate::climb::{Consist, Line};

#[derive(Serialize)]
struct Report<'a> {
    said: String,
    scene: &'a str,
    line: &'a str,
    margin: f64,
    spots: Vec<SpotOut<'a>>,
    changes: Vec<ChangeOut>,
    partings: Vec<PartingOut<'a>>,
    parts: Vec<PartOut<'a>>,
    ended: String,
    effort: EffortOut,
    coupler_stiffness_n_m: f64,
    coupler_damping_ratio: f64,
    time_s: Vec<f64>,
    vehicles: Vec<VehicleOut<'a>>,
    couplings: Vec<CouplingOut<'a>>,
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
    time_s: f64,
    car_place_m: f64,
    place: Option<&'a str>,
    force_front_n: f64,
    force_rear_n: f64,
    kind: &'static str,
}

#[derive(Serialize)]
struct ChangeOut {
    time_s: f64,
    said: String,
}

#[derive(Serialize)]
struct PartingOut<'a> {
    ahead: &'a str,
    behind: &'a str,
    time_s: f64,
    force_n: f64,
}

#[derive(Serialize)]
struct PartOut<'a> {
    first: &'a str,
    last: &'a str,
    first_place_m: f64,
    last_place_m: f64,
    speed_m_s_mean: f64,
    stands: bool,
}

#[derive(Serialize)]
struct EffortOut {
    steps: usize,
    refused: usize,
    iterations: usize,
}

#[derive(Serialize)]
struct VehicleOut<'a> {
    name: &'a str,
    kind: &'static str,
    first_moved_s: Option<f64>,
    place_m: Vec<f64>,
    speed_m_s: Vec<f64>,
    margin: Option<f64>,
}

#[derive(Serialize)]
struct CouplingOut<'a> {
    ahead: &'a str,
    behind: &'a str,
    draft_n_max: f64,
    draft_time_s: f64,
    buff_n_max: f64,
    buff_time_s: f64,
    force_n: Vec<f64>,
}

/// Everything, as JSON.
///
/// # Errors
/// None of these values fails to be written; the error is that of the writer.
pub fn json(answer: &Answer, consist: &Consist, line: &Line) -> Result<String, serde_json::Error> {
    let name = |index: usize| consist.members[index].name.as_str();
    let solution = &answer.played.solution;
    let Effort {
        steps,
        refused,
        iterations,
    } = solution.effort;
    let report = Report {
        said: words::headline(answer, consist),
        scene: &answer.scene.name,
        line: &line.name,
        margin: answer.margin(),
        spots: spots(answer, consist),
        changes: answer
            .scene
            .changes
            .iter()
            .map(|own| ChangeOut {
                time_s: own.at,
                said: words::done(own),
            })
            .collect(),
        partings: solution
            .partings
            .iter()
            .map(|own| PartingOut {
                ahead: name(own.behind),
                behind: name(own.behind + 1),
                time_s: own.time,
                force_n: own.force,
            })
            .collect(),
        parts: answer.parts.iter().map(|own| part(own, consist)).collect(),
        ended: words::stop(answer, consist),
        effort: EffortOut {
            steps,
            refused,
            iterations,
        },
        coupler_stiffness_n_m: answer.scene.couplers.stiffness,
        coupler_damping_ratio: answer.scene.couplers.damping_ratio,
        time_s: solution
            .samples
            .time
            .iter()
            .map(|own| rounded(*own))
            .collect(),
        vehicles: vehicles(answer, consist),
        couplings: couplings(answer, consist),
    };
    Ok(serde_json::to_string(&report)? + "\n")
}

/// To a millionth of its unit.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

fn column(samples: &Samples, row: impl Fn(usize) -> f64) -> Vec<f64> {
    (0..samples.len())
        .map(|index| rounded(row(index)))
        .collect()
}

fn spots<'a>(answer: &'a Answer, consist: &'a Consist) -> Vec<SpotOut<'a>> {
    let one = |(spot, margin): &'a (crate::climb::Spot, gradeworthy_train::scene::MotionMargin)| {
        SpotOut {
            said: words::moment(spot, margin, consist),
            vehicle: &consist.members[spot.vehicle].name,
            vehicle_number: spot.vehicle + 1,
            mode: mode(spot.mode),
            margin: spot.margin(),
            demand: spot.used.demand,
            capacity: spot.used.capacity,
            unit: spot.mode.unit(),
            time_s: margin.time,
            car_place_m: spot.car_s,
            place: spot.place.as_deref(),
            force_front_n: margin.forces[0],
            force_rear_n: margin.forces[1],
            kind: match margin.jolt {
                Jolt::RunIn => "run-in",
                Jolt::RunOut => "run-out",
                Jolt::Steady => "lasting",
            },
        }
    };
    answer.spots.iter().map(one).collect()
}

fn part<'a>(own: &Part, consist: &'a Consist) -> PartOut<'a> {
    PartOut {
        first: &consist.members[own.first].name,
        last: &consist.members[own.last].name,
        first_place_m: own.first_at,
        last_place_m: own.last_at,
        speed_m_s_mean: own.speed,
        stands: own.stands(),
    }
}

fn vehicles<'a>(answer: &Answer, consist: &'a Consist) -> Vec<VehicleOut<'a>> {
    let solution = &answer.played.solution;
    let samples = &solution.samples;
    let each = consist.members.iter().enumerate();
    each.map(|(index, member)| VehicleOut {
        name: &member.name,
        kind: if member.is_power { "locomotive" } else { "car" },
        first_moved_s: solution.first_moved[index],
        place_m: column(samples, |row| samples.places(row)[index]),
        speed_m_s: column(samples, |row| samples.speeds(row)[index]),
        margin: answer.played.margins[index].map(|own| own.margin()),
    })
    .collect()
}

fn couplings<'a>(answer: &Answer, consist: &'a Consist) -> Vec<CouplingOut<'a>> {
    let solution = &answer.played.solution;
    let samples = &solution.samples;
    let each = solution.peaks.iter().enumerate();
    each.map(|(k, peak)| CouplingOut {
        ahead: &consist.members[k].name,
        behind: &consist.members[k + 1].name,
        draft_n_max: peak.draft,
        draft_time_s: peak.draft_time,
        buff_n_max: -peak.buff,
        buff_time_s: peak.buff_time,
        force_n: column(samples, |row| samples.forces(row)[k]),
    })
    .collect()
}
