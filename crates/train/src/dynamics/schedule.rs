//! Who drives: a locomotive's law of pull and what is set on it as time goes by.
//!
//! (21) `T = clamp(K (v_set − v), −B, P)`, and beside it wheels that do not turn of themselves drag:
//! forward motion is held back by `D_f`, backward motion by `D_b` at most, as friction that holds.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | K | loss of pull per gain of speed | N·s/m |
//! | `v_set` | speed asked for; runs straight from one setting to the next | m/s |
//! | P, B | greatest pull and greatest holding back by the motor | N |
//! | `D_f`, `D_b` | drag of wheels that are locked, or whose gears cannot be turned back | N |

use super::problem::{ProblemError, finite, not_negative};

/// What is set on a locomotive from one moment on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// From when, s.
    pub at: f64,
    /// Speed asked for at that moment, m/s; it runs straight to that of the next setting.
    pub speed: f64,
    /// P from that moment, N.
    pub pull: f64,
    /// B from that moment, N.
    pub hold: f64,
    /// `D_f` from that moment, N.
    pub drag_forward: f64,
    /// `D_b` from that moment, N.
    pub drag_backward: f64,
}

/// One locomotive.
#[derive(Clone, Debug, PartialEq)]
pub struct Drive {
    /// Its place in the train, from 0.
    pub vehicle: usize,
    /// K, N·s/m.
    pub slope: f64,
    /// What is set, in order of time; the first holds from the beginning.
    pub settings: Vec<Setting>,
}

impl Drive {
    pub(super) fn check(&self, vehicles: usize) -> Result<(), ProblemError> {
        if self.vehicle >= vehicles {
            return Err(ProblemError::Count {
                what: "place of a locomotive",
                found: self.vehicle,
                expected: vehicles - 1,
            });
        }
        not_negative("slope of the pull", self.vehicle, self.slope)?;
        if self.settings.is_empty() {
            return Err(ProblemError::Count {
                what: "settings of a locomotive",
                found: 0,
                expected: 1,
            });
        }
        let mut before = f64::NEG_INFINITY;
        for (index, own) in self.settings.iter().enumerate() {
            finite("time of a setting", index, own.at)?;
            finite("speed of a setting", index, own.speed)?;
            if own.at < before {
                return Err(ProblemError::Number {
                    what: "time of a setting",
                    index,
                    found: own.at,
                    expected: "not before that of the setting ahead of it",
                });
            }
            before = own.at;
            let rest = [
                ("pull of a setting", own.pull),
                ("hold of a setting", own.hold),
                ("forward drag of a setting", own.drag_forward),
                ("backward drag of a setting", own.drag_backward),
            ];
            rest.into_iter()
                .try_for_each(|(what, value)| not_negative(what, index, value))?;
        }
        Ok(())
    }

    /// The setting that holds just after `time`, and the speed asked for at its ends.
    pub(super) fn from(&self, time: f64) -> Held {
        let after = self.settings.partition_point(|own| own.at <= time);
        let own = self.settings[after.saturating_sub(1)];
        match self.settings.get(after) {
            Some(next) if next.at > own.at => Held {
                setting: own,
                rate: (next.speed - own.speed) / (next.at - own.at),
            },
            _ => Held {
                setting: own,
                rate: 0.0,
            },
        }
    }
}

/// What holds between two moments.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    pub(super) setting: Setting,
    /// Rate of the speed asked for, m/s².
    pub(super) rate: f64,
}

/// Every moment at which something is set, in order, between `from` and `to`.
pub(super) fn moments(drives: &[Drive], from: f64, to: f64) -> Vec<f64> {
    let all = drives
        .iter()
        .flat_map(|drive| drive.settings.iter().map(|own| own.at));
    let mut moments: Vec<f64> = all.filter(|at| *at > from && *at < to).collect();
    moments.sort_by(f64::total_cmp);
    moments.dedup();
    moments.push(to);
    moments
}
