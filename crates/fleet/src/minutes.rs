//! How long a check takes at this shop's benches, learned from when its readings were entered.
//!
//! The time of a check is from the last reading of the check before it to its own last reading, by
//! one member on one car. A longer pause than [`PAUSE_SECONDS`] was an interruption and teaches nothing.
//! Readings entered all at once, as from a sheet, teach nothing either. The time a cure takes is not
//! in the record and is not counted.

use std::collections::HashMap;

use gradeworthy_workbench::record::Check;
use jiff::Timestamp;

use crate::quantile;

/// What a check is taken to last where the record does not tell. ASSUMED: two minutes, the
/// caution of a bench without hurry; at a convention a whole short list has three. The time for a
/// list of cars is in proportion.
pub const ASSUMED_CHECK_SECONDS: f64 = 120.0;

/// The longest time between two checks of one sitting. ASSUMED: a quarter of an hour; the median hardly
/// moves between ten minutes and half an hour unless a check is made only a few times.
const PAUSE_SECONDS: i64 = 900;

/// Fewer times than this and the assumption stands.
const ENOUGH: usize = 8;

/// How long a check takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckTime {
    /// Seconds.
    pub seconds: f64,
    /// How many times it was learned from; 0 where it is assumed.
    pub learned_from: usize,
}

/// What was learned so far.
#[derive(Debug, Default)]
pub struct BenchTimes {
    sittings: HashMap<i64, Sitting>,
    seconds: [Vec<f64>; Check::ALL.len()],
}

#[derive(Debug)]
struct Sitting {
    car: i64,
    check: Check,
    /// When the check before ended, if it was of the same car.
    began: Option<Timestamp>,
    last: Timestamp,
}

impl BenchTimes {
    /// Notes a reading, in the order of the record: who entered it, of which car, when, for which check.
    pub fn note(&mut self, member: i64, car: i64, at: Timestamp, check: Check) {
        match self.sittings.get_mut(&member) {
            Some(sitting) if sitting.car == car && sitting.check == check => sitting.last = at,
            other => {
                let ended = other.map(|sitting| (sitting.car, sitting.last));
                self.end(member);
                let began = ended.filter(|(own, _)| *own == car).map(|(_, last)| last);
                let last = at;
                let sitting = Sitting {
                    car,
                    check,
                    began,
                    last,
                };
                self.sittings.insert(member, sitting);
            }
        }
    }

    /// Takes what the member's last check teaches.
    fn end(&mut self, member: i64) {
        let Some(sitting) = self.sittings.remove(&member) else {
            return;
        };
        let Some(began) = sitting.began else { return };
        let seconds = sitting.last.duration_since(began).as_secs_f64();
        #[expect(clippy::cast_precision_loss, reason = "a quarter of an hour")]
        let pause = PAUSE_SECONDS as f64;
        if seconds > 0.0 && seconds <= pause {
            self.seconds[sitting.check as usize].push(seconds);
        }
    }

    /// How long a check takes: the median of what was learned, else the assumption.
    #[must_use]
    pub fn of(&self, check: Check) -> CheckTime {
        let mut seconds = self.seconds[check as usize].clone();
        seconds.sort_unstable_by(f64::total_cmp);
        let median = quantile(seconds.len(), 0.5, |index| seconds[index]);
        match median.filter(|_| seconds.len() >= ENOUGH) {
            Some(median) => CheckTime {
                seconds: median,
                learned_from: seconds.len(),
            },
            None => CheckTime {
                seconds: ASSUMED_CHECK_SECONDS,
                learned_from: 0,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(1_800_000_000 + second).expect("in range")
    }

    #[test]
    fn the_time_of_a_check_is_from_the_end_of_the_one_before() {
        let mut times = BenchTimes::default();
        for car in 0..9 {
            let start = car * 10_000;
            times.note(1, car, at(start), Check::Wheelsets);
            times.note(1, car, at(start + 30), Check::Wheelsets);
            times.note(1, car, at(start + 50), Check::Droop);
            times.note(1, car, at(start + 70), Check::Droop);
            // A pause of an hour teaches nothing about the weight.
            times.note(1, car, at(start + 3670), Check::Weight);
        }
        let droop = times.of(Check::Droop);
        assert_eq!(
            (droop.seconds.to_bits(), droop.learned_from),
            (40.0_f64.to_bits(), 9)
        );
        assert_eq!(times.of(Check::Wheelsets).learned_from, 0);
        assert_eq!(times.of(Check::Weight).learned_from, 0);
    }

    #[test]
    fn readings_entered_at_once_leave_the_assumption() {
        let mut times = BenchTimes::default();
        for car in 0..20 {
            for check in Check::ALL {
                times.note(1, car, at(car), check);
            }
        }
        assert!(
            Check::ALL
                .iter()
                .all(|check| times.of(*check).learned_from == 0)
        );
    }
}
