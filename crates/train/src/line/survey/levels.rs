//! Profile from levels: heights and grade readings along the track to grade along s.
//!
//! Symbols: height z(s) in m, a quadratic spline, so that the grade G = z′ is linear between
//! breakpoints and every piece is a parabola.
//! (1) a height read at s: z(s); (2) a grade g read over a base b: g b = z(s + b/2) − z(s − b/2).
//!
//! ASSUMED: the two ends of a level's base differ by as much uncertainty as one height reading.
//! Effect: only where heights and grades are mixed; a level that is really twice as good counts
//! for a quarter of what it should.

use super::outliers::{Fitted, Misfit, settle};
use super::penalised::{Problem, Reading};
use super::spline::Spline;
use super::{Estimate, Resolution, SurveyError, SurveyTerms};

/// A height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeightReading {
    /// m along the track.
    pub s: f64,
    /// Height of the rail, m above any fixed level.
    pub height: f64,
}

/// A grade, read with a level on a base.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GradeReading {
    /// Where the middle of the base stands, m along the track.
    pub s: f64,
    /// Length of the base, m.
    pub base: f64,
    /// Grade as a ratio, rising positive.
    pub grade: f64,
}

/// A fitted profile.
#[derive(Clone, Debug, PartialEq)]
pub struct ProfileFit {
    /// Height at the first estimate, m; `None` where only grades were read.
    pub start_height: Option<f64>,
    /// Grade at each breakpoint; linear between them.
    pub grade: Vec<Estimate>,
    /// How far each reading is off, heights first, then grades (as a height over their base).
    pub misfits: Vec<Misfit>,
    /// Standard uncertainty of one reading, m: the stated one, or the one that was found.
    pub reading_uncertainty: f64,
    /// What the survey can tell apart; its kink is a sudden step of height, m.
    pub resolution: Resolution,
}

/// A reading of either kind: the height at `ahead`, less that at `behind` for a grade.
#[derive(Clone, Copy, Debug)]
struct Sight {
    behind: Option<f64>,
    ahead: f64,
    value: f64,
}

impl Sight {
    fn middle(&self) -> f64 {
        self.behind
            .map_or(self.ahead, |behind| (behind + self.ahead) / 2.0)
    }
}

/// Fits a profile to heights, grade readings, or both, each in order along the track.
///
/// # Units
/// Metres and ratios in, ratios out.
///
/// # Errors
/// [`SurveyError`] for fewer than four readings, readings out of order, bases that are not
/// positive and numbers that are not finite.
pub fn fit_levels(
    heights: &[HeightReading],
    grades: &[GradeReading],
    terms: SurveyTerms,
) -> Result<ProfileFit, SurveyError> {
    const NEEDED: usize = 4;
    terms.check()?;
    let sights = sights(heights, grades)?;
    if sights.len() < NEEDED {
        return Err(SurveyError::TooFew {
            found: sights.len(),
            needed: NEEDED,
        });
    }
    let first = sights
        .iter()
        .map(|s| s.behind.unwrap_or(s.ahead))
        .fold(f64::INFINITY, f64::min);
    let last = sights
        .iter()
        .map(|s| s.ahead)
        .fold(f64::NEG_INFINITY, f64::max);
    let places = heights.len().max(grades.len());
    let breakpoints = terms.breakpoints(first, last, places)?;
    let spline = Spline::new(2, &breakpoints);
    let ((), fitted, misfits) = settle(sights.len(), |used| {
        let problem = pose(&spline, &breakpoints, &sights, used, terms);
        let solution = problem.solve().ok_or(SurveyError::Undetermined)?;
        let places = sights.iter().map(Sight::middle).collect();
        Ok((
            (),
            Fitted {
                places,
                problem,
                solution,
            },
        ))
    })?;
    let grade = fitted.solution.estimates(&fitted.problem);
    let resolution = Resolution::of(&fitted.problem, &fitted.solution, &grade, |k, step_at| {
        let rise = |s: f64| (s - step_at).max(0.0);
        sights.get(k).map_or(0.0, |sight| {
            rise(sight.ahead) - sight.behind.map_or(0.0, rise)
        })
    });
    let height = spline.row(first, 0).dot(&fitted.solution.coefficients);
    Ok(ProfileFit {
        start_height: (!heights.is_empty()).then_some(height),
        grade,
        misfits,
        reading_uncertainty: fitted.solution.sigma,
        resolution,
    })
}

fn sights(heights: &[HeightReading], grades: &[GradeReading]) -> Result<Vec<Sight>, SurveyError> {
    let mut sights = Vec::with_capacity(heights.len() + grades.len());
    for (index, reading) in heights.iter().enumerate() {
        if !(reading.s.is_finite() && reading.height.is_finite()) {
            return Err(SurveyError::NotFinite { number: index + 1 });
        }
        if index > 0 && reading.s <= heights[index - 1].s {
            return Err(SurveyError::OutOfOrder {
                number: index + 1,
                before: index,
            });
        }
        sights.push(Sight {
            behind: None,
            ahead: reading.s,
            value: reading.height,
        });
    }
    for (index, reading) in grades.iter().enumerate() {
        let number = heights.len() + index + 1;
        if !(reading.s.is_finite() && reading.grade.is_finite() && reading.base.is_finite()) {
            return Err(SurveyError::NotFinite { number });
        }
        if reading.base <= 0.0 {
            let offset = reading.grade * reading.base;
            return Err(SurveyError::ImpossibleChord {
                number,
                chord: reading.base,
                offset,
            });
        }
        if index > 0 && reading.s <= grades[index - 1].s {
            return Err(SurveyError::OutOfOrder {
                number,
                before: number - 1,
            });
        }
        sights.push(Sight {
            behind: Some(reading.s - reading.base / 2.0),
            ahead: reading.s + reading.base / 2.0,
            value: reading.grade * reading.base, // (2)
        });
    }
    Ok(sights)
}

fn pose(
    spline: &Spline,
    breakpoints: &[f64],
    sights: &[Sight],
    used: &[bool],
    terms: SurveyTerms,
) -> Problem {
    let mut readings: Vec<Reading> = sights
        .iter()
        .zip(used)
        .map(|(sight, &used)| {
            let ahead = spline.row(sight.ahead, 0);
            let row = match sight.behind {
                Some(behind) => ahead.plus(-1.0, &spline.row(behind, 0)),
                None => ahead,
            };
            Reading {
                row,
                value: sight.value,
                weight: if used { 1.0 } else { 0.0 },
            }
        })
        .collect();
    if sights.iter().all(|sight| sight.behind.is_some()) {
        // Grades alone leave the height open: hold the first breakpoint at nought, which fixes
        // that one unknown and nothing else.
        readings.push(Reading {
            row: spline.row(breakpoints[0], 0),
            value: 0.0,
            weight: 1.0,
        });
    }
    Problem {
        size: spline.size(),
        readings,
        quantity: breakpoints
            .iter()
            .map(|&s| (0.0, spline.row(s, 1)))
            .collect(),
        breakpoints: breakpoints.to_vec(),
        known_sigma: terms.reading_uncertainty,
    }
}
