//! Advice for programs. Names carry their unit: `head_place_m`, `required_n`.

use gradeworthy_train::advice::{
    Advice, Advised, Change, Claim, Longest, Measurement, Origin, Reached, Stall, StopReason,
};
use serde::Serialize;

use super::super::join::Consist;
use super::super::wire::mode;
use super::super::words::quantity;
use super::Plan;
use super::words::Speaker;

/// Everything that is advised.
#[derive(Debug, Serialize)]
pub struct PlanOut {
    what_to_move: MovesOut,
    helpers: Vec<SearchOut>,
    order: SearchOut,
    longest: Vec<LongestOut>,
    power: PowerOut,
    stall: Option<StallOut>,
    repairs: SearchOut,
    measurements: Vec<MeasurementOut>,
}

#[derive(Debug, Serialize)]
struct AdviceOut {
    said: String,
    changes: Vec<ChangeOut>,
    margin: f64,
    gain: f64,
    limited_by: String,
    mode: &'static str,
    head_place_m: f64,
}

#[derive(Debug, Serialize)]
#[serde(tag = "change", rename_all = "snake_case")]
enum ChangeOut {
    Move {
        vehicles: Vec<String>,
        behind: Option<String>,
    },
    Reorder {
        vehicles: Vec<String>,
    },
    SetOut {
        vehicle: String,
    },
    CutIn {
        vehicle: String,
        behind: Option<String>,
    },
    Repair {
        vehicle: String,
        quantity: &'static str,
        value: f64,
        unit: &'static str,
    },
}

#[derive(Debug, Serialize)]
struct SearchOut {
    best: Vec<AdviceOut>,
    claim: &'static str,
    stop: &'static str,
    trains_compared: usize,
}

#[derive(Debug, Serialize)]
struct MovesOut {
    said: String,
    reached: &'static str,
    at_least: Option<usize>,
    advice: Option<AdviceOut>,
    stop: &'static str,
    trains_compared: usize,
}

#[derive(Debug, Serialize)]
struct LongestOut {
    set_out: &'static str,
    car_count: usize,
    cars_that_climb: Option<usize>,
    advice: Option<AdviceOut>,
    stop: &'static str,
}

#[derive(Debug, Serialize)]
struct PowerOut {
    said: String,
    locomotives_needed: Option<usize>,
    advice: Option<AdviceOut>,
    stop: &'static str,
}

#[derive(Debug, Serialize)]
struct StallOut {
    said: String,
    stalls: bool,
    head_place_m: f64,
    required_n: f64,
    available_n: f64,
    holds: bool,
    starts: bool,
    standing_coupler_forces_n: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct MeasurementOut {
    said: String,
    quantity: &'static str,
    vehicle_count: usize,
    margin_low: Option<f64>,
    margin_high: Option<f64>,
}

/// What programs get; `margin` is that of the train as it is, `asked` the least that will do.
#[must_use]
pub fn plan(plan: &Plan, consist: &Consist, asked: f64, margin: f64) -> PlanOut {
    let speaker = Speaker { plan, consist };
    let moves = &plan.moves;
    let sides = ["last cars", "first cars"];
    let measurements = plan.measurements.best.iter();
    PlanOut {
        what_to_move: MovesOut {
            said: speaker.moves(asked),
            reached: match moves.reached {
                Reached::AsItIs => "as it is",
                Reached::Fewest => "fewest moves",
                Reached::WithAtLeast(_) => "with these moves",
                Reached::NotReached => "not reached",
            },
            at_least: match moves.reached {
                Reached::WithAtLeast(least) => Some(least),
                Reached::AsItIs | Reached::Fewest | Reached::NotReached => None,
            },
            advice: moves.advice.as_ref().map(|own| advice(own, speaker)),
            stop: stop(moves.stop),
            trains_compared: moves.tried,
        },
        helpers: plan
            .cuts
            .iter()
            .map(|own| search(&own.advised, speaker))
            .collect(),
        order: search(&plan.order, speaker),
        longest: plan
            .longest
            .iter()
            .zip(sides)
            .map(|(own, set_out)| longest(own, set_out, speaker))
            .collect(),
        power: PowerOut {
            said: speaker.power(&plan.power),
            locomotives_needed: plan.power.needed,
            advice: plan.power.advice.as_ref().map(|own| advice(own, speaker)),
            stop: stop(plan.power.stop),
        },
        stall: plan.stall.as_ref().map(|own| stall(own, speaker)),
        repairs: search(&plan.repairs, speaker),
        measurements: measurements
            .map(|own| measurement(own, margin, speaker))
            .collect(),
    }
}

fn advice(own: &Advice, speaker: Speaker<'_>) -> AdviceOut {
    AdviceOut {
        said: speaker.advice(own),
        changes: own.changes.iter().map(|own| change(own, speaker)).collect(),
        margin: own.margin,
        gain: own.gain,
        limited_by: plain(own.limit.vehicle, speaker),
        mode: mode(own.limit.mode),
        head_place_m: own.limit.head_s,
    }
}

fn change(own: &Change, speaker: Speaker<'_>) -> ChangeOut {
    let all = |vehicles: &[Origin]| vehicles.iter().map(|own| plain(*own, speaker)).collect();
    match own {
        Change::Move { vehicles, behind } => ChangeOut::Move {
            vehicles: all(vehicles),
            behind: behind.map(|own| plain(own, speaker)),
        },
        Change::Reorder { vehicles } => ChangeOut::Reorder {
            vehicles: all(vehicles),
        },
        Change::SetOut { vehicle } => ChangeOut::SetOut {
            vehicle: plain(*vehicle, speaker),
        },
        Change::CutIn { roster, behind } => ChangeOut::CutIn {
            vehicle: plain(Origin::Roster(*roster), speaker),
            behind: behind.map(|own| plain(own, speaker)),
        },
        Change::Repair {
            vehicle,
            quantity: what,
            value,
        } => ChangeOut::Repair {
            vehicle: plain(*vehicle, speaker),
            quantity: quantity(*what).0,
            value: *value,
            unit: what.unit(),
        },
    }
}

/// The mark or name alone.
fn plain(origin: Origin, speaker: Speaker<'_>) -> String {
    match origin {
        Origin::Own(place) => match speaker.consist.members.get(place) {
            Some(own) => own.name.clone(),
            None => speaker.name(origin),
        },
        Origin::Roster(_) => speaker.name(origin),
    }
}

fn search(own: &Advised, speaker: Speaker<'_>) -> SearchOut {
    SearchOut {
        best: own.best.iter().map(|own| advice(own, speaker)).collect(),
        claim: match own.claim {
            Claim::Best => "none better by the tolerance",
            Claim::Theorem => "none better by the tolerance, by theorem",
            Claim::Found => "found",
        },
        stop: stop(own.stop),
        trains_compared: own.tried,
    }
}

const fn stop(own: StopReason) -> &'static str {
    match own {
        StopReason::Settled => "settled",
        StopReason::Enough => "enough",
        StopReason::Watcher => "stopped",
    }
}

fn longest(own: &Longest, set_out: &'static str, speaker: Speaker<'_>) -> LongestOut {
    LongestOut {
        set_out,
        car_count: own.car_count,
        cars_that_climb: own.cars_that_climb,
        advice: own.advice.as_ref().map(|own| advice(own, speaker)),
        stop: stop(own.stop),
    }
}

fn stall(own: &Stall, speaker: Speaker<'_>) -> StallOut {
    StallOut {
        said: speaker.stall(own),
        stalls: own.stalls,
        head_place_m: own.head_s,
        required_n: own.required,
        available_n: own.available,
        holds: own.standing.holds,
        starts: own.starts,
        standing_coupler_forces_n: own.standing.coupler_forces.clone(),
    }
}

fn measurement(own: &Measurement, margin: f64, speaker: Speaker<'_>) -> MeasurementOut {
    MeasurementOut {
        said: speaker.measurement(own, margin),
        quantity: quantity(own.quantity()).0,
        vehicle_count: own.lean.vehicle_count,
        margin_low: own.margins[0],
        margin_high: own.margins[1],
    }
}
