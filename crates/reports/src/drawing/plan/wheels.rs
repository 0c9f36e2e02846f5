//! Wheels on their axles: where their backs are, and where they may be.

use gradeworthy_units::{Amount, Length};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Line};
use gradeworthy_workbench::mechanics::wheelset::Edge;
use gradeworthy_workbench::record::{Measure, Place, Side};
use maud::{Markup, html};

use super::super::canvas::{Anchor, area, dashes, line, outline, px, text};
use super::super::captions::Caption;
use super::super::exaggeration::Exaggeration;
use super::super::verdict::{class, shape};
use super::{MIDDLE, View};
use crate::words::amount;

/// Half the window at each wheel, and the most of a shift, px.
const HALF_WINDOW_PX: f64 = 10.0;
const PX_MAX: f64 = 26.0;

/// One axle's back-to-back: as read at each place round it, and its window, mm.
pub(super) struct AxleSeen {
    pub(super) read: Vec<f64>,
    pub(super) window: (Option<f64>, Option<f64>),
    pub(super) verdict: Verdict,
}

impl AxleSeen {
    fn least(&self) -> Option<f64> {
        self.read.iter().copied().reduce(f64::min)
    }

    fn greatest(&self) -> Option<f64> {
        self.read.iter().copied().reduce(f64::max)
    }

    /// Middle and half width of the window, where it has both edges and is open.
    fn middle(&self) -> Option<(f64, f64)> {
        let (lower, upper) = (self.window.0?, self.window.1?);
        (upper > lower).then(|| (f64::midpoint(lower, upper), (upper - lower) / 2.0))
    }

    /// Whether the edges of the window have crossed, so that no B will do.
    fn is_shut(&self) -> bool {
        matches!(self.window, (Some(lower), Some(upper)) if upper < lower)
    }

    /// What is the matter with B, in a word; askew where a wobble puts it beyond both edges.
    fn way(&self) -> &'static str {
        if self.is_shut() {
            return "";
        }
        let below = self
            .least()
            .zip(self.window.0)
            .is_some_and(|(b, edge)| b < edge);
        let above = self
            .greatest()
            .zip(self.window.1)
            .is_some_and(|(b, edge)| b > edge);
        match (below, above) {
            (true, true) => " askew",
            (true, false) => " narrow",
            (false, true) => " wide",
            (false, false) => "",
        }
    }
}

impl View<'_> {
    pub(super) fn axle_seen(&self, axle: u8) -> AxleSeen {
        let stations = 1..=3;
        let read: Vec<f64> = stations
            .filter_map(|station| {
                self.seen
                    .number(Measure::BackToBack, Place::Station(axle, station))
            })
            .collect();
        let least = read.iter().copied().reduce(f64::min);
        let greatest = read.iter().copied().reduce(f64::max);
        let mut seen = AxleSeen {
            read,
            window: (None, None),
            verdict: Verdict::NotChecked,
        };
        let lines: Vec<_> = self.gauge_lines(axle).collect();
        seen.verdict = lines
            .iter()
            .map(|(line, _)| line.verdict)
            .max()
            .unwrap_or(seen.verdict);
        for (line, edge) in lines {
            let Some(margin) = line.margin.map(Amount::base) else {
                continue;
            };
            let (lower, upper) = seen.window;
            match edge {
                Edge::Lower => {
                    let at = least.map(|b| b - margin);
                    seen.window.0 = larger(lower, at);
                }
                Edge::Upper => {
                    let at = greatest.map(|b| b + margin);
                    seen.window.1 = larger(upper.map(|x| -x), at.map(|x| -x)).map(|x| -x);
                }
                Edge::Neither => {}
            }
        }
        seen
    }

    /// The lines that moving a wheel on its axle would change.
    fn gauge_lines(&self, axle: u8) -> impl Iterator<Item = (&Line, Edge)> {
        let lines = self.seen.inspection.lines.iter();
        lines.filter_map(move |line| {
            let Aspect::Wheel(kind) = line.aspect else {
                return None;
            };
            let here = match line.place {
                Place::Axle(own) | Place::Wheel(own, _) => own == axle,
                _ => false,
            };
            (here && kind.edge() != Edge::Neither).then(|| (line, kind.edge()))
        })
    }

    /// One factor for all axles: that of the narrowest window; a tenth of a millimetre where none
    /// is known.
    pub(super) fn window_exaggeration(&self) -> Exaggeration {
        let axles = 1..=self.car.axles.count();
        let halves = axles.filter_map(|axle| self.axle_seen(axle).middle());
        let half = halves.map(|(_, half)| half).reduce(f64::min);
        let half = half.unwrap_or(self.car.gauge.mm / 165.0);
        // B opens by twice what each wheel moves.
        Exaggeration::drawing(half / 2.0, HALF_WINDOW_PX, PX_MAX).unwrap_or(Exaggeration {
            px_per_mm: self.scale,
            px_max: PX_MAX,
        })
    }

    pub(super) fn axle(&self, axle: u8, x: f64) -> Markup {
        let seen = self.axle_seen(axle);
        let by = self.window_exaggeration();
        let half = self.half_width();
        let back = 0.44 * self.car.gauge.mm * self.scale;
        let middle = seen.middle();
        let shift = |b: f64| middle.map_or(0.0, |(middle, _)| by.of((b - middle) / 2.0).px);
        let first = seen.read.first().copied().map_or(0.0, shift);
        let second = seen.read.get(1).copied().map_or(first, shift);
        let known = self.car.wheel.known && !seen.read.is_empty();
        html! {
            g data-part="axle" data-axle=(axle) data-shift=(px(first)) {
                (line((x, MIDDLE - back), (x, MIDDLE + back), true))
                @for side in Side::BOTH {
                    @let way = if side == Side::Left { 1.0 } else { -1.0 };
                    @if let Some((_, width)) = middle {
                        @let reach = by.of(width / 2.0).px;
                        (area("gw-band", (x - 26.0, x + 26.0),
                            (MIDDLE + way * (back - reach), MIDDLE + way * (back + reach))))
                    }
                    g class=(class(seen.verdict)) {
                        (self.wheel((x, way), (back + first, back + second), known))
                    }
                }
                (shape(seen.verdict, x - 8.0, MIDDLE + half + 18.0))
                (text(x + 6.0, MIDDLE + half + 24.0, Anchor::Start, &axle.to_string()))
            }
        }
    }

    /// A wheel from above, its back `backs` from the middle at its two ends.
    fn wheel(&self, at: (f64, f64), backs: (f64, f64), known: bool) -> Markup {
        let (x, way) = at;
        let radius = (self.car.wheel.mm / 2.0 * self.scale).min(22.0);
        let width = self.car.tire_width.mm * self.scale;
        let edge = |back: f64, out: f64| MIDDLE + way * (back + out);
        html! {
            path fill="currentColor" fill-opacity="0.25" stroke-dasharray=[dashes(known)] d=(outline(&[
                (x - radius, edge(backs.0, 0.0)), (x + radius, edge(backs.1, 0.0)),
                (x + radius, edge(backs.1, width)), (x - radius, edge(backs.0, width))], true)) {}
            path stroke-width="4" d=(outline(&[
                (x - radius, edge(backs.0, 0.0)), (x + radius, edge(backs.1, 0.0))], false)) {}
        }
    }

    /// The axles that are not fit, gravest first, or one caption for all.
    pub(super) fn of_wheels(&self) -> Vec<Caption> {
        let axles = 1..=self.car.axles.count();
        let mut seen: Vec<_> = axles.map(|axle| (axle, self.axle_seen(axle))).collect();
        let all = seen
            .iter()
            .map(|(_, own)| own.verdict)
            .max()
            .unwrap_or(Verdict::NotChecked);
        let alike = seen
            .iter()
            .all(|(_, own)| own.verdict == all && own.way().is_empty());
        if alike {
            let words = match all {
                Verdict::Fit => "all axles in their windows",
                Verdict::Watch => "all axles near an edge",
                Verdict::NotChecked => "",
                Verdict::Stale => "read before the last work",
                Verdict::BadOrder => "all axles out",
            };
            return vec![Caption::new(all, "back-to-back", words)];
        }
        seen.retain(|(_, own)| own.verdict != Verdict::Fit);
        seen.sort_by_key(|(axle, own)| (std::cmp::Reverse(own.verdict), *axle));
        let captions = seen.iter().map(|(axle, own)| {
            Caption::new(
                own.verdict,
                &format!("axle {axle}{}", own.way()),
                self.read_words(own),
            )
        });
        captions.take(4).collect()
    }

    fn read_words(&self, seen: &AxleSeen) -> String {
        if seen.is_shut() {
            return "no back-to-back will do".to_owned();
        }
        let worst = match seen.way() {
            " wide" => seen.greatest(),
            _ => seen.least(),
        };
        let words = worst
            .and_then(Length::from_mm_rounded)
            .map(|b| amount(b.into(), self.system));
        words.unwrap_or_default()
    }

    /// Every axle with its window, for the description.
    pub(super) fn axle_sentences(&self) -> Vec<String> {
        let length = |mm: f64| {
            Length::from_mm_rounded(mm).map_or_else(String::new, |b| amount(b.into(), self.system))
        };
        let axles = 1..=self.car.axles.count();
        let sentence = |axle| {
            let seen = self.axle_seen(axle);
            let (Some(least), Some(greatest)) = (seen.least(), seen.greatest()) else {
                return format!("Axle {axle}: back-to-back not read.");
            };
            let mut said = format!("Axle {axle}: back-to-back {}", length(least));
            if greatest > least {
                said += &format!(" to {}", length(greatest));
            }
            if let (Some(lower), Some(upper)) = seen.window {
                said += &if seen.is_shut() {
                    ", no back-to-back will do".to_owned()
                } else {
                    format!(", window {} to {}", length(lower), length(upper))
                };
            }
            format!("{said}, {}{}.", seen.verdict, seen.way())
        };
        axles.map(sentence).collect()
    }
}

/// The larger of two that may be missing.
fn larger(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (one, other) => one.or(other),
    }
}
