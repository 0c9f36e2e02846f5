//! Where every car stands: bolsters on the track, the body between them, couplers at true angles.
//!
//! The front bolster of the head vehicle stands at a given place. Its rear bolster is where the
//! chord of the track equals the truck centres (1). Each next vehicle is the pair of bolster places
//! for which its own chord is right (1) and the distance from its front pivot to the pivot ahead is
//! the length of the link (2), found together by Newton's method in two unknowns.
//! A nested search (chord inside link) was the other candidate; it needs twice the evaluations.
//!
//! (1) `|p(s_f) − p(s_r)| = 2a`
//! (2) `|P_f,i+1 − P_r,i| = l_r,i + l_f,i+1 ± slack/2, plus when stretched, minus when bunched`
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | ψ | swing of a truck: track heading minus body heading, left positive | rad |
//! | γ | swing of a coupler: positive when a pull at that end drags the end to the left | rad |
//!
//! Lengths are plan lengths; validity as in [`crate::track`], and the track must curve gently
//! enough that a chord of 2a exists (2a < 2R).

mod overhang;
mod solve;
mod stance;

pub use overhang::{Overhang, overhang_on_circle};
pub use solve::{PlacementError, Placer};
pub use stance::{Slack, Stance, Turn};
