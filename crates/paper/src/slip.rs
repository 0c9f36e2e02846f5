//! The bad-order slip: lies with a car that was set out, until somebody has looked at it.
//!
//! Marks, defect, place, date and who, as the tag of a prototype car carries them [CFR-215], and the
//! code that makes a slip which has parted from its car findable again.

use crate::PaperError;
use crate::face::Fonts;
use crate::label::{Address, on_sheets};
use crate::label_sheet::Layout;
use crate::pdf::{self, Printed};
use crate::stack::Para;
use crate::ticket::{self, Ticket};

/// What stands on a slip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// Reporting marks and number.
    pub mark: String,
    /// What it is.
    pub what: String,
    /// Whose it is, where known.
    pub owner: Option<String>,
    /// What is wrong.
    pub defect: String,
    /// Where on the car.
    pub place: String,
    /// What else the finder said; may be empty.
    pub note: String,
    /// Who reported it.
    pub by: String,
    /// When, in the shop's own time.
    pub at: String,
    /// Where the code leads.
    pub address: Address,
}

impl Slip {
    fn body(&self) -> Vec<Para> {
        let large = |text: &str| Para {
            scale: 1.7,
            ..Para::new(text).bold()
        };
        let mut body = vec![
            large(&self.defect),
            Para::new(format!("Where: {}", self.place)),
        ];
        if !self.note.is_empty() {
            body.push(Para::new(format!("Note: {}", self.note)));
        }
        body.push(Para::new(format!("Reported by {}, {}", self.by, self.at)));
        body.push(Para {
            above: 0.6,
            ..Para::new("Set the car out and leave this slip with it.").bold()
        });
        body
    }
}

/// Slips on sheets, each of their labels one slip; [`crate::LabelSheet::quarters`] is the usual one.
///
/// # Errors
/// [`PaperError`] when the sheet cannot be or nothing is to be printed.
pub fn slips(slips: &[Slip], layout: &Layout) -> Result<Printed, PaperError> {
    if slips.is_empty() {
        return Err(PaperError::Nothing { what: "report" });
    }
    ticket::check(&layout.sheet)?;
    let fonts = Fonts::load()?;
    let mut notes = Vec::new();
    let pages = on_sheets(layout, slips, |slip, frame| {
        let ticket = Ticket {
            kind: "Bad-order slip",
            mark: &slip.mark,
            what: &slip.what,
            owner: slip.owner.as_deref(),
            address: &slip.address,
            banner: ("✕ BAD ORDER".to_owned(), true),
            body: slip.body(),
            fields: &["Found", "Done", "Released by, on"],
            foot: "The car runs again when an inspector has released it in the record, not when this slip \
                   is gone."
                .to_owned(),
            hole: false,
        };
        ticket.lay(&fonts, frame, &mut notes)
    })?;
    let title = match slips {
        [only] => format!("Bad-order slip of {}", only.mark),
        all => format!("{} bad-order slips", all.len()),
    };
    let count = pages.len();
    let pdf = pdf::write(&fonts, &title, layout.sheet.paper, pages)?;
    Ok(Printed {
        pdf,
        pages: count,
        notes,
    })
}
