//! Cars and readings out of a file: what of it the record has already, and the rest entered all together
//! or not at all.
//!
//! A reading is there already when the car has one, not struck, of the same measure, place, amount and
//! day; two such in the file want two in the record. So a file taken in twice changes nothing, and a
//! file with rows added brings the new rows only. A car is the one in the record that bears its marks
//! today; where two bear them nobody can tell which is meant, and the plan says so.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use gradeworthy_workbench::record::{Car, Entry, Record, Value};
use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, params};

use crate::rows::timestamp;
use crate::{
    Action, Append, Basis, CarId, ClientId, CureDone, Error, Fact, MemberId, NewCar, Snapshot,
    Version, apply, spelling, sql,
};

/// Cars and facts out of one file.
#[derive(Clone, Debug, PartialEq)]
pub struct Import {
    /// Who takes the file in.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
    /// The file's name, for the record of what was taken in.
    pub file_name: Box<str>,
    /// SHA-256 of the file.
    pub file_sha256: [u8; 32],
    /// What it brings, car by car.
    pub cars: Vec<ImportedCar>,
}

/// What a file brings of one car.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportedCar {
    /// The car.
    pub into: ImportInto,
    /// Readings and cures that the record has not, in the file's order.
    pub facts: Vec<Fact>,
}

/// The car that an import adds to.
#[derive(Clone, Debug, PartialEq)]
pub enum ImportInto {
    /// One that the record has not.
    New {
        /// The car.
        car: Box<Car>,
        /// The member who is its owner, where he is one.
        owner: Option<MemberId>,
    },
    /// One that it has.
    Known {
        /// The car.
        car: CarId,
        /// How far its record had come when the file was compared with it.
        seen: Version,
    },
}

/// What an import would do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ImportPlan {
    /// What the file brings that the record has not, and cars that it has.
    pub cars: Vec<ImportedCar>,
    /// Readings and cures that are there already.
    pub there_already: usize,
    /// What the file says of a known car and the record says otherwise; the record stays.
    pub differences: Vec<Difference>,
    /// Marks that more than one car of the record bears.
    pub doubtful: Vec<Box<str>>,
}

/// A figure or word that a file gives otherwise than the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The car.
    pub car: CarId,
    /// Its marks.
    pub mark: Box<str>,
    /// What differs.
    pub what: &'static str,
    /// What the record says; empty where it says nothing.
    pub in_record: Box<str>,
    /// What the file says.
    pub in_file: Box<str>,
}

/// What an import did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ImportReceipt {
    /// Cars that are new.
    pub new_cars: usize,
    /// Cars that the record had and that have something new.
    pub known_cars: usize,
    /// Readings and cures entered.
    pub facts: usize,
}

/// A file that was taken in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImportRow {
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: MemberId,
    /// The file's name.
    pub file_name: Box<str>,
    /// SHA-256 of the file.
    pub file_sha256: [u8; 32],
    /// What came of it.
    pub receipt: ImportReceipt,
}

impl ImportPlan {
    /// Cars that are new.
    #[must_use]
    pub fn new_cars(&self) -> usize {
        let is_new = |own: &&ImportedCar| matches!(own.into, ImportInto::New { .. });
        self.cars.iter().filter(is_new).count()
    }

    /// Readings and cures that would be entered.
    #[must_use]
    pub fn fact_count(&self) -> usize {
        self.cars.iter().map(|own| own.facts.len()).sum()
    }

    /// Whether there is nothing to enter.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.new_cars() == 0 && self.fact_count() == 0
    }
}

impl Snapshot<'_> {
    /// Compares the cars of a file with the record; `progress` is told how many are done.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn plan_import(
        &self,
        records: &[Record],
        progress: &mut dyn FnMut(usize, usize),
    ) -> Result<ImportPlan, Error> {
        let members = self.members()?;
        let mut plan = ImportPlan::default();
        for (index, record) in records.iter().enumerate() {
            match self.cars_marked(record.car.mark.as_str())?.as_slice() {
                [] => {
                    let named = record.car.owner.as_deref().and_then(|owner| {
                        let same = |own: &&crate::Member| own.name.eq_ignore_ascii_case(owner);
                        members.iter().find(same).map(|own| own.id)
                    });
                    plan.cars.push(ImportedCar {
                        into: ImportInto::New {
                            car: record.car.clone().into(),
                            owner: named,
                        },
                        facts: facts_of(record, &mut Known::default()),
                    });
                }
                [car] => self.plan_known(*car, record, &mut plan)?,
                [..] => plan.doubtful.push(record.car.mark.as_str().into()),
            }
            progress(index + 1, records.len());
        }
        Ok(plan)
    }

    fn plan_known(&self, car: CarId, record: &Record, plan: &mut ImportPlan) -> Result<(), Error> {
        let own = self.record(car)?;
        let mut known = Known::of(&own.record);
        let given = record.entries.len() + record.done.len();
        let facts = facts_of(record, &mut known);
        plan.there_already += given - facts.len();
        plan.differences
            .extend(differences(car, &own.record.car, &record.car));
        plan.cars.push(ImportedCar {
            into: ImportInto::Known {
                car,
                seen: own.version,
            },
            facts,
        });
        Ok(())
    }

    /// The cars that bear these marks today.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn cars_marked(&self, mark: &str) -> Result<Vec<CarId>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::CARS_MARKED)?;
        let rows = statement.query_map([mark], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// When this very file was taken in, the first time, if it was.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn import_of(&self, file_sha256: &[u8; 32]) -> Result<Option<ImportRow>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::IMPORT_OF_FILE)?;
        let row = statement.query_row([file_sha256], read_import).optional()?;
        row.transpose()
    }

    /// The last files that were taken in, the latest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn imports(&self, count: u32) -> Result<Vec<ImportRow>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::IMPORTS)?;
        let rows = statement.query_map([count], read_import)?;
        rows.map(|row| row?).collect()
    }
}

fn read_import(row: &rusqlite::Row<'_>) -> rusqlite::Result<Result<ImportRow, Error>> {
    let (id, at_us): (i64, i64) = (row.get(0)?, row.get(1)?);
    let count = |index| -> rusqlite::Result<usize> {
        Ok(usize::try_from(row.get::<_, i64>(index)?).unwrap_or(0))
    };
    let (by, file_name, file_sha256) = (row.get(2)?, row.get(3)?, row.get(4)?);
    let receipt = ImportReceipt {
        new_cars: count(5)?,
        known_cars: count(6)?,
        facts: count(7)?,
    };
    Ok(timestamp("import", id, at_us).map(|at| ImportRow {
        at,
        by,
        file_name,
        file_sha256,
        receipt,
    }))
}

/// How often the record has each reading and cure.
#[derive(Default)]
struct Known(BTreeMap<String, usize>);

impl Known {
    fn of(record: &Record) -> Self {
        let mut known = Self::default();
        let entries = record.entries.iter().map(entry_key);
        let done = record
            .done
            .iter()
            .map(|done| done_key(done.cure.name(), done.on));
        for key in entries.chain(done) {
            *known.0.entry(key).or_default() += 1;
        }
        known
    }

    /// Takes one of these out of the known ones, if there is one left.
    fn take(&mut self, key: &str) -> bool {
        match self.0.get_mut(key) {
            Some(count) if *count > 0 => {
                *count -= 1;
                true
            }
            Some(_) | None => false,
        }
    }
}

/// What makes two readings the same one. The amount is exact, so `.398` and `0.398 in` are the same.
fn entry_key(entry: &Entry) -> String {
    let value = match &entry.value {
        Value::Quantity(typed) => format!("{:?}", typed.amount),
        Value::Answer(answer) => answer.to_string(),
    };
    let Entry {
        measure, place, on, ..
    } = entry;
    format!("{} {place:?} {value} {on:?}", measure.name())
}

fn done_key(cure: &str, on: Option<jiff::civil::Date>) -> String {
    format!("done {cure} {on:?}")
}

/// The readings and cures of a file in its order, without those that are known.
fn facts_of(record: &Record, known: &mut Known) -> Vec<Fact> {
    let mut facts = Vec::with_capacity(record.entries.len() + record.done.len());
    let mut done = record.done.iter().peekable();
    for index in 0..=record.entries.len() {
        while let Some(cure) = done.next_if(|own| own.after_entries <= index) {
            if !known.take(&done_key(cure.cure.name(), cure.on)) {
                facts.push(Fact::Cured(CureDone {
                    cure: cure.cure,
                    place: gradeworthy_workbench::record::Place::Car,
                    done_on: cure.on,
                    note: "from a file".into(),
                }));
            }
        }
        if let Some(entry) = record.entries.get(index)
            && !known.take(&entry_key(entry))
        {
            facts.push(Fact::Read(entry.clone()));
        }
    }
    facts
}

fn differences(id: CarId, in_record: &Car, in_file: &Car) -> Vec<Difference> {
    let shown = said(in_record).into_iter().zip(said(in_file));
    shown
        .filter(|((_, own), (_, other))| !other.is_empty() && own != other)
        .map(|((what, own), (_, other))| Difference {
            car: id,
            mark: in_record.mark.as_str().into(),
            what,
            in_record: own.into(),
            in_file: other.into(),
        })
        .collect()
}

/// Everything that is said of a car, in words, empty where nothing is.
fn said(car: &Car) -> Vec<(&'static str, String)> {
    let figures = &car.figures;
    let length = |own: Option<gradeworthy_units::Length>| {
        own.map_or_else(String::new, |own| format!("{} mm", own.mm()))
    };
    let shims = |end: usize| {
        let list: Vec<_> = figures.bolster_shims[end]
            .iter()
            .map(|own| format!("{} mm", own.mm()))
            .collect();
        list.join(", ")
    };
    let text = |own: Option<&str>| own.unwrap_or_default().to_owned();
    let mut tags: Vec<_> = car.tags.iter().map(|own| own.to_lowercase()).collect();
    tags.sort_unstable();
    vec![
        ("scale", car.scale.name().to_owned()),
        ("type", text(car.car_type.as_ref().map(|own| own.as_str()))),
        ("owner", text(car.owner.as_deref())),
        ("description", text(car.description.as_deref())),
        ("tags", tags.join(", ")),
        ("body length", length(figures.body_length)),
        ("length over couplers", length(figures.length_over_couplers)),
        ("truck centres", length(figures.truck_centres)),
        ("truck wheelbase", length(figures.truck_wheelbase)),
        ("overhang at A", length(figures.overhang[0])),
        ("overhang at B", length(figures.overhang[1])),
        (
            "wheel code",
            figures
                .wheel_code
                .map_or_else(String::new, |own| own.to_string()),
        ),
        ("frame material", text(figures.frame_material.as_deref())),
        ("washers at A", shims(0)),
        ("washers at B", shims(1)),
    ]
}

/// Is told how many cars are entered, of how many, and says whether to go on.
pub type ImportWatch = Box<dyn Fn(usize, usize) -> ControlFlow<()> + Send + Sync>;

/// Enters a file: the caller's savepoint makes it all or nothing.
pub(crate) fn enter(
    connection: &Connection,
    import: &Import,
    watch: Option<&ImportWatch>,
) -> Result<ImportReceipt, Error> {
    apply::require(connection, import.by, None, Action::ImportFile, None, &[])?;
    let mut identities = Identities::of(import);
    let mut receipt = ImportReceipt {
        new_cars: 0,
        known_cars: 0,
        facts: 0,
    };
    for (index, own) in import.cars.iter().enumerate() {
        if watch.is_some_and(|watch| watch(index, import.cars.len()).is_break()) {
            return Err(Error::Ended);
        }
        let (car, seen) = match &own.into {
            ImportInto::New { car, owner } => {
                receipt.new_cars += 1;
                let new = NewCar {
                    client_id: identities.next(),
                    by: import.by,
                    at: import.at,
                    car: Car::clone(car),
                    owner: *owner,
                };
                let entered = apply::new_car(connection, &new)?;
                if entered.repeated > 0 {
                    return Err(Error::ClientIdReused(new.client_id));
                }
                (entered.car, entered.version)
            }
            ImportInto::Known { car, seen } => {
                receipt.known_cars += usize::from(!own.facts.is_empty());
                (*car, *seen)
            }
        };
        if own.facts.is_empty() {
            continue;
        }
        receipt.facts += own.facts.len();
        let facts = own.facts.iter();
        let order = Append {
            car,
            by: import.by,
            second: None,
            at: import.at,
            basis: Basis::Seen(seen),
            facts: facts
                .map(|fact| (identities.next(), fact.clone()))
                .collect(),
            drafts_done: None,
        };
        apply::append(connection, &order, None)?;
    }
    note(connection, import, receipt)?;
    Ok(receipt)
}

/// The identities of one sending's entries: from the file and the moment, so that one sending that arrives
/// twice is refused the second time instead of making every car twice, and counted on from there.
///
/// They are counted and not hashed one by one, so that each stands beside the last in the index of
/// identities: half a million that fall anywhere in it write the whole index to the disk over and over.
struct Identities {
    sending: [u8; 8],
    given: u64,
}

impl Identities {
    fn of(import: &Import) -> Self {
        let mut bytes = [0; 16];
        bytes.copy_from_slice(&import.file_sha256[..16]);
        let own = ClientId::from_bytes(bytes).derived(&spelling::at_us(import.at).to_string());
        let mut sending = [0; 8];
        sending.copy_from_slice(&own.bytes()[..8]);
        Self { sending, given: 0 }
    }

    fn next(&mut self) -> ClientId {
        let mut bytes = [0; 16];
        bytes[..8].copy_from_slice(&self.sending);
        bytes[8..].copy_from_slice(&self.given.to_be_bytes());
        self.given += 1;
        ClientId::from_bytes(bytes)
    }
}

fn note(connection: &Connection, import: &Import, done: ImportReceipt) -> Result<(), Error> {
    let count = |own: usize| i64::try_from(own).unwrap_or(i64::MAX);
    connection
        .prepare_cached(sql::INSERT_IMPORT)?
        .execute(params![
            spelling::at_us(import.at),
            import.by,
            import.file_name,
            import.file_sha256,
            count(done.new_cars),
            count(done.known_cars),
            count(done.facts),
        ])?;
    Ok(())
}
