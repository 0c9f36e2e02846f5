//! A shop's own line from spin time to rolling grade, with the interval that one car may expect.
//!
//! The line is `i = a₀ + b₀/t` (g): the part that bearings explain falls with the time of a spin
//! like (e), and a₀ is what a spin does not see, rail drag and side rub.
//! A pair scatters by reading, sd u, and from car to car in proportion to what the bearings do,
//! relative sd q; its weight is `w = 1/(u² + (q b₀/t)²)` (h).
//! Weights and line are refreshed until they stand still, from an unweighted start, so that the
//! result depends on nothing but the pairs; two to five passes do.
//! The scale of the scatter comes from the pairs: `s² = Σ w (i − î)²/(n − 2)` (j).
//! A further car lies within `± t_{n−2} s √(u² + (q b₀/t)² + 1/Σw + (x − x̄)²/S_xx)` (k) of the
//! line, `x = 1/t`: that interval is the answer, the line alone is not.
//!
//! Source: weighted least squares and the prediction interval of a straight line are textbook
//! matter; checked against an independent implementation in `oracles/`.
//! ASSUMED: at least eight pairs (six degrees of freedom, where Student's factor for 95 % is 2.45
//! against 1.96 for many), and a longest spin 1.5 times the shortest; fewer or closer pairs widen
//! (k) until it says nothing.

use gradeworthy_units::{Grade, Time};

use super::{SpinError, not_negative, positive};
use crate::mechanics::student::two_sided_factor;

/// The fewest pairs that make a line.
const PAIRS_MIN: usize = 8;
/// The least ratio of the longest spin to the shortest.
const SPIN_RATIO_MIN: f64 = 1.5;
/// Far more passes than a converging line needs.
const PASSES_MAX: usize = 100;
/// The slope stands still when a pass changes it by less than this part.
const SLOPE_TOLERANCE: f64 = 1e-13;

/// One car measured both ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// The spin, always started the same way.
    pub spin: Time,
    /// The grade on which the same car kept rolling.
    pub grade: Grade,
}

/// How a pair scatters about the line; only the ratio of the two shapes the weights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// u: standard uncertainty of a grade reading.
    pub reading: Grade,
    /// q: relative standard deviation from car to car of the part b₀/t.
    pub relative: f64,
}

/// A shop's own line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    line: Line,
    scatter: Scatter,
    /// s², eq. (j).
    scale2: f64,
    pair_count: usize,
    shortest: Time,
    longest: Time,
}

/// Whether a prediction rests on spins like those of the pairs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// The spin lies between the shortest and the longest of the pairs.
    Inside,
    /// It lies outside: the line is stretched beyond what was measured.
    Beyond,
}

/// What a further car may expect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// The line at this spin.
    pub grade: Grade,
    /// Half the width of the interval.
    pub half_width: Grade,
    /// Whether the pairs cover this spin.
    pub reach: Reach,
}

impl Calibration {
    /// Fits the line to the shop's pairs.
    ///
    /// # Errors
    /// [`SpinError::TooFewPairs`], [`SpinError::SpinsTooAlike`], [`SpinError::SlopeNotPositive`],
    /// and [`SpinError::OutOfRange`] for a time, grade or scatter that is none.
    pub fn fit(pairs: &[Pair], scatter: Scatter) -> Result<Self, SpinError> {
        check_scatter(scatter)?;
        let (shortest, longest) = check_pairs(pairs)?;
        let even = |_: &Pair| 1.0;
        let mut line = Line::through(pairs, even);
        for _ in 0..PASSES_MAX {
            let before_s = line.slope_s;
            positive_slope(before_s)?;
            line = Line::through(pairs, |pair| scatter.weight(before_s, pair.spin));
            if (line.slope_s - before_s).abs() <= SLOPE_TOLERANCE * before_s {
                break;
            }
        }
        positive_slope(line.slope_s)?;
        Ok(Self {
            line,
            scatter,
            scale2: scale2(pairs, scatter, &line),
            pair_count: pairs.len(),
            shortest,
            longest,
        })
    }

    /// a₀ with its standard error.
    ///
    /// # Errors
    /// [`SpinError::NotFinite`], if the pairs were absurd enough.
    pub fn offset(&self) -> Result<(Grade, Grade), SpinError> {
        let variance = self.scale2 * self.line.variance(0.0);
        Ok((
            Grade::from_ratio(self.line.at(0.0))?,
            Grade::from_ratio(variance.sqrt())?,
        ))
    }

    /// b₀ with its standard error, s.
    #[must_use]
    pub fn slope_s(&self) -> (f64, f64) {
        let variance = self.scale2 / self.line.spread;
        (self.line.slope_s, variance.sqrt())
    }

    /// How many pairs it rests on.
    #[must_use]
    pub const fn pair_count(&self) -> usize {
        self.pair_count
    }

    /// What a further car with this spin may expect, eq. (k), with probability `level`.
    ///
    /// # Errors
    /// [`SpinError::OutOfRange`] for a spin that is not positive or a level outside 0 to 1.
    pub fn predict(&self, spin: Time, level: f64) -> Result<Prediction, SpinError> {
        positive("spin time, s", spin.seconds())?;
        let per_second = 1.0 / spin.seconds();
        let own = 1.0 / self.scatter.weight(self.line.slope_s, spin);
        let variance = self.scale2 * (own + self.line.variance(per_second));
        let factor = two_sided_factor(degrees(self.pair_count), level);
        let factor = factor.ok_or(SpinError::OutOfRange {
            what: "level of confidence",
            found: level,
            expected: "a number between 0 and 1",
        })?;
        let half_width = factor * variance.sqrt();
        let inside = self.shortest <= spin && spin <= self.longest;
        Ok(Prediction {
            grade: Grade::from_ratio(self.line.at(per_second))?,
            half_width: Grade::from_ratio(half_width)?,
            reach: if inside { Reach::Inside } else { Reach::Beyond },
        })
    }
}

impl Scatter {
    /// Eq. (h).
    fn weight(self, slope_s: f64, spin: Time) -> f64 {
        let reading = self.reading.ratio();
        let own = self.relative * slope_s / spin.seconds();
        1.0 / (reading * reading + own * own)
    }
}

/// A weighted straight line over x = 1/t, about its centre of weight.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Line {
    centre_per_s: f64,
    centre_grade: f64,
    slope_s: f64,
    weight: f64,
    /// `S_xx` = Σ w (x − x̄)².
    spread: f64,
}

impl Line {
    fn through(pairs: &[Pair], weight_of: impl Fn(&Pair) -> f64) -> Self {
        let points = || {
            pairs.iter().map(|pair| {
                let per_second = 1.0 / pair.spin.seconds();
                (weight_of(pair), per_second, pair.grade.ratio())
            })
        };
        let weight: f64 = points().map(|(w, ..)| w).sum();
        let centre_per_s = points().map(|(w, x, _)| w * x).sum::<f64>() / weight;
        let centre_grade = points().map(|(w, _, y)| w * y).sum::<f64>() / weight;
        let about = |x: f64| x - centre_per_s;
        let spread: f64 = points().map(|(w, x, _)| w * about(x) * about(x)).sum();
        let joint: f64 = points()
            .map(|(w, x, y)| w * about(x) * (y - centre_grade))
            .sum();
        Self {
            centre_per_s,
            centre_grade,
            slope_s: joint / spread,
            weight,
            spread,
        }
    }

    fn at(&self, per_second: f64) -> f64 {
        self.centre_grade + self.slope_s * (per_second - self.centre_per_s)
    }

    /// Variance of the line at x, for weights that are inverse variances.
    fn variance(&self, per_second: f64) -> f64 {
        let off = per_second - self.centre_per_s;
        1.0 / self.weight + off * off / self.spread
    }
}

/// Eq. (j).
fn scale2(pairs: &[Pair], scatter: Scatter, line: &Line) -> f64 {
    let squares = pairs.iter().map(|pair| {
        let off = pair.grade.ratio() - line.at(1.0 / pair.spin.seconds());
        scatter.weight(line.slope_s, pair.spin) * off * off
    });
    squares.sum::<f64>() / degrees(pairs.len())
}

/// A line leaves n − 2 degrees of freedom.
#[expect(
    clippy::cast_precision_loss,
    reason = "a shop has far fewer than 2^53 cars"
)]
fn degrees(pair_count: usize) -> f64 {
    pair_count as f64 - 2.0
}

fn check_scatter(scatter: Scatter) -> Result<(), SpinError> {
    positive("uncertainty of a grade reading", scatter.reading.ratio())?;
    not_negative("relative scatter from car to car", scatter.relative)
}

fn check_pairs(pairs: &[Pair]) -> Result<(Time, Time), SpinError> {
    if pairs.len() < PAIRS_MIN {
        return Err(SpinError::TooFewPairs {
            found: pairs.len(),
            needed: PAIRS_MIN,
        });
    }
    let (mut shortest, mut longest) = (pairs[0].spin, pairs[0].spin);
    for pair in pairs {
        positive("spin time, s", pair.spin.seconds())?;
        positive("rolling grade", pair.grade.ratio())?;
        if pair.spin < shortest {
            shortest = pair.spin;
        }
        if pair.spin > longest {
            longest = pair.spin;
        }
    }
    let found = longest.seconds() / shortest.seconds();
    if found < SPIN_RATIO_MIN {
        return Err(SpinError::SpinsTooAlike {
            found,
            needed: SPIN_RATIO_MIN,
        });
    }
    Ok((shortest, longest))
}

fn positive_slope(found_s: f64) -> Result<(), SpinError> {
    if found_s > 0.0 {
        Ok(())
    } else {
        Err(SpinError::SlopeNotPositive { found_s })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_trial_programs_three_passes_are_reproduced() {
        // The trial program started its weights from the slope its pairs were drawn with, 0.19 s, and
        // made three passes; that start is reproduced here, the product itself does not know it.
        let vectors: serde_json::Value =
            serde_json::from_str(include_str!("../../../tests/vectors/a2_spin.json"))
                .expect("the vectors are JSON");
        let case = &vectors["calib"];
        let number = |value: &serde_json::Value| value.as_f64().expect("a number");
        let list = |key: &str| case[key].as_array().expect("a list").clone();
        let pairs: Vec<_> = list("t")
            .iter()
            .zip(&list("grade"))
            .map(|(spin, grade)| Pair {
                spin: Time::from_seconds(number(spin)).expect("finite"),
                grade: Grade::from_ratio(number(grade)).expect("finite"),
            })
            .collect();
        let scatter = Scatter {
            reading: Grade::from_ratio(number(&case["sd_read"])).expect("finite"),
            relative: number(&case["cv_mult"]),
        };
        let near = |found: f64, want: &serde_json::Value| {
            let want = number(want);
            assert!((found / want - 1.0).abs() < 1e-10, "{found} {want}");
        };
        let weighted =
            |slope_s: f64| Line::through(&pairs, |pair| scatter.weight(slope_s, pair.spin));
        let line = (0..3).fold(weighted(0.19), |line, pass| {
            if pass == 0 {
                line
            } else {
                weighted(line.slope_s)
            }
        });
        near(line.at(0.0), &case["beta"][0]);
        near(line.slope_s, &case["beta"][1]);
        // The errors take the weights once more from the final slope.
        let spread = weighted(line.slope_s);
        let scale2 = scale2(&pairs, scatter, &line);
        near((scale2 * spread.variance(0.0)).sqrt(), &case["se"][0]);
        near((scale2 / spread.spread).sqrt(), &case["se"][1]);
        near(line.at(0.05), &case["pred20"]);
        let own = 1.0 / scatter.weight(line.slope_s, Time::from_seconds(20.0).expect("finite"));
        let variance = scale2 * (own + spread.variance(0.05));
        let factor = two_sided_factor(22.0, 0.95).expect("in range");
        near(factor * variance.sqrt(), &case["half95"]);
        // Standing still, the line is the same to the four digits the trial program's report prints.
        let settled = Calibration::fit(&pairs, scatter).expect("24 pairs");
        assert!((settled.slope_s().0 - line.slope_s).abs() < 5e-5);
    }
}
