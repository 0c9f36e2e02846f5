//! What the side view says in words, beside it and in its description.

use gradeworthy_units::{Amount, Length};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Line};
use gradeworthy_workbench::record::{End, Measure, Place, Side};
use gradeworthy_workbench::rules::Limited;

use super::super::captions::Caption;
use super::super::seen::limits;
use super::View;
use crate::words::amount;

impl View<'_> {
    /// Captions under the A end, the middle and the B end.
    pub(super) fn captions(&self) -> [Vec<Caption>; 3] {
        [self.of_end(End::A), self.of_car(), self.of_end(End::B)]
    }

    fn of_end(&self, end: End) -> Vec<Caption> {
        let place = Place::End(end);
        vec![
            self.caption(
                "coupler",
                Limited::CouplerHeight,
                Measure::CouplerHeight,
                place,
            ),
            self.caption("droop", Limited::Droop, Measure::Droop, place),
            self.wheels(end),
        ]
    }

    fn of_car(&self) -> Vec<Caption> {
        let weight = self.seen.inspection.line(Aspect::Weight, Place::Car);
        vec![
            self.judged(
                "weight",
                weight,
                self.seen.amount(Measure::Weight, Place::Car),
            ),
            self.judged(
                "end balance",
                self.seen.line(Limited::EndBalance, Place::Car),
                None,
            ),
            self.judged(
                "cg height",
                self.seen.line(Limited::CgHeight, Place::Car),
                None,
            ),
        ]
    }

    fn caption(&self, about: &str, limited: Limited, measure: Measure, place: Place) -> Caption {
        self.judged(
            about,
            self.seen.line(limited, place),
            self.seen.amount(measure, place),
        )
    }

    /// A line in words; `read` where the book sets no limit and there is no line.
    fn judged(&self, about: &str, line: Option<&Line>, read: Option<Amount>) -> Caption {
        let verdict = line.map_or(Verdict::NotChecked, |line| line.verdict);
        let reading = line.and_then(|line| line.reading).or(read);
        let Some(reading) = reading else {
            return Caption::not_read(about);
        };
        let words = amount(reading, self.system);
        let way = line.map_or("", |line| side_of_limits(line));
        if line.is_none() {
            return Caption::unlimited(about, &words);
        }
        Caption::new(verdict, about, format!("{words}{way}"))
    }

    /// The greatest gap under a wheel of one frame.
    fn wheels(&self, end: End) -> Caption {
        let line = self.seen.line(Limited::Warp, self.frame(end));
        let verdict = line.map_or(Verdict::NotChecked, |line| line.verdict);
        let axles = 1..=self.car.axles.count();
        let own = axles.filter(|axle| self.car.end_of(*axle) == end);
        let wheels = own.flat_map(|axle| Side::BOTH.map(|side| (axle, side)));
        let read: Vec<_> = wheels
            .filter_map(|(axle, side)| {
                let gap = self.seen.number(Measure::Gap, Place::Wheel(axle, side))?;
                Some((axle, side, gap))
            })
            .collect();
        let Some((axle, side, gap)) = read.into_iter().max_by(|a, b| a.2.total_cmp(&b.2)) else {
            return Caption::not_read("wheels");
        };
        if gap <= 0.0 {
            return Caption::new(verdict, "wheels", "all down");
        }
        let gap = Length::from_mm_rounded(gap)
            .map_or_else(String::new, |gap| amount(gap.into(), self.system));
        Caption::new(verdict, &format!("axle {axle} {side}"), format!("{gap} up"))
    }

    /// One line under the picture.
    pub(super) fn legend(&self) -> String {
        format!(
            "Small heights {} times too large. Dashed: not measured. Shaded band: within limits.",
            self.exaggeration.times(self.scale)
        )
    }

    /// The description.
    pub(super) fn sentences(&self, columns: &[Vec<Caption>; 3]) -> Vec<String> {
        let car = &self.seen.record.car;
        let mut who = car.mark.to_string();
        for more in [&car.description, &car.owner].into_iter().flatten() {
            who += &format!(", {more}");
        }
        let mut said = vec![format!(
            "{who}, seen from its left side, A end at the left hand."
        )];
        for (captions, place) in columns.iter().zip(["A end", "", "B end"]) {
            said.extend(captions.iter().map(|caption| caption.sentence(place)));
        }
        let weights = End::BOTH.map(|end| self.seen.amount(Measure::EndWeight, Place::End(end)));
        if let [Some(a), Some(b)] = weights.map(|weight| weight.map(|w| amount(w, self.system))) {
            said.push(format!("On the A truck {a}, on the B truck {b}."));
        }
        said.push(format!(
            "Deviations of coupler heights, droop and gaps under wheels are drawn {} times too large{}.",
            self.exaggeration.times(self.scale),
            if self.any_cut() { ", the greatest cut short" } else { "" },
        ));
        let car = &self.car;
        said.push(car.unknown(
            &[
                ("length of the body", car.body),
                ("truck centres", car.centres),
                ("truck wheelbase", car.wheelbase),
                ("overhang at the A end", car.overhang[0]),
                ("overhang at the B end", car.overhang[1]),
                ("wheel diameter", car.wheel),
            ],
            &["height of the body"],
        ));
        said
    }

    fn any_cut(&self) -> bool {
        let heads = End::BOTH.into_iter().filter_map(|end| self.head_shift(end));
        let gaps = self.seen.record.entries.iter().filter_map(|entry| {
            matches!(entry.measure, Measure::Gap | Measure::Droop)
                .then(|| self.seen.number(entry.measure, entry.place))
                .flatten()
        });
        let gaps = gaps.map(|gap| self.exaggeration.of(gap));
        heads.chain(gaps).any(|shift| shift.cut)
    }
}

/// Which limit a reading is beyond, in a word.
pub(in super::super) fn side_of_limits(line: &Line) -> &'static str {
    let Some(reading) = line.reading.map(Amount::base) else {
        return "";
    };
    match limits(line) {
        (Some(lower), _) if reading < lower => ", low",
        (_, Some(upper)) if reading > upper => ", high",
        _ => "",
    }
}
