//! The car from behind its B end: centre of gravity, the angles at which it tips, side bearings.
//!
//! The height of the centre of gravity h is the inspection's; its distance y to the left is
//! h(tan R − tan L)/2, with L and R the angles at which the car tips to the left and to the right
//! (rails as tipping lines; on a plate y is short by the flange depth's share of h, a twentieth in
//! HO). The two lines from the rails to the centre of gravity stand at those angles.
//! The balance over the roof shows R − L, 14 px at its limit.

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, Line};
use gradeworthy_workbench::record::{End, Measure, Place, Record, Side};
use gradeworthy_workbench::rules::Limited;
use maud::{Markup, html};

use super::Drawing;
use super::canvas::{Anchor, Sheet, area, bold, dashes, guide, outline, px, shortened, text};
use super::captions::{Caption, PITCH, column};
use super::exaggeration::Exaggeration;
use super::proportions::Proportions;
use super::seen::{Seen, limits};
use super::seesaw::Seesaw;
use super::verdict::class;
use crate::words::{System, amount};

const WIDTH: f64 = 680.0;
const MIDDLE: f64 = 168.0;
const RAIL: f64 = 350.0;
const CAR_HEIGHT: f64 = 236.0;
const HEIGHT: f64 = 424.0;
const CAPTIONS_X: f64 = 352.0;
/// Times that a side-bearing gap is drawn too large.
const BEARING_TIMES: f64 = 8.0;

/// The car from behind its B end, so that left is left.
#[must_use]
pub fn end(record: &Record, inspection: &Inspection, system: System) -> Drawing {
    let view = View::new(Seen { record, inspection }, system);
    let captions = view.captions();
    let sheet = Sheet {
        width: WIDTH,
        height: HEIGHT,
        title: format!("{} from the B end", record.car.mark),
        said: view.sentences(&captions),
    };
    let count = u32::try_from(captions.len()).unwrap_or(0);
    let legend = 30.0 + PITCH * f64::from(count);
    sheet.finish(&html! {
        (view.body())
        (view.running())
        (view.bearings())
        (view.tipping())
        (view.lean())
        (column(CAPTIONS_X, 16.0, &captions))
        (text(CAPTIONS_X + 2.0, legend + 8.0, Anchor::Start, "Dashed: not measured."))
        @if view.bearing_gap().is_some() {
            (text(CAPTIONS_X + 2.0, legend + 30.0, Anchor::Start, &bearing_legend()))
        }
    })
}

struct View<'a> {
    seen: Seen<'a>,
    system: System,
    car: Proportions,
    scale: f64,
}

/// The centre of gravity, mm.
#[derive(Clone, Copy)]
struct Centre<'a> {
    height: f64,
    to_left: f64,
    line: &'a Line,
}

impl<'a> View<'a> {
    fn new(seen: Seen<'a>, system: System) -> Self {
        let car = Proportions::of(seen);
        let scale = (CAR_HEIGHT / car.height).min(190.0 / car.width);
        Self {
            seen,
            system,
            car,
            scale,
        }
    }

    /// Across, from mm to the left of the middle.
    fn x(&self, to_left: f64) -> f64 {
        MIDDLE - to_left * self.scale
    }

    fn y(&self, above_rail: f64) -> f64 {
        RAIL - above_rail * self.scale
    }

    fn body(&self) -> Markup {
        let half = self.car.width / 2.0 * self.scale;
        let (top, floor) = (self.y(self.car.height), self.y(self.car.floor));
        let mark = shortened(self.seen.record.car.mark.as_str(), 20);
        html! {
            rect class="gw-body" data-part="body" x=(px(MIDDLE - half)) y=(px(top)) width=(px(2.0 * half))
                height=(px(floor - top)) fill="currentColor" fill-opacity="0.06"
                stroke-dasharray=[dashes(false)] {}
            (bold(MIDDLE, 24.0, Anchor::Middle, &mark))
            (text(24.0, RAIL + 60.0, Anchor::Start, "left"))
            (text(2.0 * MIDDLE - 24.0, RAIL + 60.0, Anchor::End, "right"))
            (text(MIDDLE, RAIL + 60.0, Anchor::Middle, "B end"))
        }
    }

    /// Wheels on their rails, the flange inside.
    fn running(&self) -> Markup {
        let wheel = self.car.wheel.mm * self.scale;
        let tread = self.car.tire_width.mm * self.scale;
        let flange = self.car.model(25.4) * self.scale;
        let gauge = self.car.gauge.mm / 2.0 * self.scale;
        let axle = RAIL - wheel / 2.0;
        html! {
            (super::canvas::line((MIDDLE - gauge, axle), (MIDDLE + gauge, axle), self.car.wheel.known))
            @for way in [-1.0, 1.0] {
                @let inner = MIDDLE + way * (gauge - 0.1 * tread);
                @let outer = MIDDLE + way * (gauge + 0.75 * tread);
                @let back = MIDDLE + way * (gauge - 0.3 * tread);
                path class="gw-body" fill="currentColor" fill-opacity="0.06"
                    stroke-dasharray=[dashes(self.car.wheel.known)] d=(outline(&[
                    (back, RAIL + flange), (inner, RAIL + flange), (inner, RAIL), (outer, RAIL),
                    (outer, RAIL - wheel), (back, RAIL - wheel - flange)], true)) {}
                path fill="currentColor" data-part="rail" d=(outline(&[
                    (MIDDLE + way * gauge, RAIL + 1.0), (MIDDLE + way * (gauge + 9.0), RAIL + 1.0),
                    (MIDDLE + way * (gauge + 9.0), RAIL + 7.0), (MIDDLE + way * (gauge + 6.5), RAIL + 9.0),
                    (MIDDLE + way * (gauge + 6.5), RAIL + 22.0), (MIDDLE + way * (gauge + 2.5), RAIL + 22.0),
                    (MIDDLE + way * (gauge + 2.5), RAIL + 9.0), (MIDDLE + way * gauge, RAIL + 7.0)], true)) {}
            }
            path stroke-width="3" d=(outline(&[(24.0, RAIL + 23.0), (2.0 * MIDDLE - 24.0, RAIL + 23.0)],
                false)) {}
        }
    }

    fn bearing_gap(&self) -> Option<f64> {
        self.seen
            .number(Measure::SideBearingGap, Place::End(End::B))
    }

    /// The truck bolster under the floor of the B end, its side bearings as far off as was read.
    fn bearings(&self) -> Markup {
        let place = Place::End(End::B);
        let Some(gap) = self.bearing_gap() else {
            return html! {};
        };
        let by = Exaggeration {
            px_per_mm: BEARING_TIMES * self.scale,
            px_max: 20.0,
        };
        let floor = self.y(self.car.floor);
        let beam = floor + by.of(gap).px.max(0.0) + 3.0;
        let reach = self.car.model(640.0) * self.scale;
        let verdict = self.seen.verdict(Limited::SideBearingGap, place);
        html! {
            g class=(class(verdict)) data-part="side-bearings" data-gap=(px(by.of(gap).px)) {
                path d=(outline(&[(MIDDLE - reach * 1.2, beam), (MIDDLE + reach * 1.2, beam)], false))
                    stroke-width="4" {}
                @for way in [-1.0, 1.0] {
                    path d=(outline(&[(MIDDLE + way * (reach - 5.0), floor + 1.5),
                        (MIDDLE + way * (reach + 5.0), floor + 1.5)], false)) stroke-width="5" {}
                }
                path d=(outline(&[(MIDDLE, floor), (MIDDLE, beam)], false)) stroke-width="8" {}
            }
        }
    }

    fn angles(&self) -> Option<(f64, f64)> {
        let read = |side| self.seen.number(Measure::TiltAngle, Place::Side(side));
        let (left, right) = (read(Side::Left)?, read(Side::Right)?);
        let acute = |angle: f64| angle > 0.0 && angle < 89.0;
        (acute(left) && acute(right)).then_some((left, right))
    }

    fn centre(&self) -> Option<Centre<'a>> {
        let line = self.seen.line(Limited::CgHeight, Place::Car)?;
        let height = line.reading?.base();
        let to_left = self.angles().map_or(0.0, |(left, right)| {
            height * (right.to_radians().tan() - left.to_radians().tan()) / 2.0
        });
        Some(Centre {
            height,
            to_left,
            line,
        })
    }

    /// The triangle from both rails to the centre of gravity, with its angles and the height limit.
    fn tipping(&self) -> Markup {
        let Some(centre) = self.centre() else {
            return html! {
                (text(MIDDLE, 180.0, Anchor::Middle, "centre of gravity"))
                (text(MIDDLE, 202.0, Anchor::Middle, "not measured"))
            };
        };
        let half = self.car.width / 2.0;
        let x = self.x(centre.to_left.clamp(-half, half));
        let y = self.y(centre.height.clamp(0.0, self.car.height.max(1.0) * 1.2));
        let gauge = self.car.gauge.mm / 2.0 * self.scale;
        let reach = half * self.scale;
        html! {
            @if let (_, Some(limit)) = limits(centre.line) {
                @let at = self.y(limit).clamp(44.0, RAIL);
                (area("gw-out", (MIDDLE - reach, MIDDLE + reach), (at, at - 10.0)))
                (guide((MIDDLE - reach, at), (MIDDLE + reach, at)))
                (text(MIDDLE, at - 16.0, Anchor::Middle, "not above this"))
            }
            (guide((MIDDLE, RAIL), (MIDDLE, y)))
            g class=(class(centre.line.verdict)) data-part="centre-of-gravity" data-x=(px(x)) data-y=(px(y)) {
                @if self.angles().is_some() {
                    @for way in [-1.0, 1.0] {
                        path d=(outline(&[(MIDDLE + way * gauge, RAIL), (x, y)], false)) {}
                    }
                }
                circle class="gw-body" cx=(px(x)) cy=(px(y)) r="10" {}
                path fill="currentColor" d=(format!(
                    "M{0} {1} V{2} A10 10 0 0 1 {3} {1} Z M{0} {1} V{4} A10 10 0 0 1 {5} {1} Z",
                    px(x), px(y), px(y - 10.0), px(x + 10.0), px(y + 10.0), px(x - 10.0)
                )) {}
            }
        }
    }

    /// The difference of the angles as a balance over the roof: down where the car tips sooner.
    fn lean(&self) -> Markup {
        let Some((left, right)) = self.angles() else {
            return html! {};
        };
        let line = self.seen.line(Limited::TiltDifference, Place::Car);
        let fulcrum = (MIDDLE, 62.0);
        let seesaw = Seesaw {
            fulcrum,
            half: 92.0,
            left_heavy: right - left,
            limit: line.and_then(|line| line.upper).map(Amount::base),
            usual: 5.0,
            verdict: line.map_or(Verdict::NotChecked, |line| line.verdict),
        };
        html! {
            (seesaw.draw())
            (text(70.0, fulcrum.1 + 6.0, Anchor::End, &format!("{left:.1}°")))
            (text(2.0 * MIDDLE - 70.0, fulcrum.1 + 6.0, Anchor::Start, &format!("{right:.1}°")))
        }
    }

    fn captions(&self) -> Vec<Caption> {
        let car = Place::Car;
        let mut captions = vec![
            self.caption("centre of gravity", Limited::CgHeight, car),
            self.caption("lower tipping angle", Limited::TiltIndex, car),
            self.caption("tipping difference", Limited::TiltDifference, car),
        ];
        if self.seen.line(Limited::SideBalance, car).is_some() {
            captions.push(self.caption("off the middle", Limited::SideBalance, car));
        }
        captions.push(self.caption("body roll", Limited::BodyRoll, car));
        for end in [End::B, End::A] {
            let place = Place::End(end);
            let about = format!("side-bearing gap, {end} end");
            let line = self.seen.line(Limited::SideBearingGap, place);
            let read = self.seen.amount(Measure::SideBearingGap, place);
            captions.push(match (line, read) {
                (Some(line), _) => self.judged(&about, line),
                (None, Some(read)) => Caption::unlimited(&about, &amount(read, self.system)),
                (None, None) => Caption::not_read(&about),
            });
        }
        captions
    }

    fn caption(&self, about: &str, limited: Limited, place: Place) -> Caption {
        self.seen
            .line(limited, place)
            .map_or_else(|| Caption::not_read(about), |line| self.judged(about, line))
    }

    fn judged(&self, about: &str, line: &Line) -> Caption {
        let reading = line
            .reading
            .map_or_else(String::new, |reading| amount(reading, self.system));
        let way = super::side::side_of_limits(line);
        Caption::new(line.verdict, about, format!("{reading}{way}"))
    }

    fn sentences(&self, captions: &[Caption]) -> Vec<String> {
        let mark = &self.seen.record.car.mark;
        let mut said = vec![format!(
            "{mark}, seen from behind the B end; left is the car's left."
        )];
        said.extend(captions.iter().map(|caption| caption.sentence("")));
        if let Some((left, right)) = self.angles() {
            said.push(format!(
                "Tips to the left at {left:.1}°, to the right at {right:.1}°."
            ));
        }
        if let Some(centre) = self.centre().filter(|_| self.angles().is_some()) {
            let side = if centre.to_left < 0.0 {
                "right"
            } else {
                "left"
            };
            let off = gradeworthy_units::Length::from_mm_rounded(centre.to_left.abs());
            said.extend(off.map(|off| {
                format!(
                    "The centre of gravity lies {} to the {side}.",
                    amount(off.into(), self.system)
                )
            }));
        }
        said.extend(self.bearing_gap().map(|_| bearing_legend()));
        said.push(self.car.unknown(
            &[
                ("wheel diameter", self.car.wheel),
                ("tread width", self.car.tire_width),
            ],
            &["width and height of the body"],
        ));
        said
    }
}

fn bearing_legend() -> String {
    format!("Side-bearing gap {BEARING_TIMES:.0} times too large.")
}
