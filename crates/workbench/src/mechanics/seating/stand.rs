//! How a rigid car stands: which wheels carry, with how much of its weight.
//!
//! Of all planes under the wheels the car takes the one with its centre of gravity lowest:
//! minimise `h + p·x_cg + r·y_cg` subject to `z_j + h + p·x_j + r·y_j ≥ 0` (S6).
//! That linear programme has three unknowns, so its answer is a triple of wheels that has the
//! centre of gravity inside and no other wheel below it; 12 wheels have 220 triples, and trying
//! them all is exact. The loads are its duals, the barycentric coordinates of the centre of
//! gravity in the triple.
//!
//! When more than three wheels touch, statics alone does not divide the load.
//! [`Standing::shares`] is then the limit of equal stiff springs under the wheels, the smallest
//! Σλ² that balances (S7), and [`Standing::is_determinate`] says so.
//! Validity: the gaps are taken as exact and the car as rigid.
//! Source: duality of linear programming; derived here.

use gradeworthy_units::Length;

use super::{SeatingError, Stance, heights};
use crate::mechanics::input::length;

/// A gap this small is none: 10 nm is a hundred times below any reading and above the rounding of
/// readings to whole nanometres.
const TOUCH_MM: f64 = 1e-5;

/// How the car stands on a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The gap that is left under each wheel once the car has settled.
    pub gaps: Vec<Length>,
    /// The part of the car's weight on each wheel; the sum is 1.
    pub shares: Vec<f64>,
    /// Whether statics alone fixes the shares (three wheels touch).
    pub is_determinate: bool,
}

impl Standing {
    /// The wheels that touch, in the order of the gaps.
    pub fn touching(&self) -> impl Iterator<Item = usize> {
        self.gaps
            .iter()
            .enumerate()
            .filter(|(_, gap)| gap.mm() <= TOUCH_MM)
            .map(|(index, _)| index)
    }
}

/// Where the centre of gravity lies over the wheels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Centre {
    /// Along the car from its middle, towards A.
    pub along: Length,
    /// Across the car, to the left.
    pub across: Length,
}

/// Lets a car with these gaps (or heights over any plane) settle on a plate.
///
/// # Errors
/// [`SeatingError`] when the stance is impossible, the number of gaps does not suit it, or the
/// centre of gravity lies outside the wheels.
pub fn stand(stance: &Stance, gaps: &[Length], centre: Centre) -> Result<Standing, SeatingError> {
    let axles = stance.axles()?;
    let heights_mm = heights(&axles, gaps)?;
    let centre_mm = [centre.along.mm(), centre.across.mm()];
    let mut wheels = [Wheel::default(); 12];
    for (index, wheel) in wheels.iter_mut().enumerate().take(gaps.len()) {
        let [x_mm, y_mm] = axles.contact_mm(index);
        *wheel = Wheel {
            x_mm: x_mm - centre_mm[0],
            y_mm: y_mm - centre_mm[1],
            z_mm: heights_mm[index],
        };
    }
    let wheels = &wheels[..gaps.len()];
    let triple = lowest_triple(wheels).ok_or(SeatingError::FallsOver {
        along: centre.along,
        across: centre.across,
    })?;
    let settled_mm: Vec<f64> = wheels.iter().map(|wheel| triple.gap_mm(wheel)).collect();
    let touching: u16 = mask(settled_mm.iter().map(|gap_mm| *gap_mm <= TOUCH_MM));
    let shares = shares(wheels, touching).unwrap_or_else(|| triple.shares(wheels.len()));
    Ok(Standing {
        gaps: settled_mm
            .iter()
            .map(|gap_mm| length("a settled gap", gap_mm.max(0.0)))
            .collect::<Result<_, _>>()?,
        is_determinate: touching.count_ones() == 3,
        shares,
    })
}

/// A wheel's contact, from the centre of gravity.
#[derive(Clone, Copy, Debug, Default)]
struct Wheel {
    x_mm: f64,
    y_mm: f64,
    z_mm: f64,
}

/// Three wheels, their plane z = h + p·x + r·y, and the shares of a weight at the origin.
struct Triple {
    plane: [f64; 3],
    of: [usize; 3],
    share: [f64; 3],
}

impl Triple {
    fn through(wheels: &[Wheel], of: [usize; 3]) -> Option<Self> {
        let [a, b, c] = of.map(|index| wheels[index]);
        let twice_area_mm2 =
            (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (c.x_mm - a.x_mm) * (b.y_mm - a.y_mm);
        if twice_area_mm2.abs() < 1e-9 {
            return None;
        }
        let opposite = |p: Wheel, q: Wheel| (p.x_mm * q.y_mm - q.x_mm * p.y_mm) / twice_area_mm2;
        let share = [opposite(b, c), opposite(c, a), opposite(a, b)];
        let h_mm = share[0] * a.z_mm + share[1] * b.z_mm + share[2] * c.z_mm;
        let p = ((b.z_mm - a.z_mm) * (c.y_mm - a.y_mm) - (c.z_mm - a.z_mm) * (b.y_mm - a.y_mm))
            / twice_area_mm2;
        let r = ((b.x_mm - a.x_mm) * (c.z_mm - a.z_mm) - (c.x_mm - a.x_mm) * (b.z_mm - a.z_mm))
            / twice_area_mm2;
        Some(Self {
            plane: [h_mm, p, r],
            of,
            share,
        })
    }

    fn gap_mm(&self, wheel: &Wheel) -> f64 {
        wheel.z_mm - self.plane[0] - self.plane[1] * wheel.x_mm - self.plane[2] * wheel.y_mm
    }

    /// How far the triple is from being the answer: zero but for rounding when it is.
    fn fault(&self, wheels: &[Wheel]) -> f64 {
        let below = wheels
            .iter()
            .map(|wheel| -self.gap_mm(wheel))
            .fold(0.0, f64::max);
        self.share
            .iter()
            .fold(below, |worst, share| worst.max(-share))
    }

    fn shares(&self, wheel_count: usize) -> Vec<f64> {
        let mut shares = vec![0.0; wheel_count];
        for (index, share) in self.of.into_iter().zip(self.share) {
            shares[index] = share.max(0.0);
        }
        shares
    }
}

fn lowest_triple(wheels: &[Wheel]) -> Option<Triple> {
    let mut best: Option<(f64, Triple)> = None;
    for i in 0..wheels.len() {
        for j in i + 1..wheels.len() {
            for k in j + 1..wheels.len() {
                let Some(triple) = Triple::through(wheels, [i, j, k]) else {
                    continue;
                };
                let fault = triple.fault(wheels);
                if best.as_ref().is_none_or(|(least, _)| fault < *least) {
                    best = Some((fault, triple));
                }
            }
        }
    }
    best.filter(|(fault, _)| *fault < 1e-9)
        .map(|(_, triple)| triple)
}

fn mask(bits: impl Iterator<Item = bool>) -> u16 {
    bits.enumerate()
        .fold(0, |mask, (index, bit)| mask | u16::from(bit) << index)
}

/// The smallest Σλ² over the touching wheels with Σλ = 1, Σλx = 0, Σλy = 0, λ ≥ 0.
///
/// Its answer is `λ_j = max(0, μ·(1, x_j, y_j))` for some μ: every set of carrying wheels is tried,
/// the largest first, until one satisfies that; 12 wheels have at most 4096 sets.
/// `None` when rounding leaves no set that satisfies it.
fn shares(wheels: &[Wheel], touching: u16) -> Option<Vec<f64>> {
    let within = |wheel_count: u32| {
        let mut subset = touching;
        std::iter::from_fn(move || {
            let this = subset;
            if this == 0 {
                return None;
            }
            subset = (subset - 1) & touching;
            Some(this)
        })
        .filter(move |set| set.count_ones() == wheel_count)
    };
    (2..=touching.count_ones())
        .rev()
        .flat_map(within)
        .find_map(|carrying| shares_of(wheels, touching, carrying))
}

fn shares_of(wheels: &[Wheel], touching: u16, carrying: u16) -> Option<Vec<f64>> {
    let has = |set: u16, index: usize| set >> index & 1 == 1;
    let row = |wheel: &Wheel| [1.0, wheel.x_mm, wheel.y_mm];
    let mut normal = [[0.0; 3]; 3];
    for (_, wheel) in wheels.iter().enumerate().filter(|(i, _)| has(carrying, *i)) {
        let of = row(wheel);
        for (line, left) in normal.iter_mut().zip(of) {
            for (cell, right) in line.iter_mut().zip(of) {
                *cell += left * right;
            }
        }
    }
    let mu = solve(normal, [1.0, 0.0, 0.0])?;
    let lambda = |wheel: &Wheel| row(wheel).iter().zip(mu).map(|(a, m)| a * m).sum::<f64>();
    let mut shares = vec![0.0; wheels.len()];
    for (index, wheel) in wheels.iter().enumerate().filter(|(i, _)| has(touching, *i)) {
        let share = lambda(wheel);
        if has(carrying, index) {
            if share < -1e-12 {
                return None;
            }
            shares[index] = share.max(0.0);
        } else if share > 1e-9 {
            return None;
        }
    }
    Some(shares)
}

/// Cramer's rule for a symmetric 3 × 3 system; `None` when it is singular.
fn solve(m: [[f64; 3]; 3], b: [f64; 3]) -> Option<[f64; 3]> {
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(&m);
    let scale = m[0][0] * m[1][1] * m[2][2];
    if whole.abs() <= 1e-12 * scale.abs() {
        return None;
    }
    let mut x = [0.0; 3];
    for (column, value) in x.iter_mut().enumerate() {
        let mut replaced = m;
        for (line, right) in replaced.iter_mut().zip(b) {
            line[column] = right;
        }
        *value = det(&replaced) / whole;
    }
    Some(x)
}
