//! The linear equations of a Newton step: symmetric, tridiagonal, eliminated from both ends at once.
//!
//! (20) `d_i δ_i − j_i δ_{i−1} − j_{i+1} δ_{i+1} = g_i`
//!
//! Elimination from the head and from the rear meets in the middle, so that two chains of divisions
//! run side by side; from one end alone (Thomas) the processor waits for each division.
//! No pivoting: the mass keeps every d above the sum of its j.

use super::number::Number;

/// Solves (20) in place: `right` becomes δ. `join[i]` is `j_i`, the tie of row i to the row before;
/// `join[0]` is not used, `diagonal` and `join` are spent.
#[inline(always)]
pub(super) fn solve<N: Number>(diagonal: &mut [N], join: &mut [N], right: &mut [N]) {
    let n = diagonal.len();
    let (diagonal, join, right) = (&mut diagonal[..n], &mut join[..n], &mut right[..n]);
    let Some(last) = n.checked_sub(1) else { return };
    let middle = n / 2;
    let one = N::all(1.0);
    // From the head, rows 0..middle; from the rear, rows last..middle. The head has one row more
    // or as many.
    let below = last - middle;
    let (mut top_d, mut top_g) = (diagonal[0], right[0]);
    let (mut end_d, mut end_g) = (diagonal[last], right[last]);
    for step in 0..below {
        let (i, r) = (step, last - step);
        let (top_w, end_w) = (one / top_d, one / end_d);
        let (top_j, end_j) = (join[i + 1], join[r]);
        let (top_l, end_l) = (top_j * top_w, end_j * end_w);
        right[i] = top_g * top_w;
        right[r] = end_g * end_w;
        join[i + 1] = top_l;
        join[r] = end_l;
        top_d = diagonal[i + 1] - top_l * top_j;
        top_g = right[i + 1] + top_l * top_g;
        end_d = diagonal[r - 1] - end_l * end_j;
        end_g = right[r - 1] + end_l * end_g;
    }
    if middle > below {
        // One more row from the head, into the row that the rear has reached.
        let i = below;
        let top_w = one / top_d;
        let top_j = join[i + 1];
        let top_l = top_j * top_w;
        right[i] = top_g * top_w;
        join[i + 1] = top_l;
        end_d -= top_l * top_j;
        end_g += top_l * top_g;
    } else {
        // Both have reached the same row, which each has only seen from its own side.
        end_d = end_d + top_d - diagonal[middle];
        end_g = end_g + top_g - right[middle];
    }
    let (mut top, mut end) = (end_g / end_d, end_g / end_d);
    right[middle] = top;
    if middle > below {
        top = right[below] + join[below + 1] * top;
        right[below] = top;
    }
    for step in (0..below).rev() {
        let (i, r) = (step, last - step);
        top = right[i] + join[i + 1] * top;
        end = right[r] + join[r] * end;
        right[i] = top;
        right[r] = end;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gaussian elimination with pivoting, written without a thought for speed.
    fn dense(mut rows: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
        let n = right.len();
        for column in 0..n {
            let pivot = (column..n)
                .max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()))
                .expect("a row");
            rows.swap(column, pivot);
            right.swap(column, pivot);
            for row in column + 1..n {
                let factor = rows[row][column] / rows[column][column];
                let pivot = rows[column].clone();
                for (own, other) in rows[row].iter_mut().zip(&pivot).skip(column) {
                    *own -= factor * other;
                }
                right[row] -= factor * right[column];
            }
        }
        for row in (0..n).rev() {
            let known: f64 = (row + 1..n).map(|k| rows[row][k] * right[k]).sum();
            right[row] = (right[row] - known) / rows[row][row];
        }
        right
    }

    #[test]
    fn both_ends_at_once_find_what_dense_elimination_finds() {
        for n in 1..14 {
            let join: Vec<f64> = (0..n).map(|i| 0.3 + f64::from((i * 7) % 5)).collect();
            let right: Vec<f64> = (0..n).map(|i| f64::from((i * 11) % 7) - 2.5).collect();
            let count = usize::try_from(n).expect("small");
            let diagonal: Vec<f64> = (0..count)
                .map(|i| 0.2 + join[i] + join.get(i + 1).copied().unwrap_or(0.0))
                .collect();
            let mut rows = vec![vec![0.0; count]; count];
            for i in 0..count {
                rows[i][i] = diagonal[i];
                if i > 0 {
                    rows[i][i - 1] = -join[i];
                    rows[i - 1][i] = -join[i];
                }
            }
            let expected = dense(rows, right.clone());
            let (mut d, mut j, mut g) = (diagonal, join, right);
            solve(&mut d, &mut j, &mut g);
            for (got, wanted) in g.iter().zip(&expected) {
                assert!(
                    (got - wanted).abs() < 1e-11 * (1.0 + wanted.abs()),
                    "{n}: {g:?} {expected:?}"
                );
            }
        }
    }
}
