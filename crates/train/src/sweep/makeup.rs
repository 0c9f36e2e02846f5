//! Make-up: which cars are prone to stringlining, and whether heavier cars trail them.
//!
//! A quasi-static use leaves out run-ins and jerks. With [`JERK_ALLOWANCE`] on the force, a car is
//! prone when its stringline use times the allowance reaches 1.
//! The trade's rule is to keep light and long cars behind loads; here the car is named, and with it
//! whether the cars behind it are on average heavier per coupled length.

use super::envelope::{Envelope, Peak};
use crate::margins::Mode;
use crate::vehicle::{Kind, Numbers, Train};

/// How much more than the quasi-static force a jerk may bring.
/// ASSUMED: 1.5 to 2 is common practice, no source; the upper end is used. With 1.5 a car must use
/// 0.67 instead of 0.5 of its capacity to be named.
pub const JERK_ALLOWANCE: f64 = 2.0;

/// A car that is prone to stringlining.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProneCar {
    /// Its place in the train, from 0.
    pub vehicle: usize,
    /// Its worst stringline use, without allowance.
    pub peak: Peak,
    /// Its weight per coupled length, N/m.
    pub weight_per_length: f64,
    /// Mean weight per coupled length of the cars behind it, N/m; zero when there is none.
    pub weight_per_length_behind: f64,
}

impl ProneCar {
    /// Whether the cars behind it are heavier for their length: a light or long car ahead of loads.
    #[must_use]
    pub fn is_ahead_of_loads(&self) -> bool {
        self.weight_per_length_behind > self.weight_per_length
    }
}

/// The cars of a swept train that are prone to stringlining, worst first.
#[must_use]
pub fn prone_to_stringlining(train: &Train, envelope: &Envelope) -> Vec<ProneCar> {
    prone_under(train, envelope, JERK_ALLOWANCE)
}

/// The same with the club's own allowance for jerks, a factor on the quasi-static force.
#[must_use]
pub fn prone_under(train: &Train, envelope: &Envelope, jerk_allowance: f64) -> Vec<ProneCar> {
    let numbers = train.numbers();
    let is_car = |index: usize| train.vehicles()[index].kind() == Kind::Car;
    let mut prone: Vec<ProneCar> = (0..numbers.len())
        .filter(|index| is_car(*index))
        .filter_map(|vehicle| {
            let peak = *envelope.peak(vehicle, Mode::Stringline)?;
            (peak.used.ratio() * jerk_allowance >= 1.0).then(|| {
                let behind = (vehicle + 1..numbers.len()).filter(|index| is_car(*index));
                let (weight, length) = behind.fold((0.0, 0.0), |(weight, length), index| {
                    (
                        weight + numbers[index].weight,
                        length + coupled_length(&numbers[index]),
                    )
                });
                ProneCar {
                    vehicle,
                    peak,
                    weight_per_length: numbers[vehicle].weight / coupled_length(&numbers[vehicle]),
                    weight_per_length_behind: if length > 0.0 { weight / length } else { 0.0 },
                }
            })
        })
        .collect();
    prone.sort_by(|a, b| b.peak.used.ratio().total_cmp(&a.peak.used.ratio()));
    prone
}

/// Pulling face to pulling face, m.
fn coupled_length(car: &Numbers) -> f64 {
    car.pivot_front + car.shank_front + car.pivot_rear + car.shank_rear
}
