//! A shop to test in: an invented club with one member of each role, a record in a folder of its own,
//! and a clock that moves a second with every look.
#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test file uses a part of it"
)]

pub mod everything;

use std::path::PathBuf;
use std::sync::atomic::{AtomicI64, Ordering};

use gradeworthy_standards::Scale;
use gradeworthy_store::{
    Append, Basis, CarId, ClientId, ClubAct, ClubCommand, Error, Fact, MemberId, NewCar, Options,
    Receipt, Role, Store, Token, Version,
};
use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::record::{Car, CarMark, CarType, Entry, Measure, Place, Value};
use jiff::Timestamp;
use tempfile::TempDir;

/// 2026-11-25 00:00 UTC.
const START_S: i64 = 1_795_564_800;

pub struct Shop {
    pub folder: TempDir,
    pub store: Store,
    pub lead: MemberId,
    pub inspector: MemberId,
    pub apprentice: MemberId,
    pub operator: MemberId,
    pub owner: MemberId,
    pub track_lead: MemberId,
    clock: AtomicI64,
}

pub fn at(second: i64) -> Timestamp {
    Timestamp::from_second(START_S + second).expect("in range")
}

pub fn path_in(folder: &TempDir) -> PathBuf {
    folder.path().join("club.sqlite")
}

/// The first lead of a fresh record.
pub fn first_lead(store: &Store) -> MemberId {
    let act = add("A. Lead", Role::Lead);
    store
        .club(ClubCommand {
            by: None,
            at: at(0),
            act,
        })
        .expect("added")
        .expect("a member")
}

pub fn add(name: &str, role: Role) -> ClubAct {
    let token = Token::random().expect("randomness").hash();
    ClubAct::AddMember {
        name: name.into(),
        role,
        token,
        expires: at(86_400),
    }
}

impl Shop {
    pub fn open() -> Self {
        Self::open_with(&Options::default())
    }

    pub fn open_with(options: &Options) -> Self {
        let folder = TempDir::new().expect("a folder");
        let store = Store::create(&path_in(&folder), options).expect("a record");
        let lead = first_lead(&store);
        let member = |name: &str, role| {
            let command = ClubCommand {
                by: Some(lead),
                at: at(1),
                act: add(name, role),
            };
            store.club(command).expect("added").expect("a member")
        };
        let inspector = member("B. Inspector", Role::Inspector);
        let apprentice = member("C. Apprentice", Role::Apprentice);
        let operator = member("D. Operator", Role::Operator);
        let owner = member("E. Owner", Role::Owner);
        let track_lead = member("F. Tracks", Role::TrackLead);
        let clock = AtomicI64::new(10);
        Self {
            folder,
            store,
            lead,
            inspector,
            apprentice,
            operator,
            owner,
            track_lead,
            clock,
        }
    }

    pub fn path(&self) -> PathBuf {
        path_in(&self.folder)
    }

    pub fn now(&self) -> Timestamp {
        at(self.clock.fetch_add(1, Ordering::Relaxed))
    }

    pub fn club(&self, act: ClubAct) -> Result<Option<MemberId>, Error> {
        self.store.club(ClubCommand {
            by: Some(self.lead),
            at: self.now(),
            act,
        })
    }

    pub fn enter_rule_book(&self, edition: u32) {
        self.club(ClubAct::AddRuleBook {
            text: rule_book(edition).into(),
        })
        .expect("a rule book");
    }

    pub fn car(&self, mark: &str) -> CarId {
        self.car_of(mark, None)
    }

    pub fn car_of(&self, mark: &str, owner: Option<MemberId>) -> CarId {
        let new = NewCar {
            client_id: id(),
            by: self.lead,
            at: self.now(),
            car: car(mark),
            owner,
        };
        self.store.new_car(new).expect("a car").car
    }

    pub fn version(&self, car: CarId) -> Version {
        self.store
            .snapshot()
            .expect("a snapshot")
            .version(car)
            .expect("a car")
    }

    /// Adds facts on the latest version.
    pub fn append(
        &self,
        by: MemberId,
        car: CarId,
        facts: impl IntoIterator<Item = Fact>,
    ) -> Result<Receipt, Error> {
        self.append_with(by, None, car, facts)
    }

    pub fn append_with(
        &self,
        by: MemberId,
        second: Option<MemberId>,
        car: CarId,
        facts: impl IntoIterator<Item = Fact>,
    ) -> Result<Receipt, Error> {
        let facts = facts.into_iter().map(|fact| (id(), fact)).collect();
        let basis = Basis::Seen(self.version(car));
        let at = self.now();
        self.store.append(Append {
            car,
            by,
            second,
            at,
            basis,
            facts,
            drafts_done: None,
        })
    }

    pub fn lead_appends(&self, car: CarId, fact: Fact) -> Receipt {
        self.append(self.lead, car, [fact]).expect("the lead may")
    }
}

pub fn id() -> ClientId {
    ClientId::random().expect("randomness")
}

pub fn car(mark: &str) -> Car {
    let mut car = Car::new(CarMark::new(mark).expect("a mark"), Scale::HO);
    car.car_type = Some(CarType::new("XM"));
    car.owner = Some("E. Owner".into());
    car.description = Some("40-ft box car".into());
    car.tags = vec!["grandfathered".into(), "brass".into()];
    car.figures.bolster_shims[1] = vec![
        gradeworthy_units::Length::from_thousandths(10),
        gradeworthy_units::Length::from_thousandths(5),
    ];
    car.figures.overhang[0] = Some(gradeworthy_units::Length::from_thousandths(750));
    car
}

pub fn reading(measure: Measure, place: Place, unit: Unit, text: &str) -> Entry {
    let value = Value::Quantity(Reader::new(unit).read(text).expect("a reading"));
    let instrument = Some("caliper 2".into());
    Entry {
        measure,
        place,
        value,
        instrument,
        on: Some(jiff::civil::date(2026, 11, 25)),
    }
}

pub fn back_to_back(text: &str) -> Entry {
    reading(Measure::BackToBack, Place::Station(1, 1), Unit::Inch, text)
}

/// The starter rule book as another edition.
pub fn rule_book(edition: u32) -> String {
    let starter = include_str!("../../../workbench/data/starter.toml");
    let line = "\nedition = 1\n";
    assert!(
        starter.contains(line),
        "the starter rule book says its edition otherwise"
    );
    starter.replacen(line, &format!("\nedition = {edition}\n"), 1)
}
