//! The car from above: wheels on their axles against their window, truck swing, coupler centring.
//!
//! The window for the back-to-back B of an axle follows from its judged lines: a constraint that
//! holds B from below with margin m puts the lower edge at B⁻ − m, one that holds it from above puts
//! the upper edge at B⁺ + m; the narrowest edges govern. Half the window is 10 px at each wheel,
//! and nothing is drawn beyond 26 px. Where B was read at two places half a turn apart the wheels
//! stand askew as they do in life.
//! Truck swing is turned further than in life by a whole number that the picture states.

mod swing;
mod wheels;

use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Inspection};
use gradeworthy_workbench::record::{Axles, End, Place, Record};
use maud::{Markup, html};

use super::Drawing;
use super::canvas::{Anchor, Sheet, bold, dashes, outline, px, shortened, text};
use super::captions::{Caption, PITCH, column};
use super::proportions::Proportions;
use super::seen::Seen;
use super::verdict::{class, shape};
use crate::words::System;

const WIDTH: f64 = 840.0;
const CAR_WIDTH: f64 = 700.0;
const MIDDLE: f64 = 138.0;
/// Half the height of the body, at most.
const HALF_MAX: f64 = 84.0;
const CAPTIONS: f64 = 276.0;
const COLUMNS: [f64; 3] = [8.0, 288.0, 568.0];

/// The car from above, A end at the left hand, its left side nearest the reader.
#[must_use]
pub fn plan(record: &Record, inspection: &Inspection, system: System) -> Drawing {
    let view = View::new(Seen { record, inspection }, system);
    let columns = [view.of_end(End::A), view.of_wheels(), view.of_end(End::B)];
    let rows = columns
        .iter()
        .map(Vec::len)
        .max()
        .and_then(|rows| u32::try_from(rows).ok());
    let foot = CAPTIONS + PITCH * f64::from(rows.unwrap_or(0));
    let sheet = Sheet {
        width: WIDTH,
        height: foot + 56.0,
        title: format!("{} from above", record.car.mark),
        said: view.sentences(&columns),
    };
    sheet.finish(&html! {
        (view.body())
        @for end in End::BOTH { (view.coupler(end)) (view.swing(end)) }
        @for (axle, at) in view.car.axle_places() { (view.axle(axle, view.x(at))) }
        @for (x, captions) in COLUMNS.iter().zip(&columns) { (column(*x, CAPTIONS, captions)) }
        @for (row, words) in (0_u32..).zip(view.legend()) {
            (text(8.0, foot + 20.0 + 22.0 * f64::from(row), Anchor::Start, &words))
        }
    })
}

struct View<'a> {
    seen: Seen<'a>,
    system: System,
    car: Proportions,
    scale: f64,
}

impl<'a> View<'a> {
    fn new(seen: Seen<'a>, system: System) -> Self {
        let car = Proportions::of(seen);
        let scale = (CAR_WIDTH / (2.0 * car.reach_max())).min(2.0 * HALF_MAX / car.width);
        Self {
            seen,
            system,
            car,
            scale,
        }
    }

    fn x(&self, towards_a: f64) -> f64 {
        WIDTH / 2.0 - towards_a * self.scale
    }

    fn half_width(&self) -> f64 {
        self.car.width / 2.0 * self.scale
    }

    fn body(&self) -> Markup {
        let (left, right) = (
            self.x(self.car.body.mm / 2.0),
            self.x(-self.car.body.mm / 2.0),
        );
        let half = self.half_width();
        let mark = shortened(self.seen.record.car.mark.as_str(), 24);
        html! {
            rect class="gw-body" data-part="body" x=(px(left)) y=(px(MIDDLE - half)) width=(px(right - left))
                height=(px(2.0 * half)) fill="currentColor" fill-opacity="0.06"
                stroke-dasharray=[dashes(false)] {}
            @for x in [left, right] {
                path d=(outline(&[(x, MIDDLE - half), (x, MIDDLE + half)], false)) stroke-width="3"
                    stroke-dasharray=[dashes(self.car.body.known)] {}
            }
            (bold(WIDTH / 2.0, MIDDLE + half - 10.0, Anchor::Middle, &mark))
            (text(8.0, MIDDLE + half + 6.0, Anchor::Start, "left"))
            (text(8.0, MIDDLE - half + 6.0, Anchor::Start, "right"))
            @for end in End::BOTH {
                @let outward = outward(end);
                @let x = WIDTH / 2.0 + outward * (WIDTH / 2.0 - 22.0);
                (bold(x, MIDDLE + 6.0, Anchor::Middle, &end.to_string()))
            }
        }
    }

    fn centring(&self, end: End) -> Verdict {
        self.seen
            .inspection
            .line(Aspect::Centring, Place::End(end))
            .map_or(Verdict::NotChecked, |line| line.verdict)
    }

    /// The coupler as it comes to rest: in the middle, a little off, or over to a side.
    fn coupler(&self, end: End) -> Markup {
        let outward = outward(end);
        let verdict = self.centring(end);
        let pivot = self.x(self.car.bolster(end))
            + outward * (self.car.overhang[end.index()].mm * self.scale - 44.0).max(0.0);
        let turn = match verdict {
            Verdict::BadOrder => 24.0,
            Verdict::Watch => 10.0,
            Verdict::Fit | Verdict::NotChecked | Verdict::Stale => 0.0,
        };
        let known = self.car.overhang[end.index()].known;
        let (back, face, half) = (pivot + outward * 30.0, pivot + outward * 44.0, 8.0);
        html! {
            g class=(class(verdict)) data-part="coupler" data-turn=(px(turn))
                transform=(format!("rotate({} {} {})", px(turn), px(pivot), px(MIDDLE))) {
                path d=(outline(&[(pivot, MIDDLE), (back, MIDDLE)], false)) stroke-width="5"
                    stroke-dasharray=[dashes(known)] {}
                path fill="currentColor" fill-opacity="0.25" d=(outline(&[
                    (back, MIDDLE - half), (face, MIDDLE - half), (face, MIDDLE - 1.0),
                    (face - outward * 5.0, MIDDLE), (face - outward * 5.0, MIDDLE + half),
                    (back, MIDDLE + half)], true)) {}
            }
            (shape(verdict, self.x(0.0) + outward * (self.car.reach(end) * self.scale + 22.0), MIDDLE))
        }
    }

    fn of_end(&self, end: End) -> Vec<Caption> {
        let verdict = self.centring(end);
        let words = match verdict {
            Verdict::Fit => "comes back to the middle",
            Verdict::Watch => "slow to come back",
            Verdict::BadOrder => "stays over",
            Verdict::NotChecked => "",
            Verdict::Stale => "read before the last work",
        };
        let mut captions = vec![Caption::new(verdict, "coupler", words)];
        if self.car.axles != Axles::Two {
            captions.extend(self.swing_captions(end));
        }
        captions
    }

    fn legend(&self) -> [String; 2] {
        let wheels = format!(
            "Wheels against their window (shaded) {} times too far. Dashed: not measured.",
            self.window_exaggeration().times(self.scale)
        );
        let swing = self.swing_times().map_or_else(String::new, |times| {
            format!(
                "Trucks turned {times:.0} times too far; the fan is what the tightest curve needs."
            )
        });
        [wheels, swing]
    }

    fn sentences(&self, columns: &[Vec<Caption>; 3]) -> Vec<String> {
        let mut said = vec![format!(
            "{}, seen from above, A end at the left hand, the car's left side below.",
            self.seen.record.car.mark
        )];
        for (captions, place) in columns.iter().zip(["A end", "", "B end"]) {
            said.extend(captions.iter().map(|caption| caption.sentence(place)));
        }
        said.extend(self.axle_sentences());
        said.extend(self.legend().into_iter().filter(|words| !words.is_empty()));
        let car = &self.car;
        said.push(car.unknown(
            &[
                ("length of the body", car.body),
                ("truck centres", car.centres),
                ("truck wheelbase", car.wheelbase),
                ("overhang at the A end", car.overhang[0]),
                ("overhang at the B end", car.overhang[1]),
                ("wheel diameter", car.wheel),
                ("tread width", car.tire_width),
            ],
            &["width of the body"],
        ));
        said
    }
}

/// −1 where an end is at the left hand, 1 at the right.
fn outward(end: End) -> f64 {
    match end {
        End::A => -1.0,
        End::B => 1.0,
    }
}
