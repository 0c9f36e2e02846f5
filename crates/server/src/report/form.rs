//! The form by which a crew reports a bad order, made for a thumb.
//!
//! Taps: the number typed (or one tap on a car of the list), one on the defect, one on the button: three
//! and the digits. A place costs one more, a photograph two.

use axum::Extension;
use axum::extract::State;
use gradeworthy_store::{Action, ClientId, Defect, FleetRow, Snapshot};
use gradeworthy_workbench::record::{Axles, CarMark};
use maud::{Markup, html};
use serde::Deserialize;

use super::picture;
use super::{BadOrderSent, client_id, enter};
use crate::App;
use crate::bench::derived;
use crate::fleet::{self, Search};
use crate::guard::Caller;
use crate::page::{self, Page, text_field};
use crate::photo::{self, Photograph, Upload, file_field};
use crate::refusal::Refusal;
use crate::request::{Asked, Fields};

/// Cars offered without typing: those whose standing changed last. ASSUMED: two rows of a phone.
const RECENT: u32 = 6;

#[derive(Deserialize)]
pub(crate) struct Marked {
    mark: Option<String>,
}

/// Which car the form is about, as far as it is known.
#[derive(Default)]
struct About<'a> {
    typed: &'a str,
    fault: Option<String>,
    /// The cars it may be, where there are several.
    like: &'a [FleetRow],
    /// What was chosen already.
    chosen: Fields,
    /// Whether a photograph was sent along, which a page cannot give back.
    photo: bool,
}

/// The form.
pub(crate) async fn form(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(asked): Asked<Marked>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let typed = asked.mark.as_deref().unwrap_or_default();
        let about = About {
            typed,
            ..About::default()
        };
        page(app, &caller, &about)
    })
    .await
}

fn page(app: &App, caller: &Caller, about: &About<'_>) -> Result<Page, Refusal> {
    let snapshot = app.store().snapshot()?;
    let body = html! {
        @if let Some(fault) = &about.fault { p.message role="alert" { (fault)
            @if about.photo { " The photograph must be chosen again." } } }
        form method="post" action="/report" enctype="multipart/form-data" {
            input type="hidden" name="client_id" value=(ClientId::random()?);
            @if about.like.is_empty() { (which(&snapshot, about)?) } @else { (which_of(about.like)) }
            fieldset { legend { "What is wrong" }
                div.ticks { @for defect in Defect::ALL { label.tick {
                    input type="radio" name="defect" value=(defect) required checked[about.chosen.get("defect") == defect.name()];
                    span { (defect) }
                } } }
            }
            fieldset { legend { "Where" } (picture::places(axles(&snapshot, about)?, about.chosen.get("place"))) }
            button.wide { "Bad-order it" }
            details { summary { "Say more, or add a photograph" }
                (text_field("What else there is to say", "note", about.chosen.get("note"), false))
                @if caller.may(Action::AddPhoto) { (file_field(false)) }
            }
        }
    };
    Ok(page::room(
        app,
        caller,
        "Report a bad order",
        "/report",
        &body,
    ))
}

/// The axles of the car, once it is known which.
fn axles(snapshot: &Snapshot<'_>, about: &About<'_>) -> Result<Axles, Refusal> {
    let mut rows = about.like.to_vec();
    if rows.is_empty()
        && let Ok(mark) = CarMark::new(about.typed)
    {
        let filter = gradeworthy_store::FleetFilter {
            mark_part: Some(mark.as_str().into()),
            ..gradeworthy_store::FleetFilter::default()
        };
        rows = snapshot.fleet(&filter, None, 1)?;
    }
    Ok(match rows.as_slice() {
        [one] => snapshot.record(one.car)?.record.car.figures.axles,
        _ => Axles::default(),
    })
}

fn which(snapshot: &Snapshot<'_>, about: &About<'_>) -> Result<Markup, Refusal> {
    let recent = snapshot.lately_moved(RECENT)?;
    Ok(html! {
        label.field { span { "Number of the car, or its marks and number" }
            input type="search" name="mark" value=(about.typed) autocomplete="off" autocapitalize="characters"
                enterkeyhint="next" autofocus[about.typed.is_empty()]; }
        @if about.typed.is_empty() && !recent.is_empty() {
            details { summary { "Or one of the last cars" }
                div.ticks { @for row in &recent { label.tick {
                    input type="radio" name="car" value=(row.mark);
                    span { strong { (row.mark) } }
                } } }
            }
        }
    })
}

fn which_of(like: &[FleetRow]) -> Markup {
    html! {
        fieldset { legend { "Which of these?" }
            div.ticks { @for row in like { label.tick {
                input type="radio" name="mark" value=(row.mark) required;
                span { strong { (row.mark) } " " (fleet::what(row)) }
            } } }
        }
    }
}

/// The car that a crew means: the one lettered so, or the only one whose marks hold what was typed.
fn meant(
    app: &App,
    caller: &Caller,
    typed: &str,
) -> Result<Result<FleetRow, Vec<FleetRow>>, Refusal> {
    let (mut rows, _) = fleet::find(app, caller, &Search::of_mark(typed))?;
    let whole = CarMark::new(typed).ok();
    if let Some(at) = rows
        .iter()
        .position(|row| Some(&row.mark) == whole.as_ref())
    {
        return Ok(Ok(rows.swap_remove(at)));
    }
    Ok(if rows.len() == 1 {
        Ok(rows.swap_remove(0))
    } else {
        Err(rows)
    })
}

/// Takes a report from the form.
pub(crate) async fn send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    upload: Upload,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let fields = &upload.fields;
        let typed = match fields.get("mark") {
            "" => fields.need("car", "the car's number")?,
            typed => typed,
        };
        let row = match meant(app, &caller, typed)? {
            Ok(row) => row,
            Err(like) => {
                let fault = if like.is_empty() {
                    format!("No car's marks hold '{typed}'. Read them again, or try the number alone.")
                } else {
                    format!("{} cars' marks hold '{typed}'.", like.len())
                };
                let fault = Some(fault);
                let (chosen, photo) = (fields.clone(), upload.photo.is_some());
                let about = About { typed, fault, like: &like, chosen, photo };
                return page(app, &caller, &about);
            }
        };
        let sent = BadOrderSent {
            client_id: fields.get("client_id").to_owned(),
            defect: fields.need("defect", "what is wrong")?.to_owned(),
            place: Some(fields.get("place")).filter(|place| !place.is_empty()).unwrap_or("car").to_owned(),
            note: fields.get("note").to_owned(),
        };
        enter(app, &caller, row.car, &sent)?;
        // The report stands by itself: a photograph that cannot be taken is said and changes nothing.
        let fault = match &upload.photo {
            Some(bytes) => keep_photo(app, &caller, &row, &sent, bytes).err(),
            None => None,
        };
        let body = html! {
            p.done role="status" { "Reported: " strong { (row.mark) } ", " (sent.defect) ". Set the car out; the car shop sees it now." }
            @if let Some(fault) = fault {
                p.message role="alert" { "The report is entered; the photograph is not: " (fault.message(app)) "." }
            }
            p.row { a.button href="/report" { "Report another" } a.button.quiet href={ "/cars/" (row.car) } { "See the car" }
                a.button.quiet href={ "/cars/" (row.car) "/slip" } { "Print its slip" } }
        };
        Ok(page::room(app, &caller, "Reported", "/report", &body))
    })
    .await
}

fn keep_photo(
    app: &App,
    caller: &Caller,
    row: &FleetRow,
    sent: &BadOrderSent,
    bytes: &[u8],
) -> Result<(), Refusal> {
    let own = Photograph {
        client_id: derived(client_id(&sent.client_id)?, "photograph"),
        caption: &format!("bad order: {}", sent.defect),
        sent: bytes,
    };
    photo::keep(app, caller, row.car, &own).map(|_| ())
}
