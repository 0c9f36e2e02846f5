//! A cure that was carried out; where it must rest and the member may say so, the car rests.

use gradeworthy_store::{Action, CarId, CureDone, Fact, Permission};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::Check;
use jiff::{SignedDuration, Timestamp};

use super::{Pass, address};
use crate::entry::{About, Entry, Envelope, entry, entry_json, no_choice};
use crate::refusal::Refusal;
use crate::words::place_from_key;

entry! {
    /// A cure that was carried out.
    CureSent {
        /// The kind of cure, by its name in the report: 'wheel moved', 'bolster shimmed', …
        cure: String,
        /// Where: 'axle-1', 'end-A', 'car'.
        place: String,
        /// What was done, in words.
        note: String,
        /// How many days it must rest before the second look; 0 for none.
        rest_days: u16,
        /// The check that the form leads back to.
        #[schema(ignore)]
        check: String,
        /// The pass that the form leads back to.
        #[schema(ignore)]
        pass: String,
    }
}

impl Entry for CureSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, about: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let (cure, place) = (self.cure.trim(), self.place.trim());
        let done = CureDone {
            cure: CureKind::from_name(cure).ok_or_else(|| no_choice(cure, "kind of cure"))?,
            place: place_from_key(place).ok_or_else(|| no_choice(place, "place on a car"))?,
            done_on: Some(about.app.today()),
            note: self.note.trim().into(),
        };
        let mut facts = vec![Fact::Cured(done)];
        let may_rest = about.caller.member.role.may(Action::Hold) == Permission::Yes;
        if self.rest_days > 0 && may_rest {
            let rest = SignedDuration::from_hours(24 * i64::from(self.rest_days));
            facts.push(Fact::Rested {
                not_before: about
                    .app
                    .now()
                    .saturating_add(rest)
                    .unwrap_or(Timestamp::MAX),
                why: cure.into(),
            });
        }
        Ok(facts)
    }

    fn onward(&self, car: CarId) -> String {
        address(
            car,
            Check::from_name(&self.check),
            Pass::from_name(&self.pass),
        )
    }
}

entry_json!(cure_json, "/api/bench/{car}/cures", CureSent, "bench");
