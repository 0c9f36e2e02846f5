//! The fields of a check: one for each thing to be read, with the reading before, its verdict, where it
//! stands among the fleet's, and what was typed and not entered.

use std::collections::HashMap;

use gradeworthy_reports::drawing::{self, Spread};
use gradeworthy_reports::words::{System, amount};
use gradeworthy_store::{ClientId, PlacedReading};
use gradeworthy_units::{Amount, Dimension};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Line;
use gradeworthy_workbench::record::{Answer, Kind, Measure, Place, Value};
use maud::{Markup, html};

use super::desk::{Desk, Part, picture};
use super::doubt;
use super::readings::{Fault, field};
use crate::page;
use crate::refusal::Refusal;
use crate::words;

/// What the page shows besides the record: what was typed and could not be entered.
#[derive(Default)]
pub(super) struct Typed {
    pub(super) message: Option<Markup>,
    pub(super) values: HashMap<String, String>,
    pub(super) faults: HashMap<String, Fault>,
}

/// The name of the field that chooses an instrument.
pub(super) fn instrument_field(dimension: Dimension) -> String {
    format!("instrument.{dimension}").to_lowercase()
}

/// The name of the field by which a questioned reading is said to be meant; its value is that reading.
pub(super) fn sure_field(field: &str) -> String {
    format!("sure.{field}")
}

/// The form of the open check.
pub(super) fn form(desk: &Desk<'_>, after: Option<&str>, typed: &Typed) -> Result<Markup, Refusal> {
    let past = desk.snapshot.latest_readings(desk.hand.row.car)?;
    let spots = desk.hand.spots(desk.check);
    let unread = |spot: &(Measure, Place)| before(&past, *spot).is_none();
    let next = after
        .and_then(|after| spots.iter().position(|own| field(own.0, own.1) == after))
        .map(|at| at + 1)
        .or_else(|| spots.iter().position(unread))
        .or(Some(0));
    let mut fields = Vec::with_capacity(spots.len());
    for (index, spot) in spots.iter().enumerate() {
        fields.push((*spot, one(desk, *spot, &past, typed, next == Some(index))?));
    }
    let folded = folded(&spots, &past, typed);
    let at_once = |spot| run(spot).is_none() && !folded.contains(&spot.0);
    let used = |spot: (Measure, Place)| {
        before(&past, spot).is_some() || typed.values.contains_key(&field(spot.0, spot.1))
    };
    Ok(html! {
        form.entry id="entry" method="post" action={ "/bench/" (desk.hand.row.car) }
            data-car=(desk.hand.row.car) data-member=(desk.caller.member.id) {
            (desk.hidden(&ClientId::random()?))
            p.kept role="alert" hidden { }
            div.readings { @for (_, own) in fields.iter().filter(|own| at_once(own.0)) { (own) } }
            @if !folded.is_empty() { details.runs { summary { "More to read: " (names(&folded)) }
                div.readings { @for (_, own) in fields.iter().filter(|own| folded.contains(&own.0.0)) { (own) } } } }
            @for number in desk.hand.runs() {
                @let own: Vec<_> = fields.iter().filter(|own| run(own.0) == Some(number)).collect();
                @if !own.is_empty() {
                @let open = own.iter().any(|own| used(own.0));
                details.runs open[open] { summary { "Coasting past the gates, run " (number) }
                    div.readings { @for (_, own) in own { (own) } } }
                }
            }
            (instruments(desk, &spots, &past))
            button { "Enter what is filled in" }
            p.more { "Enter after one number is enough; empty fields are left alone." }
            p.said role="status" {}
        }
    })
}

/// Fields that are shown at once; a check with more shows only what this shop reads. ASSUMED: what fits
/// on a tablet.
const SHOWN_AT_ONCE: usize = 12;

/// Measures that are folded away: in a long check, those that were never read on this car, but for the
/// check's first.
fn folded(spots: &[(Measure, Place)], past: &[PlacedReading], typed: &Typed) -> Vec<Measure> {
    let timed = |spot: &&(Measure, Place)| run(**spot).is_none();
    let Some((first, _)) = spots.first() else {
        return Vec::new();
    };
    if spots.iter().filter(timed).count() <= SHOWN_AT_ONCE {
        return Vec::new();
    }
    let mut folded: Vec<Measure> = Vec::new();
    for (measure, _) in spots.iter().filter(timed) {
        let used = |spot: &&(Measure, Place)| {
            spot.0 == *measure
                && (before(past, **spot).is_some()
                    || typed.values.contains_key(&field(spot.0, spot.1)))
        };
        if measure != first && !folded.contains(measure) && !spots.iter().any(|own| used(&own)) {
            folded.push(*measure);
        }
    }
    folded
}

fn names(measures: &[Measure]) -> String {
    let names: Vec<_> = measures.iter().map(|own| own.name()).collect();
    names.join(", ")
}

/// The timed run that a field belongs to.
fn run((_, place): (Measure, Place)) -> Option<u8> {
    match place {
        Place::Run(run) | Place::Gate(run, _) => Some(run),
        _ => None,
    }
}

fn before(past: &[PlacedReading], spot: (Measure, Place)) -> Option<&PlacedReading> {
    past.iter()
        .find(|own| (own.entry.measure, own.entry.place) == spot)
}

fn one(
    desk: &Desk<'_>,
    spot: (Measure, Place),
    past: &[PlacedReading],
    typed: &Typed,
    next: bool,
) -> Result<Markup, Refusal> {
    let (measure, place) = spot;
    let name = field(measure, place);
    let value = typed.values.get(&name).map_or("", |own| own);
    let fault = typed.faults.get(&name);
    let id = next.then_some("next");
    let below = below(
        desk,
        spot,
        before(past, spot),
        fault.map(|own| (own, value)),
    )?
    .html;
    let label = label(desk, spot);
    Ok(html! {
        @match measure.kind() {
            Kind::Quantity(dimension) => div.reading id=[id] {
                label { span { (label) " " small { "(" (desk.hand.book.bare.of(dimension).symbol()) ")" } }
                    input type="text" name=(name) value=(value) inputmode="decimal" autocomplete="off"
                        data-instrument=(instrument_field(dimension)) data-timed=[timed(spot)]
                        autofocus[next] aria-invalid=[fault.map(|_| "true")]; }
                (below)
            },
            Kind::Answer => fieldset.reading id=[id] {
                legend { (label) }
                div.ticks { @for answer in [Answer::Good, Answer::Fair, Answer::Poor] { label.tick {
                    input type="radio" name=(name) value=(answer) checked[value == answer.to_string()];
                    span { (answer) }
                } } }
                (below)
            },
        }
    })
}

/// What a field is called.
pub(super) fn label(desk: &Desk<'_>, (measure, place): (Measure, Place)) -> String {
    let own = desk.look_over(place).map(ToOwned::to_owned);
    let words = own.unwrap_or_else(|| match place {
        Place::Car => measure.to_string(),
        _ => format!("{measure}, {place}"),
    });
    page::sentence(&words).trim_end_matches('.').to_owned()
}

/// What is timed by the page's own watch: a spin by itself, gates run by run.
fn timed((measure, place): (Measure, Place)) -> Option<String> {
    match (measure.kind(), place) {
        (Kind::Quantity(Dimension::Time), Place::Gate(run, _)) => Some(format!("run-{run}")),
        (Kind::Quantity(Dimension::Time), _) => Some("alone".to_owned()),
        _ => None,
    }
}

/// What stands under a field: its fault or question, the reading before with its verdict, the fleet's
/// spread.
pub(super) fn below(
    desk: &Desk<'_>,
    spot: (Measure, Place),
    before: Option<&PlacedReading>,
    fault: Option<(&Fault, &str)>,
) -> Result<Part, Refusal> {
    let name = field(spot.0, spot.1);
    let id = format!("below.{name}");
    let own = before.and_then(|own| match &own.entry.value {
        Value::Quantity(typed) => Some(typed.amount),
        Value::Answer(_) => None,
    });
    let line = before.and_then(|_| judged(desk, spot.1, own));
    let verdict = before.and_then(|_| verdict(desk, spot.1, line));
    let html = html! {
        div.below id=(id) {
            @if let Some((fault, text)) = fault {
                span.fault { (page::sentence(fault.words())) }
                @if let Fault::Doubted(_) = fault { label.tick.sure {
                    input type="checkbox" name=(sure_field(&name)) value=(text);
                    span { "Yes, " (text) " is meant" }
                } }
            }
            span.past {
                @if let Some(verdict) = verdict { (page::verdict(verdict)) " " }
                @if let Some(before) = before {
                    "last: " @match &before.entry.value {
                        Value::Quantity(typed) => (amount(typed.amount, System::Both)),
                        Value::Answer(answer) => (answer),
                    } ", " (words::ago(desk.app, before.at))
                } @else { "not read before" }
            }
            (strip(desk, spot, own, line)?)
        }
    };
    Ok(Part { id, html })
}

/// The line of the inspection that judges this very reading.
fn judged<'a>(desk: &'a Desk<'_>, place: Place, own: Option<Amount>) -> Option<&'a Line> {
    let mut lines = desk.hand.inspection.lines_of(desk.check);
    lines.find(|line| line.place == place && line.reading == own)
}

/// The verdict on a reading: of its own line, or the worst of what is computed from it for its axle.
fn verdict(desk: &Desk<'_>, place: Place, line: Option<&Line>) -> Option<Verdict> {
    let Place::Station(axle, _) = place else {
        return line.map(|line| line.verdict);
    };
    let lines = desk.hand.inspection.lines_of(desk.check);
    let computed = lines.filter(|line| line.place == Place::Axle(axle) && line.reading.is_some());
    computed.map(|line| line.verdict).max()
}

/// Where the reading stands among the fleet's; nothing where fewer than four cars were read, whose
/// quartiles would be single cars.
fn strip(
    desk: &Desk<'_>,
    (measure, place): (Measure, Place),
    own: Option<Amount>,
    line: Option<&Line>,
) -> Result<Markup, Refusal> {
    const CARS_LEAST: usize = 4;
    let Some(fleet) = doubt::fleet(desk.snapshot, desk.hand, measure, place)? else {
        return Ok(html! {});
    };
    if fleet.count() < CARS_LEAST {
        return Ok(html! {});
    }
    let amounts = fleet.values().iter();
    let amounts = amounts.filter_map(|base| Amount::from_base_rounded(fleet.dimension, *base));
    let values: Vec<Amount> = amounts.collect();
    let of = Spread {
        what: measure.name(),
        values: &values,
        own,
        lower: line.and_then(|line| line.lower),
        upper: line.and_then(|line| line.upper),
    };
    Ok(picture(&drawing::strip(&of, System::Metric)))
}

/// One choice of instrument for each kind of quantity in the form; the one used last comes first.
fn instruments(desk: &Desk<'_>, spots: &[(Measure, Place)], past: &[PlacedReading]) -> Markup {
    let mut dimensions = Vec::new();
    for (measure, _) in spots {
        if let Kind::Quantity(dimension) = measure.kind()
            && !dimensions.contains(&dimension)
        {
            dimensions.push(dimension);
        }
    }
    let used = |dimension: Dimension| {
        let same = |own: &&PlacedReading| {
            own.entry.measure.kind() == Kind::Quantity(dimension)
                && spots.contains(&(own.entry.measure, own.entry.place))
        };
        let last = past.iter().filter(same).max_by_key(|own| own.seq);
        last.and_then(|own| own.entry.instrument.clone())
            .unwrap_or_default()
    };
    let known = &desk.hand.book.instruments;
    html! {
        div.row { @for dimension in dimensions {
            @let own = known.iter().filter(|own| own.uncertainty.dimension() == dimension);
            @let choices = std::iter::once(("", "not said")).chain(own.map(|own| (&*own.name, &*own.name)));
            (page::choice(&format!("Instrument ({dimension})"), &instrument_field(dimension), &used(dimension), choices))
        } }
    }
}
