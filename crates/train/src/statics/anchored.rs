//! A train held at its head: forces and truck loads for given pulls and speed.

use super::coupling::{Step, rail_along, with_lateral_drag};
use super::drag::CurveDragLaw;
use super::drive::Condition;
use super::lateral::{TruckLoad, loads};
use crate::placement::Stance;
use crate::vehicle::Numbers;

/// A train held at its head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchored<'a> {
    /// The vehicles, head first.
    pub train: &'a [Numbers],
    /// Where each stands; as many as vehicles.
    pub stances: &'a [Stance],
    /// Pull of each vehicle, N; nothing where the list is short.
    pub pulls: &'a [f64],
    /// What the train is doing.
    pub condition: Condition,
    /// The law of curve drag.
    pub law: CurveDragLaw,
    /// Speed, m/s.
    pub speed: f64,
    /// Draft at the rear of the last vehicle, N.
    pub rear_force: f64,
}

/// What is found in an anchored train.
#[derive(Clone, Debug, PartialEq)]
pub struct AnchoredForces {
    /// Force at the front of each vehicle and, last, at the rear of the train, N.
    pub forces: Vec<f64>,
    /// What the front and the rear truck of each vehicle carry.
    pub truck_loads: Vec<[TruckLoad; 2]>,
}

impl Anchored<'_> {
    /// Marches from the rear; the head is held by whatever force comes first in the answer.
    #[must_use]
    pub fn solve(&self) -> AnchoredForces {
        let count = self.train.len().min(self.stances.len());
        let step = Step {
            condition: self.condition,
            law: self.law,
            speed: self.speed,
            acceleration: 0.0,
        };
        let mut forces = vec![self.rear_force; count + 1];
        let mut truck_loads = vec![[TruckLoad::default(); 2]; count];
        for index in (0..count).rev() {
            let (car, stance) = (&self.train[index], &self.stances[index]);
            let pull = self.pulls.get(index).copied().unwrap_or(0.0);
            let rear = forces[index + 1];
            let (front, extra) = with_lateral_drag(car, stance, &step, rear, pull);
            let along = rail_along(car, stance, &step, pull, extra);
            forces[index] = front;
            truck_loads[index] = loads(car, stance, &step, [front, rear], self.steps(index), along);
        }
        AnchoredForces {
            forces,
            truck_loads,
        }
    }

    /// How much higher each neighbour's coupler stands, m.
    fn steps(&self, index: usize) -> [f64; 2] {
        let (own, stance) = (&self.train[index], &self.stances[index]);
        let ahead = index.checked_sub(1).map(|before| &self.train[before]);
        let front = ahead.map_or(0.0, |car| {
            car.coupler_height_rear - own.coupler_height_front
        });
        let behind = self.train.get(index + 1);
        let rear = behind.map_or(0.0, |car| {
            car.coupler_height_front - own.coupler_height_rear
        });
        [stance.step[0] + front, stance.step[1] + rear]
    }
}
