//! One of everything that can happen, so that no table is empty.

use gradeworthy_store::{
    BadOrder, CarId, ClubAct, CureDone, Defect, Fact, Fitting, HillKind, Import, NewHillEdition,
    NewPhoto, Ownership, Part, PhotoType, RecordedInspection, RecordedLine, Version, WaitFor, Work,
};
use gradeworthy_units::{Amount, Length};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{CarMark, Check, End, Place};

use super::{Shop, at, back_to_back, id};

/// A line.
fn hill(shop: &Shop) {
    let line = NewHillEdition {
        client_id: id(),
        by: shop.lead,
        at: shop.now(),
        kind: HillKind::Line,
        name: "Test Hill".into(),
        seen: None,
        text: "[line]\nname = \"Test Hill\"\n".into(),
        readings: None,
        withdrawn: false,
    };
    shop.store.enter_hill(line).expect("entered");
}

pub fn happen(shop: &Shop) {
    shop.enter_rule_book(2);
    let act = ClubAct::SignOff {
        member: shop.inspector,
        check: Check::Weight,
        granted: true,
    };
    shop.club(act).expect("signed off");
    hill(shop);
    let import = Import {
        by: shop.lead,
        at: shop.now(),
        file_name: "invented.csv".into(),
        file_sha256: [7; 32],
        cars: Vec::new(),
    };
    shop.store.import(import).expect("taken in");
    let car = shop.car_of("TST 1", Some(shop.owner));
    let read = shop.lead_appends(car, Fact::Read(back_to_back(".566")));
    let facts = [
        Fact::Inspected(inspection(read.version).into()),
        Fact::Lettered(CarMark::new("TST 2").expect("a mark")),
        Fact::Owned(Ownership {
            owner: Some("G. Heir".into()),
            member: None,
        }),
        Fact::Fitted(Fitting {
            part: Part::Truck,
            place: Place::End(End::A),
            description: "metal truck".into(),
            lot: Some("lot 7".into()),
        }),
        Fact::Cured(CureDone {
            cure: CureKind::WheelMoved,
            place: Place::Axle(1),
            done_on: None,
            note: String::new().into(),
        }),
        Fact::Noted("an invented note".into()),
        Fact::Rested {
            not_before: at(90_000),
            why: "bent".into(),
        },
        Fact::HandedBack {
            why: "not his".into(),
        },
        Fact::TakenIn {
            why: "his after all".into(),
        },
        Fact::Released {
            restriction: Some("head end only".into()),
            note: String::new().into(),
        },
    ];
    for fact in facts {
        shop.lead_appends(car, fact);
    }
    owners_word(shop, car);
    reports_and_waits(shop, car);
    shop.lead_appends(
        car,
        Fact::Struck {
            struck: read.seqs[0],
            why: "wrong car".into(),
        },
    );
    let photo = NewPhoto {
        client_id: id(),
        car,
        by: shop.lead,
        at: at(5),
        media_type: PhotoType::Png,
        width_px: 1,
        height_px: 1,
        caption: "underside".into(),
        bytes: vec![1, 2, 3],
    };
    shop.store.add_photo(photo).expect("kept");
}

fn owners_word(shop: &Shop, car: CarId) {
    let (work, granted, word) = (Work::Wheels, true, "by telephone".into());
    shop.lead_appends(
        car,
        Fact::Consented {
            work,
            granted,
            word,
        },
    );
    let (work, what) = (Work::Body, "may the steps be cut back?".into());
    shop.lead_appends(car, Fact::Asked { work, what });
}

fn reports_and_waits(shop: &Shop, car: CarId) {
    let report = || {
        let note = "in the yard".into();
        Fact::BadOrdered(BadOrder {
            defect: Defect::Wheel,
            place: Place::Car,
            note,
        })
    };
    let into = shop.lead_appends(car, report()).seqs[0];
    let duplicate = shop.lead_appends(car, report()).seqs[0];
    shop.lead_appends(car, Fact::Merged { duplicate, into });
    let parts = Fact::Waiting {
        wait_for: WaitFor::Parts,
        what: "wheelset".into(),
    };
    let wait = shop.lead_appends(car, parts).seqs[0];
    shop.lead_appends(
        car,
        Fact::WaitEnded {
            wait,
            note: "came".into(),
        },
    );
}

/// A made-up inspection under edition 2.
fn inspection(read_to: Version) -> RecordedInspection {
    let amount = |thousandths| Some(Amount::Length(Length::from_thousandths(thousandths)));
    let mut checks = [Verdict::NotChecked; Check::ALL.len()];
    checks[Check::Wheelsets as usize] = Verdict::Watch;
    RecordedInspection {
        edition: 2,
        read_to,
        verdict: Verdict::Watch,
        checks,
        lines: vec![RecordedLine {
            check: Check::Wheelsets,
            aspect: "back-to-back".into(),
            place: Place::Station(1, 1),
            reading: amount(566),
            lower: amount(560),
            upper: None,
            margin: amount(6),
            conformity: Some(0.9),
            verdict: Verdict::Watch,
            grounds: "an invented clause".into(),
        }],
        findings: vec!["an invented finding".into()],
    }
}
