//! What was done puts in doubt exactly what the doubt graph says, and nothing that rests on a stale
//! reading passes for fresh.

use gradeworthy_units::{Amount, Length};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Inspection, Line};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{Answer, Check, Measure, Place, Record, Value};
use gradeworthy_workbench::rules::Limited;

use crate::given::{Club, by_other_means, cars, times};

/// Everything was read before the work: a line is stale when its check is in the closure, or when
/// a reading of such a check goes into it.
#[test]
fn after_work_exactly_the_closure_is_stale() {
    let club = Club::demo();
    for record in cars(20) {
        let before = club.inspect(&record);
        for kind in CureKind::ALL {
            let mut worked_on = record.clone();
            worked_on.note_done(kind, None);
            let doubt = club.book.doubt.in_doubt_after(kind);
            let after = club.inspect(&worked_on);
            assert_eq!(before.lines.len(), after.lines.len());
            for (old, new) in before.lines.iter().zip(&after.lines) {
                // The pull that turns a truck is judged as L/V, which the car's weight goes into.
                let borrowed = new.check == Check::SwivelDrag && doubt.contains(Check::Weight);
                let expected = if doubt.contains(new.check) || borrowed {
                    Verdict::Stale
                } else {
                    old.verdict
                };
                assert_eq!(new.verdict, expected, "{kind}: {new:?}");
            }
        }
    }
}

/// Reading after the work clears it.
#[test]
fn what_is_read_after_the_work_is_fresh() {
    let club = Club::demo();
    for record in cars(20) {
        for kind in CureKind::ALL {
            let mut worked_on = record.clone();
            worked_on.note_done(kind, None);
            worked_on.done[0].after_entries = 0;
            assert_eq!(club.inspect(&worked_on).lines, club.inspect(&record).lines);
        }
    }
}

/// One reading is from before the work and all the others from after it: every line that the one
/// goes into is stale. Whether it goes into a line is found by changing it.
#[test]
fn one_stale_reading_makes_everything_stale_that_rests_on_it() {
    let club = Club::demo();
    let mut found = 0;
    let other = by_other_means(&club);
    for (measure, limited) in [
        (Measure::GateTime, Limited::RollGrade),
        (Measure::TableAngle, Limited::CgHeight),
    ] {
        let line = club.inspect(&other);
        let line = line.line(Aspect::Limited(limited), Place::Car).cloned();
        assert!(
            line.is_some(),
            "{measure} gave no line: {:?}",
            club.inspect(&other).findings
        );
    }
    for record in cars(12).chain([other]) {
        let fresh = club.inspect(&record);
        for index in 0..record.entries.len() {
            let mut worked_on = record.clone();
            let old = worked_on.entries.remove(index);
            let check = old.measure.check();
            worked_on.entries.insert(0, old);
            let Some(kind) = CureKind::ALL
                .into_iter()
                .find(|kind| club.book.doubt.in_doubt_after(*kind).contains(check))
            else {
                continue;
            };
            worked_on.note_done(kind, None);
            worked_on.done[0].after_entries = 1;
            let after = club.inspect(&worked_on);
            for factor in [0.7, 1.4] {
                let mut changed = record.clone();
                change(&mut changed.entries[index].value, factor);
                for line in resting(&fresh, &club.inspect(&changed)) {
                    let own = after.line(line.aspect, line.place).expect("the same lines");
                    assert_eq!(
                        own.verdict,
                        Verdict::Stale,
                        "{}: {own:?}, {kind}, {:?}",
                        record.car.mark,
                        record.entries[index]
                    );
                    found += 1;
                }
            }
        }
    }
    assert!(found > 1500, "{found}");
}

/// The lines of `fresh` that are otherwise in `changed`.
fn resting<'a>(fresh: &'a Inspection, changed: &Inspection) -> Vec<&'a Line> {
    let differs = |line: &&Line| {
        changed.line(line.aspect, line.place).is_some_and(|other| {
            (other.reading, other.lower, other.upper) != (line.reading, line.lower, line.upper)
                || (line.reading.is_none() && other.verdict != line.verdict)
        })
    };
    fresh.lines.iter().filter(differs).collect()
}

fn change(value: &mut Value, factor: f64) {
    match value {
        Value::Answer(answer) => {
            *answer = if *answer == Answer::Good {
                Answer::Poor
            } else {
                Answer::Good
            };
        }
        Value::Quantity(typed) => {
            typed.amount = match typed.amount {
                Amount::Length(own) => Length::from_mm_rounded(own.mm() * factor + 0.01)
                    .expect("small")
                    .into(),
                other => times(other, factor),
            };
        }
    }
}

/// A record without work has nothing stale in it.
#[test]
fn without_work_nothing_is_stale() {
    let club = Club::demo();
    for record in cars(100) {
        assert!(
            club.inspect(&record)
                .lines
                .iter()
                .all(|line| line.verdict != Verdict::Stale)
        );
    }
    let told: Vec<Record> = gradeworthy_demo::fleet(1, 12);
    assert!(
        told.iter()
            .any(|record| club.inspect(record).verdict == Verdict::Stale)
    );
}
