//! The one stylesheet, under a name that changes with its content, so that a browser may keep it for
//! ever and never shows an old one.

use std::sync::{LazyLock, OnceLock};

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use gradeworthy_reports::drawing;
use sha2::{Digest, Sha256};

use crate::refusal::Refusal;
use crate::request::Named;

/// The page's own rules, then those of the drawings that stand in it.
static STYLE: LazyLock<String> =
    LazyLock::new(|| format!("{}{}", include_str!("../assets/style.css"), drawing::STYLE));

/// The name it is served under.
pub(crate) fn name() -> &'static str {
    static NAME: OnceLock<String> = OnceLock::new();
    NAME.get_or_init(|| {
        let digest = Sha256::digest(STYLE.as_str());
        let start: String = digest[..8]
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        format!("style-{start}.css")
    })
}

/// Serves it.
pub(crate) async fn serve(Named(asked): Named<String>) -> Result<Response, Refusal> {
    if asked != name() {
        return Err(Refusal::NoSuchPage);
    }
    let headers = [
        (CONTENT_TYPE, "text/css; charset=utf-8"),
        (CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    Ok((headers, STYLE.as_str()).into_response())
}
