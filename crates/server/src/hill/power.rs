//! Power: what was measured on each locomotive, what was not, and what that leaves open.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_reports::climb::words;
use gradeworthy_store::{Action, ClientId, HillEdition, HillKind};
use gradeworthy_train::consist::{Figure, Locomotive, read_power, write_power};
use gradeworthy_train::vehicle::{Class, Provenance, Quantity};
use maud::{Markup, html};

use super::climb_page::figure;
use super::lines::history;
use super::save::{NewEdition, save};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, text_field};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Fields, Named};

/// Figures in groups, as they are measured together.
const GROUPS: [(&str, &str, &[Figure]); 4] = [
    (
        "Pull test",
        "A spring scale on the rear coupler, locomotive held back slowly: short pulls, and the maker's word on the motor first.",
        &[Figure::SlipPull, Figure::StallPull, Figure::HoldPull],
    ),
    (
        "Speed match",
        "Two timings over one distance at the setting that is used on the hill: running free, and pulling a known load.",
        &[
            Figure::TimedOver,
            Figure::FreeTime,
            Figure::LoadedTime,
            Figure::Load,
        ],
    ),
    (
        "Weight and drag",
        "On the scale; and the grade on which it keeps rolling, or starts to, with its motor out.",
        &[Figure::Weight, Figure::Drag, Figure::StartDrag],
    ),
    (
        "Sizes",
        "With a caliper and the height gauge.",
        &[
            Figure::LengthOverCouplers,
            Figure::TruckCentres,
            Figure::TruckWheelbase,
            Figure::CouplerHeightFront,
            Figure::CouplerHeightRear,
            Figure::CgHeight,
            Figure::CouplerSwing,
            Figure::TruckSwing,
        ],
    ),
];

/// What the climb knows of a locomotive only by default, and between which ends that may lie.
fn open(own: &Locomotive) -> Vec<String> {
    let Ok(card) = own.vehicle(Class::HoLocomotive) else {
        return vec!["its figures contradict each other".to_owned()];
    };
    let telling = [
        Quantity::AdhesionPull,
        Quantity::StallPull,
        Quantity::BrakePull,
        Quantity::SpeedSetting,
        Quantity::SpeedSlope,
        Quantity::Weight,
        Quantity::RollingDrag,
    ];
    let not_measured = telling
        .into_iter()
        .filter(|own| card.entry(*own).provenance != Provenance::Measured);
    not_measured
        .map(|quantity| {
            let (entry, (name, how)) = (card.entry(quantity), words::quantity(quantity));
            format!(
                "{name}: taken as {} {unit}, may be {} to {} {unit}; {how}",
                figure(entry.value),
                figure(entry.low),
                figure(entry.high),
                unit = quantity.unit()
            )
        })
        .collect()
}

/// Every locomotive.
pub(crate) async fn power(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let all = stock::power(&app.store().snapshot()?)?;
        let body = html! {
            @if all.is_empty() { p { "No locomotive is entered yet." } }
            @if caller.may(Action::ChangePower) { p.row { a.button href="/hill/power/new" { "Enter a locomotive" } } }
            ul.cards { @for (edition, own) in &all { @let open = open(own); li.card {
                h2 { a.inrow href={ "/hill/power/" (edition.item) } { (own.name) } }
                p {
                    @if let Some(pull) = own.base(Figure::SlipPull) { (format!("Slips at {pull:.2} N")) } @else {
                        "Pull not tested" }
                    "; " @if let Some(speed) = own.speed() { (format!("runs {:.0} mm/s", 1e3 * speed)) } @else { "speed not timed" }
                    "; " @if let Some(slope) = own.speed_slope() { (format!("loses 1 mm/s for each {:.3} N",
                        slope / 1e3)) } @else { "not timed under load" } "."
                }
                @if open.is_empty() { p.more { "Everything that pulls is measured." } }
                @else { details { summary { "Not measured: " (open.len()) } ul { @for own in &open { li { (own) } } } } }
            } } }
        };
        Ok(page::room(app, &caller, "Power", "/hill", &body))
    })
    .await
}

fn form(
    app: &App,
    caller: &Caller,
    edition: Option<&HillEdition>,
    own: &dyn Fn(&str) -> String,
    faults: &[String],
    below: &Markup,
) -> Result<Page, Refusal> {
    let may = caller.may(Action::ChangePower);
    let identity = ClientId::random()?;
    let body = html! {
        @for fault in faults { p.message role="alert" { (page::sentence(fault)) } }
        form method="post" action="/hill/power" {
            input type="hidden" name="client_id" value=(identity);
            @if let Some(edition) = edition {
                input type="hidden" name="seen" value=(edition.edition);
                input type="hidden" name="was" value=(edition.name);
            }
            (text_field("Name", "name", &own("name"), true))
            @for (heading, how, figures) in GROUPS { fieldset { legend { (heading) } p.more { (how) }
                div.cells { @for figure in figures {
                    @let label = format!("{}, {}", figure.key().replace('_', " "), figure.unit().symbol());
                    (text_field(&label, figure.key(), &own(figure.key()), false))
                } }
            } }
            label.tick { input type="checkbox" name="traction_tires" value="true"
                checked[own("traction_tires") == "true"]; span { "Traction tires" } }
            (text_field("Note", "note", &own("note"), false))
            @if may { p.row {
                button name="what" value="save" { "Save it" }
                @if edition.is_some() { button.quiet name="what" value="withdraw" { "Withdraw it" } }
            } }
        }
        @if may && edition.is_none() {
            form method="post" action="/hill/power" {
                input type="hidden" name="client_id" value=(identity);
                details.import { summary { "Take locomotives from a power file" }
                    label.field.wide { span { "The file's text" } textarea name="import" rows="8" spellcheck="false" {} }
                    button.quiet name="what" value="import" { "Enter all of them" }
                }
            }
        }
        (below)
        (crate::script::HILL.load())
    };
    let title = edition.map_or_else(
        || "Enter a locomotive".to_owned(),
        |own| own.name.to_string(),
    );
    Ok(page::room(app, caller, &title, "/hill", &body))
}

/// An empty form.
pub(crate) async fn power_new(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    form(&app, &caller, None, &|_| String::new(), &[], &html! {})
}

/// One locomotive, with what is not known of it.
pub(crate) async fn locomotive(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(item): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let edition = snapshot.hill_item(HillKind::Locomotive, item)?;
        let all = read_power(&edition.text).map_err(|error| stock::faults(&error))?;
        let own = all.first().ok_or(Refusal::NoSuchPage)?;
        let typed = |key: &str| match key {
            "name" => own.name.clone(),
            "traction_tires" => own.traction_tires.to_string(),
            "note" => own.note.clone().unwrap_or_default(),
            key => {
                let found = own.figures.iter().find(|(figure, _)| figure.key() == key);
                found.map_or_else(String::new, |(_, typed)| shown(typed))
            }
        };
        let open = open(own);
        let below = html! {
            @if !open.is_empty() { section { h2 { "Not measured, and what it may be" } ul { @for own in &open { li { (own) } } } } }
            (history(app, &snapshot, item)?)
        };
        form(app, &caller, Some(&edition), &typed, &[], &below)
    })
    .await
}

/// What was typed, with its unit.
fn shown(typed: &gradeworthy_units::Typed) -> String {
    if typed.unit_was_typed {
        typed.text.to_string()
    } else {
        format!("{} {}", typed.text, typed.unit.symbol())
    }
}

/// Saves or withdraws a locomotive, or enters all of a file.
pub(crate) async fn power_send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let what = fields.get("what");
        let text = if what == "import" {
            fields.get("import").to_owned()
        } else {
            as_file(&fields)
        };
        let known = stock::power(&app.store().snapshot()?)?;
        let all = match read_power(&text) {
            Ok(all) => all,
            Err(errors) => {
                let faults: Vec<_> = errors.0.iter().map(ToString::to_string).collect();
                let faults = if what == "import" {
                    faults
                } else {
                    faults.iter().map(|own| without_line(own)).collect()
                };
                let typed = |key: &str| fields.get(key).to_owned();
                let was = known
                    .iter()
                    .find(|(own, _)| own.name.eq_ignore_ascii_case(fields.get("was")));
                let edition = was.map(|(edition, _)| edition);
                return Ok(form(app, &caller, edition, &typed, &faults, &html! {})?.into_response());
            }
        };
        let identity = client_id(fields.get("client_id"))?;
        for (index, own) in (0_u8..=u8::MAX).zip(&all) {
            let latest = known
                .iter()
                .find(|(_, other)| other.name == own.name)
                .map(|(edition, _)| edition.edition);
            let same = fields.get("was").eq_ignore_ascii_case(&own.name);
            let seen = match what {
                "import" => latest,
                _ => fields.get("seen").parse().ok().filter(|_| same),
            };
            let mut bytes = identity.bytes();
            bytes[15] = bytes[15].wrapping_add(index);
            save(
                app,
                &caller,
                NewEdition {
                    client_id: ClientId::from_bytes(bytes),
                    kind: HillKind::Locomotive,
                    name: own.name.clone(),
                    seen,
                    text: write_power(std::slice::from_ref(own)),
                    readings: None,
                    withdrawn: what == "withdraw",
                },
            )?;
        }
        Ok(Redirect::to("/hill/power").into_response())
    })
    .await
}

/// The form as a power file of one locomotive.
fn as_file(fields: &Fields) -> String {
    let mut text = "[[locomotive]]\n".to_owned();
    let keys = ["name", "traction_tires", "note"]
        .into_iter()
        .chain(Figure::ALL.map(Figure::key));
    for key in keys {
        let value = fields.get(key);
        if key == "traction_tires" && value == "true" {
            text += "traction_tires = true\n";
        } else if !value.is_empty() {
            text += &format!("{key} = {}\n", quoted(value));
        }
    }
    text
}

/// A TOML string. Source: TOML 1.0.0, 'basic strings'.
fn quoted(text: &str) -> String {
    let mut own = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => own.extend(['\\', letter]),
            letter if letter.is_control() => own.push(' '),
            letter => own.push(letter),
        }
    }
    own.push('"');
    own
}

/// A fault of a form has no line of a file.
fn without_line(text: &str) -> String {
    match text
        .strip_prefix("line ")
        .and_then(|rest| rest.split_once([',', ':']))
    {
        Some((number, rest)) if number.bytes().all(|own| own.is_ascii_digit()) => {
            rest.trim_start().to_owned()
        }
        _ => text.to_owned(),
    }
}
