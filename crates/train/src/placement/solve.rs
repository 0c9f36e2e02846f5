//! The marching solution: head first, two bolsters at a time.

use super::stance::{Slack, Stance, Turn};
use crate::track::{Alignment, Cursor, OffTheLine, RailPoint};
use crate::vehicle::Numbers;

/// Newton stops when its last step is below this, m. That step is still taken, along the tangent:
/// convergence is quadratic with factor κ, so the error left is below κ·1e-16 m.
const LAST_STEP: f64 = 1e-8;

/// Steps after which a stance is given up; from a warm start two or three are used.
const STEPS: usize = 40;

/// Longest single step, as part of the truck centres, so that a poor start cannot leap away.
const STRIDE: f64 = 0.5;

/// A train that cannot stand where it was asked to.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PlacementError {
    /// The curve is tighter than the truck centres allow.
    #[error(
        "vehicle {vehicle} cannot stand at {s} m: its truck centres of {truck_centres} m need a \
         radius of more than {least_radius} m and the track has {radius} m"
    )]
    CurveTooTight {
        /// Place in the train, from 0.
        vehicle: usize,
        /// Where its front bolster would be, m.
        s: f64,
        /// 2a, m.
        truck_centres: f64,
        /// a, m.
        least_radius: f64,
        /// Radius found, m.
        radius: f64,
    },
    /// The train reaches beyond an end of the line.
    #[error(
        "vehicle {vehicle} would stand off the line at {s} m (the line runs from 0 to {length} m): \
         the train is too long for this place; move the head or lengthen the line"
    )]
    OffTheLine {
        /// Place in the train, from 0.
        vehicle: usize,
        /// Where a bolster would be, m.
        s: f64,
        /// Length of the line, m.
        length: f64,
    },
    /// No stance was found.
    #[error(
        "vehicle {vehicle} finds no stance near {s} m: truck centres and links do not fit the curve \
         there; check the curvature of the line and the pivots of this vehicle and the one ahead"
    )]
    NoStance {
        /// Place in the train, from 0.
        vehicle: usize,
        /// Last place tried for its front bolster, m.
        s: f64,
    },
}

/// Places a train again and again along a line, starting each time from the last spacing.
#[derive(Clone, Debug)]
pub struct Placer<'line> {
    cursor: Cursor<'line>,
    spacing: Vec<Spacing>,
}

/// Last known distances along the track, the start for the next search.
#[derive(Clone, Copy, Debug)]
struct Spacing {
    /// From the rear bolster ahead to the front bolster, m.
    gap: f64,
    /// From the front bolster to the rear one, m.
    span: f64,
}

/// A body on the track, and what its neighbour needs of it.
#[derive(Clone, Copy, Debug)]
struct Body {
    s: [f64; 2],
    rail: [RailPoint; 2],
    axis: (f64, f64),
}

impl<'line> Placer<'line> {
    /// A placer on one line.
    #[must_use]
    pub fn new(line: &'line Alignment) -> Self {
        Self {
            cursor: line.cursor(),
            spacing: Vec::new(),
        }
    }

    /// Places `train` with the front bolster of its head at `head_s` and writes a stance for each
    /// vehicle; `slack` gives the state of each coupling, head first, stretched where it is short.
    ///
    /// # Errors
    /// [`PlacementError`] names the vehicle and the place.
    pub fn place(
        &mut self,
        train: &[Numbers],
        slack: &[Slack],
        head_s: f64,
        stances: &mut Vec<Stance>,
    ) -> Result<(), PlacementError> {
        self.warm_up(train);
        stances.clear();
        stances.resize(train.len(), Stance::default());
        let Some(head) = train.first() else {
            return Ok(());
        };
        let mut ahead = self.head(head, head_s)?;
        write_body(&mut stances[0], &ahead);
        for index in 1..train.len() {
            ahead = self.couple(train, slack, index, &ahead, stances)?;
        }
        Ok(())
    }

    /// Places again what a change of order or shape from place `changed.0` to place `changed.1`
    /// has moved, and then those behind until one stands within `settled` metres of where it stood.
    ///
    /// # Errors
    /// As [`Placer::place`].
    pub(crate) fn place_again(
        &mut self,
        train: &[Numbers],
        slack: &[Slack],
        changed: (usize, usize),
        settled: f64,
        stances: &mut [Stance],
    ) -> Result<(), PlacementError> {
        self.warm_up(train);
        let (first, last) = changed;
        let head_s = stances[0].bolster_s[0];
        let old: Vec<f64> = stances[first..]
            .iter()
            .map(|stance| stance.bolster_s[0])
            .collect();
        stances[first..=last].fill(Stance::default());
        let mut ahead = if let Some(before) = first.checked_sub(1) {
            self.body_at(before, &train[before], stances[before].bolster_s)?
        } else {
            let head = self.head(&train[0], head_s)?;
            write_body(&mut stances[0], &head);
            head
        };
        for index in first.max(1)..train.len() {
            ahead = self.couple(train, slack, index, &ahead, stances)?;
            if index > last && (ahead.s[0] - old[index - first]).abs() < settled {
                break;
            }
        }
        Ok(())
    }

    /// Places the vehicle at `index` behind the one ahead and writes what both get from it.
    fn couple(
        &mut self,
        train: &[Numbers],
        slack: &[Slack],
        index: usize,
        ahead: &Body,
        stances: &mut [Stance],
    ) -> Result<Body, PlacementError> {
        let (front, own) = (&train[index - 1], &train[index]);
        let state = slack.get(index - 1).copied().unwrap_or_default();
        let link = front.link_to(own) + state.share() * front.slack_to(own);
        let pivot = ahead.along(-front.pivot_rear);
        let body = self.behind(index, own, ahead, pivot, link)?;
        let (before, after) = stances.split_at_mut(index);
        write_body(&mut after[0], &body);
        let pair = Pair {
            ahead: (front, ahead),
            behind: (own, &body),
            link,
        };
        pair.write(&mut before[index - 1], &mut after[0]);
        Ok(body)
    }

    /// The body that stands with its bolsters at known places.
    fn body_at(
        &mut self,
        vehicle: usize,
        own: &Numbers,
        s: [f64; 2],
    ) -> Result<Body, PlacementError> {
        let rail = [self.rail(vehicle, s[0])?, self.rail(vehicle, s[1])?];
        Ok(Body::new(s, rail, 2.0 * own.half_truck_centres))
    }

    fn warm_up(&mut self, train: &[Numbers]) {
        if self.spacing.len() == train.len() {
            return;
        }
        self.spacing = (0..train.len())
            .map(|index| {
                let own = &train[index];
                let gap = index.checked_sub(1).map_or(0.0, |before| {
                    let front = &train[before];
                    front.pivot_rear - front.half_truck_centres
                        + front.link_to(own)
                        + own.pivot_front
                        - own.half_truck_centres
                });
                Spacing {
                    gap,
                    span: 2.0 * own.half_truck_centres,
                }
            })
            .collect();
    }

    fn rail(&mut self, vehicle: usize, s: f64) -> Result<RailPoint, PlacementError> {
        self.cursor
            .at(s)
            .map_err(|OffTheLine { s, length }| PlacementError::OffTheLine { vehicle, s, length })
    }

    /// Newton in one unknown: the rear bolster of the head.
    fn head(&mut self, own: &Numbers, s_front: f64) -> Result<Body, PlacementError> {
        let span = 2.0 * own.half_truck_centres;
        let front = self.rail(0, s_front)?;
        can_stand(0, own, s_front, &front)?;
        let mut s_rear = s_front - self.spacing[0].span;
        for _ in 0..STEPS {
            let rear = self.rail(0, s_rear)?;
            let (dx, dy) = (front.x - rear.x, front.y - rear.y);
            let slope = -2.0 * (dx * rear.tangent_x + dy * rear.tangent_y);
            let step =
                ((dx * dx + dy * dy - span * span) / -slope).clamp(-STRIDE * span, STRIDE * span);
            if step.abs() < LAST_STEP {
                self.spacing[0].span = s_front - s_rear - step;
                let rear = rear.shifted(step);
                return Ok(Body::new([s_front, s_rear + step], [front, rear], span));
            }
            s_rear += step;
        }
        Err(PlacementError::NoStance {
            vehicle: 0,
            s: s_front,
        })
    }

    /// Newton in two unknowns: both bolsters of the next vehicle.
    fn behind(
        &mut self,
        vehicle: usize,
        own: &Numbers,
        ahead: &Body,
        pivot: (f64, f64),
        link: f64,
    ) -> Result<Body, PlacementError> {
        let span = 2.0 * own.half_truck_centres;
        let lever = own.pivot_front / span;
        let (to_front, to_rear) = (0.5 + lever, 0.5 - lever);
        let start = self.spacing[vehicle];
        let mut s = [ahead.s[1] - start.gap, ahead.s[1] - start.gap - start.span];
        for _ in 0..STEPS {
            let (front, rear) = (self.rail(vehicle, s[0])?, self.rail(vehicle, s[1])?);
            let (dx, dy) = (front.x - rear.x, front.y - rear.y);
            let rx = to_front * front.x + to_rear * rear.x - pivot.0;
            let ry = to_front * front.y + to_rear * rear.y - pivot.1;
            let chord_miss = 0.5 * (dx * dx + dy * dy - span * span);
            let link_miss = 0.5 * (rx * rx + ry * ry - link * link);
            let chord_by = [
                dx * front.tangent_x + dy * front.tangent_y,
                -(dx * rear.tangent_x + dy * rear.tangent_y),
            ];
            let link_by = [
                to_front * (rx * front.tangent_x + ry * front.tangent_y),
                to_rear * (rx * rear.tangent_x + ry * rear.tangent_y),
            ];
            let determinant = chord_by[0] * link_by[1] - chord_by[1] * link_by[0];
            let bound = STRIDE * span;
            let step_front = (chord_by[1] * link_miss - link_by[1] * chord_miss) / determinant;
            let step_rear = (link_by[0] * chord_miss - chord_by[0] * link_miss) / determinant;
            if step_front.abs() < LAST_STEP && step_rear.abs() < LAST_STEP {
                can_stand(vehicle, own, s[0], &front)?;
                let (front, rear) = (front.shifted(step_front), rear.shifted(step_rear));
                let s = [s[0] + step_front, s[1] + step_rear];
                self.spacing[vehicle] = Spacing {
                    gap: ahead.s[1] - s[0],
                    span: s[0] - s[1],
                };
                return Ok(Body::new(s, [front, rear], span));
            }
            if !(step_front.is_finite() && step_rear.is_finite()) {
                break;
            }
            s[0] += step_front.clamp(-bound, bound);
            s[1] += step_rear.clamp(-bound, bound);
        }
        let front = self.rail(vehicle, s[0])?;
        can_stand(vehicle, own, s[0], &front)?;
        Err(PlacementError::NoStance { vehicle, s: s[0] })
    }
}

impl Body {
    fn new(s: [f64; 2], rail: [RailPoint; 2], span: f64) -> Self {
        let axis = (
            (rail[0].x - rail[1].x) / span,
            (rail[0].y - rail[1].y) / span,
        );
        Self { s, rail, axis }
    }

    /// The point of the body's axis `forward` of its middle.
    fn along(&self, forward: f64) -> (f64, f64) {
        let [front, rear] = &self.rail;
        (
            0.5 * (front.x + rear.x) + forward * self.axis.0,
            0.5 * (front.y + rear.y) + forward * self.axis.1,
        )
    }

    /// Height of the body's line, at rail level, `forward` of its middle.
    fn height_along(&self, forward: f64, own: &Numbers) -> f64 {
        let [front, rear] = &self.rail;
        0.5 * (front.height + rear.height)
            + forward * (front.height - rear.height) / (2.0 * own.half_truck_centres)
    }

    /// The turn from the body's axis to a unit vector.
    fn turn_to(&self, x: f64, y: f64) -> Turn {
        Turn {
            sin: self.axis.0 * y - self.axis.1 * x,
            cos: self.axis.0 * x + self.axis.1 * y,
        }
    }
}

/// A coupled pair.
struct Pair<'a> {
    ahead: (&'a Numbers, &'a Body),
    behind: (&'a Numbers, &'a Body),
    link: f64,
}

impl Pair<'_> {
    fn write(&self, ahead_stance: &mut Stance, behind_stance: &mut Stance) {
        let ((ahead, front), (behind, rear)) = (self.ahead, self.behind);
        let from = rear.along(behind.pivot_front);
        let to = front.along(-ahead.pivot_rear);
        let (ux, uy) = ((to.0 - from.0) / self.link, (to.1 - from.1) / self.link);
        behind_stance.coupler[0] = rear.turn_to(ux, uy);
        let seen_from_ahead = front.turn_to(ux, uy);
        ahead_stance.coupler[1] = Turn {
            sin: -seen_from_ahead.sin,
            cos: seen_from_ahead.cos,
        };
        ahead_stance.link[1] = self.link;
        behind_stance.link[0] = self.link;
        let face_ahead = front.height_along(-ahead.pivot_rear - ahead.shank_rear, ahead);
        let face_behind = rear.height_along(behind.pivot_front + behind.shank_front, behind);
        ahead_stance.step[1] = face_behind - face_ahead;
        behind_stance.step[0] = face_ahead - face_behind;
    }
}

fn write_body(stance: &mut Stance, body: &Body) {
    stance.bolster_s = body.s;
    for (end, rail) in body.rail.iter().enumerate() {
        stance.truck[end] = body.turn_to(rail.tangent_x, rail.tangent_y);
        stance.curvature[end] = rail.curvature;
        stance.grade[end] = rail.grade;
        stance.cant[end] = Turn::of(rail.cant);
    }
}

/// A chord of 2a needs a circle of more than a.
fn can_stand(
    vehicle: usize,
    own: &Numbers,
    s: f64,
    rail: &RailPoint,
) -> Result<(), PlacementError> {
    let a = own.half_truck_centres;
    if rail.curvature.abs() * a < 1.0 {
        return Ok(());
    }
    Err(PlacementError::CurveTooTight {
        vehicle,
        s,
        truck_centres: 2.0 * a,
        least_radius: a,
        radius: 1.0 / rail.curvature.abs(),
    })
}
