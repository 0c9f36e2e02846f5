//! Symmetric positive-definite band matrices: factor, solve, determinant, band of the inverse.
//!
//! Symbols: n rows, w bands below the diagonal; A = L D Lᵀ with unit lower-triangular L.
//! Cost: n w² to factor and to invert inside the band, n w to solve; the whole inverse is never
//! formed.
//!
//! Source of the inverse inside the band: K. Takahashi, J. Fagan, M. Chen, 'Formation of a sparse
//! bus impedance matrix', PICA 1973 (from memory); the recursion is derived at its function and
//! checked there against solving column by column.

/// A symmetric matrix of which only the diagonal and `width` bands below it are not zero.
#[derive(Clone, Debug)]
pub(super) struct Band {
    size: usize,
    width: usize,
    /// Row i holds A(i, i), A(i, i−1), … A(i, i−width).
    cells: Vec<f64>,
}

impl Band {
    /// A matrix of zeros.
    pub(super) fn zeros(size: usize, width: usize) -> Self {
        Self {
            size,
            width,
            cells: vec![0.0; size * (width + 1)],
        }
    }

    /// Adds `weight · r rᵀ` for the row r that starts at column `start`.
    pub(super) fn add_square(&mut self, start: usize, row: &[f64], weight: f64) {
        for (a, &left) in row.iter().enumerate() {
            for (b, &right) in row.iter().enumerate().take(a + 1) {
                self.cells[(start + a) * (self.width + 1) + (a - b)] += weight * left * right;
            }
        }
    }

    /// `self + factor · other`, both of one shape.
    pub(super) fn plus(&self, factor: f64, other: &Self) -> Self {
        let cells = self.cells.iter().zip(&other.cells);
        Self {
            cells: cells.map(|(a, b)| a + factor * b).collect(),
            ..*self
        }
    }

    /// The sum of the diagonal.
    pub(super) fn trace(&self) -> f64 {
        (0..self.size).map(|i| self.at(i, 0)).sum()
    }

    fn at(&self, i: usize, below: usize) -> f64 {
        self.cells[i * (self.width + 1) + below]
    }

    /// L and D, or `None` where a pivot is not positive and the matrix therefore not definite.
    pub(super) fn factor(mut self) -> Option<Factor> {
        for j in 0..self.size {
            for below in (0..=self.width.min(j)).rev() {
                // Column k = j − below of row j; both rows reach back to `first`.
                let k = j - below;
                let first = j
                    .saturating_sub(self.width)
                    .max(k.saturating_sub(self.width));
                let mut sum = self.at(j, below);
                for m in first..k {
                    sum -= self.at(j, j - m) * self.at(k, k - m) * self.at(m, 0);
                }
                let value = if below == 0 { sum } else { sum / self.at(k, 0) };
                if below == 0 && (value <= 0.0 || !value.is_finite()) {
                    return None;
                }
                self.cells[j * (self.width + 1) + below] = value;
            }
        }
        Some(Factor(self))
    }

    /// `rᵀ A r` for a row that starts at column `start` and is no longer than the band.
    pub(super) fn quadratic(&self, start: usize, row: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (a, &left) in row.iter().enumerate() {
            sum += left * left * self.at(start + a, 0);
            for (b, &right) in row.iter().enumerate().take(a) {
                sum += 2.0 * left * right * self.at(start + a, a - b);
            }
        }
        sum
    }
}

/// A factored band matrix: D on the diagonal, L below it.
#[derive(Clone, Debug)]
pub(super) struct Factor(Band);

impl Factor {
    /// Solves A x = `right`.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let Band { size, width, .. } = self.0;
        let mut x = right.to_vec();
        for i in 0..size {
            for below in 1..=width.min(i) {
                x[i] -= self.0.at(i, below) * x[i - below];
            }
        }
        for (i, value) in x.iter_mut().enumerate() {
            *value /= self.0.at(i, 0);
        }
        for i in (0..size).rev() {
            for below in 1..=width.min(size - 1 - i) {
                x[i] -= self.0.at(i + below, below) * x[i + below];
            }
        }
        x
    }

    /// ln det A.
    pub(super) fn log_determinant(&self) -> f64 {
        (0..self.0.size).map(|i| self.0.at(i, 0).ln()).sum()
    }

    /// The cells of A⁻¹ that lie inside the band.
    ///
    /// From A⁻¹ = Z: Z L D = L⁻ᵀ, an upper-triangular matrix with unit diagonal, so that for
    /// k ≥ j: Z(k, j) = [k = j]/D(j) − Σ L(m, j) Z(k, m) over the band m > j. (1)
    /// Every Z on the right lies inside the band and is known when j runs downwards.
    pub(super) fn inverse_band(&self) -> Band {
        let Band { size, width, .. } = self.0;
        let mut inverse = Band::zeros(size, width);
        for j in (0..size).rev() {
            let last = (j + width).min(size - 1);
            for k in (j..=last).rev() {
                let mut value = if k == j { 1.0 / self.0.at(j, 0) } else { 0.0 };
                for m in j + 1..=last {
                    let (low, high) = (k.min(m), k.max(m));
                    value -= self.0.at(m, m - j) * inverse.at(high, high - low); // (1)
                }
                inverse.cells[k * (width + 1) + (k - j)] = value;
            }
        }
        inverse
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Band {
        let mut matrix = Band::zeros(7, 2);
        for i in 0..7 {
            matrix.add_square(
                i,
                &[1.0 + 0.1 * f64::from(u8::try_from(i).expect("small"))],
                2.0,
            );
        }
        for i in 0..5 {
            matrix.add_square(i, &[1.0, -2.0, 1.0], 3.0);
        }
        matrix
    }

    fn times(matrix: &Band, x: &[f64]) -> Vec<f64> {
        let cell = |i: usize, j: usize| {
            let (low, high) = (i.min(j), i.max(j));
            if high - low <= matrix.width {
                matrix.at(high, high - low)
            } else {
                0.0
            }
        };
        (0..matrix.size)
            .map(|i| (0..matrix.size).map(|j| cell(i, j) * x[j]).sum())
            .collect()
    }

    #[test]
    fn a_solution_multiplied_back_is_the_right_hand_side() {
        let matrix = example();
        let right = [1.0, -2.0, 0.5, 4.0, 0.0, -1.0, 2.0];
        let x = matrix.clone().factor().expect("definite").solve(&right);
        for (found, wanted) in times(&matrix, &x).iter().zip(right) {
            assert!((found - wanted).abs() < 1e-12, "{found} {wanted}");
        }
    }

    #[test]
    fn the_band_of_the_inverse_agrees_with_solving_column_by_column() {
        let factor = example().factor().expect("definite");
        let inverse = factor.inverse_band();
        let mut determinant = 1.0;
        for j in 0..7 {
            let mut unit = vec![0.0; 7];
            unit[j] = 1.0;
            let column = factor.solve(&unit);
            for (k, wanted) in column.iter().enumerate().take((j + 3).min(7)).skip(j) {
                assert!((inverse.at(k, k - j) - wanted).abs() < 1e-13, "{k} {j}");
            }
            determinant *= factor.0.at(j, 0);
        }
        assert!((factor.log_determinant() - determinant.ln()).abs() < 1e-12);
        let quadratic = inverse.quadratic(2, &[1.0, -1.0, 0.5]);
        let solved = factor.solve(&[0.0, 0.0, 1.0, -1.0, 0.5, 0.0, 0.0]);
        let wanted = solved[2] - solved[3] + 0.5 * solved[4];
        assert!((quadratic - wanted).abs() < 1e-13);
    }

    #[test]
    fn a_matrix_that_is_not_definite_has_no_factor() {
        let mut matrix = Band::zeros(3, 1);
        matrix.add_square(0, &[1.0, 1.0], 1.0);
        assert!(matrix.factor().is_none());
    }
}
