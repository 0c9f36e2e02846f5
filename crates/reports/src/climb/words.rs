//! Sentences about a climb, each built here once.

use gradeworthy_train::line::checks::{Check, Finding, Measure};
use gradeworthy_train::margins::Mode;
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Cause, Lean, ProneCar};
use gradeworthy_train::vehicle::{Provenance, Quantity};
use gradeworthy_workbench::Verdict;

use super::answer::{Answer, SmallStretch, Spot};
use super::join::{Consist, Member};

/// The first line: the margin and what limits it.
#[must_use]
pub fn headline(answer: &Answer, consist: &Consist) -> String {
    let margin = answer.margin.margin;
    match answer.spots.first() {
        Some(first) => format!("Margin {}: {}", number(margin), spot(first, consist)),
        None => format!("Margin {}: nothing bears on this train", number(margin)),
    }
}

/// Who, in which way, where, and how much of what.
#[must_use]
pub fn spot(spot: &Spot, consist: &Consist) -> String {
    format!(
        "{} {} {}, {}: {}",
        who(&consist.members[spot.vehicle]),
        way(spot.mode, spot.margin() < 0.0),
        place(spot),
        part(spot.vehicle, consist.members.len()),
        measure(spot)
    )
}

/// `car 5, QVL 1234, the empty 53-ft flat car,` or `locomotive MP 601`.
#[must_use]
pub fn who(member: &Member) -> String {
    if member.is_power {
        return format!("locomotive {}", member.name);
    }
    let named = format!("car {}, {}", member.number, member.name);
    match &member.description {
        Some(description) => format!("{named}, the {description},"),
        None => named,
    }
}

/// Which part of the train a vehicle is in.
#[must_use]
pub const fn part(vehicle: usize, count: usize) -> &'static str {
    if 3 * vehicle < count {
        "head end"
    } else if 3 * vehicle < 2 * count {
        "mid-train"
    } else {
        "rear end"
    }
}

fn place(spot: &Spot) -> String {
    let name = spot.place.as_ref().map_or_else(
        || format!("at {:.1} m", spot.car_s),
        |name| format!("at {name} ({:.1} m)", spot.car_s),
    );
    format!("{name}, {}", curve(spot.curvature))
}

/// `36 in to the left`, or `on straight track`.
#[must_use]
pub fn curve(curvature: f64) -> String {
    if curvature.abs() < 0.01 {
        return "on straight track".to_owned();
    }
    let side = if curvature > 0.0 { "left" } else { "right" };
    format!(
        "radius {:.0} in to the {side}",
        1.0 / curvature.abs() / 0.0254
    )
}

/// What happens; `now` when the limit is passed.
#[must_use]
pub const fn way(mode: Mode, now: bool) -> &'static str {
    match (mode, now) {
        (Mode::WheelClimb, true) => "climbs the rail",
        (Mode::WheelClimb, false) => "is nearest to climbing the rail",
        (Mode::Jackknife, true) => "jackknifes",
        (Mode::Jackknife, false) => "is nearest to jackknifing",
        (Mode::Stringline, true) => "tips in",
        (Mode::Stringline, false) => "is nearest to tipping in",
        (Mode::Buckling, true) => "is pushed over",
        (Mode::Buckling, false) => "is nearest to being pushed over",
        (Mode::Unloading, true) => "lifts its wheels on one side",
        (Mode::Unloading, false) => "is nearest to lifting its wheels on one side",
        (Mode::CouplerSwing, true) => "has a coupler against its stop",
        (Mode::CouplerSwing, false) => "is nearest to having a coupler against its stop",
        (Mode::TruckSwing, true) => "has a truck against its stop",
        (Mode::TruckSwing, false) => "is nearest to having a truck against its stop",
        (Mode::PullApart, true) => "pulls its front coupling apart",
        (Mode::PullApart, false) => "is nearest to pulling its front coupling apart",
        (Mode::Bypass, true) => "lets its front coupler slip past in height",
        (Mode::Bypass, false) => "is nearest to letting its front coupler slip past in height",
        (Mode::Twist, true) => "lifts a wheel on twisted track",
        (Mode::Twist, false) => "is nearest to lifting a wheel on twisted track",
        (Mode::Adhesion, true) => "slips",
        (Mode::Adhesion, false) => "is nearest to slipping",
        (Mode::Stall, true) => "leads a train that stalls",
        (Mode::Stall, false) => "leads a train that is nearest to stalling",
    }
}

/// How much of what.
///
/// For tipping the sideways pull is told as the draft or buff it comes from: the pull grows in
/// proportion, so the force at the limit is the force now over the use.
#[must_use]
pub fn measure(spot: &Spot) -> String {
    let (demand, capacity) = (spot.used.demand, spot.used.capacity);
    match spot.mode {
        Mode::Stringline | Mode::Buckling => {
            let word = if spot.mode == Mode::Stringline {
                "draft"
            } else {
                "buff"
            };
            let now = spot.force.abs();
            format!("{word} {now:.2} N of {:.2} N", now / spot.used.ratio())
        }
        Mode::WheelClimb | Mode::Jackknife => format!("L/V {demand:.2} of {capacity:.2}"),
        Mode::Unloading => {
            let pull = if spot.force < 0.0 { "buff" } else { "draft" };
            format!(
                "{:.0} % of the load of one truck side gone, {pull} {:.2} N",
                100.0 * spot.used.ratio(),
                spot.force.abs()
            )
        }
        Mode::CouplerSwing | Mode::TruckSwing => {
            format!(
                "{:.1}° of {:.1}°",
                demand.to_degrees(),
                capacity.to_degrees()
            )
        }
        Mode::PullApart => format!("draft {demand:.2} N of {capacity:.2} N"),
        Mode::Bypass | Mode::Twist => {
            format!("{:.2} mm of {:.2} mm", demand * 1e3, capacity * 1e3)
        }
        Mode::Adhesion | Mode::Stall => format!("pull {demand:.1} N of {capacity:.1} N"),
    }
}

/// Why, and what to try.
#[must_use]
pub const fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::LightCar => {
            "because it is lighter than the middle car of the train: move it back, or add weight"
        }
        Cause::UnlikeNeighbours => {
            "because the cars coupled to it are longer or shorter: put cars like it beside it"
        }
        Cause::OffCentreLoad => "because its load stands off centre: balance it on the bench",
        Cause::CouplerHeights => {
            "because couplers meet at different heights: level them on the bench"
        }
        Cause::StiffSwivel => "because its trucks turn stiffly: free them on the bench",
        Cause::DragOfOtherCars => {
            "because other cars roll badly: the worst rollers of this train come first on the bench"
        }
        Cause::Cant => "because of the cant of the track there",
        Cause::GradeBreak => "because of the change of grade there",
        Cause::TooLittlePower => "because the locomotives have little to spare: add power",
        Cause::ForceInTheTrain => {
            "because of the force in the train as made up: cut power in elsewhere, or shorten it"
        }
        Cause::Track => "because of the curve itself with this car on it",
    }
}

/// What a quantity is called, and how it is measured.
#[must_use]
#[expect(clippy::too_many_lines, reason = "one row for each quantity")]
pub const fn quantity(quantity: Quantity) -> (&'static str, &'static str) {
    use Quantity as Q;
    match quantity {
        Q::HalfTruckCentres => ("truck centres", "measure from screw to screw"),
        Q::PivotFront => (
            "front coupler overhang",
            "measure from screw to coupler face",
        ),
        Q::PivotRear => (
            "rear coupler overhang",
            "measure from screw to coupler face",
        ),
        Q::ShankFront => ("front coupler shank", "measure from pivot to coupler face"),
        Q::ShankRear => ("rear coupler shank", "measure from pivot to coupler face"),
        Q::CouplerSlack => (
            "coupler slack",
            "push two coupled cars together and pull them apart",
        ),
        Q::TruckWheelbase => ("truck wheelbase", "measure from axle to axle"),
        Q::ContactSpacing => (
            "contact spacing",
            "measure across the middles of the rail heads",
        ),
        Q::LateralPlay => (
            "play between flange and rail",
            "read back-to-back and flanges",
        ),
        Q::Weight => ("weight", "weigh it"),
        Q::CgForward => ("balance end to end", "weigh both ends"),
        Q::CgLeft => ("balance side to side", "tilt it both ways"),
        Q::CgHeight => ("height of the centre of gravity", "tilt it both ways"),
        Q::CouplerHeightFront => ("front coupler height", "read it on the height gauge"),
        Q::CouplerHeightRear => ("rear coupler height", "read it on the height gauge"),
        Q::KnuckleFace => ("height of the knuckle face", "measure it with a caliper"),
        Q::LeastOverlap => (
            "least overlap of knuckles",
            "raise one of a pair until it lets go",
        ),
        Q::RollingDrag => ("rolling drag", "find the grade on which it keeps rolling"),
        Q::RollingDragPerSpeed => ("growth of drag with speed", "coast it down"),
        Q::BreakawayDrag => ("starting drag", "find the grade on which it starts"),
        Q::CurveDrag => (
            "curve drag",
            "find the grade on which it keeps rolling in a curve",
        ),
        Q::FlangeFriction => ("flange friction", "slide a locked wheelset along a rail"),
        Q::SwivelMoment => ("swivel drag", "turn a truck with the lever"),
        Q::TreadFriction => (
            "wheel-rail friction",
            "slide a locked car down a tilted track",
        ),
        Q::FlangeAngle => ("flange angle", "compare the contour with a template"),
        Q::CouplerSwing => (
            "coupler swing",
            "swing the coupler to its stop over a protractor",
        ),
        Q::TruckSwing => (
            "truck swing",
            "turn the truck to its stop over a protractor",
        ),
        Q::CouplerStrength => (
            "coupler strength",
            "hang weights on a spare of the same make",
        ),
        Q::TwistCapability => (
            "twist it follows",
            "read screw play, side bearings and rock",
        ),
        Q::SpeedSetting => ("speed setting", "time it running free"),
        Q::SpeedSlope => (
            "stiffness of the speed control",
            "time it free and under a load",
        ),
        Q::AdhesionPull => (
            "pull at which it slips",
            "pull a spring scale until it slips",
        ),
        Q::StallPull => (
            "pull at which the motor stalls",
            "hold it by a spring scale, briefly",
        ),
        Q::BrakePull => ("holding force", "pull it by a spring scale while stopped"),
    }
}

/// One unmeasured number: what it can do to the margin, and how to settle it.
#[must_use]
pub fn lean(lean: &Lean, margin: f64) -> String {
    let (name, how) = quantity(lean.quantity);
    let known = match lean.provenance {
        Provenance::Assumed => "assumed",
        Provenance::ClassDefault | Provenance::Measured => "usual for the class",
    };
    let end = |end: Option<f64>| end.map_or_else(|| "no stance at all".to_owned(), number);
    format!(
        "{name} ({known}, {} vehicles): over its range the margin goes from {} to {} \
         instead of {}; {how}",
        lean.vehicle_count,
        end(lean.margin_low),
        end(lean.margin_high),
        number(margin)
    )
}

/// What a jerk would do.
#[must_use]
pub fn prone(car: &ProneCar, consist: &Consist, allowance: f64) -> String {
    let own = who(&consist.members[car.vehicle]);
    let ahead = if car.is_ahead_of_loads() {
        "; heavier cars trail it"
    } else {
        ""
    };
    format!(
        "{own} would tip in under a jerk of {allowance:.1} times the steady pull ({:.1} of what it bears){ahead}",
        car.peak.used.ratio() * allowance
    )
}

/// Where little is left for the longest.
#[must_use]
pub fn small(small: &SmallStretch) -> String {
    let named = if small.places.is_empty() {
        String::new()
    } else {
        format!(" ({})", small.places.join(", "))
    };
    format!(
        "longest stretch with less than {} left: {:.1} m, from {:.1} m to {:.1} m{named}",
        number(small.below),
        small.to - small.from,
        small.from,
        small.to
    )
}

/// What the bench says of a car that it would not let run, or lets run on a condition.
#[must_use]
pub fn bench(member: &Member) -> Vec<String> {
    let name = &member.name;
    let excused = member.excused.iter();
    let mut said: Vec<_> = excused
        .map(|why| format!("{name} runs under an exception: {why}"))
        .collect();
    match &member.verdict {
        None | Some((Verdict::Fit | Verdict::Watch, _)) => {}
        Some((verdict @ (Verdict::BadOrder | Verdict::Stale | Verdict::NotChecked), checks)) => {
            let names: Vec<_> = checks.iter().map(|check| check.name()).collect();
            let (word, names) = (verdict.word(), names.join(", "));
            said.push(format!("{name} is {word} on the bench: {names}"));
        }
    }
    said
}

/// What the line's own check says is beyond a limit.
#[must_use]
pub fn line(finding: &Finding) -> String {
    let what = match finding.check {
        Check::Length => "length",
        Check::Radius => "radius",
        Check::RigidWheelbase => "radius for a rigid wheelbase",
        Check::ReverseCurve => "straight track between opposite curves",
        Check::Easement => "easement",
        Check::VerticalCurve => "vertical curve",
        Check::GradeKink => "sudden change of grade",
        Check::Cant => "cant",
        Check::CantSide => "cant on the wrong side",
        Check::CantRamp => "cant ramp",
        Check::Twist => "twist",
        Check::Grade => "grade",
        Check::CompensatedGrade => "grade with curves counted",
    };
    let say = |number: f64| match finding.measure {
        Measure::Metres if number.abs() < 2.0 => format!("{:.0} mm", number * 1e3),
        Measure::Metres => format!("{number:.2} m"),
        Measure::Curvature => format!("curvature {number:.3} per m"),
        Measure::Grade => format!("{:.2} %", number * 100.0),
        Measure::Twist => format!("{:.2} mm per m", number * 1e3),
    };
    let places = if finding.places.is_empty() {
        String::new()
    } else {
        format!(" ({})", finding.places.join(", "))
    };
    let limit = finding
        .limit
        .map_or_else(String::new, |limit| format!(", limit {}", say(limit)));
    let about = if finding.about.is_empty() {
        String::new()
    } else {
        format!("; {}", finding.about)
    };
    let source = if finding.source.is_empty() {
        String::new()
    } else {
        format!(" [{}]", finding.source)
    };
    format!(
        "{what} at {:.1} m{places}: {}{limit}{about}{source}",
        finding.from,
        say(finding.number)
    )
}

/// The word of a condition.
#[must_use]
pub const fn condition(condition: Condition) -> &'static str {
    match condition {
        Condition::Running => "running",
        Condition::Starting => "starting",
        Condition::Held => "held",
    }
}

/// A margin or use, two decimals, never rounded up to a better one.
#[must_use]
pub fn number(value: f64) -> String {
    // A hair of rounding is taken back so that 0.10 as computed does not read 0.09.
    let floor = ((value + 1e-9) * 100.0).floor() / 100.0;
    if floor < 0.0 {
        format!("−{:.2}", floor.abs())
    } else {
        format!("{floor:.2}")
    }
}

/// Where a margin stands, in a few words.
#[must_use]
pub const fn standing_of(margin: f64) -> &'static str {
    if margin < 0.0 {
        "a limit is passed"
    } else {
        "no limit is passed"
    }
}
