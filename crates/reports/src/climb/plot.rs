//! The climb as a picture: forces and margin along the line, with its curves, grades and places.
//!
//! SVG 1.1 with a title and a description for readers who do not see it; every colour is doubled by
//! a label or a dash.

use std::fmt::Write;

use gradeworthy_train::line::drawing::{PieceKind, explain};

use super::answer::{Answer, Line};
use super::join::Consist;
use super::words;

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 780.0;
const LEFT: f64 = 80.0;
const RIGHT: f64 = 1170.0;
/// Top and bottom of the panels.
const FORCE: (f64, f64) = (100.0, 320.0);
const MARGIN: (f64, f64) = (370.0, 570.0);
const CURVES: (f64, f64) = (606.0, 646.0);
const GRADES: (f64, f64) = (666.0, 690.0);
const NAMES: f64 = 706.0;

/// The picture of an answer.
#[must_use]
pub fn svg(answer: &Answer, consist: &Consist, line: &Line) -> String {
    let mut drawing = Drawing {
        text: String::new(),
        length: line.alignment.length(),
    };
    drawing.head(answer, consist, line);
    drawing.places(line);
    drawing.forces(answer);
    drawing.margins(answer, consist);
    drawing.curves(line);
    drawing.grades(line);
    drawing.metres();
    drawing.text + "</svg>\n"
}

struct Drawing {
    text: String,
    length: f64,
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

impl Drawing {
    fn x(&self, s: f64) -> f64 {
        LEFT + (RIGHT - LEFT) * s / self.length
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
        let said = escaped(&words::headline(answer, consist));
        self.add(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" \
             width=\"{WIDTH}\" height=\"{HEIGHT}\" role=\"img\" aria-labelledby=\"title what\">"
        ));
        self.add(format_args!(
            "<title id=\"title\">{} cars on {}</title>",
            consist.car_count(),
            escaped(&line.name)
        ));
        self.add(format_args!(
            "<desc id=\"what\">{said}. Above: greatest draft and buff in any coupling that passes \
             each place of the line. Below: the least margin of any vehicle that passes it. Under \
             them: curves, grades and named places.</desc>"
        ));
        self.text += STYLE;
        self.add(format_args!(
            "<rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#ffffff\"/>"
        ));
        let title = format!(
            "{}: {} cars, {}",
            line.name,
            consist.car_count(),
            words::condition(answer.asked.check.condition)
        );
        self.label((LEFT, 30.0), "start", "head", &title);
        let room = 150;
        for (row, said) in crate::text::wrapped(&words::headline(answer, consist), room)
            .into_iter()
            .take(2)
            .zip([52.0, 68.0])
        {
            self.label((LEFT, said), "start", "small", &row);
        }
    }

    /// Named stretches as bands behind everything, their names slanted below.
    fn places(&mut self, line: &Line) {
        for place in &line.places {
            let (from, to) = (self.x(place.from), self.x(place.to));
            let (top, height) = (FORCE.0, GRADES.1 - FORCE.0);
            self.add(format_args!(
                "<rect x=\"{from:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" class=\"band\"/>",
                (to - from).max(1.0)
            ));
            let x = (0.5 * (from + to)).min(RIGHT - 90.0);
            let name = escaped(&place.name);
            self.add(format_args!(
                "<text x=\"{x:.1}\" y=\"{NAMES}\" class=\"small\" \
                 transform=\"rotate(22 {x:.1} {NAMES})\">{name}</text>"
            ));
        }
    }

    fn axis(&mut self, (top, bottom): (f64, f64), (low, high): (f64, f64), step: f64, unit: &str) {
        let mut value = (low / step).ceil() * step;
        while value <= high + 1e-9 {
            let y = bottom - (bottom - top) * (value - low) / (high - low);
            self.add(format_args!(
                "<line x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"grid\"/>"
            ));
            let shown = if value.abs() < 1e-9 { 0.0 } else { value };
            let shown = format!("{shown:.1}").replace('-', "−");
            self.label((LEFT - 8.0, y + 4.0), "end", "small", &shown);
            value += step;
        }
        self.label((LEFT, top - 8.0), "start", "small", unit);
    }

    fn forces(&mut self, answer: &Answer) {
        let rows = answer.trace.rows();
        let draft = rows.iter().map(|row| row.draft).fold(0.5, f64::max).ceil();
        let buff = rows.iter().map(|row| row.buff).fold(0.0, f64::max).ceil();
        let range = (-buff, draft);
        let step = if draft + buff > 8.0 { 2.0 } else { 1.0 };
        self.axis(
            FORCE,
            range,
            step,
            "force in the couplings, N: draft up, buff down",
        );
        let of = |index: usize, up: bool| {
            let row = &rows[index];
            row.passed.then_some(if up { row.draft } else { -row.buff })
        };
        let count = rows.len();
        self.curve(
            answer,
            FORCE,
            range,
            "draft",
            (0..count).map(|index| of(index, true)),
        );
        self.curve(
            answer,
            FORCE,
            range,
            "buff",
            (0..count).map(|index| of(index, false)),
        );
        self.label(
            (RIGHT - 4.0, FORCE.0 + 14.0),
            "end",
            "small",
            "solid: draft; dashed: buff",
        );
    }

    fn margins(&mut self, answer: &Answer, consist: &Consist) {
        let rows = answer.trace.rows();
        let passed = || rows.iter().filter(|row| row.passed);
        let least = passed()
            .map(|row| 1.0 - row.used.ratio())
            .fold(0.0, f64::min);
        let range = (((least * 5.0).floor() / 5.0).max(-1.0), 1.0);
        self.axis(
            MARGIN,
            range,
            0.2,
            "least margin of any vehicle that passes (1 is all, 0 the limit)",
        );
        let margin = |row: &gradeworthy_train::sweep::Traced| {
            row.passed.then(|| (1.0 - row.used.ratio()).max(range.0))
        };
        self.curve(answer, MARGIN, range, "margin", rows.iter().map(margin));
        let asked = answer.asked.least_margin;
        let y = MARGIN.1 - (MARGIN.1 - MARGIN.0) * (asked - range.0) / (range.1 - range.0);
        self.add(format_args!(
            "<line x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"asked\"/>"
        ));
        self.label(
            (RIGHT - 4.0, y - 5.0),
            "end",
            "small",
            &format!("{asked:.2} asked for"),
        );
        if let Some(spot) = answer.spots.first() {
            let x = self.x(spot.car_s);
            let value = spot.margin().max(range.0);
            let y = MARGIN.1 - (MARGIN.1 - MARGIN.0) * (value - range.0) / (range.1 - range.0);
            self.add(format_args!(
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"5\" class=\"spot\"/>"
            ));
            let name = &consist.members[spot.vehicle].name;
            let said = format!("{name}, {}", words::number(spot.margin()));
            let (at, anchor) = if x > 0.7 * RIGHT {
                (x - 9.0, "end")
            } else {
                (x + 9.0, "start")
            };
            self.label((at, y + 4.0), anchor, "bold", &said);
        }
    }

    fn curve(
        &mut self,
        answer: &Answer,
        (top, bottom): (f64, f64),
        (low, high): (f64, f64),
        class: &str,
        values: impl Iterator<Item = Option<f64>>,
    ) {
        let mut path = String::new();
        let mut drawn = false;
        for (index, value) in values.enumerate() {
            let Some(value) = value else {
                drawn = false;
                continue;
            };
            let x = self.x(answer.trace.middle(index));
            let y = bottom - (bottom - top) * (value - low) / (high - low);
            let word = if drawn { 'L' } else { 'M' };
            write!(path, "{word}{x:.1} {y:.1}").unwrap_or_default();
            drawn = true;
        }
        self.add(format_args!("<path d=\"{path}\" class=\"{class}\"/>"));
    }

    /// Curvature as a line: up is left.
    fn curves(&mut self, line: &Line) {
        let plan = line.alignment.plan();
        let sharpest = plan
            .iter()
            .flat_map(|own| [own.curvature_start.abs(), own.curvature_end.abs()])
            .fold(1e-6, f64::max);
        let middle = 0.5 * (CURVES.0 + CURVES.1);
        let half = 0.5 * (CURVES.1 - CURVES.0);
        let mut path = format!("M{LEFT} {middle:.1}");
        for row in explain(&line.alignment) {
            if !matches!(
                row.kind,
                PieceKind::Tangent | PieceKind::Arc | PieceKind::Easement
            ) {
                continue;
            }
            let y = |curvature: f64| middle - half * curvature / sharpest;
            let (from, to) = (self.x(row.from), self.x(row.to));
            let (start, end) = (y(row.start), y(row.end));
            write!(path, "L{from:.1} {start:.1}L{to:.1} {end:.1}").unwrap_or_default();
            if row.kind == PieceKind::Arc && to - from > 24.0 {
                let said = format!("{:.0} in", 1.0 / row.start.abs() / 0.0254);
                let below = middle + if row.start > 0.0 { 12.0 } else { -5.0 };
                self.label((0.5 * (from + to), below), "middle", "small", &said);
            }
        }
        self.add(format_args!("<path d=\"{path}\" class=\"track\"/>"));
        self.label((LEFT - 8.0, CURVES.0 + 8.0), "end", "small", "left");
        self.label((LEFT - 8.0, CURVES.1), "end", "small", "right");
    }

    fn grades(&mut self, line: &Line) {
        for row in explain(&line.alignment) {
            if row.kind != PieceKind::Grade {
                continue;
            }
            let (from, to) = (self.x(row.from), self.x(row.to));
            let (top, height) = (GRADES.0, GRADES.1 - GRADES.0);
            self.add(format_args!(
                "<rect x=\"{from:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" class=\"grade\"/>",
                to - from
            ));
            if to - from > 44.0 {
                let said = format!("{:.1} %", 100.0 * row.start);
                self.label(
                    (0.5 * (from + to), GRADES.1 - 8.0),
                    "middle",
                    "small",
                    &said,
                );
            }
        }
        self.label((LEFT - 8.0, GRADES.1 - 8.0), "end", "small", "grade");
    }

    fn metres(&mut self) {
        let step = if self.length > 40.0 { 10.0 } else { 5.0 };
        let mut s = 0.0;
        while s <= self.length {
            let x = self.x(s);
            let (top, bottom) = (MARGIN.1, MARGIN.1 + 5.0);
            self.add(format_args!(
                "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{top}\" y2=\"{bottom}\" class=\"asked\"/>"
            ));
            self.label(
                (x, MARGIN.1 + 18.0),
                "middle",
                "small",
                &format!("{s:.0} m"),
            );
            s += step;
        }
    }
}

const STYLE: &str = "<style>\
text{font-family:sans-serif;fill:#1a1a1a}.head{font-size:18px;font-weight:bold}\
.small{font-size:12px}.bold{font-size:13px;font-weight:bold}\
.band{fill:#e9eef5}.grid{stroke:#c9c9c9;stroke-width:1}\
.draft,.buff,.margin,.track{fill:none;stroke-width:2}\
.draft{stroke:#0b5394}.buff{stroke:#a64d00;stroke-dasharray:7 4}.margin{stroke:#1a1a1a}\
.track{stroke:#4d4d4d}.asked{stroke:#1a1a1a;stroke-width:1;stroke-dasharray:3 3}\
.spot{fill:#b00020;stroke:#ffffff}.grade{fill:none;stroke:#4d4d4d}\
</style>\n";
