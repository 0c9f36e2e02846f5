//! The track as motion sees it: grade and curvature in pieces in which both run straight.

use crate::track::Alignment;

/// One piece.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    /// Where it starts, m.
    s: f64,
    /// G = grade + `grade_rate`·s, s counted from the start of the line.
    grade: f64,
    grade_rate: f64,
    /// |κ| = curve + `curve_rate`·s.
    curve: f64,
    curve_rate: f64,
}

/// Grade and curvature along the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Road {
    pieces: Vec<Piece>,
    length: f64,
}

/// What a vehicle stands on, as long as it stays between two places: both are straight in s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Footing {
    pub(super) from: f64,
    pub(super) to: f64,
    /// G = grade + `grade_rate`·s, mean of both trucks.
    pub(super) grade: f64,
    pub(super) grade_rate: f64,
    /// |κ| likewise.
    pub(super) curve: f64,
    pub(super) curve_rate: f64,
}

impl Road {
    /// Straight track of one `grade`, without end.
    #[must_use]
    pub fn steady(grade: f64) -> Self {
        let piece = Piece {
            s: f64::NEG_INFINITY,
            grade,
            grade_rate: 0.0,
            curve: 0.0,
            curve_rate: 0.0,
        };
        Self {
            pieces: vec![piece],
            length: f64::INFINITY,
        }
    }

    /// The road of a line.
    #[must_use]
    pub fn of(line: &Alignment) -> Self {
        let plan = straight_runs(
            line.plan()
                .iter()
                .map(|own| (own.length, own.curvature_start, own.curvature_end)),
        );
        let profile = straight_runs(
            line.profile()
                .iter()
                .map(|own| (own.length, own.grade_start, own.grade_end)),
        );
        // A piece in which the curvature changes its side is cut where it is straight.
        let mut cuts: Vec<f64> = plan.iter().chain(&profile).map(|run| run.s).collect();
        for (index, run) in plan.iter().enumerate() {
            let to = plan.get(index + 1).map_or(line.length(), |next| next.s);
            let zero = run.s - run.value / run.rate;
            if zero > run.s && zero < to {
                cuts.push(zero);
            }
        }
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        let pieces = cuts.iter().enumerate().map(|(index, &s)| {
            let to = cuts.get(index + 1).copied().unwrap_or(line.length());
            let middle = 0.5 * (s + to);
            let (bend, grade) = (run_at(&plan, middle), run_at(&profile, middle));
            let side = bend.at(middle).signum();
            Piece {
                s,
                grade: grade.at(0.0),
                grade_rate: grade.rate,
                curve: side * bend.at(0.0),
                curve_rate: side * bend.rate,
            }
        });
        Self {
            pieces: pieces.collect(),
            length: line.length(),
        }
    }

    /// Where it ends, m.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Grade at `s`, m; that of the nearest end beyond the line.
    #[must_use]
    pub fn grade(&self, s: f64) -> f64 {
        let on = s.clamp(0.0, self.length);
        let piece = &self.pieces[self.index(on)];
        if piece.grade_rate == 0.0 {
            piece.grade
        } else {
            piece.grade + piece.grade_rate * on
        }
    }

    fn index(&self, s: f64) -> usize {
        let after = self.pieces.partition_point(|piece| piece.s <= s);
        after.saturating_sub(1)
    }

    /// The footing of a vehicle whose middle is at `s`.
    pub(super) fn footing(&self, s: f64, reach: f64) -> Footing {
        let mut footing = Footing {
            from: f64::NEG_INFINITY,
            to: f64::INFINITY,
            grade: 0.0,
            grade_rate: 0.0,
            curve: 0.0,
            curve_rate: 0.0,
        };
        for lever in [reach, -reach] {
            let index = self.index(s + lever);
            let piece = &self.pieces[index];
            let from = if index == 0 {
                f64::NEG_INFINITY
            } else {
                piece.s
            };
            let next = self.pieces.get(index + 1);
            let to = next.map_or(f64::INFINITY, |next| next.s);
            footing.from = footing.from.max(from - lever);
            footing.to = footing.to.min(to - lever);
            footing.grade += 0.5 * (piece.grade + piece.grade_rate * lever);
            footing.grade_rate += 0.5 * piece.grade_rate;
            footing.curve += 0.5 * (piece.curve + piece.curve_rate * lever);
            footing.curve_rate += 0.5 * piece.curve_rate;
        }
        footing
    }
}

/// A value that runs straight from `s` on.
#[derive(Clone, Copy, Debug)]
struct Run {
    s: f64,
    value: f64,
    rate: f64,
}

impl Run {
    fn at(&self, s: f64) -> f64 {
        self.value + self.rate * (s - self.s)
    }
}

fn straight_runs(pieces: impl Iterator<Item = (f64, f64, f64)>) -> Vec<Run> {
    let mut at = 0.0;
    pieces
        .map(|(length, start, end)| {
            let run = Run {
                s: at,
                value: start,
                rate: (end - start) / length,
            };
            at += length;
            run
        })
        .collect()
}

fn run_at(runs: &[Run], s: f64) -> Run {
    let after = runs.partition_point(|run| run.s <= s);
    runs[after.saturating_sub(1)]
}
