//! What the club prints on: its sheets of labels by its own names, and the address its server is known
//! by. The lead keeps both.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_paper::PaperError;
use gradeworthy_store::{ClubAct, ClubCommand, KeptLabelSheet, Snapshot};
use maud::{Markup, html};

use super::ask::typing;
use crate::App;
use crate::guard::Caller;
use crate::page::{choice, text_field};
use crate::refusal::Refusal;
use crate::request::Fields;

/// Field, its label, and what may stand there.
const MEASURES: [(&str, &str); 8] = [
    ("columns", "Labels beside each other"),
    ("rows", "Labels under each other"),
    ("width", "Width of a label"),
    ("height", "Height of a label"),
    ("left", "Left margin"),
    ("top", "Top margin"),
    (
        "pitch_across",
        "From label to label across; empty where they touch",
    ),
    (
        "pitch_down",
        "From label to label down; empty where they touch",
    ),
];

/// The part of the page that only the lead sees.
pub(super) fn settings(
    snapshot: &Snapshot<'_>,
    sheets: &[KeptLabelSheet],
) -> Result<Markup, Refusal> {
    let address = snapshot.server_address()?.unwrap_or_default();
    Ok(html! {
        section { h2 { "Your sheets of labels" }
            @if sheets.is_empty() { p { "None yet: labels go on plain paper, to be cut." } }
            ul.cards { @for own in sheets { li.card {
                h3 { (own.name) }
                p { (own.paper) ", " (own.columns) " × " (own.rows) ", each " (own.width) " × " (own.height)
                    "; margins " (own.left) " and " (own.top) }
                form method="post" action="/papers/sheets/drop" {
                    input type="hidden" name="name" value=(own.name);
                    button.quiet { "Forget it" } }
            } } }
            h3 { "Describe one" }
            p { "Measure the sheet and write each length with its unit, '63.5 mm' or '2 5/8 in'. A name that is \
                 there already is described anew." }
            form method="post" action="/papers/sheets" {
                div.row { (text_field("Your name for it", "name", "", true))
                    (choice("Paper", "paper", "A4", [("A4", "A4"), ("Letter", "Letter")])) }
                div.row { @for (name, label) in MEASURES {
                    (text_field(label, name, "", !name.starts_with("pitch")))
                } }
                button { "Keep it" }
            } }
        section { h2 { "The server's address" }
            p { "Codes on labels lead here. It must be the address that phones in the club reach, and stay so \
                 as long as the labels do. While it is empty, the address in the browser is used." }
            form.row method="post" action="/papers/address" {
                (text_field("Address, such as http://192.0.2.7:7700", "address", &address, false))
                button { "Set it" }
            } }
    })
}

fn act(app: &App, caller: &Caller, act: ClubAct) -> Result<Redirect, Refusal> {
    app.store().club(ClubCommand {
        by: Some(caller.member.id),
        at: app.now(),
        act,
    })?;
    Ok(Redirect::to("/papers"))
}

/// Keeps a sheet of labels.
pub(crate) async fn keep_sheet(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let text = |name| fields.get(name).into();
        let sheet = KeptLabelSheet {
            name: fields.need("name", "the name of the sheet")?.into(),
            paper: text("paper"),
            columns: text("columns"),
            rows: text("rows"),
            width: text("width"),
            height: text("height"),
            left: text("left"),
            top: text("top"),
            pitch_across: text("pitch_across"),
            pitch_down: text("pitch_down"),
        };
        typing(&sheet).sheet().map_err(PaperError::from)?;
        act(app, &caller, ClubAct::KeepLabelSheet(sheet))
    })
    .await
}

/// Forgets one.
pub(crate) async fn drop_sheet(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let name = fields.need("name", "the name of the sheet")?.into();
        act(app, &caller, ClubAct::DropLabelSheet { name })
    })
    .await
}

/// Sets the address, or takes it away.
pub(crate) async fn set_address(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let text = fields.get("address").trim_end_matches('/');
        let host = text
            .strip_prefix("http://")
            .or_else(|| text.strip_prefix("https://"));
        let plain = |host: &str| {
            !host.is_empty()
                && host
                    .bytes()
                    .all(|b| b.is_ascii_graphic() && !b"\"'<>\\".contains(&b))
        };
        let good = text.is_empty() || (text.len() <= 120 && host.is_some_and(plain));
        if !good {
            return Err(Refusal::NotAChoice {
                found: text.to_owned(),
                expected: "address such as http://192.0.2.7:7700, of at most 120 letters",
            });
        }
        let address = text.into();
        act(app, &caller, ClubAct::SetServerAddress { address })
    })
    .await
}
