//! Coupler heights: washers under the bolsters and shims over the boxes, for both ends at once.
//!
//! Raising one end lowers the other, so the two heights are one problem; it is solved exactly over
//! the shop's stock ([`crate::mechanics::shims`]).

use gradeworthy_units::{Amount, Length};

use super::prescribe::Ward;
use super::{Action, CureKind, Lack};
use crate::checks::Bench;
use crate::decision::Judgeable;
use crate::mechanics::ends::Ends;
use crate::mechanics::lever::{BoxMounting, Lever};
use crate::mechanics::shims::{
    CostWeights, Place as ShimPlace, ShimAnswer, ShimCure, ShimTask, Stock, Stores, choose_shims,
};
use crate::record::{Check, End, Measure, Place, Record};
use crate::rules::{Limit, Limited, RuleBook};
use crate::shop::{Sheet, Shop};

/// ASSUMED: three pieces under a bolster or in a box are as many as stay put; more find cures with
/// more pieces and none that the search would prefer.
const PIECES_MAX: usize = 3;

/// Strip and sheet are sold in steps of .005 in (common practice, no source).
const STRIP_STEP: Length = Length::from_thousandths(5);

pub(super) fn cure(ward: &mut Ward<'_>) {
    if ward.is_bad(Check::Droop) {
        let what = "cure the droop first and read the heights again: a sag must not be shimmed";
        let lack = Lack::Knowledge(what);
        let action = Action::Lacking(lack);
        return ward.write(
            Check::CouplerHeight,
            Place::Car,
            CureKind::BolsterShimmed,
            action,
        );
    }
    let action = match HeightProblem::on(ward.bench).and_then(|problem| best(&problem)) {
        Ok(action) => action,
        Err(what) => Action::Lacking(Lack::Knowledge(what)),
    };
    let boxes_only = matches!(&action, Action::Heights { washers, taken, .. }
        if washers.iter().chain(taken).all(Vec::is_empty));
    let kind = if boxes_only {
        CureKind::BoxShimmed
    } else {
        CureKind::BolsterShimmed
    };
    ward.write(Check::CouplerHeight, Place::Car, kind, action);
}

/// What [`super::prescribe`] searches for a car whose couplers are off their height.
#[derive(Clone, Debug)]
pub struct HeightProblem<'a> {
    /// The car and what is asked of it, clear of what the instrument cannot tell.
    pub task: ShimTask<'a>,
    /// Washers that the shop holds.
    pub washers: Vec<Stock>,
    /// Box shims that it holds.
    pub box_shims: Vec<Stock>,
}

impl<'a> HeightProblem<'a> {
    /// The problem of the car of `record`.
    ///
    /// # Errors
    /// A sentence when something that it takes was not read or is not in the rule book.
    pub fn of(
        record: &'a Record,
        book: &'a RuleBook,
        shop: &'a Shop,
    ) -> Result<Self, &'static str> {
        Self::on(&Bench::new(record, book, shop))
    }

    fn on(bench: &Bench<'a>) -> Result<Self, &'static str> {
        Ok(Self {
            task: task(bench)?,
            washers: stock(&bench.shop.washers),
            box_shims: stock(&bench.shop.box_shims),
        })
    }

    /// What may be put in, and how much of it.
    #[must_use]
    pub fn stores(&self) -> Stores<'_> {
        Stores {
            washers: &self.washers,
            box_shims: &self.box_shims,
            washers_max: PIECES_MAX,
            box_shims_max: PIECES_MAX,
            strip_step: STRIP_STEP,
        }
    }
}

fn task<'a>(bench: &Bench<'a>) -> Result<ShimTask<'a>, &'static str> {
    let limit = bench
        .limit(Limited::CouplerHeight)
        .ok_or("the rule book sets no height")?;
    let (target, tolerance) = target(limit).ok_or("the rule book's height has one side only")?;
    let figures = &bench.car.figures;
    let height = |end| {
        bench
            .latest
            .quantity::<Length>(Measure::CouplerHeight, Place::End(end))
            .ok_or("the height at both ends is wanted, since raising one end lowers the other")
    };
    let (a, b) = (height(End::A)?, height(End::B)?);
    let usual = limit
        .uncertainty
        .and_then(|amount| Length::try_from(amount).ok());
    let u = a.uncertainty(usual.map(Judgeable::number)).unwrap_or(0.0);
    let caution = limit
        .caution
        .and_then(|own| Length::try_from(own).ok())
        .unwrap_or(Length::ZERO);
    let guard = Length::from_mm_rounded(bench.book.guard_factor * 2.0 * u)
        .unwrap_or(Length::ZERO)
        .max(caution);
    let overhang = |end: End| {
        figures.overhang[end.index()].ok_or("the overhang from bolster to coupler face is wanted")
    };
    Ok(ShimTask {
        lever: Lever {
            truck_centres: figures
                .truck_centres
                .ok_or("the distance of the truck centres is wanted")?,
            overhang: Ends {
                a: overhang(End::A)?,
                b: overhang(End::B)?,
            },
        },
        heights: Ends {
            a: a.value,
            b: b.value,
        },
        ride: Ends {
            a: Length::ZERO,
            b: Length::ZERO,
        },
        target,
        tolerance,
        guard: guard.min(tolerance),
        fitted_washers: Ends {
            a: &figures.bolster_shims[0],
            b: &figures.bolster_shims[1],
        },
        fitted_box_shims: Ends { a: &[], b: &[] },
        box_mounting: Ends {
            a: BoxMounting::ShimLowers,
            b: BoxMounting::ShimLowers,
        },
    })
}

/// The best cure that the instrument can tell from the limit; failing that, one inside the limit.
fn best(problem: &HeightProblem<'_>) -> Result<Action, &'static str> {
    let (task, stores) = (&problem.task, problem.stores());
    let ask = |task: &ShimTask<'_>| choose_shims(task, &stores, CostWeights::default());
    let answer = match ask(task) {
        Ok(ShimAnswer::Cure(cure)) => return Ok(heights(cure)),
        answer => answer,
    };
    if let Ok(ShimAnswer::Cure(cure)) = ask(&ShimTask {
        guard: Length::ZERO,
        ..*task
    }) {
        return Ok(heights(cure));
    }
    match answer {
        Ok(ShimAnswer::Missing { wanted, .. }) => Ok(Action::Lacking(Lack::Stock(words(&wanted)))),
        Ok(_) => Err("no strip brings both couplers to height: exchange a coupler or its box"),
        Err(_) => Err("the heights and lengths read cannot be used together: read them again"),
    }
}

fn target(limit: &Limit) -> Option<(Length, Length)> {
    let length = |amount: Option<Amount>| amount.and_then(|amount| Length::try_from(amount).ok());
    let (lower, upper) = (length(limit.lower)?, length(limit.upper)?);
    let target = length(limit.nominal).unwrap_or((lower + upper).half());
    // An off-centre nominal leaves the smaller side.
    Some((target, (target - lower).min(upper - target)))
}

/// A size without a count is cut as wanted: as many as a car could take.
fn stock(sheets: &[Sheet]) -> Vec<Stock> {
    sheets
        .iter()
        .map(|sheet| Stock {
            thickness: sheet.thickness,
            count: sheet.count.unwrap_or(12),
        })
        .collect()
}

fn heights(cure: ShimCure) -> Action {
    Action::Heights {
        washers: [cure.washers.a.put_in, cure.washers.b.put_in],
        taken: [cure.washers.a.taken_out, cure.washers.b.taken_out],
        box_shims: [cure.box_shims.a.put_in, cure.box_shims.b.put_in],
        expected: [cure.heights.a, cure.heights.b],
        ride: [cure.ride.a, cure.ride.b],
    }
}

fn words(wanted: &[(ShimPlace, Length)]) -> String {
    let each: Vec<_> = wanted
        .iter()
        .map(|(place, thickness)| {
            let place = match place {
                ShimPlace::Bolster(end) => format!("under the {end} bolster"),
                ShimPlace::CouplerBox(end) => format!("over the {end} coupler box"),
            };
            format!("{:.3} in ({thickness}) {place}", thickness.inches())
        })
        .collect();
    each.join(" and ")
}
