//! Decides whether a wheelset runs through the track it is meant for, by what margin, and what to
//! do when it does not.
//!
//! Every limit is one linear constraint on one wheel (or on the pair), and stays one: folding two
//! wheels into the worse of them would hide one way to fail from the probability below.
//! All lengths are exact nanometres, so 'at the limit' is decided and counts as inside.
//!
//! Symbols, mm in the mouth and nm inside: B back-to-back, T flange thickness, N tire width,
//! D flange depth, G track gauge, K check gauge of the wheelset, S span, F flangeway;
//! index i one wheel, j the other; B⁻ and B⁺ the least and greatest B round the axle.
//!
//! | letter | constraint | reads |
//! | --- | --- | --- |
//! | (a) span | B⁻ ≥ `S_max` + `c_s` | the backs clear wing and guard rails |
//! | (b) tread support of j | B⁻ + `T_i` + `N_j` ≥ `G_max` + `s_min` | tread j stays up, flange i at its rail |
//! | (c) check gauge, least, of i | B⁻ + `T_i` ≥ `K_min` | a thin flange is not left too much play |
//! | (d) check gauge, greatest, of i | B⁺ + `T_i` ≤ `K_max` | flange i clears the frog point, the other back at the guard rail |
//! | (e) gauge | B⁺ + `T_1` + `T_2` ≤ `G_min` − `c_g` | both flanges fit between the rails |
//! | (f) back-to-back as printed | `B_min` ≤ B⁻, B⁺ ≤ `B_max` | where a standard prints it |
//! | (g) flangeway of i | `T_i` ≤ F − `c_f` | the flange enters the groove |
//! | (h) T, D, N of i as printed | | where a standard prints it |
//!
//! (a) to (f) can be cured by moving a wheel on its axle, (g) and (h) cannot.
//! A limit that a standard does not print is `None` and constrains nothing.
//!
//! A flange thinner than the standard contour raises the upper edge of the window, by the missing
//! thickness through (d) and twice through (e), and through (b) and (c) it can raise the lower edge
//! as well: the set has to be opened, not kept at the B of a standard flange.
//!
//! Probability that every limit holds, for independent normal errors of reading:
//! P ≥ 1 − Σ `Φ(−m_k/σ_k)` (i), Bonferroni's inequality over the constraints k with margin m and
//! standard uncertainty σ of that margin; [JCGM-106 §7] for the probability of conformity itself.
//! The bound needs no independence *between* constraints, which share B and T.
//!
//! Validity: rigid wheels, true axle, straight track; lengths up to 10 m.
//! Sources: [NMRA-S-4.2], [NMRA-S-3.2], [NEM-310] for the quantities and their letters;
//! K = B + T from the supplement to [NEM-110], [NEM-310] and [NEM-311].
//! ASSUMED: the clearances `c_s`, `c_g`, `s_min`, `c_f` are engineering estimates and the caller's;
//! each moves its edge of the window one for one.

mod constraint;
mod cure;
mod limits;
mod readings;

pub use crate::mechanics::ends::Side;
pub use constraint::{Constraint, ConstraintKind, Edge};
pub use cure::{Cure, Evidence, Fault, Mobility, Move, Part, Reason};
pub use limits::{Clearances, FunctionalLimits, Limits};
pub use readings::{BackToBack, Uncertainty, Wheel, Wheelset, WheelsetError};

use gradeworthy_units::Length;

use constraint::Tally;
use readings::check_readings;

/// One edge of the window for B and what sets it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bound {
    /// Where the edge lies.
    pub at: Length,
    /// The constraint that puts it there.
    pub set_by: ConstraintKind,
}

/// The values of B for which every constraint on B holds; an edge that nothing sets is `None`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// The greatest of the lower edges, L.
    pub lower: Option<Bound>,
    /// The least of the upper edges, U.
    pub upper: Option<Bound>,
}

impl Window {
    /// U − L; negative where no B will do, `None` where an edge is open.
    #[must_use]
    pub fn width(&self) -> Option<Length> {
        Some(self.upper?.at - self.lower?.at)
    }
}

/// A wheelset against its limits.
#[derive(Clone, Debug)]
pub struct Judgement {
    wheelset: Wheelset,
    uncertainty: Uncertainty,
    tread_need: Option<Length>,
    tally: Tally,
    window: Window,
    conformity: f64,
}

impl FunctionalLimits {
    /// Judges a wheelset: every margin, the window for B, and the odds that all limits hold.
    ///
    /// # Errors
    /// [`WheelsetError`] for readings no wheelset can have.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_units::Length;
    /// use gradeworthy_workbench::mechanics::wheelset::*;
    /// let limits = Limits {
    ///     check_gauge_max: Some(Length::from_thousandths(605)),
    ///     back_to_back_min: Some(Length::from_thousandths(566)),
    ///     ..Limits::default()
    /// };
    /// let wheel = Wheel {
    ///     flange_thickness: Some(Length::from_thousandths(30)),
    ///     ..Wheel::default()
    /// };
    /// let wheelset = Wheelset {
    ///     back_to_back: BackToBack::assume_true_running(Length::from_thousandths(560)),
    ///     left: wheel,
    ///     right: wheel,
    ///     offset: None,
    /// };
    /// let rule = FunctionalLimits::new(limits, Clearances::default())?;
    /// let judgement = rule.judge(&wheelset, &Uncertainty::default())?;
    /// let Cure::Move(cure) = judgement.cure(Mobility::Only(Side::Left)) else { panic!() };
    /// // Open it to the middle of .566 to .575 in.
    /// assert_eq!(cure.left_outward, Length::from_nanometres(10 * 25_400 + 12_700));
    /// # Ok::<(), WheelsetError>(())
    /// ```
    pub fn judge(
        &self,
        wheelset: &Wheelset,
        uncertainty: &Uncertainty,
    ) -> Result<Judgement, WheelsetError> {
        check_readings(wheelset, uncertainty)?;
        let tally = self.tally(wheelset);
        let conformity = tally.conformity(uncertainty);
        Ok(Judgement {
            wheelset: *wheelset,
            uncertainty: *uncertainty,
            tread_need: self.tread_need(),
            window: tally.window(wheelset.back_to_back),
            tally,
            conformity,
        })
    }
}

impl Judgement {
    /// Every constraint that could be judged, with its signed margin.
    pub fn constraints(&self) -> impl Iterator<Item = &Constraint> {
        self.tally.judged()
    }

    /// The constraints that have a limit but lack a reading.
    pub fn not_measured(&self) -> impl Iterator<Item = ConstraintKind> {
        self.tally.not_measured()
    }

    /// The constraint with the smallest signed margin.
    #[must_use]
    pub fn binding(&self) -> Option<&Constraint> {
        self.constraints()
            .min_by_key(|constraint| constraint.margin)
    }

    /// Whether every constraint that could be judged holds, at the limit included.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.constraints()
            .all(|constraint| constraint.margin >= Length::ZERO)
    }

    /// The values of B that do, for these two wheels.
    #[must_use]
    pub const fn window(&self) -> &Window {
        &self.window
    }

    /// Lower bound of the probability that all judged limits truly hold, eq. (i), 0 to 1.
    #[must_use]
    pub const fn conformity_at_least(&self) -> f64 {
        self.conformity
    }
}
