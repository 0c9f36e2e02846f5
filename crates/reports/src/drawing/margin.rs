//! The margin picture: one judged line as a bar with its limits, bands, reading and uncertainty.
//!
//! Two limits stand at x = 80 and 240 of 320 px. A single limit stands at 240 (upper) or 80 (lower)
//! and the scale is set so that reading, bands and uncertainty all find room; a reading beyond the
//! bar stands at its end with an arrow. Bands: hatched, the caution band inside a limit; a thick
//! stroke under the bar, the guard band on both sides of it.

use gradeworthy_units::Amount;
use gradeworthy_workbench::checks::Line;
use maud::{Markup, html};

use super::Drawing;
use super::canvas::{Anchor, Sheet, area, bold, capitalised, outline, px, text};
use super::verdict::{class, shape};
use crate::words::{System, amount, line as sentence};

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 98.0;
/// Of a picture without a bar.
const HEIGHT_OF_WORDS: f64 = 30.0;
const LOWER: f64 = 80.0;
const UPPER: f64 = 240.0;
/// Ends of the bar.
const BAR: (f64, f64) = (12.0, 308.0);
const TOP: f64 = 36.0;
const FOOT: f64 = 60.0;

/// One judged line as a bar.
#[must_use]
pub fn margin(line: &Line, system: System) -> Drawing {
    let scale = Scale::of(line);
    let sheet = Sheet {
        width: WIDTH,
        height: if scale.is_some() {
            HEIGHT
        } else {
            HEIGHT_OF_WORDS
        },
        title: format!("Margin of {}, {}", line.aspect, line.place),
        said: said(line, system),
    };
    let reading = line.reading.map(|reading| amount(reading, system));
    sheet.finish(&html! {
        (shape(line.verdict, 17.0, 15.0))
        (bold(32.0, 21.0, Anchor::Start, line.verdict.word()))
        @if let Some(reading) = reading {
            (text(WIDTH - 8.0, 21.0, Anchor::End, &reading))
        }
        @if let Some(scale) = scale { (scale.bar(line, system)) }
    })
}

fn said(line: &Line, system: System) -> Vec<String> {
    let mut said = vec![capitalised(&format!(
        "{}: {}.",
        line.verdict,
        sentence(line, system)
    ))];
    for (band, name) in [
        (line.caution, "Caution band"),
        (line.guard, "Guard band"),
        (line.expanded_uncertainty, "Uncertainty of the reading ±2u"),
    ] {
        said.extend(band.map(|band| format!("{name} {}.", amount(band, system))));
    }
    if Scale::of(line).is_none() {
        said.push("No amounts to draw.".to_owned());
    }
    said
}

/// Where amounts stand on the bar.
struct Scale {
    lower: Option<f64>,
    upper: Option<f64>,
    /// An amount and the pixel it stands at.
    origin: (f64, f64),
    px_per_unit: f64,
}

impl Scale {
    fn of(line: &Line) -> Option<Self> {
        let base = |amount: Option<Amount>| amount.map(Amount::base);
        let (lower, upper) = (base(line.lower), base(line.upper));
        let reading = base(line.reading);
        let (origin, span, room) = match (lower, upper) {
            (Some(lower), Some(upper)) => ((lower, LOWER), upper - lower, UPPER - LOWER),
            (Some(lower), None) => ((lower, LOWER), one_sided(line, reading? - lower), 160.0),
            (None, Some(upper)) => ((upper, UPPER), one_sided(line, upper - reading?), 160.0),
            (None, None) => return None,
        };
        let px_per_unit = room / span;
        (span > 0.0 && px_per_unit.is_finite()).then_some(Self {
            lower,
            upper,
            origin,
            px_per_unit,
        })
    }

    /// The pixel of an amount, wherever it falls.
    fn free(&self, amount: f64) -> f64 {
        self.origin.1 + (amount - self.origin.0) * self.px_per_unit
    }

    /// The pixel of an amount, kept on the bar.
    fn at(&self, amount: f64) -> f64 {
        self.free(amount).clamp(BAR.0, BAR.1)
    }

    fn bar(&self, line: &Line, system: System) -> Markup {
        let left = self.lower.map_or(BAR.0, |lower| self.at(lower));
        let right = self.upper.map_or(BAR.1, |upper| self.at(upper));
        html! {
            (area("gw-band", (left, right), (TOP, FOOT)))
            @for (limit, inward) in self.sides() {
                @let at = self.at(limit);
                @let outer = if inward > 0.0 { BAR.0 } else { BAR.1 };
                (area("gw-out", (at, outer), (TOP + 6.0, FOOT - 6.0)))
                (self.bands(line, limit, inward))
                path data-part="limit" d=(outline(&[(at, TOP - 5.0), (at, FOOT + 5.0)], false))
                    stroke-width="3" {}
            }
            (labels(line, system))
            (self.needle(line))
        }
    }

    /// Each limit with the sign of the way inside.
    fn sides(&self) -> Vec<(f64, f64)> {
        let lower = self.lower.map(|limit| (limit, 1.0));
        lower
            .into_iter()
            .chain(self.upper.map(|limit| (limit, -1.0)))
            .collect()
    }

    fn bands(&self, line: &Line, limit: f64, inward: f64) -> Markup {
        let at = self.at(limit);
        let caution = line
            .caution
            .map(|band| self.at(limit + inward * band.base()));
        let guard = line.guard.map(Amount::base);
        html! {
            @if let Some(to) = caution {
                g data-part="caution" {
                    (area("gw-near", (at, to), (TOP, FOOT)))
                    path d=(hatch(at.min(to), at.max(to))) stroke-width="1" {}
                }
            }
            @if let Some(guard) = guard {
                path data-part="guard" stroke-width="4" d=(outline(&[
                    (self.at(limit - guard), FOOT + 3.0), (self.at(limit + guard), FOOT + 3.0)], false)) {}
            }
        }
    }

    /// The reading as a needle through the bar, its uncertainty as a whisker over it.
    fn needle(&self, line: &Line) -> Markup {
        let Some(reading) = line.reading.map(Amount::base) else {
            return html! {};
        };
        let (free, at) = (self.free(reading), self.at(reading));
        let middle = f64::midpoint(TOP, FOOT);
        let beyond = if free > BAR.1 {
            Some(1.0)
        } else {
            (free < BAR.0).then_some(-1.0)
        };
        let u = line.expanded_uncertainty.map(Amount::base);
        html! {
            g class=(class(line.verdict)) data-part="reading" data-x=(px(at)) {
                @if let Some(u) = u.filter(|_| beyond.is_none()) {
                    @let (low, high) = (self.at(reading - u), self.at(reading + u));
                    path data-part="whisker" d=(format!("{} {} {}",
                        outline(&[(low, middle), (high, middle)], false),
                        outline(&[(low, middle - 5.0), (low, middle + 5.0)], false),
                        outline(&[(high, middle - 5.0), (high, middle + 5.0)], false))) {}
                }
                @if let Some(way) = beyond {
                    path d=(outline(&[(at - way * 10.0, middle - 8.0), (at, middle),
                        (at - way * 10.0, middle + 8.0)], false)) stroke-width="4" {}
                } @else {
                    path d=(outline(&[(at, TOP - 1.0), (at, FOOT + 1.0)], false)) stroke-width="4" {}
                    path fill="currentColor" stroke="none" d=(outline(&[
                        (at, TOP + 2.0), (at - 7.0, TOP - 8.0), (at + 7.0, TOP - 8.0)], true)) {}
                }
            }
        }
    }
}

/// The limits under the bar.
fn labels(line: &Line, system: System) -> Markup {
    let y = HEIGHT - 10.0;
    // Both systems at once would not fit under a bar of this width.
    let system = if system == System::Both {
        System::Metric
    } else {
        system
    };
    let words = |limit: Option<Amount>| limit.map(|limit| amount(limit, system));
    match (words(line.lower), words(line.upper)) {
        (Some(lower), Some(upper)) => html! {
            (text(LOWER, y, Anchor::Middle, &lower))
            (text(UPPER, y, Anchor::Middle, &upper))
        },
        (Some(lower), None) => text(BAR.0, y, Anchor::Start, &format!("at least {lower}")),
        (None, Some(upper)) => text(BAR.1, y, Anchor::End, &format!("at most {upper}")),
        (None, None) => html! {},
    }
}

/// The amount that 160 px stand for where there is one limit: the margin with room to spare, and
/// never so little that bands or uncertainty cover the bar.
fn one_sided(line: &Line, margin: f64) -> f64 {
    let base = |amount: Option<Amount>| amount.map_or(0.0, |amount| amount.base().abs());
    let outside = if margin < 0.0 { 3.0 } else { 1.25 };
    let limit = line
        .lower
        .or(line.upper)
        .map_or(0.0, |limit| limit.base().abs());
    [
        outside * margin.abs(),
        4.0 * base(line.caution),
        4.0 * base(line.guard),
        3.0 * base(line.expanded_uncertainty),
        0.01 * limit,
    ]
    .into_iter()
    .fold(0.0, f64::max)
}

/// Slanted strokes from `left` to `right` over the height of the bar.
fn hatch(left: f64, right: f64) -> String {
    let mut path = String::new();
    let step = 6.0;
    let mut x = left + step / 2.0;
    while x < right {
        let rise = (right - x).min(step);
        let drop = (FOOT - TOP) * rise / step;
        path += &outline(&[(x, FOOT), (x + rise, FOOT - drop)], false);
        path.push(' ');
        x += step;
    }
    path
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::Length;
    use gradeworthy_workbench::Verdict;
    use gradeworthy_workbench::checks::Aspect;
    use gradeworthy_workbench::record::{Check, End, Place};
    use gradeworthy_workbench::rules::Limited;

    use super::*;

    fn line(reading: i64, lower: Option<i64>, upper: Option<i64>) -> Line {
        let thou = |thou: i64| Amount::from(Length::from_thousandths(thou));
        let aspect = Aspect::Limited(Limited::CouplerHeight);
        let place = Place::End(End::A);
        Line {
            reading: Some(thou(reading)),
            lower: lower.map(thou),
            upper: upper.map(thou),
            caution: Some(thou(2)),
            expanded_uncertainty: Some(thou(3)),
            ..Line::without_amounts(Check::CouplerHeight, aspect, place, Verdict::Watch)
        }
    }

    fn x(line: &Line) -> f64 {
        let scale = Scale::of(line).expect("limits");
        scale.free(line.reading.expect("read").base())
    }

    #[test]
    fn two_limits_stand_where_they_are_said_and_readings_between_in_proportion() {
        for (reading, expected) in [(380, 80.0), (390, 160.0), (400, 240.0), (385, 120.0)] {
            let at = x(&line(reading, Some(380), Some(400)));
            assert!((at - expected).abs() < 1e-6, "{reading}: {at}");
        }
    }

    #[test]
    fn one_limit_keeps_reading_and_bands_on_the_bar() {
        for reading in [10, 99, 100, 101, 400] {
            let at = x(&line(reading, None, Some(100)));
            assert!(at > BAR.0 && at < BAR.1, "{reading}: {at}");
            assert_eq!(at > UPPER, reading > 100);
        }
    }

    #[test]
    fn a_reading_off_the_bar_stands_at_its_end_and_the_number_is_said() {
        let drawing = margin(&line(460, Some(380), Some(400)), System::Inch);
        assert!(drawing.svg.contains("data-x=\"308\""));
        assert!(drawing.svg.contains(".4600 in"));
    }

    #[test]
    fn without_amounts_there_is_still_a_shape_and_a_word() {
        let place = Place::End(End::A);
        let line = Line::without_amounts(
            Check::CouplerAction,
            Aspect::Centring,
            place,
            Verdict::BadOrder,
        );
        let drawing = margin(&line, System::Both);
        assert!(
            drawing.svg.contains("data-verdict=\"bad order\"")
                && drawing.svg.contains(">bad order<")
        );
    }
}
