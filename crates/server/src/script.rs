//! The scripts of the pages, bundled by `build.rs`, each under a name that changes with its content, so
//! that a browser may keep it for ever and never runs an old one.

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use crate::refusal::Refusal;
use crate::request::Named;

/// One page's script.
pub(crate) struct Script {
    /// The name it is served under.
    name: &'static str,
    text: &'static str,
}

include!(concat!(env!("OUT_DIR"), "/scripts.rs"));

impl Script {
    /// The element that loads it: a module, so it runs when the page has been read to its end.
    pub(crate) fn load(&self) -> Markup {
        html! { script type="module" src={ "/script/" (self.name) } {} }
    }
}

/// Serves the one that is asked for.
pub(crate) async fn serve(Named(asked): Named<String>) -> Result<Response, Refusal> {
    let found = ALL.iter().find(|script| script.name == asked);
    let script = found.ok_or(Refusal::NoSuchPage)?;
    let headers = [
        (CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    Ok((headers, script.text).into_response())
}

#[cfg(test)]
mod tests {
    use axum::http::{Method, StatusCode};

    use super::*;
    use crate::club::Club;

    #[test]
    fn every_script_is_served_for_ever_under_the_name_of_its_content_and_no_other() {
        let club = Club::open();
        for script in ALL {
            let answer = club.call(None, Method::GET, &format!("/script/{}", script.name), "");
            assert_eq!(answer.status, StatusCode::OK);
            assert_eq!(answer.body, script.text);
            let kept = answer.headers[CACHE_CONTROL].to_str().expect("text");
            assert!(kept.contains("immutable"), "{kept}");
        }
        let old = club.call(None, Method::GET, "/script/page-00000000.js", "");
        assert_eq!(old.status, StatusCode::NOT_FOUND);
    }

    #[test]
    fn no_page_runs_or_loads_anything_that_is_not_this_servers_own() {
        let club = Club::open();
        let page = club.call(None, Method::GET, "/sign-in", "");
        let policy = page.headers["content-security-policy"].to_str();
        let policy = policy.expect("text");
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "connect-src 'self'",
        ] {
            assert!(policy.contains(part), "{policy}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        let scripts = page.body.matches("<script").count();
        assert_eq!(
            scripts,
            page.body
                .matches("<script type=\"module\" src=\"/script/")
                .count()
        );
    }
}
