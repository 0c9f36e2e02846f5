//! The page of work that is on its way: where it stands, how to end it, where to go when it failed.

use axum::response::{IntoResponse, Response};
use maud::html;

use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, Stage};
use crate::page;

/// Work on a line and a train that waits, runs, failed or was ended; `so_far` follows its per cent.
pub(crate) fn on_its_way(
    app: &App,
    caller: &Caller,
    (line, train): (i64, i64),
    job: &Job,
    so_far: &str,
) -> Response {
    let (words, again) = match &job.stage {
        Stage::Waiting(0) => ("It is the next to be worked out.".to_owned(), true),
        Stage::Waiting(ahead) => (format!("{ahead} others are ahead of it."), true),
        Stage::Running(done, total) if *total > 0 => {
            (format!("{} % {so_far}.", 100 * done / total), true)
        }
        Stage::Running(..) | Stage::Done(_) => ("The cars' records are read.".to_owned(), true),
        Stage::Failed(why) => (page::sentence(why), false),
        Stage::Cancelled => ("It was ended.".to_owned(), false),
    };
    let failed = matches!(job.stage, Stage::Failed(_));
    let share = match job.stage {
        Stage::Running(done, total) if total > 0 => Some((done, total)),
        _ => None,
    };
    let body = html! {
        p class=(if failed { "message" } else { "progress" }) role="status" { (words) }
        @if again {
            @if let Some((done, total)) = share { progress aria-label="So much is done" value=(done) max=(total) {} }
            form method="post" action={ "/hill/jobs/" (job.id) "/end" } { button.quiet { "End it" } }
        } @else {
            p.row {
                a.button href={ "/hill/trains/" (train) } { "Look at the make-up" }
                a.button.quiet href={ "/hill/lines/" (line) } { "Look at the line" }
                a.button.quiet href="/hill" { "Back to the hill" }
            }
        }
    };
    let shown = page::room(app, caller, &job.what, "/hill", &body).into_response();
    if again {
        page::again_soon(shown)
    } else {
        shown
    }
}
