//! The record written out: cars and readings as text or workbook, everything as JSON.
//!
//! Text and JSON go out as they are written, a stretch at a time, so that a record of a million
//! readings needs no more memory than a small one. A workbook is built whole and is bounded.

use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use axum::Extension;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use gradeworthy_sheets::{DelimitedStyle, Table, outlet, write_delimited, write_xlsx};
use gradeworthy_store::{FleetCursor, FleetFilter, Snapshot};
use gradeworthy_workbench::record::Record;
use maud::html;
use tokio::runtime::Handle;
use tokio::sync::mpsc::{Sender, channel};

use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page};
use crate::refusal::{Problem, Refusal};

/// Cars read at a time.
const STRETCH: u32 = 250;
/// Readings that a workbook holds here. ASSUMED: some 500 bytes of memory each while it is built.
const WORKBOOK_READINGS_MOST: usize = 300_000;

/// The page that offers it all.
pub(crate) async fn page(State(app): State<App>, Extension(caller): Extension<Caller>) -> Page {
    let offers = [
        ("/fleet/export/cars.csv", "Cars as text", "one row a car"),
        (
            "/fleet/export/readings.csv",
            "Readings as text",
            "one row a reading, with cures between them",
        ),
        (
            "/fleet/export/record.xlsx",
            "Cars and readings as a workbook",
            "two sheets; taken in again, they are the same to the last nanometre and day",
        ),
        (
            "/fleet/export/record.json",
            "The whole record as JSON",
            "every event, verdict and report; no passwords",
        ),
    ];
    let body = html! {
        ul.list { @for (href, name, what) in offers { li {
            a.car href=(href) { span.mark { (name) } span.what { (what) } }
        } } }
        p.more { "A copy to fall back on is made by the machine itself every day; this is for other \
                  programs and other clubs." }
        p.row { a.button.quiet href="/fleet/import" { "Take a sheet in" } " "
            a.button.quiet href="/fleet" { "Back to the fleet" } }
    };
    page::room(&app, &caller, "Write the record out", "/fleet", &body)
}

#[utoipa::path(get, path = "/api/exports/cars.csv", tag = "exchange",
    responses((status = 200, content_type = "text/csv; charset=utf-8", body = Vec<u8>),
        (status = 403, body = Problem), (status = 503, body = Problem)))]
pub(crate) async fn cars_csv(State(app): State<App>) -> Result<Response, Refusal> {
    text(app, "cars.csv", |records| outlet::cars(records))
}

#[utoipa::path(get, path = "/api/exports/readings.csv", tag = "exchange",
    responses((status = 200, content_type = "text/csv; charset=utf-8", body = Vec<u8>),
        (status = 403, body = Problem), (status = 503, body = Problem)))]
pub(crate) async fn readings_csv(State(app): State<App>) -> Result<Response, Refusal> {
    text(app, "readings.csv", |records| outlet::readings(records))
}

/// A table as text, a stretch of cars at a time.
fn text(
    app: App,
    name: &'static str,
    table: impl Fn(&[Record]) -> Table + Send + 'static,
) -> Result<Response, Refusal> {
    stream(
        app,
        name,
        "text/csv; charset=utf-8",
        move |snapshot, out| {
            let mut first = true;
            each_stretch(snapshot, &mut |records| {
                let style = DelimitedStyle {
                    byte_order_mark: first,
                    ..DelimitedStyle::default()
                };
                let bytes = write_delimited(&table(records), style)?;
                let skipped = if first { 0 } else { after_headings(&bytes) };
                first = false;
                out.write_all(&bytes[skipped..])
                    .map_err(|_| Refusal::Stopping)
            })
        },
    )
}

/// Where the rows begin: the headings are plain words on one line.
fn after_headings(bytes: &[u8]) -> usize {
    let end = bytes.iter().position(|byte| *byte == b'\n');
    end.map_or(bytes.len(), |end| end + 1)
}

/// Every car with its record, by marks, a stretch at a time; at least one stretch, be it empty.
fn each_stretch(
    snapshot: &Snapshot<'_>,
    take: &mut dyn FnMut(&[Record]) -> Result<(), Refusal>,
) -> Result<(), Refusal> {
    let mut after: Option<FleetCursor> = None;
    loop {
        let rows = snapshot.fleet(&FleetFilter::default(), after.as_ref(), STRETCH)?;
        let records: Vec<Record> = rows
            .iter()
            .map(|row| Ok(snapshot.record(row.car)?.record))
            .collect::<Result<_, Refusal>>()?;
        if !rows.is_empty() || after.is_none() {
            take(&records)?;
        }
        match rows.last() {
            Some(last) if rows.len() == STRETCH as usize => after = Some(last.into()),
            Some(_) | None => return Ok(()),
        }
    }
}

#[utoipa::path(get, path = "/api/exports/record.xlsx", tag = "exchange",
    responses((status = 200, body = Vec<u8>,
            content_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
        (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn workbook(State(app): State<App>) -> Result<Response, Refusal> {
    let bytes = app
        .wait(|app| {
            let snapshot = app.store().snapshot()?;
            let (mut all, mut readings) = (Vec::new(), 0);
            each_stretch(&snapshot, &mut |records| {
                readings += records.iter().map(|own| own.entries.len()).sum::<usize>();
                all.extend_from_slice(records);
                if readings > WORKBOOK_READINGS_MOST {
                    let most = WORKBOOK_READINGS_MOST;
                    return Err(Refusal::TooManyForWorkbook { most });
                }
                Ok(())
            })?;
            Ok(write_xlsx(&[outlet::cars(&all), outlet::readings(&all)])?)
        })
        .await?;
    let kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
    Ok((headers("record.xlsx", kind), bytes).into_response())
}

#[utoipa::path(get, path = "/api/exports/record.json", tag = "exchange",
    responses((status = 200, content_type = "application/json", body = Object),
        (status = 403, body = Problem), (status = 503, body = Problem)))]
pub(crate) async fn record_json(State(app): State<App>) -> Result<Response, Refusal> {
    stream(app, "record.json", "application/json", |snapshot, out| {
        let written = snapshot.write_json(out);
        written.map_err(|error| Refusal::Fault {
            what: error.to_string(),
        })
    })
}

fn headers(name: &str, kind: &'static str) -> [(axum::http::HeaderName, String); 2] {
    let name = format!("attachment; filename=\"gradeworthy-{name}\"");
    [(CONTENT_TYPE, kind.to_owned()), (CONTENT_DISPOSITION, name)]
}

/// Lets one document be written out at a time: each holds one of the few connections that read.
#[derive(Clone, Default)]
pub(crate) struct OneAtATime(Arc<AtomicBool>);

/// The right to write out; given back when it is dropped.
struct Turn(OneAtATime);

impl OneAtATime {
    fn take(&self) -> Result<Turn, Refusal> {
        if self.0.swap(true, Ordering::AcqRel) {
            Err(Refusal::WritingOut)
        } else {
            Ok(Turn(self.clone()))
        }
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        self.0.0.store(false, Ordering::Release);
    }
}

/// Sends what `work` writes, while it writes. A failure on the way cuts the answer off, so that nobody
/// takes a part for the whole.
fn stream(
    app: App,
    name: &str,
    kind: &'static str,
    work: impl FnOnce(&Snapshot<'_>, &mut dyn Write) -> Result<(), Refusal> + Send + 'static,
) -> Result<Response, Refusal> {
    let turn = app.writing_out().take()?;
    let (sender, mut receiver) = channel::<std::io::Result<Bytes>>(4);
    tokio::task::spawn_blocking(move || {
        let _turn = turn;
        let mut out = Pipe {
            sender: sender.clone(),
            held: Vec::with_capacity(PIECE),
        };
        let done = app
            .store()
            .snapshot()
            .map_err(Refusal::from)
            .and_then(|snapshot| work(&snapshot, &mut out))
            .and_then(|()| out.flush().map_err(|_| Refusal::Stopping));
        if let Err(refusal) = done {
            let error = std::io::Error::other(refusal.to_string());
            // Whoever went away needs no reason.
            drop(sender.blocking_send(Err(error)));
        }
    });
    let pieces = futures_util::stream::poll_fn(move |context| receiver.poll_recv(context));
    Ok((headers(name, kind), Body::from_stream(pieces)).into_response())
}

/// How long a piece may wait to be taken; whoever takes longer has gone away. ASSUMED.
const TAKEN_WITHIN: Duration = Duration::from_secs(60);
/// Bytes sent at a time.
const PIECE: usize = 64 * 1024;

struct Pipe {
    sender: Sender<std::io::Result<Bytes>>,
    held: Vec<u8>,
}

impl Write for Pipe {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.held.extend_from_slice(bytes);
        if self.held.len() >= PIECE {
            self.flush()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        if self.held.is_empty() {
            return Ok(());
        }
        let piece = std::mem::replace(&mut self.held, Vec::with_capacity(PIECE));
        let sending = self.sender.send_timeout(Ok(piece.into()), TAKEN_WITHIN);
        let sent = Handle::current().block_on(sending);
        sent.map_err(|_| std::io::ErrorKind::BrokenPipe.into())
    }
}
