//! The friction-centre truck: what rails do to a rigid two-axle truck that slides round a curve.
//!
//! Two rigid axles in a rigid frame, wheels locked on their axles and sliding on the rail with
//! saturated Coulomb friction. The truck then turns about a pole on its centreline, `x_p` ahead of
//! its middle, where the wheels slide straight at right angles to the radius (3), (4). The rails
//! push the two axles with `Y_l` and `Y_t` (5), (6). Which flanges touch is a complementarity problem:
//! an axle that a rail pushes stands against it, an axle between the rails is not pushed (7).
//!
//! (3) `F_y,j = −μ Q_j (x_j − x_p)/ρ_j, ρ_j = √((x_j − x_p)² + y_j²)`
//! (4) `m = −μ Σ Q_j (x_j (x_j − x_p) + y_j²)/ρ_j`
//! (5) `Y_l + Y_t = −(S + Σ F_y)`
//! (6) `Y_l − Y_t = −2 (m + M)/w`
//! (7) `x_p = R (y_l − y_t)/w with |y| ≤ σ, and Y ≠ 0 only where |y| = σ`
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `Q_j` | wheel loads: leading left, leading right, trailing left, trailing right | N |
//! | S | force of the body on the truck, left positive | N |
//! | M | moment of the body on the truck, counter-clockwise positive | N·m |
//! | w, σ, R | wheelbase, lateral play to either side, radius | m |
//! | `Y_l`, `Y_t` | flange force of the rail on the leading and trailing axle, left positive | N |
//!
//! Validity: quasi-static, rigid vertical frames, friction fully saturated (true from a few mm of
//! travel on), no rail defect. Source: the classical friction-centre method \[HEUMANN\], restated;
//! with S = M = 0 and one flange touching it is Heumann's minimum, which a test checks.

mod friction_centre;

pub use friction_centre::{Truck, TruckForces};
