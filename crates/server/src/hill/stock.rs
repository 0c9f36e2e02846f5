//! What the record holds of the hill, read: lines, locomotives, make-ups, scenes, and the cars of a make-up
//! with whether each may run.

use gradeworthy_reports::climb::ClubLine;
use gradeworthy_store::{FleetRow, HillEdition, HillKind, Snapshot, Standing};
use gradeworthy_train::consist::{Locomotive, Member, TrainOrder, read_power, read_train};
use gradeworthy_train::line::{LineDesign, read_toml};
use gradeworthy_train::scene::{Scene, read_scene};

use crate::refusal::Refusal;

/// Everything wrong with a text, one fault a line of the error.
pub(crate) fn faults(error: &impl ToString) -> Refusal {
    let faults = error.to_string().lines().map(str::to_owned).collect();
    Refusal::Hill { faults }
}

/// The design, or the head of a surveyed line.
pub(crate) fn design(edition: &HillEdition) -> Result<LineDesign, Refusal> {
    read_toml(&edition.text).map_err(|error| faults(&error))
}

/// The line of an edition.
pub(crate) fn line(edition: &HillEdition) -> Result<ClubLine, Refusal> {
    laid(design(edition)?, edition.readings.as_deref())
}

/// A line laid or fitted.
pub(crate) fn laid(design: LineDesign, readings: Option<&str>) -> Result<ClubLine, Refusal> {
    let line = match readings {
        Some(readings) => ClubLine::surveyed(design, readings),
        None => ClubLine::designed(design),
    };
    line.map_err(|error| faults(&error))
}

/// Every locomotive with its edition.
pub(crate) fn power(snapshot: &Snapshot<'_>) -> Result<Vec<(HillEdition, Locomotive)>, Refusal> {
    let all = snapshot.hill(HillKind::Locomotive)?;
    let mut power = Vec::with_capacity(all.len());
    for edition in all {
        let own = read_power(&edition.text).map_err(|error| faults(&error))?;
        power.extend(own.into_iter().next().map(|own| (edition, own)));
    }
    Ok(power)
}

/// The order of a make-up.
pub(crate) fn order(edition: &HillEdition) -> Result<TrainOrder, Refusal> {
    read_train(&edition.text).map_err(|error| faults(&error))
}

/// The scene of an edition.
pub(crate) fn scene(edition: &HillEdition) -> Result<Scene, Refusal> {
    read_scene(&edition.text).map_err(|error| faults(&error))
}

/// A vehicle of a make-up, and what the record knows of it.
#[derive(Clone, Debug)]
pub(crate) struct Seat {
    pub(crate) member: Member,
    pub(crate) who: Who,
}

/// What a name stands for.
#[derive(Clone, Debug)]
pub(crate) enum Who {
    /// A locomotive of the club.
    Locomotive,
    /// A car of the record.
    Car(Box<FleetRow>),
    /// Nothing that is known.
    Nobody,
    /// More than one car is lettered so.
    Several(usize),
    /// Both a car and a locomotive.
    Both,
}

impl Seat {
    /// Why this vehicle cannot be joined or may not run; nothing for one that may.
    pub(crate) fn trouble(&self) -> Option<String> {
        let name = &self.member.name;
        match &self.who {
            Who::Locomotive => None,
            Who::Car(row) => why_not(row).map(|why| format!("{name} may not run: {why}")),
            Who::Nobody => Some(format!(
                "{name} is neither a car of the fleet nor a locomotive: correct the name, or enter it"
            )),
            Who::Several(count) => Some(format!(
                "{count} cars are lettered {name}: give one of them its own number"
            )),
            Who::Both => Some(format!(
                "{name} is a car and a locomotive: give the locomotive another name"
            )),
        }
    }

    /// Whether the train can be made up with it at all, fit to run or not.
    pub(crate) const fn is_known(&self) -> bool {
        matches!(self.who, Who::Locomotive | Who::Car(_))
    }
}

/// Why a car may not run.
pub(crate) fn why_not(row: &FleetRow) -> Option<String> {
    match &row.standing {
        Standing::Admitted | Standing::Limited { .. } => None,
        other => Some(format!("it is {}", other.name())),
    }
}

/// Every vehicle of an order with what it stands for.
pub(crate) fn seats(
    snapshot: &Snapshot<'_>,
    members: &[Member],
    power: &[(HillEdition, Locomotive)],
) -> Result<Vec<Seat>, Refusal> {
    let mut seats = Vec::with_capacity(members.len());
    for member in members {
        let mut cars = snapshot.rows_marked(&member.name)?;
        let is_power = power.iter().any(|(_, own)| own.name == member.name);
        let who = match (is_power, cars.len()) {
            (true, 0) => Who::Locomotive,
            (true, _) => Who::Both,
            (false, 0) => Who::Nobody,
            (false, 1) => Who::Car(Box::new(cars.swap_remove(0))),
            (false, count) => Who::Several(count),
        };
        let member = member.clone();
        seats.push(Seat { member, who });
    }
    Ok(seats)
}
