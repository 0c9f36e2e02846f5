//! Advice for programs. Names carry their unit: `head_place_m`, `required_n`.

use gradeworthy_train::advice::{
    Advice, Advised, Change, Claim, FewestMoves, Longest, Measurement, MorePower, Origin, Reached,
    Stall, StopReason,
};
use serde::Serialize;

use super::super::join::Consist;
use super::super::wire::mode;
use super::super::words::quantity;
use super::words::Speaker;
use super::{Part, Plan};

/// Everything that is advised.
#[derive(Debug, Serialize)]
pub struct PlanOut {
    /// Whether every part was answered; one that was not is null or empty.
    finished: bool,
    what_to_move: Option<MovesOut>,
    helpers: Vec<SearchOut>,
    order: Option<SearchOut>,
    longest: Vec<LongestOut>,
    power: Option<PowerOut>,
    stall: Option<StallOut>,
    repairs: Option<SearchOut>,
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
    let sides = ["last cars", "first cars"];
    let measurements = plan.measurements.iter().flat_map(|own| &own.best);
    PlanOut {
        finished: plan.answered.len() == Part::ALL.len(),
        what_to_move: plan.moves.as_ref().map(|own| moves(own, speaker, asked)),
        helpers: plan
            .cuts
            .iter()
            .map(|own| search(&own.advised, speaker))
            .collect(),
        order: plan.order.as_ref().map(|own| search(own, speaker)),
        longest: plan
            .longest
            .iter()
            .zip(sides)
            .map(|(own, set_out)| longest(own, set_out, speaker))
            .collect(),
        power: plan.power.as_ref().map(|own| power(own, speaker)),
        stall: plan.stall.as_ref().map(|own| stall(own, speaker)),
        repairs: plan.repairs.as_ref().map(|own| search(own, speaker)),
        measurements: measurements
            .map(|own| measurement(own, margin, speaker))
            .collect(),
    }
}

fn moves(own: &FewestMoves, speaker: Speaker<'_>, asked: f64) -> MovesOut {
    MovesOut {
        said: speaker.moves(own, asked),
        reached: match own.reached {
            Reached::AsItIs => "as it is",
            Reached::Fewest => "fewest moves",
            Reached::WithAtLeast(_) => "with these moves",
            Reached::NotReached => "not reached",
        },
        at_least: match own.reached {
            Reached::WithAtLeast(least) => Some(least),
            Reached::AsItIs | Reached::Fewest | Reached::NotReached => None,
        },
        advice: own.advice.as_ref().map(|own| advice(own, speaker)),
        stop: stop(own.stop),
        trains_compared: own.tried,
    }
}

fn power(own: &MorePower, speaker: Speaker<'_>) -> PowerOut {
    PowerOut {
        said: speaker.power(own),
        locomotives_needed: own.needed,
        advice: own.advice.as_ref().map(|own| advice(own, speaker)),
        stop: stop(own.stop),
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
