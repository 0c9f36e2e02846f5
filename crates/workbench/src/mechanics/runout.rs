//! From readings round the axle to the mean of back-to-back, its least, its greatest, and the
//! wobble.
//!
//! A wheel pressed on askew makes B vary once a turn: `B(θ) = B̄ + A cos(θ − φ)` (a).
//! From n ≥ 3 readings `B_k` at `θ_k = 2πk/n`, the first harmonic is
//! `a = (2/n) Σ B_k cos θ_k`, `b = (2/n) Σ B_k sin θ_k`, `A = √(a² + b²)`, `tan φ = b/a` (b),
//! which follows from the orthogonality of the sampled sines; three readings fix it exactly.
//! Two readings half a turn apart see only `|B_1 − B_2|/2 = A |cos φ|`, a lower bound of A: a wheel
//! that wobbles across the line of the two readings looks true. That is said in the result.
//!
//! With four readings or more the wheel need not follow (a): then the least and the greatest are
//! widened to whatever was actually read, and the largest misfit is reported.
//!
//! Units: mm at the edges through [`Length`], nm inside; φ from the first reading, in the direction
//! in which the readings were taken.
//! The mean is rounded to the nearest nanometre, the edges outward.

use gradeworthy_units::{Angle, Length, NotFinite};

use super::wheelset::BackToBack;

/// How well the readings tell the variation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amplitude {
    /// Two readings: the amplitude is at least this.
    AtLeast(Length),
    /// Three readings or more: the first harmonic.
    FirstHarmonic {
        /// A in eq. (a).
        amplitude: Length,
        /// φ in eq. (a): where B is greatest.
        greatest_at: Angle,
        /// The largest distance of a reading from eq. (a); nothing by construction for three.
        misfit: Length,
    },
}

/// B round the axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Runout {
    /// B̄.
    pub mean: Length,
    /// The least and the greatest.
    pub back_to_back: BackToBack,
    /// How much it varies.
    pub amplitude: Amplitude,
}

/// Readings that tell nothing of a turn.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RunoutError {
    /// Fewer than two readings.
    #[error("{found} reading of a turn; take {needed} or more, equally spaced round the axle")]
    TooFewReadings {
        /// How many there were.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A reading that is not positive, or beyond the range of the arithmetic.
    #[error("reading {index} of {found} is not between 0 and {limit}; measure it again")]
    OutOfRange {
        /// Which reading, from zero.
        index: usize,
        /// What was found.
        found: Length,
        /// The greatest taken.
        limit: Length,
    },
    /// The radius at which the wobble was read is not positive.
    #[error("wobble at a radius of {radius}; the radius of the reading has to be positive")]
    RadiusNotPositive {
        /// What was found.
        radius: Length,
    },
    /// Arithmetic left the numbers.
    #[error(transparent)]
    NotFinite(#[from] NotFinite),
}

/// Far above the largest model wheelset and far below where nanometre sums overflow.
const READING_MAX: Length = Length::from_nanometres(10_000_000_000);

impl Runout {
    /// From two or more readings equally spaced round the axle, in order.
    ///
    /// # Errors
    /// [`RunoutError`] for fewer than two readings and for readings that are not positive.
    pub fn from_readings(readings: &[Length]) -> Result<Self, RunoutError> {
        check(readings)?;
        let mean = mean(readings);
        if let [one, opposite] = *readings {
            let (low, high) = (one.min(opposite), one.max(opposite));
            return Ok(Self {
                mean,
                back_to_back: BackToBack { low, high },
                amplitude: Amplitude::AtLeast((high - low).half()),
            });
        }
        first_harmonic(readings, mean)
    }
}

/// The angle between the two wheels that a variation of amplitude A, read at `radius` from the
/// axle, amounts to: `atan(A/radius)`.
///
/// # Errors
/// [`RunoutError::RadiusNotPositive`].
pub fn wobble(amplitude: Length, radius: Length) -> Result<Angle, RunoutError> {
    if radius <= Length::ZERO {
        return Err(RunoutError::RadiusNotPositive { radius });
    }
    Ok(Angle::from_radians(amplitude.mm().atan2(radius.mm()))?)
}

fn check(readings: &[Length]) -> Result<(), RunoutError> {
    if readings.len() < 2 {
        return Err(RunoutError::TooFewReadings {
            found: readings.len(),
            needed: 2,
        });
    }
    let outside = readings
        .iter()
        .position(|&reading| reading <= Length::ZERO || reading > READING_MAX);
    match outside {
        Some(index) => Err(RunoutError::OutOfRange {
            index,
            found: readings[index],
            limit: READING_MAX,
        }),
        None => Ok(()),
    }
}

fn mean(readings: &[Length]) -> Length {
    let sum: i128 = readings
        .iter()
        .map(|reading| i128::from(reading.nanometres()))
        .sum();
    let count = i128::try_from(readings.len()).expect("a count of readings");
    let rounded = (2 * sum + count) / (2 * count);
    Length::from_nanometres(i64::try_from(rounded).expect("a mean lies between its readings"))
}

#[expect(
    clippy::cast_precision_loss,
    reason = "counts of readings and nanometres of a wheelset are far below 2^53"
)]
fn first_harmonic(readings: &[Length], mean: Length) -> Result<Runout, RunoutError> {
    let count = readings.len() as f64;
    let step_rad = std::f64::consts::TAU / count;
    let about_mean_nm = |reading: Length| (reading - mean).nanometres() as f64;
    let (mut a_nm, mut b_nm) = (0.0, 0.0);
    for (index, &reading) in readings.iter().enumerate() {
        let (sin, cos) = (index as f64 * step_rad).sin_cos();
        a_nm += about_mean_nm(reading) * cos * 2.0 / count;
        b_nm += about_mean_nm(reading) * sin * 2.0 / count;
    }
    let amplitude_nm = a_nm.hypot(b_nm);
    let misfit_nm = readings.iter().enumerate().map(|(index, &reading)| {
        let (sin, cos) = (index as f64 * step_rad).sin_cos();
        (about_mean_nm(reading) - a_nm * cos - b_nm * sin).abs()
    });
    let misfit = whole_nm(misfit_nm.fold(0.0, f64::max).round())?;
    let reach = whole_nm(amplitude_nm.ceil())?;
    let low = readings
        .iter()
        .fold(mean - reach, |low, &reading| low.min(reading));
    let high = readings
        .iter()
        .fold(mean + reach, |high, &reading| high.max(reading));
    Ok(Runout {
        mean,
        back_to_back: BackToBack { low, high },
        amplitude: Amplitude::FirstHarmonic {
            amplitude: whole_nm(amplitude_nm)?,
            greatest_at: Angle::from_radians(b_nm.atan2(a_nm))?,
            misfit,
        },
    })
}

fn whole_nm(nanometres: f64) -> Result<Length, NotFinite> {
    Length::from_mm_rounded(nanometres / 1e6).ok_or(NotFinite {
        quantity: "a length",
        value: nanometres,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: f64) -> Length {
        Length::from_mm_rounded(mm).expect("finite")
    }

    #[test]
    fn two_readings_bound_the_amplitude_from_below() {
        let runout = Runout::from_readings(&[mm(14.62), mm(14.44)]).expect("two readings");
        assert_eq!(runout.mean, mm(14.53));
        assert_eq!(runout.amplitude, Amplitude::AtLeast(mm(0.09)));
        assert_eq!(
            runout.back_to_back,
            BackToBack {
                low: mm(14.44),
                high: mm(14.62)
            }
        );
    }

    #[test]
    fn a_sampled_cosine_gives_its_own_amplitude_and_phase() {
        for count in 3..12_u32 {
            let readings: Vec<_> = (0..count)
                .map(|k| {
                    let angle = f64::from(k) * std::f64::consts::TAU / f64::from(count);
                    mm(14.5 + 0.08 * (angle - 0.7).cos())
                })
                .collect();
            let runout = Runout::from_readings(&readings).expect("enough readings");
            let Amplitude::FirstHarmonic {
                amplitude,
                greatest_at,
                misfit,
            } = runout.amplitude
            else {
                panic!("{count} readings give a harmonic")
            };
            // A nanometre of rounding in the readings.
            assert!((amplitude - mm(0.08)).abs() <= Length::from_nanometres(2));
            assert!((greatest_at.radians() - 0.7).abs() < 3e-5);
            assert!(misfit <= Length::from_nanometres(2), "{count}: {misfit:?}");
        }
    }

    #[test]
    fn readings_off_the_cosine_widen_the_edges() {
        // An oval: two bumps a turn, no first harmonic at all.
        let runout = Runout::from_readings(&[mm(14.6), mm(14.4), mm(14.6), mm(14.4)]);
        let back_to_back = runout.expect("four readings").back_to_back;
        assert_eq!((back_to_back.low, back_to_back.high), (mm(14.4), mm(14.6)));
    }

    #[test]
    fn too_few_or_absurd_readings_are_refused() {
        assert_eq!(
            Runout::from_readings(&[mm(14.5)]),
            Err(RunoutError::TooFewReadings {
                found: 1,
                needed: 2
            })
        );
        assert!(matches!(
            Runout::from_readings(&[mm(14.5), Length::ZERO]),
            Err(RunoutError::OutOfRange { index: 1, .. })
        ));
        assert!(wobble(mm(0.1), Length::ZERO).is_err());
    }

    #[test]
    fn wobble_is_the_slope_at_the_radius_of_reading() {
        // atan(1) is an eighth of a turn.
        let angle = wobble(mm(4.8), mm(4.8)).expect("a radius");
        assert!((angle.degrees() - 45.0).abs() < 1e-12);
    }
}
