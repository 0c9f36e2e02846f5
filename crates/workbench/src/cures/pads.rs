//! Pads between trucks and body: against roll first, then against the pitch of each truck.
//!
//! A pad lifts the body over its truck as well, which pitches both trucks by t/(4a)
//! ([`crate::mechanics::seating`]).
//! So the pads of one car are one problem: each is reckoned with those before it in place, and a
//! truck that one of them pitches beyond its limit gets a pad too.

use gradeworthy_units::{Amount, Length};

use super::prescribe::Ward;
use super::seating::is_bad;
use super::{Action, CureKind, Lack, SeatPlace};
use crate::checks::Seated;
use crate::mechanics::ends::{End, Ends};
use crate::mechanics::seating::{
    Cure as Correction, Flatness, PadEdge, Pads, StockShim, StripBox, TruckFlatness, cures,
    shim_from_stock,
};
use crate::record::{Check, Place};
use crate::rules::Limited;

/// Passes over both trucks. ASSUMED: four; what one pad does to the other truck is a few hundredths
/// of what it does to its own, so the second pass as a rule changes nothing.
const PASSES: usize = 4;

pub(super) fn cure(ward: &mut Ward<'_>, seated: &Seated, trucks: &TruckFlatness) {
    let pitched = |ward: &Ward<'_>, end| is_bad(ward, Limited::Pitch, Place::End(end));
    let rolled = is_bad(ward, Limited::BodyRoll, Place::Car);
    let places = [
        (rolled, Place::Car),
        (pitched(ward, End::A), Place::End(End::A)),
        (pitched(ward, End::B), Place::End(End::B)),
    ];
    let places = places.into_iter().filter_map(|(bad, at)| bad.then_some(at));
    let parts = ward
        .bench
        .rules
        .map(|rules| rules.parts)
        .unwrap_or_default();
    let sizes = parts.pad_half_length.zip(parts.pad_half_width);
    let (Some((half_length, half_width)), Some(truck_centres)) =
        (sizes, ward.bench.car.figures.truck_centres)
    else {
        let what = "the rule book gives no pad sizes, so the thickness cannot be computed";
        for place in places.collect::<Vec<_>>() {
            let action = Action::Lacking(Lack::Knowledge(what));
            ward.write(Check::Seating, place, CureKind::SeatShimmed, action);
        }
        return;
    };
    let mut laying = Laying {
        seated,
        pads: Pads {
            half_length,
            half_width,
        },
        truck_centres,
        found: *trucks,
        roll: None,
        pitch: Ends { a: None, b: None },
    };
    if rolled {
        laying.lay_for_roll(ward);
    }
    for _ in 0..PASSES {
        for end in End::BOTH {
            laying.lay_for_pitch(ward, end);
        }
    }
    for (place, action) in laying.into_actions() {
        ward.write(Check::Seating, place, CureKind::SeatShimmed, action);
    }
}

/// The pads of one car, as far as they are laid.
struct Laying<'a> {
    seated: &'a Seated,
    pads: Pads,
    truck_centres: Length,
    /// What was found before any pad.
    found: TruckFlatness,
    roll: Option<Action>,
    pitch: Ends<Option<Action>>,
}

impl Laying<'_> {
    /// Either truck can take the pad against roll: it goes where it leaves less pitch.
    fn lay_for_roll(&mut self, ward: &Ward<'_>) {
        let Some(Correction::Roll {
            thickness,
            places,
            wheel_gap,
        }) = self.correction(&self.found, |own| matches!(own, Correction::Roll { .. }))
        else {
            return;
        };
        let least = End::BOTH
            .into_iter()
            .filter_map(|end| {
                let at = SeatPlace::SideOf(end, *places.at(end));
                let action = from_stock(ward, Limited::BodyRoll, thickness, wheel_gap, at)?;
                let after = self.with(self.found, &action);
                let worst = self.gap(&after, End::A).max(self.gap(&after, End::B));
                Some((worst, action))
            })
            .min_by_key(|(worst, _)| *worst);
        self.roll = least.map(|(_, action)| action);
    }

    /// Lays a pad, or another, where the truck's pitch is bad order or is made worse than allowed.
    fn lay_for_pitch(&mut self, ward: &Ward<'_>, end: End) {
        let Some(most) = most(ward, Limited::Pitch) else {
            return;
        };
        let now = self.gap(&self.standing(None), end);
        let was = self.gap(&self.found, end);
        let bad = is_bad(ward, Limited::Pitch, Place::End(end));
        let told = matches!(self.pitch.at(end), Some(Action::Lacking(_) | Action::Do(_)));
        if now <= most || told || !(bad || now > was) {
            return;
        }
        let without = self.standing(Some(end));
        let wanted =
            |own: &Correction| matches!(own, Correction::Pitch { truck, .. } if *truck == end);
        let Some(Correction::Pitch {
            edge_towards,
            thickness,
            wheel_gap,
            ..
        }) = self.correction(&without, wanted)
        else {
            return;
        };
        // Of t over the pad's length, lifting the body takes back t/(4a) at the outer edge and adds
        // as much at the inner one.
        let lift = self.pads.half_length.mm() / self.truck_centres.mm();
        let share = if edge_towards == end {
            1.0 - lift
        } else {
            1.0 + lift
        };
        let Some(thickness) = Length::from_mm_rounded(thickness.mm() / share) else {
            return;
        };
        let at = SeatPlace::EdgeOf(end, edge_towards);
        *self.pitch.at_mut(end) = from_stock(ward, Limited::Pitch, thickness, wheel_gap, at);
    }

    /// The car with the pads laid so far, the pad against pitch of one truck left out.
    fn standing(&self, left_out: Option<End>) -> TruckFlatness {
        let ends = End::BOTH.into_iter().filter(|end| Some(*end) != left_out);
        let pitch = ends.filter_map(|end| self.pitch.at(end).as_ref());
        let laid = self.roll.iter().chain(pitch);
        laid.fold(self.found, |trucks, action| self.with(trucks, action))
    }

    fn with(&self, trucks: TruckFlatness, action: &Action) -> TruckFlatness {
        let Action::Pad { pads, at, .. } = action else {
            return trucks;
        };
        let (truck, edge) = match *at {
            SeatPlace::SideOf(truck, side) => (truck, PadEdge::Side(side)),
            SeatPlace::EdgeOf(truck, towards) => (truck, PadEdge::Towards(towards)),
        };
        let thickness = pads.iter().copied().sum();
        trucks
            .with_shim(self.truck_centres, self.pads, truck, edge, thickness)
            .unwrap_or(trucks)
    }

    /// The gap under the high axle of a truck.
    fn gap(&self, trucks: &TruckFlatness, end: End) -> Length {
        let angle = trucks.pitch.at(end).value.radians().abs();
        Length::from_mm_rounded(angle * self.seated.wheelbase.mm()).unwrap_or(Length::ZERO)
    }

    fn correction(
        &self,
        trucks: &TruckFlatness,
        wanted: impl Fn(&Correction) -> bool,
    ) -> Option<Correction> {
        let flatness = Flatness::Trucks(*trucks);
        let all = cures(&self.seated.stance, &flatness, self.pads).ok()?;
        all.into_iter().find(wanted)
    }

    fn into_actions(self) -> impl Iterator<Item = (Place, Action)> {
        let all = [
            (Place::Car, self.roll),
            (Place::End(End::A), self.pitch.a),
            (Place::End(End::B), self.pitch.b),
        ];
        all.into_iter()
            .filter_map(|(place, action)| Some((place, action?)))
    }
}

/// The upper limit on a length.
pub(super) fn most(ward: &Ward<'_>, limited: Limited) -> Option<Length> {
    let upper: Option<Amount> = ward.bench.limit(limited)?.upper;
    upper.and_then(|amount| Length::try_from(amount).ok())
}

fn from_stock(
    ward: &Ward<'_>,
    limited: Limited,
    thickness: Length,
    wheel_gap: Length,
    at: SeatPlace,
) -> Option<Action> {
    let tolerance = most(ward, limited)?;
    let thicknesses: Vec<Length> = ward
        .bench
        .shop
        .pads
        .iter()
        .map(|sheet| sheet.thickness)
        .collect();
    let stock = StripBox {
        thicknesses: &thicknesses,
        stack_max: 3,
        step: Length::from_thousandths(5),
    };
    Some(
        match shim_from_stock(thickness, wheel_gap, tolerance, stock) {
            Ok(StockShim::Use { pieces, .. }) => Action::Pad {
                computed: thickness,
                pads: pieces,
                at,
            },
            Ok(StockShim::Missing { from, to, .. }) => Action::Lacking(Lack::Stock(format!(
                "a pad from {:.4} in ({from}) to {:.4} in ({to}) thick",
                from.inches(),
                to.inches()
            ))),
            Ok(StockShim::NotNeeded) => {
                Action::Do("read the gaps again: they are within the limit")
            }
            Err(_) => Action::Do("read the gaps again: they cannot be used together"),
        },
    )
}
