//! The spread of one reading over a fleet, with this car and the limits marked.
//!
//! The picture covers the limits, this car, and the middle 98 % of the fleet; what lies beyond is
//! counted in the end columns, which are capped with a stroke. Columns that lie wholly outside the
//! limits are hollow and the others filled, so that the two are told apart without colour.

use gradeworthy_units::Amount;
use maud::{Markup, html};

use super::Drawing;
use super::canvas::{Anchor, Sheet, bold, outline, px, text};
use crate::words::{System, amount};

const WIDTH: f64 = 320.0;
pub(super) const LEFT: f64 = 12.0;
pub(super) const RIGHT: f64 = 308.0;
const TOP: f64 = 52.0;
const BASE: f64 = 132.0;
const HEIGHT: f64 = 182.0;
const COLUMNS: usize = 24;

/// What a picture of a spread is of.
#[derive(Clone, Copy, Debug)]
pub struct Spread<'a> {
    /// What was read: `coupler height`.
    pub what: &'a str,
    /// The fleet's readings.
    pub values: &'a [Amount],
    /// This car's.
    pub own: Option<Amount>,
    /// The lower limit.
    pub lower: Option<Amount>,
    /// The upper limit.
    pub upper: Option<Amount>,
}

/// The columns of a fleet's readings.
#[must_use]
pub fn spread(of: &Spread<'_>, system: System) -> Drawing {
    let values = Values::of(of);
    let mut said = vec![format!("{} over {} cars.", of.what, values.sorted.len())];
    said.extend(
        of.own
            .map(|own| format!("This car {}.", amount(own, system))),
    );
    said.extend(limit_words(of, system));
    if of.lower.is_some() || of.upper.is_some() {
        said.push(format!("{} outside the limits.", values.outside()));
    }
    if values.other_kind > 0 {
        said.push(format!(
            "{} readings of another kind left out.",
            values.other_kind
        ));
    }
    let sheet = Sheet {
        width: WIDTH,
        height: HEIGHT,
        title: format!("Spread of {}", of.what),
        said,
    };
    sheet.finish(&html! {
        (bold(LEFT, 18.0, Anchor::Start, of.what))
        (text(RIGHT, 18.0, Anchor::End, &values.count_words()))
        @match values.scale() {
            Some(scale) => (scale.draw(&values, of, system)),
            None => (text(WIDTH / 2.0, 90.0, Anchor::Middle, "no readings")),
        }
    })
}

pub(super) fn limit_words(of: &Spread<'_>, system: System) -> Option<String> {
    let words = |limit: Amount| amount(limit, system);
    Some(match (of.lower.map(words), of.upper.map(words)) {
        (Some(lower), Some(upper)) => format!("Limits {lower} to {upper}."),
        (Some(lower), None) => format!("At least {lower}."),
        (None, Some(upper)) => format!("At most {upper}."),
        (None, None) => return None,
    })
}

/// Readings of one dimension, in base units and in order.
pub(super) struct Values {
    pub(super) sorted: Vec<f64>,
    other_kind: usize,
    pub(super) own: Option<f64>,
    pub(super) lower: Option<f64>,
    pub(super) upper: Option<f64>,
}

impl Values {
    pub(super) fn of(of: &Spread<'_>) -> Self {
        let first = of
            .lower
            .or(of.upper)
            .or(of.own)
            .or_else(|| of.values.first().copied());
        let dimension = first.map(Amount::dimension);
        let same = |amount: &Amount| Some(amount.dimension()) == dimension;
        let base = |amount: Option<Amount>| amount.filter(same).map(Amount::base);
        let mut sorted: Vec<f64> = of
            .values
            .iter()
            .filter(|value| same(value))
            .map(|value| value.base())
            .collect();
        sorted.sort_by(f64::total_cmp);
        Self {
            other_kind: of.values.len() - sorted.len(),
            own: base(of.own),
            lower: base(of.lower),
            upper: base(of.upper),
            sorted,
        }
    }

    /// Lower quartile, median, upper quartile: the readings nearest to those parts of the fleet.
    pub(super) fn quartiles(&self) -> Option<[f64; 3]> {
        let last = self.sorted.len().checked_sub(1)?;
        Some([1, 2, 3].map(|quarter| self.sorted[(last * quarter + 2) / 4]))
    }

    /// How many are beyond a limit; at a limit is inside.
    fn outside(&self) -> usize {
        let out = |value: &&f64| {
            self.lower.is_some_and(|lower| **value < lower)
                || self.upper.is_some_and(|upper| **value > upper)
        };
        self.sorted.iter().filter(out).count()
    }

    fn count_words(&self) -> String {
        if self.lower.is_some() || self.upper.is_some() {
            format!("{} of {} out", self.outside(), self.sorted.len())
        } else {
            format!("{} cars", self.sorted.len())
        }
    }

    /// From the first to the ninety-ninth hundredth of the fleet, limits and this car, and a little.
    pub(super) fn scale(&self) -> Option<Scale> {
        let last = self.sorted.len().checked_sub(1)?;
        let hundredth = self.sorted.len() / 100;
        let marks = [
            Some(self.sorted[hundredth]),
            Some(self.sorted[last - hundredth]),
            self.own,
            self.lower,
            self.upper,
        ];
        let marks = || marks.into_iter().flatten();
        let low = marks().fold(f64::INFINITY, f64::min);
        let high = marks().fold(f64::NEG_INFINITY, f64::max);
        let width = high - low;
        let room = if width > 0.0 {
            0.06 * width
        } else {
            low.abs().max(1.0) * 0.05
        };
        Some(Scale {
            low: low - room,
            width: width + 2.0 * room,
        })
    }
}

/// The stretch of amounts that the picture covers.
pub(super) struct Scale {
    low: f64,
    width: f64,
}

impl Scale {
    pub(super) fn at(&self, value: f64) -> f64 {
        (LEFT + (value - self.low) / self.width * (RIGHT - LEFT)).clamp(LEFT, RIGHT)
    }

    /// How many readings fall in each column; those beyond go to the ends.
    fn counts(&self, values: &[f64]) -> [u32; COLUMNS] {
        let mut counts = [0; COLUMNS];
        for value in values {
            let share = (value - self.low) / self.width;
            let column = (0..COLUMNS - 1)
                .find(|column| share < edge(column + 1))
                .unwrap_or(COLUMNS - 1);
            counts[column] += 1;
        }
        counts
    }

    fn draw(&self, values: &Values, of: &Spread<'_>, system: System) -> Markup {
        let counts = self.counts(&values.sorted);
        let most = f64::from(counts.iter().copied().max().unwrap_or(1).max(1));
        html! {
            @for (column, count) in counts.iter().enumerate() {
                @if *count > 0 { (self.column(column, f64::from(*count) / most, values)) }
            }
            path d=(outline(&[(LEFT, BASE), (RIGHT, BASE)], false)) {}
            @for limit in [values.lower, values.upper].into_iter().flatten() {
                @let x = self.at(limit);
                path data-part="limit" d=(outline(&[(x, TOP - 8.0), (x, BASE + 8.0)], false))
                    stroke-width="3" {}
            }
            (self.limit_labels(values, of, system))
            @if let Some(own) = values.own { (self.own(own)) }
        }
    }

    fn column(&self, column: usize, share: f64, values: &Values) -> Markup {
        let (left, right) = (edge(column), edge(column + 1));
        let amount = |share: f64| self.low + share * self.width;
        let out = values.upper.is_some_and(|upper| amount(left) >= upper)
            || values.lower.is_some_and(|lower| amount(right) <= lower);
        let x = |share: f64| LEFT + share * (RIGHT - LEFT);
        let height = (share * (BASE - TOP)).max(2.0);
        let class = if out { "gw-bad" } else { "gw-open" };
        let fill = if out { "0" } else { "0.8" };
        html! {
            g class=(class) {
                rect x=(px(x(left) + 1.0)) y=(px(BASE - height)) width=(px(x(right) - x(left) - 2.0))
                    height=(px(height)) fill="currentColor" fill-opacity=(fill) stroke-width="1.5" {}
            }
        }
    }

    fn limit_labels(&self, values: &Values, of: &Spread<'_>, system: System) -> Markup {
        // Both systems at once would not fit under columns of this width.
        let system = if system == System::Both {
            System::Metric
        } else {
            system
        };
        let middle = f64::midpoint(LEFT, RIGHT);
        let label = |limit: Option<Amount>, base: Option<f64>, y: f64| {
            let (Some(limit), Some(base)) = (limit, base) else {
                return html! {};
            };
            let x = self.at(base);
            let anchor = if x < middle {
                Anchor::Start
            } else {
                Anchor::End
            };
            text(
                x + if x < middle { -6.0 } else { 6.0 },
                y,
                anchor,
                &amount(limit, system),
            )
        };
        let close = match (values.lower, values.upper) {
            (Some(lower), Some(upper)) => self.at(upper) - self.at(lower) < 150.0,
            _ => false,
        };
        let second = if close { BASE + 44.0 } else { BASE + 26.0 };
        html! {
            (label(of.lower, values.lower, BASE + 26.0))
            (label(of.upper, values.upper, second))
        }
    }

    fn own(&self, own: f64) -> Markup {
        let x = self.at(own);
        let (anchor, at) = if x < 160.0 {
            (Anchor::Start, x + 12.0)
        } else {
            (Anchor::End, x - 12.0)
        };
        html! {
            g data-part="own" data-x=(px(x)) {
                path d=(outline(&[(x, 42.0), (x, BASE)], false)) stroke-width="1.5" {}
                path fill="currentColor" d=(outline(&[(x, 46.0), (x - 8.0, 30.0), (x + 8.0, 30.0)], true)) {}
            }
            (text(at, 42.0, anchor, "this car"))
        }
    }
}

/// The left edge of a column as a share of the width.
#[expect(clippy::cast_precision_loss, reason = "two dozen columns")]
fn edge(column: usize) -> f64 {
    column as f64 / COLUMNS as f64
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::{Length, Mass};

    use super::*;

    fn thou(values: &[i64]) -> Vec<Amount> {
        values
            .iter()
            .map(|thou| Length::from_thousandths(*thou).into())
            .collect()
    }

    fn of<'a>(values: &'a [Amount], limits: (i64, i64)) -> Spread<'a> {
        Spread {
            what: "coupler height",
            values,
            own: Some(Length::from_thousandths(372).into()),
            lower: Some(Length::from_thousandths(limits.0).into()),
            upper: Some(Length::from_thousandths(limits.1).into()),
        }
    }

    #[test]
    fn every_reading_is_in_a_column_and_at_the_limit_is_inside() {
        let values = thou(&[372, 380, 381, 390, 391, 391, 401, 402, 900]);
        let of = of(&values, (381, 401));
        let values = Values::of(&of);
        assert_eq!(values.outside(), 4);
        let counts = values.scale().expect("readings").counts(&values.sorted);
        assert_eq!(counts.iter().sum::<u32>(), 9);
    }

    #[test]
    fn readings_of_another_kind_are_left_out_and_said() {
        let mut values = thou(&[390]);
        values.push(Mass::from_milligrams(100).into());
        let drawing = spread(&of(&values, (381, 401)), System::Inch);
        assert!(
            drawing.description.contains("1 readings of another kind"),
            "{}",
            drawing.description
        );
    }

    #[test]
    fn an_empty_fleet_is_said() {
        assert!(
            spread(&of(&[], (381, 401)), System::Inch)
                .svg
                .contains("no readings")
        );
    }
}
