//! The look-over: the rule book's list, answered line by line.

use super::bench::Bench;
use super::inspection::Aspect;
use crate::record::{Check, Measure, Place};

pub(super) fn check(bench: &mut Bench<'_>) {
    if !bench.latest.any(Measure::LookOver) {
        return;
    }
    let items = u8::try_from(bench.book.bench.look_over.len()).unwrap_or(u8::MAX);
    for item in 1..=items {
        let place = Place::Item(item);
        if bench.latest.answer(Measure::LookOver, place).is_some() {
            bench.judge_answer(Aspect::LookOver, Measure::LookOver, place);
        } else {
            bench.not_checked(Check::LookOver, Aspect::LookOver, place);
        }
    }
}
