//! The bench for programs.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_reports::wire::CarReport;
use gradeworthy_reports::words::System;
use gradeworthy_store::{CarId, Version};
use gradeworthy_workbench::record::Measure;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::ending::{Ending, EndingSent, end};
use super::readings::{Sending, TypedReading, enter};
use super::{Pass, take};
use crate::App;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};
use crate::report::{ReceiptJson, client_id};
use crate::request::{Named, Sent};
use crate::words::place_from_key;

/// The car in hand.
#[derive(Serialize, ToSchema)]
pub(crate) struct BenchJson {
    /// The version of its record; what is sent next names it.
    version: i64,
    /// The check to go on with.
    next: String,
    /// What keeps the rule book from admitting it; empty where it may join the fleet.
    hindrances: Vec<String>,
    /// Verdicts, lines, findings and cures.
    #[schema(value_type = Object)]
    report: CarReport,
}

fn bench(app: &App, car: CarId) -> Result<BenchJson, Refusal> {
    let hand = take(app, &app.store().snapshot()?, car)?;
    let car = &hand.own.record.car;
    Ok(BenchJson {
        version: hand.own.version.number(),
        next: hand.next(Pass::Whole).name().to_owned(),
        hindrances: hand.hindrances(app),
        report: CarReport::new(car, &hand.inspection, &hand.cures, System::Both),
    })
}

#[utoipa::path(get, path = "/api/bench/{car}", params(("car" = i64, Path)), tag = "bench",
    responses((status = 200, body = BenchJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn bench_json(
    State(app): State<App>,
    Named(car): Named<i64>,
) -> Result<Json<BenchJson>, Refusal> {
    app.wait(move |app| bench(app, CarId::from_number(car)).map(Json))
        .await
}

/// Readings to be entered, all of them or none.
#[derive(Deserialize, ToSchema)]
pub(crate) struct ReadingsSent {
    /// The sender's identity of this entry, 32 hexadecimal digits; sending it twice enters it once.
    client_id: String,
    /// The version of the record that the sender had seen.
    version: i64,
    /// The readings.
    readings: Vec<ReadingSent>,
}

/// One reading.
#[derive(Deserialize, ToSchema)]
pub(crate) struct ReadingSent {
    /// What was read: 'back to back', 'weight', …
    measure: String,
    /// Where: 'station-1-2', 'end-A', 'car'.
    place: String,
    /// The reading as typed, with its unit: '14.43 mm', '.566 in', 'good'.
    text: String,
    /// The instrument, by its name in the rule book.
    instrument: Option<String>,
    /// Whether a reading that was questioned is meant as it stands.
    #[serde(default)]
    sure: bool,
}

fn typed(sent: ReadingSent) -> Result<TypedReading, Refusal> {
    let not = |found: &str, expected| Refusal::NotAChoice {
        found: found.to_owned(),
        expected,
    };
    Ok(TypedReading {
        measure: Measure::from_name(&sent.measure).ok_or_else(|| not(&sent.measure, "measure"))?,
        place: place_from_key(&sent.place).ok_or_else(|| not(&sent.place, "place on a car"))?,
        text: sent.text,
        instrument: sent.instrument,
        sure: sent.sure,
    })
}

#[utoipa::path(post, path = "/api/bench/{car}/readings", params(("car" = i64, Path)), request_body = ReadingsSent, tag = "bench",
    responses((status = 200, body = BenchJson), (status = 403, body = Problem), (status = 409, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn readings_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Sent(sent): Sent<ReadingsSent>,
) -> Result<Json<BenchJson>, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let hand = take(app, &app.store().snapshot()?, car)?;
        let sending = Sending {
            client_id: client_id(&sent.client_id)?,
            seen: Version::from_number(sent.version),
            readings: sent
                .readings
                .into_iter()
                .map(typed)
                .collect::<Result<_, _>>()?,
        };
        enter(app, &caller, &hand, None, &sending)?;
        bench(app, car).map(Json)
    })
    .await
}

macro_rules! ending_json {
    ($name:ident, $path:literal, $kind:expr) => {
        #[utoipa::path(post, path = $path, params(("car" = i64, Path)), request_body = EndingSent, tag = "bench",
            responses((status = 200, body = ReceiptJson), (status = 403, body = Problem),
                      (status = 409, body = Problem), (status = 422, body = Problem)))]
        pub(crate) async fn $name(
            State(app): State<App>,
            Extension(caller): Extension<Caller>,
            Named(car): Named<i64>,
            Sent(sent): Sent<EndingSent>,
        ) -> Result<Json<ReceiptJson>, Refusal> {
            app.wait(move |app| {
                let receipt = end(app, &caller, CarId::from_number(car), $kind, &sent)?;
                Ok(Json(receipt.into()))
            })
            .await
        }
    };
}

ending_json!(release_json, "/api/cars/{car}/release", Ending::Release);
ending_json!(rest_json, "/api/cars/{car}/rest", Ending::Rest);
ending_json!(wait_json, "/api/cars/{car}/wait", Ending::Wait);
ending_json!(
    hand_back_json,
    "/api/cars/{car}/hand-back",
    Ending::HandBack
);
ending_json!(take_in_json, "/api/cars/{car}/take-in", Ending::TakeIn);
