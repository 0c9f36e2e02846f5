//! A train set up for its scene: bodies, links, settings, and where everything is at the start.

use gradeworthy_units::STANDARD_GRAVITY;

use super::play::SceneError;
use super::script::{Change, Scene, Start, Who};
use super::told::settings;
use crate::dynamics::{Body, Config, Drive, Laws, Link, Problem, Road, Setting, State, solve};
use crate::placement::Slack;
use crate::statics::{Condition, Outcome};
use crate::sweep::{Check, snapshot};
use crate::track::Alignment;
use crate::vehicle::{Numbers, Train};

/// What turns adds this part to a car's mass, and to a locomotive's. ASSUMED; see [`super`].
const TURNING_CAR: f64 = 0.05;
const TURNING_LOCOMOTIVE: f64 = 0.30;

/// How long a standing train may take to settle into its slack before the scene, s.
const SETTLING: f64 = 20.0;

/// A train ready to be moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Staged {
    /// What moves.
    pub problem: Problem,
    /// From where.
    pub start: State,
    /// The locomotives that each change of the scene speaks of, by place in the train.
    pub meant: Vec<Vec<usize>>,
}

/// Sets `train` up on `line` for `scene`.
///
/// # Errors
/// [`SceneError`] when the train does not stand there, a locomotive is not in it, a running train
/// would stall, or a standing one does not stay.
pub fn stage(scene: &Scene, train: &Train, line: &Alignment) -> Result<Staged, SceneError> {
    let cars = train.numbers();
    let check = Check::new(Condition::Running, 0.1);
    let there = snapshot(train, line, &check, scene.head_at)?;
    let laws = Laws::default();
    let meant: Vec<Vec<usize>> = scene
        .changes
        .iter()
        .map(|change| meant(change, train))
        .collect::<Result<_, _>>()?;
    let locomotives = cars.iter().enumerate();
    let drives = locomotives.filter_map(|(vehicle, car)| {
        let own = car.power?;
        let changes = scene.changes.iter().zip(&meant);
        let changes: Vec<&Change> = changes
            .filter(|(_, meant)| meant.contains(&vehicle))
            .map(|(change, _)| change)
            .collect();
        Some(Drive {
            vehicle,
            slope: own.speed_slope,
            settings: settings(&own, scene.start, &changes),
        })
    });
    let problem = Problem {
        bodies: cars.iter().map(body).collect(),
        links: cars
            .windows(2)
            .map(|pair| link(pair, scene, &laws))
            .collect(),
        drives: drives.collect(),
        road: Road::of(line),
        laws,
    };
    let start = match scene.start {
        Start::Running if there.balance.outcome != Outcome::Balanced => {
            return Err(SceneError::DoesNotRun {
                head_at: scene.head_at,
                required: there.balance.required,
                available: there.balance.available,
            });
        }
        Start::Running => running(
            &problem,
            scene,
            cars,
            &there.balance.forces,
            there.balance.speed,
        ),
        Start::Standing(slack) => standing(&problem, scene, cars, slack)?,
    };
    Ok(Staged {
        problem,
        start,
        meant,
    })
}

fn body(car: &Numbers) -> Body {
    let turning = if car.power.is_some() {
        TURNING_LOCOMOTIVE
    } else {
        TURNING_CAR
    };
    Body {
        weight: car.weight,
        mass: car.weight / STANDARD_GRAVITY * (1.0 + turning),
        rolling: car.rolling_drag,
        breakaway: car.breakaway_drag.max(car.rolling_drag),
        per_speed: car.rolling_drag_per_speed,
        curve: car.curve_drag,
        reach: car.half_truck_centres,
    }
}

fn link(pair: &[Numbers], scene: &Scene, laws: &Laws) -> Link {
    let (ahead, behind) = (&pair[0], &pair[1]);
    let (one, other) = (ahead.weight, behind.weight);
    let mass = one * other / (one + other) / STANDARD_GRAVITY;
    let stiffness = scene.couplers.stiffness;
    Link {
        spacing: ahead.pivot_rear + ahead.link_to(behind) + behind.pivot_front,
        // A drawbar without slack still has the rounded corners of its stops.
        slack: ahead.slack_to(behind).max(2.0 * laws.rounding),
        stiffness,
        damping: 2.0 * scene.couplers.damping_ratio * (stiffness * mass).sqrt(),
        drag: 0.0,
        strength: ahead.coupler_strength.min(behind.coupler_strength),
    }
}

/// The locomotives a change speaks of.
fn meant(change: &Change, train: &Train) -> Result<Vec<usize>, SceneError> {
    let cars = train.numbers();
    let is_power = |index: &usize| cars[*index].power.is_some();
    let head = cars.iter().take_while(|own| own.power.is_some()).count();
    let rear = cars
        .iter()
        .rev()
        .take_while(|own| own.power.is_some())
        .count();
    let rear_from = (cars.len() - rear).max(head);
    let mut found = Vec::new();
    for who in &change.who {
        let range = match who {
            Who::All => 0..cars.len(),
            Who::HeadEnd => 0..head,
            Who::CutIn => head..rear_from,
            Who::RearEnd => rear_from..cars.len(),
            Who::Named(name, line) => {
                let place = train.vehicles().iter().position(|own| own.label() == name);
                let place = place
                    .filter(is_power)
                    .ok_or_else(|| SceneError::NoSuchLocomotive {
                        line: *line,
                        name: name.clone(),
                    })?;
                place..place + 1
            }
        };
        let before = found.len();
        found.extend(range.filter(is_power));
        if found.len() == before {
            let what = match who {
                Who::HeadEnd => "at the head end",
                Who::CutIn => "cut in",
                Who::RearEnd => "at the rear end",
                Who::All | Who::Named(..) => "in the train",
            };
            return Err(SceneError::Nobody {
                at: change.at,
                what,
            });
        }
    }
    found.sort_unstable();
    found.dedup();
    Ok(found)
}

/// Middles of the vehicles, each coupling stretched by what `stretch` says of it.
fn places(
    problem: &Problem,
    scene: &Scene,
    cars: &[Numbers],
    stretch: impl Fn(usize) -> f64,
) -> Vec<f64> {
    let mut at = scene.head_at - cars[0].half_truck_centres;
    let mut places = vec![at];
    for (k, link) in problem.links.iter().enumerate() {
        at -= link.spacing + stretch(k);
        places.push(at);
    }
    places
}

/// In balance at one speed, every coupling stretched or pressed by its force.
fn running(
    problem: &Problem,
    scene: &Scene,
    cars: &[Numbers],
    forces: &[f64],
    speed: f64,
) -> State {
    let stretch = |k: usize| {
        let (force, link) = (forces[k + 1], &problem.links[k]);
        (0.5 * link.slack + force.abs() / link.stiffness).copysign(force)
    };
    let places = places(problem, scene, cars, stretch);
    // Friction has given in the direction of motion all that it gives.
    let held = cars.iter().map(|car| car.weight).collect();
    State {
        held,
        ..State::new(places, vec![speed; cars.len()])
    }
}

/// Left alone with all locomotives locked until it stands.
fn standing(
    problem: &Problem,
    scene: &Scene,
    cars: &[Numbers],
    slack: Slack,
) -> Result<State, SceneError> {
    let places = places(problem, scene, cars, |k| {
        slack.share() * problem.links[k].slack
    });
    let grades = places.iter().map(|s| problem.road.grade(*s));
    let held = grades
        .zip(cars)
        .map(|(grade, car)| -grade * car.weight)
        .collect();
    let start = State {
        held,
        ..State::new(places, vec![0.0; cars.len()])
    };
    let mut locked = problem.clone();
    for drive in &mut locked.drives {
        let hold = drive.settings[0].drag_backward;
        drive.settings = vec![Setting {
            at: 0.0,
            speed: 0.0,
            pull: 0.0,
            hold: 0.0,
            drag_forward: hold,
            drag_backward: hold,
        }];
    }
    for link in &mut locked.links {
        link.strength = f64::INFINITY;
    }
    let config = Config {
        stop_at_rest: true,
        sample: SETTLING,
        ..Config::default()
    };
    let settled = solve(&locked, &start, SETTLING, &config)?;
    let fastest = settled
        .end
        .speed
        .iter()
        .map(|own| own.abs())
        .fold(0.0, f64::max);
    if fastest > 1e-3 {
        return Err(SceneError::DoesNotStay {
            head_at: scene.head_at,
            speed: fastest,
        });
    }
    Ok(State {
        time: 0.0,
        speed: vec![0.0; cars.len()],
        ..settled.end
    })
}
