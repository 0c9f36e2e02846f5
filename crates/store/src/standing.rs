//! Where a car stands today, folded from its facts in order; struck facts do not count.
//!
//! A release closes every report, rest and wait before it.
//! Of what is open, the gravest hold-up is named: back with the owner, then the owner's word, then
//! parts, then a rest, then bad order.

use std::fmt;

use gradeworthy_workbench::record::{Car, CarMark};
use jiff::Timestamp;

use crate::{BadOrder, CarEvent, CarId, Details, Fact, Ownership, Seq, WaitFor, Work};

/// Where a car stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// At the bench, not yet released.
    AtBench,
    /// In the fleet.
    Admitted,
    /// In the fleet, with a restriction.
    Limited {
        /// What it may not do.
        restriction: Box<str>,
    },
    /// Reported in bad order.
    BadOrdered,
    /// Resting until a second look.
    Resting {
        /// When the second look may be taken.
        not_before: Timestamp,
    },
    /// Waiting for parts.
    WaitingForParts {
        /// Which.
        what: Box<str>,
    },
    /// Waiting for the owner's word.
    WaitingForOwner {
        /// On what.
        what: Box<str>,
    },
    /// Back with its owner.
    BackToOwner {
        /// Why.
        why: Box<str>,
    },
}

impl Standing {
    /// Every name a standing can have.
    pub const NAMES: [&'static str; 8] = [
        "at the bench",
        "admitted",
        "limited",
        "bad-ordered",
        "resting",
        "waiting for parts",
        "waiting for owner",
        "back to owner",
    ];

    /// The name, as lists and filters use it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::AtBench => Self::NAMES[0],
            Self::Admitted => Self::NAMES[1],
            Self::Limited { .. } => Self::NAMES[2],
            Self::BadOrdered => Self::NAMES[3],
            Self::Resting { .. } => Self::NAMES[4],
            Self::WaitingForParts { .. } => Self::NAMES[5],
            Self::WaitingForOwner { .. } => Self::NAMES[6],
            Self::BackToOwner { .. } => Self::NAMES[7],
        }
    }

    /// The rest of it: restriction, parts, question or reason.
    pub(crate) fn detail(&self) -> &str {
        match self {
            Self::AtBench | Self::Admitted | Self::BadOrdered | Self::Resting { .. } => "",
            Self::Limited { restriction } => restriction,
            Self::WaitingForParts { what } | Self::WaitingForOwner { what } => what,
            Self::BackToOwner { why } => why,
        }
    }

    /// When a second look may be taken, for a car that rests.
    #[must_use]
    pub const fn not_before(&self) -> Option<Timestamp> {
        match self {
            Self::Resting { not_before } => Some(*not_before),
            Self::AtBench
            | Self::Admitted
            | Self::Limited { .. }
            | Self::BadOrdered
            | Self::WaitingForParts { .. }
            | Self::WaitingForOwner { .. }
            | Self::BackToOwner { .. } => None,
        }
    }

    /// The standing with this name and detail; the inverse of the three methods above.
    pub(crate) fn from_parts(
        name: &str,
        not_before: Option<Timestamp>,
        detail: &str,
    ) -> Option<Self> {
        let detail = detail.into();
        let index = Self::NAMES.iter().position(|own| *own == name)?;
        Some(match index {
            0 => Self::AtBench,
            1 => Self::Admitted,
            2 => Self::Limited {
                restriction: detail,
            },
            3 => Self::BadOrdered,
            4 => Self::Resting {
                not_before: not_before?,
            },
            5 => Self::WaitingForParts { what: detail },
            6 => Self::WaitingForOwner { what: detail },
            _ => Self::BackToOwner { why: detail },
        })
    }

    /// Whether the car stands on the RIP track.
    #[must_use]
    pub const fn on_rip_track(&self) -> bool {
        match self {
            Self::Admitted | Self::Limited { .. } | Self::BackToOwner { .. } | Self::AtBench => {
                false
            }
            Self::BadOrdered
            | Self::Resting { .. }
            | Self::WaitingForParts { .. }
            | Self::WaitingForOwner { .. } => true,
        }
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())?;
        match (self.not_before(), self.detail()) {
            (Some(not_before), _) => write!(f, " until {not_before}"),
            (None, "") => Ok(()),
            (None, detail) => write!(f, ": {detail}"),
        }
    }
}

/// What is true of a car after its facts so far.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct CarNow {
    pub(crate) car: CarId,
    pub(crate) mark: Option<CarMark>,
    pub(crate) ownership: Ownership,
    pub(crate) details: Option<Details>,
    base: (Standing, Option<Timestamp>),
    reports: Vec<(Seq, Timestamp, BadOrder)>,
    rest: Option<OpenRest>,
    waits: Vec<OpenWait>,
    asks: Vec<OpenAsk>,
}

/// A rest that is not over, or whose second look was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenRest {
    /// When the second look may be taken.
    pub not_before: Timestamp,
    /// Since when it rests.
    pub since: Timestamp,
    /// What rests.
    pub why: Box<str>,
}

/// A wait that is not over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenWait {
    /// The event that began it.
    pub seq: Seq,
    /// Since when.
    pub since: Timestamp,
    /// For what.
    pub wait_for: WaitFor,
    /// Which parts, which question.
    pub what: Box<str>,
}

/// A question about a kind of work that the owner has not answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenAsk {
    /// The event that asks.
    pub seq: Seq,
    /// Since when.
    pub since: Timestamp,
    /// The kind of work.
    pub work: Work,
    /// What is to be done.
    pub what: Box<str>,
}

impl CarNow {
    /// Folds the events of one car, oldest first. Struck ones do not count.
    pub(crate) fn fold(car: CarId, events: &[CarEvent]) -> Self {
        let mut now = Self {
            car,
            mark: None,
            ownership: Ownership::default(),
            details: None,
            base: (Standing::AtBench, None),
            reports: Vec::new(),
            rest: None,
            waits: Vec::new(),
            asks: Vec::new(),
        };
        for event in events {
            now.base.1.get_or_insert(event.at);
            if event.struck.is_none() {
                now.after(event);
            }
        }
        now
    }

    fn after(&mut self, event: &CarEvent) {
        let at = event.at;
        match &event.fact {
            Fact::Lettered(mark) => self.mark = Some(mark.clone()),
            Fact::Owned(ownership) => self.ownership = ownership.clone(),
            Fact::Described(details) => self.details = Some(Details::clone(details)),
            Fact::BadOrdered(report) => self.reports.push((event.seq, at, report.clone())),
            Fact::Merged { duplicate, into } => self.merge(*duplicate, *into),
            Fact::Rested { not_before, why } => self.lie(*not_before, at, why),
            Fact::Waiting { wait_for, what } => self.waits.push(OpenWait {
                seq: event.seq,
                since: at,
                wait_for: *wait_for,
                what: what.clone(),
            }),
            Fact::WaitEnded { wait, .. } => self.waits.retain(|open| open.seq != *wait),
            Fact::Asked { work, what } => self.asks.push(OpenAsk {
                seq: event.seq,
                since: at,
                work: *work,
                what: what.clone(),
            }),
            Fact::Consented { work, .. } => self.asks.retain(|open| open.work != *work),
            Fact::HandedBack { why } => {
                self.base = (Standing::BackToOwner { why: why.clone() }, Some(at));
                self.rest = None;
                self.waits.clear();
                self.asks.clear();
            }
            Fact::TakenIn { .. } => self.base = (Standing::AtBench, Some(at)),
            Fact::Released { restriction, .. } => self.release(restriction.as_deref(), at),
            Fact::Fitted(_)
            | Fact::Read(_)
            | Fact::Inspected(_)
            | Fact::Cured(_)
            | Fact::Noted(_)
            | Fact::Struck { .. }
            | Fact::Photographed(_) => {}
        }
    }

    /// Of two rests the longer one counts, from the day the first began.
    fn lie(&mut self, not_before: Timestamp, at: Timestamp, why: &str) {
        let since = self.rest.as_ref().map_or(at, |rest| rest.since);
        if self
            .rest
            .as_ref()
            .is_none_or(|rest| not_before >= rest.not_before)
        {
            let why = why.into();
            self.rest = Some(OpenRest {
                not_before,
                since,
                why,
            });
        }
    }

    /// A report merged into one that was struck since stands again by itself.
    fn merge(&mut self, duplicate: Seq, into: Seq) {
        if self.reports.iter().any(|report| report.0 == into) {
            self.reports.retain(|report| report.0 != duplicate);
        }
    }

    fn release(&mut self, restriction: Option<&str>, at: Timestamp) {
        let standing = restriction.map_or(Standing::Admitted, |restriction| Standing::Limited {
            restriction: restriction.into(),
        });
        self.base = (standing, Some(at));
        self.reports.clear();
        self.rest = None;
        self.waits.clear();
        self.asks.clear();
    }

    /// Where it stands, and since when.
    pub(crate) fn standing(&self) -> (Standing, Timestamp) {
        let base_since = self.base.1.unwrap_or(Timestamp::UNIX_EPOCH);
        if matches!(self.base.0, Standing::BackToOwner { .. }) {
            return (self.base.0.clone(), base_since);
        }
        if let Some(ask) = self.asks.first() {
            let what = format!("consent to work on {}: {}", ask.work, ask.what).into();
            return (Standing::WaitingForOwner { what }, ask.since);
        }
        let wait = |kind| self.waits.iter().find(|wait| wait.wait_for == kind);
        if let Some(OpenWait { since, what, .. }) = wait(WaitFor::Owner) {
            return (Standing::WaitingForOwner { what: what.clone() }, *since);
        }
        if let Some(OpenWait { since, what, .. }) = wait(WaitFor::Parts) {
            return (Standing::WaitingForParts { what: what.clone() }, *since);
        }
        if let Some(OpenRest {
            not_before, since, ..
        }) = self.rest
        {
            return (Standing::Resting { not_before }, since);
        }
        match self.reports.first() {
            Some((_, since, _)) => (Standing::BadOrdered, *since),
            None => (self.base.0.clone(), base_since),
        }
    }

    /// The reports of bad order that are open, oldest first.
    pub(crate) fn open_reports(&self) -> &[(Seq, Timestamp, BadOrder)] {
        &self.reports
    }

    /// The rest, if it rests.
    pub(crate) fn open_rest(&self) -> Option<&OpenRest> {
        self.rest.as_ref()
    }

    /// The waits that are open, oldest first.
    pub(crate) fn open_waits(&self) -> impl Iterator<Item = &OpenWait> {
        self.waits.iter()
    }

    /// What the owner is asked and has not answered, oldest first.
    pub(crate) fn open_asks(&self) -> &[OpenAsk] {
        &self.asks
    }

    /// The car as the bench meets it; `None` before it has marks and a description.
    pub(crate) fn as_car(&self) -> Option<Car> {
        let details = self.details.as_ref()?;
        Some(Car {
            mark: self.mark.clone()?,
            scale: details.scale,
            car_type: details.car_type.clone(),
            owner: self.ownership.owner.clone(),
            description: details.description.clone(),
            tags: details.tags.clone(),
            figures: details.figures.clone(),
        })
    }
}
