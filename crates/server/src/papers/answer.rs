//! The prints themselves, for pages and for programs alike.

use axum::Extension;
use axum::body::Body;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderName, HeaderValue, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use gradeworthy_paper::{self as paper, LabelSheet, Printed};
use gradeworthy_reports::words::System;
use gradeworthy_store::{
    Action, CarId, FleetFilter, FleetRow, Permission, RipOrder, Snapshot, Standing,
};
use jiff::civil::Date;
use maud::html;

use super::ask::{Ask, filled};
use super::gather::{Gathered, Gathering, of_owner};
use super::month;
use crate::App;
use crate::fleet;
use crate::guard::Caller;
use crate::page;
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, Host, Named};

/// Most cars of one print. ASSUMED: ten thousand labels take seconds; more than a club has.
const CARS_MOST: usize = 10_000;
/// Most notes that are told one by one.
const NOTES_SHOWN: usize = 40;

/// A print asked for: who asks, of what, and from where.
struct Order {
    caller: Caller,
    ask: Ask,
    host: String,
    /// The whole address, to come back to.
    path: String,
}

impl Order {
    fn new(caller: Caller, ask: Ask, host: Host, uri: &Uri) -> Self {
        let path = uri.path_and_query().map(ToString::to_string);
        Self {
            caller,
            ask,
            host: host.0,
            path: path.unwrap_or_default(),
        }
    }

    /// The print, or what there is to say about it first.
    fn answer(&self, app: &App, name: &str, printed: Printed) -> Response {
        let program = self.path.starts_with("/api/");
        let anyway = program || filled(self.ask.anyway.as_ref()).is_some();
        if printed.notes.is_empty() || anyway {
            return file(name, printed);
        }
        let mark = if self.path.contains('?') { '&' } else { '?' };
        let again = format!("{}{mark}anyway=yes", self.path);
        let count = printed.notes.len();
        let body = html! {
            p role="status" { "The print is ready. This is to be known of it first:" }
            ul { @for note in printed.notes.iter().take(NOTES_SHOWN) { li { (note) } } }
            @if count > NOTES_SHOWN { p { "And " (count - NOTES_SHOWN) " more of the kind." } }
            p { a.button href=(again) { "Print it so" } " " a.button.quiet href="/papers" { "Choose another sheet" } }
        };
        page::room(app, &self.caller, "Before it is printed", "/papers", &body).into_response()
    }
}

/// A PDF, and what there is to say of it in headers of our own.
fn file(name: &str, printed: Printed) -> Response {
    let mut response = (StatusCode::OK, Body::from(printed.pdf)).into_response();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static("application/pdf"));
    let plain: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    let named = HeaderValue::from_str(&format!("inline; filename=\"{plain}.pdf\""));
    if let Ok(named) = named {
        headers.insert(CONTENT_DISPOSITION, named);
    }
    for note in printed.notes.iter().take(NOTES_SHOWN) {
        // A header is ASCII; what is not is written as its code point.
        let text: String = note
            .to_string()
            .chars()
            .map(|c| match c {
                ' '..='~' => c.to_string(),
                other => format!("U+{:04X}", u32::from(other)),
            })
            .collect();
        if let Ok(text) = HeaderValue::from_str(&text) {
            headers.append(HeaderName::from_static("gradeworthy-note"), text);
        }
    }
    response
}

/// What a print is called, and itself.
type Print = Result<(String, Printed), Refusal>;

/// A print of one car that the caller may see.
async fn of_one(
    app: App,
    car: i64,
    order: Order,
    print: fn(&Gathered, &Snapshot<'_>, &Ask) -> Print,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &order.caller, CarId::from_number(car))?;
        let own = Gathering::new(app, &snapshot, Some(&order.host))?.car(row)?;
        let (name, printed) = print(&own, &snapshot, &order.ask)?;
        Ok(order.answer(app, &name, printed))
    })
    .await
}

fn wants_verdict(ask: &Ask) -> bool {
    filled(ask.no_verdict.as_ref()).is_none()
}

#[utoipa::path(get, path = "/api/cars/{car}/label", params(("car" = i64, Path), Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn label(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    of_one(app, car, order, |own, snapshot, ask| {
        let own = own.label(wants_verdict(ask));
        let layout = ask.layout(snapshot, LabelSheet::plain)?;
        let name = format!("label {}", own.mark);
        Ok((name, paper::labels(&[own], &layout)?))
    })
    .await
}

#[utoipa::path(get, path = "/api/cars/{car}/tag", params(("car" = i64, Path), Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn tag(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    of_one(app, car, order, |own, snapshot, ask| {
        let own = own.tag(System::Both);
        let layout = ask.layout(snapshot, LabelSheet::quarters)?;
        let name = format!("tag {}", own.mark);
        Ok((name, paper::tags(&[own], &layout)?))
    })
    .await
}

#[utoipa::path(get, path = "/api/cars/{car}/slip", params(("car" = i64, Path), Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn slip(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    of_one(app, car, order, |own, snapshot, ask| {
        let layout = ask.layout(snapshot, LabelSheet::quarters)?;
        let printed = paper::slips(&own.slips(), &layout)?;
        Ok(("bad-order slip".to_owned(), printed))
    })
    .await
}

#[utoipa::path(get, path = "/api/cars/{car}/record-sheet", params(("car" = i64, Path), Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn record_sheet(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    of_one(app, car, order, |own, _, ask| {
        let sheet = own.record_sheet();
        let name = format!("record {}", sheet.record.car.mark);
        Ok((
            name,
            paper::record_sheets(&[sheet], ask.paper()?, System::Both)?,
        ))
    })
    .await
}

/// The cars that are asked for: for an owner, his own among them.
fn wanted(gathering: &Gathering<'_>, order: &Order) -> Result<Vec<FleetRow>, Refusal> {
    let text = |own: &Option<String>| filled(own.as_ref()).map(Into::into);
    let all = order.caller.member.role.may(Action::SeeFleet) == Permission::Yes;
    let standing = filled(order.ask.state.as_ref()).map(|state| {
        let known = Standing::NAMES.into_iter().find(|name| *name == state);
        known.ok_or_else(|| Refusal::NotAChoice {
            found: state.to_owned(),
            expected: "state of a car",
        })
    });
    let filter = FleetFilter {
        mark_part: text(&order.ask.mark),
        owner_part: text(&order.ask.owner),
        owner_member: (!all).then_some(order.caller.member.id),
        standing: standing.transpose()?,
        ..FleetFilter::default()
    };
    let mut rows = gathering.rows(&filter)?;
    rows.truncate(CARS_MOST);
    Ok(rows)
}

#[utoipa::path(get, path = "/api/papers/labels", params(Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn labels(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let gathering = Gathering::new(app, &snapshot, Some(&order.host))?;
        let with_verdict = wants_verdict(&order.ask);
        let own = gathering.labels(&wanted(&gathering, &order)?, with_verdict)?;
        let layout = order.ask.layout(&snapshot, LabelSheet::plain)?;
        Ok(order.answer(app, "labels", paper::labels(&own, &layout)?))
    })
    .await
}

#[utoipa::path(get, path = "/api/papers/slips", params(Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn slips(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let gathering = Gathering::new(app, &snapshot, Some(&order.host))?;
        let all = order.caller.member.role.may(Action::SeeFleet) == Permission::Yes;
        let mut own = Vec::new();
        for waiting in snapshot.rip_track(RipOrder::OldestFirst)? {
            if all || waiting.car.owner_member == Some(order.caller.member.id) {
                own.extend(gathering.car(waiting.car)?.slips());
            }
        }
        let layout = order.ask.layout(&snapshot, LabelSheet::quarters)?;
        Ok(order.answer(app, "bad-order slips", paper::slips(&own, &layout)?))
    })
    .await
}

#[utoipa::path(get, path = "/api/papers/statement", params(Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn statement(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let gathering = Gathering::new(app, &snapshot, Some(&order.host))?;
        let member = &order.caller.member;
        let all = member.role.may(Action::SeeFleet) == Permission::Yes;
        let (owner, rows) = match filled(order.ask.owner.as_ref()).filter(|_| all) {
            Some(owner) => (owner, of_owner(&gathering, owner)?),
            None => {
                let filter = FleetFilter {
                    owner_member: Some(member.id),
                    ..FleetFilter::default()
                };
                (&*member.name, gathering.rows(&filter)?)
            }
        };
        let own = gathering.statement(owner, rows)?;
        let printed = paper::statement(&own, order.ask.paper()?)?;
        Ok(order.answer(app, &format!("cars of {owner}"), printed))
    })
    .await
}

#[utoipa::path(get, path = "/api/papers/monthly", params(Ask), tag = "papers",
    responses((status = 200, content_type = "application/pdf", body = Vec<u8>), (status = 403, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn monthly(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(ask): Asked<Ask>,
    host: Host,
    uri: Uri,
) -> Result<Response, Refusal> {
    let order = Order::new(caller, ask, host, &uri);
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let gathering = Gathering::new(app, &snapshot, Some(&order.host))?;
        let (from, to) = days(filled(order.ask.month.as_ref()), app.today())?;
        let report = month::report(&gathering, from, to)?;
        let printed = paper::monthly(&report, order.ask.paper()?, System::Both)?;
        Ok(order.answer(app, &format!("report {from}"), printed))
    })
    .await
}

/// The first and last day of a month '2026-11', or of this one.
fn days(month: Option<&str>, today: Date) -> Result<(Date, Date), Refusal> {
    let from = match month {
        None => today.first_of_month(),
        Some(text) => format!("{text}-01")
            .parse()
            .map_err(|_| Refusal::NotAChoice {
                found: text.to_owned(),
                expected: "month: write it as 2026-11",
            })?,
    };
    Ok((from, from.last_of_month()))
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_month_runs_from_its_first_to_its_last_day() {
        let today = date(2026, 11, 25);
        let days = |text| days(text, today).expect("a month");
        assert_eq!(days(None), (date(2026, 11, 1), date(2026, 11, 30)));
        assert_eq!(days(Some("2024-02")), (date(2024, 2, 1), date(2024, 2, 29)));
    }
}
