//! A file read and compared with the record, and entered: each as a job, with its progress told and an
//! end on request.
//!
//! A look keeps what a page shows of a file and lets the readings go; who enters the file reads it again,
//! so that no file of ten thousand cars lies in memory while somebody thinks about it.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::time::Duration;

use gradeworthy_sheets::intake::{Intake, Taking, take_matched};
use gradeworthy_store::{
    Difference, Import, ImportReceipt, ImportRow, ImportWatch, ImportedCar, Snapshot,
};

use super::api::{EnteredJson, LookJson};
use super::uploads::Upload;
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, JobId, Outcome, Progress, Stage, written};
use crate::refusal::Refusal;

/// How long a page waits for a job before it shows how far it is. ASSUMED: a person waits two seconds
/// without wondering; most sheets take less.
pub(super) const PAGE_PATIENCE: Duration = Duration::from_secs(2);
/// How long a program waits before it is told the job instead. ASSUMED: well below the half minute after
/// which an answer is given up.
pub(super) const PROGRAM_PATIENCE: Duration = Duration::from_secs(20);

/// What a file holds and what it would change.
pub(crate) struct Look {
    /// The sheets as they were read, without the records.
    pub(crate) intake: Intake,
    /// Cars in the file.
    pub(crate) cars: usize,
    /// Cars that the record has not.
    pub(crate) new_cars: usize,
    /// Readings and cures that would be entered.
    pub(crate) facts: usize,
    /// Readings and cures that are there already.
    pub(crate) there_already: usize,
    /// What it says otherwise than the record.
    pub(crate) differences: Vec<Difference>,
    /// Marks that more than one car bears.
    pub(crate) doubtful: Vec<Box<str>>,
    /// When this very file was taken in before, if it was.
    pub(crate) before: Option<ImportRow>,
}

impl Look {
    /// Cells, rows and cars that would be left out.
    pub(crate) fn problem_count(&self) -> usize {
        self.intake.refusals().count() + self.doubtful.len()
    }

    /// Whether there is nothing to enter.
    pub(crate) fn is_empty(&self) -> bool {
        self.new_cars == 0 && self.facts == 0
    }

    /// What would be entered, in a form that a page sends back: if it has changed meanwhile, the sender
    /// is shown the file again before anything is entered.
    pub(crate) fn seen(&self) -> String {
        let (new, facts) = (self.new_cars, self.facts);
        format!("{new} {facts} {}", self.problem_count())
    }
}

/// The parts of a job on a file, in hundredths of its progress. ASSUMED: by the times of a file of ten
/// thousand new cars; a wrong share makes the bar uneven and nothing else.
#[derive(Clone, Copy)]
struct Share {
    from: usize,
    to: usize,
}

impl Share {
    fn tell(self, progress: &Progress, done: usize, total: usize) -> ControlFlow<()> {
        let part = (self.to - self.from) * done.min(total) / total.max(1);
        progress.tell(self.from + part, 100)
    }
}

/// The word of a job that was ended.
pub(super) const ENDED: &str = "it was ended, and nothing was entered";

/// Reads a file and compares it with the record.
fn read(
    app: &App,
    snapshot: &Snapshot<'_>,
    upload: &Upload,
    (progress, most): (&Progress, usize),
) -> Result<(Look, Vec<ImportedCar>), Refusal> {
    let (reading, comparing) = (
        Share {
            from: 0,
            to: 7 * most / 10,
        },
        Share {
            from: 7 * most / 10,
            to: most,
        },
    );
    let ended = || gradeworthy_store::Error::Ended;
    let workbook = gradeworthy_sheets::read(&upload.bytes)?;
    let book = app.books().holding(snapshot, app.today())?;
    let taking = Taking {
        book: &book,
        scale: upload.scale,
    };
    let mut going = ControlFlow::Continue(());
    let mut intake = take_matched(&workbook, taking, &upload.matching, &mut |done, total| {
        going = reading.tell(progress, done, total);
    });
    drop(workbook);
    if going.is_break() {
        return Err(ended().into());
    }
    let records = std::mem::take(&mut intake.records);
    let plan = snapshot.plan_import(&records, &mut |done, total| {
        going = comparing.tell(progress, done, total);
    })?;
    if going.is_break() {
        return Err(ended().into());
    }
    let look = Look {
        cars: records.len(),
        new_cars: plan.new_cars(),
        facts: plan.fact_count(),
        there_already: plan.there_already,
        differences: plan.differences,
        doubtful: plan.doubtful,
        before: snapshot.import_of(&upload.sha256)?,
        intake,
    };
    Ok((look, plan.cars))
}

/// A file that was looked at.
pub(crate) struct Looked {
    pub(super) id: String,
    pub(super) name: String,
    pub(crate) look: Look,
}

impl Outcome for Looked {
    fn json(&self) -> Result<String, Refusal> {
        written(serde_json::to_string(&LookJson::new(
            &self.id, &self.name, &self.look,
        )))
    }
}

/// What was entered.
pub(crate) struct Entered(pub(crate) ImportReceipt);

impl Outcome for Entered {
    fn json(&self) -> Result<String, Refusal> {
        written(serde_json::to_string(&EnteredJson::from(self.0)))
    }
}

/// Looks at a file as the record stands now, or finds the look.
pub(super) fn look(app: &App, caller: &Caller, upload: Upload) -> Result<Job, Refusal> {
    let last = app.store().snapshot()?.last_event()?.number().to_string();
    let (revision, day) = (upload.revision.to_string(), app.today().to_string());
    let id = JobId::of("look", [&*upload.id, &revision, &last, &day]);
    let what = format!("Reading {}", upload.name);
    let own = app.clone();
    app.jobs()
        .start(id, &what, caller.member.id, move |progress| {
            let snapshot = own.store().snapshot().map_err(|why| why.to_string())?;
            let read = read(&own, &snapshot, &upload, (progress, 100));
            let (look, _) = read.map_err(|why| why.to_string())?;
            Ok(Arc::new(Looked {
                id: upload.id,
                name: upload.name,
                look,
            }))
        })
}

/// The look of a job that has ended with one.
pub(super) fn looked(job: &Job) -> Result<Option<Arc<Looked>>, Refusal> {
    match &job.stage {
        Stage::Failed(why) => Err(Refusal::JobFailed {
            why: why.to_string(),
        }),
        Stage::Cancelled => Err(Refusal::JobFailed { why: ENDED.into() }),
        Stage::Waiting(_) | Stage::Running(..) => Ok(None),
        Stage::Done(_) => Ok(job.found()),
    }
}

/// How a file is to be entered.
#[derive(Clone, Debug)]
pub(crate) struct Entering {
    /// What the sender saw it would do.
    pub(crate) seen: String,
    /// Whether what cannot be read may be left out.
    pub(crate) leave_out: bool,
}

impl Entering {
    /// Whether the file still does what its sender saw, and nothing is left out without his word.
    fn check(&self, look: &Look) -> Result<(), Refusal> {
        if look.seen() != self.seen {
            return Err(Refusal::SheetMovedOn);
        }
        let problems = look.problem_count();
        if problems > 0 && !self.leave_out {
            return Err(Refusal::SheetHasProblems { problems });
        }
        if look.is_empty() {
            return Err(Refusal::NothingNew);
        }
        Ok(())
    }
}

/// Begins to enter a file, if the look at it as the record stands now allows it; the job looks again
/// before it writes. While that look is not done there is nothing to enter, and its job is answered.
pub(super) fn enter(
    app: &App,
    caller: &Caller,
    upload: Upload,
    entering: Entering,
    patience: Duration,
) -> Result<Job, Refusal> {
    if let Some(id) = upload.entering
        && let Ok(job) = app.jobs().find(id)
        && matches!(
            job.stage,
            Stage::Waiting(_) | Stage::Running(..) | Stage::Done(_)
        )
    {
        return app.jobs().wait(id, patience);
    }
    let look = look(app, caller, upload.clone())?;
    let look = app.jobs().wait(look.id, patience)?;
    match looked(&look)? {
        None => return Ok(look),
        Some(looked) => entering.check(&looked.look)?,
    }
    let id = JobId::of("enter", [&*upload.id]);
    app.jobs().forget(id);
    app.uploads()
        .is_being_entered(caller.member.id, &upload.id, id)?;
    let what = format!("Entering {}", upload.name);
    let (own, by) = (app.clone(), caller.member.id);
    let job = app.jobs().start(id, &what, by, move |progress| {
        let receipt = write(&own, by, &upload, &entering, progress);
        let receipt = receipt.map_err(|why| why.to_string())?;
        Ok(Arc::new(Entered(receipt)))
    })?;
    app.jobs().wait(job.id, patience)
}

fn write(
    app: &App,
    by: gradeworthy_store::MemberId,
    upload: &Upload,
    entering: &Entering,
    progress: &Progress,
) -> Result<ImportReceipt, Refusal> {
    /// Where the writing begins, in hundredths.
    const WRITING: usize = 40;
    let snapshot = app.store().snapshot()?;
    let (look, cars) = read(app, &snapshot, upload, (progress, WRITING))?;
    drop(snapshot);
    entering.check(&look)?;
    let import = Import {
        by,
        at: app.now(),
        file_name: upload.name.as_str().into(),
        file_sha256: upload.sha256,
        cars,
    };
    let progress = progress.clone();
    let writing = Share {
        from: WRITING,
        to: 100,
    };
    let watch: ImportWatch = Box::new(move |done, total| writing.tell(&progress, done, total));
    Ok(app.store().import_watched(import, watch)?)
}
