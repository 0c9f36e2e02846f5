//! How far two coupled knuckles stand apart in height where the grade changes.
//!
//! A body stands on its two bolsters, so its coupler face lies on the straight line through them,
//! continued over the overhang, while the track between is curved.
//!
//! | symbol | meaning |
//! | --- | --- |
//! | `L_v`, ΔG | length of the vertical curve (a parabola), change of grade over it |
//! | `R_v` | `L_v/ΔG`, its radius |
//! | 2a, c | truck centres; coupler face from the middle of the car |
//! | s | place of the coupled faces, from where the curve begins |
//!
//! - both cars wholly on the curve: a face lies (c² − a²)/(`2R_v`) off the track, the mismatch is
//!   the difference of the two cars, and equal cars have none (V1)
//! - **where the curve begins or ends it is larger**: one car stands on the curve and the other
//!   does not, so that even equal cars have the whole (c² − a²)/(`2R_v`) of one (V2)
//!
//! The mismatch along s is continuous and piecewise quadratic, with pieces that change where one
//! of the four bolsters passes an end of the curve. Its largest value is found exactly: at the
//! ends of the pieces, or at the vertex of one.
//! Validity: grades small enough that plan and slope lengths agree (0.1 % at 4 %), rigid bodies,
//! couplers level with their bodies, faces at the same place.
//! Source: parabola and straight line, derived here.

use gradeworthy_units::{Grade, Length};

use super::DroopError;
use crate::mechanics::input::{length, not_negative_mm, positive_mm};

/// A change of grade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VerticalCurve {
    /// `L_v`; zero for a kink.
    pub length: Length,
    /// ΔG, positive where the track turns upwards (a sag).
    pub grade_change: Grade,
}

/// One of two coupled cars.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CoupledEnd {
    /// 2a.
    pub truck_centres: Length,
    /// c, with the slack pulled out.
    pub face_from_middle: Length,
}

/// Two coupled cars on a change of grade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MismatchTask {
    /// The car further along s.
    pub ahead: CoupledEnd,
    /// The car that follows.
    pub behind: CoupledEnd,
    /// The change of grade.
    pub curve: VerticalCurve,
}

/// How far the faces stand apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeightMismatch {
    /// With both cars wholly on the curve (V1), whether or not it is long enough for that:
    /// height of the leading car's face less that of the following one. `None` for a kink.
    pub inside: Option<Length>,
    /// The largest anywhere, without sign.
    pub worst: Length,
    /// Where the faces are then, from where the curve begins.
    pub worst_at: Length,
}

/// The height mismatch of two coupled cars that pass a change of grade.
///
/// # Errors
/// [`DroopError`] when a length is impossible.
pub fn mismatch_on_vertical_curve(task: &MismatchTask) -> Result<HeightMismatch, DroopError> {
    let profile = Profile {
        length_mm: not_negative_mm("the length of the vertical curve", task.curve.length)?,
        grade_change: task.curve.grade_change.ratio(),
    };
    let ahead = Body::new(&task.ahead, 1.0)?;
    let behind = Body::new(&task.behind, -1.0)?;
    let mismatch_mm = |s_mm: f64| ahead.face_mm(&profile, s_mm) - behind.face_mm(&profile, s_mm);

    let mut joints_mm = [0.0; 8];
    let bolsters_mm = ahead.bolsters_mm().into_iter().chain(behind.bolsters_mm());
    for (pair, bolster_mm) in joints_mm.chunks_exact_mut(2).zip(bolsters_mm) {
        pair.copy_from_slice(&[-bolster_mm, profile.length_mm - bolster_mm]);
    }
    joints_mm.sort_unstable_by(f64::total_cmp);

    let mut worst = (0.0, 0.0);
    let mut consider = |s_mm: f64| {
        let height_mm = mismatch_mm(s_mm).abs();
        if height_mm > worst.0 {
            worst = (height_mm, s_mm);
        }
    };
    joints_mm.iter().copied().for_each(&mut consider);
    for piece in joints_mm.windows(2) {
        if let Some(vertex_mm) = vertex(&mismatch_mm, piece[0], piece[1]) {
            consider(vertex_mm);
        }
    }
    let rise_mm = |body: &Body| (body.c_mm * body.c_mm - body.a_mm * body.a_mm) / 2.0;
    let inside = (profile.length_mm > 0.0).then(|| {
        let per_radius = profile.grade_change / profile.length_mm;
        (rise_mm(&behind) - rise_mm(&ahead)) * per_radius
    });
    Ok(HeightMismatch {
        inside: inside
            .map(|inside_mm| length("the mismatch", inside_mm))
            .transpose()?,
        worst: length("the mismatch", worst.0)?,
        worst_at: length("the place of the mismatch", worst.1)?,
    })
}

/// Where the quadratic through the ends and the middle of a piece has its extreme, if inside.
fn vertex(f: &impl Fn(f64) -> f64, start_mm: f64, end_mm: f64) -> Option<f64> {
    let half_mm = (end_mm - start_mm) / 2.0;
    let middle_mm = start_mm + half_mm;
    let [low, mid, high] = [f(start_mm), f(middle_mm), f(end_mm)];
    let bend = low - 2.0 * mid + high;
    let shift = (low - high) / (2.0 * bend);
    (shift.is_finite() && shift.abs() < 1.0).then_some(middle_mm + shift * half_mm)
}

struct Profile {
    length_mm: f64,
    grade_change: f64,
}

impl Profile {
    /// Height of the track over the line of the first grade.
    fn height_mm(&self, s_mm: f64) -> f64 {
        let on_curve_mm = s_mm.clamp(0.0, self.length_mm);
        let beyond_mm = (s_mm - self.length_mm).max(0.0);
        let on_curve = if self.length_mm > 0.0 {
            on_curve_mm * on_curve_mm / (2.0 * self.length_mm)
        } else {
            0.0
        };
        self.grade_change * (on_curve + beyond_mm)
    }
}

/// A car by where it lies from its coupled face: `towards` is +1 for the car ahead.
struct Body {
    a_mm: f64,
    c_mm: f64,
    towards: f64,
}

impl Body {
    fn new(end: &CoupledEnd, towards: f64) -> Result<Self, DroopError> {
        Ok(Self {
            a_mm: positive_mm("the distance of the truck centres", end.truck_centres)? / 2.0,
            c_mm: positive_mm("the coupler face's distance", end.face_from_middle)?,
            towards,
        })
    }

    /// The near and the far bolster, from the face.
    fn bolsters_mm(&self) -> [f64; 2] {
        [self.c_mm - self.a_mm, self.c_mm + self.a_mm].map(|mm| mm * self.towards)
    }

    fn face_mm(&self, profile: &Profile, s_mm: f64) -> f64 {
        let [near_mm, far_mm] = self.bolsters_mm();
        let near = profile.height_mm(s_mm + near_mm);
        let far = profile.height_mm(s_mm + far_mm);
        near + (near - far) * near_mm / (far_mm - near_mm)
    }
}
