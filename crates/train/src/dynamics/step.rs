//! One step: the trapezium rule to an intermediate time, then a backward formula of second order.
//!
//! (22) `v_γ = v + q (a + a_γ),  q = γh/2, γ = 2 − √2`
//! (23) `v_1 = [v_γ − (1−γ)² v]/(γ(2−γ)) + q a_1`
//! and the same for places with speeds in place of accelerations, so that in both stages
//! (24) `x = X + q v, m (v − V) = q F(X + q v, v)`
//! is left, whose Jacobian is tridiagonal. The error of a step is estimated as
//! (25) `2 κ h [f/γ − f_γ/(γ(1−γ)) + f_1/(1−γ)], κ = (−3γ² + 4γ − 2)/(12(2−γ))`.
//!
//! Stiffly accurate, L-stable, second order; the scheme of [BANK-1985], its estimate as in
//! [HOSEA-1996]. Backward Euler was rejected: at 1 ms it loses up to a third of a draft peak.
//! Grade, curve drag and breakaway drag are taken where the vehicle will be halfway through the
//! step, which keeps the order.

use super::force::{Couplings, Vehicles, carry, places, take_off};
use super::number::Number;
use super::stepper::Stepper;
use super::tridiagonal;

const GAMMA: f64 = 2.0 - std::f64::consts::SQRT_2;
const KAPPA: f64 = (-3.0 * GAMMA * GAMMA + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA));

/// Iterations after which steps are halved, and after which the step is given up.
const DAMPED: usize = 12;
const MOST: usize = 25;

/// Part of the tolerance of a speed that a Newton correction may have and be the last: what is left
/// after it is of second order in it, or of its own size where it crosses a corner of friction.
const LAST: f64 = 3.0;

/// Tolerances of a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Within {
    /// m.
    pub(super) place: f64,
    /// m/s.
    pub(super) speed: f64,
}

impl<N: Number> Stepper<'_, N> {
    /// Tries a step of `h` seconds: the error over the tolerance, or nothing when Newton fails.
    pub(super) fn attempt(&mut self, h: f64, within: Within) -> Option<f64> {
        let q = 0.5 * GAMMA * h;
        let last = LAST * within.speed;
        self.look_ahead(0.5 * h);
        self.aim_middle(h, q);
        self.stage(q, self.time + GAMMA * h, last)?;
        self.keep_middle(q);
        self.aim_end(h, q);
        self.stage(q, self.time + h, last)?;
        self.carry();
        Some(self.keep_end(h, q, within))
    }

    /// Takes the step that was tried last.
    pub(super) fn take(&mut self, h: f64) {
        self.time += h;
        let rate = N::all(1.0 / ((1.0 - GAMMA) * h));
        let [middle, next] = [&self.middle[2], &self.next[2]];
        for ((jerk, a), b) in self.jerk.iter_mut().zip(middle).zip(next) {
            *jerk = (*b - *a) * rate;
        }
        if self.fixed.creep.is_none() {
            let bounds = self.low.iter().zip(&self.high);
            let moved = self.next[0].iter().zip(&self.x).zip(&self.fixed.grip);
            for ((held, (low, high)), ((to, from), grip)) in
                self.held.iter_mut().zip(bounds).zip(moved)
            {
                *held = (*held + *grip * (*to - *from)).lesser(*high).greater(*low);
            }
        }
        std::mem::swap(&mut self.x, &mut self.next[0]);
        std::mem::swap(&mut self.v, &mut self.next[1]);
        std::mem::swap(&mut self.a, &mut self.next[2]);
        std::mem::swap(&mut self.force, &mut self.next_force);
    }

    /// Grade and the bounds of friction as they will be `ahead` seconds on.
    pub(super) fn look_ahead(&mut self, ahead: f64) {
        let t = N::all(ahead);
        let (one, half) = (N::all(1.0), N::all(0.5));
        for i in 0..self.x.len() {
            let at = self.x[i] + t * (self.v[i] + half * t * self.a[i]);
            let outside = at
                .if_below(self.foot_from[i], one, N::NOTHING)
                .greater(self.foot_to[i].if_below(at, one, N::NOTHING));
            if outside.most() > 0.5 {
                self.find_footing(i, at);
            }
            let speed = (self.v[i] + t * self.a[i]) / self.fixed.breakaway_speed;
            let weight = self.fixed.weight[i];
            let bend = self.bend[i] + self.bend_rate[i] * at;
            let part = self.fixed.rolling[i]
                + self.fixed.extra[i] / (one + speed * speed)
                + self.fixed.curve[i] * bend;
            self.along[i] = -(weight * (self.grade[i] + self.grade_rate[i] * at));
            let [backward, forward] = self.locked[i];
            self.low[i] = -(weight * part + backward);
            self.high[i] = weight * part + forward;
        }
        for own in &self.driving {
            // Gears that cannot be turned back hold what the motor does not pull already.
            let i = own.vehicle;
            let asked = own.speed + own.rate * N::all(self.time + ahead - own.since);
            let free = own.slope * (asked - self.v[i] - t * self.a[i]);
            let pull = free.lesser(own.pull).greater(N::NOTHING);
            self.low[i] = (self.low[i] + pull).lesser(self.low[i] + self.locked[i][0]);
        }
        if let Some(speed) = self.fixed.creep {
            let per = N::all(1.0 / speed);
            for (damping, high) in self.fixed.grip_damping.iter_mut().zip(&self.high) {
                *damping = *high * per;
            }
        }
    }

    fn find_footing(&mut self, i: usize, at: N) {
        for lane in 0..N::LANES {
            let problem = self.problems[lane];
            self.footing[i][lane] = problem.road.footing(at.lane(lane), problem.bodies[i].reach);
        }
        let own = &self.footing[i];
        self.foot_from[i] = N::of(|lane| own[lane].from);
        self.foot_to[i] = N::of(|lane| own[lane].to);
        self.grade[i] = N::of(|lane| own[lane].grade);
        self.grade_rate[i] = N::of(|lane| own[lane].grade_rate);
        self.bend[i] = N::of(|lane| own[lane].curve);
        self.bend_rate[i] = N::of(|lane| own[lane].curve_rate);
    }

    /// (22) as (24), with a first guess.
    fn aim_middle(&mut self, h: f64, q: f64) {
        let n = self.x.len();
        let (qn, g) = (N::all(q), N::all(GAMMA * h));
        let half = N::all(0.5 * GAMMA * h);
        let (x, v, a, jerk) = (&self.x[..n], &self.v[..n], &self.a[..n], &self.jerk[..n]);
        let (start_x, start_v) = (&mut self.start_x[..n], &mut self.start_v[..n]);
        let u = &mut self.u[..n];
        for i in 0..n {
            start_x[i] = x[i] + qn * v[i];
            start_v[i] = v[i] + qn * a[i];
            u[i] = v[i] + g * (a[i] + half * jerk[i]);
        }
        self.grip(qn);
    }

    fn keep_middle(&mut self, q: f64) {
        let n = self.x.len();
        let (qn, per) = (N::all(q), N::all(1.0 / q));
        let [x, v, a] = &mut self.middle;
        for i in 0..n {
            x[i] = self.start_x[i] + qn * self.u[i];
            v[i] = self.u[i];
            a[i] = (self.u[i] - self.start_v[i]) * per;
        }
    }

    /// (23) as (24), with a first guess.
    fn aim_end(&mut self, h: f64, q: f64) {
        let n = self.x.len();
        let scale = 1.0 / (GAMMA * (2.0 - GAMMA));
        let (c1, c0) = (
            N::all(scale),
            N::all(-scale * (1.0 - GAMMA) * (1.0 - GAMMA)),
        );
        let rest = N::all((1.0 - GAMMA) * h);
        let ratio = N::all(0.5 * (1.0 - GAMMA) / GAMMA);
        let [xm, vm, am] = &self.middle;
        let (x, v, a) = (&self.x[..n], &self.v[..n], &self.a[..n]);
        let (xm, vm, am) = (&xm[..n], &vm[..n], &am[..n]);
        let (start_x, start_v) = (&mut self.start_x[..n], &mut self.start_v[..n]);
        let u = &mut self.u[..n];
        for i in 0..n {
            start_x[i] = c1 * xm[i] + c0 * x[i];
            start_v[i] = c1 * vm[i] + c0 * v[i];
            u[i] = vm[i] + rest * (am[i] + ratio * (am[i] - a[i]));
        }
        self.grip(N::all(q));
    }

    /// Friction as a straight function of the speed sought, before its bounds.
    fn grip(&mut self, q: N) {
        let n = self.x.len();
        let (grip, damping) = (&self.fixed.grip[..n], &self.fixed.grip_damping[..n]);
        let (held, start_x, x) = (&self.held[..n], &self.start_x[..n], &self.x[..n]);
        let (base, slope) = (&mut self.base[..n], &mut self.slope[..n]);
        for i in 0..n {
            base[i] = held[i] + grip[i] * (start_x[i] - x[i]);
            slope[i] = grip[i] * q + damping[i];
        }
    }

    /// Newton on (24); nothing when it does not end.
    fn stage(&mut self, q: f64, time: f64, last: f64) -> Option<()> {
        let qn = N::all(q);
        for iteration in 1..=MOST {
            self.iterations += 1;
            self.couple(qn);
            self.balance(qn);
            self.drive(qn, time);
            tridiagonal::solve(&mut self.diagonal, &mut self.join[..], &mut self.right);
            let part = if iteration > DAMPED { 0.5 } else { 1.0 };
            let moved = self.correct(N::all(part));
            if moved <= last {
                return Some(());
            }
            if !moved.is_finite() {
                return None;
            }
        }
        None
    }

    /// Forces and slopes of all couplings.
    #[inline(always)]
    fn couple(&mut self, q: N) {
        let n = self.x.len();
        let links = n - 1;
        places(&self.start_x[..n], &self.u[..n], q, &mut self.place[..n]);
        let couplings = Couplings {
            spacing: &self.fixed.spacing[..links],
            half_slack: &self.fixed.half_slack[..links],
            drag: &self.fixed.drag[..links],
            draft: [&self.stiff[0][..links], &self.damp[0][..links]],
            buff: [&self.stiff[1][..links], &self.damp[1][..links]],
            rounding: self.fixed.rounding,
            floor: self.fixed.floor,
        };
        couplings.forces(
            &self.place[..n],
            &self.u[..n],
            q,
            &mut self.next_force[1..n],
            &mut self.tie[1..n],
            &mut self.join[1..n],
        );
    }

    /// Right side and diagonal of the Newton equations, locomotives' pull left out.
    #[inline(always)]
    fn balance(&mut self, q: N) {
        let n = self.x.len();
        let vehicles = Vehicles {
            mass: &self.fixed.mass[..n],
            viscous: &self.fixed.per_speed[..n],
            start_v: &self.start_v[..n],
            along: &self.along[..n],
            base: &self.base[..n],
            slope: &self.slope[..n],
            low: &self.low[..n],
            high: &self.high[..n],
        };
        vehicles.equations(
            &self.u[..n],
            q,
            &self.next_force[..=n],
            &self.join[..=n],
            &mut self.right[..n],
            &mut self.diagonal[..n],
        );
    }

    /// Adds the locomotives.
    fn drive(&mut self, q: N, time: f64) {
        for own in &self.driving {
            let i = own.vehicle;
            let (pull, slope) = own.pull_at(time, self.u[i]);
            self.right[i] -= q * pull;
            self.diagonal[i] += q * slope;
        }
    }

    /// Takes the correction off the speeds; its greatest size.
    #[inline(always)]
    fn correct(&mut self, part: N) -> f64 {
        let n = self.x.len();
        take_off(&self.right[..n], part, &mut self.u[..n]).most()
    }

    /// The forces after the last correction, taken whole.
    fn carry(&mut self) {
        let n = self.x.len();
        carry(
            &self.tie[1..n],
            &self.right[..n],
            &mut self.next_force[1..n],
        );
    }

    /// Keeps the end of the step and estimates its error (25).
    fn keep_end(&mut self, h: f64, q: f64, within: Within) -> f64 {
        let n = self.x.len();
        let (qn, per) = (N::all(q), N::all(1.0 / q));
        let weight = |part: f64| 2.0 * KAPPA * h * part;
        let e0 = N::all(weight(1.0 / GAMMA));
        let em = N::all(weight(-1.0 / (GAMMA * (1.0 - GAMMA))));
        let e1 = N::all(weight(1.0 / (1.0 - GAMMA)));
        let [_, vm, am] = &self.middle;
        let (vm, am) = (&vm[..n], &am[..n]);
        let [x, v, a] = &mut self.next;
        let (x, v, a) = (&mut x[..n], &mut v[..n], &mut a[..n]);
        let (old_v, old_a) = (&self.v[..n], &self.a[..n]);
        let (u, start_x, start_v) = (&self.u[..n], &self.start_x[..n], &self.start_v[..n]);
        let (mut worst_x, mut worst_v) = (N::NOTHING, N::NOTHING);
        for i in 0..n {
            x[i] = start_x[i] + qn * u[i];
            v[i] = u[i];
            a[i] = (u[i] - start_v[i]) * per;
            worst_x = worst_x.greater((e0 * old_v[i] + em * vm[i] + e1 * v[i]).size());
            worst_v = worst_v.greater((e0 * old_a[i] + em * am[i] + e1 * a[i]).size());
        }
        // A NaN hides from a comparison, so it is looked for.
        let whole = v
            .iter()
            .fold(N::NOTHING, |sum, own| sum + *own * N::NOTHING)
            .most();
        (worst_x.most() / within.place).max(worst_v.most() / within.speed) + whole
    }

    /// Accelerations and forces as things stand.
    pub(super) fn accelerate(&mut self) {
        let n = self.x.len();
        self.start_x.copy_from_slice(&self.x);
        self.u.copy_from_slice(&self.v);
        self.start_v.fill(N::NOTHING);
        self.grip(N::NOTHING);
        self.couple(N::NOTHING);
        let one = N::all(1.0);
        self.balance(one);
        self.drive(one, self.time);
        for i in 0..n {
            let mass = self.fixed.mass[i];
            self.a[i] = (mass * self.v[i] - self.right[i]) / mass;
        }
        self.force.copy_from_slice(&self.next_force);
    }
}

impl<N: Number> super::stepper::Driving<N> {
    /// (21), and its loss per gain of speed where it is free.
    pub(super) fn pull_at(&self, time: f64, speed: N) -> (N, N) {
        let asked = self.speed + self.rate * N::all(time - self.since);
        let free = self.slope * (asked - speed);
        let pull = free.lesser(self.pull).greater(-self.hold);
        let slope = free.if_below(self.pull, self.slope, N::NOTHING);
        (pull, (-self.hold).if_below(free, slope, N::NOTHING))
    }
}

impl Stepper<'_, f64> {
    /// Places, speeds and forces within the step just taken, by cubic interpolation between its
    /// ends: into `start_x`, `u` and `next_force`.
    pub(super) fn between(&mut self, h: f64, share: f64) {
        let [x0, v0, a0] = &self.next;
        let t = share;
        let (t2, t3) = (t * t, t * t * t);
        let blend = |from: f64, slope_from: f64, to: f64, slope_to: f64| {
            (2.0 * t3 - 3.0 * t2 + 1.0) * from
                + (t3 - 2.0 * t2 + t) * h * slope_from
                + (3.0 * t2 - 2.0 * t3) * to
                + (t3 - t2) * h * slope_to
        };
        for i in 0..self.x.len() {
            self.start_x[i] = blend(x0[i], v0[i], self.x[i], self.v[i]);
            self.u[i] = blend(v0[i], a0[i], self.v[i], self.a[i]);
        }
        self.couple(0.0);
    }
}
