//! What to change: where to cut in the helpers, which car to move, how much train, what to mend.
//!
//! Every piece of advice is one or more [`Change`]s with the margin after them and the gain; the
//! changes applied to a [`MakeUp`] give the train. Margins are those of a fresh [`crate::sweep`]
//! on the same places; what a search claims beyond that is its [`Claim`].
//!
//! - [`Adviser::cuts`]: one, two or three helpers, every cut.
//! - [`Adviser::orders`]: cars within their blocks.
//! - [`Adviser::fewest_moves`]: the fewest single moves that bring a margin asked for.
//! - [`Adviser::longest`], [`Adviser::more_power`], [`Adviser::stall`]: how much train, how much
//!   power, and what stands where if it is not enough.
//! - [`Adviser::repairs`], [`Adviser::measurements`]: what buys the most at the bench.
//!
//! Every long search is told to a [`Watcher`], who can stop it and gets the best so far.
//! How the searches stay exact without working every train out: `contest.rs`.

mod adviser;
mod change;
mod contest;
mod cuts;
mod fewest;
mod longest;
mod makeup;
mod measure;
mod order;
mod pool;
mod power;
mod repair;
mod stall;
mod steady;
mod units;
mod watch;

pub use adviser::{Advice, AdviceError, Advised, Adviser, Claim, Limit, TOLERANCE};
pub use change::{Change, ChangeError};
pub use cuts::{CutMargin, Cuts};
pub use fewest::{FewestMoves, Reached};
pub use longest::{End, Longest};
pub use makeup::{MakeUp, Member, Origin};
pub use measure::{Measurement, Measurements};
pub use power::MorePower;
pub use repair::{Work, middle_of_the_train};
pub use stall::{Stall, Standing};
pub use units::{Coupled, Helper};
pub use watch::{Go, Progress, StopReason, Watcher};
