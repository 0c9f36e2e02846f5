//! Work on every car, on two threads.

use crate::fleet::Row;

/// Rows below which a second thread costs more than it saves. ASSUMED: a thread costs some 50 µs to
/// start and a car some 15 µs to judge; a wrong figure costs no more than the start of one thread.
const FEW: usize = 64;

/// What `work` makes of each row, in the order of the rows.
///
/// Two threads and no more: a shop's old computer has two processors, and pages are served meanwhile.
pub(crate) fn in_halves<T: Send>(rows: &[Row], work: impl Fn(Row) -> T + Sync) -> Vec<T> {
    let each = |rows: &[Row]| -> Vec<T> { rows.iter().map(|row| work(*row)).collect() };
    if rows.len() < FEW {
        return each(rows);
    }
    let (front, back) = rows.split_at(rows.len() / 2);
    std::thread::scope(|scope| {
        let second = scope.spawn(|| each(back));
        let mut done = each(front);
        match second.join() {
            Ok(rest) => done.extend(rest),
            Err(panic) => std::panic::resume_unwind(panic),
        }
        done
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_is_that_of_the_rows() {
        for count in [0, 1, FEW - 1, FEW, FEW + 1, 999] {
            let rows: Vec<Row> = (0..count).rev().collect();
            assert_eq!(in_halves(&rows, |row| row), rows);
        }
    }
}
