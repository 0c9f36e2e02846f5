//! The spread of one reading over a fleet in a strip without words, small enough to stand beside a
//! field: the stretch within the limits shaded, the middle half of the fleet as a box with its median,
//! and this car's reading as a needle. What it shows is said in its description.

use maud::html;

use super::Drawing;
use super::canvas::{Sheet, area, outline, px};
use super::spread::{LEFT, RIGHT, Spread, Values, limit_words};
use crate::words::{System, amount};

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 44.0;
const TOP: f64 = 12.0;
const FOOT: f64 = 36.0;
const MIDDLE: f64 = 24.0;

/// The strip; without a scale, where nobody has read it, an empty line.
#[must_use]
pub fn strip(of: &Spread<'_>, system: System) -> Drawing {
    let values = Values::of(of);
    let mut said = vec![format!("{} over {} cars.", of.what, values.sorted.len())];
    said.extend(
        of.own
            .map(|own| format!("This car {}.", amount(own, system))),
    );
    said.extend(limit_words(of, system));
    let sheet = Sheet {
        width: WIDTH,
        height: HEIGHT,
        title: format!("This car among the fleet: {}", of.what),
        said,
    };
    let quartiles = values.quartiles();
    sheet.finish(&html! {
        path d=(outline(&[(LEFT, MIDDLE), (RIGHT, MIDDLE)], false)) stroke-width="1" {}
        @if let (Some(scale), Some([low, median, high])) = (values.scale(), quartiles) {
            @let at = |value| scale.at(value);
            @if values.lower.is_some() || values.upper.is_some() {
                @let within = (values.lower.map_or(LEFT, at), values.upper.map_or(RIGHT, at));
                (area("gw-band", within, (TOP - 4.0, FOOT + 4.0)))
            }
            @for limit in [values.lower, values.upper].into_iter().flatten() {
                path data-part="limit" stroke-width="3"
                    d=(outline(&[(at(limit), TOP - 6.0), (at(limit), FOOT + 6.0)], false)) {}
            }
            rect data-part="middle half" x=(px(at(low))) y=(px(TOP + 4.0)) height=(px(FOOT - TOP - 8.0))
                width=(px((at(high) - at(low)).max(1.0))) stroke-width="2" {}
            path d=(outline(&[(at(median), TOP + 4.0), (at(median), FOOT - 4.0)], false)) {}
            @if let Some(own) = values.own {
                @let x = at(own);
                path data-part="own" data-x=(px(x)) fill="currentColor" stroke="none"
                    d=(outline(&[(x, MIDDLE), (x - 8.0, 2.0), (x + 8.0, 2.0)], true)) {}
                path stroke-width="3" d=(outline(&[(x, TOP), (x, FOOT + 4.0)], false)) {}
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::{Amount, Length};

    use super::*;

    fn mm(hundredths: i64) -> Amount {
        Length::from_hundredths_mm(hundredths).into()
    }

    #[test]
    fn this_car_stands_between_the_limits_and_the_middle_half_by_its_amount() {
        let values: Vec<Amount> = (0..101).map(|step| mm(1400 + step)).collect();
        let of = |own| Spread {
            what: "back to back",
            values: &values,
            own: Some(mm(own)),
            lower: Some(mm(1400)),
            upper: Some(mm(1500)),
        };
        let x = |own| {
            let svg = strip(&of(own), System::Metric).svg;
            let at = svg.split("data-x=\"").nth(1).expect("a needle");
            at.split('"')
                .next()
                .expect("a number")
                .parse::<f64>()
                .expect("a number")
        };
        // Source: the median of 0, 1, … 100 is 50, and the strip is linear.
        let (low, middle, high) = (x(1400), x(1450), x(1500));
        assert!((middle - f64::midpoint(low, high)).abs() < 0.11);
        assert!((middle - f64::midpoint(LEFT, RIGHT)).abs() < 0.11);
        let svg = strip(&of(1450), System::Metric).svg;
        assert!(svg.contains("Limits 14.00 mm to 15.00 mm."), "{svg}");
    }

    #[test]
    fn where_nobody_has_read_it_there_is_a_line_and_a_sentence() {
        let of = Spread {
            what: "droop",
            values: &[],
            own: None,
            lower: None,
            upper: None,
        };
        let drawing = strip(&of, System::Metric);
        assert!(drawing.description.contains("0 cars"));
        assert!(!drawing.svg.contains("data-part"));
    }
}
