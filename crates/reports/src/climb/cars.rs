//! From what the bench read on a car to the card that the hill reads.
//!
//! A number is `Measured` only if it was read on this car and nothing done since put it in doubt;
//! all others stay at their class default, marked so.
//! With a truck centre distance 2a, the weights of the leading and trailing end `W_1`, `W_2`, the
//! pull P at the lever of length l, the gauge G, back-to-back B and flange thickness T:
//! (1) centre of gravity ahead of the middle = a (`W_1` − `W_2`)/(`W_1` + `W_2`);
//! (2) swivel moment = P l, of the stiffer truck; (3) play to either side = (G − B − 2T)/2;
//! (4) rolling drag = the grade on which the car keeps rolling.
//!
//! ASSUMED: 'left' on a bench slip is the left of someone looking towards the A end. The other
//! reading mirrors the offset of the centre of gravity, which is a fraction of a millimetre.

use gradeworthy_standards::contour;
use gradeworthy_train::vehicle::{Class, Quantity, Sourced, Vehicle, VehicleError};
use gradeworthy_units::{Amount, Length, STANDARD_GRAVITY};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Inspection};
use gradeworthy_workbench::mechanics::balance::{Support, TiltTest, tilt};
use gradeworthy_workbench::record::{End, Measure, Place, Record, Side, Value};
use gradeworthy_workbench::rules::{BalanceMethod, Limited, RuleBook, ScaleRules};

/// A car, how it was judged, and which end leads.
#[derive(Clone, Copy, Debug)]
pub struct CarCard<'a> {
    /// What was read on it.
    pub record: &'a Record,
    /// How the bench judged it.
    pub inspection: &'a Inspection,
    /// The rule book, for lever, support and part sizes.
    pub book: &'a RuleBook,
    /// Whether its B end leads.
    pub reversed: bool,
    /// Gauge of the line, m, where known.
    pub gauge_m: Option<f64>,
}

/// The card of a car: what the bench read over the defaults of `class`.
///
/// # Errors
/// [`VehicleError`] names the number that cannot be.
pub fn card(car: CarCard<'_>, class: Class) -> Result<Vehicle, VehicleError> {
    let mut entries = Vec::new();
    car.shape(class, &mut entries);
    car.mass(&mut entries);
    car.running(&mut entries);
    let vehicle = Vehicle::of_class(car.record.car.mark.as_str(), class);
    entries
        .into_iter()
        .try_fold(vehicle, |vehicle, (quantity, entry)| {
            vehicle.with(quantity, entry)
        })
}

type Entries = Vec<(Quantity, Sourced)>;

fn measured(entries: &mut Entries, quantity: Quantity, value: Option<f64>) {
    entries.extend(value.map(|value| (quantity, Sourced::measured(value))));
}

fn metres(length: Length) -> f64 {
    length.metres()
}

impl CarCard<'_> {
    /// The end that leads, and the one that trails.
    fn ends(&self) -> [End; 2] {
        if self.reversed {
            [End::B, End::A]
        } else {
            [End::A, End::B]
        }
    }

    /// The latest reading in the base unit of its dimension, unless it is stale.
    fn read(&self, measure: Measure, place: Place) -> Option<f64> {
        if self.inspection.of(measure.check()) == Verdict::Stale {
            return None;
        }
        let mut own = self.record.entries.iter().rev();
        let entry = own.find(|entry| (entry.measure, entry.place) == (measure, place))?;
        match &entry.value {
            Value::Quantity(typed) => Some(typed.amount.base()),
            Value::Answer(_) => None,
        }
    }

    fn rules(&self) -> Option<&ScaleRules> {
        self.book.scale(self.record.car.scale)
    }

    fn shape(&self, class: Class, entries: &mut Entries) {
        use Quantity as Q;
        let figures = &self.record.car.figures;
        let centres = figures.truck_centres.map(metres);
        measured(entries, Q::HalfTruckCentres, centres.map(|d| d / 2.0));
        measured(
            entries,
            Q::TruckWheelbase,
            figures.truck_wheelbase.map(metres),
        );
        let over = figures.length_over_couplers.map(metres);
        let even = over
            .zip(centres)
            .map(|(over, centres)| (over - centres) / 2.0);
        let defaults = Vehicle::of_class("", class);
        let sides = [
            (Q::PivotFront, Q::ShankFront, Q::CouplerHeightFront),
            (Q::PivotRear, Q::ShankRear, Q::CouplerHeightRear),
        ];
        for (end, (pivot, shank, height)) in self.ends().into_iter().zip(sides) {
            let overhang = figures.overhang[end.index()].map(metres).or(even);
            let reach = overhang
                .zip(centres)
                .map(|(overhang, centres)| centres / 2.0 + overhang - defaults.value(shank));
            measured(entries, pivot, reach);
            let read = self.read(Measure::CouplerHeight, Place::End(end));
            measured(entries, height, read.map(|mm| mm / 1e3));
        }
        let swings = End::BOTH.into_iter().flat_map(|end| {
            Side::BOTH.map(|side| self.read(Measure::TruckSwing, Place::Turn(end, side)))
        });
        let least = swings.flatten().reduce(f64::min);
        measured(entries, Q::TruckSwing, least.map(f64::to_radians));
        entries.extend(self.play().map(|play| (Q::LateralPlay, play)));
    }

    /// (3), with the flange of the contour where it was not measured.
    fn play(&self) -> Option<Sourced> {
        let axles = 1..=self.record.car.figures.axles.count();
        let backs: Vec<f64> = axles
            .clone()
            .flat_map(|axle| [1, 2].map(|station| Place::Station(axle, station)))
            .filter_map(|place| self.read(Measure::BackToBack, place))
            .collect();
        let flanges: Vec<f64> = axles
            .flat_map(|axle| Side::BOTH.map(|side| Place::Wheel(axle, side)))
            .filter_map(|place| self.read(Measure::FlangeThickness, place))
            .collect();
        let play = |back: f64, flange: f64| {
            (self.gauge_m.unwrap_or(0.0) - (back + 2.0 * flange) / 1e3).max(0.0) / 2.0
        };
        let back = mean(&backs)?;
        self.gauge_m?;
        if let Some(flange) = mean(&flanges) {
            return Some(Sourced::measured(play(back, flange)));
        }
        let code = self.record.car.figures.wheel_code?;
        let flange = contour(code)?.flange_thickness.value.mm();
        // A flange thinner than the design size of RP-25 only adds play.
        let least = play(back, flange);
        Some(Sourced::class_default(least, least, least + 1e-4))
    }

    fn mass(&self, entries: &mut Entries) {
        use Quantity as Q;
        let weight = self.read(Measure::Weight, Place::Car);
        let newtons = weight.map(|grams| grams / 1e3 * STANDARD_GRAVITY);
        measured(entries, Q::Weight, newtons);
        let on = self
            .ends()
            .map(|end| self.read(Measure::EndWeight, Place::End(end)));
        if let ([Some(lead), Some(trail)], Some(centres)) =
            (on, self.record.car.figures.truck_centres)
            && lead + trail > 0.0
        {
            let ahead = centres.metres() / 2.0 * (lead - trail) / (lead + trail); // (1)
            measured(entries, Q::CgForward, Some(ahead));
        }
        if let Some((height, left)) = self.tilted() {
            measured(entries, Q::CgHeight, Some(height));
            measured(
                entries,
                Q::CgLeft,
                Some(if self.reversed { -left } else { left }),
            );
        }
    }

    /// Height of the centre of gravity and how far it lies to the left, m, by the tilt both ways.
    fn tilted(&self) -> Option<(f64, f64)> {
        let rules = self.rules()?;
        let half_width = rules.balance_half_width?;
        let support = match rules.balance_method? {
            BalanceMethod::Rail => Support::Rails { half_width },
            BalanceMethod::Plate => Support::Plate {
                half_width,
                flange_depth: rules.parts.flange_depth?,
            },
        };
        let angle = |side| {
            let degrees = self.read(Measure::TiltAngle, Place::Side(side))?;
            gradeworthy_units::Angle::from_degrees(degrees).ok()
        };
        let found = tilt(&TiltTest {
            support,
            to_left: angle(Side::Left)?,
            to_right: angle(Side::Right)?,
            angle_uncertainty: gradeworthy_units::Angle::ZERO,
            half_width_uncertainty: Length::ZERO,
            rock: None,
        });
        let found = found.ok()?;
        Some((found.height.value.metres(), found.to_left.value.metres()))
    }

    fn running(&self, entries: &mut Entries) {
        use Quantity as Q;
        measured(
            entries,
            Q::RollingDrag,
            self.read(Measure::RollGrade, Place::Car),
        ); // (4)
        measured(
            entries,
            Q::BreakawayDrag,
            self.read(Measure::StartGrade, Place::Car),
        );
        let pulls = End::BOTH.map(|end| self.read(Measure::SwivelForce, Place::End(end)));
        let lever = self.rules().and_then(|rules| rules.swivel_lever);
        let pull = pulls.into_iter().flatten().reduce(f64::max);
        measured(
            entries,
            Q::SwivelMoment,
            pull.zip(lever).map(|(p, l)| p * l.metres()),
        ); // (2)
        let twist = self
            .inspection
            .line(Aspect::Limited(Limited::TwistCapability), Place::Car)
            .filter(|line| line.verdict != Verdict::Stale)
            .and_then(|line| line.reading);
        if let Some(Amount::Length(twist)) = twist {
            measured(entries, Q::TwistCapability, Some(twist.metres()));
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}
