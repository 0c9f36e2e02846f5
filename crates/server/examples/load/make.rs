//! A large record, made through the record's own entries: cars of the invented fleet with every reading
//! that a bench takes, some of them taken again, each car judged and admitted or bad-ordered.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use gradeworthy_store::{
    Append, BadOrder, Basis, ClientId, ClubAct, ClubCommand, Defect, Fact, LogIn, MemberId, NewCar,
    Options, RecordedInspection, Role, Secret, Store, Token, Version,
};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::record::{Check, Record};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::{SignedDuration, Timestamp};

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// Senders at once; they share the wait for the disk.
const SENDERS: usize = 48;
const PASSWORD: &str = "twelve easy grades";

/// How large.
#[derive(Clone, Copy)]
pub struct Size {
    pub cars: u64,
    pub readings_each: usize,
}

/// Makes `club.sqlite`, the shop's file and a session for each of `benches` in `folder`; says the bytes
/// of the file before and after the verdicts were entered.
pub fn make(folder: &Path, size: Size, benches: usize) -> Outcome<()> {
    fs::create_dir_all(folder)?;
    let path = folder.join("club.sqlite");
    let store = Store::create(&path, &Options::default())?;
    let text = gradeworthy_demo::rule_book();
    let tokens = members(&store, &text, benches)?;
    fs::write(folder.join("sessions"), tokens.join("\n"))?;
    fs::write(folder.join("shop.toml"), gradeworthy_demo::SHOP)?;
    let maker = Maker {
        store: &store,
        book: RuleBook::read(&text)?,
        shop: Shop::read(gradeworthy_demo::SHOP)?,
        size,
        next: AtomicU64::new(0),
    };
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..SENDERS).map(|_| scope.spawn(|| maker.work())).collect();
        for thread in threads {
            thread.join().map_err(|_| "a sender stopped")??;
        }
        Outcome::Ok(())
    })?;
    Ok(())
}

const LEAD: MemberId = MemberId::from_number(1);

fn members(store: &Store, rule_book: &str, benches: usize) -> Outcome<Vec<String>> {
    let at = Timestamp::now();
    let until = at + SignedDuration::from_hours(24 * 365);
    let act = |by, act| store.club(ClubCommand { by, at, act });
    let add = |name: &str, role, token: &Token| ClubAct::AddMember {
        name: name.into(),
        role,
        token: token.hash(),
        expires: until,
    };
    act(None, add("Lead", Role::Lead, &Token::random()?))?;
    let text = rule_book.into();
    act(Some(LEAD), ClubAct::AddRuleBook { text })?;
    let mut sessions = Vec::new();
    for bench in 1..=benches {
        let (name, link) = (format!("Inspector {bench}"), Token::random()?);
        let member = act(Some(LEAD), add(&name, Role::Inspector, &link))?.ok_or("no member")?;
        for check in Check::ALL {
            let granted = true;
            act(
                Some(LEAD),
                ClubAct::SignOff {
                    member,
                    check,
                    granted,
                },
            )?;
        }
        store.redeem(&link, PASSWORD, at)?;
        let secret = Secret::Password(PASSWORD);
        let LogIn::Open(token, _) = store.log_in(&name, secret, "a bench", at, until)? else {
            return Err("an inspector cannot come in".into());
        };
        sessions.push(token.to_hex());
    }
    Ok(sessions)
}

struct Maker<'a> {
    store: &'a Store,
    book: RuleBook,
    shop: Shop,
    size: Size,
    next: AtomicU64,
}

impl Maker<'_> {
    fn work(&self) -> Outcome<()> {
        loop {
            let index = self.next.fetch_add(1, Ordering::Relaxed);
            if index >= self.size.cars {
                return Ok(());
            }
            if index.is_multiple_of(1000) {
                eprintln!("{index} of {} cars", self.size.cars);
            }
            self.enter(&gradeworthy_demo::car(
                gradeworthy_demo::SEED,
                index,
                &gradeworthy_demo::Keeping::KEPT,
            ))?;
        }
    }

    /// A car as it came to the bench, was read, and read again in part until it has its share.
    fn enter(&self, record: &Record) -> Outcome<()> {
        let at = Timestamp::from_second(1_788_300_000)?;
        let new = NewCar {
            client_id: ClientId::random()?,
            by: LEAD,
            at,
            car: record.car.clone(),
            owner: None,
        };
        let receipt = self.store.new_car(new)?;
        let (car, mut version) = (receipt.car, receipt.version);
        let mut entries = record
            .entries
            .iter()
            .cycle()
            .take(self.size.readings_each)
            .cloned();
        loop {
            let sheet: Vec<_> = entries
                .by_ref()
                .take(record.entries.len())
                .map(Fact::Read)
                .collect();
            if sheet.is_empty() {
                break;
            }
            version = self.append(car, at, version, sheet)?;
        }
        let inspection = inspect(record, &self.book, &self.shop, self.book.effective);
        let judged = RecordedInspection::of(&inspection, version);
        let then = if inspection.verdict == Verdict::BadOrder {
            let worst = inspection
                .lines
                .iter()
                .find(|line| line.verdict == Verdict::BadOrder);
            Fact::BadOrdered(BadOrder {
                defect: Defect::Other,
                place: worst.ok_or("no line is bad order")?.place,
                note: "".into(),
            })
        } else {
            Fact::Released {
                restriction: None,
                note: "".into(),
            }
        };
        let facts = vec![Fact::Inspected(judged.into()), then];
        self.append(car, at, version, facts)?;
        Ok(())
    }

    fn append(
        &self,
        car: gradeworthy_store::CarId,
        at: Timestamp,
        seen: Version,
        facts: Vec<Fact>,
    ) -> Outcome<Version> {
        let named = facts
            .into_iter()
            .map(|fact| Ok((ClientId::random()?, fact)));
        let order = Append {
            car,
            by: LEAD,
            second: None,
            at,
            basis: Basis::Seen(seen),
            facts: named.collect::<Result<_, gradeworthy_store::Error>>()?,
            drafts_done: None,
        };
        Ok(self.store.append(order)?.version)
    }
}
