//! Members: first start, passwords, sessions, lock-out, sign-off, and who changed what.

mod shop;

use gradeworthy_store::{
    ClubAct, ClubCommand, Error, Fact, KeptLabelSheet, LogIn, MemberId, Options, Role, Secret,
    Store, Token,
};
use gradeworthy_workbench::record::Check;
use shop::{Shop, add, at, path_in};
use tempfile::TempDir;

const PASSWORD: &str = "ruling grade 2.2";

/// A member with a password, and the token it was set by.
fn member(shop: &Shop, name: &str, role: Role) -> (MemberId, Token) {
    let token = Token::random().expect("randomness");
    let hash = token.hash();
    let act = ClubAct::AddMember {
        name: name.into(),
        role,
        token: hash,
        expires: at(3600),
    };
    let id = shop.club(act).expect("added").expect("a member");
    assert_eq!(
        shop.store
            .redeem(&token, PASSWORD, at(100))
            .expect("redeemed"),
        id
    );
    (id, token)
}

fn log_in(shop: &Shop, secret: Secret<'_>, second: i64) -> LogIn {
    shop.store
        .log_in(
            "H. Carman",
            secret,
            "bench 1",
            at(second),
            at(second + 1000),
        )
        .expect("an answer")
}

#[test]
fn the_first_member_is_a_lead_and_nobody_else_adds_himself() {
    let folder = TempDir::new().expect("a folder");
    let store = Store::create(&path_in(&folder), &Options::default()).expect("a record");
    let alone = |role| {
        store.club(ClubCommand {
            by: None,
            at: at(0),
            act: add("X", role),
        })
    };
    assert!(matches!(
        alone(Role::Operator),
        Err(Error::NotAllowed { .. })
    ));
    alone(Role::Lead).expect("the first lead");
    let error = alone(Role::Lead).expect_err("there is one");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
}

#[test]
fn a_set_up_link_works_once_and_not_for_ever() {
    let shop = Shop::open();
    let (id, token) = member(&shop, "H. Carman", Role::Inspector);
    let again = shop.store.redeem(&token, "another password", at(101));
    assert!(matches!(again, Err(Error::TokenRefused)));
    let issue = |token: &Token, expires| {
        let act = ClubAct::IssueToken {
            member: id,
            token: token.hash(),
            expires: at(expires),
        };
        shop.club(act).expect("issued");
    };
    let (late, replaced, good) = (fresh(), fresh(), fresh());
    issue(&late, 200);
    assert!(matches!(
        shop.store.redeem(&late, PASSWORD, at(200)),
        Err(Error::TokenRefused)
    ));
    issue(&replaced, 900);
    issue(&good, 900);
    assert!(matches!(
        shop.store.redeem(&replaced, PASSWORD, at(201)),
        Err(Error::TokenRefused)
    ));
    shop.store
        .redeem(&good, PASSWORD, at(201))
        .expect("the newest");
}

fn fresh() -> Token {
    Token::random().expect("randomness")
}

#[test]
fn sessions_open_expire_are_listed_and_end_everywhere() {
    let shop = Shop::open();
    let (id, _) = member(&shop, "H. Carman", Role::Inspector);
    assert!(matches!(
        log_in(&shop, Secret::Password("wrong one"), 200),
        LogIn::Wrong
    ));
    let LogIn::Open(token, session) = log_in(&shop, Secret::Password(PASSWORD), 200) else {
        panic!("the right password");
    };
    let LogIn::Open(other, _) = log_in(&shop, Secret::Password(PASSWORD), 300) else {
        panic!("the right password");
    };
    let found = |token: &Token, second| {
        shop.store
            .snapshot()
            .expect("a snapshot")
            .session(token, at(second))
            .expect("read")
    };
    assert_eq!(found(&token, 250), Some(session));
    assert_eq!(found(&token, 1200), None, "expired");
    assert_eq!(found(&fresh(), 250), None);
    let listed = |second| {
        shop.store
            .snapshot()
            .expect("a snapshot")
            .sessions(id, at(second))
            .expect("read")
    };
    assert_eq!(listed(310).len(), 2);
    shop.store.log_out(&token).expect("out");
    assert_eq!(found(&token, 310), None);
    assert_eq!(listed(310).len(), 1);
    shop.store.log_out_everywhere(id, at(320)).expect("out");
    assert_eq!(found(&other, 321), None);
}

#[test]
fn a_pin_is_set_by_showing_the_password() {
    let shop = Shop::open();
    let (id, _) = member(&shop, "H. Carman", Role::Inspector);
    assert!(
        matches!(log_in(&shop, Secret::Pin("4711"), 200), LogIn::Wrong),
        "none set"
    );
    assert!(
        !shop
            .store
            .set_pin(id, "wrong", Some("4711"), at(201))
            .expect("an answer")
    );
    assert!(
        shop.store
            .set_pin(id, PASSWORD, Some("4711"), at(202))
            .expect("an answer")
    );
    assert!(matches!(
        log_in(&shop, Secret::Pin("4711"), 203),
        LogIn::Open(..)
    ));
    assert!(
        matches!(log_in(&shop, Secret::Password("4711"), 204), LogIn::Wrong),
        "a PIN is no password"
    );
    let changed = shop
        .store
        .set_password(id, PASSWORD, "cut in at the loop", at(205))
        .expect("an answer");
    assert!(changed);
    assert!(matches!(
        log_in(&shop, Secret::Password(PASSWORD), 206),
        LogIn::Wrong
    ));
}

#[test]
fn five_wrong_tries_lock_out_for_a_while_or_until_the_lead_unlocks() {
    let shop = Shop::open();
    let (id, _) = member(&shop, "H. Carman", Role::Operator);
    for _ in 0..4 {
        assert!(matches!(
            log_in(&shop, Secret::Password("wrong one"), 200),
            LogIn::Wrong
        ));
    }
    let until = at(200 + 15 * 60);
    assert_eq!(
        log_in(&shop, Secret::Password("wrong one"), 200),
        LogIn::LockedOut { until }
    );
    let right = |second| log_in(&shop, Secret::Password(PASSWORD), second);
    assert_eq!(right(300), LogIn::LockedOut { until }, "even the right one");
    assert!(matches!(right(200 + 15 * 60), LogIn::Open(..)), "by time");
    for _ in 0..5 {
        log_in(&shop, Secret::Password("wrong one"), 2000);
    }
    assert!(matches!(right(2001), LogIn::LockedOut { .. }));
    shop.club(ClubAct::Unlock { member: id }).expect("unlocked");
    assert!(matches!(right(2002), LogIn::Open(..)), "by the lead");
}

#[test]
fn guessing_at_a_bench_left_open_counts_as_trying() {
    let shop = Shop::open();
    let (id, _) = member(&shop, "H. Carman", Role::Operator);
    let guess = |password| {
        shop.store
            .set_pin(id, password, Some("4711"), at(200))
            .expect("an answer")
    };
    for _ in 0..5 {
        assert!(!guess("wrong one"));
    }
    assert!(!guess(PASSWORD), "even the right one, while locked out");
    assert!(matches!(
        log_in(&shop, Secret::Password(PASSWORD), 201),
        LogIn::LockedOut { .. }
    ));
}

#[test]
fn many_tries_at_once_do_not_outrun_the_lock() {
    let shop = Shop::open();
    member(&shop, "H. Carman", Role::Operator);
    let answers: Vec<_> = std::thread::scope(|scope| {
        let tries: Vec<_> = (0..12)
            .map(|_| scope.spawn(|| log_in(&shop, Secret::Password("wrong one"), 200)))
            .collect();
        tries
            .into_iter()
            .map(|one| one.join().expect("an answer"))
            .collect()
    });
    let wrong = answers
        .iter()
        .filter(|answer| matches!(answer, LogIn::Wrong))
        .count();
    assert_eq!(wrong, 4, "{answers:?}");
}

#[test]
fn one_who_has_left_is_out_and_his_name_stays() {
    let shop = Shop::open();
    let (id, _) = member(&shop, "H. Carman", Role::Inspector);
    let car = shop.car("TST 1");
    shop.append(id, car, [Fact::Noted("looked at it".into())])
        .expect("a note");
    let LogIn::Open(token, _) = log_in(&shop, Secret::Password(PASSWORD), 200) else {
        panic!("the right password");
    };
    shop.club(ClubAct::SetActive {
        member: id,
        active: false,
    })
    .expect("left");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.session(&token, at(201)).expect("read"), None);
    assert_eq!(
        snapshot.member(id).expect("a member").name.as_ref(),
        "H. Carman"
    );
    assert!(matches!(
        log_in(&shop, Secret::Password(PASSWORD), 202),
        LogIn::Wrong
    ));
    let error = shop
        .append(id, car, [Fact::Noted("again".into())])
        .expect_err("gone");
    assert!(matches!(error, Error::UnknownMember(_)), "{error}");
}

#[test]
fn the_last_lead_stays_one() {
    let shop = Shop::open();
    for act in [
        ClubAct::SetRole {
            member: shop.lead,
            role: Role::Owner,
        },
        ClubAct::SetActive {
            member: shop.lead,
            active: false,
        },
    ] {
        assert!(matches!(shop.club(act), Err(Error::LastLead)));
    }
    assert_eq!(
        shop.store
            .snapshot()
            .expect("a snapshot")
            .member(shop.lead)
            .expect("a member")
            .role,
        Role::Lead
    );
    shop.club(ClubAct::SetRole {
        member: shop.inspector,
        role: Role::Lead,
    })
    .expect("another");
    shop.club(ClubAct::SetRole {
        member: shop.lead,
        role: Role::Owner,
    })
    .expect("now he may");
}

#[test]
fn sign_off_is_per_check_and_can_be_withdrawn() {
    let shop = Shop::open();
    let sign_off = |check, granted| {
        shop.club(ClubAct::SignOff {
            member: shop.inspector,
            check,
            granted,
        })
        .expect("signed");
    };
    sign_off(Check::Weight, true);
    sign_off(Check::Wheelsets, true);
    sign_off(Check::Weight, false);
    let own = shop
        .store
        .snapshot()
        .expect("a snapshot")
        .signed_off(shop.inspector)
        .expect("read");
    assert_eq!(own, [Check::Wheelsets]);
}

#[test]
fn an_inspector_judges_the_checks_he_is_signed_off_for() {
    use gradeworthy_workbench::Verdict;
    let shop = Shop::open();
    shop.enter_rule_book(1);
    let car = shop.car("TST 1");
    let inspection = || {
        let mut checks = [Verdict::NotChecked; Check::ALL.len()];
        checks[Check::Weight as usize] = Verdict::Fit;
        Fact::Inspected(Box::new(gradeworthy_store::RecordedInspection {
            edition: 1,
            read_to: shop.version(car),
            verdict: Verdict::NotChecked,
            checks,
            lines: Vec::new(),
            findings: Vec::new(),
        }))
    };
    let error = shop
        .append(shop.inspector, car, [inspection()])
        .expect_err("not signed off");
    assert!(
        matches!(
            error,
            Error::NotSignedOff {
                check: Check::Weight
            }
        ),
        "{error}"
    );
    shop.append_with(shop.inspector, Some(shop.lead), car, [inspection()])
        .expect("with the lead's name");
    let act = ClubAct::SignOff {
        member: shop.inspector,
        check: Check::Weight,
        granted: true,
    };
    shop.club(act).expect("signed off");
    shop.append(shop.inspector, car, [inspection()])
        .expect("signed off now");
}

#[test]
fn only_a_lead_changes_members_and_rules() {
    let shop = Shop::open();
    let others = [
        shop.inspector,
        shop.apprentice,
        shop.operator,
        shop.owner,
        shop.track_lead,
    ];
    for by in others {
        for act in [
            add("Z", Role::Owner),
            ClubAct::SetRole {
                member: by,
                role: Role::Lead,
            },
            ClubAct::AddRuleBook {
                text: shop::rule_book(1).into(),
            },
            ClubAct::KeepLabelSheet(sheet("drawer")),
            ClubAct::SetServerAddress {
                address: "http://192.0.2.7".into(),
            },
        ] {
            let refused = shop.store.club(ClubCommand {
                by: Some(by),
                at: at(9),
                act,
            });
            assert!(matches!(refused, Err(Error::NotAllowed { .. })));
        }
    }
}

#[test]
fn the_trail_says_who_changed_members_rules_consents_and_releases() {
    let shop = Shop::open();
    shop.enter_rule_book(1);
    shop.club(ClubAct::SetRole {
        member: shop.operator,
        role: Role::Inspector,
    })
    .expect("changed");
    let car = shop.car_of("TST 1", Some(shop.owner));
    let granted = Fact::Consented {
        work: gradeworthy_store::Work::Wheels,
        granted: true,
        word: "".into(),
    };
    shop.append(shop.owner, car, [granted]).expect("his car");
    let released = Fact::Released {
        restriction: Some("head end".into()),
        note: String::new().into(),
    };
    shop.append(shop.operator, car, [released])
        .expect("an inspector now");
    let rows = shop
        .store
        .snapshot()
        .expect("a snapshot")
        .audit(at(0), at(9999))
        .expect("a trail");
    let said: Vec<_> = rows
        .iter()
        .filter(|row| !row.change.contains("member added") && !row.change.contains("link"))
        .map(|row| (row.by, row.change.as_ref(), row.detail.as_ref()))
        .collect();
    let expected = [
        (shop.lead, "rule book entered", "edition 1"),
        (shop.lead, "role changed", "operator → inspector"),
        (shop.owner, "consent given", "wheels"),
        (shop.operator, "car released", "head end"),
    ];
    assert_eq!(said, expected);
    assert_eq!(
        rows.iter()
            .filter(|row| row.change.as_ref() == "member added")
            .count(),
        6
    );
}

fn sheet(name: &str) -> KeptLabelSheet {
    KeptLabelSheet {
        name: name.into(),
        paper: "A4".into(),
        columns: "3".into(),
        width: "2 5/8 in".into(),
        ..KeptLabelSheet::default()
    }
}

#[test]
fn a_sheet_of_labels_keeps_what_was_typed_and_the_trail_keeps_who_changed_it() {
    let shop = Shop::open();
    let keep = |own| shop.club(ClubAct::KeepLabelSheet(own)).expect("kept");
    keep(sheet("drawer"));
    let again = KeptLabelSheet {
        columns: "4".into(),
        ..sheet("Drawer")
    };
    keep(again);
    let address = |text: &str| ClubAct::SetServerAddress {
        address: text.into(),
    };
    shop.club(address("http://192.0.2.7:7700")).expect("set");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let sheets = snapshot.label_sheets().expect("read");
    assert_eq!(sheets.len(), 1);
    assert_eq!((&*sheets[0].columns, &*sheets[0].width), ("4", "2 5/8 in"));
    let known = snapshot.server_address().expect("read");
    assert_eq!(known.as_deref(), Some("http://192.0.2.7:7700"));
    drop(snapshot);
    let nameless = shop.club(ClubAct::KeepLabelSheet(sheet(" ")));
    assert!(matches!(nameless, Err(Error::Empty { .. })));
    shop.club(ClubAct::DropLabelSheet {
        name: "DRAWER".into(),
    })
    .expect("dropped");
    shop.club(address("")).expect("taken away");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert!(snapshot.label_sheets().expect("read").is_empty());
    assert_eq!(snapshot.server_address().expect("read"), None);
    let trail = snapshot
        .audit(jiff::Timestamp::MIN, jiff::Timestamp::MAX)
        .expect("read");
    let said: Vec<_> = trail.iter().map(|row| &*row.change).collect();
    for change in [
        "label sheet kept",
        "label sheet dropped",
        "server address set",
    ] {
        assert!(said.contains(&change), "{said:?}");
    }
}
