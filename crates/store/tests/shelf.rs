//! Drafts of an edition and groups of cars: kept, changed, put in force, and by whom.

mod shop;

use gradeworthy_store::{
    CarGroup, CureDone, Error, Fact, Fitting, MemberId, Part, RuleDraft, Seq, ShelfAct,
    ShelfCommand,
};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::Place;
use shop::{Shop, back_to_back, rule_book};

fn does(shop: &Shop, by: MemberId, act: ShelfAct) -> Result<i64, Error> {
    shop.store.shelf(ShelfCommand {
        by,
        at: shop.now(),
        act,
    })
}

fn begin(shop: &Shop) -> i64 {
    let act = ShelfAct::BeginDraft {
        name: " tighter heights ".into(),
        base_edition: 1,
        text: "not yet a book".into(),
    };
    does(shop, shop.lead, act).expect("begun")
}

fn drafts(shop: &Shop) -> Vec<RuleDraft> {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    snapshot.rule_drafts().expect("read")
}

fn groups(shop: &Shop) -> Vec<CarGroup> {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    snapshot.car_groups().expect("read")
}

#[test]
fn a_draft_may_be_wrong_and_is_put_in_force_when_it_is_right() {
    let shop = Shop::open();
    shop.enter_rule_book(1);
    let draft = begin(&shop);
    let kept = &drafts(&shop)[0];
    assert_eq!((&*kept.name, kept.revision), ("tighter heights", 1));
    let put = |seen, text: &str| {
        let text = text.into();
        does(&shop, shop.lead, ShelfAct::PutInForce { draft, seen, text })
    };
    let error = put(1, "not yet a book").expect_err("refused");
    assert!(matches!(error, Error::RuleBook(_)), "{error}");
    assert_eq!(drafts(&shop).len(), 1, "a refused edition loses no draft");
    let error = put(1, &rule_book(1)).expect_err("refused");
    assert!(matches!(error, Error::EditionOrder { .. }), "{error}");
    let text = rule_book(2).into();
    let change = ShelfAct::ChangeDraft {
        draft,
        seen: 1,
        text,
    };
    does(&shop, shop.lead, change.clone()).expect("changed");
    let error = does(&shop, shop.lead, change).expect_err("refused");
    assert!(matches!(error, Error::DraftMoved { .. }), "{error}");
    assert_eq!(put(2, &rule_book(2)).expect("in force"), 2);
    assert!(drafts(&shop).is_empty());
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.rule_books().expect("read").len(), 2);
    assert_eq!(&*snapshot.rule_book(2).expect("there").text, rule_book(2));
}

#[test]
fn drafts_are_the_leads_and_groups_are_their_makers() {
    let shop = Shop::open();
    shop.enter_rule_book(1);
    let draft = begin(&shop);
    let drop_it = ShelfAct::DropDraft { draft };
    let error = does(&shop, shop.inspector, drop_it.clone()).expect_err("refused");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
    does(&shop, shop.lead, drop_it.clone()).expect("thrown away");
    let error = does(&shop, shop.lead, drop_it).expect_err("refused");
    assert!(matches!(error, Error::UnknownDraft(_)), "{error}");
    let keep = |name: &str, query: &str| ShelfAct::KeepGroup {
        name: name.into(),
        query: query.into(),
    };
    let group = does(&shop, shop.inspector, keep("Coal drag", "letters=H")).expect("kept");
    let error = does(&shop, shop.operator, keep("coal DRAG", "x=1")).expect_err("refused");
    assert!(matches!(error, Error::GroupTaken { .. }), "{error}");
    let newer = does(&shop, shop.inspector, keep("Coal drag", "letters=HT")).expect("kept");
    assert_eq!(groups(&shop).len(), 1);
    assert_eq!(&*groups(&shop)[0].query, "letters=HT");
    let error = does(&shop, shop.owner, keep("mine", "")).expect_err("refused");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
    assert_ne!(group, newer);
    let drop_it = ShelfAct::DropGroup { group: newer };
    let error = does(&shop, shop.operator, drop_it.clone()).expect_err("refused");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
    does(&shop, shop.lead, drop_it).expect("the lead may");
    assert!(groups(&shop).is_empty());
}

#[test]
fn the_fleet_walked_at_once_is_the_fleet_read_car_by_car() {
    let shop = Shop::open();
    for number in 0..12 {
        let car = shop.car(&format!("TST {number}"));
        for reading in 0..number % 4 {
            shop.lead_appends(car, Fact::Read(back_to_back(&format!(".57{reading}"))));
            if reading == 1 {
                let cure = CureDone {
                    cure: CureKind::WheelMoved,
                    place: Place::Axle(1),
                    done_on: None,
                    note: "".into(),
                };
                shop.lead_appends(car, Fact::Cured(cure));
            }
        }
        let lot = (number % 2 == 0).then(|| "A7".into());
        let fitting = Fitting {
            part: Part::Wheelset,
            place: Place::Axle(2),
            description: "33-in".into(),
            lot,
        };
        let fitted = shop.lead_appends(car, Fact::Fitted(fitting));
        if number == 4 {
            let struck = fitted.seqs[0];
            let why = "not this one".into();
            shop.lead_appends(car, Fact::Struck { struck, why });
        }
    }
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let mut walked = Vec::new();
    snapshot.each_stock(|own| walked.push(own)).expect("read");
    assert_eq!(walked.len(), 12);
    for own in &walked {
        let car = own.row.car;
        assert_eq!(&snapshot.stock_of(car).expect("there"), own);
        assert_eq!(snapshot.record(car).expect("there").record, own.record);
        assert_eq!(snapshot.car(car).expect("there"), own.row);
        assert_eq!(own.entered.len(), own.record.entries.len());
    }
    assert_eq!(walked.iter().filter(|own| own.fitted.is_empty()).count(), 1);
    let last = snapshot.last_event().expect("read");
    assert!(snapshot.cars_since(last).expect("read").is_empty());
    drop(snapshot);
    let car = walked[3].row.car;
    shop.lead_appends(car, Fact::Noted("later".into()));
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.cars_since(last).expect("read"), [car]);
    assert!(snapshot.last_event().expect("read") > last);
    assert_eq!(
        snapshot
            .cars_since(Seq::from_number(0))
            .expect("read")
            .len(),
        12
    );
}
