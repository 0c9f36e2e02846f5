//! A longitudinal case as JSON: laws with dampers in parallel and creep friction, SI.

use std::error::Error;

use gradeworthy_train::dynamics::{
    Body, Drive, HoldLaw, Laws, Link, Problem, Road, Setting, State, StopLaw,
};
use serde_json::Value;

/// A case.
pub(crate) struct Case {
    pub(crate) problem: Problem,
    pub(crate) start: State,
    pub(crate) end: f64,
}

/// Reads a case.
pub(crate) fn read(text: &str) -> Result<Case, Box<dyn Error>> {
    let json: Value = serde_json::from_str(text)?;
    let row = |key: &str| -> Result<Vec<f64>, String> {
        let list = json[key].as_array().ok_or(format!("no list '{key}'"))?;
        list.iter()
            .map(|own| own.as_f64().ok_or(format!("'{key}' holds no number")))
            .collect()
    };
    let one = |key: &str| json[key].as_f64().ok_or(format!("no number '{key}'"));
    let (mass, weight, drag) = (row("m")?, row("W")?, row("R")?);
    let bodies = mass
        .iter()
        .zip(&weight)
        .zip(&drag)
        .map(|((mass, weight), drag)| Body {
            weight: *weight,
            mass: *mass,
            rolling: drag / weight,
            breakaway: drag / weight,
            per_speed: 0.0,
            curve: 0.0,
            reach: 0.0,
        });
    let columns = (row("L")?, row("s")?, row("k")?, row("c")?, row("c0")?);
    let links = (0..columns.0.len()).map(|k| Link {
        spacing: columns.0[k],
        slack: columns.1[k],
        stiffness: columns.2[k],
        damping: columns.3[k],
        drag: columns.4[k],
        strength: f64::INFINITY,
    });
    let problem = Problem {
        bodies: bodies.collect(),
        links: links.collect(),
        drives: drives(&json, &row("li")?, &row("K")?)?,
        road: Road::steady(one("g")?),
        laws: Laws {
            stop: StopLaw::Linear,
            hold: HoldLaw::Creep { speed: one("eps")? },
            rounding: one("d")?,
            breakaway_speed: 1.0,
        },
    };
    Ok(Case {
        problem,
        start: State::new(row("x")?, row("v")?),
        end: one("T")?,
    })
}

fn drives(json: &Value, places: &[f64], slopes: &[f64]) -> Result<Vec<Drive>, Box<dyn Error>> {
    let lists = json["sch"].as_array().ok_or("no list 'sch'")?;
    let mut drives = Vec::new();
    for (index, rows) in lists.iter().enumerate() {
        let mut settings = Vec::new();
        for own in rows.as_array().ok_or("a row of 'sch' is no list")? {
            let at = |k: usize| own[k].as_f64().ok_or("'sch' holds no number");
            settings.push(Setting {
                at: at(0)?,
                speed: at(1)?,
                pull: at(2)?,
                hold: at(2)?,
                drag_forward: at(3)?,
                drag_backward: at(3)?,
            });
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in the train as JSON writes it"
        )]
        let vehicle = places[index] as usize;
        drives.push(Drive {
            vehicle,
            slope: slopes[index],
            settings,
        });
    }
    Ok(drives)
}
