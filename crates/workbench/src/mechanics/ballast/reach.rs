//! Which masses of ballast can meet the limits at all, were they divisible.
//!
//! A divisible mass m that fills the pockets in rising order of a coordinate makes the least moment
//! L(m) that it can, in falling order the greatest H(m). L is convex in m and H concave, and the
//! limits (N2) are linear in it, so each asks that a convex function be zero or less:
//!
//! - `base + L(m) − limit·(M + m) ≤ 0` (R1)
//! - `−base − H(m) − limit·(M + m) ≤ 0`, along and across (R2)
//!
//! and all of them together with the room of the pockets leave one range of m, or none.
//! No plan lies outside it, whatever the kinds of weight.

use super::model::{Kind, Model};
use super::search::Relaxed;

/// Least and most.
pub(super) type Range = [i128; 2];

/// The masses of ballast that can meet every limit that is not relaxed; `None` when none can.
pub(super) fn masses(model: &Model, relaxed: Relaxed) -> Option<Range> {
    let room: i128 = if relaxed == Relaxed::Capacity {
        // All that there is goes anywhere.
        let each = |kind: &Kind| kind.mass * i128::from(kind.held);
        model.kinds.iter().map(each).sum()
    } else {
        model.pockets.iter().map(|pocket| pocket.capacity).sum()
    };
    let mut range = [0, room];
    for axis in [0, 1, 2] {
        if relaxed == Relaxed::Moment(axis) {
            continue;
        }
        let sides: &[i128] = if axis == 2 { &[1] } else { &[1, -1] };
        for side in sides {
            let mut limit = Limit::new(model, axis, *side);
            if relaxed == Relaxed::Capacity {
                limit.pieces.truncate(1);
                limit.pieces.iter_mut().for_each(|piece| piece[1] = room);
            }
            range = limit.within(range)?;
        }
    }
    Some(range)
}

/// The convex side of (R1) or (R2).
struct Limit {
    /// Its value without ballast.
    start: i128,
    /// Slope, and the mass over which it holds; slopes rising.
    pieces: Vec<[i128; 2]>,
}

impl Limit {
    fn new(model: &Model, axis: usize, side: i128) -> Self {
        let limit_nm = model.limit_nm[axis];
        let mut pieces: Vec<_> = model
            .pockets
            .iter()
            .map(|pocket| [side * pocket.at[axis] - limit_nm, pocket.capacity])
            .collect();
        pieces.sort_unstable();
        Self {
            start: side * model.base[axis] - limit_nm * model.base_mass,
            pieces,
        }
    }

    /// The part of the range where this is zero or less.
    fn within(&self, [least, most]: Range) -> Option<Range> {
        let (mut from, mut value) = (0, self.start);
        let mut first = (value <= 0).then_some(0);
        let mut last = 0;
        for [slope, mass] in &self.pieces {
            let (to, next) = (from + mass, value + slope * mass);
            if first.is_none() && next <= 0 {
                // It falls: zero at from + value/|slope|, or the next whole number.
                first = Some(from - (-value).div_euclid(-slope));
            }
            if next <= 0 {
                last = to;
            } else if value <= 0 {
                // It rises: zero at from + |value|/slope, or the whole number before.
                last = from + (-value).div_euclid(*slope);
            }
            (from, value) = (to, next);
        }
        let range = [least.max(first?), most.min(last)];
        (range[0] <= range[1]).then_some(range)
    }
}
