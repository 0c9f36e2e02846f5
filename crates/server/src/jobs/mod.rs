//! Long work, apart from the pages: a bounded queue, threads of its own, progress, an end on request,
//! and the result kept for its input.
//!
//! A job is known by the hash of what it works on. Asking for the same again finds the job that is
//! waiting, running or done, so that a page may be loaded anew as often as one likes.
//! Results live as long as the program and at most [`KEPT`] of them; they are worked out again when
//! somebody asks again.

mod api;
mod id;

use std::any::Any;
use std::collections::{BTreeMap, VecDeque};
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
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

impl dyn Outcome {
    /// The outcome of a job as what it is, if the job is done and it is that.
    pub(crate) fn of<T: Outcome>(job: &Job) -> Option<Arc<T>> {
        let Stage::Done(outcome) = &job.stage else {
            return None;
        };
        let any: Arc<dyn Any + Send + Sync> = Arc::<dyn Outcome>::clone(outcome);
        any.downcast().ok()
    }
}

/// How far a job has come; told by the job, read by pages. A clone is the same one.
#[derive(Clone, Debug, Default)]
pub(crate) struct Progress(Arc<Told>);

#[derive(Debug, Default)]
struct Told {
    done: AtomicUsize,
    total: AtomicUsize,
    stop: AtomicBool,
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
}

struct Entry {
    what: Arc<str>,
    by: MemberId,
    progress: Progress,
    work: Option<Work>,
    end: Option<Stage>,
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
    /// The job on this input: the one there is, or this one, put at the end of the queue.
    pub(crate) fn start(
        &self,
        id: JobId,
        what: &str,
        by: MemberId,
        work: impl FnOnce(&Progress) -> Result<Arc<dyn Outcome>, String> + Send + 'static,
    ) -> Result<Job, Refusal> {
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
            shelf.ended.retain(|own| *own != id);
            let entry = Entry {
                what: what.into(),
                by,
                progress: Progress::default(),
                work: Some(Box::new(work)),
                end: None,
            };
            shelf.entries.insert(id, entry);
            shelf.waiting.push_back(id);
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

impl Shelf {
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
        Some(Job {
            id,
            what: Arc::clone(&entry.what),
            by: entry.by,
            stage,
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

/// One thread: takes what waits longest, until the runner is gone.
fn serve(shared: &Shared) {
    loop {
        let (id, work, progress) = {
            let mut shelf = lock(shared);
            loop {
                if shelf.closed {
                    return;
                }
                let next = shelf.waiting.pop_front();
                let taken = next.and_then(|id| {
                    let entry = shelf.entries.get_mut(&id)?;
                    Some((id, entry.work.take()?, entry.progress.clone()))
                });
                match taken {
                    Some(taken) => break taken,
                    None if next.is_some() => {}
                    None => {
                        shelf = shared
                            .wake
                            .wait(shelf)
                            .unwrap_or_else(PoisonError::into_inner);
                    }
                }
            }
        };
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

#[cfg(test)]
mod tests;
