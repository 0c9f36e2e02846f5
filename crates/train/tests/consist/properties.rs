//! Round trips, and that order of keys and choice of units change nothing.

use gradeworthy_train::consist::{
    Member, TrainOrder, read_power, read_train, read_train_csv, write_power, write_train,
    write_train_csv,
};
use gradeworthy_train::statics::{Condition, CurveDragLaw};
use gradeworthy_train::sweep::SlackRule;
use gradeworthy_train::vehicle::{Class, Quantity};
use proptest::prelude::*;

/// Each key in metric and in the other unit; the factors are exact by [SP811 §B.8].
fn lines(weight_oz: f64, pull_ozf: f64, length_in: f64, other: bool) -> Vec<String> {
    let text = |key: &str, value: f64, metric: (&str, f64), inch: &str| {
        if other {
            format!("{key} = \"{value:.4} {inch}\"")
        } else {
            format!("{key} = \"{:.9} {}\"", value * metric.1, metric.0)
        }
    };
    vec![
        "name = \"Demo 1\"".to_owned(),
        text("weight", weight_oz, ("g", 28.349_523_125), "oz"),
        text("slip_pull", pull_ozf, ("gf", 28.349_523_125), "ozf"),
        text("length_over_couplers", length_in, ("mm", 25.4), "in"),
        text("timed_over", 10.0 * length_in, ("mm", 25.4), "in"),
        "free_time = \"10 s\"".to_owned(),
        "loaded_time = \"10.5 s\"".to_owned(),
        text("load", 0.5 * pull_ozf, ("gf", 28.349_523_125), "ozf"),
    ]
}

proptest! {
    #[test]
    fn order_of_keys_and_units_change_no_number(
        (weight, pull, length) in (10.0..25.0_f64, 1.0..6.0_f64, 6.0..9.0_f64),
        shuffled in Just((0..8_usize).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let round = |x: f64| (x * 1e3).round() / 1e3;
        let (weight, pull, length) = (round(weight), 2.0 * round(pull / 2.0), round(length));
        let one = format!("[[locomotive]]\n{}\n", lines(weight, pull, length, false).join("\n"));
        let others = lines(weight, pull, length, true);
        let other: Vec<_> = shuffled.iter().map(|&index| others[index].clone()).collect();
        let other = format!("[[locomotive]]\n{}\n", other.join("\n"));
        let card = |text: &str| {
            let power = read_power(text).expect("a sound file");
            power[0].vehicle(Class::HoLocomotive).expect("a sound card")
        };
        let (one, other) = (card(&one), card(&other));
        for quantity in Quantity::ALL {
            let (a, b) = (one.entry(quantity), other.entry(quantity));
            prop_assert_eq!(a.provenance, b.provenance);
            // Force is carried to a part in 10⁹ or better; K is a quotient of such differences.
            prop_assert!((a.value - b.value).abs() <= 1e-7 * a.value.abs(), "{quantity:?} {a:?} {b:?}");
        }
    }

    #[test]
    fn a_train_is_read_as_it_was_written(
        numbers in proptest::collection::btree_set(1..9999_u32, 1..40),
        reversed in proptest::collection::vec(any::<bool>(), 40),
        condition in proptest::option::of(prop_oneof![
            Just(Condition::Running), Just(Condition::Starting), Just(Condition::Held)
        ]),
        jerk in proptest::option::of(1.0..10.0_f64),
    ) {
        let members: Vec<_> = numbers.iter().zip(reversed).map(|(number, reversed)| Member {
            name: format!("QVL {number}"), reversed, line: 0,
        }).collect();
        let names: Vec<_> = members.iter().map(|own: &Member| own.name.clone()).collect();
        let blocks = names.chunks(3).take(2).map(<[String]>::to_vec).collect();
        let order = TrainOrder {
            name: Some("a \"train\", invented".to_owned()),
            members,
            blocks,
            condition,
            slack: Some(SlackRule::AllBunched),
            curve_drag: Some(CurveDragLaw::TreadSlip),
            jerk_allowance: jerk,
            least_margin: Some(0.1),
            note: None,
        };
        let without_lines = |mut order: TrainOrder| {
            order.members.iter_mut().for_each(|member| member.line = 0);
            order
        };
        let read = read_train(&write_train(&order)).expect("it was written here");
        prop_assert_eq!(without_lines(read), order.clone());
        let read = read_train_csv(&write_train_csv(&order)).expect("it was written here");
        prop_assert_eq!(&read.blocks, &order.blocks);
        prop_assert_eq!(without_lines(read).members, order.members);
    }
}

#[test]
fn power_is_read_as_it_was_written() {
    let text = "[[locomotive]]\nname = \"DEMO 1\"\ntraction_tires = true\nweight = \"16 oz\"\n\
                slip_pull = 110\nnote = \"invented\"\n\n[[locomotive]]\nname = \"DEMO 2\"\n";
    let power = read_power(text).expect("a sound file");
    assert_eq!(
        read_power(&write_power(&power)).expect("it was written here"),
        power
    );
}

/// Without a pull test adhesion is a part of the weight, marked as assumed; with one it is not.
#[test]
fn what_was_not_measured_is_marked() {
    let card = |text: &str| {
        let power = read_power(text).expect("a sound file");
        power[0].vehicle(Class::HoLocomotive).expect("a sound card")
    };
    let guessed = card("[[locomotive]]\nname = \"X\"\nweight = \"500 g\"\n");
    let entry = guessed.entry(Quantity::AdhesionPull);
    assert!(entry.is_unmeasured());
    assert!((entry.value - 0.22 * 0.5 * 9.806_65).abs() < 1e-9);
    let tested = card("[[locomotive]]\nname = \"X\"\nslip_pull = \"100 gf\"\n");
    assert!(!tested.entry(Quantity::AdhesionPull).is_unmeasured());
    assert!(tested.entry(Quantity::SpeedSlope).is_unmeasured());
}
