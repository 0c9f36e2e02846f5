//! The RIP track: where a car stands follows from what happened to it.

mod shop;

use gradeworthy_store::{
    BadOrder, CarId, ClubAct, CureDone, Defect, Error, Fact, Fitting, Ownership, Part, RipOrder,
    Standing, WaitFor, Work,
};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::Place;
use shop::{Shop, at};

fn report(defect: Defect) -> Fact {
    Fact::BadOrdered(BadOrder {
        defect,
        place: Place::Car,
        note: "in the yard".into(),
    })
}

fn released(restriction: Option<&str>) -> Fact {
    Fact::Released {
        restriction: restriction.map(Into::into),
        note: String::new().into(),
    }
}

fn standing(shop: &Shop, car: CarId) -> Standing {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let folded = snapshot.standing(car).expect("a car");
    assert_eq!(
        snapshot.car(car).expect("a car").standing,
        folded,
        "what is kept must follow"
    );
    folded
}

#[test]
fn the_life_of_a_car() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    assert_eq!(standing(&shop, car), Standing::AtBench);
    shop.append(shop.inspector, car, [released(None)])
        .expect("admitted");
    assert_eq!(standing(&shop, car), Standing::Admitted);
    shop.append(shop.operator, car, [report(Defect::Derailed)])
        .expect("an operator may");
    assert_eq!(standing(&shop, car), Standing::BadOrdered);
    let error = shop
        .append(shop.operator, car, [released(None)])
        .expect_err("never");
    assert_eq!(
        error.to_string(),
        "a member who is operator may not release a car"
    );
    let not_before = at(90_000);
    shop.lead_appends(
        car,
        Fact::Rested {
            not_before,
            why: "side frame bent".into(),
        },
    );
    assert_eq!(standing(&shop, car), Standing::Resting { not_before });
    shop.lead_appends(car, released(Some("head end only")));
    let restriction = "head end only".into();
    assert_eq!(standing(&shop, car), Standing::Limited { restriction });
    shop.lead_appends(
        car,
        Fact::HandedBack {
            why: "owner leaves".into(),
        },
    );
    assert!(matches!(standing(&shop, car), Standing::BackToOwner { .. }));
    shop.lead_appends(
        car,
        Fact::TakenIn {
            why: "owner came back".into(),
        },
    );
    assert_eq!(standing(&shop, car), Standing::AtBench);
}

#[test]
fn a_car_waits_for_parts_and_for_the_owners_word() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let parts = Fact::Waiting {
        wait_for: WaitFor::Parts,
        what: "knuckle spring".into(),
    };
    let wait = shop.lead_appends(car, parts).seqs[0];
    let what = "knuckle spring".into();
    assert_eq!(standing(&shop, car), Standing::WaitingForParts { what });
    let ask = Fact::Waiting {
        wait_for: WaitFor::Owner,
        what: "may the trucks be changed?".into(),
    };
    shop.lead_appends(car, ask);
    assert!(matches!(
        standing(&shop, car),
        Standing::WaitingForOwner { .. }
    ));
    shop.lead_appends(
        car,
        Fact::WaitEnded {
            wait,
            note: "came".into(),
        },
    );
    let error = shop
        .append(
            shop.lead,
            car,
            [Fact::WaitEnded {
                wait,
                note: "again".into(),
            }],
        )
        .expect_err("over");
    assert!(
        matches!(
            error,
            Error::UnknownEvent {
                expected: "open wait",
                ..
            }
        ),
        "{error}"
    );
}

#[test]
fn a_struck_release_undoes_what_it_closed() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    shop.lead_appends(car, report(Defect::Wheel));
    let release = shop.lead_appends(car, released(None)).seqs[0];
    assert_eq!(standing(&shop, car), Standing::Admitted);
    shop.lead_appends(
        car,
        Fact::Struck {
            struck: release,
            why: "the wrong car".into(),
        },
    );
    assert_eq!(standing(&shop, car), Standing::BadOrdered);
}

#[test]
fn two_slips_for_one_defect_become_one_report() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let first = shop.lead_appends(car, report(Defect::Wheel)).seqs[0];
    let second = shop.lead_appends(car, report(Defect::Derailed)).seqs[0];
    let open = || {
        let snapshot = shop.store.snapshot().expect("a snapshot");
        let reports = snapshot.open_reports(car).expect("reports");
        reports.iter().map(|report| report.seq).collect::<Vec<_>>()
    };
    assert_eq!(open(), [first, second]);
    let merge = Fact::Merged {
        duplicate: second,
        into: first,
    };
    shop.lead_appends(car, merge.clone());
    assert_eq!(open(), [first]);
    let error = shop
        .append(shop.lead, car, [merge])
        .expect_err("merged before");
    assert!(matches!(error, Error::UnknownEvent { .. }), "{error}");
    // The one that stood was a mistake: the other stands again by itself.
    shop.lead_appends(
        car,
        Fact::Struck {
            struck: first,
            why: "another car".into(),
        },
    );
    assert_eq!(open(), [second]);
    let other = shop.car("TST 2");
    let elsewhere = shop.lead_appends(other, report(Defect::Wheel)).seqs[0];
    let error = shop
        .append(
            shop.lead,
            car,
            [Fact::Merged {
                duplicate: second,
                into: elsewhere,
            }],
        )
        .expect_err("of another car");
    assert!(matches!(error, Error::UnknownEvent { .. }), "{error}");
}

#[test]
fn an_apprentice_needs_a_second_name_of_one_who_may() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let attempt = |second| shop.append_with(shop.apprentice, second, car, [released(None)]);
    let alone = attempt(None).expect_err("alone").to_string();
    assert!(
        alone.ends_with("may not release a car without a second name"),
        "{alone}"
    );
    for second in [shop.operator, shop.owner, shop.track_lead] {
        assert!(attempt(Some(second)).is_err());
    }
    attempt(Some(shop.inspector)).expect("with an inspector");
    assert_eq!(standing(&shop, car), Standing::Admitted);
}

#[test]
fn due_first_needed_first_and_oldest_first() {
    let shop = Shop::open();
    let [old, resting, due, longest_due, needed, fit] =
        ["OLD 1", "RST 1", "DUE 1", "DUE 2", "NEED 1", "FIT 1"].map(|mark| shop.car(mark));
    shop.lead_appends(old, report(Defect::Wheel));
    let rest = |hours: i64| Fact::Rested {
        not_before: at(hours * 3600),
        why: "glue".into(),
    };
    shop.lead_appends(resting, rest(48));
    shop.lead_appends(due, rest(20));
    shop.lead_appends(longest_due, rest(10));
    shop.lead_appends(needed, report(Defect::Truck));
    shop.lead_appends(fit, released(None));
    shop.club(ClubAct::SetWanted {
        cars: vec![fit, needed],
        needed_at: at(80_000),
    })
    .expect("wanted");
    let order = |order| {
        let snapshot = shop.store.snapshot().expect("a snapshot");
        let rows = snapshot.rip_track(order).expect("a list");
        rows.iter().map(|row| row.car.car).collect::<Vec<_>>()
    };
    assert_eq!(
        order(RipOrder::OldestFirst),
        [old, resting, due, longest_due, needed]
    );
    assert_eq!(
        order(RipOrder::NeededFirst),
        [needed, old, resting, due, longest_due]
    );
    let now = at(24 * 3600);
    assert_eq!(
        order(RipOrder::DueFirst { now }),
        [longest_due, due, old, resting, needed]
    );
}

fn ask(work: Work) -> Fact {
    let what = "two wheelsets are too narrow".into();
    Fact::Asked { work, what }
}

fn consent(work: Work, granted: bool, word: &str) -> Fact {
    let word = word.into();
    Fact::Consented {
        work,
        granted,
        word,
    }
}

#[test]
fn the_owners_answer_ends_what_he_was_asked_and_nothing_else() {
    let shop = Shop::open();
    let car = shop.car_of("TST 1", Some(shop.owner));
    shop.lead_appends(car, ask(Work::Wheels));
    shop.lead_appends(car, ask(Work::Couplers));
    let what = "consent to work on wheels: two wheelsets are too narrow".into();
    assert_eq!(standing(&shop, car), Standing::WaitingForOwner { what });
    shop.append(shop.owner, car, [consent(Work::Wheels, true, "")])
        .expect("his own car");
    let open = || shop.store.snapshot().expect("a snapshot").holds(car);
    let asks = open().expect("holds").asks;
    assert_eq!(
        asks.iter().map(|ask| ask.work).collect::<Vec<_>>(),
        [Work::Couplers]
    );
    let refusal = shop
        .append(shop.owner, car, [consent(Work::Couplers, false, "as is")])
        .expect("his own car");
    assert_eq!(standing(&shop, car), Standing::AtBench);
    // A word struck as a mistake leaves the question open again.
    shop.lead_appends(
        car,
        Fact::Struck {
            struck: refusal.seqs[0],
            why: "he meant another car".into(),
        },
    );
    assert_eq!(open().expect("holds").asks.len(), 1);
}

#[test]
fn a_word_given_by_mouth_says_who_gave_it() {
    let shop = Shop::open();
    let car = shop.car_of("TST 1", Some(shop.owner));
    let silent = shop.append(shop.lead, car, [consent(Work::Body, true, " ")]);
    assert!(matches!(silent, Err(Error::Empty { .. })), "{silent:?}");
    shop.lead_appends(car, consent(Work::Body, true, "G. Owner, by telephone"));
    let refused = shop.append(
        shop.inspector,
        car,
        [consent(Work::Body, false, "he told me")],
    );
    assert!(
        matches!(refused, Err(Error::NotAllowed { .. })),
        "{refused:?}"
    );
}

#[test]
fn refused_work_is_not_recorded_until_the_owner_allows_it_and_a_new_owner_is_asked_anew() {
    let shop = Shop::open();
    let car = shop.car_of("TST 1", Some(shop.owner));
    let cure = || {
        Fact::Cured(CureDone {
            cure: CureKind::WheelMoved,
            place: Place::Axle(1),
            done_on: None,
            note: "".into(),
        })
    };
    let wheelset = || {
        Fact::Fitted(Fitting {
            part: Part::Wheelset,
            place: Place::Axle(1),
            description: "metal, code 110".into(),
            lot: None,
        })
    };
    shop.lead_appends(car, cure());
    shop.append(shop.owner, car, [consent(Work::Wheels, false, "")])
        .expect("his own car");
    for fact in [cure(), wheelset()] {
        let refused = shop.append(shop.lead, car, [fact]);
        let wheels = matches!(refused, Err(Error::OwnerRefuses { work: Work::Wheels }));
        assert!(wheels, "{refused:?}");
    }
    shop.lead_appends(
        car,
        Fact::Owned(Ownership {
            owner: Some("G. Heir".into()),
            member: None,
        }),
    );
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.consents(car).expect("read"), []);
    drop(snapshot);
    shop.lead_appends(car, cure());
}

#[test]
fn an_owner_answers_the_question_he_was_asked_and_ends_no_other_wait() {
    let shop = Shop::open();
    let car = shop.car_of("TST 1", Some(shop.owner));
    let wait = |wait_for| {
        let what = "which truck?".into();
        shop.lead_appends(car, Fact::Waiting { wait_for, what })
            .seqs[0]
    };
    let (parts, his) = (wait(WaitFor::Parts), wait(WaitFor::Owner));
    let note = || "the sprung one".into();
    let refused = shop.append(
        shop.owner,
        car,
        [Fact::WaitEnded {
            wait: parts,
            note: note(),
        }],
    );
    assert!(
        matches!(refused, Err(Error::NotAllowed { .. })),
        "{refused:?}"
    );
    let answer = Fact::WaitEnded {
        wait: his,
        note: note(),
    };
    shop.append(shop.owner, car, [answer]).expect("answered");
    assert!(matches!(
        standing(&shop, car),
        Standing::WaitingForParts { .. }
    ));
}
