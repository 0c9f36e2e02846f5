//! What a locomotive is told over time, as the settings of its drive.

use super::script::{Change, Doing, Start};
use crate::dynamics::Setting;
use crate::vehicle::Power;

/// What a locomotive is told, as its speed and power at any moment.
struct Told {
    /// Moments at which the speed starts to run to another, s; from, to (parts of its setting), over.
    speeds: Vec<(f64, f64, f64, f64)>,
    /// Power off from, until, s.
    dark: Vec<(f64, f64)>,
}

impl Told {
    fn of(start: Start, changes: &[&Change]) -> Self {
        let first = if start == Start::Running { 1.0 } else { 0.0 };
        let mut told = Self {
            speeds: vec![(f64::NEG_INFINITY, first, first, 0.0)],
            dark: Vec::new(),
        };
        for change in changes {
            let (at, now) = (change.at, told.speed(change.at));
            match change.doing {
                Doing::Run { speed, over } => told.speeds.push((at, now, speed, over)),
                Doing::Stop { over } => told.speeds.push((at, now, 0.0, over)),
                Doing::LosePower { lasting } => {
                    told.dark
                        .push((at, lasting.map_or(f64::INFINITY, |own| at + own)));
                }
                Doing::PowerBack => {
                    for (_, until) in &mut told.dark {
                        *until = until.min(at);
                    }
                }
            }
        }
        told
    }

    /// The part of its setting just after `time`.
    fn speed(&self, time: f64) -> f64 {
        let after = self.speeds.partition_point(|own| own.0 <= time);
        let (at, from, to, over) = self.speeds[after.saturating_sub(1)];
        if time >= at + over {
            return to;
        }
        from + (to - from) * (time - at) / over
    }

    /// Whether the speed asked for is nothing, and stays so for a while.
    fn stands(&self, time: f64) -> bool {
        let after = self.speeds.partition_point(|own| own.0 <= time);
        let (at, _, to, over) = self.speeds[after.saturating_sub(1)];
        to <= 0.0 && time >= at + over
    }

    fn is_dark(&self, time: f64) -> bool {
        self.dark
            .iter()
            .any(|(from, until)| (*from..*until).contains(&time))
    }

    fn moments(&self) -> Vec<f64> {
        let ramps = self.speeds.iter().flat_map(|own| [own.0, own.0 + own.3]);
        let dark = self.dark.iter().flat_map(|own| [own.0, own.1]);
        let mut moments: Vec<f64> = ramps.chain(dark).filter(|own| own.is_finite()).collect();
        moments.push(0.0);
        moments.retain(|own| *own >= 0.0);
        moments.sort_by(f64::total_cmp);
        moments.dedup();
        moments
    }
}

/// The settings of one locomotive: its speed in parts of its own setting, its power, its wheels.
pub(super) fn settings(power: &Power, start: Start, changes: &[&Change]) -> Vec<Setting> {
    let told = Told::of(start, changes);
    let hold = power.greatest_hold();
    let mut settings = Vec::new();
    let moments = told.moments();
    for (index, &at) in moments.iter().enumerate() {
        let setting = if told.is_dark(at) || told.stands(at) {
            Setting {
                at,
                speed: 0.0,
                pull: 0.0,
                hold: 0.0,
                drag_forward: hold,
                drag_backward: hold,
            }
        } else {
            Setting {
                at,
                speed: told.speed(at) * power.speed_setting,
                pull: power.greatest_pull(),
                hold,
                drag_forward: 0.0,
                drag_backward: hold,
            }
        };
        // A speed that is set at once must not run there from the setting before.
        if let Some(before) = settings.last().copied()
            && index > 0
        {
            let before: Setting = before;
            let just = at - told_gap(moments[index - 1], at);
            let reached = told.speed(just) * power.speed_setting;
            if !told.is_dark(moments[index - 1]) && (reached - setting.speed).abs() > 1e-12 {
                settings.push(Setting {
                    at,
                    speed: reached,
                    ..before
                });
            }
        }
        settings.push(setting);
    }
    settings
}

/// A moment so short that a ramp has all but ended, s.
fn told_gap(from: f64, to: f64) -> f64 {
    1e-9 * (to - from)
}
