//! What moves: bodies, the links between them, the track under them, who drives.

use super::road::Road;
use super::schedule::Drive;

/// One vehicle as motion along the line sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// W, N.
    pub weight: f64,
    /// m: mass with what turns in it, kg.
    pub mass: f64,
    /// Drag while rolling, part of the weight.
    pub rolling: f64,
    /// Drag on breaking away, part of the weight.
    pub breakaway: f64,
    /// Growth of drag with speed, s/m.
    pub per_speed: f64,
    /// Curve drag times radius, part of the weight, m.
    pub curve: f64,
    /// Bolsters ahead and behind of the middle, m.
    pub reach: f64,
}

/// One coupling, to the vehicle behind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Link {
    /// L: middle to middle with the slack halfway, m.
    pub spacing: f64,
    /// s: free slack from bunched to stretched, m.
    pub slack: f64,
    /// k: stiffness once a stop is reached, N/m.
    pub stiffness: f64,
    /// c: damping at the stops, N·s/m.
    pub damping: f64,
    /// `c_0`: damping within the slack too, N·s/m.
    pub drag: f64,
    /// Draft at which it comes apart, N; infinite where it holds whatever comes.
    pub strength: f64,
}

/// Whether the damping of a stop may turn its force round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StopLaw {
    /// A stop only ever pushes: its damping takes away at most what its spring gives.
    #[default]
    OneSided,
    /// Spring and damper in parallel, which pull for a moment as the faces part; for comparison
    /// with other programs and closed forms.
    Linear,
}

/// What holds a standing vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoldLaw {
    /// Friction gives a little before it slides, like a spring of stiffness W/give (held upright by
    /// a damper of the same place), and then holds for ever.
    Elastic {
        /// m.
        give: f64,
    },
    /// Friction grows with speed up to `speed`, m/s; a vehicle on a grade creeps. For comparison.
    Creep {
        /// ε, m/s.
        speed: f64,
    },
}

/// The laws of a problem, the same for every vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laws {
    /// Stops.
    pub stop: StopLaw,
    /// Standing.
    pub hold: HoldLaw,
    /// d: half the width over which a stop goes from nothing to its full stiffness, m.
    pub rounding: f64,
    /// Speed at which half of the difference between breakaway and rolling drag is left, m/s.
    pub breakaway_speed: f64,
}

impl Default for Laws {
    /// ASSUMED, from memory: a rounding of 20 µm; 0.8 mm of give for a drag of the whole weight, so
    /// 12 µm at 1.5 %; 10 mm/s. Half or twice the rounding moves the peaks of the reference case by
    /// about a hundredth; a test shows what the others do.
    fn default() -> Self {
        Self {
            stop: StopLaw::default(),
            hold: HoldLaw::Elastic { give: 8e-4 },
            rounding: 2e-5,
            breakaway_speed: 0.01,
        }
    }
}

/// A train to be moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The vehicles, head first.
    pub bodies: Vec<Body>,
    /// The links, head first: one fewer than bodies.
    pub links: Vec<Link>,
    /// The locomotives.
    pub drives: Vec<Drive>,
    /// Grade and curvature.
    pub road: Road,
    /// The laws.
    pub laws: Laws,
}

/// A problem that cannot be solved as given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ProblemError {
    /// Nothing to move.
    #[error("there is no vehicle to move")]
    Empty,
    /// Lists that do not go together.
    #[error("{what}: found {found}, expected {expected}")]
    Count {
        /// Which list.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there should be.
        expected: usize,
    },
    /// A number that cannot be.
    #[error("{what} {index} is {found}: it must be {expected}")]
    Number {
        /// Which number.
        what: &'static str,
        /// Of which entry, from 0.
        index: usize,
        /// What was found.
        found: f64,
        /// What would do.
        expected: &'static str,
    },
}

impl Problem {
    /// Whether everything is there and everything can be.
    ///
    /// # Errors
    /// [`ProblemError`] names what cannot be.
    pub fn check(&self) -> Result<(), ProblemError> {
        if self.bodies.is_empty() {
            return Err(ProblemError::Empty);
        }
        count("links", self.links.len(), self.bodies.len() - 1)?;
        for (index, body) in self.bodies.iter().enumerate() {
            positive("mass", index, body.mass)?;
            positive("weight", index, body.weight)?;
            let rest = [
                ("rolling drag", body.rolling),
                ("breakaway drag", body.breakaway),
                ("drag per speed", body.per_speed),
                ("curve drag", body.curve),
                ("reach", body.reach),
            ];
            rest.into_iter()
                .try_for_each(|(what, value)| not_negative(what, index, value))?;
        }
        for (index, link) in self.links.iter().enumerate() {
            positive("stiffness", index, link.stiffness)?;
            let rest = [
                ("slack", link.slack),
                ("damping", link.damping),
                ("drag in the slack", link.drag),
            ];
            rest.into_iter()
                .try_for_each(|(what, value)| not_negative(what, index, value))?;
            finite("spacing", index, link.spacing)?;
            if link.slack < 2.0 * self.laws.rounding {
                let expected = "at least twice the rounding of the stops";
                return wrong("slack", index, link.slack, expected);
            }
            if link.strength.is_nan() || link.strength <= 0.0 {
                return wrong("strength", index, link.strength, "more than zero");
            }
        }
        positive("rounding", 0, self.laws.rounding)?;
        positive("breakaway speed", 0, self.laws.breakaway_speed)?;
        match self.laws.hold {
            HoldLaw::Elastic { give } => positive("give", 0, give)?,
            HoldLaw::Creep { speed } => positive("creep speed", 0, speed)?,
        }
        self.drives
            .iter()
            .try_for_each(|drive| drive.check(self.bodies.len()))
    }
}

pub(super) fn count(what: &'static str, found: usize, expected: usize) -> Result<(), ProblemError> {
    if found == expected {
        Ok(())
    } else {
        Err(ProblemError::Count {
            what,
            found,
            expected,
        })
    }
}

fn wrong(
    what: &'static str,
    index: usize,
    found: f64,
    expected: &'static str,
) -> Result<(), ProblemError> {
    Err(ProblemError::Number {
        what,
        index,
        found,
        expected,
    })
}

pub(super) fn finite(what: &'static str, index: usize, value: f64) -> Result<(), ProblemError> {
    if value.is_finite() {
        Ok(())
    } else {
        wrong(what, index, value, "a finite number")
    }
}

fn positive(what: &'static str, index: usize, value: f64) -> Result<(), ProblemError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        wrong(what, index, value, "finite and more than zero")
    }
}

pub(super) fn not_negative(
    what: &'static str,
    index: usize,
    value: f64,
) -> Result<(), ProblemError> {
    if value.is_finite() && value >= 0.0 {
        Ok(())
    } else {
        wrong(what, index, value, "finite and zero or more")
    }
}
