//! Plan from points: x and y along the track to curvature along s.
//!
//! Symbols: reference curve C(s) with heading θ, curvature κ; offset u(s) of the track to its
//! left, a cubic spline, so that u″ is linear between breakpoints; dᵢ how far point i lies to the
//! left of C.
//! (1) reading: Σ B(sᵢ) c = dᵢ, at the place sᵢ where C passes square to the point; along the
//!     track a point says nothing, since nobody knows where along it was touched.
//! (2) curvature of the moved curve: κ + u″ + κ² u, to first order in u.
//! (3) length of the moved curve: each piece times 1 − κ u; start moved by u(0), turned by u′(0).
//!
//! The curve is moved and the problem posed anew until u is nothing (Gauss-Newton), so that (2)
//! and (3) hold exactly for the curve that is returned.

use super::outliers::{Fitted, Misfit, settle};
use super::penalised::{Problem, Reading, Solution};
use super::spline::{Row, Spline};
use super::trace::{Stand, Trace};
use super::{Estimate, Resolution, SurveyError, SurveyTerms};
use crate::track::Origin;

/// A point of the track's centre line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurveyPoint {
    /// m.
    pub x: f64,
    /// m.
    pub y: f64,
    /// Height of the rail, m, where it was taken too.
    pub height: Option<f64>,
}

/// A fitted plan.
#[derive(Clone, Debug)]
pub struct PlanFit {
    /// Where the line starts, at the place of the first estimate.
    pub origin: Origin,
    /// Curvature at each breakpoint; linear between them.
    pub curvature: Vec<Estimate>,
    /// How far each reading is off.
    pub misfits: Vec<Misfit>,
    /// Standard uncertainty of one reading, m: the stated one, or the one that was found.
    pub reading_uncertainty: f64,
    /// What the survey can tell apart; its kink is a sudden bend, rad.
    pub resolution: Resolution,
    fitted: Fitted,
}

/// Fits a plan to points in order along the track.
///
/// # Units
/// Metres in, 1/m and radians out.
///
/// # Errors
/// [`SurveyError`] for fewer than six points, numbers that are not finite, two points in one
/// place, and points that do not settle on one curve.
pub fn fit_points(points: &[SurveyPoint], terms: SurveyTerms) -> Result<PlanFit, SurveyError> {
    terms.check()?;
    let chords = chords(points)?;
    let length = chords[chords.len() - 1];
    let breakpoints = terms.breakpoints(0.0, length, points.len())?;
    let mut trace = first_trace(points, &chords, breakpoints);
    let settled = settle(points.len(), |used| {
        let found = Settled::find(points, &chords, used, trace.clone(), terms)?;
        trace = found.trace.clone();
        Ok((found.trace, found.fitted))
    })?;
    let (trace, fitted, misfits) = settled;
    let places = fitted.places.clone();
    Ok(PlanFit::new(
        trace.stands[0],
        fitted,
        misfits,
        |k, step_at| (places[k] - step_at).max(0.0).powi(2) / 2.0,
    ))
}

/// Distance of each point from the first, along the chords.
fn chords(points: &[SurveyPoint]) -> Result<Vec<f64>, SurveyError> {
    const NEEDED: usize = 6;
    if points.len() < NEEDED {
        return Err(SurveyError::TooFew {
            found: points.len(),
            needed: NEEDED,
        });
    }
    let mut along = vec![0.0];
    for (index, point) in points.iter().enumerate() {
        if !(point.x.is_finite() && point.y.is_finite()) {
            return Err(SurveyError::NotFinite { number: index + 1 });
        }
    }
    for (index, pair) in points.windows(2).enumerate() {
        let chord = (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y);
        if chord <= 0.0 {
            return Err(SurveyError::OutOfOrder {
                number: index + 2,
                before: index + 1,
            });
        }
        along.push(along[index] + chord);
    }
    Ok(along)
}

/// A curve whose heading follows the chords, smoothed over a few breakpoints.
fn first_trace(points: &[SurveyPoint], chords: &[f64], breakpoints: Vec<f64>) -> Trace {
    let mut headings: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for (k, pair) in points.windows(2).enumerate() {
        let raw = (pair[1].y - pair[0].y).atan2(pair[1].x - pair[0].x);
        let before = headings.last().map_or(raw, |h| h.1);
        let turns = ((before - raw) / std::f64::consts::TAU).round();
        headings.push((
            (chords[k] + chords[k + 1]) / 2.0,
            raw + turns * std::f64::consts::TAU,
        ));
    }
    let reach = 2.0 * (breakpoints[1] - breakpoints[0]);
    let curvature =
        |s: f64| (heading(&headings, s + reach) - heading(&headings, s - reach)) / (2.0 * reach);
    let curvatures: Vec<f64> = breakpoints.iter().map(|&s| curvature(s)).collect();
    let start = Stand {
        x: points[0].x,
        y: points[0].y,
        heading: heading(&headings, 0.0),
        curvature: curvatures[0],
    };
    Trace::new(start, breakpoints, &curvatures)
}

/// Heading at `s`, linear between the chords and beyond their ends.
fn heading(headings: &[(f64, f64)], s: f64) -> f64 {
    let after = headings
        .partition_point(|h| h.0 < s)
        .clamp(1, headings.len() - 1);
    let ((a, left), (b, right)) = (headings[after - 1], headings[after]);
    left + (right - left) * (s - a) / (b - a)
}

/// A fit whose curve no longer moves.
struct Settled {
    trace: Trace,
    fitted: Fitted,
}

impl Settled {
    fn find(
        points: &[SurveyPoint],
        chords: &[f64],
        used: &[bool],
        mut trace: Trace,
        terms: SurveyTerms,
    ) -> Result<Self, SurveyError> {
        const PASSES: usize = 40;
        const STILL: f64 = 1e-10;
        let mut guesses = chords.to_vec();
        let mut lambda = None;
        let mut moved = f64::INFINITY;
        for pass in 0..PASSES {
            if !trace.is_sane() {
                break;
            }
            let project =
                |(point, &guess): (&SurveyPoint, &f64)| trace.project(point.x, point.y, guess);
            let mut places: Vec<_> = points.iter().zip(&guesses).map(project).collect();
            // The curve runs from the first point to the last, whatever it was stretched to.
            let (first, last) = (places[0].0, places[places.len() - 1].0);
            let (trimmed, shift) = trace.trimmed(first, last);
            trace = trimmed;
            places.iter_mut().for_each(|place| place.0 -= shift);
            let (spline, problem) = pose(&trace, &places, used, terms);
            let solution = match lambda {
                // Once the curve has nearly settled, so has λ; holding it lets the rest converge.
                Some(lambda) => problem.solve_with(lambda),
                None => problem.solve(),
            }
            .ok_or(SurveyError::Undetermined)?;
            let offsets = Offsets::new(&spline, &solution, &trace.breakpoints);
            let before = moved;
            moved = offsets.largest();
            if !moved.is_finite() {
                break;
            }
            if moved < STILL || (pass > 8 && moved < 1e-7 && moved >= before) {
                let places = places.iter().map(|place| place.0).collect();
                return Ok(Self {
                    trace,
                    fitted: Fitted {
                        places,
                        problem,
                        solution,
                    },
                });
            }
            if moved < 1e-4 || pass > 10 {
                lambda = lambda.or(Some(solution.lambda));
            }
            guesses = places.iter().map(|place| place.0).collect();
            trace = offsets.moved(&trace);
        }
        Err(SurveyError::NotSettled {
            passes: PASSES,
            moved,
        })
    }
}

/// The linear problem of (1) and (2) around a curve.
fn pose(
    trace: &Trace,
    places: &[(f64, f64)],
    used: &[bool],
    terms: SurveyTerms,
) -> (Spline, Problem) {
    let spline = Spline::new(3, &trace.breakpoints);
    let reading = |(&(s, left), &used): (&(f64, f64), &bool)| Reading {
        row: spline.row(s, 0),
        value: left,
        weight: if used { 1.0 } else { 0.0 },
    };
    let curvature = |(&s, stand): (&f64, &Stand)| -> (f64, Row) {
        let square = stand.curvature * stand.curvature;
        (
            stand.curvature,
            spline.row(s, 2).plus(square, &spline.row(s, 0)),
        ) // (2)
    };
    let problem = Problem {
        size: spline.size(),
        readings: places.iter().zip(used).map(reading).collect(),
        quantity: trace
            .breakpoints
            .iter()
            .zip(&trace.stands)
            .map(curvature)
            .collect(),
        breakpoints: trace.breakpoints.clone(),
        known_sigma: terms.reading_uncertainty,
    };
    (spline, problem)
}

/// Offset and its first two derivatives at each breakpoint.
struct Offsets(Vec<[f64; 3]>);

impl Offsets {
    fn new(spline: &Spline, solution: &Solution, breakpoints: &[f64]) -> Self {
        let value = |s: f64, d| spline.row(s, d).dot(&solution.coefficients);
        Self(
            breakpoints
                .iter()
                .map(|&s| [value(s, 0), value(s, 1), value(s, 2)])
                .collect(),
        )
    }

    fn largest(&self) -> f64 {
        let largest = self.0.iter().map(|u| u[0].abs()).fold(0.0, f64::max);
        if self.0.iter().all(|u| u[0].is_finite()) {
            largest
        } else {
            f64::NAN
        }
    }

    fn moved(&self, trace: &Trace) -> Trace {
        let stands = &trace.stands;
        let moved = |(u, stand): (&[f64; 3], &Stand)| {
            stand.curvature + u[2] + stand.curvature * stand.curvature * u[0] // (2)
        };
        let curvatures: Vec<f64> = self.0.iter().zip(stands).map(moved).collect();
        let mut breakpoints = vec![trace.breakpoints[0]];
        for k in 1..stands.len() {
            let stretch = |j: usize| stands[j].curvature * self.0[j][0];
            let length = trace.breakpoints[k] - trace.breakpoints[k - 1];
            let longer = 1.0 - (stretch(k - 1) + stretch(k)) / 2.0; // (3)
            breakpoints.push(breakpoints[k - 1] + length * longer.clamp(0.5, 2.0));
        }
        let [u, slope, _] = self.0[0];
        let (sin, cos) = stands[0].heading.sin_cos();
        let start = Stand {
            x: stands[0].x - u * sin,
            y: stands[0].y + u * cos,
            heading: stands[0].heading + slope.atan(), // (3)
            curvature: curvatures[0],
        };
        Trace::new(start, breakpoints, &curvatures)
    }
}

impl PlanFit {
    /// The plan that a solved problem amounts to, from `start` on; `seen` as in [`Resolution::of`].
    pub(super) fn new(
        start: Stand,
        fitted: Fitted,
        misfits: Vec<Misfit>,
        seen: impl Fn(usize, f64) -> f64,
    ) -> Self {
        let curvature = fitted.solution.estimates(&fitted.problem);
        Self {
            origin: Origin {
                x: start.x,
                y: start.y,
                heading: start.heading,
                height: 0.0,
            },
            resolution: Resolution::of(&fitted.problem, &fitted.solution, &curvature, seen),
            curvature,
            misfits,
            reading_uncertainty: fitted.solution.sigma,
            fitted,
        }
    }

    /// Length of the fitted line, m.
    #[must_use]
    pub fn length(&self) -> f64 {
        let ends = (self.curvature.first(), self.curvature.last());
        if let (Some(first), Some(last)) = ends {
            last.s - first.s
        } else {
            0.0
        }
    }

    /// Mean curvature between the breakpoints nearest to two places, with its uncertainty.
    ///
    /// Over an arc this is how well its radius is known, far better than at any one place of it:
    /// turn over length.
    #[must_use]
    pub fn mean_between(&self, from: f64, to: f64) -> Option<Estimate> {
        let after = |s: f64| self.curvature.partition_point(|estimate| estimate.s < s);
        let (first, last) = (after(from), after(to).min(self.curvature.len() - 1));
        self.fitted.solution.mean(&self.fitted.problem, first, last)
    }
}
