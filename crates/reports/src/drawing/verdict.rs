//! The shape of each verdict, told apart by outline alone.
//!
//! fit a ring with a tick, watch a triangle with a bar, bad order a filled block with a cross cut
//! out, not checked a dashed ring with a question mark, stale a dashed ring with clock hands.

use gradeworthy_workbench::Verdict;
use maud::{Markup, html};

use super::canvas::{outline, px};

/// Half the size of a shape, in pixels.
pub(super) const HALF: f64 = 9.0;

/// The class that gives a verdict its colour.
pub(super) fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fit => "gw-fit",
        Verdict::Watch => "gw-watch",
        Verdict::BadOrder => "gw-bad",
        Verdict::NotChecked | Verdict::Stale => "gw-open",
    }
}

/// The shape of `verdict` about a point.
pub(super) fn shape(verdict: Verdict, x: f64, y: f64) -> Markup {
    html! {
        g class=(class(verdict)) data-verdict=(verdict.word()) {
            @match verdict {
                Verdict::Fit => {
                    circle cx=(px(x)) cy=(px(y)) r=(px(HALF)) {}
                    path d=(outline(&[(x - 4.5, y), (x - 1.0, y + 4.0), (x + 5.0, y - 4.5)], false)) {}
                }
                Verdict::Watch => {
                    path d=(outline(&[(x, y - HALF), (x + HALF + 1.0, y + HALF - 1.0),
                        (x - HALF - 1.0, y + HALF - 1.0)], true)) {}
                    path d=(outline(&[(x, y - 3.5), (x, y + 1.5)], false)) {}
                    path d=(outline(&[(x, y + 3.5), (x, y + 5.5)], false)) {}
                }
                Verdict::BadOrder => {
                    path d=(block_without_cross(x, y)) fill="currentColor" fill-rule="evenodd"
                        stroke="none" {}
                }
                Verdict::NotChecked => {
                    circle cx=(px(x)) cy=(px(y)) r=(px(HALF)) stroke-dasharray="4 3" {}
                    path d=(question(x, y)) {}
                    path d=(outline(&[(x, y + 4.5), (x, y + 6.0)], false)) {}
                }
                Verdict::Stale => {
                    circle cx=(px(x)) cy=(px(y)) r=(px(HALF)) stroke-dasharray="4 3" {}
                    path d=(outline(&[(x, y - 5.5), (x, y), (x + 4.0, y + 3.0)], false)) {}
                }
            }
        }
    }
}

fn question(x: f64, y: f64) -> String {
    let at = |dx: f64, dy: f64| format!("{} {}", px(x + dx), px(y + dy));
    format!(
        "M{} C{} {} {} C{} {} {}",
        at(-3.0, -2.5),
        at(-3.0, -7.0),
        at(3.5, -7.0),
        at(3.5, -2.5),
        at(3.5, 0.0),
        at(0.0, -0.5),
        at(0.0, 2.5),
    )
}

/// A square with its corners off, and a cross to be left out by the even-odd rule.
fn block_without_cross(x: f64, y: f64) -> String {
    let (h, c) = (HALF + 0.5, 4.0);
    let block = [
        (x - h + c, y - h),
        (x + h - c, y - h),
        (x + h, y - h + c),
        (x + h, y + h - c),
        (x + h - c, y + h),
        (x - h + c, y + h),
        (x - h, y + h - c),
        (x - h, y - h + c),
    ];
    let (arm, thick) = (5.0, 2.4);
    let cross = [
        (0.0, -thick),
        (arm - thick / 2.0, -arm - thick / 2.0),
        (arm + thick / 2.0, -arm + thick / 2.0),
        (thick, 0.0),
        (arm + thick / 2.0, arm - thick / 2.0),
        (arm - thick / 2.0, arm + thick / 2.0),
        (0.0, thick),
        (-arm + thick / 2.0, arm + thick / 2.0),
        (-arm - thick / 2.0, arm - thick / 2.0),
        (-thick, 0.0),
        (-arm - thick / 2.0, -arm + thick / 2.0),
        (-arm + thick / 2.0, -arm - thick / 2.0),
    ]
    .map(|(dx, dy)| (x + dx, y + dy));
    format!("{} {}", outline(&block, true), outline(&cross, true))
}
