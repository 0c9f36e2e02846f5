//! B-splines on breakpoints of any spacing: values and derivatives at a place.
//!
//! Symbols: degree p; breakpoints t₀ < … < tₘ in metres; m + p basis functions; at any place only
//! p + 1 of them are not zero. The knots beyond both ends repeat the spacing of the end interval,
//! and a place beyond an end is served by the end polynomial.
//! Source: the recursion of Cox and de Boor and its derivative, C. de Boor, 'A Practical Guide to
//! Splines', 1978, chapters IX and X (from memory); checked below by sums, moments and
//! differences.

/// A family of B-splines.
#[derive(Clone, Debug)]
pub(super) struct Spline {
    degree: usize,
    /// Breakpoints with `degree` more on either side.
    knots: Vec<f64>,
}

/// The basis functions that are not zero at a place: coefficients `start..start + values.len()`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// The first coefficient.
    pub(super) start: usize,
    /// One number for each coefficient from there on.
    pub(super) values: Vec<f64>,
}

impl Row {
    /// The scalar product with the coefficients.
    pub(super) fn dot(&self, coefficients: &[f64]) -> f64 {
        let reached = &coefficients[self.start..self.start + self.values.len()];
        self.values.iter().zip(reached).map(|(a, b)| a * b).sum()
    }

    /// `self + factor · other`, over the columns of both.
    pub(super) fn plus(&self, factor: f64, other: &Self) -> Self {
        let start = self.start.min(other.start);
        let end = (self.start + self.values.len()).max(other.start + other.values.len());
        let mut values = vec![0.0; end - start];
        for (row, by) in [(self, 1.0), (other, factor)] {
            for (k, value) in row.values.iter().enumerate() {
                values[row.start - start + k] += by * value;
            }
        }
        Self { start, values }
    }

    /// Every number times `factor`.
    pub(super) fn times(mut self, factor: f64) -> Self {
        self.values.iter_mut().for_each(|value| *value *= factor);
        self
    }
}

impl Spline {
    /// Splines of `degree` on at least two rising `breakpoints`.
    pub(super) fn new(degree: usize, breakpoints: &[f64]) -> Self {
        let last = breakpoints.len() - 1;
        let first_step = breakpoints[1] - breakpoints[0];
        let last_step = breakpoints[last] - breakpoints[last - 1];
        let mut knots = Vec::with_capacity(breakpoints.len() + 2 * degree);
        let mut before = vec![breakpoints[0]];
        for _ in 0..degree {
            before.push(before[before.len() - 1] - first_step);
        }
        knots.extend(before.iter().skip(1).rev());
        knots.extend_from_slice(breakpoints);
        for _ in 0..degree {
            knots.push(knots[knots.len() - 1] + last_step);
        }
        Self { degree, knots }
    }

    /// How many coefficients the family has.
    pub(super) fn size(&self) -> usize {
        self.knots.len() - self.degree - 1
    }

    /// The `derivative`-th derivative of the basis functions at `place`.
    pub(super) fn row(&self, place: f64, derivative: usize) -> Row {
        let interval = self.interval(place);
        let values = self.basis(interval, place, self.degree, derivative);
        Row {
            start: interval - self.degree,
            values,
        }
    }

    /// The index of the knot at the left of the interval that serves `place`.
    fn interval(&self, place: f64) -> usize {
        let first = self.degree;
        let last = self.knots.len() - self.degree - 2;
        let after = self.knots.partition_point(|&knot| knot <= place);
        after.saturating_sub(1).clamp(first, last)
    }

    /// Values on `interval` of the `degree + 1` basis functions that end there.
    fn basis(&self, interval: usize, place: f64, degree: usize, derivative: usize) -> Vec<f64> {
        if derivative > degree {
            return vec![0.0; degree + 1];
        }
        if degree == 0 {
            return vec![1.0];
        }
        let differentiate = derivative > 0;
        let lower = self.basis(interval, place, degree - 1, derivative.saturating_sub(1));
        let mut values = vec![0.0; degree + 1];
        for (j, &value) in lower.iter().enumerate() {
            // Lower basis function j lives between knots `left` and `right`.
            let left = self.knots[interval + 1 + j - degree];
            let right = self.knots[interval + 1 + j];
            let scaled = value / (right - left);
            if differentiate {
                let slope = scaled * count(degree);
                values[j] -= slope;
                values[j + 1] += slope;
            } else {
                values[j] += scaled * (right - place);
                values[j + 1] += scaled * (place - left);
            }
        }
        values
    }
}

/// A count as a number.
#[expect(clippy::cast_precision_loss, reason = "counts here are far below 2^53")]
pub(super) fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    const BREAKPOINTS: [f64; 6] = [0.0, 0.1, 0.25, 0.3, 0.55, 0.6];

    #[test]
    fn values_sum_to_one_and_derivatives_to_nothing_everywhere() {
        for degree in 1..=4 {
            let spline = Spline::new(degree, &BREAKPOINTS);
            assert_eq!(spline.size(), BREAKPOINTS.len() - 1 + degree);
            for place in [-0.05, 0.0, 0.1, 0.17, 0.3, 0.6, 0.62] {
                let sum = |d| spline.row(place, d).values.iter().sum::<f64>();
                assert!((sum(0) - 1.0).abs() < 1e-12, "{degree} {place}");
                assert!(sum(1).abs() < 1e-9, "{degree} {place}");
            }
        }
    }

    #[test]
    fn derivatives_agree_with_differences_of_the_values() {
        let spline = Spline::new(3, &BREAKPOINTS);
        let coefficients: Vec<f64> = (0..spline.size()).map(|k| (count(k) * 1.7).sin()).collect();
        let value = |s, d| spline.row(s, d).dot(&coefficients);
        let step = 1e-5;
        for place in [0.05, 0.2, 0.41, 0.58] {
            for derivative in 0..2 {
                let difference = (value(place + step, derivative)
                    - value(place - step, derivative))
                    / (2.0 * step);
                let found = value(place, derivative + 1);
                assert!(
                    (difference - found).abs() < 1e-5 * found.abs().max(1.0),
                    "{place}"
                );
            }
        }
    }

    #[test]
    fn rows_add_over_the_columns_of_both() {
        let a = Row {
            start: 2,
            values: vec![1.0, 2.0],
        };
        let b = Row {
            start: 0,
            values: vec![1.0, 1.0, 1.0],
        };
        let sum = a.plus(-2.0, &b);
        assert_eq!(
            sum,
            Row {
                start: 0,
                values: vec![-2.0, -2.0, -1.0, 2.0]
            }
        );
    }
}
