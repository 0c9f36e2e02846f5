//! The odds of a trip: against closed forms, against SciPy, and what chance must not change.

#[path = "../stock/mod.rs"]
mod stock;

mod laws;
mod pairs;
mod scipy;

use std::ops::ControlFlow;

use gradeworthy_train::odds::{
    Draws, Entries, Law, Odds, OddsError, Problem, Sharing, Spread, Unknown, odds,
};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::Check;
use gradeworthy_train::track::{Alignment, PlanSegment};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Train, Vehicle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use stock::{MIDDLE, car, line, power, with};

/// Draws by a generator set anew for each trip, unknown and vehicle.
pub(crate) struct Keyed(pub(crate) u64);

impl Draws for Keyed {
    fn uniform(&self, trip: u64, unknown: u64, vehicle: Option<&str>) -> f64 {
        let mut seed = [0_u8; 32];
        seed[..8].copy_from_slice(&self.0.to_le_bytes());
        seed[8..16].copy_from_slice(&trip.to_le_bytes());
        seed[16..24].copy_from_slice(&unknown.to_le_bytes());
        // FNV-1a over the label; 0 for what is shared.
        let label = vehicle.map_or(0, |label| {
            label.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
                (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
            })
        });
        seed[24..].copy_from_slice(&label.to_le_bytes());
        ChaCha8Rng::from_seed(seed).random_range(f64::EPSILON..1.0)
    }
}

pub(crate) const CARS: usize = 30;
const WEIGHT: f64 = 1.112;
const DRAG: f64 = 0.02;
const GRADE: f64 = 0.02;

/// A car of the tests, named.
pub(crate) fn named(number: usize) -> Vehicle {
    let like = with(car(MIDDLE, WEIGHT), &[(Q::RollingDrag, DRAG)]);
    let mut own = Vehicle::of_class(format!("demo {number}"), Class::HoCar);
    for quantity in Q::ALL {
        if !quantity.is_of_locomotives() {
            own = with(own, &[(quantity, like.value(quantity))]);
        }
    }
    own
}

pub(crate) fn straight() -> Alignment {
    line(vec![PlanSegment::straight(8.0)], GRADE)
}

/// Thirty cars behind one locomotive whose pull is `sigmas` standard deviations above what they need.
pub(crate) fn hauled(sigmas: f64, sd: f64) -> Train {
    let mut vehicles = vec![power(0.2, 20.0, need() + sigmas * sd)];
    vehicles.extend((0..CARS).map(named));
    Train::new(vehicles).expect("a train")
}

/// The pull that the train needs at its cards' numbers: rolling drag and grade of the cars, grade of
/// the locomotive. Grade is rise over plan length, so weights act by the sine and cosine of its angle.
fn need() -> f64 {
    let slope = GRADE.hypot(1.0);
    let cars = CARS as f64 * WEIGHT * (DRAG + GRADE) / slope;
    cars + 10.0 * GRADE / slope
}

pub(crate) fn drag(sharing: Sharing, part: f64) -> Unknown {
    Unknown {
        quantity: Q::RollingDrag,
        entries: Entries::Measured,
        sharing,
        spread: Spread::new(Law::Relative(part)).expect("a spread"),
    }
}

pub(crate) fn check() -> Check {
    Check::new(Condition::Running, 0.5)
}

pub(crate) fn on(_: usize, _: usize) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

pub(crate) fn run(train: &Train, unknowns: &[Unknown], trips: usize, seed: u64) -> Odds {
    let line = straight();
    let problem = Problem {
        train,
        line: &line,
        check: check(),
        unknowns,
        trips,
    };
    odds(&problem, &Keyed(seed), &on).expect("odds")
}

/// P(need > pull) of a normal need is Φ(−sigmas): the trips must agree within an interval that misses
/// once in a thousand.
///
/// Source: the sum of independent normal numbers is normal, its variance the sum of theirs.
#[test]
fn errors_of_single_cars_shrink_in_a_long_train_and_shared_ones_do_not() {
    let one = WEIGHT * DRAG * 0.15 / GRADE.hypot(1.0);
    let cars = CARS as f64;
    // Φ(−1), Φ(−0.5) by SciPy 1.17.1, `norm.cdf`.
    for (sharing, sd) in [
        (Sharing::PerVehicle, one * cars.sqrt()),
        (Sharing::Shared, one * cars),
    ] {
        for (sigmas, expected) in [
            (1.0, 0.158_655_253_931_457_05),
            (0.5, 0.308_537_538_725_986_9),
        ] {
            let found = run(&hauled(sigmas, sd), &[drag(sharing, 0.15)], 4_000, 11);
            let interval = found.probability(0.999);
            assert!(
                interval.low < expected && expected < interval.high,
                "{sharing:?} at {sigmas}: {interval:?} for {expected}"
            );
        }
    }
}

#[test]
fn what_would_move_the_cars_is_refused_and_so_are_no_trips() {
    let (train, line) = (hauled(1.0, 0.1), straight());
    let slack = Unknown {
        quantity: Q::CouplerSlack,
        ..drag(Sharing::Shared, 0.1)
    };
    let problem = |unknowns, trips| Problem {
        train: &train,
        line: &line,
        check: check(),
        unknowns,
        trips,
    };
    let slack = [slack];
    let refusal = odds(&problem(&slack, 9), &Keyed(1), &on).expect_err("refused");
    assert_eq!(refusal, OddsError::Shapes(Q::CouplerSlack));
    let refusal = odds(&problem(&[], 0), &Keyed(1), &on).expect_err("refused");
    assert_eq!(refusal, OddsError::NoTrips);
    struct One;
    impl Draws for One {
        fn uniform(&self, _: u64, _: u64, _: Option<&str>) -> f64 {
            1.0
        }
    }
    let unknowns = [drag(Sharing::Shared, 0.1)];
    let refusal = odds(&problem(&unknowns, 9), &One, &on).expect_err("refused");
    assert!(matches!(refusal, OddsError::NotADraw { .. }), "{refusal}");
}
