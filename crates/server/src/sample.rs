//! The invented club with its cars, members and verdicts, written into a record of its own.

use gradeworthy_demo::climb::MakeUp;
use gradeworthy_store::{
    Append, Basis, CarId, ClientId, ClubAct, ClubCommand, Error, Fact, HillKind, MemberId, NewCar,
    NewHillEdition, RecordedInspection, Role, Store, Token, Version, Work,
};
use gradeworthy_train::consist::{read_power, write_power};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, Inspection, inspect};
use gradeworthy_workbench::record::{Check, Record};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::{SignedDuration, Timestamp};

/// The password of every invented member; the sample holds nothing worth more.
pub const SAMPLE_PASSWORD: &str = "marrow pass";

/// The invented members.
const MEMBERS: &[(&str, Role)] = &[
    ("Lead", Role::Lead),
    ("Inspector", Role::Inspector),
    ("Apprentice", Role::Apprentice),
    ("Operator", Role::Operator),
    ("Owner", Role::Owner),
    ("Track lead", Role::TrackLead),
];

/// Fills a new record with the invented club; `progress` is told how many cars are in.
///
/// # Errors
/// The errors of the record.
pub fn fill_with_sample(
    store: &Store,
    now: Timestamp,
    mut progress: impl FnMut(usize, usize),
) -> Result<(), Error> {
    let text = gradeworthy_demo::rule_book();
    let book = RuleBook::read(&text).map_err(Error::RuleBook)?;
    let shop = Shop::read(gradeworthy_demo::SHOP).unwrap_or_default();
    let people = members(store, now, &text)?;
    let fleet = gradeworthy_demo::fleet(gradeworthy_demo::SEED, gradeworthy_demo::CARS);
    let total = fleet.len();
    for (index, record) in fleet.into_iter().enumerate() {
        let owner = (index % HIS_EVERY == 0).then_some(people.owner).flatten();
        enter(store, people.lead, owner, now, &record, &book, &shop)?;
        progress(index + 1, total);
    }
    hill(store, people.lead, now)
}

/// One car in so many is the member's who is an owner; his word is asked on those that are bad-ordered.
const HIS_EVERY: usize = 40;

struct People {
    lead: MemberId,
    owner: Option<MemberId>,
}

fn members(store: &Store, at: Timestamp, rule_book: &str) -> Result<People, Error> {
    let (mut lead, mut owner) = (None, None);
    for (name, role) in MEMBERS {
        let token = Token::random()?;
        let act = ClubAct::AddMember {
            name: (*name).into(),
            role: *role,
            token: token.hash(),
            expires: at
                .saturating_add(SignedDuration::from_mins(5))
                .unwrap_or(at),
        };
        let by = lead;
        let member = store.club(ClubCommand { by, at, act })?;
        store.redeem(&token, SAMPLE_PASSWORD, at)?;
        if lead.is_none() {
            lead = member;
        }
        if *role == Role::Owner {
            owner = member;
        }
        if let (Role::Inspector, Some(member)) = (role, member) {
            for check in Check::ALL {
                let act = ClubAct::SignOff {
                    member,
                    check,
                    granted: true,
                };
                store.club(ClubCommand { by: lead, at, act })?;
            }
        }
    }
    let text = rule_book.into();
    let act = ClubAct::AddRuleBook { text };
    store.club(ClubCommand { by: lead, at, act })?;
    let lead = lead.ok_or(Error::LastLead)?;
    Ok(People { lead, owner })
}

/// The invented hill: its line, its locomotives, and the train that does not climb it.
fn hill(store: &Store, by: MemberId, at: Timestamp) -> Result<(), Error> {
    let keep = |kind, name: &str, text: String| {
        let new = NewHillEdition {
            client_id: ClientId::random()?,
            by,
            at,
            kind,
            name: name.into(),
            seen: None,
            text: text.into(),
            readings: None,
            withdrawn: false,
        };
        store.enter_hill(new).map(drop)
    };
    keep(
        HillKind::Line,
        "Marrow Pass",
        gradeworthy_demo::climb::LINE.to_owned(),
    )?;
    for own in read_power(gradeworthy_demo::climb::POWER).unwrap_or_default() {
        let text = write_power(std::slice::from_ref(&own));
        keep(HillKind::Locomotive, &own.name, text)?;
    }
    let fleet = gradeworthy_demo::fleet(gradeworthy_demo::SEED, gradeworthy_demo::CARS);
    let train = gradeworthy_demo::climb::train(&fleet, MakeUp::Wrong);
    keep(HillKind::MakeUp, "Marrow Pass drag", train)
}

fn enter(
    store: &Store,
    by: MemberId,
    owner: Option<MemberId>,
    now: Timestamp,
    record: &Record,
    book: &RuleBook,
    shop: &Shop,
) -> Result<(), Error> {
    let day = record.entries.iter().filter_map(|entry| entry.on).max();
    let at = day
        .and_then(|day| {
            day.at(20, 0, 0, 0)
                .to_zoned_datetime(jiff::tz::TimeZone::UTC)
                .ok()
        })
        .map_or(now, |evening| evening.timestamp().min(now));
    let new = NewCar {
        client_id: ClientId::random()?,
        by,
        at,
        car: record.car.clone(),
        owner,
    };
    let receipt = store.new_car(new)?;
    let read = record.entries.iter().cloned().map(Fact::Read).collect();
    let version = append(store, by, receipt.car, at, receipt.version, read)?;
    let inspection = inspect(record, book, shop, book.effective);
    let mut outcome = outcome(&inspection, version, at);
    let bad = outcome.iter().find_map(|fact| match fact {
        Fact::BadOrdered(report) => Some(report.note.clone()),
        _ => None,
    });
    if let (Some(note), Some(_)) = (bad, owner) {
        outcome.push(Fact::Asked {
            work: Work::Trucks,
            what: format!("it is bad order for its {note}; may the trucks be worked on?").into(),
        });
    }
    append(store, by, receipt.car, at, version, outcome)?;
    Ok(())
}

/// Judged; then admitted, limited to what the rule book asks of a car that it excuses, or bad-ordered
/// for what is out and not excused.
fn outcome(inspection: &Inspection, read_to: Version, at: Timestamp) -> Vec<Fact> {
    use gradeworthy_store::BadOrder;
    let mut facts = vec![Fact::Inspected(
        RecordedInspection::of(inspection, read_to).into(),
    )];
    let worst = inspection
        .lines
        .iter()
        .filter(|line| inspection.of(line.check) == Verdict::BadOrder)
        .find(|line| line.verdict == Verdict::BadOrder);
    let excused = inspection.findings.iter().find_map(|own| match own {
        Finding::Excused { note, .. } => Some(note.clone()),
        _ => None,
    });
    match worst {
        None => facts.push(Fact::Released {
            restriction: excused,
            note: "".into(),
        }),
        Some(line) => {
            facts.push(Fact::BadOrdered(BadOrder {
                defect: defect(line.check),
                place: line.place,
                note: line.aspect.to_string().into(),
            }));
            if line.check == Check::Seating {
                let not_before = at
                    .saturating_add(SignedDuration::from_hours(24))
                    .unwrap_or(at);
                let why = "frame bent, springs back overnight".into();
                facts.push(Fact::Rested { not_before, why });
            }
        }
    }
    facts
}

fn defect(check: Check) -> gradeworthy_store::Defect {
    use gradeworthy_store::Defect;
    match check {
        Check::Wheelsets => Defect::Wheel,
        Check::AxleFit | Check::Spin | Check::CarRoll => Defect::Stiff,
        Check::Seating | Check::TruckSwing | Check::SwivelDrag => Defect::Truck,
        Check::Rock | Check::Balance => Defect::Leans,
        Check::CouplerAction => Defect::WouldNotCouple,
        Check::Droop | Check::CouplerHeight => Defect::CouplerHeight,
        Check::LookOver => Defect::PartLoose,
        Check::Weight => Defect::Other,
    }
}

fn append(
    store: &Store,
    by: MemberId,
    car: CarId,
    at: Timestamp,
    seen: Version,
    facts: Vec<Fact>,
) -> Result<Version, Error> {
    let named = facts
        .into_iter()
        .map(|fact| Ok((ClientId::random()?, fact)));
    let order = Append {
        car,
        by,
        second: None,
        at,
        basis: Basis::Seen(seen),
        facts: named.collect::<Result<_, Error>>()?,
        drafts_done: None,
    };
    Ok(store.append(order)?.version)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The story of the sample's failing train: the flat may run, in the rear third, and stands near the
    /// head; were it bad-ordered, the climb would be beside the point.
    #[test]
    fn the_light_flat_may_run_where_the_rule_book_lets_it_and_the_train_has_no_other_such_car() {
        let book = RuleBook::read(&gradeworthy_demo::rule_book()).expect("the club's book");
        let shop = Shop::read(gradeworthy_demo::SHOP).expect("the club's shop");
        let fleet = gradeworthy_demo::fleet(gradeworthy_demo::SEED, gradeworthy_demo::CARS);
        let train = gradeworthy_demo::climb::train(&fleet, MakeUp::Wrong);
        let order = gradeworthy_train::consist::read_train(&train).expect("a train");
        let mut limited = Vec::new();
        for own in &fleet {
            let mark = own.car.mark.as_str();
            if !order.members.iter().any(|member| member.name == mark) {
                continue;
            }
            let inspection = inspect(own, &book, &shop, book.effective);
            let facts = outcome(&inspection, Version::from_number(0), Timestamp::UNIX_EPOCH);
            match facts.last() {
                Some(Fact::Released {
                    restriction: None, ..
                }) => {}
                Some(Fact::Released {
                    restriction: Some(why),
                    ..
                }) => {
                    assert!(why.contains("rear third"), "{why}");
                    limited.push(mark);
                }
                other => panic!("{mark} may not run: {other:?}"),
            }
        }
        assert_eq!(limited, [gradeworthy_demo::climb::FLAT]);
        let cars = order
            .members
            .iter()
            .filter(|own| !own.name.starts_with("MP "));
        let place = cars.into_iter().position(|own| own.name == limited[0]);
        assert_eq!(place, Some(4), "near the head");
    }
}
