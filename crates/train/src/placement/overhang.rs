//! How far a body swings off the centreline of a curve.

/// Overhang of a body on a circle, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overhang {
    /// How far the middle of the body lies inside the centreline.
    pub middle_inward: f64,
    /// How far the end of the body lies outside the centreline; negative when it lies inside.
    pub end_outward: f64,
}

/// Overhang on a circle of `radius` of a body with bolsters at ±`half_truck_centres` and its end at
/// `half_length`, all m. `None` when the car cannot stand on that circle.
///
/// Derivation: the bolsters lie on the circle, so the body's axis is √(R² − a²) from its centre.
#[must_use]
pub fn overhang_on_circle(
    radius: f64,
    half_truck_centres: f64,
    half_length: f64,
) -> Option<Overhang> {
    if half_truck_centres.is_nan() || half_truck_centres >= radius {
        return None;
    }
    let axis = (radius * radius - half_truck_centres * half_truck_centres).sqrt();
    Some(Overhang {
        middle_inward: radius - axis,
        end_outward: axis.hypot(half_length) - radius,
    })
}
