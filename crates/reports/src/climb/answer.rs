//! The hill asked: margin, worst spots, what they lean on, where little is left.

use gradeworthy_train::line::NamedSpan;
use gradeworthy_train::line::checks::Finding as LineFinding;
use gradeworthy_train::margins::{Mode, Use};
use gradeworthy_train::sweep::{
    Check, ProneCar, Snapshot, Sweep, SweepError, Trace, TrainMargin, prone_under, snapshot,
    sweep_traced, train_margin,
};
use gradeworthy_train::track::Alignment;

use super::join::Consist;

/// Least margin that will do where the club says nothing.
/// ASSUMED: a tenth, a club's choice and no physics; it covers about what the drag of a car changes
/// between two bench nights. The club sets its own in the train's file or with the command.
pub const LEAST_MARGIN: f64 = 0.1;

/// How many spots are told.
const SPOTS: usize = 5;

/// A laid line with its places and what the line's own check says of it.
#[derive(Clone, Debug)]
pub struct Line {
    /// What the club calls it.
    pub name: String,
    /// The line.
    pub alignment: Alignment,
    /// Named places.
    pub places: Vec<NamedSpan>,
    /// Findings beyond a limit.
    pub findings: Vec<LineFinding>,
}

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// How the climb is checked.
    pub check: Check,
    /// The least margin that will do.
    pub least_margin: f64,
    /// What a jerk may multiply a quasi-static force by.
    pub jerk_allowance: f64,
    /// Pieces of line for the trace, m.
    pub piece_m: f64,
}

/// One way in which one vehicle comes near to grief at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The vehicle, from 0.
    pub vehicle: usize,
    /// In which way.
    pub mode: Mode,
    /// Demand and capacity, in the unit of the mode.
    pub used: Use,
    /// Place of the head's front bolster then, m.
    pub head_s: f64,
    /// Place of the vehicle's middle then, m.
    pub car_s: f64,
    /// The named place it is in.
    pub place: Option<String>,
    /// Curvature there, 1/m, left positive.
    pub curvature: f64,
    /// Grade there.
    pub grade: f64,
    /// Mean force of its two couplers then, N, draft positive.
    pub force: f64,
}

impl Spot {
    /// What is left: 1 − demand/capacity.
    #[must_use]
    pub fn margin(&self) -> f64 {
        1.0 - self.used.ratio()
    }
}

/// The longest stretch of line on which little is left for whatever passes.
#[derive(Clone, Debug, PartialEq)]
pub struct SmallStretch {
    /// m.
    pub from: f64,
    /// m.
    pub to: f64,
    /// Below this it counts as little.
    pub below: f64,
    /// Named places it touches.
    pub places: Vec<String>,
}

/// What came of it.
#[derive(Clone, Debug)]
pub struct Answer {
    /// What was asked.
    pub asked: Asked,
    /// Margin, cause, and what it leans on.
    pub margin: TrainMargin,
    /// The worst spots, worst first, each another car, place or way; the first is the margin's.
    pub spots: Vec<Spot>,
    /// Where little is left for the longest.
    pub small: Option<SmallStretch>,
    /// Cars that a jerk could string-line.
    pub prone: Vec<ProneCar>,
    /// Every place and every car.
    pub sweep: Sweep,
    /// The line, piece by piece.
    pub trace: Trace,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// The climb cannot be checked.
    #[error(transparent)]
    Sweep(#[from] SweepError),
    /// There was no place to look at.
    #[error("the line has no place where the whole train stands; lengthen it")]
    NoPlace,
}

/// Checks the climb; `watch` is told how many places are done.
///
/// # Errors
/// [`NoAnswer`] when the train does not fit on the line or cannot stand somewhere.
pub fn answer(
    consist: &Consist,
    line: &Line,
    asked: Asked,
    watch: &(dyn Fn(usize, usize) + Sync),
) -> Result<Answer, NoAnswer> {
    let Asked { check, piece_m, .. } = asked;
    let (sweep, trace) = sweep_traced(&consist.train, &line.alignment, &check, piece_m, watch)?;
    let margin = train_margin(&consist.train, &line.alignment, &sweep)?.ok_or(NoAnswer::NoPlace)?;
    Ok(Answer {
        asked,
        spots: spots(consist, line, &check, &sweep, &trace)?,
        small: longest_small(&trace, line, 2.0 * asked.least_margin),
        prone: prone_under(&consist.train, &sweep.envelope, asked.jerk_allowance),
        margin,
        sweep,
        trace,
    })
}

fn spots(
    consist: &Consist,
    line: &Line,
    check: &Check,
    sweep: &Sweep,
    trace: &Trace,
) -> Result<Vec<Spot>, SweepError> {
    let envelope = &sweep.envelope;
    let peaks = (0..envelope.vehicle_count()).flat_map(|vehicle| {
        let row = envelope.vehicle(vehicle).into_iter().flatten();
        row.zip(Mode::ALL)
            .map(move |(peak, mode)| (peak.used, mode, vehicle, peak.head_s))
    });
    let rows = trace.rows().iter().filter(|row| row.passed);
    let rows = rows.map(|row| (row.used, row.mode, row.vehicle, row.head_s));
    let mut all: Vec<_> = peaks
        .chain(rows)
        .filter(|(used, mode, ..)| mode.ends_the_climb() && used.demand > 0.0)
        .collect();
    all.sort_by(|a, b| b.0.ratio().total_cmp(&a.0.ratio()));
    let mut told: Vec<Spot> = Vec::new();
    for (used, mode, vehicle, head_s) in all {
        if told.len() == SPOTS {
            break;
        }
        let there = snapshot(&consist.train, &line.alignment, check, head_s)?;
        let spot = spot(&there, line, (used, mode, vehicle));
        let is_told = |other: &Spot| {
            (other.vehicle, other.mode) == (spot.vehicle, spot.mode)
                && (other.place == spot.place || (other.car_s - spot.car_s).abs() < NEAR_M)
        };
        if !told.iter().any(is_told) {
            told.push(spot);
        }
    }
    Ok(told)
}

/// Spots of one car and one way nearer to each other than this, m, are one.
/// ASSUMED: about a car's length on most scales; less tells one curve twice.
const NEAR_M: f64 = 0.3;

fn spot(there: &Snapshot, line: &Line, (used, mode, vehicle): (Use, Mode, usize)) -> Spot {
    let stance = &there.stances[vehicle];
    let forces = &there.balance.forces;
    let car_s = 0.5 * (stance.bolster_s[0] + stance.bolster_s[1]);
    let sharper = if stance.curvature[0].abs() >= stance.curvature[1].abs() {
        0
    } else {
        1
    };
    Spot {
        vehicle,
        mode,
        used,
        head_s: there.head_s,
        car_s,
        place: place_at(&line.places, car_s),
        curvature: stance.curvature[sharper],
        grade: 0.5 * (stance.grade[0] + stance.grade[1]),
        force: 0.5 * (forces[vehicle] + forces[vehicle + 1]),
    }
}

/// The name of the shortest named stretch that holds `s`.
pub(crate) fn place_at(places: &[NamedSpan], s: f64) -> Option<String> {
    let holding = places
        .iter()
        .filter(|place| place.from <= s && s <= place.to);
    let shortest = holding.min_by(|a, b| (a.to - a.from).total_cmp(&(b.to - b.from)));
    shortest.map(|place| place.name.clone())
}

fn longest_small(trace: &Trace, line: &Line, below: f64) -> Option<SmallStretch> {
    let rows = trace.rows();
    let small = |index: usize| rows[index].passed && 1.0 - rows[index].used.ratio() < below;
    let (mut best, mut start) = ((0, 0), 0);
    for index in 0..rows.len() {
        if !small(index) {
            start = index + 1;
        } else if index + 1 - start > best.1 - best.0 {
            best = (start, index + 1);
        }
    }
    if best.0 == best.1 {
        return None;
    }
    let half = 0.5 * trace.piece_m();
    let (from, to) = (trace.middle(best.0) - half, trace.middle(best.1 - 1) + half);
    let touches = |place: &&NamedSpan| place.from <= to && place.to >= from;
    let places = line
        .places
        .iter()
        .filter(touches)
        .map(|place| place.name.clone());
    Some(SmallStretch {
        from,
        to,
        below,
        places: places.collect(),
    })
}
