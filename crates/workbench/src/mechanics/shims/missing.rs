//! What to buy or cut when nothing in stock cures the car.

use gradeworthy_units::Length;

use super::search::{Options, Problem, best};
use super::stacks::AnyStrip;
use super::{ShimAnswer, ShimError, ShimTask, Stores};

/// Steps of strip considered in one place at most: 400 times 0.005 in is 51 mm, beyond which a car
/// has another fault.
const STEPS_MAX: i64 = 400;

/// Runs the search with strip of every thickness to be had.
pub(super) fn what_is_missing(
    problem: &Problem,
    task: &ShimTask<'_>,
    stores: &Stores<'_>,
) -> Result<ShimAnswer, ShimError> {
    let strip = AnyStrip {
        step_nm: stores.strip_step.nanometres(),
        steps_max: steps_max(problem, task, stores.strip_step),
    };
    let options = Options::new(task, stores, &problem.scales, Some(strip))?;
    Ok(match best(problem, &options) {
        Some(found) => ShimAnswer::Missing {
            wanted: options.strips(&found),
            with_them: problem.cure(&options, &found),
        },
        None => ShimAnswer::NoStripWouldDo {
            strip_step: stores.strip_step,
            allowed: (task.tolerance - task.guard) * 2,
        },
    })
}

/// Strip thick enough to make up both couplers' errors and whatever it may have to replace.
fn steps_max(problem: &Problem, task: &ShimTask<'_>, step: Length) -> i64 {
    let off_nm = |scaled: i64| scaled.abs() / problem.lever.centres_nm;
    let fitted: Length = [task.fitted_washers, task.fitted_box_shims]
        .iter()
        .flat_map(|fitted| fitted.a.iter().chain(fitted.b))
        .copied()
        .sum();
    let thickest_nm = off_nm(problem.off.a)
        + off_nm(problem.off.b)
        + 2 * off_nm(problem.allowed)
        + fitted.nanometres();
    (thickest_nm / step.nanometres() + 1).min(STEPS_MAX)
}
