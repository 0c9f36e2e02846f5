//! Members: the first start, coming in, going out, and what the lead changes about them.

mod account;
mod admin;
pub(crate) mod api;
mod first_start;
mod sign_in;

#[cfg(test)]
mod api_tests;
#[cfg(test)]
mod tests;

pub(crate) use account::{account, hand_over, leave_everywhere, set_password, set_pin, switch};
pub(crate) use admin::{add, audit, change, list};
pub(crate) use first_start::club;
pub(crate) use first_start::{join, join_form, set_up, set_up_form};
pub use first_start::{let_in, set_up_address};
pub(crate) use sign_in::{__path_sign_in_json, sign_in, sign_in_form, sign_in_json, sign_out};

use std::collections::HashMap;

use gradeworthy_store::{Error, MemberId, Snapshot};

/// The names of all members, for pages that say who did something.
pub(crate) struct Names(HashMap<MemberId, Box<str>>);

impl Names {
    pub(crate) fn of(snapshot: &Snapshot<'_>) -> Result<Self, Error> {
        let members = snapshot.members()?;
        Ok(Self(
            members.into_iter().map(|own| (own.id, own.name)).collect(),
        ))
    }

    pub(crate) fn name(&self, member: MemberId) -> &str {
        self.0.get(&member).map_or("a former member", |name| name)
    }
}
