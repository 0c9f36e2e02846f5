//! Which readings do not belong, by what the other readings say of their place.
//!
//! Symbols: residual rᵢ, leverage hᵢ (0 to 1), standard uncertainty σ of a reading, ν degrees of
//! freedom that the fit leaves.
//! (1) off by rᵢ/(1 − hᵢ): what the reading shows less what the others alone predict.
//! (2) tᵢ = rᵢ/(σ √(1 − hᵢ)); where σ comes from the same readings,
//!     tᵢ √((ν − 1)/(ν − tᵢ²)), which leaves reading i out of its own yardstick.
//! (3) a reading is doubted beyond the t that chance alone passes once in a hundred surveys of
//!     this size: t² = 2 ln N − ln(4π ln N), N = 200 n (tail of the normal distribution; 3.87 for
//!     n = 100 against 3.89 exactly).
//!
//! A doubted reading is set aside, and comes back when its neighbours are then doubted in turn:
//! then it was not the reading, but a bend of the track too sudden for this spacing. It also comes
//! back where the readings are sparse, since there a bend and a bad reading look alike.
//! Sources: (1), (2) R. Cook, S. Weisberg, 'Residuals and Influence in Regression', 1982, §2.2
//! (from memory); (3) derived from Mills' ratio.

use super::SurveyError;
use super::penalised::{Problem, Reading, Solution};
use super::resolution::SPARSE;
use super::spline::count;

/// What became of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It took part in the fit.
    Used,
    /// It was left out because the others contradict it.
    SetAside,
    /// It took part although it stands out: so do its neighbours, which points to a change of the
    /// track too sudden for the spacing of the readings.
    TooSudden,
}

/// How far one reading is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Misfit {
    /// Which reading, counted from 1 in the order given.
    pub number: usize,
    /// Where, m along the track.
    pub s: f64,
    /// The reading less the fitted curve, m.
    pub residual: f64,
    /// The reading less what the other readings alone predict, m.
    pub off_by: f64,
    /// `off_by` in multiples of its own standard uncertainty.
    pub studentised: f64,
    /// What became of it.
    pub standing: Standing,
}

/// A solved problem with the places of its readings.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    /// Where each reading was taken, m along the track.
    pub(super) places: Vec<f64>,
    /// The problem.
    pub(super) problem: Problem,
    /// Its solution.
    pub(super) solution: Solution,
}

impl Fitted {
    /// Residual of a reading, and the leverage it has or would have.
    fn influence(&self, k: usize) -> (f64, f64) {
        let full = Reading {
            weight: 1.0,
            ..self.problem.readings[k].clone()
        };
        let residual = self.problem.residual(&self.solution, k);
        (residual, self.solution.leverage(&full))
    }
}

/// Differences below a micrometre are rounding, not readings.
const ROUNDING: f64 = 1e-6;

/// Fits, sets aside what does not belong, and fits again until nothing more is doubted.
///
/// `fit` takes which of the `size` readings to use; what it returns beside the fit is handed back.
pub(super) fn settle<C>(
    size: usize,
    mut fit: impl FnMut(&[bool]) -> Result<(C, Fitted), SurveyError>,
) -> Result<(C, Fitted, Vec<Misfit>), SurveyError> {
    let mut standings = vec![Standing::Used; size];
    let used = |standings: &[Standing]| -> Vec<bool> {
        standings.iter().map(|&s| s != Standing::SetAside).collect()
    };
    let mut best = fit(&used(&standings))?;
    let mut misfits = judge(&best.1, &standings);
    let set_aside_max = size / 10;
    while let Some(doubted) = most_doubted(&misfits) {
        let set_aside = standings
            .iter()
            .filter(|&&s| s == Standing::SetAside)
            .count();
        if set_aside >= set_aside_max {
            break;
        }
        standings[doubted] = Standing::SetAside;
        let trial = fit(&used(&standings))?;
        let trial_misfits = judge(&trial.1, &standings);
        let sparse = trial.1.solution.freedom_share(&trial.1.problem) > SPARSE;
        if sparse || neighbours_doubted(&trial_misfits, doubted) {
            standings[doubted] = Standing::TooSudden;
            misfits[doubted].standing = Standing::TooSudden;
        } else {
            (best, misfits) = (trial, trial_misfits);
        }
    }
    Ok((best.0, best.1, misfits))
}

fn judge(fit: &Fitted, standings: &[Standing]) -> Vec<Misfit> {
    let influence: Vec<_> = (0..standings.len()).map(|k| fit.influence(k)).collect();
    let (sigma, stated) = (fit.solution.sigma, fit.problem.known_sigma.is_some());
    let taken = |k: &usize| standings[*k] != Standing::SetAside;
    let used: Vec<_> = (0..standings.len()).filter(taken).collect();
    let leverage: f64 = used.iter().map(|&k| influence[k].1).sum();
    let freedom = count(used.len()) - leverage;
    let misfit = |k: usize| {
        let (residual, leverage) = influence[k];
        let aside = standings[k] == Standing::SetAside;
        let kept = if aside {
            1.0
        } else {
            (1.0 - leverage).max(1e-9)
        };
        let off_by = residual / kept; // (1)
        let plain = if aside {
            // Its weight is nothing, so `leverage` is its variance over σ² without its own.
            residual / (sigma * (1.0 + leverage).sqrt())
        } else {
            residual / (sigma * kept.sqrt())
        };
        let studentised = if stated || aside || plain * plain >= freedom - 1.0 {
            plain
        } else {
            plain * ((freedom - 1.0) / (freedom - plain * plain)).sqrt() // (2)
        };
        Misfit {
            number: k + 1,
            s: fit.places[k],
            residual,
            off_by,
            studentised,
            standing: standings[k],
        }
    };
    (0..standings.len()).map(misfit).collect()
}

fn limit(size: usize) -> f64 {
    let log = (200.0 * count(size.max(1))).ln();
    (2.0 * log - (4.0 * std::f64::consts::PI * log).ln()).sqrt() // (3)
}

fn is_doubted(misfit: &Misfit, size: usize) -> bool {
    misfit.standing == Standing::Used
        && misfit.studentised.abs() > limit(size)
        && misfit.off_by.abs() > ROUNDING
}

fn most_doubted(misfits: &[Misfit]) -> Option<usize> {
    let doubted = misfits
        .iter()
        .enumerate()
        .filter(|(_, m)| is_doubted(m, misfits.len()));
    let worst = doubted.max_by(|a, b| a.1.studentised.abs().total_cmp(&b.1.studentised.abs()));
    worst.map(|(index, _)| index)
}

fn neighbours_doubted(misfits: &[Misfit], index: usize) -> bool {
    let near = index.saturating_sub(2)..=(index + 2).min(misfits.len() - 1);
    near.into_iter()
        .any(|k| k != index && is_doubted(&misfits[k], misfits.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_limit_is_the_normal_quantile_of_one_survey_in_a_hundred() {
        // 1 − 0.005/n of the standard normal: n = 10: 3.2905 (0.0005), n = 100: 3.8906 (0.00005),
        // both in the usual printed tables; n = 1000: 4.4172.
        for (size, quantile) in [(10, 3.2905), (100, 3.8906), (1000, 4.4172)] {
            assert!(
                (limit(size) - quantile).abs() < 0.04,
                "{size}: {}",
                limit(size)
            );
        }
    }
}
