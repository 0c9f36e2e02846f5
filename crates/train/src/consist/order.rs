//! A train as it is made up: names in order, and how it is to be checked.

use crate::statics::{Condition, CurveDragLaw};
use crate::sweep::SlackRule;

/// One vehicle of a train.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// Its mark or name, tidied by [`tidy_name`].
    pub name: String,
    /// Whether its B end, or a locomotive's rear, leads.
    pub reversed: bool,
    /// The line of the file it stands on, from 1; 0 where it came from no file.
    pub line: usize,
}

/// A train's order and its check.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainOrder {
    /// What the club calls it.
    pub name: Option<String>,
    /// Head first.
    pub members: Vec<Member>,
    /// Names that stay together, each list in its order; every one is a member, in one block only.
    pub blocks: Vec<Vec<String>>,
    /// What it is doing; where the file says.
    pub condition: Option<Condition>,
    /// How slack is chosen; where the file says.
    pub slack: Option<SlackRule>,
    /// The one law of curve drag; where the file says.
    pub curve_drag: Option<CurveDragLaw>,
    /// What a jerk may multiply a quasi-static force by; where the file says.
    pub jerk_allowance: Option<f64>,
    /// The least margin that will do; where the file says.
    pub least_margin: Option<f64>,
    /// Anything about it.
    pub note: Option<String>,
}

/// A name with its white space tidied and its letters in capitals, so that it is one name however
/// it is typed.
#[must_use]
pub fn tidy_name(text: &str) -> String {
    text.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_uppercase()
}

/// The words of conditions in files.
pub(super) const CONDITIONS: [(&str, Condition); 3] = [
    ("running", Condition::Running),
    ("starting", Condition::Starting),
    ("held", Condition::Held),
];

/// The words of slack rules in files.
pub(super) const SLACKS: [(&str, SlackRule); 3] = [
    ("by force", SlackRule::ByForce),
    ("stretched", SlackRule::AllStretched),
    ("bunched", SlackRule::AllBunched),
];

/// The words of curve-drag laws in files: one holds, never two.
pub(super) const LAWS: [(&str, CurveDragLaw); 3] = [
    ("per curvature", CurveDragLaw::PerCurvature),
    ("tread slip", CurveDragLaw::TreadSlip),
    ("flange friction", CurveDragLaw::FlangeFriction),
];
