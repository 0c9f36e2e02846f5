//! Sentences of advice, each built here once.

use gradeworthy_train::advice::{
    Advice, Change, Claim, FewestMoves, Longest, Measurement, MorePower, Origin, Reached, Stall,
};
use gradeworthy_train::vehicle::Quantity;
use gradeworthy_units::STANDARD_GRAVITY;

use super::super::join::Consist;
use super::super::words::{number, quantity, way};
use super::{BestCut, Plan};

/// A gain below this is not told: it does not show in two decimals.
pub const TELLING: f64 = 0.01;

/// Names in the sentences of one plan.
#[derive(Clone, Copy, Debug)]
pub struct Speaker<'a> {
    /// What is advised.
    pub plan: &'a Plan,
    /// The train.
    pub consist: &'a Consist,
}

impl Speaker<'_> {
    /// `car 5, WQX 110`, or a locomotive's name.
    #[must_use]
    pub fn name(&self, origin: Origin) -> String {
        match origin {
            Origin::Own(place) => match self.consist.members.get(place) {
                Some(own) if own.is_power => own.name.clone(),
                Some(own) => format!("car {}, {}", own.number, own.name),
                None => format!("vehicle {}", place + 1),
            },
            Origin::Roster(place) => match self.plan.roster.get(place) {
                Some(own) => own.label().to_owned(),
                None => format!("locomotive {} of the roster", place + 1),
            },
        }
    }

    /// The same where the sentence goes on: `car 5, WQX 110,`.
    fn going_on(&self, origin: Origin) -> String {
        let name = self.name(origin);
        let comma = if name.contains(',') { "," } else { "" };
        name + comma
    }

    fn names(&self, origins: &[Origin]) -> String {
        let names: Vec<String> = origins.iter().map(|own| self.going_on(*own)).collect();
        match names.as_slice() {
            [] => String::new(),
            [only] => only.clone(),
            [all @ .., last] => format!("{} and {last}", all.join(", ")),
        }
    }

    fn behind(&self, behind: Option<Origin>) -> String {
        behind.map_or_else(
            || "at the head of the train".to_owned(),
            |own| format!("behind {}", self.name(own)),
        )
    }

    /// What to do.
    #[must_use]
    pub fn change(&self, change: &Change) -> String {
        match change {
            Change::Move { vehicles, behind } => {
                let power = vehicles.iter().any(|own| self.is_power(*own));
                let verb = if power { "cut" } else { "put" };
                let to = if power { " in " } else { " " };
                format!(
                    "{verb} {}{to}{}",
                    self.names(vehicles),
                    self.behind(*behind)
                )
            }
            Change::Reorder { vehicles } => format!(
                "let these {} cars stand in this order: {}",
                vehicles.len(),
                self.marks(vehicles)
            ),
            Change::SetOut { vehicle } => format!("set out {}", self.name(*vehicle)),
            Change::CutIn { roster, behind } => format!(
                "add {} {}",
                self.name(Origin::Roster(*roster)),
                self.behind(*behind)
            ),
            Change::Repair {
                vehicle,
                quantity: own,
                value,
            } => format!(
                "bring the {} of {} to {}",
                quantity(*own).0,
                self.going_on(*vehicle),
                reading(*own, *value)
            ),
        }
    }

    fn is_power(&self, origin: Origin) -> bool {
        match origin {
            Origin::Own(place) => self
                .consist
                .members
                .get(place)
                .is_some_and(|own| own.is_power),
            Origin::Roster(_) => true,
        }
    }

    fn marks(&self, vehicles: &[Origin]) -> String {
        let mark = |origin: &Origin| match origin {
            Origin::Own(place) => self.consist.members.get(*place).map(|own| own.name.clone()),
            Origin::Roster(_) => None,
        };
        let marks: Vec<String> = vehicles.iter().filter_map(mark).collect();
        marks.join(", ")
    }

    /// What to do, what it brings, and what limits the train then.
    #[must_use]
    pub fn advice(&self, advice: &Advice) -> String {
        let changes = &advice.changes;
        let set_out = |own: &Change| matches!(own, Change::SetOut { .. });
        let what = if changes.len() > 4 && changes.iter().all(set_out) {
            format!("set out {} cars", changes.len())
        } else {
            let each: Vec<String> = changes.iter().map(|own| self.change(own)).collect();
            each.join("; ")
        };
        format!("{what}: {}", self.gain(advice))
    }

    /// What is said where no other order gains.
    #[must_use]
    pub fn no_other_order(&self, claimed: Claim) -> String {
        let how = match claimed {
            Claim::Best | Claim::Theorem => "no other order of the cars between locomotives gains",
            Claim::Found => "no other order of the cars between locomotives was found that gains",
        };
        format!("{how} {TELLING}")
    }

    /// What is said where no repair gains.
    #[must_use]
    pub fn no_repair(&self) -> String {
        format!(
            "no single repair of a car gains {TELLING}: bringing its drag, weight, coupler heights or \
             balance to the middle car of the train was tried on each"
        )
    }

    /// Another order, without the list of marks.
    #[must_use]
    pub fn order(&self, advice: &Advice) -> String {
        let counts: Vec<String> = advice
            .changes
            .iter()
            .filter_map(|own| match own {
                Change::Reorder { vehicles } => Some(vehicles.len().to_string()),
                Change::Move { .. }
                | Change::SetOut { .. }
                | Change::CutIn { .. }
                | Change::Repair { .. } => None,
            })
            .collect();
        format!(
            "another order of the {} cars between locomotives: {}",
            counts.join(" and "),
            self.gain(advice)
        )
    }

    fn gain(&self, advice: &Advice) -> String {
        format!(
            "margin {}, {} more; then {} {}",
            number(advice.margin),
            number(advice.gain),
            self.going_on(advice.limit.vehicle),
            way(advice.limit.mode, advice.margin < 0.0)
        )
    }

    /// The moves.
    #[must_use]
    pub fn moves(&self, moves: &FewestMoves, asked: f64) -> String {
        let advice = moves.advice.as_ref().map(|own| (self.advice(own), own));
        let asked = number(asked);
        match (moves.reached, advice) {
            (Reached::AsItIs, _) => format!("no car needs to be moved for the {asked} asked for"),
            (Reached::Fewest, Some((said, own))) if own.changes.len() == 1 => {
                format!("{said} (one move is enough)")
            }
            (Reached::Fewest, Some((said, _))) => {
                format!("{said} (no single move is enough: each was tried)")
            }
            (Reached::WithAtLeast(least), Some((said, _))) => {
                format!("{said} (fewer may do, but not fewer than {least})")
            }
            (Reached::NotReached, Some((said, own))) => format!(
                "{said} (the best found with up to {} moves; it does not reach the {asked} asked for)",
                own.changes.len()
            ),
            (_, None) => format!("no few moves were found that bring the {asked} asked for"),
        }
    }

    /// Where helpers stand best.
    #[must_use]
    pub fn cut(&self, cut: &BestCut) -> String {
        let helpers: Vec<Origin> = cut
            .helpers
            .iter()
            .flat_map(|own| own.vehicles.clone().map(Origin::Own))
            .collect();
        let telling = cut.advised.best.first().filter(|own| own.gain >= TELLING);
        match telling {
            Some(best) => format!("{}{}", self.advice(best), claim(cut.advised.claim)),
            None => format!(
                "{} stand{} as well as anywhere, to within {TELLING}",
                self.names(&helpers),
                if helpers.len() == 1 { "s" } else { "" }
            ),
        }
    }

    /// How much of the train climbs; `set_out` names which cars go.
    #[must_use]
    pub fn longest(&self, longest: &Longest, set_out: &str, asked: f64) -> String {
        let (all, asked) = (longest.car_count, number(asked));
        match longest.cars_that_climb {
            Some(own) if own == all => format!("all {all} cars climb with the {asked} asked for"),
            Some(own) => format!("{own} of {all} cars climb with {asked}, {set_out} set out"),
            None => format!("with {set_out} set out no length of this train keeps {asked}"),
        }
    }

    /// What more power does.
    #[must_use]
    pub fn power(&self, power: &MorePower) -> String {
        let roster = self.plan.roster.len();
        match (power.needed, &power.advice) {
            (Some(0), _) => "no more power is needed".to_owned(),
            (Some(count), Some(advice)) => format!(
                "{count} more locomotive{} will do: {}",
                if count == 1 { "" } else { "s" },
                self.advice(advice)
            ),
            _ if roster == 0 => {
                "no locomotive of the power file is spare: more power was not tried".to_owned()
            }
            (None, Some(advice)) => format!(
                "the {roster} spare locomotives are not enough; at best {}",
                self.advice(advice)
            ),
            (_, None) => format!("the {roster} spare locomotives do not help"),
        }
    }

    /// What a stall does.
    #[must_use]
    pub fn stall(&self, stall: &Stall) -> String {
        let force = |own: &f64| own.abs();
        let forces = stall.standing.coupler_forces.iter().enumerate();
        let most = forces.max_by(|a, b| force(a.1).total_cmp(&force(b.1)));
        let carried = most.map_or_else(String::new, |(index, own)| {
            let word = if *own < 0.0 { "buff" } else { "draft" };
            let behind = self.going_on(Origin::Own(index + 1));
            format!(
                "; standing, the coupling ahead of {behind} carries most, {word} {:.2} N",
                own.abs()
            )
        });
        format!(
            "{} with the head at {:.1} m: it needs {:.2} N of {:.2} N{carried}; its locomotives {} it \
             there and {} it again",
            if stall.stalls {
                "it stalls"
            } else {
                "it is nearest to stalling"
            },
            stall.head_s,
            stall.required,
            stall.available,
            if stall.standing.holds {
                "hold"
            } else {
                "do not hold"
            },
            if stall.starts {
                "start"
            } else {
                "do not start"
            },
        )
    }

    /// What a measurement closes.
    #[must_use]
    pub fn measurement(&self, own: &Measurement, now: f64) -> String {
        let (name, how) = quantity(own.quantity());
        let (least, most) = own.span(now);
        let least = if least.is_finite() {
            number(least)
        } else {
            "no stance at all".to_owned()
        };
        format!(
            "{name} of {} vehicles: the margin lies between {least} and {}; {how}",
            own.lean.vehicle_count,
            number(most)
        )
    }
}

/// What is claimed of the best of a search.
#[must_use]
pub const fn claim(claim: Claim) -> &'static str {
    match claim {
        Claim::Best | Claim::Theorem => " (no other place is better by 0.001)",
        Claim::Found => " (the best found; there may be better)",
    }
}

/// The same of an order.
#[must_use]
pub const fn claim_of_order(claim: Claim) -> &'static str {
    match claim {
        Claim::Best => " (every order was compared: none is better by 0.001)",
        Claim::Theorem => " (no other order is better by 0.001, by the theorem)",
        Claim::Found => {
            " (the best that exchanges and moves of single cars found; there may be better)"
        }
    }
}

/// A number of a card as the bench reads it.
fn reading(quantity: Quantity, value: f64) -> String {
    if quantity == Quantity::Weight {
        return format!("{:.0} g", value / STANDARD_GRAVITY * 1e3);
    }
    match quantity.unit() {
        "m" => format!("{:.2} mm", value * 1e3),
        "rad" => format!("{:.1}°", value.to_degrees()),
        "" => format!("{:.1} %", value * 100.0),
        unit => format!("{value:.3} {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_a_card_are_read_in_the_units_of_the_bench() {
        // 113.4 g is 4 oz; its weight in N with standard gravity, 9.80665 m/s2 exactly [SP811].
        assert_eq!(reading(Quantity::Weight, 0.1134 * 9.80665), "113 g");
        assert_eq!(reading(Quantity::CouplerHeightFront, 0.00992), "9.92 mm");
        assert_eq!(reading(Quantity::RollingDrag, 0.0131), "1.3 %");
        assert_eq!(
            reading(Quantity::CouplerSwing, std::f64::consts::PI / 12.0),
            "15.0°"
        );
    }
}
