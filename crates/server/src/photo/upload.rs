//! A form with a photograph in it: its fields, and the file.

use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{FromRequest, Request};
use axum::http::header::CONTENT_TYPE;

use super::intake::{PhotoFault, SENT_BYTES_MOST};
use crate::refusal::Refusal;
use crate::request::{Fields, unreadable};

/// The fields of a form and the photograph sent with it, if one was chosen.
pub(crate) struct Upload {
    pub(crate) fields: Fields,
    pub(crate) photo: Option<Vec<u8>>,
}

/// The name of the field that holds the file.
const FILE: &str = "photo";
/// The most of any other field, bytes.
const TEXT_BYTES_MOST: usize = 64 * 1024;

impl<S: Send + Sync> FromRequest<S> for Upload {
    type Rejection = Refusal;

    /// A form of either coding: browsers code it by what the page says, tests and old phones as they like.
    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let kind = request.headers().get(CONTENT_TYPE);
        let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
        if !kind.starts_with("multipart/form-data") {
            let fields = Fields::from_request(request, state).await?;
            let photo = None;
            return Ok(Self { fields, photo });
        }
        let form = Multipart::from_request(request, state).await;
        let mut form = form.map_err(|error| unreadable(error.status(), error.body_text()))?;
        let (mut fields, mut photo) = (Vec::new(), None);
        while let Some(field) = form.next_field().await.map_err(refused)? {
            let name = field.name().unwrap_or_default().to_owned();
            if name == FILE {
                let bytes = bytes_of(field, SENT_BYTES_MOST).await?;
                photo = (!bytes.is_empty()).then_some(bytes);
            } else {
                let text = String::from_utf8(bytes_of(field, TEXT_BYTES_MOST).await?);
                let why = "a field is not text in UTF-8".to_owned();
                fields.push((name, text.map_err(|_| Refusal::Unreadable { why })?));
            }
        }
        let fields = Fields::from_pairs(fields);
        Ok(Self { fields, photo })
    }
}

/// The bytes of one field. What is too long is read to its end and thrown away: a browser whose connection
/// is closed while it still sends shows no answer at all.
async fn bytes_of(mut field: Field<'_>, most: usize) -> Result<Vec<u8>, Refusal> {
    let (mut bytes, mut found) = (Vec::new(), 0);
    while let Some(chunk) = field.chunk().await.map_err(refused)? {
        found += chunk.len();
        if found <= most {
            bytes.extend_from_slice(&chunk);
        } else {
            bytes = Vec::new();
        }
    }
    if found > most {
        return Err(PhotoFault::TooLong { found, most }.into());
    }
    Ok(bytes)
}

#[expect(clippy::needless_pass_by_value, reason = "handed to map_err")]
fn refused(error: MultipartError) -> Refusal {
    unreadable(error.status(), error.body_text())
}
