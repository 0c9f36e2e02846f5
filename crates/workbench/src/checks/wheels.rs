//! Wheels: every functional limit for the flanges that are really on the axle, wobble, size, dirt.
//!
//! Back-to-back is read at one, two or three places round the axle; the least of it is held against
//! the lower limits and the greatest against the upper ones ([`crate::mechanics::runout`]).
//! A flange or tire that nobody measured is taken from the RP-25 contour of the car's tread code,
//! and said; without a code it is not judged, and said.

use gradeworthy_standards::{Contour, contour};
use gradeworthy_units::Length;

use super::apart;
use super::bench::{Bench, Ruling};
use super::inspection::{Aspect, Finding, Grounds};
use super::latest::Read;
use crate::decision::{Judgeable, combined};
use crate::mechanics::runout::Runout;
use crate::mechanics::wheelset::{
    BackToBack, ConstraintKind, Edge, Judgement, Uncertainty, Wheel, Wheelset,
};
use crate::record::{Check, Measure, Place, Side};
use crate::rules::{Limited, WheelRules};

pub(super) fn check(bench: &mut Bench<'_>) {
    let Some(wheels) = bench.rules.and_then(|rules| rules.wheels.as_ref()) else {
        return;
    };
    let expected = bench.latest.any(Measure::BackToBack);
    for axle in 1..=bench.car.figures.axles.count() {
        match read_axle(bench, wheels, axle) {
            Ok(Some(read)) => {
                say_assumed(bench, &read);
                write_lines(bench, wheels, axle, &read);
            }
            Ok(None) if expected => {
                let aspect = Aspect::Wheel(ConstraintKind::Span);
                bench.not_checked(Check::Wheelsets, aspect, Place::Axle(axle));
            }
            Ok(None) => {}
            Err(why) => bench.findings.push(Finding::Unusable {
                check: Check::Wheelsets,
                why,
            }),
        }
        wobble_and_size(bench, axle);
        bench.judge_answer(Aspect::WheelDirt, Measure::WheelDirt, Place::Axle(axle));
    }
}

/// One axle as read, judged, with its uncertainties and what had to be assumed.
pub(crate) struct AxleRead {
    pub(crate) judgement: Judgement,
    pub(crate) uncertainty: Uncertainty,
    /// Whether any uncertainty is known at all.
    uncertainty_known: bool,
    stale: StaleParts,
    assumed_flange: bool,
    assumed_tire: bool,
}

/// Which readings of an axle are from before the last work on it; by wheel, left before right.
#[derive(Clone, Copy, Debug, Default)]
struct StaleParts {
    back_to_back: bool,
    flange: [bool; 2],
    tire: [bool; 2],
    depth: [bool; 2],
}

impl StaleParts {
    /// Whether a stale reading goes into a constraint.
    fn touch(&self, kind: ConstraintKind) -> bool {
        use ConstraintKind as C;
        let flange = |side: Side| self.flange[side.index()];
        match kind {
            C::Span | C::BackToBackMin | C::BackToBackMax => self.back_to_back,
            C::Gauge => self.back_to_back || flange(Side::Left) || flange(Side::Right),
            C::TreadSupport(side) => {
                self.back_to_back || flange(side.other()) || self.tire[side.index()]
            }
            C::CheckGaugeMin(side) | C::CheckGaugeMax(side) => self.back_to_back || flange(side),
            C::Flangeway(side) | C::FlangeThicknessMin(side) | C::FlangeThicknessMax(side) => {
                flange(side)
            }
            C::FlangeDepthMin(side) | C::FlangeDepthMax(side) => self.depth[side.index()],
            C::TireWidthMin(side) | C::TireWidthMax(side) => self.tire[side.index()],
        }
    }
}

/// Reads and judges one axle; `None` when its back-to-back was not read.
pub(crate) fn read_axle(
    bench: &Bench<'_>,
    rules: &WheelRules,
    axle: u8,
) -> Result<Option<AxleRead>, String> {
    let stations: Vec<Read<Length>> = (1..=3)
        .filter_map(|station| {
            bench
                .latest
                .quantity(Measure::BackToBack, Place::Station(axle, station))
        })
        .collect();
    let Some(back_to_back) = round_the_axle(&stations)? else {
        return Ok(None);
    };
    let usual = rules.uncertainty.map(Judgeable::number);
    let worst = stations
        .iter()
        .filter_map(|read| read.uncertainty(usual))
        .reduce(f64::max);
    let code = bench.car.figures.wheel_code.and_then(contour);
    let mut read = Parts {
        bench,
        code,
        usual,
        assumed_flange: false,
        assumed_tire: false,
        worst: [None; 3],
        stale: StaleParts {
            back_to_back: stations.iter().any(|station| station.stale),
            ..StaleParts::default()
        },
    };
    let left = read.wheel(axle, Side::Left);
    let right = read.wheel(axle, Side::Right);
    let wheelset = Wheelset {
        back_to_back,
        left,
        right,
        offset: bench
            .latest
            .quantity::<Length>(Measure::WheelOffset, Place::Axle(axle))
            .map(|read| read.value),
    };
    // A part that nobody measured is taken to be known as well as the back-to-back.
    let u = |own: Option<f64>| {
        let u_mm = own.or(worst).unwrap_or(0.0);
        Length::from_mm_rounded(u_mm).unwrap_or(Length::ZERO)
    };
    let [flange, tire, depth] = read.worst;
    let uncertainty = Uncertainty {
        back_to_back: u(None),
        flange_thickness: u(flange),
        tire_width: u(tire),
        flange_depth: u(depth),
    };
    let judgement = rules
        .functional
        .judge(&wheelset, &uncertainty)
        .map_err(|error| format!("axle {axle}: {error}"))?;
    Ok(Some(AxleRead {
        judgement,
        uncertainty,
        uncertainty_known: worst.is_some(),
        stale: read.stale,
        assumed_flange: read.assumed_flange,
        assumed_tire: read.assumed_tire,
    }))
}

/// B over the readings round one axle; a single reading says nothing of a wobble.
fn round_the_axle(stations: &[Read<Length>]) -> Result<Option<BackToBack>, String> {
    let values: Vec<Length> = stations.iter().map(|read| read.value).collect();
    match values.as_slice() {
        [] => Ok(None),
        [only] => Ok(Some(BackToBack::assume_true_running(*only))),
        several => {
            let turn = Runout::from_readings(several).map_err(|error| error.to_string())?;
            Ok(Some(turn.back_to_back))
        }
    }
}

/// The parts of a wheelset, measured or taken from the contour.
struct Parts<'a> {
    bench: &'a Bench<'a>,
    code: Option<&'static Contour>,
    /// Standard uncertainty of the usual caliper, mm.
    usual: Option<f64>,
    assumed_flange: bool,
    assumed_tire: bool,
    /// The greatest standard uncertainty of what was measured of flange, tire and depth, mm.
    worst: [Option<f64>; 3],
    stale: StaleParts,
}

impl Parts<'_> {
    fn wheel(&mut self, axle: u8, side: Side) -> Wheel {
        let place = Place::Wheel(axle, side);
        let measures = [
            Measure::FlangeThickness,
            Measure::TireWidth,
            Measure::FlangeDepth,
        ];
        let reads = measures.map(|measure| self.bench.latest.quantity::<Length>(measure, place));
        for (worst, read) in self.worst.iter_mut().zip(&reads) {
            let own = read.and_then(|read| read.uncertainty(self.usual));
            *worst = [*worst, own].into_iter().flatten().reduce(f64::max);
        }
        let [flange, tire, depth] = reads;
        // What was taken from the contour is in doubt when the axle has been worked on since.
        let unread = self.stale.back_to_back;
        let is_stale = |read: Option<Read<Length>>| read.map_or(unread, |read| read.stale);
        self.stale.flange[side.index()] = is_stale(flange);
        self.stale.tire[side.index()] = is_stale(tire);
        self.stale.depth[side.index()] = is_stale(depth);
        let [flange, tire, depth] = [flange, tire, depth].map(|read| read.map(|read| read.value));
        let code = self.code;
        self.assumed_flange |= flange.is_none() && code.is_some();
        self.assumed_tire |= tire.is_none() && code.is_some();
        Wheel {
            flange_thickness: flange.or_else(|| code.map(|contour| contour.flange_thickness.value)),
            tire_width: tire.or_else(|| code.map(|contour| contour.width.value)),
            flange_depth: depth,
        }
    }
}

fn say_assumed(bench: &mut Bench<'_>, read: &AxleRead) {
    for (assumed, what) in [
        (read.assumed_flange, "flange thickness of some wheels"),
        (read.assumed_tire, "tire width of some wheels"),
    ] {
        let finding = Finding::Assumed {
            what,
            source: "the RP-25 contour of the car's tread code",
        };
        if assumed && !bench.findings.contains(&finding) {
            bench.findings.push(finding);
        }
    }
    let unread = read
        .judgement
        .not_measured()
        .any(|kind| kind.edge() != Edge::Neither);
    let finding = Finding::Missing {
        check: Check::Wheelsets,
        what: "some limits need flange thickness or tire width, or the car's tread code",
    };
    if unread && !bench.findings.contains(&finding) {
        bench.findings.push(finding);
    }
}

fn write_lines(bench: &mut Bench<'_>, rules: &WheelRules, axle: u8, read: &AxleRead) {
    for constraint in read.judgement.constraints() {
        let aspect = Aspect::Wheel(constraint.kind);
        let Some(laid) = bench.laid::<Length>(aspect) else {
            continue;
        };
        let ruling = Ruling {
            check: Check::Wheelsets,
            aspect,
            place: place(axle, constraint.kind),
            laid,
            grounds: Grounds {
                clause: rules.clause(constraint.kind).cloned(),
                authority: Some(std::sync::Arc::clone(rules.authority(constraint.kind))),
            },
        };
        let u = read
            .uncertainty_known
            .then(|| sigma(constraint.kind, &read.uncertainty));
        bench.judge(
            ruling,
            constraint.found,
            u,
            read.stale.touch(constraint.kind),
        );
    }
}

fn place(axle: u8, kind: ConstraintKind) -> Place {
    kind.side()
        .map_or(Place::Axle(axle), |side| Place::Wheel(axle, side))
}

/// Standard uncertainty of what a constraint holds against its limit, mm: the readings in it,
/// added in squares, [JCGM-100 §5.1.2].
fn sigma(kind: ConstraintKind, uncertainty: &Uncertainty) -> f64 {
    use ConstraintKind as C;
    let b = uncertainty.back_to_back.mm();
    let t = uncertainty.flange_thickness.mm();
    match kind {
        C::Span | C::BackToBackMin | C::BackToBackMax => b,
        C::Gauge => combined(combined(b, t), t),
        C::TreadSupport(_) => combined(combined(b, t), uncertainty.tire_width.mm()),
        C::CheckGaugeMin(_) | C::CheckGaugeMax(_) => combined(b, t),
        C::Flangeway(_) | C::FlangeThicknessMin(_) | C::FlangeThicknessMax(_) => t,
        C::FlangeDepthMin(_) | C::FlangeDepthMax(_) => uncertainty.flange_depth.mm(),
        C::TireWidthMin(_) | C::TireWidthMax(_) => uncertainty.tire_width.mm(),
    }
}

fn wobble_and_size(bench: &mut Bench<'_>, axle: u8) {
    let place = Place::Axle(axle);
    if let Some(read) = bench.latest.quantity::<Length>(Measure::Wobble, place) {
        bench.judge_limited(Limited::Wobble, Measure::Wobble, place, read);
    }
    let diameter = |side| {
        bench
            .latest
            .quantity::<Length>(Measure::TreadDiameter, Place::Wheel(axle, side))
    };
    if let (Some(left), Some(right)) = (diameter(Side::Left), diameter(Side::Right)) {
        let difference = Read {
            value: apart(left.value, right.value),
            instrument: left
                .instrument
                .zip(right.instrument)
                .map(|(a, b)| combined(a, b)),
            resolution: combined(left.resolution, right.resolution),
            stale: left.stale || right.stale,
        };
        bench.judge_limited(
            Limited::DiameterMatch,
            Measure::TreadDiameter,
            place,
            difference,
        );
    }
}
