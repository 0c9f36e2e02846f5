//! What every chart of curves shares: what lies across, panels with their axes, curves, labels.
//!
//! SVG 1.1; words are escaped, a minus is written as one, and every colour is doubled by a dash, a
//! hatching or a label, which is the chart's own business.

use std::fmt::{Arguments, Write};

/// What lies across: from 0 at the left edge to `until` at the right one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Across {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) until: f64,
}

/// A panel: its top and bottom edge, and the values at the bottom and at the top.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Panel {
    pub(crate) edges: (f64, f64),
    pub(crate) range: (f64, f64),
}

impl Panel {
    pub(crate) fn y(&self, value: f64) -> f64 {
        let ((top, bottom), (low, high)) = (self.edges, self.range);
        bottom - (bottom - top) * (value - low) / (high - low)
    }
}

/// A chart as it is drawn.
pub(crate) struct Chart {
    text: String,
    pub(crate) across: Across,
}

/// What stands for a chart where it is not seen, and how its parts look.
pub(crate) struct Head<'a> {
    pub(crate) size: (f64, f64),
    pub(crate) title: &'a str,
    pub(crate) what: &'a str,
    pub(crate) style: &'a str,
}

/// Text as SVG takes it.
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

impl Chart {
    pub(crate) const fn new(across: Across) -> Self {
        Self {
            text: String::new(),
            across,
        }
    }

    /// A file of its own, on white.
    pub(crate) fn begin(&mut self, head: &Head<'_>) {
        let (width, height) = head.size;
        self.add(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" \
             width=\"{width}\" height=\"{height}\" role=\"img\" aria-labelledby=\"title what\">"
        ));
        let (title, what) = (escaped(head.title), escaped(head.what));
        self.add(format_args!("<title id=\"title\">{title}</title>"));
        self.add(format_args!("<desc id=\"what\">{what}</desc>"));
        self.text += head.style;
        self.add(format_args!(
            "<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>"
        ));
    }

    pub(crate) fn finish(self) -> String {
        self.text + "</svg>\n"
    }

    pub(crate) fn x(&self, value: f64) -> f64 {
        let Across { left, right, until } = self.across;
        left + (right - left) * value / until
    }

    pub(crate) fn add(&mut self, text: Arguments<'_>) {
        // Writing to a String does not fail.
        self.text.write_fmt(text).unwrap_or_default();
        self.text.push('\n');
    }

    pub(crate) fn label(&mut self, (x, y): (f64, f64), anchor: &str, class: &str, text: &str) {
        let text = escaped(text);
        self.add(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" class=\"{class}\">{text}</text>"
        ));
    }

    /// Lines across a panel with their values at the left, and over it what it shows.
    pub(crate) fn axis(&mut self, panel: &Panel, step: f64, said: &str) {
        let Across { left, right, .. } = self.across;
        let (low, high) = panel.range;
        let mut value = (low / step).ceil() * step;
        while value <= high + 1e-9 {
            let y = panel.y(value);
            self.add(format_args!(
                "<line x1=\"{left}\" x2=\"{right}\" y1=\"{y:.1}\" y2=\"{y:.1}\" class=\"grid\"/>"
            ));
            let shown = if value.abs() < 1e-9 { 0.0 } else { value };
            let shown = if step < 0.1 {
                format!("{shown:.2}")
            } else {
                format!("{shown:.1}")
            };
            let shown = shown.replace('-', "−");
            self.label((left - 8.0, y + 4.0), "end", "small", &shown);
            value += step;
        }
        self.label((left, panel.edges.0 - 8.0), "start", "small", said);
    }

    /// A curve; where there is no value it is broken.
    pub(crate) fn curve(
        &mut self,
        panel: &Panel,
        class: &str,
        points: impl Iterator<Item = (f64, Option<f64>)>,
    ) {
        let mut path = String::new();
        let mut drawn = false;
        for (along, value) in points {
            let Some(value) = value else {
                drawn = false;
                continue;
            };
            let (x, y) = (self.x(along), panel.y(value));
            let word = if drawn { 'L' } else { 'M' };
            write!(path, "{word}{x:.1} {y:.1}").unwrap_or_default();
            drawn = true;
        }
        self.add(format_args!("<path d=\"{path}\" class=\"{class}\"/>"));
    }

    /// An upright line at a value.
    pub(crate) fn upright(&mut self, at: f64, (top, bottom): (f64, f64), class: &str) {
        let x = self.x(at);
        self.add(format_args!(
            "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{top}\" y2=\"{bottom}\" class=\"{class}\"/>"
        ));
    }

    pub(crate) fn dot(&mut self, (x, y): (f64, f64), radius: u8, class: &str) {
        self.add(format_args!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" class=\"{class}\"/>"
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_broken_where_nothing_is_known_and_words_are_escaped() {
        let across = Across {
            left: 10.0,
            right: 110.0,
            until: 10.0,
        };
        let panel = Panel {
            edges: (0.0, 100.0),
            range: (0.0, 1.0),
        };
        let mut chart = Chart::new(across);
        let values = [Some(0.0), Some(0.5), None, Some(1.0)];
        let points = [0.0, 1.0, 2.0, 3.0].into_iter().zip(values);
        chart.curve(&panel, "c", points);
        chart.label((0.0, 0.0), "start", "small", "a < b & \"c\"");
        let drawn = chart.finish();
        assert!(
            drawn.contains("M10.0 100.0L20.0 50.0M40.0 0.0\""),
            "{drawn}"
        );
        assert!(drawn.contains("a &lt; b &amp; &quot;c&quot;"), "{drawn}");
    }

    #[test]
    fn an_axis_names_the_steps_within_its_range_and_no_negative_zero() {
        let across = Across {
            left: 0.0,
            right: 1.0,
            until: 1.0,
        };
        let panel = Panel {
            edges: (0.0, 10.0),
            range: (-1.0, 1.0),
        };
        let mut chart = Chart::new(across);
        chart.axis(&panel, 0.5, "x");
        let drawn = chart.finish();
        let said: Vec<_> = ["−1.0<", "−0.5<", ">0.0<", ">0.5<", ">1.0<"].into();
        assert!(said.iter().all(|own| drawn.contains(own)), "{drawn}");
        assert_eq!(drawn.matches("class=\"grid\"").count(), 5);
    }
}
