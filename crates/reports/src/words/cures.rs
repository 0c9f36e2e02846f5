//! Cures as the shop would say them.

use gradeworthy_units::{Length, Mass};
use gradeworthy_workbench::cures::{Action, Cure, Lack, Piece, SeatPlace};
use gradeworthy_workbench::mechanics::seating::Diagonal;
use gradeworthy_workbench::mechanics::wheelset::{Bound, Fault, Part, Reason};
use gradeworthy_workbench::record::{End, Side};

use super::amounts::{System, amount, signed};
use super::percent;

/// What to do, as one sentence with its numbers.
#[must_use]
pub fn cure(cure: &Cure, system: System) -> String {
    cure_at(cure, &cure.place.to_string(), system)
}

/// The same sentence for several places of which it is true.
#[must_use]
pub fn cure_at(cure: &Cure, places: &str, system: System) -> String {
    match &cure.action {
        Action::MoveWheels {
            left_outward,
            right_outward,
            from,
            to,
            lower,
            upper,
        } => format!(
            "{places}: {}; back-to-back {} becomes {}{}",
            moves(*left_outward, *right_outward, system),
            length(*from, system),
            length(*to, system),
            window(*lower, *upper, system),
        ),
        Action::ChangeWheels(fault) => format!("{places}: {}", fault_words(fault, system)),
        Action::Overbend { .. } => format!("{places}: {}", overbend(&cure.action, system)),
        Action::Pad { computed, pads, at } => format!(
            "{}: a pad of {} is called for; from stock {}",
            seat(*at),
            length(*computed, system),
            stack(pads, system),
        ),
        Action::Heights {
            washers,
            taken,
            box_shims,
            expected,
            ride,
        } => heights([washers, taken, box_shims], *expected, *ride, system),
        Action::Strip {
            thickness,
            cut,
            expected,
        } => format!(
            "{places}: lay {} strip, cut {} long, in the box to carry the shank; droop becomes {}",
            length(*thickness, system),
            length(*cut, system),
            length(*expected, system),
        ),
        Action::Weights {
            pieces,
            expected,
            target,
            centre,
            gap,
        } => weights(pieces, *expected, *target, *centre, *gap, system),
        Action::Gain { missing, how } => {
            format!(
                "{places}: {} more is wanted; {how}",
                amount((*missing).into(), system)
            )
        }
        Action::Do(what) => format!("{places}: {what}"),
        Action::Lacking(Lack::Knowledge(what)) => format!("{places}: {what}"),
        Action::Lacking(Lack::Stock(what)) => {
            format!("{places}: nothing in stock cures this: you need {what}")
        }
    }
}

/// What follows a cure: the second look and the checks in doubt; nothing where there is nothing to
/// do yet.
#[must_use]
pub fn then(cure: &Cure) -> Option<String> {
    if matches!(cure.action, Action::Lacking(_)) {
        return None;
    }
    let checks: Vec<_> = cure.in_doubt.iter().map(|check| check.name()).collect();
    let rest = match cure.rest_days {
        Some(1) => Some("let it rest until tomorrow".to_owned()),
        Some(days) if days > 1 => Some(format!("let it rest {days} days")),
        _ => None,
    };
    let again = (!checks.is_empty()).then(|| format!("look again at {}", checks.join(", ")));
    match (rest, again) {
        (Some(rest), Some(again)) => Some(format!("{rest}, then {again}")),
        (one, other) => one.or(other),
    }
}

fn overbend(action: &Action, system: System) -> String {
    let Action::Overbend {
        wanted,
        today,
        tomorrow,
        probability,
        tolerance,
        lower,
        ..
    } = action
    else {
        return String::new();
    };
    let [low, middle, high] = tomorrow.map(|set| length(set, system));
    format!(
        "rack the frame to a set of {}, the {} down; it springs back, and tomorrow about {middle} \
         should be left, {low} to {high} nine times in ten; wanted is {}, give or take {}: {} \
         likely right, {}",
        length(*today, system),
        corners(*lower),
        length(*wanted, system),
        length(*tolerance, system),
        percent(*probability),
        from_bends(action),
    )
}

fn corners(lower: Diagonal) -> &'static str {
    match lower {
        Diagonal::LeftAheadRightBehind => "left corner towards A and the right corner towards B",
        Diagonal::RightAheadLeftBehind => "right corner towards A and the left corner towards B",
    }
}

fn from_bends(action: &Action) -> String {
    match action {
        Action::Overbend { material: None, .. } => {
            "from common practice alone, since the frame's material is not recorded".to_owned()
        }
        Action::Overbend {
            past_bends,
            material: Some(material),
            ..
        } if *past_bends > 0 => {
            format!("from {past_bends} of the shop's bends of {material}")
        }
        _ => "from common practice alone".to_owned(),
    }
}

fn length(length: Length, system: System) -> String {
    amount(length.into(), system)
}

fn moves(left: Length, right: Length, system: System) -> String {
    let way = |outward: Length| {
        let way = if outward < Length::ZERO { "in" } else { "out" };
        format!("{way} {}", length(outward.abs(), system))
    };
    // Half of an odd number of nanometres is no difference that anybody could make.
    if (left - right).abs() <= Length::from_nanometres(1) {
        return format!("move both wheels {} each", way(left));
    }
    match (left == Length::ZERO, right == Length::ZERO) {
        (true, _) => format!("move the right wheel {}", way(right)),
        (_, true) => format!("move the left wheel {}", way(left)),
        _ => format!(
            "move the left wheel {} and the right wheel {}",
            way(left),
            way(right)
        ),
    }
}

/// What B may be, and what holds it from below and from above.
fn window(lower: Option<Bound>, upper: Option<Bound>, system: System) -> String {
    let holds = |bound: Bound| {
        let name = bound.set_by.name();
        let name = name.split_once(", ").map_or(name, |(what, _)| what);
        match bound.set_by.side() {
            Some(side) => format!("{name} of the {side} wheel"),
            None => name.to_owned(),
        }
    };
    match (lower, upper) {
        (Some(lower), Some(upper)) => format!(
            "; anything from {} to {} will do ({} holds it from below, {} from above)",
            length(lower.at, system),
            length(upper.at, system),
            holds(lower),
            holds(upper),
        ),
        _ => String::new(),
    }
}

fn fault_words(fault: &Fault, system: System) -> String {
    let part = match fault.part {
        Part::Wheel(Side::Left) => "exchange the left wheel",
        Part::Wheel(Side::Right) => "exchange the right wheel",
        Part::BothWheels => "exchange both wheels",
        Part::Wheelset => "exchange the wheelset",
    };
    let by = length(fault.by, system);
    let its = |what: &str| format!("{what} by {by}");
    let reason = match fault.reason {
        Reason::FlangeTooThick => its("the flange is too thick"),
        Reason::FlangeTooThin => its("the flange is too thin"),
        Reason::FlangesUnequal => its("the two flanges differ too much,"),
        Reason::FlangeTooDeep => its("the flange is too deep"),
        Reason::FlangeTooShallow => its("the flange is too shallow"),
        Reason::TireTooNarrow => its("the tire is too narrow"),
        Reason::TireTooWide => its("the tire is too wide"),
        Reason::Wobble => {
            format!("a wheel wobbles, and back-to-back varies by {by} more than the window is wide")
        }
        Reason::OnePiece => {
            format!("it is out by {by}, moulded in one piece, and cannot be moved")
        }
    };
    format!("{part}: {reason}; no back-to-back cures it")
}

fn seat(at: SeatPlace) -> String {
    match at {
        SeatPlace::SideOf(end, side) => format!("{end} truck, {side} side of the bolster"),
        SeatPlace::EdgeOf(truck, edge) => {
            format!("{truck} truck, the edge of the bolster pad towards the {edge} end")
        }
    }
}

/// `a washer of .010 in`, `washers of .010 in + .015 in`.
fn pieces_of(what: &str, sheets: &[Length], system: System) -> String {
    match sheets {
        [only] => format!("a {what} of {}", length(*only, system)),
        several => format!("{what}s of {}", stack(several, system)),
    }
}

/// `.010 in + .015 in`, or `none`.
fn stack(sheets: &[Length], system: System) -> String {
    if sheets.is_empty() {
        return "none".to_owned();
    }
    let each: Vec<_> = sheets.iter().map(|sheet| length(*sheet, system)).collect();
    each.join(" + ")
}

fn heights(
    [washers, taken, box_shims]: [&[Vec<Length>; 2]; 3],
    expected: [Length; 2],
    ride: [Length; 2],
    system: System,
) -> String {
    let mut parts = Vec::new();
    for end in [End::A, End::B] {
        let [put, out, shims] = [washers, taken, box_shims].map(|both| &both[end.index()]);
        if !out.is_empty() {
            let out = pieces_of("washer", out, system);
            parts.push(format!("take {out} from under the {end} bolster"));
        }
        if !put.is_empty() {
            let put = pieces_of("washer", put, system);
            parts.push(format!("put {put} under the {end} bolster"));
        }
        if !shims.is_empty() {
            let shims = pieces_of("shim", shims, system);
            parts.push(format!("put {shims} over the {end} coupler box"));
        }
    }
    let what = if parts.is_empty() {
        "nothing to do".to_owned()
    } else {
        parts.join("; ")
    };
    let mut text = format!(
        "{what}; expect coupler heights of {} at A and {} at B",
        length(expected[0], system),
        length(expected[1], system),
    );
    if ride != [Length::ZERO; 2] {
        text += &format!(
            "; the body rides {} at A and {} at B",
            signed(ride[0], system),
            signed(ride[1], system),
        );
    }
    text
}

fn weights(
    pieces: &[Piece],
    expected: Mass,
    target: Mass,
    centre: [Length; 3],
    gap: Mass,
    system: System,
) -> String {
    let each: Vec<_> = pieces
        .iter()
        .map(|piece| format!("{} × {} ({})", piece.count, piece.weight, piece.pocket))
        .collect();
    let proof = if gap == Mass::ZERO {
        "the closest that stock allows".to_owned()
    } else {
        format!(
            "at most {} from the closest that stock allows",
            amount(gap.into(), system)
        )
    };
    let [along, across, up] = centre.map(to_hundredths);
    let off = |by: Length, [plus, minus]: [&str; 2]| {
        let way = if by < Length::ZERO { minus } else { plus };
        format!("{} {way}", length(by.abs(), system))
    };
    format!(
        "add {}; expect {} of {} wanted, the centre of gravity {}, {}, {} above the rail; {proof}",
        each.join(", "),
        amount(expected.into(), system),
        amount(target.into(), system),
        off(along, ["towards A", "towards B"]),
        off(across, ["to the left", "to the right"]),
        length(up, system),
    )
}

/// A place in a car is known to a few hundredths of a millimetre at the best.
fn to_hundredths(length: Length) -> Length {
    let hundredths = (length.nanometres() + 5_000).div_euclid(10_000);
    Length::from_hundredths_mm(hundredths)
}
