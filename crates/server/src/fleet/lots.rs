//! Parts and lots: which cars have them, and what the cars of one lot have in common.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_fleet::{Compared, FALSE_DISCOVERIES, Lot, Method, Query, SMALL, compare};
use gradeworthy_reports::words::{System, amount};
use gradeworthy_store::Part;
use gradeworthy_units::Amount;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::asked::one_of;
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page};
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, encoded};

/// Which lot.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[serde(default)]
pub(crate) struct LotAsked {
    /// The kind of part.
    part: String,
    /// Maker and kind, as the shop writes it.
    description: String,
    /// The lot; empty for parts whose lot nobody entered.
    lot: String,
}

impl LotAsked {
    fn lot(&self) -> Result<Option<Lot>, Refusal> {
        let part = one_of(&self.part, "kind of part", Part::from_name)?;
        let lot = self.lot.trim();
        Ok(part.map(|part| Lot {
            part: part.name(),
            description: self.description.as_str().into(),
            lot: (!lot.is_empty()).then(|| lot.into()),
        }))
    }
}

fn address(lot: &Lot) -> String {
    let name = lot.lot.as_deref().unwrap_or("");
    format!(
        "/fleet/lots?part={}&description={}&lot={}",
        encoded(lot.part),
        encoded(&lot.description),
        encoded(name)
    )
}

/// The list of the cars that have a lot.
pub(super) fn cars_address(lot: &Lot) -> String {
    let name = lot.lot.as_deref().unwrap_or("");
    let part = if lot.description.is_empty() {
        lot.part
    } else {
        &lot.description
    };
    format!("/fleet?part={}&lot={}", encoded(part), encoded(name))
}

fn name(lot: &Lot) -> String {
    let own = lot
        .lot
        .as_deref()
        .map_or_else(|| "lot not known".to_owned(), |own| format!("lot {own}"));
    format!("{}, {}, {own}", lot.part, lot.description)
}

/// The lots, and one of them compared with the rest, as a page.
pub(crate) async fn lots_page(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(asked): Asked<LotAsked>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let body = app.with_fleet(|known| {
            let rows = known.find(&caller, Query::default());
            let lots = known.fleet.lots(&rows);
            let chosen = asked.lot()?;
            let compared = chosen.as_ref().map(|lot| compare(&known.fleet, &rows, lot));
            Ok(html! {
                @if let (Some(lot), Some(compared)) = (&chosen, &compared) {
                    (comparison(lot, compared, lots.get(lot).copied().unwrap_or(0)))
                }
                section {
                    h2 { "Every part and lot" }
                    @if lots.is_empty() {
                        p { "No part was entered on any car so far. Parts are entered on the car's own page, or on all cars of a search \
                            at once from the fleet's list." }
                    } @else {
                        div.scroll { table {
                            thead { tr { th { "Part" } th { "Kind" } th { "Lot" } th { "Cars" } th { "In common" } } }
                            tbody { @for (lot, count) in &lots { tr {
                                td { (lot.part) } td { (lot.description) } td { (lot.lot.as_deref().unwrap_or("not known")) }
                                td { a href=(cars_address(lot)) { (count) } }
                                td { a href=(address(lot)) { "Compare" } }
                            } } }
                        } }
                    }
                }
            })
        })?;
        Ok(page::room(app, &caller, "Parts and lots", "/fleet", &body))
    })
    .await
}

fn is_real(own: &Compared) -> bool {
    own.adjusted.is_some_and(|p| p < FALSE_DISCOVERIES)
}

fn said(own: &Compared, base: f64) -> String {
    Amount::from_base_rounded(own.dimension, base)
        .map_or_else(String::new, |own| amount(own, System::Both))
}

/// The difference of the medians, with its sign.
fn difference(own: &Compared) -> String {
    let difference = own.lot_median - own.rest_median;
    let sign = if difference < 0.0 { "−" } else { "+" };
    format!("{sign}{}", said(own, difference.abs()))
}

fn comparison(lot: &Lot, compared: &[Compared], cars: usize) -> Markup {
    let tested = compared.iter().filter(|own| own.test.is_some()).count();
    let real = compared.iter().filter(|own| is_real(own)).count();
    html! {
        section {
            h2 { (name(lot)) }
            p { a.button.quiet href=(cars_address(lot)) { "Its " (cars) " cars" } }
            @if tested == 0 {
                p { strong { "Too few to tell." } " A comparison needs " (SMALL) " cars with a reading on either side; this lot has " (cars) " cars." }
            } @else {
                p { strong {
                    @if real == 0 { "Nothing that could not be chance." }
                    @else { (real) " of " (tested) " readings differ by more than chance explains." }
                } }
            }
            p.more { "A car counts once, by the median of the readings that the part can reach. Rank-sum test (Mann and Whitney 1947), \
                two-sided; probabilities adjusted for all " (tested) " readings together (Benjamini and Yekutieli 2001), \
                so that of those marked no more than " (format!("{:.0} %", FALSE_DISCOVERIES * 100.0)) " are expected \
                to be chance. \
                A difference is no cause: cars of one lot often came in one evening from one owner." }
            div.scroll { table {
                thead { tr { th { "Reading" } th { "Median of the lot" } th { "Median of the rest" } th { "Difference" }
                    th { "Cars, lot and rest" } th { "Chance" } } }
                tbody { @for own in compared { tr {
                    th scope="row" { (own.measure) }
                    td.number { (said(own, own.lot_median)) }
                    td.number { (said(own, own.rest_median)) }
                    td.number { (difference(own)) }
                    td.number { (own.lot_cars) " and " (own.rest_cars) }
                    td { (chance(own)) }
                } } }
            } }
        }
    }
}

fn chance(own: &Compared) -> Markup {
    let (Some(test), Some(adjusted)) = (own.test, own.adjusted) else {
        return html! { "too few to tell" };
    };
    let method = match test.method {
        Method::Exact => "exact",
        Method::Normal => "by the normal curve",
    };
    html! {
        @if is_real(own) { strong { "differs" } } @else { "may be chance" }
        ", p " (shown(test.p)) " " (method) ", adjusted " (shown(adjusted))
    }
}

fn shown(p: f64) -> String {
    if p < 0.0001 {
        "under 0.0001".to_owned()
    } else {
        format!("= {p:.4}")
    }
}

/// A lot with how many cars have it.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LotJson {
    /// The kind of part.
    part: String,
    /// Maker and kind.
    description: String,
    /// The lot, where known.
    lot: Option<String>,
    /// How many cars have it.
    cars: usize,
}

/// One reading compared between the cars of a lot and the rest.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ComparedJson {
    /// What was read.
    measure: String,
    /// Cars of the lot that have the reading.
    lot_cars: usize,
    /// Other cars that have it.
    rest_cars: usize,
    /// Median of the lot, in mm, g, degrees, ratio, s or N.
    lot_median: f64,
    /// Median of the rest.
    rest_median: f64,
    /// Probability by the rank-sum test; `null` where there are too few cars.
    p: Option<f64>,
    /// The same adjusted for all readings.
    adjusted: Option<f64>,
    /// Whether the difference is more than chance explains.
    differs: bool,
}

/// The lots, and one compared.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LotsJson {
    /// Every lot.
    lots: Vec<LotJson>,
    /// The one asked for, compared with the rest, the surest difference first.
    compared: Vec<ComparedJson>,
}

#[utoipa::path(get, path = "/api/fleet/lots", params(LotAsked), tag = "fleet",
    responses((status = 200, body = LotsJson), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn lots_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(asked): Asked<LotAsked>,
) -> Result<Json<LotsJson>, Refusal> {
    app.wait(move |app| {
        app.with_fleet(|known| {
            let rows = known.find(&caller, Query::default());
            let lots = known.fleet.lots(&rows).into_iter();
            let compared = asked.lot()?.map(|lot| compare(&known.fleet, &rows, &lot));
            let compared = compared.unwrap_or_default().into_iter();
            Ok(Json(LotsJson {
                lots: lots
                    .map(|(lot, cars)| LotJson {
                        part: lot.part.to_owned(),
                        description: lot.description.into(),
                        lot: lot.lot.map(Into::into),
                        cars,
                    })
                    .collect(),
                compared: compared
                    .map(|own| ComparedJson {
                        measure: own.measure.to_string(),
                        lot_cars: own.lot_cars,
                        rest_cars: own.rest_cars,
                        lot_median: own.lot_median,
                        rest_median: own.rest_median,
                        p: own.test.map(|test| test.p),
                        adjusted: own.adjusted,
                        differs: is_real(&own),
                    })
                    .collect(),
            }))
        })
    })
    .await
}
