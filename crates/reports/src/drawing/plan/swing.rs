//! How far each truck turns against how far the tightest curve asks it to.
//!
//! A fan opens from the bolster towards the middle of the car. The shaded part is what the curve
//! needs, together with the clearance that the rule book asks beyond it; the two rays are what was
//! reached, each on the side its reading is named for.

use gradeworthy_units::{Amount, Angle};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::{Axles, End, Measure, Place, Side};
use gradeworthy_workbench::rules::Limited;
use maud::{Markup, html};

use super::super::canvas::{outline, px};
use super::super::captions::Caption;
use super::super::verdict::class;
use super::{MIDDLE, View, outward};
use crate::words::amount;

/// Widest that a fan opens to each side, and the most that the factor is chosen to give to what is
/// needed and to what was reached, degrees.
const OPEN_MAX: f64 = 55.0;
const NEEDED_DRAWN: f64 = 20.0;
const REACHED_DRAWN: f64 = 40.0;

/// The swing of one truck to one side, degrees.
#[derive(Clone, Copy)]
struct Swing {
    reached: f64,
    /// What the curve needs and what the book asks beyond it.
    needed: f64,
    asked: f64,
    verdict: Verdict,
}

impl View<'_> {
    fn swing_of(&self, end: End, side: Side) -> Option<Swing> {
        let place = Place::Turn(end, side);
        let reached = self.seen.number(Measure::TruckSwing, place)?;
        let line = self.seen.line(Limited::TruckSwing, place)?;
        let needed = reached - line.reading?.base();
        let beyond = line.lower.map_or(0.0, Amount::base);
        Some(Swing {
            reached,
            needed,
            asked: needed + beyond,
            verdict: line.verdict,
        })
    }

    /// How many times too far swing is drawn; `None` where none was judged.
    pub(super) fn swing_times(&self) -> Option<f64> {
        let turns = End::BOTH
            .into_iter()
            .flat_map(|end| Side::BOTH.map(|side| (end, side)));
        let swings: Vec<_> = turns
            .filter_map(|(end, side)| self.swing_of(end, side))
            .collect();
        let needed = swings.iter().map(|swing| swing.asked).reduce(f64::max)?;
        let reached = swings.iter().map(|swing| swing.reached).reduce(f64::max)?;
        let times = (NEEDED_DRAWN / needed.max(1.0)).min(REACHED_DRAWN / reached.max(1.0));
        Some(times.floor().clamp(1.0, 8.0))
    }

    pub(super) fn swing(&self, end: End) -> Markup {
        let Some(times) = self.swing_times().filter(|_| self.car.axles != Axles::Two) else {
            return html! {};
        };
        let bolster = self.x(self.car.bolster(end));
        let inner = (self.car.centres.mm - self.car.wheelbase.mm) * self.scale;
        let radius =
            (0.42 * inner).clamp(20.0, 120.0) + self.car.wheelbase.mm / 2.0 * self.scale * 0.5;
        let inward = -outward(end);
        let ray = |degrees: f64, way: f64, length: f64| {
            let turn = (degrees * times).clamp(0.0, OPEN_MAX).to_radians();
            (
                bolster + inward * length * turn.cos(),
                MIDDLE + way * length * turn.sin(),
            )
        };
        html! {
            g data-part="swing" {
                @for side in Side::BOTH {
                    @let way = if side == Side::Left { 1.0 } else { -1.0 };
                    @if let Some(swing) = self.swing_of(end, side) {
                        @for (degrees, fill) in [(swing.asked, "0.1"), (swing.needed, "0.2")] {
                            path stroke="none" fill="currentColor" fill-opacity=(fill) d=(outline(&[
                                (bolster, MIDDLE), ray(0.0, way, radius),
                                ray(degrees / 2.0, way, radius), ray(degrees, way, radius)], true)) {}
                        }
                        @let (x, y) = ray(swing.reached, way, radius + 12.0);
                        g class=(class(swing.verdict)) data-swing=(px(swing.reached * times)) {
                            path stroke-width="1.5" d=(outline(&[(bolster, MIDDLE), (x, y)], false)) {}
                            circle cx=(px(x)) cy=(px(y)) r="5" fill="currentColor" {}
                        }
                    }
                }
                circle cx=(px(bolster)) cy=(px(MIDDLE)) r="4" fill="currentColor" {}
            }
        }
    }

    /// One caption where both sides read alike, else one for each side.
    pub(super) fn swing_captions(&self, end: End) -> Vec<Caption> {
        let degrees = |value: f64| {
            Angle::from_degrees(value)
                .map_or_else(|_| String::new(), |a| amount(a.into(), self.system))
        };
        let caption = |about: &str, side: Side| match self.swing_of(end, side) {
            Some(swing) => Caption::new(
                swing.verdict,
                about,
                format!(
                    "{} of {} needed",
                    degrees(swing.reached),
                    degrees(swing.needed)
                ),
            ),
            None => match self
                .seen
                .amount(Measure::TruckSwing, Place::Turn(end, side))
            {
                Some(read) => {
                    let words = format!("{}, not judged", amount(read, self.system));
                    Caption::new(Verdict::NotChecked, about, words)
                }
                None => Caption::not_read(about),
            },
        };
        let [left, right] = Side::BOTH.map(|side| caption("swing", side));
        if left == right {
            return vec![left];
        }
        vec![
            caption("swing left", Side::Left),
            caption("swing right", Side::Right),
        ]
    }
}
