//! From a design to the line that cars run on, in metres and radians.
//!
//! Symbols: radius R, curvature κ = ±1/R, degree of curve D (prototype, chord of 100 ft), scale
//! ratio M, grade G, cant height u over rail spacing e.
//! (1) R = 50 ft/(M sin(D/2)), [TR0671]; (2) an arc of angle α is R α long;
//! (3) a vertical curve of K for each percent is K |ΔG| 100 long; (4) φ = asin(u/e).
//!
//! ASSUMED: where `rail_spacing` is not given, e is the gauge. The rails are carried at their
//! heads' middles, some 5 to 8 % further apart, so the angle comes out that much too large.

use gradeworthy_units::{Angle, Dimension, Grade, Length, Typed};

use super::design::{
    Bend, Extent, LineDesign, PlanShape, ProfileShape, VerticalLength, Whereabouts,
};
use super::error::LayError;
use crate::track::{Alignment, CantPoint, GradeSegment, Origin, PlanSegment};

/// A design laid: the line, and where each piece of the design lies on it.
#[derive(Clone, Debug)]
pub struct Laid {
    /// The line.
    pub alignment: Alignment,
    /// Where each plan piece starts and ends, m.
    pub plan_spans: Vec<(f64, f64)>,
    /// Where each profile piece starts and ends, m.
    pub profile_spans: Vec<(f64, f64)>,
    /// Named places with the stretch they name, m; a point starts where it ends.
    pub places: Vec<NamedSpan>,
    /// Where the end of a line that should close misses its start.
    pub closing: Option<Closing>,
}

/// A named place on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedSpan {
    /// What the club calls it.
    pub name: String,
    /// m.
    pub from: f64,
    /// m.
    pub to: f64,
}

/// How far the end of a loop misses its start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closing {
    /// Distance in plan from the start to the end, m.
    pub gap: f64,
    /// How much further the line points to the left at its end than at its start, rad, as the
    /// difference from whole turns.
    pub heading_error: f64,
    /// How much higher the end is than the start, m.
    pub height_gap: f64,
}

/// Lays a design.
///
/// # Errors
/// [`LayError`] names the piece, counted from 1, and what it needs.
pub fn lay(design: &LineDesign) -> Result<Laid, LayError> {
    let plan = plan(design)?;
    let length = plan.iter().map(|segment| segment.length).sum();
    let profile = profile(design, length)?;
    let cant = cant(design)?;
    let plan_spans = spans(plan.iter().map(|segment| segment.length));
    let profile_spans = spans(profile.iter().map(|segment| segment.length));
    let height = optional_metres("line", 1, design.start_height.as_ref())?.unwrap_or(0.0);
    let origin = Origin {
        height,
        ..Origin::default()
    };
    let alignment = Alignment::new(origin, plan, profile, cant)?;
    let closing = if design.closed {
        closing(&alignment)
    } else {
        None
    };
    Ok(Laid {
        alignment,
        plan_spans,
        profile_spans,
        places: places(design)?,
        closing,
    })
}

fn closing(line: &Alignment) -> Option<Closing> {
    let (start, end) = (line.pose(0.0).ok()?, line.pose(line.length()).ok()?);
    let turn = end.heading - start.heading;
    let whole = (turn / std::f64::consts::TAU).round() * std::f64::consts::TAU;
    Some(Closing {
        gap: (end.x - start.x).hypot(end.y - start.y),
        heading_error: turn - whole,
        height_gap: end.height - start.height,
    })
}

fn wrong(what: &'static str, piece: usize, found: &Typed, expected: &'static str) -> LayError {
    LayError::WrongKind {
        what,
        piece,
        found: found.text.to_string(),
        expected,
    }
}

fn metres(what: &'static str, piece: usize, typed: &Typed) -> Result<f64, LayError> {
    let length = Length::try_from(typed.amount).map_err(|_| wrong(what, piece, typed, "length"))?;
    Ok(length.metres())
}

fn optional_metres(
    what: &'static str,
    piece: usize,
    typed: Option<&Typed>,
) -> Result<Option<f64>, LayError> {
    typed.map(|typed| metres(what, piece, typed)).transpose()
}

fn radians(piece: usize, typed: &Typed) -> Result<f64, LayError> {
    let angle =
        Angle::try_from(typed.amount).map_err(|_| wrong("plan piece", piece, typed, "angle"))?;
    Ok(angle.radians())
}

fn spans(lengths: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
    let mut at = 0.0;
    lengths
        .map(|length| {
            let from = at;
            at += length;
            (from, at)
        })
        .collect()
}

/// Length and, for all but easements, curvature of a piece.
fn plan_piece(design: &LineDesign, index: usize) -> Result<(f64, Option<f64>), LayError> {
    let piece = index + 1;
    let length = |typed| metres("plan piece", piece, typed);
    Ok(match &design.plan[index].shape {
        PlanShape::Tangent { length: typed } => (length(typed)?, Some(0.0)),
        PlanShape::Easement { length: typed } => (length(typed)?, None),
        PlanShape::Arc { turn, bend, extent } => {
            let radius = match bend {
                Bend::Radius(typed) => length(typed)?,
                Bend::Degree(typed) => {
                    let scale = design.scale.ok_or(LayError::NoScale { piece })?;
                    let fifty_feet = 50.0 * 0.3048;
                    fifty_feet / (scale.value() * (radians(piece, typed)? / 2.0).sin()) // (1)
                }
            };
            let long = match extent {
                Extent::Length(typed) => length(typed)?,
                Extent::Angle(typed) => radius * radians(piece, typed)?, // (2)
            };
            (long, Some(turn.sign() / radius))
        }
    })
}

fn plan(design: &LineDesign) -> Result<Vec<PlanSegment>, LayError> {
    let pieces: Vec<_> = (0..design.plan.len())
        .map(|index| plan_piece(design, index))
        .collect::<Result<_, _>>()?;
    let last = pieces.len().saturating_sub(1);
    let beside = |index: Option<usize>, end: usize| match index {
        Some(index) => pieces.get(index).and_then(|piece| piece.1),
        None if design.closed => pieces.get(end).and_then(|piece| piece.1),
        None => None,
    };
    let segment = |(index, &(length, curvature)): (usize, &(f64, Option<f64>))| match curvature {
        Some(curvature) => PlanSegment::arc(length, curvature),
        None => {
            let before = beside(index.checked_sub(1), last).unwrap_or(0.0);
            let after = beside((index < last).then_some(index + 1), 0).unwrap_or(0.0);
            PlanSegment::easement(length, before, after)
        }
    };
    Ok(pieces.iter().enumerate().map(segment).collect())
}

fn profile(design: &LineDesign, length: f64) -> Result<Vec<GradeSegment>, LayError> {
    let pieces = &design.profile;
    let grade_at = |index: Option<usize>| -> Result<Option<f64>, LayError> {
        let Some((index, piece)) = index.and_then(|index| Some((index, pieces.get(index)?))) else {
            return Ok(None);
        };
        let ProfileShape::Grade { grade, .. } = &piece.shape else {
            return Ok(None);
        };
        let wrong = |_: Dimension| wrong("profile piece", index + 1, grade, "grade");
        Ok(Some(Grade::try_from(grade.amount).map_err(wrong)?.ratio()))
    };
    let mut segments = Vec::with_capacity(pieces.len());
    let mut rest = None;
    for (index, piece) in pieces.iter().enumerate() {
        let number = index + 1;
        let segment = match &piece.shape {
            ProfileShape::Grade { length: typed, .. } => {
                let grade = grade_at(Some(index))?.unwrap_or(0.0);
                let long = optional_metres("profile piece", number, typed.as_ref())?;
                if long.is_none()
                    && let Some(first) = rest.replace(number)
                {
                    return Err(LayError::TwoRests {
                        first,
                        second: number,
                    });
                }
                GradeSegment::steady(long.unwrap_or(0.0), grade)
            }
            ProfileShape::VerticalCurve { length } => {
                let before = grade_at(index.checked_sub(1))?;
                let after = grade_at(Some(index + 1))?;
                let (Some(before), Some(after)) = (before, after) else {
                    return Err(LayError::NoGradeBeside { piece: number });
                };
                let long = match length {
                    VerticalLength::Length(typed) => metres("profile piece", number, typed)?,
                    VerticalLength::PerPercent(typed) => {
                        metres("profile piece", number, typed)? * (after - before).abs() * 100.0 // (3)
                    }
                };
                GradeSegment::vertical_curve(long, before, after)
            }
        };
        segments.push(segment);
    }
    if let Some(piece) = rest {
        let covered: f64 = segments.iter().map(|segment| segment.length).sum();
        if covered >= length {
            return Err(LayError::NothingLeft {
                piece,
                covered,
                length,
            });
        }
        segments[piece - 1].length = length - covered;
    }
    Ok(segments)
}

/// Corners of cant closer than this, m, are one corner: far below what can be laid, far above
/// rounding.
const SAME_PLACE: f64 = 1e-9;

fn cant(design: &LineDesign) -> Result<Vec<CantPoint>, LayError> {
    let spacing = optional_metres("line", 1, design.rail_spacing.as_ref())?;
    let gauge = optional_metres("line", 1, design.gauge.as_ref())?;
    let mut points: Vec<CantPoint> = Vec::new();
    for (index, stretch) in design.cant.iter().enumerate() {
        let piece = index + 1;
        let length = |typed| metres("cant stretch", piece, typed);
        let spacing = spacing.or(gauge).ok_or(LayError::NoGauge { piece })?;
        let (from, to, height) = (
            length(&stretch.from)?,
            length(&stretch.to)?,
            length(&stretch.height)?,
        );
        let (ramp_in, ramp_out) = (length(&stretch.ramp_in)?, length(&stretch.ramp_out)?);
        if height >= spacing {
            return Err(LayError::CantTooHigh {
                piece,
                height,
                spacing,
            });
        }
        if ramp_in + ramp_out > to - from {
            let ramps = ramp_in + ramp_out;
            return Err(LayError::NoRoomForRamps {
                piece,
                from,
                to,
                ramps,
            });
        }
        // A high right rail rolls the car to the left, which is positive.
        let cant = -stretch.high.sign() * (height / spacing).asin(); // (4)
        let corners = [
            (from, 0.0),
            (from + ramp_in, cant),
            (to - ramp_out, cant),
            (to, 0.0),
        ];
        for (s, cant) in corners {
            if points
                .last()
                .is_none_or(|last| last.s + SAME_PLACE < s || (last.cant - cant).abs() > 0.0)
            {
                points.push(CantPoint { s, cant });
            }
        }
    }
    Ok(points)
}

fn places(design: &LineDesign) -> Result<Vec<NamedSpan>, LayError> {
    let span = |(index, place): (usize, &super::design::Place)| {
        let at = |typed| metres("place", index + 1, typed);
        let (from, to) = match &place.where_it_is {
            Whereabouts::At(typed) => (at(typed)?, at(typed)?),
            Whereabouts::Range(from, to) => (at(from)?, at(to)?),
        };
        Ok(NamedSpan {
            name: place.name.clone(),
            from,
            to,
        })
    };
    design.places.iter().enumerate().map(span).collect()
}
