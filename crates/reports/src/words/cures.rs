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
#[expect(clippy::too_many_lines, reason = "one arm for each kind of cure")]
pub fn cure(cure: &Cure, system: System) -> String {
    let place = cure.place;
    match &cure.action {
        Action::MoveWheels {
            left_outward,
            right_outward,
            from,
            to,
            lower,
            upper,
        } => format!(
            "{place}: move the left wheel {}, the right wheel {}; back-to-back {} becomes {}{}",
            outward(*left_outward, system),
            outward(*right_outward, system),
            length(*from, system),
            length(*to, system),
            window(*lower, *upper, system),
        ),
        Action::ChangeWheels(fault) => format!("{place}: {}", fault_words(fault, system)),
        Action::Overbend {
            wanted,
            today,
            tomorrow,
            probability,
            tolerance,
            lower,
            ..
        } => {
            let [low, middle, high] = tomorrow.map(|set| length(set, system));
            format!(
                "{place}: rack the frame, {}, to a set of {} and let it rest; it springs back, and \
                 tomorrow about {middle} should be left ({low} to {high} in nine of ten) of the {} \
                 wanted, ±{}; {} likely right ({})",
                corners(*lower),
                length(*today, system),
                length(*wanted, system),
                length(*tolerance, system),
                percent(*probability),
                from_bends(&cure.action),
            )
        }
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
        } => heights(washers, taken, box_shims, *expected, *ride, system),
        Action::Strip {
            thickness,
            cut,
            expected,
        } => format!(
            "{place}: lay {} strip, cut {} long, in the box to carry the shank; droop becomes {}",
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
                "{place}: {} more is wanted; {how}",
                amount((*missing).into(), system)
            )
        }
        Action::Do(what) => format!("{place}: {what}"),
        Action::Lacking(Lack::Knowledge(what)) => format!("{place}: {what}"),
        Action::Lacking(Lack::Stock(what)) => {
            format!("{place}: nothing in stock cures this: you need {what}")
        }
    }
}

/// What follows a cure: the second look and the checks in doubt.
#[must_use]
pub fn then(cure: &Cure) -> Option<String> {
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

fn corners(lower: Diagonal) -> &'static str {
    match lower {
        Diagonal::LeftAheadRightBehind => "left front and right rear corners down",
        Diagonal::RightAheadLeftBehind => "right front and left rear corners down",
    }
}

fn from_bends(action: &Action) -> String {
    match action {
        Action::Overbend { past_bends: 0, .. } => "from common practice alone".to_owned(),
        Action::Overbend {
            past_bends,
            material: Some(material),
            ..
        } => {
            format!("from {past_bends} of the shop's bends of {material}")
        }
        _ => "the frame's material is not recorded".to_owned(),
    }
}

fn length(length: Length, system: System) -> String {
    amount(length.into(), system)
}

fn outward(move_outward: Length, system: System) -> String {
    let distance = length(move_outward.abs(), system);
    if move_outward == Length::ZERO {
        "nowhere".to_owned()
    } else if move_outward > Length::ZERO {
        format!("out {distance}")
    } else {
        format!("in {distance}")
    }
}

fn window(lower: Option<Bound>, upper: Option<Bound>, system: System) -> String {
    match (lower, upper) {
        (Some(lower), Some(upper)) => format!(
            " (between {}, {}, and {}, {})",
            length(lower.at, system),
            lower.set_by,
            length(upper.at, system),
            upper.set_by,
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
    let reason = match fault.reason {
        Reason::FlangeTooThick => "its flange is too thick",
        Reason::FlangeTooThin => "its flange is too thin",
        Reason::FlangesUnequal => "the two flanges differ too much",
        Reason::FlangeTooDeep => "its flange is too deep",
        Reason::FlangeTooShallow => "its flange is too shallow",
        Reason::TireTooNarrow => "its tire is too narrow",
        Reason::TireTooWide => "its tire is too wide",
        Reason::Wobble => "it wobbles by more than the window is wide",
        Reason::OnePiece => "it is moulded in one piece and cannot be moved",
    };
    format!(
        "{part}: {reason}, by {}; no back-to-back cures it",
        length(fault.by, system)
    )
}

fn seat(at: SeatPlace) -> String {
    match at {
        SeatPlace::SideOf(end, side) => format!("{end} truck, {side} side of the bolster"),
        SeatPlace::EdgeOf(truck, edge) => {
            format!("{truck} truck, the edge of the bolster pad towards the {edge} end")
        }
    }
}

/// `.010 + .015 in`, or `nothing`.
fn stack(sheets: &[Length], system: System) -> String {
    if sheets.is_empty() {
        return "none".to_owned();
    }
    let each: Vec<_> = sheets.iter().map(|sheet| length(*sheet, system)).collect();
    each.join(" + ")
}

fn heights(
    washers: &[Vec<Length>; 2],
    taken: &[Vec<Length>; 2],
    box_shims: &[Vec<Length>; 2],
    expected: [Length; 2],
    ride: [Length; 2],
    system: System,
) -> String {
    let mut parts = Vec::new();
    for end in [End::A, End::B] {
        let index = end.index();
        if !taken[index].is_empty() {
            parts.push(format!(
                "take {} from under the {end} bolster",
                stack(&taken[index], system)
            ));
        }
        if !washers[index].is_empty() {
            parts.push(format!(
                "put {} under the {end} bolster",
                stack(&washers[index], system)
            ));
        }
        if !box_shims[index].is_empty() {
            let shims = stack(&box_shims[index], system);
            parts.push(format!("shim the {end} coupler box down by {shims}"));
        }
    }
    let what = if parts.is_empty() {
        "nothing to do".to_owned()
    } else {
        parts.join("; ")
    };
    format!(
        "{what}; expect A {} and B {} (ride height A {}, B {})",
        length(expected[0], system),
        length(expected[1], system),
        signed(ride[0], system),
        signed(ride[1], system),
    )
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
        .map(|piece| format!("{} × {} in {}", piece.count, piece.weight, piece.pocket))
        .collect();
    let proof = if gap == Mass::ZERO {
        "the closest that stock allows".to_owned()
    } else {
        format!(
            "at most {} from the closest that stock allows",
            amount(gap.into(), system)
        )
    };
    format!(
        "add {}; expect {} of {} wanted, centre of gravity {} towards A, {} to the left, {} above \
         the rail ({proof})",
        each.join(", "),
        amount(expected.into(), system),
        amount(target.into(), system),
        signed(centre[0], system),
        signed(centre[1], system),
        length(centre[2], system),
    )
}
