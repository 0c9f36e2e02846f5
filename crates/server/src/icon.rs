//! The picture by which a browser tells this page's tab from others: a car on its wheels.

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::IntoResponse;

const ICON: &str = include_str!("../assets/icon.svg");

/// Where it is served.
pub(crate) const PATH: &str = "/icon.svg";

/// Serves it.
pub(crate) async fn serve() -> impl IntoResponse {
    let headers = [
        (CONTENT_TYPE, "image/svg+xml"),
        (CACHE_CONTROL, "public, max-age=86400"),
    ];
    (headers, ICON)
}
