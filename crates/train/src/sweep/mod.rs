//! The climb checked place by place: the train moved along the line, every car, every mode.
//!
//! [`sweep`] answers for a whole climb, [`snapshot`] for one place, [`Evaluation`] for many trials
//! on the same line that differ only in power or in where a locomotive is cut in, and
//! [`TrainMargin`] says how little margin there is, where, why, and on which unmeasured number it
//! leans most.
//!
//! Cost: O(n) per place, no allocation per vehicle; places are independent of each other and can
//! be shared between cores ([`Cores`]) without changing a result beyond rounding.

mod check;
mod envelope;
mod evaluation;
mod lean;
mod makeup;
mod margin;
mod places;
mod probe;
mod run;
mod snapshot;
mod trace;
mod why;

pub use check::{Check, Cores, SlackRule, SweepError};
pub use envelope::{Envelope, Peak};
pub use evaluation::{Evaluation, EvaluationError, Trial};
pub use lean::{Lean, leans};
pub use makeup::{JERK_ALLOWANCE, ProneCar, prone_to_stringlining, prone_under};
pub use margin::{TrainMargin, Worst, train_margin};
pub(crate) use places::HeadPlaces;
pub(crate) use probe::{Hardest, Probe};

pub use places::{PlaceColumns, first_head_place};
pub use run::{Sweep, sweep, sweep_traced};
pub use snapshot::{Snapshot, snapshot};
pub use trace::{Trace, Traced};
pub use why::Cause;
