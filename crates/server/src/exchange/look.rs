//! A file read and compared with the record, and entered.

use gradeworthy_sheets::intake::{Intake, Taking, take_matched};
use gradeworthy_store::{Import, ImportPlan, ImportReceipt, ImportRow, Snapshot};

use super::uploads::Upload;
use crate::App;
use crate::guard::Caller;
use crate::refusal::Refusal;

/// What a file holds and what it would change.
pub(crate) struct Look {
    pub(crate) intake: Intake,
    pub(crate) plan: ImportPlan,
    /// When this very file was taken in before, if it was.
    pub(crate) before: Option<ImportRow>,
}

impl Look {
    /// Cells, rows and cars that would be left out.
    pub(crate) fn problem_count(&self) -> usize {
        self.intake.refusals().count() + self.plan.doubtful.len()
    }

    /// What would be entered, in a form that a page sends back: if it has changed meanwhile, the sender
    /// is shown the file again before anything is entered.
    pub(crate) fn seen(&self) -> String {
        let (new, facts) = (self.plan.new_cars(), self.plan.fact_count());
        format!("{new} {facts} {}", self.problem_count())
    }
}

/// Reads a file and compares it with the record.
pub(crate) fn look(app: &App, snapshot: &Snapshot<'_>, upload: &Upload) -> Result<Look, Refusal> {
    let workbook = gradeworthy_sheets::read(&upload.bytes)?;
    let book = app.books().holding(snapshot, app.today())?;
    let taking = Taking {
        book: &book,
        scale: upload.scale,
    };
    let intake = take_matched(&workbook, taking, &upload.matching, &mut |_, _| {});
    let plan = snapshot.plan_import(&intake.records, &mut |_, _| {})?;
    Ok(Look {
        intake,
        plan,
        before: snapshot.import_of(&upload.sha256)?,
    })
}

/// How a file is to be entered.
pub(crate) struct Entering<'a> {
    /// What the sender saw it would do.
    pub(crate) seen: &'a str,
    /// Whether what cannot be read may be left out.
    pub(crate) leave_out: bool,
}

/// Enters a file, if it still does what its sender saw and nothing is left out without his word.
pub(crate) fn enter(
    app: &App,
    caller: &Caller,
    upload: &Upload,
    entering: &Entering<'_>,
) -> Result<ImportReceipt, Refusal> {
    let look = look(app, &app.store().snapshot()?, upload)?;
    if look.seen() != entering.seen {
        return Err(Refusal::SheetMovedOn);
    }
    let problems = look.problem_count();
    if problems > 0 && !entering.leave_out {
        return Err(Refusal::SheetHasProblems { problems });
    }
    if look.plan.is_empty() {
        return Err(Refusal::NothingNew);
    }
    let receipt = app.store().import(Import {
        by: caller.member.id,
        at: app.now(),
        file_name: upload.name.as_str().into(),
        file_sha256: upload.sha256,
        cars: look.plan.cars,
    })?;
    app.uploads().let_go(caller.member.id, &upload.id);
    Ok(receipt)
}
