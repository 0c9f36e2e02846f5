//! The hill: a train of measured cars on a surveyed line, and the margin of every car everywhere.
//!
//! It answers: which car, at which place, in which way, has how little margin, and on which number
//! that nobody measured that answer leans. Results are margins against the models named in each
//! module, never a promise of safety.
//!
//! - [`mod@line`]: the line's files, survey and checks; [`consist`]: those of power and trains.
//! - [`track`]: the line, its exact pose at any place.
//! - [`vehicle`]: one card per vehicle, every number with how it is known; trains.
//! - [`placement`]: where bolsters and couplers are, at true angles between unlike neighbours.
//! - [`statics`]: coupler and truck forces; locomotives each by their own law.
//! - [`truck`]: the friction-centre truck.
//! - [`margins`]: demand over capacity for each way to come to grief.
//! - [`dynamics`]: the train in motion, with slack; [`scene`]: what happens to it, as a file.
//! - [`odds`]: how sure we are, from how well each number is known.
//! - [`sweep`]: the climb, place by place; trials; the margin, its cause, what it leans on.
//! - [`advice`]: what to change, and what that gains.
//!
//! Raw SI numbers inside; s grows in the direction of travel, vehicle 0 is the head, left is
//! positive, draft is positive.
//!
//! The climb is quasi-static: a train that crawls, starts or stands. Run-ins and jerks are in
//! [`dynamics`] and [`scene`].
//!
//! # Example
//! ```
//! use gradeworthy_train::statics::Condition;
//! use gradeworthy_train::sweep::{Check, sweep, train_margin};
//! use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
//! use gradeworthy_train::vehicle::{Class, Quantity, Train, Vehicle};
//!
//! let line = Alignment::new(
//!     Origin::default(),
//!     vec![PlanSegment::straight(3.0), PlanSegment::arc(2.0, 1.0 / 0.75)],
//!     vec![GradeSegment::steady(5.0, 0.02)],
//!     vec![],
//! )?;
//! let mut vehicles = vec![Vehicle::of_class("demo engine", Class::HoLocomotive)];
//! for number in 0..10 {
//!     let car = Vehicle::of_class(format!("demo {number}"), Class::HoCar)
//!         .measured(&[(Quantity::Weight, 1.2), (Quantity::RollingDrag, 0.012)])?;
//!     vehicles.push(car);
//! }
//! let train = Train::new(vehicles)?;
//! let climb = sweep(&train, &line, &Check::new(Condition::Running, 0.05))?;
//! let margin = train_margin(&train, &line, &climb)?.expect("the train fits on the line");
//! assert!(margin.margin < 1.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod advice;
pub mod consist;
pub mod dynamics;
pub mod line;
pub mod margins;
pub mod odds;
pub mod placement;
pub mod scene;
pub mod statics;
pub mod sweep;
pub mod track;
pub mod truck;
pub mod vehicle;
