//! A car's proportions: what was measured of it, and ordinary proportions for what was not.
//!
//! ASSUMED: the ordinary sizes below are those of common North American freight cars, common
//! practice and no source, in prototype millimetres. They shape a dashed outline only; no reading
//! and no verdict rests on them.

use gradeworthy_units::Length;
use gradeworthy_workbench::record::{Axles, End, Measure, Place, Side};

use super::seen::Seen;
use super::silhouette::Silhouette;

/// A length on the model, mm, and whether it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Figure {
    pub(super) mm: f64,
    pub(super) known: bool,
}

/// What a picture needs to know of a car, in mm on the model.
#[derive(Clone, Debug)]
pub(super) struct Proportions {
    pub(super) axles: Axles,
    pub(super) body: Figure,
    pub(super) centres: Figure,
    pub(super) wheelbase: Figure,
    /// Bolster to coupler face, A and B.
    pub(super) overhang: [Figure; 2],
    pub(super) wheel: Figure,
    pub(super) tire_width: Figure,
    pub(super) gauge: Figure,
    pub(super) silhouette: Silhouette,
    /// Top of the body above the rail; never measured.
    pub(super) height: f64,
    /// Underside of the body above the rail; never measured.
    pub(super) floor: f64,
    /// Width of the body; never measured.
    pub(super) width: f64,
    /// Coupler centre above the rail where the rule book names no limits.
    pub(super) coupler_height: f64,
    ratio: f64,
}

/// Ordinary sizes, prototype mm.
mod ordinary {
    pub(super) const BODY: f64 = 12_200.0;
    pub(super) const WHEELBASE: f64 = 1_680.0;
    pub(super) const WHEELBASE_OF_THREE: f64 = 3_300.0;
    pub(super) const COUPLER_BEYOND_BODY: f64 = 640.0;
    pub(super) const WHEEL: f64 = 838.0;
    pub(super) const TIRE_WIDTH: f64 = 145.0;
    pub(super) const GAUGE: f64 = 1_435.0;
    pub(super) const FLOOR: f64 = 1_000.0;
    pub(super) const WIDTH: f64 = 3_050.0;
    pub(super) const COUPLER_HEIGHT: f64 = 865.0;
}

impl Proportions {
    /// The proportions of the car of a record.
    pub(super) fn of(seen: Seen<'_>) -> Self {
        let car = &seen.record.car;
        let figures = &car.figures;
        let ratio = car.scale.ratio().value();
        let silhouette = Silhouette::of(car.car_type.as_ref());
        let model = |prototype: f64| prototype / ratio;
        let or = |read: Option<Length>, mm: f64| figure(read.map(Length::mm), mm);
        let body = match (usable(figures.body_length), usable(figures.truck_centres)) {
            (None, Some(centres)) => or(None, centres * 1.5),
            (body, _) => figure(body, model(ordinary::BODY)),
        };
        let centres = or(figures.truck_centres, body.mm * 0.67);
        let wheelbase = or(
            figures.truck_wheelbase,
            model(match figures.axles {
                Axles::Six => ordinary::WHEELBASE_OF_THREE,
                Axles::Two | Axles::Four => ordinary::WHEELBASE,
            }),
        );
        let beyond = (body.mm - centres.mm) / 2.0 + model(ordinary::COUPLER_BEYOND_BODY);
        let over_couplers = usable(figures.length_over_couplers)
            .map(|over| (over - centres.mm) / 2.0)
            .filter(|overhang| *overhang > 0.0 && centres.known);
        let overhang = figures.overhang.map(|own| {
            let read = usable(own).or(over_couplers);
            figure(read, beyond.max(model(ordinary::COUPLER_BEYOND_BODY)))
        });
        let contour = figures
            .wheel_code
            .and_then(gradeworthy_standards::contour)
            .map(|contour| contour.width.value.mm());
        Self {
            axles: figures.axles,
            body,
            centres,
            wheelbase,
            overhang,
            wheel: figure(wheel(seen), model(ordinary::WHEEL)),
            tire_width: figure(contour, model(ordinary::TIRE_WIDTH)),
            gauge: figure(car.scale.gauge().map(Length::mm), model(ordinary::GAUGE)),
            height: model(silhouette.height()),
            floor: model(ordinary::FLOOR),
            width: model(ordinary::WIDTH),
            coupler_height: model(ordinary::COUPLER_HEIGHT),
            silhouette,
            ratio,
        }
    }

    /// A length of the prototype, mm, on this model.
    pub(super) fn model(&self, prototype: f64) -> f64 {
        prototype / self.ratio
    }

    /// Middle of the car to the coupler face of an end.
    pub(super) fn reach(&self, end: End) -> f64 {
        self.centres.mm / 2.0 + self.overhang[end.index()].mm
    }

    /// The farthest that anything stands from the middle of the car.
    pub(super) fn reach_max(&self) -> f64 {
        let wheels = self.centres.mm / 2.0 + self.wheelbase.mm / 2.0 + self.wheel.mm / 2.0;
        [
            self.reach(End::A),
            self.reach(End::B),
            self.body.mm / 2.0,
            wheels,
        ]
        .into_iter()
        .fold(0.0, f64::max)
    }

    /// The bolster of an end (the axle, on a two-axle car), from the middle towards the A end.
    pub(super) fn bolster(&self, end: End) -> f64 {
        match end {
            End::A => self.centres.mm / 2.0,
            End::B => -self.centres.mm / 2.0,
        }
    }

    /// Every axle from the A end: its number and place from the middle towards the A end.
    pub(super) fn axle_places(&self) -> Vec<(u8, f64)> {
        let half = self.wheelbase.mm / 2.0;
        let offsets: &[f64] = match self.axles {
            Axles::Two => &[0.0],
            Axles::Four => &[1.0, -1.0],
            Axles::Six => &[1.0, 0.0, -1.0],
        };
        let places = End::BOTH
            .into_iter()
            .flat_map(|end| offsets.iter().map(move |o| self.bolster(end) + o * half));
        (1..).zip(places).collect()
    }

    /// The end whose truck an axle belongs to.
    pub(super) fn end_of(&self, axle: u8) -> End {
        if axle <= self.axles.count() / 2 {
            End::A
        } else {
            End::B
        }
    }

    /// The figures among `asked` that nobody measured or that no car can have, as a sentence.
    pub(super) fn unknown(&self, asked: &[(&str, Figure)], never: &[&str]) -> String {
        let missing = asked.iter().filter(|(_, figure)| !figure.known);
        let names: Vec<&str> = missing
            .map(|(name, _)| *name)
            .chain(never.iter().copied())
            .collect();
        format!(
            "Not known, so drawn dashed at ordinary proportions: {}.",
            names.join(", ")
        )
    }
}

fn figure(read: Option<f64>, ordinary: f64) -> Figure {
    // ASSUMED: no car is ten times an ordinary one, or a fiftieth; such a figure is a slip, and with
    // it nothing else of the car could be seen.
    match read.filter(|mm| *mm > ordinary / 50.0 && *mm < ordinary * 10.0) {
        Some(mm) => Figure { mm, known: true },
        None => Figure {
            mm: ordinary,
            known: false,
        },
    }
}

/// A length that something can have.
fn usable(read: Option<Length>) -> Option<f64> {
    read.map(Length::mm).filter(|mm| *mm > 0.0)
}

/// The mean of the tread diameters that were read.
fn wheel(seen: Seen<'_>) -> Option<f64> {
    let mut read = Vec::new();
    for axle in 1..=seen.record.car.figures.axles.count() {
        for side in Side::BOTH {
            read.extend(seen.number(Measure::TreadDiameter, Place::Wheel(axle, side)));
        }
    }
    let count = u32::try_from(read.len()).ok().filter(|count| *count > 0)?;
    Some(read.iter().sum::<f64>() / f64::from(count))
}

#[cfg(test)]
mod tests {
    use gradeworthy_standards::Scale;
    use gradeworthy_workbench::record::{Car, CarMark, Record};

    use super::super::seen::tests::unjudged;
    use super::*;

    fn proportions(work: impl Fn(&mut Car)) -> Proportions {
        let mut car = Car::new(CarMark::new("T 1").expect("short"), Scale::HO);
        work(&mut car);
        let record = Record::new(car);
        Proportions::of(Seen {
            record: &record,
            inspection: &unjudged(&record),
        })
    }

    #[test]
    fn axles_count_from_the_a_end() {
        let car = proportions(|car| {
            car.figures.truck_centres = Some(Length::from_hundredths_mm(9400));
            car.figures.truck_wheelbase = Some(Length::from_hundredths_mm(2000));
        });
        assert_eq!(
            car.axle_places(),
            [(1, 57.0), (2, 37.0), (3, -37.0), (4, -57.0)]
        );
        assert_eq!([car.end_of(2), car.end_of(3)], [End::A, End::B]);
    }

    #[test]
    fn length_over_couplers_gives_the_overhang_that_nobody_entered() {
        let car = proportions(|car| {
            car.figures.truck_centres = Some(Length::from_hundredths_mm(9400));
            car.figures.length_over_couplers = Some(Length::from_hundredths_mm(15600));
        });
        assert_eq!(
            car.overhang[0],
            Figure {
                mm: 31.0,
                known: true
            }
        );
    }

    #[test]
    fn a_length_of_nothing_is_no_length() {
        let car = proportions(|car| car.figures.body_length = Some(Length::ZERO));
        assert!(!car.body.known && car.body.mm > 100.0);
    }
}
