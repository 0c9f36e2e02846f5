//! What the bench can do for the hill, and what a stall would do.

use gradeworthy_train::advice::{Change, MakeUp, Work, middle_of_the_train};
use gradeworthy_train::sweep::sweep;
use gradeworthy_train::vehicle::{Quantity as Q, Sourced, Train};

use super::{Asked, assert_keeps_its_word, check, hill, margin, train};

#[test]
fn the_repair_that_buys_the_most_is_that_of_brute_force() {
    let asked = Asked::new(train(16, &[0, 8], 61), hill(8.0), check(0.2));
    let cure = middle_of_the_train(&asked.train);
    let mut best = asked.margin();
    for place in 0..asked.train.vehicle_count() {
        for work in Work::ALL {
            let mut vehicles = asked.train.vehicles().to_vec();
            for (quantity, value) in cure(place, work) {
                let own = vehicles[place].clone();
                vehicles[place] = own.with(quantity, Sourced::measured(value)).expect("sound");
            }
            let after = Train::new(vehicles).expect("sound");
            best = margin(&after, &asked.line, &asked.check)
                .expect("it stands")
                .max(best);
        }
    }
    let advised = asked.adviser().repairs(&cure, 2);
    let found = advised
        .best
        .first()
        .map_or(asked.margin(), |own| own.margin);
    assert!((found - best).abs() < 1e-3, "{found}, brute force {best}");
    for advice in &advised.best {
        assert!(
            advice
                .changes
                .iter()
                .all(|own| matches!(own, Change::Repair { .. }))
        );
        assert_keeps_its_word(advice, &asked.train, &asked.line, &asked.check);
    }
}

#[test]
fn a_measurement_closes_the_span_between_the_margins_at_its_ends() {
    let asked = Asked::new(train(12, &[0], 62), hill(8.0), check(0.2));
    let answer = asked.adviser().measurements(3).expect("it stands");
    assert_eq!(answer.best.len(), 3);
    for own in &answer.best {
        use gradeworthy_train::vehicle::RangeEnd::{High, Low};
        for (end, margin) in [Low, High].into_iter().zip(own.margins) {
            let moved = asked.train.with_unmeasured_at(own.quantity(), end);
            let fresh = super::margin(&moved, &asked.line, &asked.check);
            assert!((fresh.expect("it stands") - margin.expect("it stands")).abs() < 1e-9);
        }
        let (least, most) = own.span(asked.margin());
        assert!(least <= asked.margin() && asked.margin() <= most);
    }
}

#[test]
fn a_train_too_heavy_stops_where_it_stalls_first_and_is_held_there() {
    let asked = Asked::new(train(40, &[0], 63), hill(11.0), check(0.2));
    let swept = sweep(&asked.train, &asked.line, &asked.check).expect("it fits");
    let adviser = asked.adviser();
    let stall = adviser
        .stall(&swept)
        .expect("it stands")
        .expect("there are places");
    assert!(stall.stalls && !stall.starts && stall.required > stall.available);
    assert_eq!(stall.standing.coupler_forces.len(), 39);
    // Held on a grade with the power at the head, every coupler is in draft, the first the most.
    let forces = &stall.standing.coupler_forces;
    assert!(forces.iter().all(|force| *force > 0.0));
    assert!(forces.is_sorted_by(|a, b| a >= b));
    let lighter: Vec<_> = asked.train.vehicles()[..12].to_vec();
    let asked = Asked::new(Train::new(lighter).expect("sound"), hill(11.0), check(0.2));
    let stall = asked
        .adviser()
        .stall(&asked.swept)
        .expect("it stands")
        .expect("places");
    assert!(!stall.stalls && stall.starts && stall.standing.holds);
    assert!(
        MakeUp::of(&asked.train).members()[1]
            .vehicle
            .value(Q::Weight)
            > 0.0
    );
}
