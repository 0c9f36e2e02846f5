//! The arrays of a step, and what stands in them between steps.

use super::number::Number;
use super::problem::{HoldLaw, Problem, StopLaw};
use super::road::Footing;
use super::state::State;

/// One locomotive in the stretch of time in which its settings run straight.
#[derive(Clone, Copy)]
pub(super) struct Driving<N> {
    pub(super) vehicle: usize,
    pub(super) slope: N,
    pub(super) since: f64,
    pub(super) speed: N,
    pub(super) rate: N,
    pub(super) pull: N,
    pub(super) hold: N,
}

/// Numbers that never change.
pub(super) struct Fixed<N> {
    pub(super) mass: Vec<N>,
    pub(super) weight: Vec<N>,
    pub(super) rolling: Vec<N>,
    /// Breakaway less rolling drag.
    pub(super) extra: Vec<N>,
    pub(super) per_speed: Vec<N>,
    pub(super) curve: Vec<N>,
    /// Stiffness and damping of friction that holds; 1/ε as damping per newton where it creeps.
    pub(super) grip: Vec<N>,
    pub(super) grip_damping: Vec<N>,
    pub(super) spacing: Vec<N>,
    pub(super) half_slack: Vec<N>,
    pub(super) drag: Vec<N>,
    pub(super) creep: Option<f64>,
    /// Least a stop's force may be, N.
    pub(super) floor: N,
    pub(super) rounding: N,
    pub(super) breakaway_speed: N,
}

/// A train, or as many as there are lanes, between two steps.
pub(super) struct Stepper<'p, N> {
    pub(super) problems: Vec<&'p Problem>,
    pub(super) fixed: Fixed<N>,
    pub(super) driving: Vec<Driving<N>>,
    // State.
    pub(super) time: f64,
    pub(super) x: Vec<N>,
    pub(super) v: Vec<N>,
    pub(super) a: Vec<N>,
    pub(super) held: Vec<N>,
    /// Rate of the acceleration at the end of the last step, for the first guess of the next.
    pub(super) jerk: Vec<N>,
    /// Force at the front of each vehicle and, last, at the rear of the train.
    pub(super) force: Vec<N>,
    // Stops: zero stiffness in draft where a coupling has parted.
    pub(super) stiff: [Vec<N>; 2],
    pub(super) damp: [Vec<N>; 2],
    // Track and friction over the step.
    pub(super) footing: Vec<[Footing; 4]>,
    pub(super) foot_from: Vec<N>,
    pub(super) foot_to: Vec<N>,
    pub(super) grade: Vec<N>,
    pub(super) grade_rate: Vec<N>,
    pub(super) bend: Vec<N>,
    pub(super) bend_rate: Vec<N>,
    pub(super) along: Vec<N>,
    pub(super) low: Vec<N>,
    pub(super) high: Vec<N>,
    pub(super) locked: Vec<[N; 2]>,
    // Work.
    pub(super) start_x: Vec<N>,
    pub(super) start_v: Vec<N>,
    pub(super) base: Vec<N>,
    pub(super) slope: Vec<N>,
    pub(super) u: Vec<N>,
    pub(super) place: Vec<N>,
    pub(super) diagonal: Vec<N>,
    pub(super) join: Vec<N>,
    pub(super) tie: Vec<N>,
    pub(super) right: Vec<N>,
    pub(super) middle: [Vec<N>; 3],
    pub(super) next: [Vec<N>; 3],
    pub(super) next_force: Vec<N>,
    pub(super) iterations: usize,
}

impl<'p, N: Number> Stepper<'p, N> {
    /// Ready at the given states, one for each lane.
    pub(super) fn new(problems: Vec<&'p Problem>, states: &[&State]) -> Self {
        let n = problems[0].bodies.len();
        let fixed = Fixed::of(&problems);
        let none = || vec![N::NOTHING; n];
        let over = || vec![N::NOTHING; n + 1];
        let link = |of: &dyn Fn(&super::problem::Link) -> f64| -> Vec<N> {
            (0..n - 1)
                .map(|k| N::of(|lane| of(&problems[lane].links[k])))
                .collect()
        };
        let stiff = link(&|own| own.stiffness);
        let damp = link(&|own| own.damping);
        let state = |of: &dyn Fn(&State, usize) -> f64| -> Vec<N> {
            (0..n).map(|i| N::of(|lane| of(states[lane], i))).collect()
        };
        let unknown = Footing {
            from: f64::INFINITY,
            to: f64::NEG_INFINITY,
            grade: 0.0,
            grade_rate: 0.0,
            curve: 0.0,
            curve_rate: 0.0,
        };
        let mut own = Self {
            fixed,
            driving: Vec::new(),
            time: states[0].time,
            x: state(&|own, i| own.place[i]),
            v: state(&|own, i| own.speed[i]),
            held: state(&|own, i| own.held.get(i).copied().unwrap_or(0.0)),
            a: none(),
            jerk: none(),
            force: over(),
            stiff: [stiff.clone(), stiff],
            damp: [damp.clone(), damp],
            footing: vec![[unknown; 4]; n],
            foot_from: vec![N::all(f64::INFINITY); n],
            foot_to: vec![N::all(f64::NEG_INFINITY); n],
            grade: none(),
            grade_rate: none(),
            bend: none(),
            bend_rate: none(),
            along: none(),
            low: none(),
            high: none(),
            locked: vec![[N::NOTHING; 2]; n],
            start_x: none(),
            start_v: none(),
            base: none(),
            slope: none(),
            u: none(),
            place: none(),
            diagonal: none(),
            join: over(),
            tie: over(),
            right: none(),
            middle: [none(), none(), none()],
            next: [none(), none(), none()],
            next_force: over(),
            iterations: 0,
            problems,
        };
        for (lane, state) in states.iter().enumerate().take(N::LANES) {
            for (k, _) in state.parted.iter().enumerate().filter(|(_, own)| **own) {
                own.part(k, lane);
            }
        }
        own.set(own.time);
        own
    }

    /// Takes draft out of the coupling behind vehicle `k`.
    pub(super) fn part(&mut self, k: usize, lane: usize) {
        for row in [&mut self.stiff[0], &mut self.damp[0]] {
            let old = row[k];
            row[k] = N::of(|own| if own == lane { 0.0 } else { old.lane(own) });
        }
    }

    /// Takes over what is set just after `time`, and reckons accelerations anew.
    pub(super) fn set(&mut self, time: f64) {
        self.driving.clear();
        for own in &mut self.locked {
            *own = [N::NOTHING; 2];
        }
        for index in 0..self.problems[0].drives.len() {
            let held = |lane: usize| self.problems[lane].drives[index].from(time);
            let vehicle = self.problems[0].drives[index].vehicle;
            self.driving.push(Driving {
                vehicle,
                slope: N::of(|lane| self.problems[lane].drives[index].slope),
                since: held(0).setting.at,
                speed: N::of(|lane| held(lane).setting.speed),
                rate: N::of(|lane| held(lane).rate),
                pull: N::of(|lane| held(lane).setting.pull),
                hold: N::of(|lane| held(lane).setting.hold),
            });
            self.locked[vehicle] = [
                N::of(|lane| held(lane).setting.drag_backward),
                N::of(|lane| held(lane).setting.drag_forward),
            ];
        }
        self.begin_again();
    }

    /// Reckons accelerations anew after something has changed at once.
    pub(super) fn begin_again(&mut self) {
        self.look_ahead(0.0);
        self.accelerate();
        self.jerk.fill(N::NOTHING);
    }

    /// Couplings, settings and friction apart: the state of one lane.
    pub(super) fn state(&self, lane: usize) -> State {
        let read = |row: &[N]| row.iter().map(|own| own.lane(lane)).collect();
        State {
            time: self.time,
            place: read(&self.x),
            speed: read(&self.v),
            held: read(&self.held),
            parted: Vec::new(),
        }
    }
}

impl<N: Number> Fixed<N> {
    fn of(problems: &[&Problem]) -> Self {
        let n = problems[0].bodies.len();
        let laws = problems[0].laws;
        let body = |of: &dyn Fn(&super::problem::Body) -> f64| -> Vec<N> {
            (0..n)
                .map(|i| N::of(|lane| of(&problems[lane].bodies[i])))
                .collect()
        };
        let link = |of: &dyn Fn(&super::problem::Link) -> f64| -> Vec<N> {
            (0..n - 1)
                .map(|k| N::of(|lane| of(&problems[lane].links[k])))
                .collect()
        };
        let grip = |own: &super::problem::Body| match laws.hold {
            HoldLaw::Elastic { give } => own.weight / give,
            HoldLaw::Creep { .. } => 0.0,
        };
        Self {
            mass: body(&|own| own.mass),
            weight: body(&|own| own.weight),
            rolling: body(&|own| own.rolling),
            extra: body(&|own| own.breakaway - own.rolling),
            per_speed: body(&|own| own.weight * own.per_speed),
            curve: body(&|own| own.curve),
            grip: body(&|own| grip(own)),
            // Half of critical damping.
            grip_damping: body(&|own| (grip(own) * own.mass).sqrt()),
            spacing: link(&|own| own.spacing),
            half_slack: link(&|own| 0.5 * own.slack),
            drag: link(&|own| own.drag),
            creep: match laws.hold {
                HoldLaw::Elastic { .. } => None,
                HoldLaw::Creep { speed } => Some(speed),
            },
            floor: N::all(match laws.stop {
                StopLaw::OneSided => 0.0,
                StopLaw::Linear => f64::NEG_INFINITY,
            }),
            rounding: N::all(laws.rounding),
            breakaway_speed: N::all(laws.breakaway_speed),
        }
    }
}
