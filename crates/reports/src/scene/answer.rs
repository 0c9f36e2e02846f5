//! A scene asked: the least margin, the hardest forces, and where everything ends.

use std::ops::ControlFlow;

use gradeworthy_train::dynamics::{Config, MOVING};
use gradeworthy_train::scene::{MotionMargin, Played, Scene, SceneError, play};

use crate::climb::{Consist, Line, Spot, place_at};

/// How many spots are told.
const SPOTS: usize = 4;

/// A part of a train that came apart, or the whole of one that did not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Its first vehicle, from 0.
    pub first: usize,
    /// Its last vehicle.
    pub last: usize,
    /// Where the middle of its first vehicle ends, m.
    pub first_at: f64,
    /// Where the middle of its last vehicle ends, m.
    pub last_at: f64,
    /// Its mean speed at the end, m/s.
    pub speed: f64,
}

impl Part {
    /// Whether it stands at the end.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.speed.abs() < MOVING
    }
}

/// What came of a scene.
#[derive(Clone, Debug)]
pub struct Answer {
    /// What was played.
    pub scene: Scene,
    /// How it went.
    pub played: Played,
    /// The worst spots, worst first, each another vehicle, with when and by what kind of force.
    pub spots: Vec<(Spot, MotionMargin)>,
    /// Where each part ends.
    pub parts: Vec<Part>,
}

impl Answer {
    /// The least margin; all of it where no force bore on anything.
    #[must_use]
    pub fn margin(&self) -> f64 {
        self.spots.first().map_or(1.0, |own| own.0.margin())
    }
}

/// Plays a scene; `watch` is told how many seconds of how many are done, and may break it off.
///
/// # Errors
/// [`SceneError`] when it cannot be played.
pub fn answer(
    scene: &Scene,
    consist: &Consist,
    line: &Line,
    config: &Config,
    watch: &mut dyn FnMut(f64, f64) -> ControlFlow<()>,
) -> Result<Answer, SceneError> {
    let played = play(scene, &consist.train, &line.alignment, config, watch)?;
    let mut all: Vec<_> = played.margins.iter().flatten().copied().collect();
    all.sort_by(|a, b| a.margin().total_cmp(&b.margin()));
    let spots = all
        .into_iter()
        .take(SPOTS)
        .map(|own| (spot(&own, line), own));
    let end = &played.solution.end;
    let parts = played.parts().into_iter().map(|(first, last)| {
        let speeds = &end.speed[first..=last];
        let sum: f64 = speeds.iter().sum();
        #[expect(clippy::cast_precision_loss, reason = "a number of vehicles")]
        let count = speeds.len() as f64;
        Part {
            first,
            last,
            first_at: end.place[first],
            last_at: end.place[last],
            speed: sum / count,
        }
    });
    Ok(Answer {
        scene: scene.clone(),
        spots: spots.collect(),
        parts: parts.collect(),
        played,
    })
}

fn spot(own: &MotionMargin, line: &Line) -> Spot {
    let grade = line
        .alignment
        .pose(own.place)
        .map_or(0.0, |pose| pose.grade);
    Spot {
        vehicle: own.vehicle,
        mode: own.mode,
        used: own.used,
        head_s: own.place,
        car_s: own.place,
        place: place_at(&line.places, own.place),
        curvature: own.curvature,
        grade,
        force: 0.5 * (own.forces[0] + own.forces[1]),
    }
}
