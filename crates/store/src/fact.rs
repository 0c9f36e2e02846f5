//! What can happen to a car. The record of a car is the list of its facts, in order; everything else
//! that is said of it follows from them.
//!
//! A fact is never changed. A mistake is struck by a further fact, which names the one it strikes;
//! the struck one stays readable and no longer counts.

mod lists;

use gradeworthy_standards::Scale;
use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Inspection;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{CarMark, CarType, Check, Entry, Figures, Place, Tag};
use jiff::Timestamp;
use jiff::civil::Date;

use crate::{CarId, ClientId, MemberId, Seq, Version};

pub(crate) use lists::plain_list;
pub use lists::{Defect, Part, PhotoType, WaitFor, Work};

/// One thing that happened to a car.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Reporting marks and number, from now on.
    Lettered(CarMark),
    /// Whose it is, from now on.
    Owned(Ownership),
    /// What it is, from now on.
    Described(Box<Details>),
    /// A part was fitted.
    Fitted(Fitting),
    /// Something was read.
    Read(Entry),
    /// Its readings were judged.
    Inspected(Box<RecordedInspection>),
    /// A cure was carried out.
    Cured(CureDone),
    /// Somebody noted something.
    Noted(Box<str>),
    /// The owner's word on a kind of work.
    Consented {
        /// The kind of work.
        work: Work,
        /// Whether it may be done.
        granted: bool,
        /// What he said with it; where somebody else enters it for him, who gave the word and how.
        word: Box<str>,
    },
    /// The owner is asked about a kind of work; his next word on that kind answers it.
    Asked {
        /// The kind of work.
        work: Work,
        /// What is to be done.
        what: Box<str>,
    },
    /// An earlier fact was a mistake.
    Struck {
        /// The mistaken fact.
        struck: Seq,
        /// Why it was one.
        why: Box<str>,
    },
    /// The car was reported in bad order.
    BadOrdered(BadOrder),
    /// Two reports are of one defect.
    Merged {
        /// The report that no longer counts.
        duplicate: Seq,
        /// The report that stands.
        into: Seq,
    },
    /// Something done to it must rest before the second look.
    Rested {
        /// When the second look may be taken.
        not_before: Timestamp,
        /// What rests.
        why: Box<str>,
    },
    /// It waits for somebody or something.
    Waiting {
        /// For what.
        wait_for: WaitFor,
        /// Which parts, which question.
        what: Box<str>,
    },
    /// What it waited for has come.
    WaitEnded {
        /// The wait that is over.
        wait: Seq,
        /// What came of it.
        note: Box<str>,
    },
    /// It went back to its owner.
    HandedBack {
        /// Why.
        why: Box<str>,
    },
    /// It came to the bench again.
    TakenIn {
        /// Why.
        why: Box<str>,
    },
    /// It joined the fleet, for the first time or again.
    Released {
        /// What it may not do; `None` for a car without restriction.
        restriction: Option<Box<str>>,
        /// What else is to be said.
        note: Box<str>,
    },
    /// A photograph was kept.
    Photographed(Photo),
}

impl Fact {
    /// The kind, as the record spells it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Lettered(_) => "lettering",
            Self::Owned(_) => "ownership",
            Self::Described(_) => "description",
            Self::Fitted(_) => "fitting",
            Self::Read(_) => "reading",
            Self::Inspected(_) => "inspection",
            Self::Cured(_) => "cure",
            Self::Noted(_) => "note",
            Self::Consented { .. } => "consent",
            Self::Asked { .. } => "ask",
            Self::Struck { .. } => "strike",
            Self::BadOrdered(_) => "bad order",
            Self::Merged { .. } => "merge",
            Self::Rested { .. } => "rest",
            Self::Waiting { .. } => "wait",
            Self::WaitEnded { .. } => "wait end",
            Self::HandedBack { .. } => "handing back",
            Self::TakenIn { .. } => "taking in",
            Self::Released { .. } => "release",
            Self::Photographed(_) => "photo",
        }
    }

    /// Whether a sender need not have seen the car's latest events: what an operator says from the
    /// line holds whatever the bench was doing meanwhile.
    pub(crate) fn may_be_blind(&self) -> bool {
        matches!(
            self,
            Self::BadOrdered(_) | Self::Noted(_) | Self::Photographed(_)
        )
    }
}

/// A fact in its place in the record.
#[derive(Clone, Debug, PartialEq)]
pub struct CarEvent {
    /// Its place in the order of everything.
    pub seq: Seq,
    /// The car.
    pub car: CarId,
    /// When, to the microsecond.
    pub at: Timestamp,
    /// Who.
    pub by: MemberId,
    /// The second name, where one was needed.
    pub second: Option<MemberId>,
    /// The sender's identity of it.
    pub client_id: ClientId,
    /// What happened.
    pub fact: Fact,
    /// Who struck it, if anybody did.
    pub struck: Option<StrikeNote>,
}

/// Who struck a fact, when and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StrikeNote {
    /// The event that strikes.
    pub seq: Seq,
    /// When.
    pub at: Timestamp,
    /// Who.
    pub by: MemberId,
    /// Why.
    pub why: Box<str>,
}

/// Whose a car is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ownership {
    /// The owner's name, where known.
    pub owner: Option<Box<str>>,
    /// The member who is the owner, where he is one.
    pub member: Option<MemberId>,
}

/// What a car is: everything but its marks and its owner.
#[derive(Clone, Debug, PartialEq)]
pub struct Details {
    /// The scale it is built to.
    pub scale: Scale,
    /// Its type letters, where known.
    pub car_type: Option<CarType>,
    /// What the record calls it.
    pub description: Option<Box<str>>,
    /// Words that exceptions look for.
    pub tags: Vec<Tag>,
    /// What was measured once and for all.
    pub figures: Figures,
}

/// A part that was fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitting {
    /// What kind of part.
    pub part: Part,
    /// Where.
    pub place: Place,
    /// Maker and kind, as the shop writes it.
    pub description: Box<str>,
    /// Its lot, where known.
    pub lot: Option<Box<str>>,
}

/// A cure that was carried out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CureDone {
    /// What was done.
    pub cure: CureKind,
    /// Where.
    pub place: Place,
    /// The day, where known.
    pub done_on: Option<Date>,
    /// In numbers or words.
    pub note: Box<str>,
}

/// A report of bad order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadOrder {
    /// What is wrong, from the plain list.
    pub defect: Defect,
    /// Where on the car.
    pub place: Place,
    /// What else the finder says.
    pub note: Box<str>,
}

/// A photograph; its bytes are kept once for each content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// SHA-256 of the bytes.
    pub sha256: [u8; 32],
    /// How they are coded.
    pub media_type: PhotoType,
    /// Width, pixels.
    pub width_px: u16,
    /// Height, pixels.
    pub height_px: u16,
    /// What it shows.
    pub caption: Box<str>,
}

/// An inspection as the record keeps it: what was said, in the words it was said in.
///
/// Limits and clauses may be worded otherwise in a later version of the tool; this is what stood on
/// the page that day.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordedInspection {
    /// The edition of the rule book.
    pub edition: u32,
    /// The last event whose readings were judged.
    pub read_to: Version,
    /// The verdict on the car.
    pub verdict: Verdict,
    /// The verdict of each check, in bench order.
    pub checks: [Verdict; Check::ALL.len()],
    /// Every judged reading.
    pub lines: Vec<RecordedLine>,
    /// What else there was to know.
    pub findings: Vec<Box<str>>,
}

/// One judged reading, as recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordedLine {
    /// The check it belongs to.
    pub check: Check,
    /// What it is about.
    pub aspect: Box<str>,
    /// Where.
    pub place: Place,
    /// The reading, or what was computed from readings.
    pub reading: Option<Amount>,
    /// The lower limit.
    pub lower: Option<Amount>,
    /// The upper limit.
    pub upper: Option<Amount>,
    /// Distance to the nearer limit, positive inside.
    pub margin: Option<Amount>,
    /// Conformance probability, where the uncertainty was known.
    pub conformity: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// On whose word.
    pub grounds: Box<str>,
}

impl RecordedInspection {
    /// What the record keeps of `inspection`, which judged the readings up to `read_to`.
    #[must_use]
    pub fn of(inspection: &Inspection, read_to: Version) -> Self {
        let lines = inspection.lines.iter().map(|line| RecordedLine {
            check: line.check,
            aspect: line.aspect.to_string().into(),
            place: line.place,
            reading: line.reading,
            lower: line.lower,
            upper: line.upper,
            margin: line.margin,
            conformity: line.conformity,
            verdict: line.verdict,
            grounds: line.grounds.to_string().into(),
        });
        Self {
            edition: inspection.edition,
            read_to,
            verdict: inspection.verdict,
            checks: inspection.checks,
            lines: lines.collect(),
            findings: inspection
                .findings
                .iter()
                .map(|finding| finding.to_string().into())
                .collect(),
        }
    }

    /// The checks that were made, in bench order.
    pub fn made(&self) -> impl Iterator<Item = Check> {
        let made = |check: &Check| self.checks[*check as usize] != Verdict::NotChecked;
        Check::ALL.into_iter().filter(made)
    }
}
