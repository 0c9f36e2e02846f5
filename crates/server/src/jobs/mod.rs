//! Long work, apart from the pages: a bounded queue, threads of its own, progress, an end on request,
//! and the result kept for its input.
//!
//! A job is known by the hash of what it works on. Asking for the same again finds the job that is
//! waiting, running or done, so that a page may be loaded anew as often as one likes.
//! Patient work, which may take minutes, gives way: quick work that comes is done in between, on the same
//! thread, so that nobody's climb waits for somebody else's search for advice.
//! Results live as long as the program and at most [`KEPT`] of them; they are worked out again when
//! somebody asks again.

mod api;
mod id;

use std::any::Any;
use std::collections::{BTreeMap, VecDeque};
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, Weak};
use std::time::Duration;

use gradeworthy_store::MemberId;

use crate::refusal::Refusal;

pub(crate) use api::{__path_cancel_json, __path_result_json, __path_state_json};
pub(crate) use api::{JobJson, cancel_json, result_json, state_json};
pub(crate) use api::{cancel, named};
pub(crate) use id::JobId;

/// Jobs that may wait. ASSUMED: more than a session's planners ask for at once.
const WAITING_MOST: usize = 16;
/// Jobs whose end is remembered. ASSUMED: some ten megabytes each at the most.
const KEPT: usize = 12;

/// What a job found.
pub(crate) trait Outcome: Any + Send + Sync {
    /// All of it, for programs.
    fn json(&self) -> Result<String, Refusal>;
}

/// A result as it was written for programs; one that could not be is a fault of ours.
pub(crate) fn written<E: std::fmt::Display>(text: Result<String, E>) -> Result<String, Refusal> {
    text.map_err(|error| Refusal::Fault {
        what: error.to_string(),
    })
}

/// How far a job has come; told by the job, read by pages. A clone is the same one.
#[derive(Clone, Default)]
pub(crate) struct Progress(Arc<Told>);

#[derive(Default)]
struct Told {
    done: AtomicUsize,
    total: AtomicUsize,
    stop: AtomicBool,
    so_far: Mutex<SoFar>,
    /// The runner, of patient work only.
    gives_way_to: Weak<Shared>,
}

/// What a job that goes on has found already.
#[derive(Clone, Default)]
struct SoFar {
    parts: usize,
    outcome: Option<Arc<dyn Outcome>>,
}

impl Progress {
    /// Says how far it is, and hears whether to go on.
    pub(crate) fn tell(&self, done: usize, total: usize) -> ControlFlow<()> {
        self.0.done.store(done, Ordering::Relaxed);
        self.0.total.store(total, Ordering::Relaxed);
        if self.is_stopped() {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn is_stopped(&self) -> bool {
        self.0.stop.load(Ordering::Relaxed)
    }

    fn stop(&self) {
        self.0.stop.store(true, Ordering::Relaxed);
    }

    /// Does the quick work that has come meanwhile; nothing for quick work itself.
    pub(crate) fn give_way(&self) {
        let Some(shared) = self.0.gives_way_to.upgrade() else {
            return;
        };
        loop {
            let next = lock(&shared).take_quick();
            match next {
                Some(next) => next.run(&shared),
                None => return,
            }
        }
    }

    /// Shows what has been found so far; it can be read while the job goes on, and after it was ended.
    pub(crate) fn show(&self, outcome: Arc<dyn Outcome>) {
        let mut own = self.0.so_far.lock().unwrap_or_else(PoisonError::into_inner);
        own.parts += 1;
        own.outcome = Some(outcome);
    }

    fn so_far(&self) -> SoFar {
        let own = self.0.so_far.lock();
        own.unwrap_or_else(PoisonError::into_inner).clone()
    }
}

type Work = Box<dyn FnOnce(&Progress) -> Result<Arc<dyn Outcome>, String> + Send>;

/// Where a job stands.
#[derive(Clone)]
pub(crate) enum Stage {
    /// Behind so many others.
    Waiting(usize),
    /// So much is done, of so much.
    Running(usize, usize),
    /// There is a result.
    Done(Arc<dyn Outcome>),
    /// It cannot be worked out, and why.
    Failed(Arc<str>),
    /// Somebody ended it.
    Cancelled,
}

/// A job as pages see it.
#[derive(Clone)]
pub(crate) struct Job {
    pub(crate) id: JobId,
    pub(crate) what: Arc<str>,
    pub(crate) by: MemberId,
    pub(crate) stage: Stage,
    /// How often it has shown what it had found so far.
    pub(crate) parts: usize,
    so_far: Option<Arc<dyn Outcome>>,
}

impl Job {
    /// Its result; while it goes on, or where it was ended, what it had found until then.
    pub(crate) fn outcome(&self) -> Option<&Arc<dyn Outcome>> {
        match &self.stage {
            Stage::Done(outcome) => Some(outcome),
            Stage::Waiting(_) | Stage::Running(..) | Stage::Failed(_) | Stage::Cancelled => {
                self.so_far.as_ref()
            }
        }
    }

    /// The same, where it is of that kind.
    pub(crate) fn found<T: Outcome>(&self) -> Option<Arc<T>> {
        let any: Arc<dyn Any + Send + Sync> = Arc::<dyn Outcome>::clone(self.outcome()?);
        any.downcast().ok()
    }
}

struct Entry {
    what: Arc<str>,
    by: MemberId,
    progress: Progress,
    work: Option<Work>,
    is_patient: bool,
    end: Option<Stage>,
}

/// A job that was taken from the queue.
struct Taken {
    id: JobId,
    work: Work,
    progress: Progress,
}

#[derive(Default)]
struct Shelf {
    entries: BTreeMap<JobId, Entry>,
    waiting: VecDeque<JobId>,
    ended: VecDeque<JobId>,
    threads: usize,
    closed: bool,
}

#[derive(Default)]
struct Shared {
    shelf: Mutex<Shelf>,
    wake: Condvar,
    ended: Condvar,
}

/// The runner.
#[derive(Default)]
pub(crate) struct Jobs(Arc<Shared>);

/// A fault in a job leaves the shelf whole: every change of it is one step.
fn lock(shared: &Shared) -> MutexGuard<'_, Shelf> {
    shared.shelf.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Threads: half of the machine's, so that the benches never wait for a climb.
fn threads_most() -> usize {
    let all = std::thread::available_parallelism().map_or(1, usize::from);
    (all / 2).max(1)
}

impl Jobs {
    /// The job on this input: the one there is, or this one, put at the end of the quick ones.
    pub(crate) fn start(
        &self,
        id: JobId,
        what: &str,
        by: MemberId,
        work: impl FnOnce(&Progress) -> Result<Arc<dyn Outcome>, String> + Send + 'static,
    ) -> Result<Job, Refusal> {
        let progress = Progress::default();
        self.queue(id, Entry::new(what, by, progress, Box::new(work)), false)
    }

    /// The same for work that takes long, tells how far it is often, and gives way each time.
    pub(crate) fn start_patient(
        &self,
        id: JobId,
        what: &str,
        by: MemberId,
        work: impl FnOnce(&Progress) -> Result<Arc<dyn Outcome>, String> + Send + 'static,
    ) -> Result<Job, Refusal> {
        let progress = Progress(Arc::new(Told {
            gives_way_to: Arc::downgrade(&self.0),
            ..Told::default()
        }));
        self.queue(id, Entry::new(what, by, progress, Box::new(work)), true)
    }

    fn queue(&self, id: JobId, entry: Entry, is_patient: bool) -> Result<Job, Refusal> {
        let mut shelf = lock(&self.0);
        let again = match shelf.entries.get(&id) {
            Some(own) => matches!(own.end, Some(Stage::Cancelled)),
            None => true,
        };
        if again {
            if shelf.waiting.len() >= WAITING_MOST {
                return Err(Refusal::Busy {
                    waiting: shelf.waiting.len(),
                });
            }
            shelf.put(
                id,
                Entry {
                    is_patient,
                    ..entry
                },
            );
            if shelf.threads < threads_most() {
                let shared = Arc::clone(&self.0);
                let thread = std::thread::Builder::new().name("job".to_owned());
                match thread.spawn(move || serve(&shared)) {
                    Ok(_) => shelf.threads += 1,
                    // One thread at least is needed; with another one already there it will do.
                    Err(_) if shelf.threads > 0 => {}
                    Err(error) => {
                        let what = error.to_string();
                        shelf.drop_entry(id);
                        return Err(Refusal::Fault { what });
                    }
                }
            }
            self.0.wake.notify_one();
        }
        shelf.job(id).ok_or(Refusal::NoSuchJob)
    }

    /// The job of that name.
    pub(crate) fn find(&self, id: JobId) -> Result<Job, Refusal> {
        lock(&self.0).job(id).ok_or(Refusal::NoSuchJob)
    }

    /// The job of that name once it has ended, or as it is when `patience` is over.
    pub(crate) fn wait(&self, id: JobId, patience: Duration) -> Result<Job, Refusal> {
        let is_open = |shelf: &mut Shelf| {
            let own = shelf.entries.get(&id);
            own.is_some_and(|own| own.end.is_none())
        };
        let waited = self
            .0
            .ended
            .wait_timeout_while(lock(&self.0), patience, is_open);
        let (shelf, _) = waited.unwrap_or_else(PoisonError::into_inner);
        shelf.job(id).ok_or(Refusal::NoSuchJob)
    }

    /// Lets the result of a job go, so that it is worked out anew when somebody asks again.
    pub(crate) fn forget(&self, id: JobId) {
        let mut shelf = lock(&self.0);
        if shelf.entries.get(&id).is_some_and(|own| own.end.is_some()) {
            shelf.ended.retain(|own| *own != id);
            shelf.entries.remove(&id);
        }
    }

    /// Ends a job that waits or runs; one that has ended stays as it is.
    pub(crate) fn cancel(&self, id: JobId) -> Result<Job, Refusal> {
        let mut shelf = lock(&self.0);
        let was_waiting = shelf.waiting.contains(&id);
        let entry = shelf.entries.get_mut(&id).ok_or(Refusal::NoSuchJob)?;
        entry.progress.stop();
        if was_waiting {
            shelf.waiting.retain(|own| *own != id);
            shelf.end(id, Stage::Cancelled);
            self.0.ended.notify_all();
        }
        shelf.job(id).ok_or(Refusal::NoSuchJob)
    }
}

impl Drop for Jobs {
    /// Work that waits is dropped, work that runs is asked to end; nobody waits for it.
    fn drop(&mut self) {
        let mut shelf = lock(&self.0);
        shelf.closed = true;
        shelf.waiting.clear();
        for entry in shelf.entries.values_mut() {
            entry.progress.stop();
            entry.work = None;
        }
        self.0.wake.notify_all();
    }
}

impl Entry {
    fn new(what: &str, by: MemberId, progress: Progress, work: Work) -> Self {
        Self {
            what: what.into(),
            by,
            progress,
            work: Some(work),
            is_patient: false,
            end: None,
        }
    }
}

impl Shelf {
    /// Quick work waits ahead of patient work.
    fn put(&mut self, id: JobId, entry: Entry) {
        self.ended.retain(|own| *own != id);
        let is_patient = |own: &JobId| self.entries.get(own).is_some_and(|own| own.is_patient);
        let quick = self
            .waiting
            .iter()
            .take_while(|own| !is_patient(own))
            .count();
        let at = if entry.is_patient {
            self.waiting.len()
        } else {
            quick
        };
        self.waiting.insert(at, id);
        self.entries.insert(id, entry);
    }

    /// What waits longest, quick work first.
    fn take(&mut self) -> Option<Taken> {
        let id = self.waiting.pop_front()?;
        let entry = self.entries.get_mut(&id)?;
        Some(Taken {
            id,
            work: entry.work.take()?,
            progress: entry.progress.clone(),
        })
    }

    /// The same, quick work only.
    fn take_quick(&mut self) -> Option<Taken> {
        let first = self.waiting.front()?;
        if self.closed || self.entries.get(first)?.is_patient {
            return None;
        }
        self.take()
    }

    fn job(&self, id: JobId) -> Option<Job> {
        let entry = self.entries.get(&id)?;
        let stage = match &entry.end {
            Some(end) => end.clone(),
            None => match self.waiting.iter().position(|own| *own == id) {
                Some(ahead) => Stage::Waiting(ahead),
                None => Stage::Running(
                    entry.progress.0.done.load(Ordering::Relaxed),
                    entry.progress.0.total.load(Ordering::Relaxed),
                ),
            },
        };
        let so_far = entry.progress.so_far();
        Some(Job {
            id,
            what: Arc::clone(&entry.what),
            by: entry.by,
            stage,
            parts: so_far.parts,
            so_far: so_far.outcome,
        })
    }

    fn end(&mut self, id: JobId, stage: Stage) {
        if let Some(entry) = self.entries.get_mut(&id) {
            entry.end = Some(stage);
            entry.work = None;
            self.ended.push_back(id);
        }
        while self.ended.len() > KEPT {
            if let Some(oldest) = self.ended.pop_front() {
                self.entries.remove(&oldest);
            }
        }
    }

    fn drop_entry(&mut self, id: JobId) {
        self.waiting.retain(|own| *own != id);
        self.entries.remove(&id);
    }
}

impl Taken {
    /// Does the work, and puts its end on the shelf.
    fn run(self, shared: &Shared) {
        let Self { id, work, progress } = self;
        let result = catch_unwind(AssertUnwindSafe(|| work(&progress)));
        let stopped = progress.is_stopped();
        let stage = match result {
            Ok(Ok(outcome)) => Stage::Done(outcome),
            Ok(Err(_)) if stopped => Stage::Cancelled,
            Ok(Err(why)) => Stage::Failed(why.into()),
            Err(_) => {
                Stage::Failed("a part of this program stopped, which is a fault of it".into())
            }
        };
        lock(shared).end(id, stage);
        shared.ended.notify_all();
    }
}

/// One thread: takes what waits longest, until the runner is gone.
fn serve(shared: &Shared) {
    loop {
        let taken = {
            let mut shelf = lock(shared);
            loop {
                if shelf.closed {
                    return;
                }
                let is_empty = shelf.waiting.is_empty();
                match shelf.take() {
                    Some(taken) => break taken,
                    None if !is_empty => {}
                    None => {
                        shelf = shared
                            .wake
                            .wait(shelf)
                            .unwrap_or_else(PoisonError::into_inner);
                    }
                }
            }
        };
        taken.run(shared);
    }
}

#[cfg(test)]
mod tests;
