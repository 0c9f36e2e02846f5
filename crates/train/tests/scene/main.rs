//! Scenes as files, their mistakes, and trains set up for them.

mod looks;

use std::ops::ControlFlow;

use gradeworthy_train::dynamics::{Config, StopReason};
use gradeworthy_train::placement::{Placer, Slack};
use gradeworthy_train::scene::{
    Change, Couplers, Doing, Jolt, Played, Scene, SceneError, Start, Usual, Who, play, read_scene,
    stage, write_scene,
};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, snapshot};
use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Class, Quantity, Train, Vehicle};
use proptest::prelude::*;

/// A line of 40 m: straight, a curve of 0.9 m radius, straight; 2 % throughout.
fn line() -> Alignment {
    let plan = vec![
        PlanSegment::straight(16.0),
        PlanSegment::easement(0.4, 0.0, 1.0 / 0.9),
        PlanSegment::arc(2.8, 1.0 / 0.9),
        PlanSegment::easement(0.4, 1.0 / 0.9, 0.0),
        PlanSegment::straight(20.4),
    ];
    Alignment::new(
        Origin::default(),
        plan,
        vec![GradeSegment::steady(40.0, 0.02)],
        vec![],
    )
    .expect("a line")
}

fn engine(name: &str) -> Vehicle {
    let readings = [
        (Quantity::Weight, 4.9),
        (Quantity::AdhesionPull, 1.1),
        (Quantity::BrakePull, 1.0),
        (Quantity::SpeedSetting, 0.2),
        (Quantity::SpeedSlope, 60.0),
    ];
    let own = Vehicle::of_class(name, Class::HoLocomotive);
    own.measured(&readings).expect("sound")
}

/// An engine, `ahead` cars, an engine, `behind` cars.
fn train(ahead: usize, behind: usize, strength: f64) -> Train {
    let car = |number: usize| {
        let own = Vehicle::of_class(format!("DEMO {number}"), Class::HoCar);
        let readings = [
            (Quantity::Weight, 1.1),
            (Quantity::RollingDrag, 0.012),
            (Quantity::BreakawayDrag, 0.022),
            (Quantity::CouplerStrength, strength),
        ];
        own.measured(&readings).expect("sound")
    };
    let mut vehicles = vec![engine("E 1")];
    vehicles.extend((0..ahead).map(car));
    vehicles.push(engine("E 2"));
    vehicles.extend((ahead..ahead + behind).map(car));
    Train::new(vehicles).expect("a train")
}

fn scene(start: Start, changes: Vec<Change>) -> Scene {
    Scene {
        name: "a scene".to_owned(),
        head_at: 20.0,
        start,
        lasts: 6.0,
        couplers: Couplers::default(),
        changes,
        note: None,
    }
}

fn change(at: f64, who: Who, doing: Doing) -> Change {
    let who = vec![who];
    Change { at, who, doing }
}

fn on(_: f64, _: f64) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn played(scene: &Scene, train: &Train) -> Played {
    play(scene, train, &line(), &Config::default(), &mut on).expect("it plays")
}

#[test]
fn a_running_train_that_is_left_alone_runs_on_as_the_balance_says() {
    let train = train(20, 20, 20.0);
    let there = snapshot(&train, &line(), &Check::new(Condition::Running, 0.1), 20.0);
    let there = there.expect("it stands there");
    let mut quiet = scene(Start::Running, vec![]);
    quiet.lasts = 0.5;
    let own = played(&quiet, &train);
    let last = own.solution.samples.len() - 1;
    // The balance counts the angles of couplers in the curve, and the train moves on by 0.1 m;
    // what is left is a hundredth of the greatest force.
    let forces = own.solution.samples.forces(last);
    for (got, wanted) in forces.iter().zip(&there.balance.forces[1..]) {
        assert!((got - wanted).abs() < 0.03, "{got} {wanted}");
    }
    let speeds = own.solution.samples.speeds(last);
    assert!(
        speeds
            .iter()
            .all(|v| (v - there.balance.speed).abs() < 2e-3),
        "{speeds:?}"
    );
    let worst = own.worst().expect("a force bears");
    assert_eq!(worst.jolt, Jolt::Steady);
}

#[test]
fn a_standing_train_starts_car_by_car_from_where_it_is_pulled() {
    let train = train(20, 0, 20.0);
    let start = Start::Standing(Slack::Bunched);
    let run = Doing::Run {
        speed: 1.0,
        over: 2.0,
    };
    let own = played(&scene(start, vec![change(0.5, Who::All, run)]), &train);
    let first: Vec<f64> = own
        .solution
        .first_moved
        .iter()
        .map(|own| own.expect("it moves"))
        .collect();
    assert!(first[0] >= 0.5);
    // One engine pulls at the head and one pushes at the rear, and each starts what is next to it.
    assert!(
        first[1..=4].windows(2).all(|pair| pair[0] <= pair[1]),
        "{first:?}"
    );
    assert!(
        first[17..].windows(2).all(|pair| pair[0] >= pair[1]),
        "{first:?}"
    );
    assert_eq!(own.solution.stop, StopReason::TimeOver);
    assert!(own.solution.end.speed[5] > 0.1);
}

#[test]
fn power_that_fails_at_the_head_makes_a_run_in() {
    let train = train(20, 20, 20.0);
    let lost = Doing::LosePower { lasting: Some(1.0) };
    let own = played(
        &scene(Start::Running, vec![change(1.0, Who::HeadEnd, lost)]),
        &train,
    );
    let quiet = played(&scene(Start::Running, vec![]), &train);
    let hardest = |own: &Played| own.solution.hardest_buff().expect("a coupling").1;
    assert!(
        hardest(&own).buff < hardest(&quiet).buff - 0.5,
        "{:?}",
        hardest(&own)
    );
    assert!(hardest(&own).buff_time > 1.0);
    let worst = own.worst().expect("a force bears");
    assert!(worst.margin() < quiet.worst().expect("a force bears").margin());
    assert!(worst.time > 1.0, "{worst:?}");
}

#[test]
fn a_train_comes_apart_and_its_rear_runs_back_down() {
    let weak = train(20, 20, 0.55);
    let own = played(
        &scene(
            Start::Standing(Slack::Stretched),
            vec![change(
                0.5,
                Who::Named("E 1".to_owned(), 0),
                Doing::Run {
                    speed: 1.0,
                    over: 0.5,
                },
            )],
        ),
        &weak,
    );
    assert!(!own.solution.partings.is_empty());
    let parts = own.parts();
    assert_eq!(parts.len(), own.solution.partings.len() + 1);
    assert_eq!(parts[0].0, 0);
    assert_eq!(parts[parts.len() - 1].1, 41);
}

/// What is left out: in a curve, middles stand a little closer or farther along the track.
#[test]
fn spacing_in_a_curve_is_nearly_that_on_straight_track() {
    let car = |half: f64, pivot: f64| {
        let readings = [
            (Quantity::HalfTruckCentres, half),
            (Quantity::PivotFront, pivot),
            (Quantity::PivotRear, pivot),
        ];
        let own = Vehicle::of_class("DEMO", Class::HoCar);
        own.measured(&readings).expect("sound")
    };
    let (short, long) = ((0.05, 0.064), (0.095, 0.125));
    let shift = |one: (f64, f64), other: (f64, f64)| {
        let vehicles = vec![engine("E 1"), car(one.0, one.1), car(other.0, other.1)];
        let train = Train::new(vehicles).expect("a train");
        let line = line();
        let mut placer = Placer::new(&line);
        let mut spacing = |head_s: f64| {
            let mut stances = Vec::new();
            let slack = [Slack::Middle; 3];
            placer
                .place(train.numbers(), &slack, head_s, &mut stances)
                .expect("it stands");
            let middle = |i: usize| 0.5 * (stances[i].bolster_s[0] + stances[i].bolster_s[1]);
            middle(1) - middle(2)
        };
        let straight = spacing(10.0);
        // Wholly in the arc of 0.9 m radius.
        (spacing(18.5) - straight).abs()
    };
    // Free slack is 1.2 mm.
    assert!(shift(short, short) < 5e-5, "{}", shift(short, short));
    assert!(shift(long, short) < 4e-4, "{}", shift(long, short));
}

#[test]
fn who_is_not_there_is_said() {
    let train = train(5, 0, 20.0);
    let refused = |who: Who| {
        let own = scene(Start::Running, vec![change(1.0, who, Doing::PowerBack)]);
        stage(&own, &train, &line())
            .expect_err("refused")
            .to_string()
    };
    assert_eq!(
        refused(Who::CutIn),
        "what happens at 1 s happens to nobody: this train has no locomotive cut in"
    );
    assert_eq!(
        refused(Who::Named("E 9".to_owned(), 12)),
        "line 12, who: 'E 9' is no locomotive of this train; correct the name, or cut it in"
    );
    assert_eq!(
        refused(Who::Named("DEMO 1".to_owned(), 3)),
        "line 3, who: 'DEMO 1' is no locomotive of this train; correct the name, or cut it in"
    );
}

#[test]
fn a_train_that_cannot_run_or_stay_there_is_refused() {
    let heavy = train(70, 0, 20.0);
    let mut own = scene(Start::Running, vec![]);
    own.head_at = 30.0;
    let refused = stage(&own, &heavy, &line()).expect_err("it stalls");
    assert!(
        matches!(refused, SceneError::DoesNotRun { .. }),
        "{refused}"
    );
    own.head_at = 3.0;
    let refused = stage(&own, &heavy, &line()).expect_err("it is off the line");
    assert!(matches!(refused, SceneError::Sweep(_)), "{refused}");
}

#[test]
fn every_mistake_is_told_with_its_line() {
    let said = |text: &str| read_scene(text).expect_err("mistakes").to_string();
    assert_eq!(
        said("[scene]\nname = \"a\"\nhead_at = \"ten\"\nstart = \"rolling\"\nlasts = \"0 s\"\n"),
        "line 3, head_at: 'ten' is not a number\n\
         line 4, start: found 'rolling', expected standing, running\n\
         line 5, lasts: found '0 s', which must be more than zero"
    );
    let head = "[scene]\nname = \"a\"\nhead_at = \"9 m\"\nstart = \"running\"\nlasts = \"2 s\"\n";
    assert_eq!(
        said(&format!(
            "{head}[[change]]\nat = \"1 s\"\nwho = \"all\"\ndo = \"jump\"\n"
        )),
        "line 9, do: found 'jump', expected run, stop, lose power, get power back"
    );
    assert_eq!(
        said(&format!(
            "{head}[[change]]\nat = \"1 s\"\nwho = \"all\"\ndo = \"run\"\nlasting = \"1 s\"\n"
        )),
        "line 6, change: 'speed' is missing; give the part of each locomotive's own setting, such as 100 %\n\
         line 10, change: 'lasting' means nothing here; expected speed, over"
    );
    assert_eq!(
        said(&format!("{head}[weather]\n")),
        "line 6: there is no section 'weather' here; expected [scene], [couplers], [[change]]"
    );
    assert_eq!(
        said("[[change]]\nat = \"1 s\"\nwho = \"all\"\ndo = \"stop\"\n"),
        "line 1, file: 'scene' is missing; give a section [scene] with 'name', 'head_at', 'start' and 'lasts'"
    );
    assert_eq!(
        said(&format!("{head}slack = \"bunched\"\n")),
        "line 6, slack: found 'a word', expected nothing: a running train's slack follows from its forces"
    );
}

fn any_change() -> impl Strategy<Value = Change> {
    let who = prop_oneof![
        Just(Who::All),
        Just(Who::HeadEnd),
        Just(Who::CutIn),
        Just(Who::RearEnd),
        "[A-Z]{2} [1-9][0-9]{0,3}".prop_map(|name| Who::Named(name, 0)),
    ];
    let tenths = |most: u32| (0..most).prop_map(|own| f64::from(own) / 8.0);
    let doing = prop_oneof![
        (tenths(16), tenths(40)).prop_map(|(speed, over)| Doing::Run { speed, over }),
        tenths(40).prop_map(|over| Doing::Stop { over }),
        proptest::option::of((1_u32..40).prop_map(|own| f64::from(own) / 8.0))
            .prop_map(|lasting| Doing::LosePower { lasting }),
        Just(Doing::PowerBack),
    ];
    (tenths(80), proptest::collection::vec(who, 1..3), doing).prop_map(|(at, who, doing)| Change {
        at,
        who,
        doing,
    })
}

proptest! {
    /// A scene file comes from anybody who may make up trains: whatever was done to it, it is refused with
    /// its reasons, or it is a scene that is written and read back as the same.
    #[test]
    fn a_spoilt_file_is_refused_in_words_or_is_a_scene(
        usual in prop::sample::select(Usual::ALL.to_vec()),
        spoilt in prop::collection::vec((any::<prop::sample::Index>(), 0_usize..9, ".{0,6}"), 1..4),
    ) {
        let mut text: Vec<char> = write_scene(&usual.scene(12.5)).chars().collect();
        for (at, length, instead) in spoilt {
            let from = at.index(text.len() + 1);
            let to = (from + length).min(text.len());
            text.splice(from..to, instead.chars());
        }
        let text: String = text.into_iter().collect();
        match read_scene(&text) {
            Err(errors) => prop_assert!(!errors.to_string().is_empty()),
            Ok(own) => prop_assert_eq!(
                write_scene(&read_scene(&write_scene(&own)).expect("it reads back")),
                write_scene(&own)
            ),
        }
    }

    #[test]
    fn what_is_written_reads_back(
        mut changes in proptest::collection::vec(any_change(), 0..5),
        head in 0_u32..500,
        start in prop_oneof![
            Just(Start::Running),
            Just(Start::Standing(Slack::Stretched)),
            Just(Start::Standing(Slack::Bunched)),
        ],
    ) {
        changes.sort_by(|a, b| a.at.total_cmp(&b.at));
        let own = Scene { head_at: f64::from(head) / 8.0, ..scene(start, changes) };
        let mut back = read_scene(&write_scene(&own)).expect("it reads back");
        for change in &mut back.changes {
            for who in &mut change.who {
                if let Who::Named(_, line) = who {
                    *line = 0;
                }
            }
        }
        prop_assert_eq!(own, back);
    }
}
