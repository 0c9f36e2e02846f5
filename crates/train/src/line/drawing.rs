//! A line as data for drawings and tables: points with their place, and a row for each piece.

use crate::track::{Alignment, Pose};

/// A point of a drawn line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnPoint {
    /// m along the line.
    pub s: f64,
    /// Where that is.
    pub pose: Pose,
}

/// What a piece of plan or profile is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceKind {
    /// Straight in plan.
    Tangent,
    /// One radius.
    Arc,
    /// Curvature changes along it.
    Easement,
    /// One grade.
    Grade,
    /// Grade changes along it.
    VerticalCurve,
}

/// A row of the table that explains a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PieceRow {
    /// What it is.
    pub kind: PieceKind,
    /// m.
    pub from: f64,
    /// m.
    pub to: f64,
    /// Curvature (1/m) or grade at its start.
    pub start: f64,
    /// Curvature (1/m) or grade at its end.
    pub end: f64,
    /// Turn to the left over it, rad, or rise over it, m.
    pub total: f64,
    /// Where it starts.
    pub pose: Pose,
}

/// Points along the line no further apart than `step` m and at every joint, so that lines between
/// them show it; plan is (x, y), profile is (s, height).
///
/// A step that is not positive gives the joints alone. However small, it gives no more than
/// 100 000 points.
#[must_use]
pub fn points(line: &Alignment, step: f64) -> Vec<DrawnPoint> {
    const MOST: f64 = 100_000.0;
    let step = if step > 0.0 {
        step.max(line.length() / MOST)
    } else {
        f64::INFINITY
    };
    let mut places = Vec::new();
    for pair in joints(line).windows(2) {
        let pieces = ((pair[1] - pair[0]) / step).ceil().max(1.0);
        let mut k = 0.0;
        while k < pieces {
            places.push(pair[0] + (pair[1] - pair[0]) * k / pieces);
            k += 1.0;
        }
    }
    places.push(line.length());
    let point = |s: f64| line.pose(s).ok().map(|pose| DrawnPoint { s, pose });
    places.into_iter().filter_map(point).collect()
}

/// Every place where plan or profile changes its law, ends included.
fn joints(line: &Alignment) -> Vec<f64> {
    let rows = explain(line);
    let mut joints: Vec<f64> = rows
        .iter()
        .map(|row| row.from)
        .chain([line.length()])
        .collect();
    joints.retain(|s| *s <= line.length());
    joints.sort_by(f64::total_cmp);
    joints.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    joints
}

/// A row for each piece of plan, then one for each piece of profile.
#[must_use]
pub fn explain(line: &Alignment) -> Vec<PieceRow> {
    let mut rows = Vec::new();
    let mut add = |at: &mut f64, length: f64, start: f64, end: f64, kinds: [PieceKind; 3]| {
        let from = *at;
        *at += length;
        let Ok(pose) = line.pose(from.min(line.length())) else {
            return;
        };
        let [nought, steady, changing] = kinds;
        let kind = match ((start - end).abs() <= 0.0, start.abs() <= 0.0) {
            (true, true) => nought,
            (true, false) => steady,
            (false, _) => changing,
        };
        rows.push(PieceRow {
            kind,
            from,
            to: *at,
            start,
            end,
            total: (start + end) / 2.0 * length,
            pose,
        });
    };
    let mut at = 0.0;
    for s in line.plan() {
        let kinds = [PieceKind::Tangent, PieceKind::Arc, PieceKind::Easement];
        add(&mut at, s.length, s.curvature_start, s.curvature_end, kinds);
    }
    at = 0.0;
    for s in line.profile() {
        let kinds = [PieceKind::Grade, PieceKind::Grade, PieceKind::VerticalCurve];
        add(&mut at, s.length, s.grade_start, s.grade_end, kinds);
    }
    rows
}
