//! What happened to every car, counted in one walk, is what its history says; and entries about many cars
//! are all kept or none.

mod shop;

use std::collections::BTreeMap;

use gradeworthy_store::{
    Append, Basis, CarDoings, CarId, Error, Fact, Fitting, Part, Version, Work,
};
use gradeworthy_workbench::record::Place;
use jiff::Timestamp;
use shop::{Shop, back_to_back, everything, id};

/// The same by the long way, from each car's whole history.
fn the_long_way(shop: &Shop, car: CarId) -> CarDoings {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let history = snapshot.history(car, Version::from_number(0), None);
    let mut doings = CarDoings::default();
    for event in history.expect("a history") {
        if event.struck.is_some() {
            continue;
        }
        match &event.fact {
            Fact::Inspected(inspection) => {
                doings.inspected.push(event.at);
                doings.last_inspection = Some((**inspection).clone());
            }
            Fact::BadOrdered(_)
            | Fact::Merged { .. }
            | Fact::Released { .. }
            | Fact::HandedBack { .. } => doings.events.push(event),
            _ => {}
        }
    }
    doings
}

#[test]
fn what_happened_to_each_car_is_what_its_history_says() {
    let shop = Shop::open();
    everything::happen(&shop);
    let quiet = shop.car("TST 90");
    let busy = shop.car("TST 91");
    for why in ["too low", "too high"] {
        shop.lead_appends(busy, Fact::HandedBack { why: why.into() });
        shop.lead_appends(
            busy,
            Fact::TakenIn {
                why: "again".into(),
            },
        );
    }
    let struck = shop.lead_appends(busy, Fact::HandedBack { why: "slip".into() });
    shop.lead_appends(
        busy,
        Fact::Struck {
            struck: struck.seqs[0],
            why: "wrong car".into(),
        },
    );
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let mut found = BTreeMap::new();
    snapshot
        .each_doings(|car, doings| {
            assert!(found.insert(car, doings).is_none(), "{car} comes once");
        })
        .expect("a walk");
    assert!(!found.contains_key(&quiet), "nothing happened to it");
    assert_eq!(found[&busy].events.len(), 2);
    assert!(found.values().any(|own| own.last_inspection.is_some()));
    for (car, doings) in found {
        assert_eq!(doings, the_long_way(&shop, car));
    }
}

#[test]
fn the_uses_of_an_instrument_are_its_readings_that_were_not_struck() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let named = |name: Option<&str>| {
        let mut entry = back_to_back(".566");
        entry.instrument = name.map(Into::into);
        Fact::Read(entry)
    };
    for name in [Some("caliper"), Some("caliper"), None] {
        shop.lead_appends(car, named(name));
    }
    let struck = shop.lead_appends(car, named(Some("caliper"))).seqs[0];
    let why = "a slip".into();
    shop.lead_appends(car, Fact::Struck { struck, why });
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let uses = |from, to| {
        let uses = snapshot.instrument_uses(from, to).expect("counted");
        let each = uses.into_iter().map(|own| (own.instrument, own.readings));
        each.collect::<Vec<_>>()
    };
    assert_eq!(
        uses(Timestamp::UNIX_EPOCH, Timestamp::MAX),
        [(None, 1), (Some("caliper".into()), 2)]
    );
    assert_eq!(uses(Timestamp::UNIX_EPOCH, Timestamp::UNIX_EPOCH), []);
}

#[test]
fn a_part_is_entered_on_every_car_or_on_none() {
    let shop = Shop::open();
    let cars = ["TST 1", "TST 2", "TST 3"].map(|mark| shop.car(mark));
    let orders = || -> Vec<Append> {
        let order = |car: &CarId| Append {
            car: *car,
            by: shop.lead,
            second: None,
            at: shop.now(),
            basis: Basis::Seen(shop.version(*car)),
            facts: vec![(
                id(),
                Fact::Fitted(Fitting {
                    part: Part::Wheelset,
                    place: Place::Car,
                    description: "steel, 33 in".into(),
                    lot: Some("W1".into()),
                }),
            )],
            drafts_done: None,
        };
        cars.iter().map(order).collect()
    };
    let (work, granted, word) = (Work::Wheels, false, "by telephone".into());
    let refusal = Fact::Consented {
        work,
        granted,
        word,
    };
    shop.lead_appends(cars[1], refusal);
    let before = cars.map(|car| shop.version(car));
    let refused = shop.store.append_all(orders());
    let Err(Error::OfCar { mark, cause }) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(&*mark, "TST 2");
    assert!(matches!(*cause, Error::OwnerRefuses { .. }), "{cause}");
    assert_eq!(cars.map(|car| shop.version(car)), before);
    let (work, granted, word) = (Work::Wheels, true, "by telephone".into());
    let consent = Fact::Consented {
        work,
        granted,
        word,
    };
    shop.lead_appends(cars[1], consent);
    assert_eq!(shop.store.append_all(orders()).expect("kept").len(), 3);
}
