//! Lines, locomotives, make-ups and scenes: edition after edition, by name, by those who may.

mod shop;

use gradeworthy_store::{ClientId, Error, HillKind, MemberId, NewHillEdition};
use shop::Shop;

fn edition(shop: &Shop, by: MemberId, kind: HillKind, name: &str) -> NewHillEdition {
    NewHillEdition {
        client_id: ClientId::random().expect("randomness"),
        by,
        at: shop.now(),
        kind,
        name: name.into(),
        seen: None,
        text: "[line]\nname = \"Test Hill\"\n".into(),
        readings: None,
        withdrawn: false,
    }
}

#[test]
fn the_track_lead_keeps_a_line_and_changes_it() {
    let shop = Shop::open();
    let new = edition(&shop, shop.track_lead, HillKind::Line, "Test Hill");
    let first = shop.store.enter_hill(new.clone()).expect("entered");
    assert_eq!((first.edition, &*first.name), (1, "Test Hill"));
    let next = NewHillEdition {
        client_id: ClientId::random().expect("randomness"),
        name: " test hill ".into(),
        seen: Some(1),
        text: "other".into(),
        readings: Some("x,y\n".into()),
        ..new
    };
    let second = shop.store.enter_hill(next).expect("entered");
    assert_eq!((second.item, second.edition), (first.item, 2));
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let now = snapshot.hill(HillKind::Line).expect("read");
    assert_eq!(now, [second]);
    let all = snapshot.hill_editions(first.item).expect("read");
    assert_eq!(all.len(), 2);
    assert_eq!(all[1], first);
}

#[test]
fn two_who_change_one_line_do_not_overwrite_each_other() {
    let shop = Shop::open();
    let new = edition(&shop, shop.lead, HillKind::Line, "Test Hill");
    shop.store.enter_hill(new.clone()).expect("entered");
    for seen in [None, Some(0), Some(2)] {
        let client_id = ClientId::random().expect("randomness");
        let mut late = new.clone();
        (late.client_id, late.seen) = (client_id, seen);
        let refusal = shop.store.enter_hill(late).expect_err("not seen");
        assert!(
            matches!(refusal, Error::HillMovedOn { latest: 1, .. }),
            "{refusal}"
        );
    }
}

#[test]
fn a_scene_is_kept_by_its_name_beside_a_line_of_the_same_name() {
    let shop = Shop::open();
    let line = edition(&shop, shop.lead, HillKind::Line, "Ten below");
    let line = shop.store.enter_hill(line).expect("entered");
    let scene = edition(&shop, shop.lead, HillKind::Scene, "Ten below");
    let scene = shop.store.enter_hill(scene).expect("entered");
    assert_ne!(scene.item, line.item);
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.hill(HillKind::Scene).expect("read"), [scene]);
    let wrong = snapshot.hill_item(HillKind::Scene, line.item);
    assert!(matches!(wrong, Err(Error::UnknownHillItem { .. })));
}

#[test]
fn an_edition_sent_twice_is_entered_once_and_its_identity_is_not_used_again() {
    let shop = Shop::open();
    let new = edition(&shop, shop.lead, HillKind::MakeUp, "Tonight");
    let first = shop.store.enter_hill(new.clone()).expect("entered");
    assert_eq!(shop.store.enter_hill(new.clone()).expect("again"), first);
    let other = NewHillEdition {
        text: "something else".into(),
        ..new
    };
    let refusal = shop.store.enter_hill(other).expect_err("another text");
    assert!(matches!(refusal, Error::ClientIdReused(_)), "{refusal}");
}

#[test]
fn what_is_withdrawn_leaves_the_list_and_its_name_may_be_used_again() {
    let shop = Shop::open();
    let new = edition(&shop, shop.lead, HillKind::Locomotive, "TST 1");
    let first = shop.store.enter_hill(new.clone()).expect("entered");
    let gone = NewHillEdition {
        client_id: ClientId::random().expect("randomness"),
        seen: Some(1),
        withdrawn: true,
        ..new.clone()
    };
    shop.store.enter_hill(gone).expect("withdrawn");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.hill(HillKind::Locomotive).expect("read"), []);
    let latest = snapshot.hill_item(HillKind::Locomotive, first.item);
    assert!(latest.expect("still there").withdrawn);
    drop(snapshot);
    let again = NewHillEdition {
        client_id: ClientId::random().expect("randomness"),
        ..new
    };
    assert_eq!(shop.store.enter_hill(again).expect("entered").edition, 3);
}

#[test]
fn who_may_not_is_told_and_nothing_is_kept() {
    let shop = Shop::open();
    let nobody = [shop.inspector, shop.apprentice, shop.operator, shop.owner];
    for kind in HillKind::ALL {
        for by in nobody {
            let refusal = shop.store.enter_hill(edition(&shop, by, kind, "X"));
            let refusal = refusal.expect_err("not allowed");
            assert!(matches!(refusal, Error::NotAllowed { .. }), "{refusal}");
        }
    }
    let by = shop.track_lead;
    for kind in [HillKind::Locomotive, HillKind::MakeUp, HillKind::Scene] {
        let refusal = shop.store.enter_hill(edition(&shop, by, kind, "X"));
        assert!(matches!(refusal, Err(Error::NotAllowed { .. })));
    }
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.hill(HillKind::Line).expect("read"), []);
    let unknown = snapshot.hill_item(HillKind::Line, 7).expect_err("none");
    assert_eq!(unknown.to_string(), "there is no line 7 in the record");
}

#[test]
fn a_name_that_says_nothing_and_a_text_too_long_are_refused() {
    let shop = Shop::open();
    let long = "x".repeat(81);
    for name in ["", "  ", long.as_str()] {
        let new = edition(&shop, shop.lead, HillKind::Line, name);
        assert!(shop.store.enter_hill(new).is_err(), "{name}");
    }
    let mut new = edition(&shop, shop.lead, HillKind::Line, "X");
    new.readings = Some("x".repeat(1_048_577).into());
    let refusal = shop.store.enter_hill(new).expect_err("too long");
    assert!(matches!(refusal, Error::TooLarge { .. }), "{refusal}");
}

#[test]
fn a_car_is_found_by_its_mark_and_by_nothing_less() {
    let shop = Shop::open();
    let car = shop.car("TST 12");
    shop.car("TST 123");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let found = snapshot.rows_marked("TST 12").expect("read");
    assert_eq!(found.iter().map(|row| row.car).collect::<Vec<_>>(), [car]);
    assert_eq!(snapshot.rows_marked("TST 1").expect("read"), []);
}
