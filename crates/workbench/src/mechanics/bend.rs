//! How far to bend past the goal, so that what is left tomorrow is right.
//!
//! A set p₀ measured right after release creeps back overnight to `p₁ = (1 − f) p₀` (a).
//! The fraction f differs from part to part and from shop to shop, so it is learned: f of a part is
//! normal about a mean μ with variance σ², and (μ, σ²) has the conjugate
//! normal–scaled-inverse-χ² law with mean m, weight κ, degrees ν and scale s².
//!
//! After n bends of the same material, read with standard uncertainty u:
//! `f_i = 1 − p₁/p₀`, `var_i = u² (1 + (1 − f_i)²)/p₀²`, `w_i = 1/(1 + var_i/s₀²)` (b),
//! so that a bend too small to be read well counts for less;
//! `W = Σ w`, `f̄ = Σ w f/W`, `κ_n = κ₀ + W`, `m_n = (κ₀ m₀ + W f̄)/κ_n`, `ν_n = ν₀ + n`,
//! `ν_n s_n² = ν₀ s₀² + Σ w (f − f̄)² + κ₀ W/κ_n (f̄ − m₀)²` (c).
//! Tomorrow's reading after a set p₀ is Student-t with ν degrees of freedom about `(1 − m) p₀`, of
//! scale² `(p₀ s)² (1 + 1/κ) + u² + ((1 − m) u)²` (d).
//! The best set makes `P(|p₁ − D| ≤ tol)` greatest (e); it lies a little below `D/(1 − m)`, because
//! a longer bend spreads more, and is found where the derivative of (e) changes sign.
//!
//! Units: p₀, p₁, D, tol, u in any length along the part, read at the same place, positive in the
//! direction of the bend; f, m, s pure numbers.
//! Validity: one material at a time; f speaks of the set *after release*, not of how far the part
//! was pushed; fatigue and temperature are not modelled.
//! Sources: (c) and the predictive law of (d) are the textbook conjugate results for a normal
//! sample, as in [GELMAN-BDA §3.3]; the weights w are ours and make (c) approximate.
//! ASSUMED: the default prior, see [`SpringBack::common_practice`].

use gradeworthy_units::Length;
use statrs::distribution::{ContinuousCDF as _, StudentsT};

use super::student::two_sided_factor;

/// What is known of the fraction that springs back, for one material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpringBack {
    /// m, the mean fraction.
    pub mean: f64,
    /// κ, how many bends the mean is worth.
    pub weight: f64,
    /// ν, degrees of freedom of the scatter.
    pub degrees: f64,
    /// s, standard deviation from bend to bend.
    pub deviation: f64,
}

/// One bend and what was left of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bend {
    /// p₀, right after release.
    pub set: Length,
    /// p₁, after the rest.
    pub rested: Length,
}

/// The law of tomorrow's reading, eq. (d).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tomorrow {
    centre: Length,
    scale_mm: f64,
    law: StudentsT,
}

/// What is wanted of a bend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Goal {
    /// D: what should be left tomorrow.
    pub target: Length,
    /// How far tomorrow's reading may be off.
    pub tolerance: Length,
    /// u: standard uncertainty of one reading of the set.
    pub reading: Length,
}

/// How far to bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overbend {
    /// The set to have right after release.
    pub set: Length,
    /// The chance that tomorrow's reading is inside tolerance, eq. (e).
    pub chance: f64,
    /// Tomorrow's reading.
    pub tomorrow: Tomorrow,
}

impl SpringBack {
    /// Before a shop has results of its own: 40 to 50 % springs back.
    ///
    /// ASSUMED: common practice, no source. Mean .45; .0255 makes .40 to .50 a 95 % range; worth
    /// four bends for the mean and six for the scatter, so that five bends of the shop's own
    /// outweigh it. A wrong mean moves the first overbends by its own error over (1 − m).
    #[must_use]
    pub const fn common_practice() -> Self {
        Self {
            mean: 0.45,
            weight: 4.0,
            degrees: 6.0,
            deviation: 0.0255,
        }
    }

    /// The same knowledge after a shop's bends of that material, eqs. (b) and (c).
    ///
    /// Give the whole history at once: the weights rest on the scatter of `self`.
    ///
    /// # Errors
    /// [`BendError`] names the bend that cannot be one.
    pub fn learn(&self, bends: &[Bend], reading: Length) -> Result<Self, BendError> {
        self.check()?;
        let reading_mm = positive("uncertainty of a reading", reading)?;
        if bends.is_empty() {
            return Ok(*self);
        }
        let mut weighed = Vec::with_capacity(bends.len());
        for (index, bend) in bends.iter().enumerate() {
            if bend.set <= Length::ZERO {
                return Err(BendError::SetNotPositive {
                    index,
                    found: bend.set,
                });
            }
            let left = bend.rested.mm() / bend.set.mm();
            let relative = reading_mm / bend.set.mm();
            let variance = relative * relative * (1.0 + left * left);
            let weight = 1.0 / (1.0 + variance / (self.deviation * self.deviation));
            weighed.push((weight, 1.0 - left));
        }
        let total: f64 = weighed.iter().map(|(w, _)| w).sum();
        let mean = weighed.iter().map(|(w, f)| w * f).sum::<f64>() / total;
        let scatter: f64 = weighed
            .iter()
            .map(|(w, f)| w * (f - mean) * (f - mean))
            .sum();
        let weight = self.weight + total;
        let degrees = self.degrees + as_f64(bends.len());
        let shift = mean - self.mean;
        let squares = self.degrees * self.deviation * self.deviation
            + scatter
            + self.weight * total / weight * shift * shift;
        let learned = Self {
            mean: (self.weight * self.mean + total * mean) / weight,
            weight,
            degrees,
            deviation: (squares / degrees).sqrt(),
        };
        learned.check()?;
        Ok(learned)
    }

    /// The law of tomorrow's reading after a set, eq. (d).
    ///
    /// # Errors
    /// [`BendError`] for a set or an uncertainty that is not positive.
    pub fn tomorrow(&self, set: Length, reading: Length) -> Result<Tomorrow, BendError> {
        self.check()?;
        let set_mm = positive("set after release", set)?;
        let reading_mm = positive("uncertainty of a reading", reading)?;
        let Spread {
            centre_mm,
            scale_mm,
        } = self.after_set(set_mm, reading_mm);
        let no_law = BendError::NoLaw { found: *self };
        let centre = Length::from_mm_rounded(centre_mm).ok_or(no_law)?;
        let law = StudentsT::new(centre_mm, scale_mm, self.degrees).map_err(|_| no_law)?;
        Ok(Tomorrow {
            centre,
            scale_mm,
            law,
        })
    }

    /// How far to bend, eq. (e), to the nearest nanometre.
    ///
    /// # Errors
    /// [`BendError`] for a goal that is not positive.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_units::Length;
    /// use gradeworthy_workbench::mechanics::bend::{Goal, SpringBack};
    /// let goal = Goal {
    ///     target: Length::from_hundredths_mm(20),
    ///     tolerance: Length::from_hundredths_mm(5),
    ///     reading: Length::from_nanometres(15_000),
    /// };
    /// let advice = SpringBack::common_practice().overbend(goal)?;
    /// assert_eq!(format!("{:.2}", advice.set), "0.36 mm");
    /// # Ok::<(), gradeworthy_workbench::mechanics::bend::BendError>(())
    /// ```
    pub fn overbend(&self, goal: Goal) -> Result<Overbend, BendError> {
        self.check()?;
        let target_mm = positive("goal", goal.target)?;
        let tolerance_mm = positive("tolerance", goal.tolerance)?;
        let reading_mm = positive("uncertainty of a reading", goal.reading)?;
        let best_mm = self.best_set_mm(target_mm, tolerance_mm, reading_mm);
        let set = Length::from_mm_rounded(best_mm).ok_or(BendError::TooFar { set_mm: best_mm })?;
        let tomorrow = self.tomorrow(set, goal.reading)?;
        Ok(Overbend {
            set,
            chance: tomorrow.chance_within(goal.target, goal.tolerance),
            tomorrow,
        })
    }

    fn after_set(&self, set_mm: f64, reading_mm: f64) -> Spread {
        let left = 1.0 - self.mean;
        let from_part_mm = set_mm * self.deviation;
        let variance_mm2 = from_part_mm * from_part_mm * (1.0 + 1.0 / self.weight)
            + reading_mm * reading_mm * (1.0 + left * left);
        Spread {
            centre_mm: left * set_mm,
            scale_mm: variance_mm2.sqrt(),
        }
    }

    /// Where d/dp₀ of (e) changes sign. At p₀ = 0 it is positive, because the goal is positive and
    /// the spread does not change there; at p₀ = D/(1 − m) the goal is centred and only the spread
    /// grows, so it is negative: the root lies between.
    fn best_set_mm(&self, target_mm: f64, tolerance_mm: f64, reading_mm: f64) -> f64 {
        let (mut low, mut high) = (0.0, target_mm / (1.0 - self.mean));
        // 60 halvings take any bracket below the spacing of doubles at its upper end.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.chance_grows(middle, target_mm, tolerance_mm, reading_mm) {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// The sign of `pdf(b) b' − pdf(a) a'`, a and b the tolerance limits in units of the scale.
    fn chance_grows(
        &self,
        set_mm: f64,
        target_mm: f64,
        tolerance_mm: f64,
        reading_mm: f64,
    ) -> bool {
        let law = self.after_set(set_mm, reading_mm);
        let left = 1.0 - self.mean;
        let scale_by_set =
            set_mm * self.deviation * self.deviation * (1.0 + 1.0 / self.weight) / law.scale_mm;
        let slope = |limit_mm: f64| {
            let at = (limit_mm - law.centre_mm) / law.scale_mm;
            // The constant of the density and one factor 1/scale cancel in the comparison.
            let density = (1.0 + at * at / self.degrees).powf(-0.5 * (self.degrees + 1.0));
            density * (-left - at * scale_by_set)
        };
        slope(target_mm + tolerance_mm) > slope(target_mm - tolerance_mm)
    }

    fn check(&self) -> Result<(), BendError> {
        let positive = [self.weight, self.degrees, self.deviation]
            .iter()
            .all(|number| number.is_finite() && *number > 0.0);
        if positive && self.mean.is_finite() && self.mean < 1.0 {
            Ok(())
        } else {
            Err(BendError::NoLaw { found: *self })
        }
    }
}

impl Tomorrow {
    /// The most likely reading.
    #[must_use]
    pub const fn centre(&self) -> Length {
        self.centre
    }

    /// The interval that holds the reading with probability `level`.
    ///
    /// # Errors
    /// [`BendError::Level`] for a level outside 0 to 1.
    pub fn interval(&self, level: f64) -> Result<(Length, Length), BendError> {
        let factor = two_sided_factor(self.law.freedom(), level);
        let half = factor.and_then(|factor| Length::from_mm_rounded(factor * self.scale_mm));
        let half = half.ok_or(BendError::Level { found: level })?;
        Ok((self.centre - half, self.centre + half))
    }

    /// The chance that the reading lies within `tolerance` of `target`, eq. (e).
    #[must_use]
    pub fn chance_within(&self, target: Length, tolerance: Length) -> f64 {
        let below = |limit: Length| self.law.cdf(limit.mm());
        below(target + tolerance) - below(target - tolerance)
    }
}

/// Centre and scale of eq. (d).
struct Spread {
    centre_mm: f64,
    scale_mm: f64,
}

/// Why there is no advice.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BendError {
    /// A length that has to be positive.
    #[error("{what} of {found:.4} is not positive; measure in the direction of the bend")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// What was found.
        found: Length,
    },
    /// A length far beyond any part.
    #[error("{what} of {found} is beyond {limit}; check the unit")]
    TooLong {
        /// Which.
        what: &'static str,
        /// What was found.
        found: Length,
        /// The greatest taken.
        limit: Length,
    },
    /// A past bend without a set.
    #[error("bend {index}: set of {found:.4} after release is not positive; leave it out")]
    SetNotPositive {
        /// Which bend, from zero.
        index: usize,
        /// What was found.
        found: Length,
    },
    /// Numbers that describe no spring-back.
    #[error(
        "spring-back of mean {}, weight {}, degrees {}, deviation {} is none: the mean has to be \
         below 1 and the rest positive; look for a bend entered wrongly",
        found.mean, found.weight, found.degrees, found.deviation
    )]
    NoLaw {
        /// What was found.
        found: SpringBack,
    },
    /// The part would have to be bent beyond any length.
    #[error("a set of {set_mm} mm would be needed; this material springs back too far to be bent")]
    TooFar {
        /// The set, mm.
        set_mm: f64,
    },
    /// A level of confidence that is none.
    #[error("level of confidence {found}; expected a number between 0 and 1")]
    Level {
        /// What was found.
        found: f64,
    },
}

/// A metre: longer than any side frame.
const LENGTH_MAX: Length = Length::from_nanometres(1_000_000_000);

fn positive(what: &'static str, found: Length) -> Result<f64, BendError> {
    if found <= Length::ZERO {
        return Err(BendError::NotPositive { what, found });
    }
    if found > LENGTH_MAX {
        return Err(BendError::TooLong {
            what,
            found,
            limit: LENGTH_MAX,
        });
    }
    Ok(found.mm())
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a shop bends fewer than 2^53 parts"
)]
fn as_f64(count: usize) -> f64 {
    count as f64
}
