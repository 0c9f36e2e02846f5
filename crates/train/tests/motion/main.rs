//! The train in motion against closed forms, conservation laws and a general integrator.

mod closed_forms;
mod holding;
mod laws;
#[path = "../../examples/longitudinal/mod.rs"]
mod longitudinal;
mod reference_case;

use gradeworthy_train::dynamics::{
    Body, Drive, HoldLaw, Laws, Link, Problem, Road, Setting, StopLaw,
};

/// A car of the closed forms.
pub(crate) fn car(mass: f64, drag: f64) -> Body {
    Body {
        weight: mass * 9.80665,
        mass,
        rolling: drag,
        breakaway: drag,
        per_speed: 0.0,
        curve: 0.0,
        reach: 0.0,
    }
}

/// The coupling of the closed forms.
pub(crate) fn link(damping: f64) -> Link {
    Link {
        spacing: 0.155,
        slack: 0.0012,
        stiffness: 8000.0,
        damping,
        drag: 0.0,
        strength: f64::INFINITY,
    }
}

/// The laws of the closed forms: damper beside the spring, friction that creeps below ε m/s.
pub(crate) fn linear(creep: f64) -> Laws {
    Laws {
        stop: StopLaw::Linear,
        hold: HoldLaw::Creep { speed: creep },
        ..Laws::default()
    }
}

pub(crate) fn problem(bodies: Vec<Body>, damping: f64, grade: f64, laws: Laws) -> Problem {
    Problem {
        links: vec![link(damping); bodies.len() - 1],
        bodies,
        drives: vec![],
        road: Road::steady(grade),
        laws,
    }
}

/// A locomotive that pulls `pull` newtons whatever its speed.
pub(crate) fn steady_pull(vehicle: usize, pull: f64) -> Drive {
    let setting = Setting {
        at: 0.0,
        speed: 1000.0,
        pull,
        hold: 0.0,
        drag_forward: 0.0,
        drag_backward: 0.0,
    };
    Drive {
        vehicle,
        slope: 1000.0,
        settings: vec![setting],
    }
}

/// Vehicles with the slack halfway.
pub(crate) fn standing(count: u32) -> Vec<f64> {
    (0..count).map(|i| -0.155 * f64::from(i)).collect()
}
