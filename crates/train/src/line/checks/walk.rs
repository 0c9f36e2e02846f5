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
}
