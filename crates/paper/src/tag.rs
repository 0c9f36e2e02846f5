//! The shop tag: hangs on a car while it is at the bench and says what was found and what to do, with
//! the numbers and the cautions, and where to write what was done.

use gradeworthy_reports::words::System;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Inspection;
use gradeworthy_workbench::cures::Cure;
use gradeworthy_workbench::record::Car;
use jiff::civil::Date;

use crate::PaperError;
use crate::face::Fonts;
use crate::label::{Address, Judged, on_sheets, sign};
use crate::label_sheet::Layout;
use crate::pdf::{self, Printed};
use crate::stack::Para;
use crate::ticket::{self, Ticket};
use crate::work::{self, TagWork};

/// What stands on a tag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// Reporting marks and number.
    pub mark: String,
    /// What it is.
    pub what: String,
    /// Whose it is, where known.
    pub owner: Option<String>,
    /// The verdict.
    pub judged: Judged,
    /// What was found, each with the sign of its verdict.
    pub found: Vec<(&'static str, String)>,
    /// What to do.
    pub work: Vec<TagWork>,
    /// Where the code leads.
    pub address: Address,
}

impl Tag {
    /// The tag of a judged car.
    #[must_use]
    pub fn of(
        car: &Car,
        (inspection, cures): (&Inspection, &[Cure]),
        on: Date,
        address: Address,
        system: System,
    ) -> Self {
        Self {
            mark: car.mark.to_string(),
            what: work::what(car),
            owner: car.owner.as_deref().map(str::to_owned),
            judged: Judged {
                verdict: inspection.verdict,
                edition: inspection.edition,
                on,
            },
            found: work::found(inspection, system),
            work: work::work(cures, system),
            address,
        }
    }

    fn body(&self) -> Vec<Para> {
        let mut body = vec![Para::heading("Found")];
        if self.found.is_empty() {
            body.push(Para::new("Everything that was checked is fit."));
        }
        for (sign, text) in &self.found {
            body.push(Para::hung(sign, text.as_str()));
        }
        if !self.work.is_empty() {
            body.push(Para::heading("To do"));
        }
        for work in &self.work {
            body.push(Para::hung("→", work.what.as_str()));
            if let Some(then) = &work.then {
                body.push(Para::hung("↻", then.as_str()));
            }
            if let Some(caution) = &work.caution {
                body.push(Para::hung("!", format!("Caution: {caution}")).bold());
            }
        }
        body
    }
}

/// Tags on sheets, each of their labels one tag; [`crate::LabelSheet::quarters`] is the usual one.
///
/// # Errors
/// [`PaperError`] when the sheet cannot be or nothing is to be printed.
pub fn tags(tags: &[Tag], layout: &Layout) -> Result<Printed, PaperError> {
    if tags.is_empty() {
        return Err(PaperError::Nothing { what: "car" });
    }
    ticket::check(&layout.sheet)?;
    let fonts = Fonts::load()?;
    let mut notes = Vec::new();
    let pages = on_sheets(layout, tags, |tag, frame| {
        let Judged {
            verdict,
            edition,
            on,
        } = tag.judged;
        let word = verdict.word().to_uppercase();
        let ticket = Ticket {
            kind: "Shop tag",
            mark: &tag.mark,
            what: &tag.what,
            owner: tag.owner.as_deref(),
            address: &tag.address,
            banner: (
                format!("{} {word}", sign(verdict)),
                verdict == Verdict::BadOrder,
            ),
            body: tag.body(),
            fields: &["Done by, on", "Looked at again by, on"],
            foot: format!(
                "Judged under edition {edition} of the rule book as of {on}. Margins, not promises. Whoever \
                 hangs this tag on a car takes it off again; the record decides."
            ),
            hole: true,
        };
        ticket.lay(&fonts, frame, &mut notes)
    })?;
    let title = match tags {
        [only] => format!("Shop tag of {}", only.mark),
        all => format!("Shop tags of {} cars", all.len()),
    };
    let count = pages.len();
    let pdf = pdf::write(&fonts, &title, layout.sheet.paper, pages)?;
    Ok(Printed {
        pdf,
        pages: count,
        notes,
    })
}
