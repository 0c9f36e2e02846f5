//! The loops of a Newton iteration, each over plain slices, so that the compiler can lay them out
//! in SIMD registers even for one train.
//!
//! A stop acts at one end of the slack at a time, the slack being wider than the rounded corner, so
//! one stop is reckoned, on the side to which the coupling is stretched.

use super::number::Number;

/// (24): places for the speeds sought.
#[inline(always)]
pub(super) fn places<N: Number>(start: &[N], u: &[N], q: N, place: &mut [N]) {
    let n = place.len();
    let (start, u) = (&start[..n], &u[..n]);
    for i in 0..n {
        place[i] = start[i] + q * u[i];
    }
}

/// The couplings' numbers.
pub(super) struct Couplings<'a, N> {
    pub(super) spacing: &'a [N],
    pub(super) half_slack: &'a [N],
    pub(super) drag: &'a [N],
    /// Stiffness and damping in draft.
    pub(super) draft: [&'a [N]; 2],
    /// Stiffness and damping in buff.
    pub(super) buff: [&'a [N]; 2],
    pub(super) rounding: N,
    pub(super) floor: N,
}

impl<N: Number> Couplings<'_, N> {
    /// Forces; their slopes by the rate at which the ends part, places included (`tie`), and that
    /// times q (`join`).
    #[inline(always)]
    pub(super) fn forces(
        &self,
        place: &[N],
        u: &[N],
        q: N,
        force: &mut [N],
        tie: &mut [N],
        join: &mut [N],
    ) {
        let links = force.len();
        let (place, u) = (&place[..=links], &u[..=links]);
        let (spacing, half_slack) = (&self.spacing[..links], &self.half_slack[..links]);
        let drag = &self.drag[..links];
        let [draft_k, draft_c] = self.draft.map(|own| &own[..links]);
        let [buff_k, buff_c] = self.buff.map(|own| &own[..links]);
        let (tie, join) = (&mut tie[..links], &mut join[..links]);
        let (d, floor) = (self.rounding, self.floor);
        let (whole, per) = (d + d, N::all(1.0) / (d + d));
        let (half, one) = (N::all(0.5), N::all(1.0));
        for k in 0..links {
            let pulled = place[k] - place[k + 1] - spacing[k];
            let parting = u[k] - u[k + 1];
            let side = pulled.if_below(N::NOTHING, -one, one);
            let stiffness = pulled.if_below(N::NOTHING, buff_k[k], draft_k[k]);
            let damping = pulled.if_below(N::NOTHING, buff_c[k], draft_c[k]);
            let rate = side * parting;
            // r, r' and r'' of the rounded corner.
            let raw = pulled.size() - half_slack[k] + d;
            let t = raw.greater(N::NOTHING).lesser(whole);
            let share = t * per;
            let depth = half * t * share + (raw - whole).greater(N::NOTHING);
            let corner = N::NOTHING.if_below(raw, per, N::NOTHING);
            let corner = raw.if_below(whole, corner, N::NOTHING);
            let damped = damping * rate;
            let stop = stiffness * depth + damped * share;
            let slope = q * (stiffness * share + damped * corner) + damping * share;
            let slope = floor.if_below(stop, slope, N::NOTHING) + drag[k];
            force[k] = side * stop.greater(floor) + drag[k] * parting;
            tie[k] = slope;
            join[k] = q * slope;
        }
    }
}

/// The vehicles' numbers within a stage.
pub(super) struct Vehicles<'a, N> {
    pub(super) mass: &'a [N],
    pub(super) viscous: &'a [N],
    pub(super) start_v: &'a [N],
    pub(super) along: &'a [N],
    pub(super) base: &'a [N],
    pub(super) slope: &'a [N],
    pub(super) low: &'a [N],
    pub(super) high: &'a [N],
}

impl<N: Number> Vehicles<'_, N> {
    /// Right side and diagonal of the Newton equations of (24).
    #[inline(always)]
    pub(super) fn equations(
        &self,
        u: &[N],
        q: N,
        force: &[N],
        join: &[N],
        right: &mut [N],
        diagonal: &mut [N],
    ) {
        let n = right.len();
        let (mass, viscous, along) = (&self.mass[..n], &self.viscous[..n], &self.along[..n]);
        let (base, slope, start_v) = (&self.base[..n], &self.slope[..n], &self.start_v[..n]);
        let (low, high, u) = (&self.low[..n], &self.high[..n], &u[..n]);
        let (force, join) = (&force[..=n], &join[..=n]);
        let diagonal = &mut diagonal[..n];
        for i in 0..n {
            let free = base[i] + slope[i] * u[i];
            let friction = free.lesser(high[i]).greater(low[i]);
            let inside = low[i].if_below(free, slope[i], N::NOTHING);
            let inside = free.if_below(high[i], inside, N::NOTHING);
            let sum = along[i] - friction - viscous[i] * u[i] + force[i] - force[i + 1];
            right[i] = mass[i] * (u[i] - start_v[i]) - q * sum;
            diagonal[i] = mass[i] + q * (viscous[i] + inside) + (join[i] + join[i + 1]);
        }
    }
}

/// Takes a part of the correction off the speeds; its greatest size.
#[inline(always)]
pub(super) fn take_off<N: Number>(right: &[N], part: N, u: &mut [N]) -> N {
    let n = u.len();
    let right = &right[..n];
    for i in 0..n {
        u[i] -= part * right[i];
    }
    // Four greatest at once, so that none waits for the one before.
    let mut most = [N::NOTHING; 4];
    let rows = right.chunks_exact(4);
    for (own, rest) in most.iter_mut().zip(rows.remainder()) {
        *own = rest.size();
    }
    for row in rows {
        for (own, next) in most.iter_mut().zip(row) {
            *own = own.greater(next.size());
        }
    }
    part * most[0].greater(most[1]).greater(most[2].greater(most[3]))
}

/// Carries the forces along with the last correction.
#[inline(always)]
pub(super) fn carry<N: Number>(tie: &[N], right: &[N], force: &mut [N]) {
    let links = force.len();
    let (tie, right) = (&tie[..links], &right[..=links]);
    for k in 0..links {
        force[k] -= tie[k] * (right[k] - right[k + 1]);
    }
}
