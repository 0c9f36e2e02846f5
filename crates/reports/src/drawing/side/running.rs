//! Trucks and wheels from the side, each wheel as far off the rail as its gap says.
//!
//! The near wheels are those of the left side; a far wheel shows as a thin ring where it stands
//! higher or lower than the near one.

use gradeworthy_workbench::record::{Axles, End, Measure, Place, Side};
use gradeworthy_workbench::rules::Limited;
use maud::{Markup, html};

use super::super::canvas::{Anchor, dashes, line, px, text};
use super::super::verdict::class;
use super::View;

impl View<'_> {
    /// How far a wheel stands off the rail, in pixels as drawn.
    pub(super) fn lift(&self, axle: u8, side: Side) -> Option<f64> {
        let gap = self.seen.number(Measure::Gap, Place::Wheel(axle, side))?;
        Some(self.exaggeration.of(gap).px)
    }

    /// Where the warp of the frame that carries the axles of `end` is judged.
    pub(super) fn frame(&self, end: End) -> Place {
        match self.car.axles {
            Axles::Two => Place::Car,
            Axles::Four | Axles::Six => Place::End(end),
        }
    }

    pub(super) fn truck(&self, end: End) -> Markup {
        let own = self.car.axle_places().into_iter();
        let axles: Vec<_> = own
            .filter(|(axle, _)| self.car.end_of(*axle) == end)
            .collect();
        let hub = self.rail - self.car.wheel.mm / 2.0 * self.scale;
        let (first, last) = (axles.first(), axles.last());
        html! {
            g data-part="truck" {
                @if let (Some((_, first)), Some((_, last))) = (first, last) {
                    @if axles.len() > 1 {
                        (line((self.x(*first) - FRAME_BEYOND, hub), (self.x(*last) + FRAME_BEYOND, hub),
                            self.car.wheelbase.known))
                        (line((self.x(self.car.bolster(end)), hub),
                            (self.x(self.car.bolster(end)), self.y(self.car.floor)), self.car.centres.known))
                    }
                }
                @for (axle, at) in &axles { (self.axle(*axle, self.x(*at), end)) }
            }
        }
    }

    fn axle(&self, axle: u8, x: f64, end: End) -> Markup {
        let radius = self.car.wheel.mm / 2.0 * self.scale;
        let near = self.lift(axle, Side::Left);
        let far = self.lift(axle, Side::Right);
        let verdict = self.seen.verdict(Limited::Warp, self.frame(end));
        let known = self.car.wheel.known;
        html! {
            @if let Some(far) = far.filter(|far| (far - near.unwrap_or(0.0)).abs() > 0.5) {
                g data-part="far-wheel" data-axle=(axle) data-lift=(px(far)) stroke-width="1" {
                    circle cx=(px(x)) cy=(px(self.rail - far - radius)) r=(px(radius)) {}
                }
            }
            g data-part="near-wheel" data-axle=(axle) data-lift=(px(near.unwrap_or(0.0))) {
                circle class="gw-body" cx=(px(x)) cy=(px(self.rail - near.unwrap_or(0.0) - radius))
                    r=(px(radius)) fill="currentColor" fill-opacity="0.06"
                    stroke-dasharray=[dashes(known)] {}
                circle cx=(px(x)) cy=(px(self.rail - near.unwrap_or(0.0) - radius)) r="2" {}
                (off_the_rail(x - radius * 0.5, self.rail, near.unwrap_or(0.0), class(verdict)))
                (off_the_rail(x + radius * 0.5, self.rail, far.unwrap_or(0.0), class(verdict)))
            }
            (text(x, self.rail + 20.0, Anchor::Middle, &axle.to_string()))
        }
    }
}

/// A bar in the gap between wheel and rail.
fn off_the_rail(x: f64, rail: f64, lift: f64, class: &str) -> Markup {
    html! {
        @if lift > 0.5 {
            g class=(class) {
                line x1=(px(x)) y1=(px(rail)) x2=(px(x)) y2=(px(rail - lift)) stroke-width="6" {}
            }
        }
    }
}

/// How far a side frame reaches beyond its outer axles, px.
const FRAME_BEYOND: f64 = 9.0;
