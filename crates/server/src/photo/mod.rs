//! Photographs of a car: taken in, shown, served.

mod intake;
mod upload;

#[cfg(test)]
pub(crate) mod tests;

pub(crate) use intake::PhotoFault;
pub(crate) use upload::Upload;

use axum::body::Bytes;
use axum::extract::State;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Json};
use gradeworthy_store::{
    Action, CarEvent, CarId, ClientId, Error, Fact, FleetRow, NewPhoto, Permission, PhotoType,
    Receipt, Seq, Version,
};
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::IntoParams;

use crate::App;
use crate::entry::is_own;
use crate::fleet;
use crate::guard::Caller;
use crate::page::text_field;
use crate::refusal::{Problem, Refusal};
use crate::report::{ReceiptJson, client_id};
use crate::request::{Asked, Named, own_path};

/// Where a photograph is served.
pub(crate) fn address(car: CarId, entry: Seq) -> String {
    format!("/cars/{car}/photos/{entry}")
}

/// A photograph as sent.
pub(crate) struct Photograph<'a> {
    pub(crate) client_id: ClientId,
    pub(crate) caption: &'a str,
    pub(crate) sent: &'a [u8],
}

/// Makes a photograph fit to be kept and keeps it.
pub(crate) fn keep(
    app: &App,
    caller: &Caller,
    car: CarId,
    own: &Photograph<'_>,
) -> Result<Receipt, Refusal> {
    let (found, most) = (own.sent.len(), intake::SENT_BYTES_MOST);
    if found > most {
        return Err(PhotoFault::TooLong { found, most }.into());
    }
    // Whether the car is there is asked before the work is done, not after.
    app.store().snapshot()?.version(car)?;
    let prepared = intake::prepare(own.sent)?;
    Ok(app.store().add_photo(NewPhoto {
        client_id: own.client_id,
        car,
        by: caller.member.id,
        at: app.now(),
        media_type: PhotoType::Jpeg,
        width_px: prepared.width_px,
        height_px: prepared.height_px,
        caption: own.caption.trim().into(),
        bytes: prepared.bytes,
    })?)
}

/// The part of the page at `here` with a car's photographs, those among `events` that were not struck,
/// and the form for another.
pub(crate) fn section(
    app: &App,
    caller: &Caller,
    row: &FleetRow,
    events: &[CarEvent],
    here: &str,
) -> Result<Markup, Refusal> {
    let shown: Vec<_> = events
        .iter()
        .filter(|event| event.struck.is_none())
        .filter_map(|event| match &event.fact {
            Fact::Photographed(photo) => Some((event, photo)),
            _ => None,
        })
        .collect();
    let may = match caller.member.role.may(Action::AddPhoto) {
        Permission::Yes => true,
        Permission::OwnCars => is_own(caller, row),
        Permission::SignedOff | Permission::WithSecond | Permission::No => false,
    };
    if shown.is_empty() && !may {
        return Ok(html! {});
    }
    Ok(html! {
        section id="photos" { h2 { "Photographs" }
            @if !shown.is_empty() {
                div.photos { @for (event, photo) in &shown {
                    figure {
                        a href=(address(row.car, event.seq)) {
                            img src=(address(row.car, event.seq)) width=(photo.width_px) height=(photo.height_px)
                                loading="lazy"
                                alt=(if photo.caption.is_empty() { "Photograph of the car" } else { &photo.caption });
                        }
                        figcaption { (photo.caption) " " span.more { (app.day_of(event.at)) } }
                    }
                } }
            }
            @if may { (form(row.car, here)?) }
        }
    })
}

fn form(car: CarId, here: &str) -> Result<Markup, Refusal> {
    let id = ClientId::random()?;
    Ok(html! {
        details { summary { "Add a photograph" }
            form method="post" action={ "/cars/" (car) "/photos" } enctype="multipart/form-data" {
                input type="hidden" name="client_id" value=(id);
                input type="hidden" name="back" value=(here);
                (file_field(true))
                (text_field("What it shows", "caption", "", false))
                button { "Keep it" }
            }
        }
    })
}

/// The field for a file; on a phone it opens the camera.
pub(crate) fn file_field(required: bool) -> Markup {
    html! {
        label.field { span { "Photograph, JPEG or PNG, at most 16 MB" }
            input type="file" name="photo" accept="image/jpeg,image/png" capture="environment" required[required]; }
    }
}

/// Takes a photograph from a form.
pub(crate) async fn add(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    upload: Upload,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let own = Photograph {
            client_id: client_id(upload.fields.get("client_id"))?,
            caption: upload.fields.get("caption"),
            sent: upload.photo.as_deref().ok_or(PhotoFault::Missing)?,
        };
        keep(app, &caller, car, &own)?;
        let here = match upload.fields.get("back") {
            "" => format!("/cars/{car}"),
            back => own_path(back).to_owned(),
        };
        Ok(Redirect::to(&format!("{here}#photos")))
    })
    .await
}

/// What is said of a photograph.
#[derive(Debug, Deserialize, IntoParams)]
pub(crate) struct About {
    /// The sender's identity of it, 32 hexadecimal digits; sending it twice keeps it once.
    client_id: String,
    /// What it shows.
    caption: Option<String>,
}

#[utoipa::path(post, path = "/api/cars/{car}/photos", params(("car" = i64, Path), About), tag = "fleet",
    request_body(content = [u8], content_type = "image/jpeg", description = "A JPEG or PNG of at most 16 MiB and 50 million pixels"),
    responses((status = 200, body = ReceiptJson), (status = 403, body = Problem), (status = 404, body = Problem),
              (status = 413, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn add_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Asked(about): Asked<About>,
    sent: Result<Bytes, axum::extract::rejection::BytesRejection>,
) -> Result<Json<ReceiptJson>, Refusal> {
    let sent =
        sent.map_err(|error| crate::request::unreadable(error.status(), error.body_text()))?;
    app.wait(move |app| {
        let own = Photograph {
            client_id: client_id(&about.client_id)?,
            caption: about.caption.as_deref().unwrap_or_default(),
            sent: &sent,
        };
        let receipt = keep(app, &caller, CarId::from_number(car), &own)?;
        Ok(Json(receipt.into()))
    })
    .await
}

fn find(
    app: &App,
    caller: &Caller,
    car: i64,
    entry: i64,
) -> Result<(gradeworthy_store::Photo, Vec<u8>), Refusal> {
    let (car, seq) = (CarId::from_number(car), Seq::from_number(entry));
    let snapshot = app.store().snapshot()?;
    fleet::see(&snapshot, caller, car)?;
    let before = Version::from_number(entry.saturating_sub(1));
    let event = snapshot.history(car, before, Some(1))?.into_iter().next();
    let photo = event
        .filter(|event| event.seq == seq)
        .and_then(|event| match event.fact {
            Fact::Photographed(photo) => Some(photo),
            _ => None,
        });
    let photo = photo.ok_or(Error::UnknownEvent {
        seq,
        car,
        expected: "photograph",
    })?;
    let bytes = snapshot.photo_bytes(&photo.sha256)?;
    Ok((photo, bytes.ok_or(Error::NoPhotoBytes)?))
}

#[utoipa::path(get, path = "/api/cars/{car}/photos/{entry}", params(("car" = i64, Path), ("entry" = i64, Path)), tag = "fleet",
    responses((status = 200, content_type = "image/jpeg", description = "The photograph"), (status = 304),
              (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn serve_json(
    app: State<App>,
    caller: Extension<Caller>,
    path: Named<(i64, i64)>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    serve(app, caller, path, headers).await
}

/// Serves a photograph under the type it was encoded to, with its SHA-256 as its tag. It never changes.
pub(crate) async fn serve(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named((car, entry)): Named<(i64, i64)>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let (photo, bytes) = find(app, &caller, car, entry)?;
        let digits: String = photo
            .sha256
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let tag = format!("\"{digits}\"");
        let kept = [
            (ETAG, tag.clone()),
            (
                CACHE_CONTROL,
                "private, max-age=31536000, immutable".to_owned(),
            ),
        ];
        let known = headers.get(IF_NONE_MATCH).and_then(|own| own.to_str().ok());
        if known.is_some_and(|known| known.split(',').any(|own| own.trim() == tag)) {
            return Ok((StatusCode::NOT_MODIFIED, kept).into_response());
        }
        let kind = [
            (CONTENT_TYPE, photo.media_type.name()),
            (CONTENT_DISPOSITION, "inline; filename=\"photograph.jpg\""),
        ];
        Ok((kept, kind, bytes).into_response())
    })
    .await
}
