//! Why something was refused: its status, its words and the way onward, decided once for pages and
//! programs alike.

use std::any::Any;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::RETRY_AFTER;
use axum::http::{HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum::{Json, response};
use gradeworthy_store::{Action, Error as Record, Role};
use jiff::Timestamp;
use serde::Serialize;
use tower_http::catch_panic::ResponseForPanic;

use crate::App;
use crate::page;
use crate::photo::PhotoFault;
use crate::routes::BODY_MOST;

/// Why a request was refused.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Refusal {
    /// The record refused.
    #[error(transparent)]
    Record(#[from] Record),
    /// Nobody is signed in.
    #[error("nobody is signed in here, or the session has ended")]
    NotSignedIn,
    /// The role does not allow it.
    #[error("a member who is {role} may not {action}")]
    NotForRole { role: Role, action: Action },
    /// Not the caller's own car.
    #[error("an owner sees his own cars only, and this one is not entered as his")]
    NotOwnCar,
    /// A request whose form or JSON cannot be read.
    #[error("what was sent cannot be read: {why}")]
    Unreadable { why: String },
    /// A field left empty.
    #[error("{what} was not filled in")]
    Unfilled { what: &'static str },
    /// A field with something that is not among the choices.
    #[error("'{found}' is no {expected}")]
    NotAChoice {
        found: String,
        expected: &'static str,
    },
    /// Two fields that should be the same.
    #[error("the two passwords differ")]
    PasswordsDiffer,
    /// A wrong name, password or PIN.
    #[error("the name or the secret is wrong")]
    WrongSecret,
    /// Too many wrong tries by a member.
    #[error("too many wrong tries: this member is locked out until {until}")]
    LockedOut { until: Timestamp, now: Timestamp },
    /// Too many tries from one address.
    #[error("too many tries from this device: wait until {until}")]
    TooManyTries { until: Timestamp, now: Timestamp },
    /// A form that another site sent.
    #[error("this was sent from another site, and nothing was done")]
    ForgedOrigin,
    /// No such page.
    #[error("there is no page at this address")]
    NoSuchPage,
    /// The page is there, the method is not.
    #[error("this address does not take such a request")]
    WrongMethod,
    /// A request that is too long.
    #[error("what was sent is longer than {} is taken here, and nothing of it was kept", size(*.most))]
    BodyTooLarge { most: usize },
    /// A photograph that cannot be taken.
    #[error(transparent)]
    Photo(#[from] PhotoFault),
    /// It took too long.
    #[error("the answer took longer than half a minute")]
    TooSlow,
    /// The server is being stopped.
    #[error("the server is being stopped")]
    Stopping,
    /// The set-up address was used or is another one.
    #[error(
        "this set-up address is not valid: the club has a lead, or the server was started again"
    )]
    SetUpOver,
    /// No rule book.
    #[error("the record has no rule book, so nothing can be judged")]
    NoRuleBook,
    /// A car that does not meet what the rule book asks.
    #[error("the rule book does not admit this car yet: {}", .why.join("; "))]
    NotAdmissible { why: Vec<String> },
    /// Readings that cannot be taken; nothing of the entry was kept.
    #[error("{}", .faults.join("; "))]
    Reading { faults: Vec<String> },
    /// A print that cannot be made.
    #[error(transparent)]
    Paper(#[from] gradeworthy_paper::PaperError),
    /// A line, a locomotive or a train that cannot be read or run.
    #[error("{}", .faults.join("; "))]
    Hill { faults: Vec<String> },
    /// Too much work waits.
    #[error("{waiting} pieces of long work wait already: try again in a minute")]
    Busy { waiting: usize },
    /// No such job.
    #[error("this work is not known here, or its result was let go: ask for it again")]
    NoSuchJob,
    /// A job without result, yet.
    #[error("this work is not done")]
    NotDone,
    /// A job that could not be done.
    #[error("{why}")]
    JobFailed { why: String },
    /// Somebody else's job.
    #[error("only who asked for this work, or the lead, may end it")]
    NotOwnJob,
    /// No copies are kept here.
    #[error("this server keeps no copies: it serves the invented sample club")]
    NotKept,
    /// A copy of the record could not be made.
    #[error(
        "the record could not be copied: {why}; it is served on, and earlier copies are as they were"
    )]
    NotCopied { why: String },
    /// A file that is no sheet.
    #[error(transparent)]
    Sheet(#[from] gradeworthy_sheets::SheetError),
    /// A file that is no longer kept, or was sent by somebody else.
    #[error("this file is no longer kept here: send it again")]
    UploadGone,
    /// The record has changed since the sender looked.
    #[error(
        "the record has moved on since you looked, and nothing was entered: this is how it stands now"
    )]
    SheetMovedOn,
    /// A search means other cars than those that the sender saw.
    #[error(
        "the search means other cars now than those you saw, and nothing was entered: look at them again"
    )]
    GroupMovedOn,
    /// Something cannot be taken, and nobody said that it may be left out.
    #[error("{problems} things in the sheet cannot be taken; nothing was entered")]
    SheetHasProblems {
        /// How many.
        problems: usize,
    },
    /// Everything is there already.
    #[error("there is nothing in the file that the record has not")]
    NothingNew,
    /// Too much for a workbook.
    #[error(
        "the record has more than {most} readings, which is more than a workbook takes here: \
         write them out as text, or as JSON"
    )]
    TooManyForWorkbook {
        /// The most.
        most: usize,
    },
    /// Another one is being written.
    #[error("the record is being written out for somebody else: wait a minute and ask again")]
    WritingOut,
    /// A fault of ours.
    #[error("something went wrong here that should not have: {what}")]
    Fault { what: String },
}

/// Where to go from a refusal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Onward {
    /// The address.
    pub(crate) href: &'static str,
    /// What is done there.
    pub(crate) what: &'static str,
}

const fn onward(href: &'static str, what: &'static str) -> Onward {
    Onward { href, what }
}

const FIRST: Onward = onward("/", "Go to the first page");
const SIGN_IN: Onward = onward("/sign-in", "Sign in");
const LOOK_AGAIN: Onward = onward("", "Go back, mend it and send it again");
const FLEET: Onward = onward("/fleet", "Look for the car in the fleet");
const HILL: Onward = onward("/hill", "Go to the Hill page");
const SHEET: Onward = onward("/fleet/import", "Send the file again");
const LEAD: Onward = onward("/", "Ask the lead; go to the first page");
const MACHINE: Onward = onward("/", "Tell whoever keeps the machine; go to the first page");

/// A number of bytes in words.
pub(crate) fn size(bytes: usize) -> String {
    const KIB: usize = 1024;
    if bytes >= KIB * KIB {
        format!("{} MiB", bytes / (KIB * KIB))
    } else {
        format!("{} KiB", bytes / KIB)
    }
}

impl Refusal {
    /// Status and way onward.
    pub(crate) fn verdict(&self) -> (StatusCode, Onward) {
        match self {
            Self::Record(error) => record(error),
            Self::NotSignedIn => (StatusCode::UNAUTHORIZED, SIGN_IN),
            Self::Sheet(_)
            | Self::SheetHasProblems { .. }
            | Self::NothingNew
            | Self::TooManyForWorkbook { .. } => (StatusCode::UNPROCESSABLE_ENTITY, LOOK_AGAIN),
            Self::UploadGone => (StatusCode::NOT_FOUND, SHEET),
            Self::SheetMovedOn | Self::GroupMovedOn => (StatusCode::CONFLICT, LOOK_AGAIN),
            Self::WritingOut => (StatusCode::SERVICE_UNAVAILABLE, LOOK_AGAIN),
            Self::NotForRole { .. } => (StatusCode::FORBIDDEN, LEAD),
            Self::NotOwnCar => (StatusCode::FORBIDDEN, FLEET),
            Self::Unreadable { .. } => (StatusCode::BAD_REQUEST, LOOK_AGAIN),
            Self::Unfilled { .. }
            | Self::NotAChoice { .. }
            | Self::PasswordsDiffer
            | Self::NotAdmissible { .. }
            | Self::Hill { .. }
            | Self::JobFailed { .. }
            | Self::Photo(_)
            | Self::Reading { .. } => (StatusCode::UNPROCESSABLE_ENTITY, LOOK_AGAIN),
            Self::WrongSecret => (StatusCode::UNAUTHORIZED, LOOK_AGAIN),
            Self::LockedOut { .. } => (
                StatusCode::TOO_MANY_REQUESTS,
                onward(
                    "/sign-in",
                    "Wait, or ask the lead to unlock you; then sign in",
                ),
            ),
            Self::TooManyTries { .. } => (
                StatusCode::TOO_MANY_REQUESTS,
                onward("/sign-in", "Wait, then sign in"),
            ),
            Self::ForgedOrigin => (StatusCode::FORBIDDEN, FIRST),
            Self::NoSuchPage => (StatusCode::NOT_FOUND, FIRST),
            Self::WrongMethod => (StatusCode::METHOD_NOT_ALLOWED, FIRST),
            Self::BodyTooLarge { .. } => (StatusCode::PAYLOAD_TOO_LARGE, LOOK_AGAIN),
            Self::TooSlow => (StatusCode::REQUEST_TIMEOUT, LOOK_AGAIN),
            Self::Stopping => (StatusCode::SERVICE_UNAVAILABLE, FIRST),
            Self::SetUpOver => (StatusCode::GONE, SIGN_IN),
            Self::Busy { .. } => (StatusCode::SERVICE_UNAVAILABLE, HILL),
            Self::NoSuchJob => (StatusCode::NOT_FOUND, HILL),
            Self::NotDone => (StatusCode::CONFLICT, HILL),
            Self::NotOwnJob => (StatusCode::FORBIDDEN, HILL),
            Self::Paper(error) => paper(error),
            Self::NoRuleBook | Self::NotKept => (StatusCode::CONFLICT, LEAD),
            Self::NotCopied { .. } => (
                StatusCode::INTERNAL_SERVER_ERROR,
                onward("/keeping", "See what copies there are"),
            ),
            Self::Fault { .. } => (StatusCode::INTERNAL_SERVER_ERROR, MACHINE),
        }
    }

    /// How long to wait before another try, in seconds.
    fn retry_after_s(&self) -> Option<i64> {
        match self {
            Self::LockedOut { until, now } | Self::TooManyTries { until, now } => {
                Some(until.duration_since(*now).as_secs().max(1))
            }
            _ => None,
        }
    }

    /// What is said of it.
    pub(crate) fn message(&self, app: &App) -> String {
        match self {
            Self::LockedOut { until, .. } | Self::TooManyTries { until, .. } => {
                let shown = crate::words::time(app, *until);
                self.to_string().replace(&until.to_string(), &shown)
            }
            other => other.to_string(),
        }
    }
}

fn paper(error: &gradeworthy_paper::PaperError) -> (StatusCode, Onward) {
    use gradeworthy_paper::PaperError as Paper;
    match error {
        Paper::Sheet(_) | Paper::Nothing { .. } | Paper::CodeTooLong { .. } => {
            (StatusCode::UNPROCESSABLE_ENTITY, LOOK_AGAIN)
        }
        Paper::Typeface { .. } | Paper::Picture { .. } | Paper::Pdf { .. } => {
            (StatusCode::INTERNAL_SERVER_ERROR, MACHINE)
        }
    }
}

fn record(error: &Record) -> (StatusCode, Onward) {
    match error {
        Record::DiskFull => (StatusCode::INSUFFICIENT_STORAGE, MACHINE),
        Record::ReadOnly | Record::DiskRefused { .. } | Record::Locked | Record::Closed => {
            (StatusCode::SERVICE_UNAVAILABLE, MACHINE)
        }
        Record::Corrupt { .. }
        | Record::NotARecord { .. }
        | Record::NewerSchema { .. }
        | Record::OlderSchema { .. }
        | Record::Missing { .. }
        | Record::Exists { .. }
        | Record::Io { .. }
        | Record::NoRandomness(_)
        | Record::Hashing(_)
        | Record::Statement(_)
        | Record::Unreadable { .. }
        | Record::MixedLine { .. } => (StatusCode::INTERNAL_SERVER_ERROR, MACHINE),
        Record::Conflict(_) => (
            StatusCode::CONFLICT,
            onward(
                "",
                "Look at what was entered meanwhile, then send yours again",
            ),
        ),
        Record::UnknownCar(_) => (StatusCode::NOT_FOUND, FLEET),
        Record::UnknownHillItem { .. } => (StatusCode::NOT_FOUND, HILL),
        Record::HillMovedOn { .. } => (StatusCode::CONFLICT, LOOK_AGAIN),
        Record::UnknownMember(_)
        | Record::UnknownEvent { .. }
        | Record::UnknownEdition(_)
        | Record::UnknownDraft(_)
        | Record::UnknownGroup(_) => (StatusCode::NOT_FOUND, LOOK_AGAIN),
        Record::DraftMoved { .. } | Record::GroupTaken { .. } => (StatusCode::CONFLICT, LOOK_AGAIN),
        Record::NotAllowed { with_second, .. } => (
            StatusCode::FORBIDDEN,
            if *with_second {
                onward("", "Go back and add the second name with its PIN")
            } else {
                LEAD
            },
        ),
        Record::NotSignedOff { .. } => (
            StatusCode::FORBIDDEN,
            onward("", "Go back and add the second name with its PIN"),
        ),
        Record::OwnerRefuses { .. } => (
            StatusCode::CONFLICT,
            onward("", "Ask the owner on the car's page first"),
        ),
        Record::ClientIdReused(_)
        | Record::EditionOrder { .. }
        | Record::LastLead
        | Record::Ended => (StatusCode::CONFLICT, LOOK_AGAIN),
        Record::OfCar { cause, .. } => record(cause),
        Record::NameTaken { .. } => (StatusCode::CONFLICT, LOOK_AGAIN),
        Record::TokenRefused => (StatusCode::GONE, LEAD),
        Record::SameName
        | Record::VersionNeeded { .. }
        | Record::CannotStrike { .. }
        | Record::Empty { .. }
        | Record::TooLarge { .. }
        | Record::NoPhotoBytes
        | Record::RuleBook(_)
        | Record::SecretTooShort { .. } => (StatusCode::UNPROCESSABLE_ENTITY, LOOK_AGAIN),
    }
}

impl IntoResponse for Refusal {
    /// A bare status with the refusal beside it; [`dress`] puts it into words.
    fn into_response(self) -> Response {
        let mut response = self.verdict().0.into_response();
        response.extensions_mut().insert(Arc::new(self));
        response
    }
}

/// A refusal for programs. Source: RFC 9457, the members `title`, `status` and `detail`.
#[derive(Debug, Serialize, utoipa::ToSchema)]
pub(crate) struct Problem {
    /// The status in words.
    title: String,
    /// The status.
    status: u16,
    /// What was wrong, and what to do.
    detail: String,
    /// Where a person goes from here; empty for 'back'.
    onward: String,
    /// What was entered on the car meanwhile, where that is the matter: sequence numbers.
    entered_meanwhile: Vec<i64>,
}

/// Puts every refusal into words: JSON for programs, a page for people.
pub(crate) async fn dress(State(app): State<App>, request: Request, next: Next) -> Response {
    let for_program = for_program(&request);
    let back = own_referer(&request);
    let response = next.run(request).await;
    let Some(refusal) = refusal_of(&response) else {
        return response;
    };
    let (status, onward) = refusal.verdict();
    let message = refusal.message(&app);
    let mut dressed = if for_program {
        let problem = Problem {
            title: status.canonical_reason().unwrap_or("refused").to_owned(),
            status: status.as_u16(),
            detail: message,
            onward: onward.href.to_owned(),
            entered_meanwhile: meanwhile(&refusal),
        };
        (status, Json(problem)).into_response()
    } else {
        let body = page::refused(&app, status, &message, onward, back.as_deref());
        (status, response::Html(body.into_string())).into_response()
    };
    if for_program {
        let kind = HeaderValue::from_static("application/problem+json");
        dressed
            .headers_mut()
            .insert(axum::http::header::CONTENT_TYPE, kind);
    }
    if let Some(seconds) = refusal.retry_after_s() {
        dressed
            .headers_mut()
            .insert(RETRY_AFTER, HeaderValue::from(seconds));
    }
    dressed
}

/// Programs call under `/api/`; a page's own script says that it takes JSON.
fn for_program(request: &Request) -> bool {
    let accepts = request.headers().get(axum::http::header::ACCEPT);
    request.uri().path().starts_with("/api/")
        || accepts.is_some_and(|kinds| kinds.as_bytes() == b"application/json")
}

/// The path of the page that sent the form, to go back to.
fn own_referer(request: &Request) -> Option<String> {
    let headers = request.headers();
    let referer = headers.get("referer")?.to_str().ok()?;
    let host = headers.get("host")?.to_str().ok()?;
    let path = referer.split_once("://")?.1.strip_prefix(host)?;
    (crate::request::own_path(path) == path).then(|| path.to_owned())
}

fn meanwhile(refusal: &Refusal) -> Vec<i64> {
    match refusal {
        Refusal::Record(Record::Conflict(conflict)) => conflict
            .since
            .iter()
            .map(|event| event.seq.number())
            .collect(),
        _ => Vec::new(),
    }
}

/// The refusal that a response stands for: our own, or that of a layer around the handlers.
fn refusal_of(response: &Response) -> Option<Arc<Refusal>> {
    if let Some(refusal) = response.extensions().get::<Arc<Refusal>>() {
        return Some(Arc::clone(refusal));
    }
    match response.status() {
        StatusCode::FORBIDDEN => Some(Refusal::ForgedOrigin),
        StatusCode::NOT_FOUND => Some(Refusal::NoSuchPage),
        StatusCode::METHOD_NOT_ALLOWED => Some(Refusal::WrongMethod),
        StatusCode::PAYLOAD_TOO_LARGE => Some(Refusal::BodyTooLarge { most: BODY_MOST }),
        StatusCode::REQUEST_TIMEOUT => Some(Refusal::TooSlow),
        _ => None,
    }
    .map(Arc::new)
}

/// Answers for a handler that panicked.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Panicked;

impl ResponseForPanic for Panicked {
    type ResponseBody = axum::body::Body;

    fn response_for_panic(&mut self, _: Box<dyn Any + Send + 'static>) -> Response {
        let what = "a part of this program stopped".to_owned();
        Refusal::Fault { what }.into_response()
    }
}
