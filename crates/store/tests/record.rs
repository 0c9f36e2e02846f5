//! What happens to a car is kept as it happened, once, by those who may, and on what they had seen.

mod shop;

use gradeworthy_standards::Scale;
use gradeworthy_store::{
    Append, Basis, Bench, ClassFilter, Details, Draft, Durability, Error, Fact, FleetCursor,
    FleetFilter, NewPhoto, Options, Ownership, PhotoType, Receipt, Store, Version, Work,
};
use gradeworthy_units::Unit;
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{
    Answer, CarMark, CarType, Entry, Figures, Measure, Place, Value,
};
use gradeworthy_workbench::shop::Shop as StockRoom;
use shop::{Shop, at, back_to_back, car, id, path_in, reading};

fn read(store: &Store, car: gradeworthy_store::CarId) -> gradeworthy_store::CarRecord {
    store
        .snapshot()
        .expect("a snapshot")
        .record(car)
        .expect("a record")
}

#[test]
fn a_car_reads_back_as_it_was_entered() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let record = read(&shop.store, own);
    assert_eq!(record.record.car, car("TST 1"));
    assert!(record.record.entries.is_empty());
}

#[test]
fn readings_read_back_to_the_last_bit_in_their_order_with_the_cures_between_them() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let answer = Value::Answer(Answer::Fair);
    let centring = Entry {
        measure: Measure::WheelDirt,
        place: Place::Axle(2),
        value: answer,
        instrument: None,
        on: None,
    };
    let entries = [
        back_to_back("0.566 in"),
        reading(Measure::Weight, Place::Car, Unit::Ounce, "4 1/8 oz"),
        reading(Measure::RollGrade, Place::Car, Unit::Percent, "1 in 70"),
        reading(Measure::Weight, Place::Car, Unit::Kilogram, "12.5 kg"),
        centring,
    ];
    let mut facts: Vec<_> = entries.iter().cloned().map(Fact::Read).collect();
    let cure = gradeworthy_store::CureDone {
        cure: CureKind::WheelMoved,
        place: Place::Axle(1),
        done_on: Some(jiff::civil::date(2026, 11, 25)),
        note: "out .004 in".into(),
    };
    facts.insert(2, Fact::Cured(cure));
    let receipt = shop
        .append(shop.apprentice, own, facts)
        .expect("an apprentice reads");
    let record = read(&shop.store, own);
    assert_eq!(record.record.entries, entries);
    assert_eq!(record.record.done[0].after_entries, 2);
    assert_eq!(record.record.done[0].cure, CureKind::WheelMoved);
    assert_eq!(record.version, receipt.version);
    assert_eq!(record.entry_seqs.len(), 5);
}

#[test]
fn a_car_keeps_its_identity_through_renumbering_and_change_of_owner() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    shop.lead_appends(own, Fact::Read(back_to_back(".566")));
    let mark = CarMark::new("NEW 77").expect("a mark");
    shop.lead_appends(own, Fact::Lettered(mark.clone()));
    let heir = Ownership {
        owner: Some("G. Heir".into()),
        member: None,
    };
    shop.lead_appends(own, Fact::Owned(heir));
    let record = read(&shop.store, own).record;
    assert_eq!(record.car.mark, mark);
    assert_eq!(record.car.owner.as_deref(), Some("G. Heir"));
    assert_eq!(record.entries.len(), 1);
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let history = snapshot
        .history(own, Version::from_number(0), None)
        .expect("a history");
    let kinds: Vec<_> = history.iter().map(|event| event.fact.kind()).collect();
    let expected = [
        "lettering",
        "ownership",
        "description",
        "reading",
        "lettering",
        "ownership",
    ];
    assert_eq!(kinds, expected);
    assert!(history.windows(2).all(|pair| pair[0].seq < pair[1].seq));
}

#[test]
fn a_mistake_is_struck_and_stays_readable() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let wrong = shop
        .append(shop.inspector, own, [Fact::Read(back_to_back(".655"))])
        .expect("read");
    let why = || "two digits the wrong way round".into();
    let strike = Fact::Struck {
        struck: wrong.seqs[0],
        why: why(),
    };
    let error = shop
        .append(shop.apprentice, own, [strike.clone()])
        .expect_err("not his");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
    shop.append(shop.inspector, own, [strike.clone()])
        .expect("his own");
    assert!(read(&shop.store, own).record.entries.is_empty());
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let history = snapshot
        .history(own, Version::from_number(0), None)
        .expect("a history");
    let struck = history
        .iter()
        .find(|event| event.seq == wrong.seqs[0])
        .expect("still there");
    assert_eq!(struck.fact, Fact::Read(back_to_back(".655")));
    let note = struck.struck.as_ref().expect("struck");
    assert_eq!((note.by, note.why.clone()), (shop.inspector, why()));
    let again = shop
        .append(shop.inspector, own, [strike])
        .expect_err("struck before");
    assert!(matches!(again, Error::CannotStrike { .. }), "{again}");
    let name = history[0].seq;
    let error = shop
        .append(
            shop.lead,
            own,
            [Fact::Struck {
                struck: name,
                why: why(),
            }],
        )
        .expect_err("its only name");
    assert!(error.to_string().contains("no name"), "{error}");
}

fn order(shop: &Shop, own: gradeworthy_store::CarId, basis: Basis, fact: Fact) -> Append {
    Append {
        car: own,
        by: shop.inspector,
        second: None,
        at: shop.now(),
        basis,
        facts: vec![(id(), fact)],
        drafts_done: None,
    }
}

#[test]
fn two_benches_on_one_car_do_not_overwrite_each_other() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let seen = shop.version(own);
    let first = order(
        &shop,
        own,
        Basis::Seen(seen),
        Fact::Read(back_to_back(".566")),
    );
    shop.store.append(first).expect("the first bench");
    let mut second = order(
        &shop,
        own,
        Basis::Seen(seen),
        Fact::Read(back_to_back(".570")),
    );
    let Err(Error::Conflict(conflict)) = shop.store.append(second.clone()) else {
        panic!("the second bench must be told");
    };
    assert_eq!((conflict.car, conflict.seen), (own, seen));
    assert_eq!(conflict.since.len(), 1);
    assert_eq!(conflict.since[0].fact, Fact::Read(back_to_back(".566")));
    assert_eq!(read(&shop.store, own).record.entries.len(), 1);
    let text = conflict.to_string();
    assert!(
        text.contains("one thing") && text.contains("reading"),
        "{text}"
    );
    second.basis = Basis::Seen(conflict.current);
    shop.store.append(second).expect("after looking");
    assert_eq!(read(&shop.store, own).record.entries.len(), 2);
}

#[test]
fn a_report_from_the_line_waits_for_nobody_and_a_reading_does() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let note = order(
        &shop,
        own,
        Basis::Blind,
        Fact::Noted("squeals at the loop".into()),
    );
    shop.store.append(note).expect("a note");
    let blind = order(&shop, own, Basis::Blind, Fact::Read(back_to_back(".566")));
    let error = shop.store.append(blind).expect_err("not seen");
    assert!(
        matches!(error, Error::VersionNeeded { kind: "reading" }),
        "{error}"
    );
}

#[test]
fn what_is_sent_again_after_a_lost_connection_is_entered_once() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let seen = Basis::Seen(shop.version(own));
    let mut sent = order(&shop, own, seen, Fact::Read(back_to_back(".566")));
    let first: Receipt = shop.store.append(sent.clone()).expect("entered");
    let again = shop.store.append(sent.clone()).expect("sent again");
    assert_eq!(
        again,
        Receipt {
            repeated: 1,
            ..first.clone()
        }
    );
    // The same again together with one more, still on the version first seen.
    sent.facts.push((id(), Fact::Read(back_to_back(".567"))));
    let more = shop.store.append(sent.clone()).expect("one of two is new");
    assert_eq!((more.repeated, more.seqs[0]), (1, first.seqs[0]));
    assert_eq!(read(&shop.store, own).record.entries.len(), 2);
    sent.facts[0].1 = Fact::Read(back_to_back(".570"));
    let error = shop.store.append(sent).expect_err("other content");
    assert!(matches!(error, Error::ClientIdReused(_)), "{error}");
}

#[test]
fn a_car_sent_twice_is_one_car() {
    let shop = Shop::open();
    let new = gradeworthy_store::NewCar {
        client_id: id(),
        by: shop.lead,
        at: at(5),
        car: car("TST 1"),
        owner: None,
    };
    let first = shop.store.new_car(new.clone()).expect("entered");
    let again = shop.store.new_car(new.clone()).expect("sent again");
    assert_eq!((again.car, again.repeated), (first.car, 3));
    let mut other = new;
    other.car.description = Some("another".into());
    let error = shop.store.new_car(other).expect_err("another car");
    assert!(matches!(error, Error::ClientIdReused(_)), "{error}");
}

#[test]
fn of_several_facts_all_are_entered_or_none() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let before = shop.version(own);
    let facts = [Fact::Read(back_to_back(".566")), Fact::Noted("  ".into())];
    let error = shop
        .append(shop.inspector, own, facts)
        .expect_err("an empty note");
    assert!(matches!(error, Error::Empty { .. }), "{error}");
    assert_eq!(shop.version(own), before);
}

#[test]
fn an_inspection_stays_tied_to_its_edition_and_reads_back_as_it_was_said() {
    let shop = Shop::open();
    shop.enter_rule_book(1);
    let own = shop.car("TST 1");
    shop.lead_appends(own, Fact::Read(back_to_back(".566")));
    let record = read(&shop.store, own);
    let edition = shop
        .store
        .snapshot()
        .expect("a snapshot")
        .rule_book(1)
        .expect("edition 1");
    let book = edition.rules().expect("rules");
    let today = jiff::civil::date(2026, 11, 25);
    let inspection = inspect(&record.record, &book, &StockRoom::default(), today);
    let recorded = gradeworthy_store::RecordedInspection::of(&inspection, record.version);
    assert!(!recorded.lines.is_empty());
    let fact = Fact::Inspected(recorded.into());
    shop.lead_appends(own, fact.clone());
    shop.enter_rule_book(2);
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let history = snapshot
        .history(own, record.version, None)
        .expect("a history");
    assert_eq!(history[0].fact, fact);
    let books = snapshot.rule_books().expect("editions");
    assert_eq!(
        books.iter().map(|book| book.edition).collect::<Vec<_>>(),
        [1, 2]
    );
    let error = shop
        .club(gradeworthy_store::ClubAct::AddRuleBook {
            text: shop::rule_book(2).into(),
        })
        .expect_err("entered before");
    assert!(
        matches!(
            error,
            Error::EditionOrder {
                found: 2,
                latest: 2
            }
        ),
        "{error}"
    );
    let error = shop
        .club(gradeworthy_store::ClubAct::AddRuleBook {
            text: "edition = 3".into(),
        })
        .expect_err("no rule book");
    assert!(matches!(error, Error::RuleBook(_)), "{error}");
}

#[test]
fn what_was_typed_and_not_entered_is_found_the_next_night() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let bench = Bench::new(" bench 2 ").expect("a bench");
    let draft = |field: &str, text: &str| Draft {
        bench: bench.clone(),
        car: own,
        field: field.into(),
        text: text.into(),
        by: shop.apprentice,
        at: shop.now(),
    };
    shop.store
        .keep_draft(draft("back to back 1 1", ".56"))
        .expect("kept");
    shop.store
        .keep_draft(draft("back to back 1 1", ".566"))
        .expect("kept");
    shop.store.keep_draft(draft("weight", "4.")).expect("kept");
    let drafts = || {
        shop.store
            .snapshot()
            .expect("a snapshot")
            .drafts(&bench, own)
            .expect("drafts")
    };
    let texts = || {
        drafts()
            .iter()
            .map(|draft| draft.text.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(texts(), [".566".into(), "4.".into()]);
    assert_eq!(
        shop.store
            .snapshot()
            .expect("a snapshot")
            .left_at(&bench)
            .expect("cars"),
        [own]
    );
    let mut entered = order(
        &shop,
        own,
        Basis::Seen(shop.version(own)),
        Fact::Read(back_to_back(".566")),
    );
    entered.drafts_done = Some((bench.clone(), vec!["back to back 1 1".into()]));
    shop.store.append(entered).expect("entered");
    assert_eq!(texts(), ["4.".into()]);
    shop.store
        .keep_draft(draft("weight", ""))
        .expect("taken away");
    assert!(drafts().is_empty());
}

#[test]
fn photographs_are_kept_once_for_each_content_and_within_limits() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let photo = |bytes: Vec<u8>| NewPhoto {
        client_id: id(),
        car: own,
        by: shop.apprentice,
        at: at(7),
        media_type: PhotoType::Jpeg,
        width_px: 640,
        height_px: 480,
        caption: "underside".into(),
        bytes,
    };
    shop.store.add_photo(photo(vec![7; 1000])).expect("kept");
    let receipt = shop
        .store
        .add_photo(photo(vec![7; 1000]))
        .expect("kept again");
    assert_eq!(receipt.repeated, 0);
    let error = shop
        .store
        .add_photo(photo(vec![7; 1_048_577]))
        .expect_err("too large");
    assert!(
        matches!(
            error,
            Error::TooLarge {
                found: 1_048_577,
                ..
            }
        ),
        "{error}"
    );
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let history = snapshot
        .history(own, Version::from_number(0), None)
        .expect("a history");
    let Fact::Photographed(kept) = &history[3].fact else {
        panic!("{history:?}")
    };
    assert_eq!(
        snapshot.photo_bytes(&kept.sha256).expect("read"),
        Some(vec![7; 1000])
    );
    let photographs = snapshot.photographs(own).expect("photographs");
    assert_eq!(photographs, history[3..5]);
}

#[test]
fn a_record_made_in_one_piece_is_whole_once_it_is_closed() {
    let options = Options {
        durability: Durability::AfterItIsClosed,
        ..Options::default()
    };
    let shop = Shop::open_with(&options);
    let own = shop.car("TST 1");
    shop.lead_appends(own, Fact::Read(back_to_back(".566")));
    let Shop { folder, store, .. } = shop;
    drop(store);
    let store = Store::open(&path_in(&folder), &Options::default()).expect("a record");
    assert_eq!(read(&store, own).record.entries.len(), 1);
    assert_eq!(store.check().expect("checked").problems, [] as [String; 0]);
}

#[test]
fn what_a_member_read_lately_is_found_without_the_rest_of_the_history() {
    let shop = Shop::open();
    let (own, other) = (shop.car("TST 1"), shop.car("TST 2"));
    let reading = || Fact::Read(back_to_back(".566"));
    let start = shop.now();
    for (by, car) in [
        (shop.lead, own),
        (shop.inspector, own),
        (shop.lead, other),
        (shop.lead, own),
    ] {
        shop.append(by, car, [reading()]).expect("entered");
    }
    let since = shop.now();
    shop.append(shop.lead, own, [reading()]).expect("entered");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let mut all = snapshot
        .history(own, Version::from_number(0), None)
        .expect("a history");
    all.retain(|event| event.by == shop.lead && matches!(event.fact, Fact::Read(_)));
    all.reverse();
    assert_eq!(all.len(), 3);
    let found = |since, count| {
        snapshot
            .readings_lately(own, shop.lead, since, count)
            .expect("read")
    };
    assert_eq!(found(start, 9), all);
    assert_eq!(found(start, 2), all[..2]);
    assert_eq!(found(since, 9), all[..1]);
}

#[test]
fn the_owner_has_the_last_word_on_his_own_car() {
    let shop = Shop::open();
    let his = shop.car_of("TST 1", Some(shop.owner));
    let other = shop.car("TST 2");
    let word = |granted| Fact::Consented {
        work: Work::Trucks,
        granted,
        word: "".into(),
    };
    shop.append(shop.owner, his, [word(true)]).expect("his car");
    shop.append(shop.owner, his, [word(false)])
        .expect("his car");
    let error = shop
        .append(shop.owner, other, [word(true)])
        .expect_err("not his");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
    let consents = shop
        .store
        .snapshot()
        .expect("a snapshot")
        .consents(his)
        .expect("consents");
    assert_eq!(consents, [(Work::Trucks, false)]);
}

#[test]
fn the_fleet_comes_page_by_page_and_a_car_entered_meanwhile_shifts_nothing() {
    let shop = Shop::open();
    for number in (0..25).rev() {
        shop.car(&format!("TST {number:02}"));
    }
    let twin = shop.car("TST 07");
    let all = FleetFilter::default();
    let page = |after: Option<&FleetCursor>| {
        shop.store
            .snapshot()
            .expect("a snapshot")
            .fleet(&all, after, 10)
            .expect("a page")
    };
    let mut seen = page(None);
    shop.car("AAA 1");
    while let Some(last) = seen.last() {
        let next = page(Some(&last.into()));
        if next.is_empty() {
            break;
        }
        seen.extend(next);
    }
    assert_eq!(seen.len(), 26);
    assert!(
        seen.windows(2)
            .all(|two| (&two[0].mark, two[0].car) < (&two[1].mark, two[1].car))
    );
    let find = |filter| {
        shop.store
            .snapshot()
            .expect("a snapshot")
            .fleet(&filter, None, 99)
            .expect("found")
    };
    let sevens = find(FleetFilter {
        mark_part: Some("t 07".into()),
        ..FleetFilter::default()
    });
    assert_eq!(sevens.len(), 2);
    assert!(sevens.iter().any(|row| row.car == twin));
    let none = find(FleetFilter {
        standing: Some("bad-ordered"),
        ..FleetFilter::default()
    });
    assert!(none.is_empty());
    let owners = FleetFilter {
        owner_part: Some("e. own".into()),
        ..FleetFilter::default()
    };
    assert_eq!(find(owners).len(), 27);
}

#[test]
fn a_car_described_anew_counts_in_its_new_class() {
    let shop = Shop::open();
    let station = Place::Station(1, 1);
    let own = shop.car("TST 1");
    shop.lead_appends(own, Fact::Read(back_to_back(".566")));
    shop.lead_appends(own, Fact::Read(back_to_back(".568")));
    let described = |letters| {
        let details = Details {
            scale: Scale::HO,
            car_type: Some(CarType::new(letters)),
            description: None,
            tags: Vec::new(),
            figures: Figures::default(),
        };
        Fact::Described(details.into())
    };
    let count = |letters| {
        let class = ClassFilter {
            scale: Scale::HO,
            car_type: Some(CarType::new(letters)),
        };
        let snapshot = shop.store.snapshot().expect("a snapshot");
        let spread = snapshot.spread(Measure::BackToBack, station, &class);
        spread.expect("read").map_or(0, |own| own.count())
    };
    shop.lead_appends(own, described("FM"));
    assert_eq!((count("FM"), count("GB")), (1, 0));
    // Read and described in one entry, in either order.
    let both = [described("GB"), Fact::Read(back_to_back(".570"))];
    shop.append(shop.lead, own, both).expect("entered");
    assert_eq!((count("FM"), count("GB")), (0, 1));
    // The description struck, the one before counts again.
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let events = snapshot
        .history(own, Version::from_number(0), None)
        .expect("a history");
    drop(snapshot);
    let last = events
        .iter()
        .rev()
        .find(|event| matches!(event.fact, Fact::Described(_)));
    let struck = last.expect("a description").seq;
    let why = "another car".into();
    shop.lead_appends(own, Fact::Struck { struck, why });
    assert_eq!((count("FM"), count("GB")), (1, 0));
    let found = shop.store.check().expect("checked");
    assert_eq!(found.problems, Vec::<String>::new());
}

#[test]
fn a_reading_is_shown_beside_the_one_before_and_the_fleets() {
    let shop = Shop::open();
    let station = Place::Station(1, 1);
    for (number, text) in [".560", ".562", ".564", ".566", ".568"].iter().enumerate() {
        let own = shop.car(&format!("TST {number}"));
        // An older reading, and a struck one, which must not count.
        shop.lead_appends(own, Fact::Read(back_to_back(".100")));
        shop.lead_appends(own, Fact::Read(back_to_back(text)));
        let slip = shop.lead_appends(own, Fact::Read(back_to_back(".900")));
        shop.lead_appends(
            own,
            Fact::Struck {
                struck: slip.seqs[0],
                why: "a slip".into(),
            },
        );
    }
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let class = ClassFilter {
        scale: Scale::HO,
        car_type: None,
    };
    let spread = snapshot
        .spread(Measure::BackToBack, station, &class)
        .expect("read")
        .expect("read");
    assert_eq!(spread.count(), 5);
    let median = spread.quantile(0.5).expect("five values");
    assert!((median - 0.564 * 25.4).abs() < 1e-9, "{median}");
    let other = ClassFilter {
        scale: Scale::N,
        car_type: None,
    };
    assert_eq!(
        snapshot
            .spread(Measure::BackToBack, station, &other)
            .expect("read"),
        None
    );
    let own = snapshot
        .fleet(&FleetFilter::default(), None, 1)
        .expect("a page")[0]
        .car;
    let last = snapshot.previous_reading(own, Measure::BackToBack, station, None);
    let last = last.expect("read").expect("one");
    assert_eq!(last.entry, back_to_back(".560"));
    let before = snapshot.previous_reading(own, Measure::BackToBack, station, Some(last.seq));
    assert_eq!(
        before.expect("read").expect("one").entry,
        back_to_back(".100")
    );
    let latest = snapshot.latest_readings(own).expect("readings");
    assert_eq!(latest.len(), 1);
    assert_eq!(latest[0].entry, back_to_back(".560"));
}

#[test]
fn a_snapshot_does_not_see_what_is_entered_meanwhile() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let before = snapshot.version(own).expect("a car");
    shop.lead_appends(own, Fact::Read(back_to_back(".566")));
    assert_eq!(snapshot.version(own).expect("a car"), before);
    drop(snapshot);
    assert!(shop.version(own) > before);
}

#[test]
fn an_entry_that_makes_no_sense_is_refused_in_words() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let seen = Basis::Seen(shop.version(own));
    let mut entry = order(&shop, own, seen, Fact::Noted("x".into()));
    entry.second = Some(shop.inspector);
    let error = shop.store.append(entry.clone()).expect_err("his own name");
    assert!(matches!(error, Error::SameName), "{error}");
    entry.second = None;
    entry.facts.push(entry.facts[0].clone());
    let error = shop
        .store
        .append(entry.clone())
        .expect_err("one identity for two");
    assert!(matches!(error, Error::ClientIdReused(_)), "{error}");
    entry.facts.clear();
    let error = shop.store.append(entry).expect_err("nothing in it");
    assert_eq!(
        error.to_string(),
        "the entry is empty: say it in a few words"
    );
    let nobody = gradeworthy_store::MemberId::from_number(99);
    let owned = Fact::Owned(Ownership {
        owner: None,
        member: Some(nobody),
    });
    let error = shop
        .append(shop.lead, own, [owned])
        .expect_err("no such member");
    assert!(matches!(error, Error::UnknownMember(_)), "{error}");
    let nowhere = gradeworthy_store::CarId::from_number(99);
    let blind = order(&shop, nowhere, Basis::Blind, Fact::Noted("x".into()));
    let error = shop.store.append(blind).expect_err("no such car");
    assert!(matches!(error, Error::UnknownCar(_)), "{error}");
}
