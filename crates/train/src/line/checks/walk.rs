//! Pieces of a line with where they lie, and stretches of one kind.

use crate::track::Alignment;

/// A piece over which a quantity runs linearly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) start: f64,
    pub(super) end: f64,
}

impl Stretch {
    /// The quantity at `s`.
    pub(super) fn at(&self, s: f64) -> f64 {
        let part = ((s - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.start + part * (self.end - self.start)
    }

    /// Where inside this stretch the quantity is above `level`.
    pub(super) fn above(&self, level: f64) -> Option<(f64, f64)> {
        let crossing = || {
            let part = (level - self.start) / (self.end - self.start);
            self.from + part * (self.to - self.from)
        };
        match (self.start > level, self.end > level) {
            (true, true) => Some((self.from, self.to)),
            (true, false) => Some((self.from, crossing())),
            (false, true) => Some((crossing(), self.to)),
            (false, false) => None,
        }
    }

    /// The same stretch of the opposite quantity.
    pub(super) fn mirrored(&self) -> Self {
        Self {
            start: -self.start,
            end: -self.end,
            ..*self
        }
    }
}

/// Curvature along the line, 1/m.
pub(super) fn curvature(line: &Alignment) -> Vec<Stretch> {
    chain(
        line.plan()
            .iter()
            .map(|s| (s.length, s.curvature_start, s.curvature_end)),
    )
}

/// Grade along the line.
pub(super) fn grade(line: &Alignment) -> Vec<Stretch> {
    chain(
        line.profile()
            .iter()
            .map(|s| (s.length, s.grade_start, s.grade_end)),
    )
}

/// Cant along the line, rad.
pub(super) fn cant(line: &Alignment) -> Vec<Stretch> {
    let pairs = line.cant().windows(2);
    pairs
        .map(|pair| Stretch {
            from: pair[0].s,
            to: pair[1].s,
            start: pair[0].cant,
            end: pair[1].cant,
        })
        .collect()
}

fn chain(pieces: impl Iterator<Item = (f64, f64, f64)>) -> Vec<Stretch> {
    let mut at = 0.0;
    pieces
        .map(|(length, start, end)| {
            let from = at;
            at += length;
            Stretch {
                from,
                to: at,
                start,
                end,
            }
        })
        .collect()
}

/// The stretch that holds `s`; at a joint, the one ahead.
pub(super) fn holding(stretches: &[Stretch], s: f64) -> Option<&Stretch> {
    let after = stretches.partition_point(|stretch| stretch.from <= s);
    stretches.get(after.checked_sub(1)?)
}

/// The maximal runs over which a quantity is above `level`, with the largest value on each.
pub(super) fn runs_above(stretches: &[Stretch], level: f64) -> Vec<(f64, f64, f64)> {
    let mut runs: Vec<(f64, f64, f64)> = Vec::new();
    for stretch in stretches {
        let Some((from, to)) = stretch.above(level) else {
            continue;
        };
        let most = stretch.start.max(stretch.end);
        match runs.last_mut() {
            Some(run) if from - run.1 <= 1e-9 => *run = (run.0, to, run.2.max(most)),
            _ => runs.push((from, to, most)),
        }
    }
    runs
}

/// The fewest of the corners of a quantity between which it stays within `tolerance` of a straight
/// line; a jump becomes a stretch of no length.
///
/// Source: U. Ramer, Computer Graphics and Image Processing 1 (1972) 244 (from memory), with the
/// distance taken along the quantity and not square to the line.
pub(super) fn simplified(stretches: &[Stretch], tolerance: f64) -> Vec<Stretch> {
    let ends = |s: &Stretch| [(s.from, s.start), (s.to, s.end)];
    let mut corners: Vec<(f64, f64)> = stretches.iter().flat_map(ends).collect();
    corners.dedup_by(|a, b| (a.0 - b.0).abs() <= 0.0 && (a.1 - b.1).abs() <= 0.0);
    let mut kept = vec![false; corners.len()];
    let mut open = vec![(0, corners.len().saturating_sub(1))];
    while let Some((first, last)) = open.pop() {
        for end in [first, last] {
            if let Some(kept) = kept.get_mut(end) {
                *kept = true;
            }
        }
        let line = |k: usize| {
            let ((a, at_a), (b, at_b)) = (corners[first], corners[last]);
            let part = if b > a {
                (corners[k].0 - a) / (b - a)
            } else {
                0.0
            };
            (corners[k].1 - at_a - part * (at_b - at_a)).abs()
        };
        let furthest = (first + 1..last).max_by(|&a, &b| line(a).total_cmp(&line(b)));
        if let Some(k) = furthest.filter(|&k| line(k) > tolerance) {
            open.extend([(first, k), (k, last)]);
        }
    }
    let kept: Vec<_> = corners
        .iter()
        .zip(kept)
        .filter(|(_, kept)| *kept)
        .map(|(corner, _)| *corner)
        .collect();
    let stretch = |pair: &[(f64, f64)]| Stretch {
        from: pair[0].0,
        to: pair[1].0,
        start: pair[0].1,
        end: pair[1].1,
    };
    kept.windows(2).map(stretch).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_starts_and_ends_where_the_level_is_crossed() {
        let stretches = chain([(1.0, 0.0, 2.0), (1.0, 2.0, 2.0), (2.0, 2.0, 0.0)].into_iter());
        assert_eq!(runs_above(&stretches, 1.0), [(0.5, 3.0, 2.0)]);
        assert_eq!(runs_above(&stretches, 2.0), []);
        assert_eq!(holding(&stretches, 1.0).map(|s| s.from), Some(1.0));
    }

    #[test]
    fn what_stays_within_the_tolerance_is_one_stretch_and_a_jump_stays() {
        let noisy = [
            (1.0, 0.0, 0.1),
            (1.0, 0.1, -0.1),
            (1.0, -0.1, 0.0),
            (1.0, 2.0, 2.0),
        ];
        let few = simplified(&chain(noisy.into_iter()), 0.15);
        let rows: Vec<_> = few.iter().map(|s| (s.from, s.to, s.start, s.end)).collect();
        assert_eq!(
            rows,
            [
                (0.0, 3.0, 0.0, 0.0),
                (3.0, 3.0, 0.0, 2.0),
                (3.0, 4.0, 2.0, 2.0)
            ]
        );
        assert_eq!(simplified(&chain(noisy.into_iter()), 0.05).len(), 5);
        assert_eq!(simplified(&[], 0.1), []);
    }
}
