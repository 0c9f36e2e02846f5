//! Keeping the record: a copy each day, made and checked while the server runs, and what the lead sees
//! of it.
//!
//! The server looks every quarter of an hour whether the day has its copy; a copy that cannot be made, or
//! is not whole, stands at the head of every page of whoever may keep backups until one succeeds.

use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, SystemTime};

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_store::{Action, Backups, check_file};
use jiff::Timestamp;
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Serialize;
use utoipa::ToSchema;

use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, sentence};
use crate::refusal::{Problem, Refusal};
use crate::words::{self, days_between};

/// How often the server looks. ASSUMED: a machine that is switched on for a club night has its copy
/// before anybody goes home.
const EVERY: Duration = Duration::from_secs(15 * 60);
/// Days without a copy that are worth a warning. ASSUMED: the machine is not on every day; the warning is
/// for a copy that is overdue while it is.
const OVERDUE_DAYS: i32 = 1;

/// What became of the last try.
#[derive(Clone, Debug, Default)]
struct Tried {
    /// When a copy was last made or found, and checked.
    checked: Option<Checked>,
    /// The last try, if it failed.
    failed: Option<(Timestamp, String)>,
}

/// A copy that was read from its first page to its last.
#[derive(Clone, Debug)]
struct Checked {
    path: PathBuf,
    at: Timestamp,
    event_count: u64,
}

/// The keeping of copies while the server runs.
#[derive(Debug, Default)]
pub(crate) struct Keeping(Mutex<Tried>);

impl Keeping {
    fn tried(&self) -> Tried {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Makes the day's copy, or another in its place, and checks it whole.
    fn copy(&self, app: &App, backups: &Backups, again: bool) -> Result<(), String> {
        let (record, today) = (app.store().path(), app.today());
        let before = self.tried();
        let made = if again {
            backups.now(record, today)
        } else {
            backups.daily(record, today)
        };
        let outcome = made.map_err(|error| error.to_string()).and_then(|path| {
            if !again && before.checked.as_ref().is_some_and(|own| own.path == path) {
                return Ok(before.checked);
            }
            let found = check_file(&path).map_err(|error| error.to_string())?;
            match found.problems.first() {
                Some(problem) => Err(format!("{} is not whole: {problem}", path.display())),
                None => Ok(Some(Checked {
                    path,
                    at: app.now(),
                    event_count: found.event_count,
                })),
            }
        });
        let mut tried = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        match outcome {
            Ok(checked) => {
                *tried = Tried {
                    checked,
                    failed: None,
                };
                Ok(())
            }
            Err(why) => {
                tried.failed = Some((app.now(), why.clone()));
                Err(why)
            }
        }
    }
}

/// Looks after the day's copy until the server ends.
pub(crate) async fn look_after(app: App) {
    let mut ticks = tokio::time::interval(EVERY);
    loop {
        ticks.tick().await;
        if app.settings().backups.is_none() {
            return;
        }
        let own = app.clone();
        // What goes wrong is kept and shown; the next look tries again.
        drop(own.wait(|app| Ok(daily(app))).await);
    }
}

/// Makes the day's copy where there is none.
pub(crate) fn daily(app: &App) -> Result<(), String> {
    match &app.settings().backups {
        Some(backups) => app.keeping().copy(app, backups, false),
        None => Ok(()),
    }
}

/// What is wrong with the copies, for the head of the lead's pages.
pub(crate) fn alarm(app: &App) -> Option<String> {
    app.settings().backups.as_ref()?;
    let (at, why) = app.keeping().tried().failed?;
    let when = words::time(app, at);
    Some(format!(
        "the record could not be backed up at {when}: {why}"
    ))
}

/// The copies there are, and what is known of them.
struct Kept {
    copies: Vec<(Date, PathBuf, Option<u64>)>,
    folder: PathBuf,
    tried: Tried,
    last: Option<Timestamp>,
}

fn kept(app: &App) -> Result<Option<Kept>, Refusal> {
    let Some(backups) = &app.settings().backups else {
        return Ok(None);
    };
    let list = if backups.folder.exists() {
        backups.list()?
    } else {
        Vec::new()
    };
    let about = |path: &PathBuf| std::fs::metadata(path).ok();
    let last = list
        .last()
        .and_then(|(_, path)| about(path)?.modified().ok());
    let last = last.and_then(|at| {
        let since = at.duration_since(SystemTime::UNIX_EPOCH).ok()?;
        Timestamp::from_second(i64::try_from(since.as_secs()).ok()?).ok()
    });
    let copies = list.into_iter().rev().map(|(day, path)| {
        let bytes = about(&path).map(|about| about.len());
        (day, path, bytes)
    });
    Ok(Some(Kept {
        copies: copies.collect(),
        folder: backups.folder.clone(),
        tried: app.keeping().tried(),
        last,
    }))
}

/// The copies as a page.
pub(crate) async fn show(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let body = match kept(app)? {
            Some(kept) => list(app, &kept),
            None => {
                html! { p { "This server keeps no copies: it serves the invented sample club." } }
            }
        };
        Ok(page::room(app, &caller, "Keeping", "/keeping", &body))
    })
    .await
}

fn list(app: &App, kept: &Kept) -> Markup {
    let overdue = match kept.copies.first() {
        Some((day, _, _)) => days_between(*day, app.today()) > OVERDUE_DAYS,
        None => true,
    };
    html! {
        section { h2 { "The last copy" }
            @match (&kept.last, &kept.tried.checked) {
                (Some(last), Some(checked)) => p.done {
                    "Made " (words::time(app, *last)) ". Checked " (words::time(app, checked.at)) ": whole, "
                    (checked.event_count) " entries, every one readable." },
                (Some(last), None) => p { "Made " (words::time(app, *last)) ". Not checked since the server was started." },
                (None, _) => p.message { "There is no copy yet." },
            }
            @if overdue && kept.last.is_some() { p.message { "No copy was made since then. Make one now." } }
            form method="post" action="/keeping/copies" { button { "Make and check a copy now" } }
        }
        section { h2 { "Where they are" }
            p { code { (kept.folder.display()) } }
            p { "A copy on the same disk is lost with that disk: carry the newest one to another machine or a \
                 stick now and then. Each is one whole file; it holds the members' password hashes, so keep it \
                 as you keep the record." }
            p { "To go back to a copy, stop the server and start " code { "gradeworthy record restore COPY" }
                ": the record that stood there is put aside, never overwritten." }
        }
        section { h2 { @if kept.copies.len() == 1 { "One copy" } @else { (kept.copies.len()) " copies" } }
            p.more { "Each of the last fourteen days, the last of each of eight weeks and of 120 months." }
            ul { @for (day, path, bytes) in &kept.copies { li {
                (day) " " span.more {
                    @if let Some(bytes) = bytes { (bytes / 1024) " KiB · " }
                    (path.file_name().unwrap_or_default().to_string_lossy()) }
            } } }
        }
    }
}

/// Makes and checks a copy now.
pub(crate) async fn copy(State(app): State<App>) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        now(app)?;
        Ok(Redirect::to("/keeping"))
    })
    .await
}

fn now(app: &App) -> Result<(), Refusal> {
    let backups = app.settings().backups.as_ref().ok_or(Refusal::NotKept)?;
    let copied = app.keeping().copy(app, backups, true);
    copied.map_err(|why| Refusal::NotCopied { why })
}

/// A copy of the record.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CopyJson {
    /// The day it was made.
    day: String,
    /// Its file.
    file: String,
    /// Its size.
    bytes: Option<u64>,
}

/// How the record is kept.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct KeepingJson {
    /// When the last copy was made, RFC 3339.
    last: Option<String>,
    /// When it was last found whole, RFC 3339.
    checked: Option<String>,
    /// How many entries it holds.
    entries: Option<u64>,
    /// Why the last try failed, if it did.
    failed: Option<String>,
    /// The copies, the newest first.
    copies: Vec<CopyJson>,
}

fn json(app: &App) -> Result<Json<KeepingJson>, Refusal> {
    let kept = kept(app)?.ok_or(Refusal::NotKept)?;
    let copies = kept.copies.iter().map(|(day, path, bytes)| CopyJson {
        day: day.to_string(),
        file: path.display().to_string(),
        bytes: *bytes,
    });
    let checked = kept.tried.checked.as_ref();
    Ok(Json(KeepingJson {
        last: kept.last.map(|at| at.to_string()),
        checked: checked.map(|own| own.at.to_string()),
        entries: checked.map(|own| own.event_count),
        failed: kept.tried.failed.map(|(_, why)| why),
        copies: copies.collect(),
    }))
}

#[utoipa::path(get, path = "/api/keeping", tag = "keeping",
    responses((status = 200, body = KeepingJson), (status = 403, body = Problem), (status = 409, body = Problem)))]
pub(crate) async fn show_json(State(app): State<App>) -> Result<Json<KeepingJson>, Refusal> {
    app.wait(json).await
}

#[utoipa::path(post, path = "/api/keeping/copies", tag = "keeping",
    responses((status = 200, body = KeepingJson), (status = 403, body = Problem), (status = 409, body = Problem),
              (status = 500, body = Problem)))]
pub(crate) async fn copy_json(State(app): State<App>) -> Result<Json<KeepingJson>, Refusal> {
    app.wait(move |app| {
        now(app)?;
        json(app)
    })
    .await
}

/// A warning at the head of a page, for whoever may keep backups.
pub(crate) fn banner(app: &App, caller: &Caller) -> Markup {
    let alarm = caller
        .may(Action::KeepBackups)
        .then(|| alarm(app))
        .flatten();
    html! {
        @if let Some(alarm) = alarm {
            p.message role="alert" { (sentence(&alarm)) " " a.aside href="/keeping" { "See to it" } }
        }
    }
}

#[cfg(test)]
mod tests;
