//! What members enter about one car besides readings: each kind is one type that a form fills and a
//! program sends, and that says which facts it is.

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_store::{
    Append, Basis, CarId, ClientId, Fact, FleetRow, Receipt, Snapshot, Version,
};
use maud::{Markup, html};
use serde::de::DeserializeOwned;

use crate::App;
use crate::bench::{EndingSent, derived, second};
use crate::guard::Caller;
use crate::refusal::Refusal;
use crate::report::{ReceiptJson, client_id};
use crate::request::{Named, Sent, Typed};

/// Something that can be entered about a car.
pub(crate) trait Entry: DeserializeOwned + Send + 'static {
    /// What it carries besides what it says.
    fn envelope(&self) -> Envelope<'_>;

    /// The facts it is.
    fn facts(&self, about: &About<'_>) -> Result<Vec<Fact>, Refusal>;

    /// Where the form leads.
    fn onward(&self, car: CarId) -> String {
        format!("/cars/{car}")
    }
}

/// What every entry carries.
pub(crate) struct Envelope<'a> {
    /// The sender's identity of it.
    pub(crate) client_id: &'a str,
    /// The version of the record that the sender had seen.
    pub(crate) version: i64,
    /// The name of the member who answers for it beside the sender.
    pub(crate) second: &'a str,
    /// That member's PIN or password.
    pub(crate) second_secret: &'a str,
}

/// The car that an entry is about, as it stands.
pub(crate) struct About<'a> {
    pub(crate) app: &'a App,
    pub(crate) caller: &'a Caller,
    pub(crate) snapshot: &'a Snapshot<'a>,
    pub(crate) car: CarId,
}

/// A type of entry: its own fields and what every entry carries, from a form or from a program.
macro_rules! entry {
    ($(#[$doc:meta])* $name:ident { $( $(#[$field_doc:meta])* $field:ident : $kind:ty ),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Default, serde::Deserialize, utoipa::ToSchema)]
        #[serde(default)]
        pub(crate) struct $name {
            /// The sender's identity of it, 32 hexadecimal digits; sending it twice enters it once.
            client_id: String,
            /// The version of the record that the sender had seen.
            version: i64,
            $( $(#[$field_doc])* $field: $kind, )*
            /// The name of the member who answers for it beside the sender, where one is needed.
            second: String,
            /// That member's PIN or password.
            second_secret: String,
        }

        impl $name {
            fn carried(&self) -> $crate::entry::Envelope<'_> {
                $crate::entry::Envelope {
                    client_id: &self.client_id,
                    version: self.version,
                    second: &self.second,
                    second_secret: &self.second_secret,
                }
            }
        }
    };
}
pub(crate) use entry;

/// The handler for programs, with its description.
macro_rules! entry_json {
    ($name:ident, $path:literal, $kind:ty, $tag:literal) => {
        #[utoipa::path(post, path = $path, params(("car" = i64, Path)), request_body = $kind, tag = $tag,
            responses((status = 200, body = $crate::report::ReceiptJson),
                      (status = 403, body = $crate::refusal::Problem),
                      (status = 404, body = $crate::refusal::Problem),
                      (status = 409, body = $crate::refusal::Problem),
                      (status = 422, body = $crate::refusal::Problem)))]
        pub(crate) async fn $name(
            state: axum::extract::State<$crate::App>,
            caller: axum::Extension<$crate::guard::Caller>,
            car: $crate::request::Named<i64>,
            sent: $crate::request::Sent<$kind>,
        ) -> Result<axum::Json<$crate::report::ReceiptJson>, $crate::refusal::Refusal> {
            $crate::entry::by_program(state, caller, car, sent).await
        }
    };
}
pub(crate) use entry_json;

fn enter<E: Entry>(app: &App, caller: &Caller, car: CarId, sent: &E) -> Result<Receipt, Refusal> {
    let snapshot = app.store().snapshot()?;
    let about = About {
        app,
        caller,
        snapshot: &snapshot,
        car,
    };
    let facts = sent.facts(&about)?;
    drop(snapshot);
    let own = sent.envelope();
    let id = client_id(own.client_id)?;
    let named = facts
        .into_iter()
        .map(|fact| (derived(id, fact.kind()), fact));
    Ok(app.store().append(Append {
        car,
        by: caller.member.id,
        second: second(
            app,
            &EndingSent {
                second: own.second.to_owned(),
                second_secret: own.second_secret.to_owned(),
                ..EndingSent::default()
            },
        )?,
        at: app.now(),
        basis: Basis::Seen(Version::from_number(own.version)),
        facts: named.collect(),
        drafts_done: None,
    })?)
}

/// Takes an entry from a form.
pub(crate) async fn by_form<E: Entry>(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Typed(sent): Typed<E>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        enter(app, &caller, car, &sent)?;
        Ok(Redirect::to(&sent.onward(car)))
    })
    .await
}

/// Takes an entry from a program.
pub(crate) async fn by_program<E: Entry>(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Sent(sent): Sent<E>,
) -> Result<Json<ReceiptJson>, Refusal> {
    app.wait(move |app| {
        let receipt = enter(app, &caller, CarId::from_number(car), &sent)?;
        Ok(Json(receipt.into()))
    })
    .await
}

/// A form for an entry: its own fields among what every entry carries.
pub(crate) fn form(
    car: CarId,
    version: Version,
    kind: &str,
    body: &Markup,
) -> Result<Markup, Refusal> {
    let id = ClientId::random()?;
    Ok(html! {
        form method="post" action={ "/cars/" (car) "/" (kind) } {
            input type="hidden" name="client_id" value=(id);
            input type="hidden" name="version" value=(version);
            (body)
        }
    })
}

/// A choice that was not among those offered.
pub(crate) fn no_choice(found: &str, expected: &'static str) -> Refusal {
    Refusal::NotAChoice {
        found: found.to_owned(),
        expected,
    }
}

/// Whether the car is the caller's own.
pub(crate) fn is_own(caller: &Caller, row: &FleetRow) -> bool {
    row.owner_member == Some(caller.member.id)
}
