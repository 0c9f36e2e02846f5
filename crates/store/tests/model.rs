//! Any sequence of commands leaves the record as a plain list in memory would have it: the same answers,
//! the same history, the same standing, the same drafts, also after closing and opening.
//!
//! The list below is written from the rules of the shop and shares no code with the record.

mod shop;

use std::collections::BTreeMap;

use gradeworthy_standards::Scale;
use gradeworthy_store::{
    Append, BadOrder, Basis, Bench, CarId, ClassFilter, ClientId, Defect, Draft, Error, Fact,
    MemberId, Options, Seq, Standing, Store, Version, WaitFor,
};
use gradeworthy_workbench::record::{CarMark, Measure, Place, Value};
use proptest::prelude::*;
use shop::{Shop, at, back_to_back, id};

/// What a bench may try. Numbers choose among what there is, and may point at nothing.
#[derive(Clone, Debug)]
enum Try {
    NewCar(u8),
    Add {
        car: usize,
        role: usize,
        behind: i64,
        what: What,
    },
    SendAgain {
        car: usize,
        role: usize,
    },
    Draft {
        car: usize,
        bench: usize,
        field: u8,
        text: String,
    },
    Reopen,
}

#[derive(Clone, Debug)]
enum What {
    Read(u16),
    Note,
    Letter(u8),
    Report,
    Merge(usize, usize),
    Rest(i64),
    Wait(bool),
    EndWait(usize),
    HandBack,
    TakeIn,
    Release(bool),
    Strike(usize),
}

fn whats() -> impl Strategy<Value = What> {
    prop_oneof![
        4 => (500_u16..600).prop_map(What::Read),
        1 => Just(What::Note),
        1 => any::<u8>().prop_map(What::Letter),
        3 => Just(What::Report),
        2 => (0_usize..12, 0_usize..12).prop_map(|(duplicate, into)| What::Merge(duplicate, into)),
        1 => (0_i64..100).prop_map(What::Rest),
        2 => any::<bool>().prop_map(What::Wait),
        2 => (0_usize..12).prop_map(What::EndWait),
        1 => Just(What::HandBack),
        1 => Just(What::TakeIn),
        2 => any::<bool>().prop_map(What::Release),
        4 => (0_usize..12).prop_map(What::Strike),
    ]
}

fn tries() -> impl Strategy<Value = Try> {
    prop_oneof![
        1 => any::<u8>().prop_map(Try::NewCar),
        14 => (0_usize..3, 0_usize..3, prop_oneof![8 => Just(0_i64), 1 => 1_i64..3], whats())
            .prop_map(|(car, role, behind, what)| Try::Add { car, role, behind, what }),
        1 => (0_usize..3, 0_usize..3).prop_map(|(car, role)| Try::SendAgain { car, role }),
        1 => (0_usize..3, 0_usize..2, 0_u8..3, "[0-9.]{0,4}")
            .prop_map(|(car, bench, field, text)| Try::Draft { car, bench, field, text }),
        1 => Just(Try::Reopen),
    ]
}

#[derive(Clone, Debug, PartialEq)]
struct Happened {
    seq: i64,
    by: MemberId,
    client_id: ClientId,
    fact: Fact,
    struck: bool,
}

#[derive(Default)]
struct Model {
    cars: Vec<(CarId, Vec<Happened>)>,
    drafts: BTreeMap<(usize, CarId, u8), String>,
    seq: i64,
}

/// How an answer is compared: the versions, or the kind of refusal.
fn said(error: &Error) -> &'static str {
    match error {
        Error::Conflict(_) => "conflict",
        Error::NotAllowed { .. } => "not allowed",
        Error::CannotStrike { .. } => "cannot strike",
        Error::UnknownEvent { .. } => "unknown event",
        Error::ClientIdReused(_) => "identity used before",
        _ => "something else",
    }
}

impl Model {
    fn events(&self, car: usize) -> &[Happened] {
        &self.cars[car].1
    }

    fn spread(&self) -> Vec<f64> {
        let latest = |events: &[Happened]| {
            let live = events.iter().rev().filter(|event| !event.struck);
            let mut values = live.filter_map(|event| match &event.fact {
                Fact::Read(entry) => match &entry.value {
                    Value::Quantity(typed) => Some(typed.amount.base()),
                    Value::Answer(_) => None,
                },
                _ => None,
            });
            values.next()
        };
        let mut values: Vec<_> = self.cars.iter().filter_map(|car| latest(&car.1)).collect();
        values.sort_by(f64::total_cmp);
        values
    }

    fn open_reports(&self, car: usize) -> Vec<i64> {
        let events = self.events(car);
        let live = |event: &&Happened| !event.struck;
        let release = events
            .iter()
            .filter(live)
            .filter(|e| matches!(e.fact, Fact::Released { .. }));
        let closed = release.map(|event| event.seq).max().unwrap_or(0);
        let reports = events
            .iter()
            .filter(live)
            .filter(|e| matches!(e.fact, Fact::BadOrdered(_)));
        let mut open: Vec<_> = reports
            .map(|event| event.seq)
            .filter(|seq| *seq > closed)
            .collect();
        for event in events.iter().filter(live) {
            if let Fact::Merged { duplicate, into } = event.fact
                && event.seq > closed
                && open.contains(&into.number())
            {
                open.retain(|seq| *seq != duplicate.number());
            }
        }
        open
    }

    fn open_waits(&self, car: usize) -> Vec<(i64, WaitFor)> {
        let events: Vec<_> = self
            .events(car)
            .iter()
            .filter(|event| !event.struck)
            .collect();
        let ends = |event: &&&Happened| {
            matches!(event.fact, Fact::Released { .. } | Fact::HandedBack { .. })
        };
        let closed = events
            .iter()
            .filter(ends)
            .map(|event| event.seq)
            .max()
            .unwrap_or(0);
        let ended = |seq| {
            events
                .iter()
                .any(|e| matches!(e.fact, Fact::WaitEnded { wait, .. } if wait.number() == seq))
        };
        let waits = events.iter().filter_map(|event| match event.fact {
            Fact::Waiting { wait_for, .. } => Some((event.seq, wait_for)),
            _ => None,
        });
        waits
            .filter(|(seq, _)| *seq > closed && !ended(*seq))
            .collect()
    }

    fn standing(&self, car: usize) -> &'static str {
        let events: Vec<_> = self
            .events(car)
            .iter()
            .filter(|event| !event.struck)
            .collect();
        let base = events.iter().rev().find_map(|event| match &event.fact {
            Fact::Released {
                restriction: None, ..
            } => Some("admitted"),
            Fact::Released { .. } => Some("limited"),
            Fact::HandedBack { .. } => Some("back to owner"),
            Fact::TakenIn { .. } => Some("at the bench"),
            _ => None,
        });
        let base = base.unwrap_or("at the bench");
        let waits = self.open_waits(car);
        let waits_for = |kind| waits.iter().any(|wait| wait.1 == kind);
        let ends = |fact: &Fact| matches!(fact, Fact::Released { .. } | Fact::HandedBack { .. });
        let after_end = events.iter().rev().take_while(|event| !ends(&event.fact));
        let rests = after_end
            .filter(|event| matches!(event.fact, Fact::Rested { .. }))
            .count()
            > 0;
        if base == "back to owner" {
            base
        } else if waits_for(WaitFor::Owner) {
            "waiting for owner"
        } else if waits_for(WaitFor::Parts) {
            "waiting for parts"
        } else if rests {
            "resting"
        } else if self.open_reports(car).is_empty() {
            base
        } else {
            "bad-ordered"
        }
    }

    /// 0 is a lead, 1 an inspector, 2 an operator.
    fn may(role: usize, fact: &Fact, own: bool) -> bool {
        match (role, fact) {
            (0, _) => true,
            (_, Fact::Struck { .. }) => own,
            (1, _) => true,
            _ => matches!(fact, Fact::Noted(_) | Fact::BadOrdered(_)),
        }
    }

    fn expect(
        &self,
        car: usize,
        role: usize,
        by: MemberId,
        behind: i64,
        fact: &Fact,
    ) -> Result<(), &'static str> {
        let events = self.events(car);
        let at = |seq: Seq| events.iter().find(|event| event.seq == seq.number());
        if behind > 0 {
            return Err("conflict");
        }
        let own =
            matches!(fact, Fact::Struck { struck, .. } if at(*struck).is_some_and(|e| e.by == by));
        if !Self::may(role, fact, own) {
            return Err("not allowed");
        }
        match fact {
            Fact::Struck { struck, .. } => {
                let event = at(*struck).ok_or("unknown event")?;
                let alike =
                    |other: &&Happened| other.fact.kind() == event.fact.kind() && !other.struck;
                let needed = matches!(event.fact, Fact::Lettered(_) | Fact::Described(_));
                let last = needed && events.iter().filter(alike).count() == 1;
                if event.struck || matches!(event.fact, Fact::Struck { .. }) || last {
                    return Err("cannot strike");
                }
            }
            Fact::Merged { duplicate, into } => {
                let open = self.open_reports(car);
                let both = [duplicate, into]
                    .iter()
                    .all(|seq| open.contains(&seq.number()));
                if !both || duplicate == into {
                    return Err("unknown event");
                }
            }
            Fact::WaitEnded { wait, .. }
                if self
                    .open_waits(car)
                    .iter()
                    .all(|open| open.0 != wait.number()) =>
            {
                return Err("unknown event");
            }
            _ => {}
        }
        Ok(())
    }

    fn happen(&mut self, car: usize, by: MemberId, client_id: ClientId, fact: Fact) {
        self.seq += 1;
        let seq = self.seq;
        let events = &mut self.cars[car].1;
        if let Fact::Struck { struck, .. } = fact {
            let mistaken = events.iter_mut().find(|event| event.seq == struck.number());
            mistaken.expect("expected to be there").struck = true;
        }
        events.push(Happened {
            seq,
            by,
            client_id,
            fact,
            struck: false,
        });
    }

    fn fact(&self, car: usize, what: &What) -> Fact {
        let events = self.events(car);
        let nth = |n: usize| Seq::from_number(events.get(n).map_or(9_999, |event| event.seq));
        let text = || "a word".into();
        match *what {
            What::Read(thousandths) => Fact::Read(back_to_back(&format!(".{thousandths}"))),
            What::Note => Fact::Noted(text()),
            What::Letter(number) => {
                Fact::Lettered(CarMark::new(&format!("NEW {number}")).expect("a mark"))
            }
            What::Report => Fact::BadOrdered(BadOrder {
                defect: Defect::Wheel,
                place: Place::Car,
                note: text(),
            }),
            What::Merge(duplicate, into) => Fact::Merged {
                duplicate: nth(duplicate),
                into: nth(into),
            },
            What::Rest(hours) => Fact::Rested {
                not_before: at(3600 * hours),
                why: text(),
            },
            What::Wait(true) => Fact::Waiting {
                wait_for: WaitFor::Parts,
                what: text(),
            },
            What::Wait(false) => Fact::Waiting {
                wait_for: WaitFor::Owner,
                what: text(),
            },
            What::EndWait(wait) => Fact::WaitEnded {
                wait: nth(wait),
                note: text(),
            },
            What::HandBack => Fact::HandedBack { why: text() },
            What::TakeIn => Fact::TakenIn { why: text() },
            What::Release(limited) => Fact::Released {
                restriction: limited.then(text),
                note: text(),
            },
            What::Strike(struck) => Fact::Struck {
                struck: nth(struck),
                why: text(),
            },
        }
    }
}

fn bench(number: usize) -> Bench {
    Bench::new(&format!("bench {number}")).expect("a name")
}

fn compare(shop: &Shop, model: &Model) {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    for (index, (car, events)) in model.cars.iter().enumerate() {
        let history = snapshot
            .history(*car, Version::from_number(0), None)
            .expect("a history");
        let there: Vec<_> = history
            .into_iter()
            .map(|event| Happened {
                seq: event.seq.number(),
                by: event.by,
                client_id: event.client_id,
                fact: event.fact,
                struck: event.struck.is_some(),
            })
            .collect();
        // The first three are sent under identities that follow from one.
        assert_eq!(there.len(), events.len());
        assert_eq!(&there[3..], &events[3..]);
        let row = snapshot.car(*car).expect("a car");
        assert_eq!(row.standing.name(), model.standing(index), "{events:#?}");
        assert_eq!(snapshot.standing(*car).expect("a car"), row.standing);
        let marks = events.iter().rev().find_map(|event| match &event.fact {
            Fact::Lettered(mark) if !event.struck => Some(mark),
            _ => None,
        });
        assert_eq!(Some(&row.mark), marks);
        let open = snapshot.open_reports(*car).expect("reports");
        let open: Vec<_> = open.iter().map(|report| report.seq.number()).collect();
        assert_eq!(open, model.open_reports(index));
        let record = snapshot.record(*car).expect("a record").record;
        let read = events
            .iter()
            .filter(|event| !event.struck)
            .filter_map(|event| match &event.fact {
                Fact::Read(entry) => Some(entry.clone()),
                _ => None,
            });
        assert_eq!(record.entries, read.collect::<Vec<_>>());
        for number in 0..2 {
            let drafts = snapshot.drafts(&bench(number), *car).expect("drafts");
            let there: Vec<_> = drafts.iter().map(|draft| draft.text.to_string()).collect();
            let own = model
                .drafts
                .range((number, *car, 0)..=(number, *car, u8::MAX));
            assert_eq!(there, own.map(|(_, text)| text.clone()).collect::<Vec<_>>());
        }
    }
    assert_eq!(spread(shop), model.spread());
    assert!(Standing::NAMES.contains(&"resting"));
}

/// Every car's latest reading that was not struck, in mm, least first.
fn spread(shop: &Shop) -> Vec<f64> {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let class = ClassFilter {
        scale: Scale::HO,
        car_type: None,
    };
    let spread = snapshot.spread(Measure::BackToBack, Place::Station(1, 1), &class);
    let spread = spread.expect("read");
    spread.map_or_else(Vec::new, |own| own.values().to_vec())
}

struct Run {
    shop: Shop,
    model: Model,
    roles: [MemberId; 3],
}

impl Run {
    fn new() -> Self {
        let shop = Shop::open();
        let roles = [shop.lead, shop.inspector, shop.operator];
        Self {
            shop,
            model: Model::default(),
            roles,
        }
    }

    fn take(mut self, step: Try) -> Self {
        match step {
            Try::NewCar(number) => self.new_car(number),
            Try::Add {
                car,
                role,
                behind,
                what,
            } if car < self.model.cars.len() => {
                let fact = self.model.fact(car, &what);
                self.add(car, role, behind, id(), &fact);
            }
            Try::SendAgain { car, role } if car < self.model.cars.len() => {
                self.send_again(car, role)
            }
            Try::Draft {
                car,
                bench: number,
                field,
                text,
            } if car < self.model.cars.len() => {
                let car = self.model.cars[car].0;
                let draft = Draft {
                    bench: bench(number),
                    car,
                    field: format!("field {field}").into(),
                    text: text.clone().into(),
                    by: self.shop.inspector,
                    at: self.shop.now(),
                };
                self.shop.store.keep_draft(draft).expect("kept");
                if text.is_empty() {
                    self.model.drafts.remove(&(number, car, field));
                } else {
                    self.model.drafts.insert((number, car, field), text);
                }
            }
            Try::Reopen => self = self.reopen(),
            Try::Add { .. } | Try::SendAgain { .. } | Try::Draft { .. } => {}
        }
        self
    }

    fn new_car(&mut self, number: u8) {
        let mark = format!("TST {number}");
        let car = self.shop.car(&mark);
        self.model.cars.push((car, Vec::new()));
        let index = self.model.cars.len() - 1;
        let own = shop::car(&mark);
        let details = gradeworthy_store::Details {
            scale: own.scale,
            car_type: own.car_type,
            description: own.description,
            tags: own.tags,
            figures: own.figures,
        };
        let ownership = gradeworthy_store::Ownership {
            owner: own.owner,
            member: None,
        };
        let facts = [
            Fact::Lettered(own.mark),
            Fact::Owned(ownership),
            Fact::Described(Box::new(details)),
        ];
        for fact in facts {
            self.model.happen(index, self.shop.lead, id(), fact);
        }
    }

    fn add(&mut self, car: usize, role: usize, behind: i64, client_id: ClientId, fact: &Fact) {
        let by = self.roles[role];
        let latest = self.model.events(car).last().expect("a car has events").seq;
        let order = Append {
            car: self.model.cars[car].0,
            by,
            second: None,
            at: self.shop.now(),
            basis: Basis::Seen(Version::from_number(latest - behind)),
            facts: vec![(client_id, fact.clone())],
            drafts_done: None,
        };
        let expected = self.model.expect(car, role, by, behind, fact);
        let answer = self.shop.store.append(order);
        let found = answer
            .as_ref()
            .map_err(said)
            .map(|receipt| receipt.repeated);
        assert_eq!(
            found,
            expected.map(|()| 0),
            "{fact:?} by {role}: {answer:?}"
        );
        if let Ok(receipt) = answer {
            self.model.happen(car, by, client_id, fact.clone());
            assert_eq!(receipt.seqs, [Seq::from_number(self.model.seq)]);
            assert_eq!(receipt.version.number(), self.model.seq);
        }
    }

    /// The last event of the car, once more, by the same member or another.
    fn send_again(&self, car: usize, role: usize) {
        let events = self.model.events(car);
        let Some(last) = events[3..].last() else {
            return;
        };
        let order = Append {
            car: self.model.cars[car].0,
            by: self.roles[role],
            second: None,
            at: self.shop.now(),
            basis: Basis::Seen(Version::from_number(1)),
            facts: vec![(last.client_id, last.fact.clone())],
            drafts_done: None,
        };
        let answer = self.shop.store.append(order);
        if self.roles[role] == last.by {
            let receipt = answer.expect("entered before");
            assert_eq!((receipt.repeated, receipt.seqs[0].number()), (1, last.seq));
        } else {
            assert_eq!(answer.as_ref().map_err(said), Err("identity used before"));
        }
    }

    fn reopen(self) -> Self {
        let path = self.shop.path();
        let Self {
            mut shop,
            model,
            roles,
        } = self;
        // The old one must be closed first; a read-only one stands in its place meanwhile.
        let options = Options::default();
        shop.store = Store::open_read_only(&path, &options).expect("opened");
        shop.store = Store::open(&path, &options).expect("opened");
        Self { shop, model, roles }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_record_is_what_a_plain_list_would_be(steps in prop::collection::vec(tries(), 1..60)) {
        let mut run = Run::new().take(Try::NewCar(1)).take(Try::NewCar(2));
        for step in steps {
            run = run.take(step);
        }
        compare(&run.shop, &run.model);
        let run = run.reopen();
        compare(&run.shop, &run.model);
        let integrity = run.shop.store.check().expect("checked");
        prop_assert_eq!(integrity.problems, Vec::<String>::new());
    }
}
