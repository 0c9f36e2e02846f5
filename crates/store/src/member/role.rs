//! Who may do what: one table, complete, and no where it does not say yes.
//!
//! Source: the division of work in the trade (lead, inspector, apprentice, operator, owner, track
//! lead); common practice, no source. The club cannot change it: a role that could be given more is
//! another role.

use crate::fact::plain_list;

plain_list! {
    /// What a member is in the shop.
    Role {
        /// Owns the rule book, the instruments, exceptions and members.
        Lead = "lead",
        /// Runs the checks he is signed off for.
        Inspector = "inspector",
        /// Cleans, weighs and fits under an inspector.
        Apprentice = "apprentice",
        /// Runs trains.
        Operator = "operator",
        /// Brings cars.
        Owner = "owner",
        /// Keeps the track.
        TrackLead = "track lead",
    }
}

plain_list! {
    /// Something a member may want to do.
    Action {
        /// Enter a car.
        EnterCar = "enter a car",
        /// Change marks, owner, description or parts.
        ChangeCar = "change a car's marks, owner, description or parts",
        /// Enter readings.
        EnterReading = "enter readings",
        /// Judge readings.
        Inspect = "record an inspection",
        /// Record a cure.
        RecordCure = "record a cure",
        /// Leave a note.
        Note = "leave a note on a car",
        /// Keep a photograph.
        AddPhoto = "keep a photograph of a car",
        /// Report a bad order.
        BadOrder = "bad-order a car",
        /// Merge reports.
        MergeReports = "merge reports of bad order",
        /// Set a car to rest, or to wait, or end a wait.
        Hold = "set a car to rest or wait",
        /// Hand a car back, or take it in again.
        Hand = "hand a car back or take it in",
        /// Release a car.
        Release = "release a car",
        /// Give or refuse consent for work.
        Consent = "give or refuse consent for work on a car",
        /// Strike one's own mistake.
        StrikeOwn = "strike an entry of his own",
        /// Strike somebody else's.
        StrikeOther = "strike an entry of somebody else",
        /// Change members and their sign-off.
        ManageMembers = "change members",
        /// Enter an edition of the rule book.
        EditRules = "enter a rule book",
        /// Say what tonight's trains want.
        SetWanted = "say which cars are wanted",
        /// Make and restore backups.
        KeepBackups = "make and restore backups",
        /// Take in a file of cars or readings.
        ImportFile = "import a file of cars or readings",
        /// See a car and its history.
        SeeCar = "see a car",
        /// See the whole fleet.
        SeeFleet = "see the fleet",
        /// See trouble by place.
        SeeTrouble = "see trouble by place",
        /// See the line and its survey.
        SeeLine = "see the line and its survey",
        /// Change a line or its survey.
        ChangeLine = "change a line",
        /// Change a locomotive's figures.
        ChangePower = "change a locomotive's figures",
        /// Make up a train.
        MakeUp = "make up a train",
        /// See who changed what.
        SeeAudit = "see who changed what",
    }
}

/// How far a role may do something.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Permission {
    /// Yes.
    Yes,
    /// For the checks he is signed off for; else with a second name.
    SignedOff,
    /// With a second name of one who may.
    WithSecond,
    /// On cars that are his own.
    OwnCars,
    /// No.
    No,
}

impl Role {
    /// How far this role may do `action`.
    #[must_use]
    pub const fn may(self, action: Action) -> Permission {
        match self {
            Self::Lead => Permission::Yes,
            Self::Inspector => inspector(action),
            Self::Apprentice => apprentice(action),
            Self::Operator => operator(action),
            Self::Owner => owner(action),
            Self::TrackLead => track_lead(action),
        }
    }
}

const fn inspector(action: Action) -> Permission {
    match action {
        Action::Consent => Permission::OwnCars,
        Action::Inspect => Permission::SignedOff,
        Action::EnterCar
        | Action::ChangeCar
        | Action::EnterReading
        | Action::RecordCure
        | Action::Note
        | Action::AddPhoto
        | Action::BadOrder
        | Action::MergeReports
        | Action::Hold
        | Action::Hand
        | Action::Release
        | Action::StrikeOwn
        | Action::SetWanted
        | Action::ImportFile
        | Action::SeeCar
        | Action::SeeFleet
        | Action::SeeTrouble
        | Action::SeeLine => Permission::Yes,
        Action::StrikeOther
        | Action::ManageMembers
        | Action::EditRules
        | Action::KeepBackups
        | Action::ChangeLine
        | Action::ChangePower
        | Action::MakeUp
        | Action::SeeAudit => Permission::No,
    }
}

const fn apprentice(action: Action) -> Permission {
    match action {
        Action::Consent => Permission::OwnCars,
        Action::EnterCar
        | Action::EnterReading
        | Action::RecordCure
        | Action::Note
        | Action::AddPhoto
        | Action::BadOrder
        | Action::StrikeOwn
        | Action::SeeCar
        | Action::SeeFleet => Permission::Yes,
        Action::Inspect | Action::Release | Action::Hold | Action::ChangeCar => {
            Permission::WithSecond
        }
        Action::MergeReports
        | Action::Hand
        | Action::StrikeOther
        | Action::ManageMembers
        | Action::EditRules
        | Action::SetWanted
        | Action::KeepBackups
        | Action::ImportFile
        | Action::SeeTrouble
        | Action::SeeLine
        | Action::ChangeLine
        | Action::ChangePower
        | Action::MakeUp
        | Action::SeeAudit => Permission::No,
    }
}

const fn operator(action: Action) -> Permission {
    match action {
        Action::Consent => Permission::OwnCars,
        Action::Note
        | Action::AddPhoto
        | Action::BadOrder
        | Action::StrikeOwn
        | Action::SetWanted
        | Action::SeeCar
        | Action::SeeFleet
        | Action::SeeTrouble
        | Action::SeeLine => Permission::Yes,
        Action::EnterCar
        | Action::ChangeCar
        | Action::EnterReading
        | Action::Inspect
        | Action::RecordCure
        | Action::MergeReports
        | Action::Hold
        | Action::Hand
        | Action::Release
        | Action::StrikeOther
        | Action::ManageMembers
        | Action::EditRules
        | Action::KeepBackups
        | Action::ImportFile
        | Action::ChangeLine
        | Action::ChangePower
        | Action::MakeUp
        | Action::SeeAudit => Permission::No,
    }
}

const fn owner(action: Action) -> Permission {
    match action {
        Action::Consent | Action::Note | Action::AddPhoto | Action::SeeCar => Permission::OwnCars,
        Action::EnterCar
        | Action::ChangeCar
        | Action::EnterReading
        | Action::Inspect
        | Action::RecordCure
        | Action::BadOrder
        | Action::MergeReports
        | Action::Hold
        | Action::Hand
        | Action::Release
        | Action::StrikeOwn
        | Action::StrikeOther
        | Action::ManageMembers
        | Action::EditRules
        | Action::SetWanted
        | Action::KeepBackups
        | Action::ImportFile
        | Action::SeeFleet
        | Action::SeeTrouble
        | Action::SeeLine
        | Action::ChangeLine
        | Action::ChangePower
        | Action::MakeUp
        | Action::SeeAudit => Permission::No,
    }
}

const fn track_lead(action: Action) -> Permission {
    match action {
        Action::SeeTrouble | Action::SeeLine | Action::ChangeLine => Permission::Yes,
        Action::Consent | Action::SeeCar => Permission::OwnCars,
        Action::EnterCar
        | Action::ChangeCar
        | Action::EnterReading
        | Action::Inspect
        | Action::RecordCure
        | Action::Note
        | Action::AddPhoto
        | Action::BadOrder
        | Action::MergeReports
        | Action::Hold
        | Action::Hand
        | Action::Release
        | Action::StrikeOwn
        | Action::StrikeOther
        | Action::ManageMembers
        | Action::EditRules
        | Action::SetWanted
        | Action::KeepBackups
        | Action::ImportFile
        | Action::SeeFleet
        | Action::ChangePower
        | Action::MakeUp
        | Action::SeeAudit => Permission::No,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The product's rules for its members, each as a sentence.
    #[test]
    fn an_operator_may_bad_order_a_car_and_never_release_one() {
        assert_eq!(Role::Operator.may(Action::BadOrder), Permission::Yes);
        assert_eq!(Role::Operator.may(Action::Release), Permission::No);
    }

    #[test]
    fn an_apprentice_enters_readings_and_needs_a_second_name_to_admit() {
        assert_eq!(Role::Apprentice.may(Action::EnterReading), Permission::Yes);
        assert_eq!(
            Role::Apprentice.may(Action::Release),
            Permission::WithSecond
        );
    }

    #[test]
    fn an_owner_has_his_say_on_his_own_cars_only() {
        assert_eq!(Role::Owner.may(Action::Consent), Permission::OwnCars);
        assert_eq!(Role::Owner.may(Action::SeeCar), Permission::OwnCars);
        assert_eq!(Role::Owner.may(Action::SeeFleet), Permission::No);
    }

    /// Whatever somebody does in the shop, he may own cars.
    #[test]
    fn every_member_has_the_say_on_cars_of_his_own_and_only_the_lead_on_others() {
        for role in Role::ALL.iter().filter(|role| **role != Role::Lead) {
            assert_eq!(role.may(Action::Consent), Permission::OwnCars, "{role}");
            assert_ne!(role.may(Action::SeeCar), Permission::No, "{role}");
        }
        assert_eq!(Role::Lead.may(Action::Consent), Permission::Yes);
    }

    #[test]
    fn the_track_lead_changes_lines_and_the_lead_power_and_trains() {
        assert_eq!(Role::TrackLead.may(Action::ChangeLine), Permission::Yes);
        for action in [Action::ChangePower, Action::MakeUp] {
            assert_eq!(Role::TrackLead.may(action), Permission::No);
            assert_eq!(Role::Operator.may(action), Permission::No);
            assert_eq!(Role::Lead.may(action), Permission::Yes);
        }
        assert_eq!(Role::Operator.may(Action::SeeLine), Permission::Yes);
    }

    #[test]
    fn rules_members_and_others_mistakes_are_the_leads_alone() {
        for action in [
            Action::ManageMembers,
            Action::EditRules,
            Action::StrikeOther,
        ] {
            for role in Role::ALL {
                let expected = if *role == Role::Lead {
                    Permission::Yes
                } else {
                    Permission::No
                };
                assert_eq!(role.may(action), expected, "{role}: {action}");
            }
        }
    }
}
