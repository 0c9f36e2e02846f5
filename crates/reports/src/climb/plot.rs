//! The climb as a picture: forces and margin along the line, with its curves, grades and places.
//!
//! SVG 1.1 with a title and a description for readers who do not see it; every colour is doubled by
//! a label or a dash.

use std::fmt::Write;

use gradeworthy_train::line::drawing::{PieceKind, explain};

use super::answer::{Answer, Line};
use super::join::Consist;
use super::words;
use crate::chart::{Across, Chart, Head, Panel, escaped};

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
    let across = Across {
        left: LEFT,
        right: RIGHT,
        until: line.alignment.length(),
    };
    let mut drawing = Drawing {
        chart: Chart::new(across),
    };
    drawing.head(answer, consist, line);
    drawing.places(line);
    drawing.forces(answer);
    drawing.margins(answer, consist);
    drawing.curves(line);
    drawing.grades(line);
    drawing.metres();
    drawing.chart.finish()
}

struct Drawing {
    chart: Chart,
}

impl Drawing {
    fn head(&mut self, answer: &Answer, consist: &Consist, line: &Line) {
        let said = words::headline(answer, consist);
        self.chart.begin(&Head {
            size: (WIDTH, HEIGHT),
            title: &format!("{} cars on {}", consist.car_count(), line.name),
            what: &format!(
                "{said}. Above: greatest draft and buff in any coupling that passes each place of the \
                 line. Below: the least margin of any vehicle that passes it. Under them: curves, \
                 grades and named places."
            ),
            style: STYLE,
        });
        let title = format!(
            "{}: {} cars, {}",
            line.name,
            consist.car_count(),
            words::condition(answer.asked.check.condition)
        );
        self.chart.label((LEFT, 30.0), "start", "head", &title);
        let rows = crate::text::wrapped(&said, 150).into_iter().take(2);
        for (row, y) in rows.zip([52.0, 68.0]) {
            self.chart.label((LEFT, y), "start", "small", &row);
        }
    }

    /// Named stretches as bands behind everything, their names slanted below.
    fn places(&mut self, line: &Line) {
        for place in &line.places {
            let (from, to) = (self.chart.x(place.from), self.chart.x(place.to));
            let (top, height) = (FORCE.0, GRADES.1 - FORCE.0);
            self.chart.add(format_args!(
                "<rect x=\"{from:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" class=\"band\"/>",
                (to - from).max(1.0)
            ));
            let x = (0.5 * (from + to)).min(RIGHT - 90.0);
            let name = escaped(&place.name);
            self.chart.add(format_args!(
                "<text x=\"{x:.1}\" y=\"{NAMES}\" class=\"small\" \
                 transform=\"rotate(22 {x:.1} {NAMES})\">{name}</text>"
            ));
        }
    }

    fn forces(&mut self, answer: &Answer) {
        let rows = answer.trace.rows();
        let draft = rows.iter().map(|row| row.draft).fold(0.5, f64::max).ceil();
        let buff = rows.iter().map(|row| row.buff).fold(0.0, f64::max).ceil();
        let panel = Panel {
            edges: FORCE,
            range: (-buff, draft),
        };
        let step = if draft + buff > 8.0 { 2.0 } else { 1.0 };
        let said = "force in the couplings, N: draft up, buff down";
        self.chart.axis(&panel, step, said);
        let of = |up: bool| {
            rows.iter().enumerate().map(move |(index, row)| {
                let force = if up { row.draft } else { -row.buff };
                (answer.trace.middle(index), row.passed.then_some(force))
            })
        };
        self.chart.curve(&panel, "draft", of(true));
        self.chart.curve(&panel, "buff", of(false));
        let said = "solid: draft; dashed: buff";
        self.chart
            .label((RIGHT - 4.0, FORCE.0 + 14.0), "end", "small", said);
    }

    fn margins(&mut self, answer: &Answer, consist: &Consist) {
        let rows = answer.trace.rows();
        let passed = || rows.iter().filter(|row| row.passed);
        let least = passed()
            .map(|row| 1.0 - row.used.ratio())
            .fold(0.0, f64::min);
        let low = ((least * 5.0).floor() / 5.0).max(-1.0);
        let panel = Panel {
            edges: MARGIN,
            range: (low, 1.0),
        };
        let said = "least margin of any vehicle that passes (1 is all, 0 the limit)";
        self.chart.axis(&panel, 0.2, said);
        let margins = rows.iter().enumerate().map(|(index, row)| {
            let margin = (1.0 - row.used.ratio()).max(low);
            (answer.trace.middle(index), row.passed.then_some(margin))
        });
        self.chart.curve(&panel, "margin", margins);
        let asked = answer.asked.least_margin;
        let y = panel.y(asked);
        self.chart.add(format_args!(
            "<line x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"asked\"/>"
        ));
        let said = format!("{asked:.2} asked for");
        self.chart
            .label((RIGHT - 4.0, y - 5.0), "end", "small", &said);
        if let Some(spot) = answer.spots.first() {
            let (x, y) = (self.chart.x(spot.car_s), panel.y(spot.margin().max(low)));
            self.chart.dot((x, y), 5, "spot");
            let name = &consist.members[spot.vehicle].name;
            let said = format!("{name}, {}", words::number(spot.margin()));
            let (at, anchor) = if x > 0.7 * RIGHT {
                (x - 9.0, "end")
            } else {
                (x + 9.0, "start")
            };
            self.chart.label((at, y + 4.0), anchor, "bold", &said);
        }
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
            let (from, to) = (self.chart.x(row.from), self.chart.x(row.to));
            let (start, end) = (y(row.start), y(row.end));
            write!(path, "L{from:.1} {start:.1}L{to:.1} {end:.1}").unwrap_or_default();
            if row.kind == PieceKind::Arc && to - from > 24.0 {
                let said = format!("{:.0} in", 1.0 / row.start.abs() / 0.0254);
                let below = middle + if row.start > 0.0 { 12.0 } else { -5.0 };
                self.chart
                    .label((0.5 * (from + to), below), "middle", "small", &said);
            }
        }
        self.chart
            .add(format_args!("<path d=\"{path}\" class=\"track\"/>"));
        self.chart
            .label((LEFT - 8.0, CURVES.0 + 8.0), "end", "small", "left");
        self.chart
            .label((LEFT - 8.0, CURVES.1), "end", "small", "right");
    }

    fn grades(&mut self, line: &Line) {
        for row in explain(&line.alignment) {
            if row.kind != PieceKind::Grade {
                continue;
            }
            let (from, to) = (self.chart.x(row.from), self.chart.x(row.to));
            let (top, height) = (GRADES.0, GRADES.1 - GRADES.0);
            self.chart.add(format_args!(
                "<rect x=\"{from:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" class=\"grade\"/>",
                to - from
            ));
            if to - from > 44.0 {
                let said = format!("{:.1} %", 100.0 * row.start);
                self.chart.label(
                    (0.5 * (from + to), GRADES.1 - 8.0),
                    "middle",
                    "small",
                    &said,
                );
            }
        }
        self.chart
            .label((LEFT - 8.0, GRADES.1 - 8.0), "end", "small", "grade");
    }

    fn metres(&mut self) {
        let step = if self.chart.across.until > 40.0 {
            10.0
        } else {
            5.0
        };
        let mut s = 0.0;
        while s <= self.chart.across.until {
            let x = self.chart.x(s);
            let (top, bottom) = (MARGIN.1, MARGIN.1 + 5.0);
            self.chart.add(format_args!(
                "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{top}\" y2=\"{bottom}\" class=\"asked\"/>"
            ));
            self.chart.label(
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
