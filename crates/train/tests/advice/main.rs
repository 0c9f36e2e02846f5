//! Advice against brute force: every train of a kind swept afresh, and the best of them.

mod bench;
mod cuts;
mod moves;
mod orders;
mod random;

#[path = "../stock/mod.rs"]
mod stock;

use gradeworthy_train::advice::{Advice, Adviser, Change, Go, MakeUp, Watcher};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Sweep, sweep};
use gradeworthy_train::track::{Alignment, CantPoint, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Train, Vehicle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Two ways to the same margin differ by rounding alone.
const ROUNDING: f64 = 1e-9;

/// Nobody stops it.
const ON: Watcher<'static> = &|_| Go::On;

/// A left and a right curve with easements and cant on a grade with a break; `length` m.
fn hill(length: f64) -> Alignment {
    let curve = |curvature: f64| {
        [
            PlanSegment::easement(0.3, 0.0, curvature),
            PlanSegment::arc(1.6, curvature),
            PlanSegment::easement(0.3, curvature, 0.0),
        ]
    };
    let mut plan = vec![PlanSegment::straight(1.0)];
    plan.extend(curve(1.0 / 0.7));
    plan.push(PlanSegment::straight(0.8));
    plan.extend(curve(-1.0 / 0.6));
    plan.push(PlanSegment::straight(length - 6.2));
    let profile = vec![
        GradeSegment::steady(2.0, 0.01),
        GradeSegment::vertical_curve(0.6, 0.01, 0.03),
        GradeSegment::steady(length - 2.6, 0.03),
    ];
    let cant = [(1.0, 0.0), (1.3, -0.02), (2.9, -0.02), (3.2, 0.0)]
        .map(|(s, cant)| CantPoint { s, cant })
        .to_vec();
    Alignment::new(Origin::default(), plan, profile, cant).expect("sound")
}

/// Cars of three shapes, of weight and drag by chance.
fn car(number: usize, chance: &mut ChaCha8Rng) -> Vehicle {
    let (a, p) = [(0.050, 0.064), (0.060, 0.078), (0.040, 0.053)][chance.random_range(0..3)];
    Vehicle::of_class(format!("demo {number}"), Class::HoCar)
        .measured(&[
            (Q::HalfTruckCentres, a),
            (Q::PivotFront, p),
            (Q::PivotRear, p),
            (Q::Weight, chance.random_range(0.7..1.5)),
            (Q::RollingDrag, chance.random_range(0.008..0.03)),
            (
                Q::CouplerHeightFront,
                0.0099 + chance.random_range(-3e-4..3e-4),
            ),
            (Q::CurveDrag, 0.005),
        ])
        .expect("sound")
}

fn engine(number: usize) -> Vehicle {
    Vehicle::of_class(format!("demo engine {number}"), Class::HoLocomotive)
        .measured(&[
            (Q::AdhesionPull, 1.8),
            (Q::SpeedSetting, 0.2),
            (Q::SpeedSlope, 20.0),
        ])
        .expect("sound")
}

/// A train of `count` vehicles with locomotives at the places `power`.
fn train(count: usize, power: &[usize], seed: u64) -> Train {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    let vehicle = |place: usize| {
        if power.contains(&place) {
            engine(place)
        } else {
            car(place, &mut chance)
        }
    };
    Train::new((0..count).map(vehicle).collect()).expect("sound")
}

fn check(step_m: f64) -> Check {
    Check::new(Condition::Running, step_m)
}

fn margin_of(swept: &Sweep) -> f64 {
    1.0 - swept.places.worst_use.iter().copied().fold(0.0, f64::max)
}

/// The margin of a fresh sweep; none where the train cannot stand.
fn margin(train: &Train, line: &Alignment, check: &Check) -> Option<f64> {
    sweep(train, line, check)
        .ok()
        .map(|swept| margin_of(&swept))
}

/// The changes give a train with the margin that was promised.
#[track_caller]
fn assert_keeps_its_word(advice: &Advice, train: &Train, line: &Alignment, check: &Check) {
    let makeup = Change::apply_all(&advice.changes, &MakeUp::of(train)).expect("can be made");
    let after = makeup.train().expect("a train");
    let fresh = margin(&after, line, check).expect("it stands");
    assert!(
        (fresh - advice.margin).abs() < ROUNDING,
        "promised {}, a fresh sweep gives {fresh}: {:?}",
        advice.margin,
        advice.changes
    );
}

/// A train, its line and its climb.
struct Asked {
    train: Train,
    line: Alignment,
    check: Check,
    swept: Sweep,
}

impl Asked {
    fn new(train: Train, line: Alignment, check: Check) -> Self {
        let swept = sweep(&train, &line, &check).expect("it fits");
        Self {
            train,
            line,
            check,
            swept,
        }
    }

    fn adviser(&self) -> Adviser<'_> {
        Adviser::new(&self.train, &self.line, &self.swept, ON).expect("it was swept")
    }

    fn margin(&self) -> f64 {
        margin_of(&self.swept)
    }

    /// The greatest margin over every order of vehicles given.
    fn best_of(&self, orders: impl Iterator<Item = Vec<Vehicle>>) -> f64 {
        orders
            .filter_map(|order| margin(&Train::new(order).ok()?, &self.line, &self.check))
            .fold(f64::NEG_INFINITY, f64::max)
    }
}
