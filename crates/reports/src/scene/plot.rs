//! A scene as a picture: the force at every coupling over time, with what happens when.
//!
//! [`svg`] is a file of its own, with a title and a description for readers who do not see it;
//! [`on_page`] the part that a page shows beside its own pictures, in the page's colours. Pull is plain,
//! push is hatched; the harder, the darker.

use std::fmt::Write;

use super::answer::Answer;
use super::words;
use crate::chart::{Across, Chart, Head, Panel, escaped};
use crate::climb::{Consist, Line};

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 860.0;
/// Top and bottom of the file's panels.
const PEAKS: (f64, f64) = (110.0, 280.0);
const CARS: (f64, f64) = (320.0, 620.0);
const SPEEDS: (f64, f64) = (670.0, 800.0);

/// Height of the page's part, and its panels; it is 1000 wide like every drawing of the hill.
pub const PAGE_HEIGHT: f64 = 560.0;
const PAGE_PEAKS: (f64, f64) = (34.0, 184.0);
const PAGE_CARS: (f64, f64) = (226.0, 520.0);
/// Left and right edge of the page's panels.
pub const PAGE_ACROSS: (f64, f64) = (70.0, 970.0);

/// Most columns of the picture.
const COLUMNS: usize = 270;

/// Shares of the hardest force at which the shade changes.
const SHADES: [f64; 4] = [0.08, 0.25, 0.5, 0.75];

/// The hatching of what is pushed.
const HATCH: &str = "<defs><pattern id=\"hatch\" width=\"5\" height=\"5\" \
    patternUnits=\"userSpaceOnUse\"><path d=\"M0 5L5 0\" class=\"hatching\"/></pattern></defs>\n";

/// The picture of a scene.
#[must_use]
pub fn svg(answer: &Answer, consist: &Consist, line: &Line) -> String {
    let mut drawing = Drawing::new(answer, (90.0, 1170.0));
    drawing.head(consist, line);
    drawing.chart.add(format_args!("{}", HATCH.trim_end()));
    drawing.cars(consist, CARS);
    drawing.peaks(PEAKS);
    drawing.speeds();
    drawing.changes();
    drawing.seconds(SPEEDS.1 + 20.0);
    drawing.chart.finish()
}

/// The greatest forces and the force at every coupling over time for a page, with the worst moments
/// numbered and a line at the moment that is shown.
#[must_use]
pub fn on_page(answer: &Answer, consist: &Consist, time: f64) -> String {
    let mut drawing = Drawing::new(answer, PAGE_ACROSS);
    let hardest = escaped(&words::hardest(answer, consist).join("; "));
    let until = drawing.chart.across.until;
    drawing.chart.add(format_args!(
        "<svg class=\"hill times\" viewBox=\"0 0 1000 {PAGE_HEIGHT}\" role=\"img\" \
         data-until=\"{until}\" aria-label=\"Force at every coupling over time. {hardest}\">"
    ));
    drawing.chart.add(format_args!("{}", HATCH.trim_end()));
    drawing.cars(consist, PAGE_CARS);
    drawing.peaks(PAGE_PEAKS);
    for change in &answer.scene.changes {
        drawing
            .chart
            .upright(change.at, (PAGE_PEAKS.0, PAGE_CARS.1), "change");
    }
    drawing.moments(PAGE_CARS);
    drawing.seconds(PAGE_CARS.1 + 24.0);
    drawing
        .chart
        .upright(time, (PAGE_PEAKS.0, PAGE_CARS.1 + 6.0), "now");
    drawing.chart.finish()
}

struct Drawing<'a> {
    chart: Chart,
    answer: &'a Answer,
}

/// The samples in columns: for each coupling the force of the greatest size within the column.
fn columns(answer: &Answer) -> (usize, Vec<f64>) {
    let samples = &answer.played.solution.samples;
    let couplings = samples.vehicle_count.saturating_sub(1);
    let count = samples.len().clamp(1, COLUMNS);
    let mut cells = vec![0.0_f64; count * couplings];
    for row in 0..samples.len() {
        let column = row * count / samples.len();
        let own = &mut cells[column * couplings..][..couplings];
        for (cell, force) in own.iter_mut().zip(samples.forces(row)) {
            if force.abs() > cell.abs() {
                *cell = *force;
            }
        }
    }
    (count, cells)
}

/// A number of rows or columns, which are a few hundred at the most.
#[expect(clippy::cast_precision_loss, reason = "a few hundred rows and columns")]
const fn many(count: usize) -> f64 {
    count as f64
}

impl<'a> Drawing<'a> {
    fn new(answer: &'a Answer, (left, right): (f64, f64)) -> Self {
        let samples = &answer.played.solution.samples;
        let until = samples.time.last().copied().unwrap_or(1.0).max(1e-3);
        Self {
            chart: Chart::new(Across { left, right, until }),
            answer,
        }
    }

    fn head(&mut self, consist: &Consist, line: &Line) {
        let said = words::headline(self.answer, consist);
        let hardest = words::hardest(self.answer, consist).join("; ");
        let title = format!(
            "{}: {} cars on {}",
            self.answer.scene.name,
            consist.car_count(),
            line.name
        );
        self.chart.begin(&Head {
            size: (WIDTH, HEIGHT),
            title: &title,
            what: &format!(
                "{said}. {hardest}. Above: the greatest draft and buff in the train over time. \
                 Middle: the force at every coupling, head at the top. Below: speed of the first and \
                 the last vehicle."
            ),
            style: STYLE,
        });
        let left = self.chart.across.left;
        self.chart.label((left, 28.0), "start", "head", &title);
        let rows = crate::text::wrapped(&said, 150);
        for (row, y) in rows.iter().take(3).zip([48.0, 64.0, 80.0]) {
            self.chart.label((left, y), "start", "small", row);
        }
    }

    /// One path for each shade: rows of couplings, runs of columns.
    fn cars(&mut self, consist: &Consist, (top, bottom): (f64, f64)) {
        let (count, cells) = columns(self.answer);
        let couplings = cells.len() / count;
        if couplings == 0 {
            return;
        }
        let Across { left, right, .. } = self.chart.across;
        let hardest = cells.iter().fold(1e-9_f64, |most, own| most.max(own.abs()));
        let shade = |force: f64| -> i8 {
            let passed = SHADES.iter().filter(|own| force.abs() > **own * hardest);
            let level = i8::try_from(passed.count()).unwrap_or(0);
            if force < 0.0 { -level } else { level }
        };
        let wide = (right - left) / many(count);
        let tall = (bottom - top) / many(couplings);
        let mut paths = std::collections::BTreeMap::<i8, String>::new();
        for k in 0..couplings {
            let mut from = 0;
            for column in 1..=count {
                let own = shade(cells[from * couplings + k]);
                if column < count && shade(cells[column * couplings + k]) == own {
                    continue;
                }
                if own != 0 {
                    let (x, y) = (left + many(from) * wide, top + many(k) * tall);
                    let w = many(column - from) * wide;
                    let path = paths.entry(own).or_default();
                    write!(path, "M{x:.1} {y:.1}h{w:.1}v{tall:.2}h-{w:.1}z").unwrap_or_default();
                }
                from = column;
            }
        }
        for (own, path) in &paths {
            let class = if *own < 0 { "push" } else { "pull" };
            let level = own.abs();
            self.chart.add(format_args!(
                "<path d=\"{path}\" class=\"{class}{level}\"/>"
            ));
            if *own < 0 {
                self.chart
                    .add(format_args!("<path d=\"{path}\" fill=\"url(#hatch)\"/>"));
            }
        }
        let (height, width) = (bottom - top, right - left);
        self.chart.add(format_args!(
            "<rect x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" class=\"frame\"/>"
        ));
        let said = format!(
            "force at every coupling: plain is pull, hatched is push; full colour from {:.1} N",
            SHADES[3] * hardest
        );
        self.chart.label((left, top - 8.0), "start", "small", &said);
        for (index, member) in consist.members.iter().enumerate() {
            if member.is_power {
                let y = top + many(index) * tall;
                let tick = left - 5.0;
                self.chart.add(format_args!(
                    "<line x1=\"{tick}\" x2=\"{left}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"change\"/>"
                ));
            }
        }
        for (y, end) in [(top, "head"), (bottom, "rear")] {
            self.chart.label((left - 8.0, y + 4.0), "end", "small", end);
        }
    }

    fn peaks(&mut self, edges: (f64, f64)) {
        let solution = &self.answer.played.solution;
        let samples = &solution.samples;
        let of = |pick: fn(f64, f64) -> f64| {
            let row = move |row: usize| samples.forces(row).iter().copied().fold(0.0, pick);
            (0..samples.len()).map(move |own| (samples.time[own], Some(row(own))))
        };
        let pull = solution
            .hardest_draft()
            .map(|own| (own.1.draft_time, own.1.draft));
        let push = solution
            .hardest_buff()
            .map(|own| (own.1.buff_time, own.1.buff));
        let most = pull.map_or(0.5, |own| own.1.max(0.5)).ceil();
        let least = push.map_or(0.0, |own| own.1).floor();
        let panel = Panel {
            edges,
            range: (least, most),
        };
        let step = if most - least > 8.0 { 2.0 } else { 1.0 };
        let said = "greatest force in the train, N: draft up (solid), buff down (dashed); dots: hardest of all";
        self.chart.axis(&panel, step, said);
        self.chart.curve(&panel, "draft", of(f64::max));
        self.chart.curve(&panel, "buff", of(f64::min));
        // The hardest of all falls between samples.
        for (time, force) in [pull, push].into_iter().flatten() {
            let at = (self.chart.x(time), panel.y(force));
            self.chart.dot(at, 4, "hardest");
        }
    }

    fn speeds(&mut self) {
        let samples = &self.answer.played.solution.samples;
        let last = samples.vehicle_count - 1;
        let of = |index: usize| {
            (0..samples.len()).map(move |row| (samples.time[row], samples.speeds(row)[index]))
        };
        let both = || of(0).chain(of(last)).map(|own| own.1);
        let most = (both().fold(0.05, f64::max) * 20.0).ceil() / 20.0;
        let least = (both().fold(0.0, f64::min) * 20.0).floor() / 20.0;
        let panel = Panel {
            edges: SPEEDS,
            range: (least, most),
        };
        let step = if most - least > 0.6 { 0.2 } else { 0.05 };
        let said = "speed, m/s: first vehicle (solid), last vehicle (dashed)";
        self.chart.axis(&panel, step, said);
        for (index, class) in [(0, "draft"), (last, "buff")] {
            let points = of(index).map(|(time, speed)| (time, Some(speed)));
            self.chart.curve(&panel, class, points);
        }
    }

    /// What happens, and what comes apart, as lines through all panels.
    fn changes(&mut self) {
        let changes = self.answer.scene.changes.iter();
        let said = changes.map(|own| (own.at, words::done(own)));
        let partings = self.answer.played.solution.partings.iter();
        let apart = partings.map(|own| (own.time, "comes apart".to_owned()));
        let Across { right, until, .. } = self.chart.across;
        let all: Vec<_> = said.chain(apart).filter(|own| own.0 <= until).collect();
        for (index, (time, said)) in all.iter().enumerate() {
            self.chart.upright(*time, (PEAKS.0, SPEEDS.1), "change");
            let y = if index % 2 == 0 {
                CARS.1 + 16.0
            } else {
                CARS.1 + 30.0
            };
            let x = self.chart.x(*time);
            let (at, anchor) = if x > 0.6 * right {
                (x - 4.0, "end")
            } else {
                (x + 4.0, "start")
            };
            self.chart.label((at, y), anchor, "small", said);
        }
    }

    /// The worst moments, numbered as in the list, at their time and vehicle.
    fn moments(&mut self, (top, bottom): (f64, f64)) {
        let count = self.answer.played.margins.len().max(1);
        for (number, (spot, margin)) in (1..).zip(&self.answer.spots) {
            let y = top + (bottom - top) * (many(spot.vehicle) + 0.5) / many(count);
            let x = self.chart.x(margin.time);
            self.chart.dot((x, y), 6, "moment");
            // Neighbours in the list are often neighbours in time: one to the right, one to the left.
            let (at, anchor) = if number % 2 == 1 {
                (x + 10.0, "start")
            } else {
                (x - 10.0, "end")
            };
            self.chart
                .label((at, y + 6.0), anchor, "moment", &format!("{number}"));
        }
    }

    fn seconds(&mut self, y: f64) {
        let until = self.chart.across.until;
        let steps = [(12.0, 1.0), (40.0, 2.0), (200.0, 10.0), (1000.0, 60.0)];
        let step = steps.iter().find(|own| until <= own.0);
        let step = step.map_or(600.0, |own| own.1);
        let mut time = 0.0;
        while time <= until + 1e-9 {
            let x = self.chart.x(time);
            self.chart
                .label((x, y), "middle", "small", &format!("{time:.0} s"));
            time += step;
        }
    }
}

const STYLE: &str = "<style>\
text{font-family:sans-serif;fill:#1a1a1a}.head{font-size:18px;font-weight:bold}\
.small{font-size:12px}.grid{stroke:#c9c9c9;stroke-width:1}\
.draft,.buff{fill:none;stroke-width:1.5}.draft{stroke:#0b5394}\
.buff{stroke:#a64d00;stroke-dasharray:6 3}\
.pull1{fill:#d6e4f2}.pull2{fill:#9fc1e3}.pull3{fill:#4a8bc6}.pull4{fill:#0b5394}\
.push1{fill:#f7e3cf}.push2{fill:#efbf8f}.push3{fill:#d98336}.push4{fill:#a64d00}\
.hardest{fill:#1a1a1a}.frame{fill:none;stroke:#4d4d4d}\
.change{stroke:#1a1a1a;stroke-width:1;stroke-dasharray:3 3}.hatching{stroke:#1a1a1a;stroke-width:.6}\
</style>";
