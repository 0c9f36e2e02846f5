//! Cures that are work rather than numbers: freeing, cleaning, reaming, trimming.
//!
//! The wording is that of the trade (common practice, no source).

use gradeworthy_units::Amount;

use super::prescribe::Ward;
use super::{Action, CureKind};
use crate::Verdict;
use crate::checks::{Aspect, Line};
use crate::record::Check;
use crate::rules::Limited;

pub(super) fn cure(ward: &mut Ward<'_>, check: Check) {
    let bad: Vec<Line> = ward
        .inspection
        .lines_of(check)
        .filter(|line| line.verdict == Verdict::BadOrder)
        .cloned()
        .collect();
    for line in bad {
        let (kind, action) = advice(&line);
        if !ward.has(kind, line.place) {
            ward.write(check, line.place, kind, action);
        }
    }
}

fn advice(line: &Line) -> (CureKind, Action) {
    let Aspect::Limited(limited) = line.aspect else {
        return answer_advice(line.aspect);
    };
    match limited {
        Limited::AxleLength | Limited::EndPlay if is_below(line) => (
            CureKind::AxleChanged,
            Action::Do("binds: fit the next shorter axle from the sampler, or ream the journals"),
        ),
        Limited::AxleLength | Limited::EndPlay => (
            CureKind::AxleChanged,
            Action::Do("loose: fit the next longer axle from the sampler"),
        ),
        Limited::SpinTime | Limited::TruckRollGrade => (
            CureKind::JournalsDressed,
            Action::Do(
                "clear flash and burrs from the journals, ream, a touch of graphite; spin again",
            ),
        ),
        Limited::TruckSwing => {
            let missing = match line.margin {
                Some(Amount::Angle(margin)) => -margin,
                _ => gradeworthy_units::Angle::ZERO,
            };
            let how = "find what touches first: screw head, centre sill, rigging or wheel well; \
                       trim it, or raise the bolster by a washer";
            (CureKind::RiggingTrimmed, Action::Gain { missing, how })
        }
        Limited::SwivelDrag => (
            CureKind::ScrewTurned,
            Action::Do(
                "back the truck screw off an eighth to a quarter turn; if it bottoms, \
                        shorten it or add a washer; clean and graphite the bolster",
            ),
        ),
        Limited::RockGap
        | Limited::ScrewPlay
        | Limited::TwistCapability
        | Limited::SideBearingGap => rock_advice(line),
        Limited::TripPin => (
            CureKind::TripPinBent,
            Action::Do("check the coupler's height first, then bend the pin"),
        ),
        Limited::StartGrade | Limited::RollGrade if is_below(line) => (
            CureKind::JournalsDressed,
            Action::Do(
                "rolls too freely to stay spotted: a light drag spring on one axle end, if the club wants it",
            ),
        ),
        Limited::StartGrade | Limited::RollGrade => (
            CureKind::JournalsDressed,
            Action::Do(
                "find the axle that drags: spin each, clean treads and journals, look for a rubbing wheel",
            ),
        ),
        _ => (CureKind::PartFixed, Action::Do("put right and read again")),
    }
}

fn rock_advice(line: &Line) -> (CureKind, Action) {
    let tight = is_below(line);
    let what = if tight {
        "too tight to follow the track: back the truck screw off until this truck rocks both ways"
    } else {
        "rocks too far: take up the truck screw, one truck snug and the other a little looser"
    };
    (CureKind::ScrewTurned, Action::Do(what))
}

fn answer_advice(aspect: Aspect) -> (CureKind, Action) {
    match aspect {
        Aspect::Centring => (
            CureKind::CouplerFreed,
            Action::Do(
                "take the box apart: paint, glue, burr, bent spring or tight lid; clean, graphite, new spring",
            ),
        ),
        Aspect::Knuckle => (
            CureKind::CouplerFreed,
            Action::Do(
                "look for a missing knuckle spring; clear paint from the knuckle; else exchange the coupler",
            ),
        ),
        _ => (
            CureKind::PartFixed,
            Action::Do("put right what the look-over found"),
        ),
    }
}

/// Whether the reading is under its lower limit.
fn is_below(line: &Line) -> bool {
    match (line.reading, line.lower) {
        (Some(reading), Some(lower)) => reading < lower,
        _ => false,
    }
}
