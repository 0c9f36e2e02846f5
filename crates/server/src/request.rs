//! What a request brings: fields of a form, JSON, where it came from. Whatever cannot be read becomes a
//! refusal that says so.

use std::net::{IpAddr, Ipv4Addr};

use axum::extract::{ConnectInfo, FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::StatusCode;
use axum::http::header::HOST;
use axum::http::request::Parts;
use axum::{Form, Json};
use serde::de::DeserializeOwned;

use crate::refusal::Refusal;
use crate::routes::BODY_MOST;
use crate::serve::From;

/// The fields of a form, in the order sent.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fields(Vec<(String, String)>);

impl Fields {
    /// Fields that came otherwise than as a plain form.
    pub(crate) fn from_pairs(pairs: Vec<(String, String)>) -> Self {
        Self(pairs)
    }

    /// What stands in a field, without the space around it; nothing where it is empty or not there.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.iter()
            .find(|(own, _)| *own == name)
            .map_or("", |(_, value)| value)
    }

    /// A field that must be filled in.
    pub(crate) fn need(&self, name: &str, what: &'static str) -> Result<&str, Refusal> {
        match self.get(name) {
            "" => Err(Refusal::Unfilled { what }),
            value => Ok(value),
        }
    }

    /// A secret exactly as typed: space at its ends is part of it.
    pub(crate) fn secret(&self, name: &str) -> &str {
        let field = self.0.iter().find(|(own, _)| own == name);
        field.map_or("", |(_, value)| value.as_str())
    }

    /// Every field with its value, without the space around it.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        let pairs = self.0.iter();
        pairs.map(|(name, value)| (name.as_str(), value.trim()))
    }
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let form = Form::<Vec<(String, String)>>::from_request(request, state).await;
        let form = form.map_err(|error| unreadable(error.status(), error.body_text()))?;
        Ok(Self(form.0))
    }
}

/// A form whose fields are known beforehand.
pub(crate) struct Typed<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Typed<T> {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let form = Form::<T>::from_request(request, state).await;
        let form = form.map_err(|error| unreadable(error.status(), error.body_text()))?;
        Ok(Self(form.0))
    }
}

/// The JSON of a request.
pub(crate) struct Sent<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let json = Json::<T>::from_request(request, state).await;
        let json = json.map_err(|error| unreadable(error.status(), error.body_text()))?;
        Ok(Self(json.0))
    }
}

/// What stands after the question mark.
pub(crate) struct Asked<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Asked<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let query = Query::<T>::from_request_parts(parts, state).await;
        let query = query.map_err(|error| unreadable(error.status(), error.body_text()))?;
        Ok(Self(query.0))
    }
}

/// The variable parts of a path.
pub(crate) struct Named<T>(pub(crate) T);

impl<T: DeserializeOwned + Send, S: Send + Sync> FromRequestParts<S> for Named<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let path = Path::<T>::from_request_parts(parts, state).await;
        // A path that does not fit is a page that is not there.
        path.map(|path| Self(path.0))
            .map_err(|_| Refusal::NoSuchPage)
    }
}

/// A body that cannot be read: too long, or not what its type says.
pub(crate) fn unreadable(status: StatusCode, why: String) -> Refusal {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        Refusal::BodyTooLarge { most: BODY_MOST }
    } else {
        Refusal::Unreadable { why }
    }
}

/// The address a request came from; this machine where there is no connection, as in a test.
pub(crate) struct Peer(pub(crate) IpAddr);

impl<S: Send + Sync> FromRequestParts<S> for Peer {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        let info = parts.extensions.get::<ConnectInfo<From>>();
        Ok(Self(info.map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |info| {
            info.0.0.ip()
        })))
    }
}

/// The name and port by which the caller knows this machine, for links that are handed on.
pub(crate) struct Host(pub(crate) String);

impl<S: Send + Sync> FromRequestParts<S> for Host {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        let host = parts.headers.get(HOST).and_then(|host| host.to_str().ok());
        Ok(Self(host.unwrap_or("localhost").to_owned()))
    }
}

/// A text as one value of a query: everything but letters, digits and `-._~` is written in `%`.
pub(crate) fn encoded(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                char::from(byte).to_string()
            }
            other => format!("%{other:02X}"),
        })
        .collect()
}

/// A path of our own to go back to; anything that could lead elsewhere leads to the first page.
pub(crate) fn own_path(text: &str) -> &str {
    let plain = text
        .bytes()
        .all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && text.starts_with('/') && !text.starts_with("//") {
        text
    } else {
        "/"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_led_to_another_site_after_signing_in() {
        for text in [
            "//elsewhere.example",
            "https://elsewhere.example",
            "/\\elsewhere.example",
            "",
            "/\n/x",
        ] {
            assert_eq!(own_path(text), "/", "{text}");
        }
        assert_eq!(own_path("/cars/3?check=weight"), "/cars/3?check=weight");
    }

    /// Source: RFC 3986 §2.3, the characters that are never written in percent.
    #[test]
    fn a_query_value_is_encoded() {
        assert_eq!(encoded("/a b?c=é~"), "%2Fa%20b%3Fc%3D%C3%A9~");
    }
}
