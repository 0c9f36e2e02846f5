//! What is advised, under headings, for a terminal and a page alike: each sentence with the piece of
//! advice that can be followed, or the vehicle and the check at the bench that it leads to.

use gradeworthy_train::advice::{Advice, Change, Measurement, Origin};
use gradeworthy_train::vehicle::{Provenance, Quantity};
use gradeworthy_workbench::record::Check;

use super::super::join::Consist;
use super::words::{Speaker, TELLING, claim_of_order};
use super::{Part, Plan};

/// The order in which a reader is told: what changes the train, then what it can bear, then the bench.
const TOLD: [Part; 8] = [
    Part::Moves,
    Part::Helpers,
    Part::Order,
    Part::Length,
    Part::Power,
    Part::Stall,
    Part::Repairs,
    Part::Measurements,
];

/// A heading with what is said under it.
#[derive(Clone, Debug, PartialEq)]
pub struct Topic {
    /// Which part of the plan it tells.
    pub part: Part,
    /// One sentence each.
    pub said: Vec<Said>,
}

/// A sentence, and where it leads.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    /// The sentence, in lower case without a full stop.
    pub words: String,
    /// The name of the piece by which the train is made up anew; see [`Plan::piece`].
    pub piece: Option<String>,
    /// The margin with it, and how much more that is than now; of a piece, or of work on a vehicle.
    pub margin_and_gain: Option<(f64, f64)>,
    /// The vehicle to take to the bench, by its place in the train, from 0.
    pub vehicle: Option<usize>,
    /// The check there that reads or cures it.
    pub check: Option<Check>,
}

impl Said {
    const fn plain(words: String) -> Self {
        Self {
            words,
            piece: None,
            margin_and_gain: None,
            vehicle: None,
            check: None,
        }
    }

    /// With a piece to follow, where it gains what can be told.
    fn with_piece(words: String, advice: Option<&Advice>, piece: &str) -> Self {
        let telling = advice.filter(|own| own.gain >= TELLING);
        Self {
            piece: telling.map(|_| piece.to_owned()),
            margin_and_gain: telling.map(|own| (own.margin, own.gain)),
            ..Self::plain(words)
        }
    }
}

/// Everything that was answered, a heading a part; a part about which there is nothing to say is
/// left out. `asked` is the least margin that will do, `margin` that of the train as it is.
#[must_use]
pub fn topics(plan: &Plan, consist: &Consist, asked: f64, margin: f64) -> Vec<Topic> {
    let speaker = Speaker { plan, consist };
    let stall = plan.stall.iter();
    let measurements = plan.measurements.iter().flat_map(|own| &own.best);
    let said = |part| match part {
        Part::Moves => moves(speaker, asked),
        Part::Helpers => helpers(speaker),
        Part::Order => order(speaker),
        Part::Length => length(speaker, asked),
        Part::Power => power(speaker),
        Part::Stall => stall
            .clone()
            .map(|own| Said::plain(speaker.stall(own)))
            .collect(),
        Part::Repairs => repairs(speaker),
        Part::Measurements => measurements
            .clone()
            .map(|own| measurement(speaker, own, margin))
            .collect(),
    };
    let topic = |part| Topic {
        part,
        said: said(part),
    };
    let mut topics: Vec<Topic> = TOLD.into_iter().map(topic).collect();
    topics.retain(|own| !own.said.is_empty());
    topics
}

fn moves(speaker: Speaker<'_>, asked: f64) -> Vec<Said> {
    let moves = speaker.plan.moves.iter();
    moves
        .map(|own| Said::with_piece(speaker.moves(own, asked), own.advice.as_ref(), "moves"))
        .collect()
}

fn helpers(speaker: Speaker<'_>) -> Vec<Said> {
    let cuts = speaker.plan.cuts.iter().enumerate();
    cuts.map(|(number, own)| {
        let best = own.advised.best.first();
        Said::with_piece(speaker.cut(own), best, &format!("helpers-{number}"))
    })
    .collect()
}

fn order(speaker: Speaker<'_>) -> Vec<Said> {
    let Some(order) = &speaker.plan.order else {
        return Vec::new();
    };
    let telling = order.best.iter().enumerate();
    let telling = telling.filter(|(_, own)| own.gain >= TELLING);
    let said: Vec<Said> = telling
        .map(|(number, own)| {
            let words = speaker.order(own) + claim_of_order(order.claim);
            Said::with_piece(words, Some(own), &format!("order-{number}"))
        })
        .collect();
    if said.is_empty() {
        return vec![Said::plain(speaker.no_other_order(order.claim))];
    }
    said
}

fn length(speaker: Speaker<'_>, asked: f64) -> Vec<Said> {
    let set_out = ["the last cars", "the first cars"];
    let each = speaker.plan.longest.iter().zip(set_out).enumerate();
    each.map(|(number, (own, set_out))| {
        let words = speaker.longest(own, set_out, asked);
        Said::with_piece(words, own.advice.as_ref(), &format!("length-{number}"))
    })
    .collect()
}

fn power(speaker: Speaker<'_>) -> Vec<Said> {
    let power = speaker.plan.power.iter();
    power
        .map(|own| Said::with_piece(speaker.power(own), own.advice.as_ref(), "power"))
        .collect()
}

fn repairs(speaker: Speaker<'_>) -> Vec<Said> {
    let Some(repairs) = &speaker.plan.repairs else {
        return Vec::new();
    };
    let telling = repairs.best.iter().filter(|own| own.gain >= TELLING);
    let said: Vec<Said> = telling.map(|own| repair(speaker, own)).collect();
    if said.is_empty() {
        return vec![Said::plain(speaker.no_repair())];
    }
    said
}

fn repair(speaker: Speaker<'_>, own: &Advice) -> Said {
    let work = own.changes.iter().find_map(|change| match change {
        Change::Repair {
            vehicle: Origin::Own(place),
            quantity,
            ..
        } => Some((*place, *quantity)),
        Change::Repair { .. }
        | Change::Move { .. }
        | Change::Reorder { .. }
        | Change::SetOut { .. }
        | Change::CutIn { .. } => None,
    });
    Said {
        margin_and_gain: Some((own.margin, own.gain)),
        vehicle: work.map(|(place, _)| place),
        check: work.and_then(|(_, quantity)| check_of(quantity)),
        ..Said::plain(speaker.advice(own))
    }
}

/// A measurement leads to the hardest pressed vehicle of those that lack it, or else to the first.
fn measurement(speaker: Speaker<'_>, own: &Measurement, margin: f64) -> Said {
    let quantity = own.quantity();
    let vehicles = speaker.consist.train.vehicles();
    let lacks = |place: &usize| {
        vehicles
            .get(*place)
            .is_some_and(|own| own.entry(quantity).provenance != Provenance::Measured)
    };
    let limiting = speaker.plan.limiting.filter(lacks);
    Said {
        vehicle: limiting.or_else(|| (0..vehicles.len()).find(lacks)),
        check: check_of(quantity),
        ..Said::plain(speaker.measurement(own, margin))
    }
}

/// The check at the bench that reads a number; none for those that no check reads.
const fn check_of(quantity: Quantity) -> Option<Check> {
    use Quantity as Q;
    Some(match quantity {
        Q::Weight => Check::Weight,
        Q::CgForward | Q::CgLeft | Q::CgHeight => Check::Balance,
        Q::CouplerHeightFront | Q::CouplerHeightRear => Check::CouplerHeight,
        Q::RollingDrag | Q::BreakawayDrag => Check::CarRoll,
        Q::SwivelMoment => Check::SwivelDrag,
        Q::TruckSwing => Check::TruckSwing,
        Q::TwistCapability => Check::Rock,
        Q::LateralPlay => Check::Wheelsets,
        Q::HalfTruckCentres
        | Q::PivotFront
        | Q::PivotRear
        | Q::ShankFront
        | Q::ShankRear
        | Q::CouplerSlack
        | Q::TruckWheelbase
        | Q::ContactSpacing
        | Q::KnuckleFace
        | Q::LeastOverlap
        | Q::RollingDragPerSpeed
        | Q::CurveDrag
        | Q::FlangeFriction
        | Q::TreadFriction
        | Q::FlangeAngle
        | Q::CouplerSwing
        | Q::CouplerStrength
        | Q::SpeedSetting
        | Q::SpeedSlope
        | Q::AdhesionPull
        | Q::StallPull
        | Q::BrakePull => return None,
    })
}
