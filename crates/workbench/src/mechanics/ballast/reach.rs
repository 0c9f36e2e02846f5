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

#[cfg(test)]
mod tests {
    use gradeworthy_units::{Length, Mass};

    use super::super::{BallastTask, Limits, Pocket, Point, Prices};
    use super::*;

    fn at(along_mm: i64, up_mm: i64) -> Point {
        let mm = |mm: i64| Length::from_hundredths_mm(100 * mm);
        Point {
            along: mm(along_mm),
            across: Length::ZERO,
            up: mm(up_mm),
        }
    }

    /// A car of 80 g with its weight at (2, 20) mm, which may be 1 mm off and `height` mm high.
    fn found(pockets: [(Point, i64); 2], height: i64, relaxed: Relaxed) -> Option<Range> {
        let grams = |grams: i64| Mass::from_milligrams(1000 * grams);
        let pockets = pockets.map(|(at, holds)| Pocket {
            at,
            capacity: grams(holds),
            is_blocked: false,
        });
        let task = BallastTask {
            weight: grams(80),
            centre: at(2, 20),
            pockets: &pockets,
            fitted: &[],
            stock: &[],
            limits: Limits {
                target: grams(100),
                tolerance: grams(5),
                along_max: at(1, 0).along,
                across_max: at(1, 0).along,
                height_max: at(0, height).up,
            },
            prices: Prices::default(),
            node_limit: 1,
        };
        masses(&Model::new(&task).expect("possible"), relaxed)
    }

    const GRAM: i128 = 1_000_000_000_000_000;

    // By hand, m in grams. Height, the lower pocket first: 1600 + 10·5 + 16(m − 5) = 19(80 + m) at
    // m = 50/3. Length, the B pocket first: 160 − 40m = 80 + m at m = 80/41; the A pocket first:
    // 10m − 160 = 80 + m at m = 80/3.
    #[test]
    fn limits_leave_one_range_of_masses() {
        let pockets = [(at(-40, 10), 5), (at(-10, 16), 30)];
        let range = found(pockets, 19, Relaxed::Nothing);
        assert_eq!(range, Some([50 * GRAM / 3 + 1, 80 * GRAM / 3]));
        let at_any_height = found(pockets, 19, Relaxed::Moment(2));
        assert_eq!(at_any_height, Some([80 * GRAM / 41 + 1, 80 * GRAM / 3]));
    }

    #[test]
    fn a_limit_out_of_reach_leaves_none_until_it_is_relaxed() {
        let pockets = [(at(-4, 10), 5), (at(-4, 16), 30)];
        assert_eq!(found(pockets, 18, Relaxed::Nothing), None);
        let range = found(pockets, 18, Relaxed::Moment(2)).expect("without the height");
        // 160 − 4m = 80 + m at m = 16; −160 + 4m = 80 + m at m = 80, above the room of 35 g.
        assert_eq!(range, [16 * GRAM, 35 * GRAM]);
    }
}
