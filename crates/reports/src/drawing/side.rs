//! The car from its left side: coupler heights, droop, wheels off the rail, centre of gravity and
//! the balance end to end.
//!
//! Deviations of couplers and wheels share one factor, (X1) of [`super::exaggeration`], so that they
//! can be compared: the coupler's height tolerance is 16 px, and nothing is drawn beyond 36 px.
//! ASSUMED: without a height tolerance 1 prototype inch stands for it; it scales the picture only.

mod coupler;
mod running;
mod words;

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Inspection;
use gradeworthy_workbench::record::{End, Measure, Place, Record};
use gradeworthy_workbench::rules::Limited;
use maud::{Markup, html};

pub(super) use words::side_of_limits;

use super::Drawing;
use super::canvas::{Anchor, Sheet, area, bold, guide, px, shortened, text};
use super::captions::{PITCH, column};
use super::exaggeration::Exaggeration;
use super::proportions::Proportions;
use super::seen::{Seen, limits};
use super::seesaw::Seesaw;
use super::verdict::class;
use crate::words::{System, amount};

const WIDTH: f64 = 840.0;
/// Room for the car, px.
const CAR_WIDTH: f64 = 660.0;
const CAR_HEIGHT: f64 = 170.0;
/// Room over the body, and the least room over the rail, px.
const HEADROOM: f64 = 20.0;
const RAIL_MIN: f64 = 124.0;
/// From the rail down to the balance and to the captions, px.
const BALANCE: f64 = 62.0;
const CAPTIONS: f64 = 124.0;
/// Where the three columns of captions begin.
const COLUMNS: [f64; 3] = [8.0, 288.0, 568.0];
/// A coupler's tolerance, and the most of any deviation, px.
const TOLERANCE_PX: f64 = 16.0;
const PX_MAX: f64 = 36.0;

/// The car from its left side, A end at the left hand.
#[must_use]
pub fn side(record: &Record, inspection: &Inspection, system: System) -> Drawing {
    let view = View::new(Seen { record, inspection }, system);
    let columns = view.captions();
    let rows = columns
        .iter()
        .map(Vec::len)
        .max()
        .and_then(|rows| u32::try_from(rows).ok());
    let captions_at = view.rail + CAPTIONS;
    let foot = captions_at + PITCH * f64::from(rows.unwrap_or(0));
    let sheet = Sheet {
        width: WIDTH,
        height: foot + 34.0,
        title: format!("{} from its left side", record.car.mark),
        said: view.sentences(&columns),
    };
    sheet.finish(&html! {
        (view.body())
        (view.track())
        @for end in End::BOTH { (view.truck(end)) }
        @for end in End::BOTH { (view.coupler(end)) }
        (view.centre_of_gravity())
        (view.balance())
        @for (x, captions) in COLUMNS.iter().zip(&columns) { (column(*x, captions_at, captions)) }
        (text(8.0, foot + 20.0, Anchor::Start, &view.legend()))
    })
}

/// The heights a coupler is held against, mm.
#[derive(Clone, Copy)]
struct Heights {
    /// The middle of the limits.
    nominal: f64,
    tolerance: Option<f64>,
}

struct View<'a> {
    seen: Seen<'a>,
    system: System,
    car: Proportions,
    /// Pixels per mm.
    scale: f64,
    /// Height of the rail on the sheet, px.
    rail: f64,
    /// For small heights.
    exaggeration: Exaggeration,
    heights: Heights,
}

impl<'a> View<'a> {
    fn new(seen: Seen<'a>, system: System) -> Self {
        let car = Proportions::of(seen);
        let scale = (CAR_WIDTH / (2.0 * car.reach_max())).min(CAR_HEIGHT / car.height);
        let heights = heights(seen, &car);
        let tolerance = heights.tolerance.unwrap_or(car.model(25.4));
        let exaggeration = Exaggeration::drawing(tolerance, TOLERANCE_PX, PX_MAX);
        let plain = Exaggeration {
            px_per_mm: scale,
            px_max: PX_MAX,
        };
        let car_height = car.height * scale;
        Self {
            seen,
            system,
            car,
            scale,
            rail: (HEADROOM + car_height).max(RAIL_MIN),
            exaggeration: exaggeration.unwrap_or(plain),
            heights,
        }
    }

    /// Across, from mm towards the A end.
    fn x(&self, towards_a: f64) -> f64 {
        WIDTH / 2.0 - towards_a * self.scale
    }

    /// Down, from mm above the rail.
    fn y(&self, above_rail: f64) -> f64 {
        self.rail - above_rail * self.scale
    }

    /// −1 where a car's end is at the left hand, 1 at the right.
    fn outward(end: End) -> f64 {
        match end {
            End::A => -1.0,
            End::B => 1.0,
        }
    }

    fn body(&self) -> Markup {
        let half = self.car.body.mm / 2.0;
        let (top, floor) = (self.y(self.car.height), self.y(self.car.floor));
        let across = (self.x(half), self.x(-half));
        let mark = shortened(self.seen.record.car.mark.as_str(), 24);
        let lettering = if self.car.silhouette.is_tall() {
            f64::midpoint(top, floor) - 8.0
        } else {
            top - 40.0
        };
        html! {
            (self.car.silhouette.draw(across, (top, floor), self.car.body.known))
            (bold(WIDTH / 2.0, lettering, Anchor::Middle, &mark))
        }
    }

    fn track(&self) -> Markup {
        html! {
            line data-part="rail" x1="8" y1=(px(self.rail)) x2=(px(WIDTH - 8.0)) y2=(px(self.rail))
                stroke-width="3" {}
        }
    }

    /// A quartered disc where the weight acts, and the line it may not rise above.
    fn centre_of_gravity(&self) -> Markup {
        let Some(line) = self.seen.line(Limited::CgHeight, Place::Car) else {
            return html! {};
        };
        let Some(height) = line.reading.map(Amount::base) else {
            return html! {};
        };
        let top = 12.0;
        let (x, y) = (
            self.x(self.weight_towards_a()),
            self.y(height).clamp(top, self.rail),
        );
        let reach = 74.0;
        html! {
            @if let (_, Some(limit)) = limits(line) {
                @let at = self.y(limit).clamp(top, self.rail);
                (guide((x - reach, at), (x + reach, at)))
                (area("gw-out", (x - reach, x + reach), (at, at - 8.0)))
                (text(x, at - 13.0, Anchor::Middle, "not above this"))
            }
            g class=(class(line.verdict)) data-part="centre-of-gravity" {
                circle cx=(px(x)) cy=(px(y)) r="10" {}
                path fill="currentColor" d=(format!(
                    "M{0} {1} V{2} A10 10 0 0 1 {3} {1} Z M{0} {1} V{4} A10 10 0 0 1 {5} {1} Z",
                    px(x), px(y), px(y - 10.0), px(x + 10.0), px(y + 10.0), px(x - 10.0)
                )) {}
            }
        }
    }

    /// How far the weight acts from the middle towards the A end, mm:
    /// `centres·(W_A − W_B)/2W`.
    fn weight_towards_a(&self) -> f64 {
        self.imbalance()
            .map_or(0.0, |share| share * self.car.centres.mm / 2.0)
    }

    /// `(W_A − W_B)/(W_A + W_B)`, where both ends were weighed.
    fn imbalance(&self) -> Option<f64> {
        let weight = |end| self.seen.number(Measure::EndWeight, Place::End(end));
        let (a, b) = (weight(End::A)?, weight(End::B)?);
        (a >= 0.0 && b >= 0.0 && a + b > 0.0).then(|| (a - b) / (a + b))
    }

    fn balance(&self) -> Markup {
        let place = |end| Place::End(end);
        let beam = self.rail + BALANCE;
        let half = self.car.centres.mm / 2.0 * self.scale;
        let line = self.seen.line(Limited::EndBalance, Place::Car);
        let Some(share) = self.imbalance() else {
            return text(WIDTH / 2.0, beam, Anchor::Middle, "ends not weighed");
        };
        let seesaw = Seesaw {
            fulcrum: (WIDTH / 2.0, beam),
            half,
            left_heavy: share,
            limit: line.and_then(|line| line.upper).map(Amount::base),
            usual: 0.10,
            verdict: line.map_or(Verdict::NotChecked, |line| line.verdict),
        };
        html! {
            (seesaw.draw())
            @for end in End::BOTH {
                @if let Some(weight) = self.seen.amount(Measure::EndWeight, place(end)) {
                    @let outward = Self::outward(end);
                    @let (x, drop) = (WIDTH / 2.0 + outward * half, -outward * seesaw.drop());
                    (push(x, beam + drop))
                    (text(x, beam + 46.0, Anchor::Middle, &amount(weight, self.system)))
                }
            }
        }
    }
}

/// A short arrow that presses down on the beam.
fn push(x: f64, y: f64) -> Markup {
    let (foot, head) = (y - 5.0, y - 24.0);
    html! {
        path d=(format!("M{0} {1} V{2} M{3} {4} L{0} {2} L{5} {4}",
            px(x), px(head), px(foot), px(x - 5.0), px(foot - 7.0), px(x + 5.0))) {}
    }
}

fn heights(seen: Seen<'_>, car: &Proportions) -> Heights {
    let lines = End::BOTH.map(|end| seen.line(Limited::CouplerHeight, Place::End(end)));
    let mut pairs = lines.into_iter().flatten().map(limits);
    match pairs.find(|pair| pair.0.is_some() || pair.1.is_some()) {
        Some((Some(lower), Some(upper))) => Heights {
            nominal: f64::midpoint(lower, upper),
            tolerance: Some((upper - lower) / 2.0).filter(|tolerance| *tolerance > 0.0),
        },
        Some((Some(only), None) | (None, Some(only))) => Heights {
            nominal: only,
            tolerance: None,
        },
        Some((None, None)) | None => Heights {
            nominal: car.coupler_height,
            tolerance: None,
        },
    }
}
