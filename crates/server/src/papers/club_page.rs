//! What the club prints on: its sheets of labels by its own names, and the address its server is known
//! by. The lead keeps both.

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_paper::PaperError;
use gradeworthy_store::{ClubAct, ClubCommand, KeptLabelSheet, Snapshot};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::ask::typing;
use crate::App;
use crate::entry::no_choice;
use crate::guard::Caller;
use crate::page::{choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::{Sent, Typed};

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

/// A sheet of labels as the club measured it; each length with its unit: '63.5 mm', '2 5/8 in'.
#[derive(Debug, Default, Deserialize, Serialize, ToSchema)]
#[serde(default)]
pub(crate) struct SheetSent {
    /// The club's name for it; one that is there already is described anew.
    name: String,
    /// 'A4' or 'Letter'.
    paper: String,
    /// Labels beside each other.
    columns: String,
    /// Labels under each other.
    rows: String,
    /// Width of a label.
    width: String,
    /// Height of a label.
    height: String,
    /// Left margin.
    left: String,
    /// Top margin.
    top: String,
    /// From label to label across; empty where they touch.
    pitch_across: String,
    /// From label to label down; empty where they touch.
    pitch_down: String,
}

impl From<&KeptLabelSheet> for SheetSent {
    fn from(own: &KeptLabelSheet) -> Self {
        let text = |own: &str| own.to_owned();
        Self {
            name: text(&own.name),
            paper: text(&own.paper),
            columns: text(&own.columns),
            rows: text(&own.rows),
            width: text(&own.width),
            height: text(&own.height),
            left: text(&own.left),
            top: text(&own.top),
            pitch_across: text(&own.pitch_across),
            pitch_down: text(&own.pitch_down),
        }
    }
}

impl SheetSent {
    fn keep(&self) -> Result<ClubAct, Refusal> {
        let text = |own: &str| own.trim().into();
        let sheet = KeptLabelSheet {
            name: text(named(&self.name)?),
            paper: text(&self.paper),
            columns: text(&self.columns),
            rows: text(&self.rows),
            width: text(&self.width),
            height: text(&self.height),
            left: text(&self.left),
            top: text(&self.top),
            pitch_across: text(&self.pitch_across),
            pitch_down: text(&self.pitch_down),
        };
        typing(&sheet).sheet().map_err(PaperError::from)?;
        Ok(ClubAct::KeepLabelSheet(sheet))
    }
}

/// The sheet of labels to be forgotten.
#[derive(Debug, Default, Deserialize, ToSchema)]
#[serde(default)]
pub(crate) struct SheetNamed {
    /// Its name.
    name: String,
}

impl SheetNamed {
    fn forget(&self) -> Result<ClubAct, Refusal> {
        let name = named(&self.name)?.into();
        Ok(ClubAct::DropLabelSheet { name })
    }
}

fn named(name: &str) -> Result<&str, Refusal> {
    match name.trim() {
        "" => Err(Refusal::Unfilled {
            what: "the name of the sheet",
        }),
        name => Ok(name),
    }
}

/// The address that codes on labels lead to.
#[derive(Debug, Default, Deserialize, Serialize, ToSchema)]
#[serde(default)]
pub(crate) struct AddressSent {
    /// Such as `http://192.0.2.7:7700`; empty where none is set.
    address: String,
}

impl AddressSent {
    fn set(&self) -> Result<ClubAct, Refusal> {
        let text = self.address.trim().trim_end_matches('/');
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
            return Err(no_choice(
                text,
                "address such as http://192.0.2.7:7700, of at most 120 letters",
            ));
        }
        let address = text.into();
        Ok(ClubAct::SetServerAddress { address })
    }
}

/// What the club prints on.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PrintedOnJson {
    /// Its sheets of labels.
    sheets: Vec<SheetSent>,
    /// The address that codes lead to.
    #[serde(flatten)]
    address: AddressSent,
}

fn act(app: &App, caller: &Caller, act: ClubAct) -> Result<(), Refusal> {
    app.store().club(ClubCommand {
        by: Some(caller.member.id),
        at: app.now(),
        act,
    })?;
    Ok(())
}

fn printed_on(app: &App) -> Result<Json<PrintedOnJson>, Refusal> {
    let snapshot = app.store().snapshot()?;
    let address = snapshot.server_address()?.unwrap_or_default();
    Ok(Json(PrintedOnJson {
        sheets: snapshot.label_sheets()?.iter().map(Into::into).collect(),
        address: AddressSent {
            address: address.into(),
        },
    }))
}

#[utoipa::path(get, path = "/api/papers/sheets", tag = "papers",
    responses((status = 200, body = PrintedOnJson), (status = 403, body = Problem)))]
pub(crate) async fn sheets_json(State(app): State<App>) -> Result<Json<PrintedOnJson>, Refusal> {
    app.wait(printed_on).await
}

/// A setting of the club's paper, as a form and as JSON: both say the same act.
macro_rules! setting {
    ($form:ident, $json:ident, $path:literal, $sent:ty, $act:ident) => {
        pub(crate) async fn $form(
            State(app): State<App>,
            Extension(caller): Extension<Caller>,
            Typed(sent): Typed<$sent>,
        ) -> Result<Redirect, Refusal> {
            app.wait(move |app| {
                act(app, &caller, sent.$act()?)?;
                Ok(Redirect::to("/papers"))
            })
            .await
        }

        #[utoipa::path(post, path = $path, request_body = $sent, tag = "papers",
                    responses((status = 200, body = PrintedOnJson), (status = 403, body = Problem),
                              (status = 404, body = Problem), (status = 422, body = Problem)))]
        pub(crate) async fn $json(
            State(app): State<App>,
            Extension(caller): Extension<Caller>,
            Sent(sent): Sent<$sent>,
        ) -> Result<Json<PrintedOnJson>, Refusal> {
            app.wait(move |app| {
                act(app, &caller, sent.$act()?)?;
                printed_on(app)
            })
            .await
        }
    };
}

setting!(
    keep_sheet,
    keep_sheet_json,
    "/api/papers/sheets",
    SheetSent,
    keep
);
setting!(
    drop_sheet,
    drop_sheet_json,
    "/api/papers/sheets/drop",
    SheetNamed,
    forget
);
setting!(
    set_address,
    set_address_json,
    "/api/papers/address",
    AddressSent,
    set
);
