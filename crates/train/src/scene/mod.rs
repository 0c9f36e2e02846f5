//! Scenes: what a train does in time, as a file, and the train set up for it.
//!
//! [`read_scene`] reads what happens when and to whom; [`stage`] makes a
//! [`crate::dynamics::Problem`] and its start out of it, a train and a line; [`play`] moves it and
//! watches the margin of every car. [`Usual`] are the scenes that every hill knows, [`Coupled`] says how
//! each coupling stands at a moment.
//!
//! ASSUMED, from memory, for what nobody measured: a coupling's stops are as stiff as 8 N/mm (3 to
//! 20) with a damping ratio of 0.2 (0.1 to 0.3); what turns in a car adds 5 % to its mass, in a
//! locomotive 30 % (flywheels; 10 to 60). A peak grows with the root of stiffness and mass, so it is
//! good to about a third. Gears cannot be turned back: a stopped locomotive, or one without power,
//! holds with what its holding pull was measured as.

mod coupled;
mod eye;
mod play;
mod script;
mod stage;
mod text;
mod told;
mod usual;

pub use coupled::Coupled;
pub use play::{Jolt, MotionMargin, Played, SceneError, play};
pub use script::{Change, Couplers, Doing, Scene, Start, Who};
pub use stage::{Staged, stage};
pub use text::{read_scene, write_scene};
pub use usual::Usual;
