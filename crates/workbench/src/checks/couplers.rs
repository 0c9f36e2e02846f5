//! Couplers: whether they return and close, the trip pin, droop and free play, and their height.
//!
//! Droop comes before height, because a sag would otherwise be shimmed as if it were height.

use gradeworthy_units::Length;

use super::bench::Bench;
use super::inspection::Aspect;
use crate::record::{End, Measure, Place};
use crate::rules::Limited;

pub(super) fn check(bench: &mut Bench<'_>) {
    for end in End::BOTH {
        bench.judge_answer(Aspect::Centring, Measure::Centring, Place::End(end));
        bench.judge_answer(Aspect::Knuckle, Measure::Knuckle, Place::End(end));
    }
    for (measure, limited) in [
        (Measure::TripPin, Limited::TripPin),
        (Measure::Droop, Limited::Droop),
        (Measure::FreePlay, Limited::FreePlay),
        (Measure::CouplerHeight, Limited::CouplerHeight),
    ] {
        both_ends(bench, measure, limited);
    }
}

/// Judges a length at both ends. One end without the other is a check half done, and says so.
fn both_ends(bench: &mut Bench<'_>, measure: Measure, limited: Limited) {
    let any = bench.latest.any(measure);
    for end in End::BOTH {
        let place = Place::End(end);
        match bench.latest.quantity::<Length>(measure, place) {
            Some(read) => bench.judge_limited(limited, measure, place, read),
            None if any && bench.limit(limited).is_some() => {
                bench.not_checked(measure.check(), Aspect::Limited(limited), place);
            }
            None => {}
        }
    }
}
