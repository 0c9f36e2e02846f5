//! Plan from versines: chords laid along the rail and the mid-ordinates read at their middle.
//!
//! Symbols: chord c in m, mid-ordinate v in m (left positive: the track bows to the right of its
//! chord on a left curve), place s of the middle along the track, curvature κ in 1/m, R = 1/κ.
//! (1) on a circle R = c²/8v + v/2, so κ = 8v/(c² + 4v²); the small-angle form v = c²/8R is 1.6 %
//!     off for c = R/2 and is not used.
//! (2) anywhere, the reading is the mean of κ under a triangle of half width a = R asin(c/2R):
//!     twice integrating κ against the chord's end conditions gives v = ∫ κ (a − |x|)/2 dx.
//!     With (1) in place of the small-angle form this is exact on circles and tangents; on a
//!     clothoid the test below finds it within 0.2 % of the reading.
//! (3) one standard uncertainty of v is κ′(v) times as much in κ, κ′(v) = 8(c² − 4v²)/(c² + 4v²)².
//!
//! Sources: (1) geometry of the circle, the same as R = 50/sin(D/2) ft for a chord of 100 ft,
//! [TR0671]; (2) derived, Green's function of u″ = κ between two supports.

use super::outliers::{Fitted, settle};
use super::penalised::{Problem, Reading};
use super::points::PlanFit;
use super::spline::{Row, Spline, count};
use super::trace::Stand;
use super::{SurveyError, SurveyTerms};

/// One chord and its mid-ordinate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Versine {
    /// Where the middle of the chord stands, m along the track.
    pub s: f64,
    /// Length of the chord, m.
    pub chord: f64,
    /// Mid-ordinate, m; positive on a left curve.
    pub mid_ordinate: f64,
}

impl Versine {
    /// The curvature that a circle through both ends and the middle has, 1/m. By (1).
    #[must_use]
    pub fn curvature(&self) -> f64 {
        let (c, v) = (self.chord, self.mid_ordinate);
        8.0 * v / (c * c + 4.0 * v * v)
    }

    /// Metres of mid-ordinate for one 1/m of curvature. By (3).
    fn sensitivity(&self) -> f64 {
        let (c2, v2) = (self.chord.powi(2), 4.0 * self.mid_ordinate.powi(2));
        (c2 + v2).powi(2) / (8.0 * (c2 - v2))
    }

    /// Half the arc that the chord spans, m. By (2).
    fn half_arc(&self) -> f64 {
        let half_angle_sine = (self.chord / 2.0 * self.curvature()).abs();
        if half_angle_sine < 1e-6 {
            return self.chord / 2.0;
        }
        self.chord / 2.0 * half_angle_sine.min(1.0).asin() / half_angle_sine
    }

    fn check(&self, number: usize) -> Result<(), SurveyError> {
        if !(self.s.is_finite() && self.chord.is_finite() && self.mid_ordinate.is_finite()) {
            return Err(SurveyError::NotFinite { number });
        }
        if self.chord <= 0.0 || self.mid_ordinate.abs() >= self.chord / 2.0 {
            return Err(SurveyError::ImpossibleChord {
                number,
                chord: self.chord,
                offset: self.mid_ordinate,
            });
        }
        Ok(())
    }

    /// The mean under the triangle of (2), as a row over the curvatures at the breakpoints.
    fn row(&self, spline: &Spline, breakpoints: &[f64]) -> Row {
        let half = self.half_arc();
        let (first, last) = (self.s - half, self.s + half);
        let mut cuts = vec![first, self.s, last];
        cuts.extend(breakpoints.iter().filter(|&&b| b > first && b < last));
        cuts.sort_by(f64::total_cmp);
        let mut sum = Row {
            start: spline.row(first, 0).start,
            values: Vec::new(),
        };
        for pair in cuts.windows(2) {
            let middle = (pair[0] + pair[1]) / 2.0;
            // Simpson's rule is exact here: a straight piece of triangle times a straight hat.
            for (place, part) in [(pair[0], 1.0), (middle, 4.0), (pair[1], 1.0)] {
                let triangle = (1.0 - (place - self.s).abs() / half).max(0.0) / half;
                let weight = part / 6.0 * (pair[1] - pair[0]) * triangle;
                sum = sum.plus(
                    weight,
                    &spline.row(place.min(middle + (pair[1] - middle) * 0.999_999), 0),
                );
            }
        }
        sum
    }

    /// What this reading shows of a unit step of curvature at `step_at`, m.
    fn of_step(&self, step_at: f64) -> f64 {
        let x = ((step_at - self.s) / self.half_arc()).clamp(-1.0, 1.0);
        let beyond = if x >= 0.0 {
            (1.0 - x).powi(2) / 2.0
        } else {
            1.0 - (1.0 + x).powi(2) / 2.0
        };
        beyond * self.sensitivity()
    }
}

/// Fits a plan to versines in order along the track; chords may overlap and need not be equal.
///
/// The fitted line starts at the origin along the x axis, since versines say nothing of where the
/// line lies.
///
/// # Units
/// Metres in, 1/m out.
///
/// # Errors
/// [`SurveyError`] for fewer than four readings, readings out of order, impossible chords and
/// numbers that are not finite.
pub fn fit_versines(versines: &[Versine], terms: SurveyTerms) -> Result<PlanFit, SurveyError> {
    terms.check()?;
    let breakpoints = breakpoints(versines, terms)?;
    let spline = Spline::new(1, &breakpoints);
    let rows: Vec<Row> = versines
        .iter()
        .map(|v| v.row(&spline, &breakpoints))
        .collect();
    let problem = |used: &[bool]| Problem {
        size: spline.size(),
        readings: (0..versines.len())
            .map(|k| Reading {
                row: rows[k].clone().times(versines[k].sensitivity()),
                value: versines[k].curvature() * versines[k].sensitivity(),
                weight: if used[k] { 1.0 } else { 0.0 },
            })
            .collect(),
        quantity: breakpoints
            .iter()
            .map(|&s| (0.0, spline.row(s, 0)))
            .collect(),
        breakpoints: breakpoints.clone(),
        known_sigma: terms.reading_uncertainty,
    };
    let ((), fitted, misfits) = settle(versines.len(), |used| {
        let problem = problem(used);
        let solution = problem.solve().ok_or(SurveyError::Undetermined)?;
        let places = versines.iter().map(|v| v.s).collect();
        Ok((
            (),
            Fitted {
                places,
                problem,
                solution,
            },
        ))
    })?;
    let start = Stand {
        x: 0.0,
        y: 0.0,
        heading: 0.0,
        curvature: 0.0,
    };
    Ok(PlanFit::new(start, fitted, misfits, |k, step_at| {
        versines[k].of_step(step_at)
    }))
}

/// Breakpoints from the first end of a chord to the last, once every reading is checked.
fn breakpoints(versines: &[Versine], terms: SurveyTerms) -> Result<Vec<f64>, SurveyError> {
    const NEEDED: usize = 4;
    if versines.len() < NEEDED {
        return Err(SurveyError::TooFew {
            found: versines.len(),
            needed: NEEDED,
        });
    }
    for (index, versine) in versines.iter().enumerate() {
        versine.check(index + 1)?;
        if index > 0 && versine.s <= versines[index - 1].s {
            return Err(SurveyError::OutOfOrder {
                number: index + 1,
                before: index,
            });
        }
    }
    let ends = |side: f64| versines.iter().map(move |v| v.s + side * v.half_arc());
    let begin = ends(-1.0).fold(f64::INFINITY, f64::min);
    let end = ends(1.0).fold(f64::NEG_INFINITY, f64::max);
    let between = versines[versines.len() - 1].s - versines[0].s;
    let spacing = between / count(versines.len() - 1);
    let breakpoint_spacing = terms.breakpoint_spacing.or(Some(spacing));
    SurveyTerms {
        breakpoint_spacing,
        ..terms
    }
    .breakpoints(begin, end, versines.len())
}

#[cfg(test)]
mod tests {
    use super::super::trace::Trace;
    use super::*;

    #[test]
    fn the_chord_of_a_hundred_feet_gives_the_radius_of_its_degree() {
        // Chord definition R = 50/sin(D/2) ft, [TR0671]; printed to the foot in NMRA S-8.
        for (degree, printed) in [
            (5.0, 1146.0),
            (10.0, 574.0),
            (20.0, 288.0),
            (45.0, 131.0_f64),
        ] {
            let half: f64 = f64::to_radians(degree) / 2.0;
            let radius = 50.0 / half.sin();
            let mid_ordinate = radius * (1.0 - half.cos());
            let found = Versine {
                s: 0.0,
                chord: 100.0,
                mid_ordinate,
            }
            .curvature();
            assert!((1.0 / found - radius).abs() < 1e-9 * radius, "{degree}");
            assert!((1.0 / found - printed).abs() < 0.5, "{degree}");
        }
    }

    #[test]
    fn the_linear_reading_of_a_clothoid_is_within_a_fifth_of_a_percent() {
        // A clothoid from tangent to R = 0.6 m over 0.6 m with chords of 0.2 m, measured as a
        // carpenter would: both ends on the curve, the rule square to the chord at its middle.
        let start = Stand {
            x: 0.0,
            y: 0.0,
            heading: 0.0,
            curvature: 0.0,
        };
        let curve = Trace::new(start, vec![0.0, 0.6], &[0.0, 1.0 / 0.6]);
        let breakpoints = [0.0, 0.2, 0.4, 0.6];
        let spline = Spline::new(1, &breakpoints);
        for middle in [0.15, 0.3, 0.45] {
            let (s, mid_ordinate) = lay_chord(&curve, middle, 0.2);
            let versine = Versine {
                s,
                chord: 0.2,
                mid_ordinate,
            };
            let row = versine.row(&spline, &breakpoints);
            let curvatures: Vec<f64> = breakpoints.iter().map(|b| b / 0.36).collect();
            let linear = row.dot(&curvatures);
            assert!(
                (linear / versine.curvature() - 1.0).abs() < 0.002,
                "{middle}"
            );
        }
    }

    /// The chord whose ends are `half` away along the arc, found by bisection to length `chord`.
    fn lay_chord(curve: &Trace, middle: f64, chord: f64) -> (f64, f64) {
        let (mut low, mut high) = (chord / 2.0, chord);
        for _ in 0..60 {
            let half = (low + high) / 2.0;
            let (a, b) = (curve.at(middle - half), curve.at(middle + half));
            if (b.x - a.x).hypot(b.y - a.y) < chord {
                low = half
            } else {
                high = half
            }
        }
        let (a, b) = (curve.at(middle - low), curve.at(middle + low));
        let heading = (b.y - a.y).atan2(b.x - a.x);
        let chord = Stand {
            x: (a.x + b.x) / 2.0,
            y: (a.y + b.y) / 2.0,
            heading,
            curvature: 0.0,
        };
        let (mut s, mut offset) = (middle, 0.0);
        for _ in 0..40 {
            let here = curve.at(s);
            let (along, left) = chord.to_local(here.x, here.y);
            s -= along;
            offset = -left;
        }
        (s, offset)
    }
}
