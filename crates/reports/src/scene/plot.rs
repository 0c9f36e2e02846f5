//! A scene as a picture: the force at every coupling over time, with what happens when.
//!
//! SVG 1.1 with a title and a description for readers who do not see it. Pull is plain, push is
//! hatched; the harder, the darker.

use std::fmt::Write;

use super::answer::Answer;
use super::words;
use crate::climb::{Consist, Line};

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 860.0;
const LEFT: f64 = 90.0;
const RIGHT: f64 = 1170.0;
/// Top and bottom of the panels.
const PEAKS: (f64, f64) = (110.0, 280.0);
const CARS: (f64, f64) = (320.0, 620.0);
const SPEEDS: (f64, f64) = (670.0, 800.0);

/// Most columns of the picture.
const COLUMNS: usize = 270;

/// Shares of the hardest force at which the shade changes.
const SHADES: [f64; 4] = [0.08, 0.25, 0.5, 0.75];

/// The picture of a scene.
#[must_use]
pub fn svg(answer: &Answer, consist: &Consist, line: &Line) -> String {
    let samples = &answer.played.solution.samples;
    let mut drawing = Drawing {
        text: String::new(),
        until: samples.time.last().copied().unwrap_or(1.0).max(1e-3),
    };
    drawing.head(answer, consist, line);
    drawing.cars(answer, consist);
    drawing.peaks(answer);
    drawing.speeds(answer);
    drawing.changes(answer);
    drawing.seconds();
    drawing.text + "</svg>\n"
}

struct Drawing {
    text: String,
    /// s.
    until: f64,
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
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

impl Drawing {
    fn x(&self, time: f64) -> f64 {
        LEFT + (RIGHT - LEFT) * time / self.until
    }

    fn add(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing to a String does not fail.
        self.text.write_fmt(text).unwrap_or_default();
        self.text.push('\n');
    }

    fn label(&mut self, (x, y): (f64, f64), anchor: &str, class: &str, text: &str) {
        let text = escaped(text);
        self.add(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" class=\"{class}\">{text}</text>"
        ));
    }

    fn head(&mut self, answer: &Answer, consist: &Consist, line: &Line) {
        let said = words::headline(answer, consist);
        self.add(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" \
             width=\"{WIDTH}\" height=\"{HEIGHT}\" role=\"img\" aria-labelledby=\"title what\">"
        ));
        self.add(format_args!(
            "<title id=\"title\">{}: {} cars on {}</title>",
            escaped(&answer.scene.name),
            consist.car_count(),
            escaped(&line.name)
        ));
        let hardest = words::hardest(answer, consist).join("; ");
        self.add(format_args!(
            "<desc id=\"what\">{}. {}. Above: the greatest draft and buff in the train over time. \
             Middle: the force at every coupling, head at the top. Below: speed of the first and \
             the last vehicle.</desc>",
            escaped(&said),
            escaped(&hardest)
        ));
        self.text += STYLE;
        self.add(format_args!(
            "<rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#ffffff\"/>"
        ));
        let title = format!(
            "{}: {} cars on {}",
            answer.scene.name,
            consist.car_count(),
            line.name
        );
        self.label((LEFT, 28.0), "start", "head", &title);
        let rows = crate::text::wrapped(&said, 150);
        for (row, y) in rows.iter().take(3).zip([48.0, 64.0, 80.0]) {
            self.label((LEFT, y), "start", "small", row);
        }
    }

    /// One path for each shade: rows of couplings, runs of columns.
    fn cars(&mut self, answer: &Answer, consist: &Consist) {
        let (count, cells) = columns(answer);
        let couplings = cells.len() / count;
        if couplings == 0 {
            return;
        }
        let hardest = cells.iter().fold(1e-9_f64, |most, own| most.max(own.abs()));
        let shade = |force: f64| -> i8 {
            let passed = SHADES.iter().filter(|own| force.abs() > **own * hardest);
            let level = i8::try_from(passed.count()).unwrap_or(0);
            if force < 0.0 { -level } else { level }
        };
        #[expect(clippy::cast_precision_loss, reason = "a few hundred rows and columns")]
        let (wide, tall) = (
            (RIGHT - LEFT) / count as f64,
            (CARS.1 - CARS.0) / couplings as f64,
        );
        let mut paths = std::collections::BTreeMap::<i8, String>::new();
        for k in 0..couplings {
            let mut from = 0;
            for column in 1..=count {
                let own = shade(cells[from * couplings + k]);
                if column < count && shade(cells[column * couplings + k]) == own {
                    continue;
                }
                if own != 0 {
                    #[expect(clippy::cast_precision_loss, reason = "as above")]
                    let (x, y, w) = (
                        LEFT + from as f64 * wide,
                        CARS.0 + k as f64 * tall,
                        (column - from) as f64 * wide,
                    );
                    let path = paths.entry(own).or_default();
                    write!(path, "M{x:.1} {y:.1}h{w:.1}v{tall:.2}h-{w:.1}z").unwrap_or_default();
                }
                from = column;
            }
        }
        for (own, path) in &paths {
            let class = if *own < 0 { "push" } else { "pull" };
            let level = own.abs();
            self.add(format_args!(
                "<path d=\"{path}\" class=\"{class}{level}\"/>"
            ));
            if *own < 0 {
                self.add(format_args!("<path d=\"{path}\" fill=\"url(#hatch)\"/>"));
            }
        }
        let (top, height, width) = (CARS.0, CARS.1 - CARS.0, RIGHT - LEFT);
        self.add(format_args!(
            "<rect x=\"{LEFT}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" class=\"frame\"/>"
        ));
        let said = format!(
            "force at every coupling: plain is pull, hatched is push; darkest from {:.1} N",
            SHADES[3] * hardest
        );
        self.label((LEFT, CARS.0 - 8.0), "start", "small", &said);
        for (index, member) in consist.members.iter().enumerate() {
            if member.is_power {
                #[expect(clippy::cast_precision_loss, reason = "as above")]
                let y = CARS.0 + index as f64 * tall;
                let tick = LEFT - 5.0;
                self.add(format_args!(
                    "<line x1=\"{tick}\" x2=\"{LEFT}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"change\"/>"
                ));
            }
        }
        self.label((LEFT - 8.0, CARS.0 + 4.0), "end", "small", "head");
        self.label((LEFT - 8.0, CARS.1 + 4.0), "end", "small", "rear");
    }

    fn axis(&mut self, (top, bottom): (f64, f64), (low, high): (f64, f64), step: f64, unit: &str) {
        let mut value = (low / step).ceil() * step;
        while value <= high + 1e-9 {
            let y = bottom - (bottom - top) * (value - low) / (high - low);
            self.add(format_args!(
                "<line x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"grid\"/>"
            ));
            let shown = if value.abs() < 1e-9 { 0.0 } else { value };
            let shown = if step < 0.1 {
                format!("{shown:.2}")
            } else {
                format!("{shown:.1}")
            };
            self.label(
                (LEFT - 8.0, y + 4.0),
                "end",
                "small",
                &shown.replace('-', "−"),
            );
            value += step;
        }
        self.label((LEFT, top - 8.0), "start", "small", unit);
    }

    fn curve(
        &mut self,
        (top, bottom): (f64, f64),
        (low, high): (f64, f64),
        class: &str,
        points: impl Iterator<Item = (f64, f64)>,
    ) {
        let mut path = String::new();
        for (time, value) in points {
            let (x, y) = (
                self.x(time),
                bottom - (bottom - top) * (value - low) / (high - low),
            );
            let word = if path.is_empty() { 'M' } else { 'L' };
            write!(path, "{word}{x:.1} {y:.1}").unwrap_or_default();
        }
        self.add(format_args!("<path d=\"{path}\" class=\"{class}\"/>"));
    }

    fn peaks(&mut self, answer: &Answer) {
        let samples = &answer.played.solution.samples;
        let rows = 0..samples.len();
        let of = |pick: fn(f64, f64) -> f64| -> Vec<(f64, f64)> {
            let row = |row: usize| samples.forces(row).iter().copied().fold(0.0, pick);
            rows.clone()
                .map(|own| (samples.time[own], row(own)))
                .collect()
        };
        let (draft, buff) = (of(f64::max), of(f64::min));
        let solution = &answer.played.solution;
        let pull = solution
            .hardest_draft()
            .map(|own| (own.1.draft_time, own.1.draft));
        let push = solution
            .hardest_buff()
            .map(|own| (own.1.buff_time, own.1.buff));
        let most = pull.map_or(0.5, |own| own.1.max(0.5)).ceil();
        let least = push.map_or(0.0, |own| own.1).floor();
        let step = if most - least > 8.0 { 2.0 } else { 1.0 };
        let unit = "greatest force in the train, N: draft up (solid), buff down (dashed); dots: hardest of all";
        self.axis(PEAKS, (least, most), step, unit);
        self.curve(PEAKS, (least, most), "draft", draft.into_iter());
        self.curve(PEAKS, (least, most), "buff", buff.into_iter());
        // The hardest of all falls between samples.
        for (time, force) in [pull, push].into_iter().flatten() {
            let (x, share) = (self.x(time), (force - least) / (most - least));
            let y = PEAKS.1 - (PEAKS.1 - PEAKS.0) * share;
            self.add(format_args!(
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" class=\"hardest\"/>"
            ));
        }
    }

    fn speeds(&mut self, answer: &Answer) {
        let samples = &answer.played.solution.samples;
        let last = samples.vehicle_count - 1;
        let of = |index: usize| -> Vec<(f64, f64)> {
            let rows = 0..samples.len();
            rows.map(|row| (samples.time[row], samples.speeds(row)[index]))
                .collect()
        };
        let (first, rear) = (of(0), of(last));
        let both = || first.iter().chain(&rear).map(|own| own.1);
        let most = (both().fold(0.05, f64::max) * 20.0).ceil() / 20.0;
        let least = (both().fold(0.0, f64::min) * 20.0).floor() / 20.0;
        let step = if most - least > 0.6 { 0.2 } else { 0.05 };
        let unit = "speed, m/s: first vehicle (solid), last vehicle (dashed)";
        self.axis(SPEEDS, (least, most), step, unit);
        self.curve(SPEEDS, (least, most), "draft", first.into_iter());
        self.curve(SPEEDS, (least, most), "buff", rear.into_iter());
    }

    /// What happens, and what comes apart, as lines through all panels.
    fn changes(&mut self, answer: &Answer) {
        let changes = answer.scene.changes.iter();
        let said = changes.map(|own| (own.at, words::done(own)));
        let partings = answer.played.solution.partings.iter();
        let apart = partings.map(|own| (own.time, "comes apart".to_owned()));
        let all: Vec<_> = said
            .chain(apart)
            .filter(|own| own.0 <= self.until)
            .collect();
        for (index, (time, said)) in all.iter().enumerate() {
            let x = self.x(*time);
            let (top, bottom) = (PEAKS.0, SPEEDS.1);
            self.add(format_args!(
                "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{top}\" y2=\"{bottom}\" class=\"change\"/>"
            ));
            let y = if index % 2 == 0 {
                CARS.1 + 16.0
            } else {
                CARS.1 + 30.0
            };
            let (at, anchor) = if x > 0.6 * RIGHT {
                (x - 4.0, "end")
            } else {
                (x + 4.0, "start")
            };
            self.label((at, y), anchor, "small", said);
        }
    }

    fn seconds(&mut self) {
        let step = if self.until > 40.0 {
            10.0
        } else if self.until > 12.0 {
            2.0
        } else {
            1.0
        };
        let mut time = 0.0;
        while time <= self.until + 1e-9 {
            let x = self.x(time);
            self.label(
                (x, SPEEDS.1 + 20.0),
                "middle",
                "small",
                &format!("{time:.0} s"),
            );
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
.change{stroke:#1a1a1a;stroke-width:1;stroke-dasharray:3 3}\
</style><defs><pattern id=\"hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M0 5L5 0\" stroke=\"#1a1a1a\" stroke-width=\"0.6\"/></pattern></defs>\n";
