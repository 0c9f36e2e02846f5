//! How much of what a car can bear is used: one ratio per way to come to grief.
//!
//! For each vehicle, place and [`Mode`], u = demand/capacity; 1 is the limit.
//! Nadal's limit is [`gradeworthy_standards::wheel_climb`]'s.
//! The margin of a train is 1 − max u over everything that would end the climb.
//! It is a margin against the models named here, never a promise of safety.
//!
//! | mode | demand | capacity |
//! |---|---|---|
//! | wheel climb | net L/V of the worst flanging wheel | Nadal's limit with the car's own δ and μ |
//! | jackknife | the same in buff, with the zig-zag that play allows | Nadal's limit |
//! | stringline | inward pull of the couplers on the whole car, in draft | what tips it, standing lean deducted |
//! | buckling | sideways push of the couplers on the whole car, in buff | what tips it |
//! | unloading | load lost on the lightest truck side | the load it has standing |
//! | coupler swing, truck swing | angle | greatest angle |
//! | pull-apart | draft at the front coupling | the weaker coupler |
//! | bypass | height step at the front coupling | step at which the least overlap is left |
//! | twist | cross-level difference over the truck centres | what the trucks follow |
//! | adhesion | pull of a locomotive | pull at which it slips |
//! | stall | pull the train needs | pull its locomotives have |
//!
//! Roll is shared by the two trucks in 'stringline' and 'buckling' (a torsionally stiff body);
//! 'unloading' looks at one truck and is the stricter.

mod car;
mod climb;
mod mode;
mod pair;

pub use mode::{Mode, Use};
pub use pair::Coupling;

pub(crate) use car::{Situation, uses, worst_of_forces, worst_of_places};
