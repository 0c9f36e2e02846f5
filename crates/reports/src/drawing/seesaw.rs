//! A balance: a beam on a fulcrum that goes down on the heavier side.
//!
//! The beam's ends move by 14 px for an imbalance at its limit, at most 26 px.
//! Where no limit is known the caller's usual one sets the size, and the band is left out.

use gradeworthy_workbench::Verdict;
use maud::{Markup, html};

use super::canvas::{guide, outline, px};
use super::exaggeration::Exaggeration;
use super::verdict;

/// A beam between two ends.
pub(super) struct Seesaw {
    /// Where the beam rests, and half its length.
    pub(super) fulcrum: (f64, f64),
    pub(super) half: f64,
    /// Imbalance, positive when the left hand is heavier, and the limit on its size.
    pub(super) left_heavy: f64,
    pub(super) limit: Option<f64>,
    /// What stands for the limit where there is none, in the same unit; above zero.
    pub(super) usual: f64,
    pub(super) verdict: Verdict,
}

const LIMIT_PX: f64 = 14.0;
const PX_MAX: f64 = 26.0;

impl Seesaw {
    /// How far the left end goes down, in pixels.
    pub(super) fn drop(&self) -> f64 {
        let limit = self.limit.filter(|limit| *limit > 0.0);
        Exaggeration::drawing(limit.unwrap_or(self.usual), LIMIT_PX, PX_MAX)
            .map_or(0.0, |by| by.of(self.left_heavy).px)
    }

    pub(super) fn draw(&self) -> Markup {
        let (x, y) = self.fulcrum;
        let (left, right) = (x - self.half, x + self.half);
        let drop = self.drop();
        let band = outline(
            &[
                (left, y - LIMIT_PX),
                (right, y + LIMIT_PX),
                (right, y - LIMIT_PX),
                (left, y + LIMIT_PX),
            ],
            true,
        );
        html! {
            g data-part="balance" {
                @if self.limit.is_some() {
                    path class="gw-band" d=(band) fill="currentColor" fill-opacity="0.15"
                        stroke="none" {}
                }
                (guide((left, y), (right, y)))
                path d=(outline(&[(x, y + 2.0), (x + 10.0, y + 18.0), (x - 10.0, y + 18.0)], true)) {}
                g class=(verdict::class(self.verdict)) {
                    line data-part="beam" x1=(px(left)) y1=(px(y + drop)) x2=(px(right))
                        y2=(px(y - drop)) stroke-width="5" {}
                }
            }
        }
    }
}
