//! What a car should weigh, by NMRA RP-20.1 and by NEM 302.
//!
//! The two use different lengths for different ends, so the lengths are two types:
//! RP-20.1 takes the car body without couplers, in inches, and gives a target;
//! NEM 302 takes the length over buffers, in millimetres, and gives a minimum against tipping over
//! on curves with a load trailing behind.
//!
//! (1) RP-20.1: weight = initial + additional × inches of body.
//! (2) NEM 302: mass min = g per mm × millimetres over buffers; unfavourable cars up to 30 % more.
//! (3) cube law: model mass = prototype mass / ratio³.
//!
//! Weight here is mass, as a scale shows it. Sources: [RP-20.1], [NEM-302].

use std::sync::LazyLock;

use gradeworthy_units::{Length, Mass, Ratio};

use crate::{Clause, Scale, StandardsError, table};

/// The length of a car body, couplers left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BodyLength(Length);

/// The length of a car over its buffers, or over the pulling faces where it has none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LengthOverBuffers(Length);

impl BodyLength {
    /// A body this long.
    ///
    /// # Errors
    /// [`StandardsError::NotALength`] for zero and below.
    pub fn new(length: Length) -> Result<Self, StandardsError> {
        above_zero("a body length", length).map(Self)
    }
}

impl LengthOverBuffers {
    /// A car this long over its buffers.
    ///
    /// # Errors
    /// [`StandardsError::NotALength`] for zero and below.
    pub fn new(length: Length) -> Result<Self, StandardsError> {
        above_zero("a length over buffers", length).map(Self)
    }
}

/// The weight that RP-20.1 aims at; `None` for a scale it has no row for.
///
/// There is no RP for Z or for 45 mm track.
///
/// # Example
/// ```
/// use gradeworthy_standards::Scale;
/// use gradeworthy_standards::car_weight::{BodyLength, rp_20_1};
/// use gradeworthy_units::{Length, Mass};
/// let body = BodyLength::new(Length::from_thousandths(6_000))?;
/// let target = rp_20_1(Scale::HO, body).map(|(weight, _)| weight);
/// assert_eq!(target, Some(Mass::from_milliounces(4_000)));
/// # Ok::<(), gradeworthy_standards::StandardsError>(())
/// ```
#[must_use]
pub fn rp_20_1(scale: Scale, body: BodyLength) -> Option<(Mass, Clause)> {
    const NM_PER_INCH: i128 = 25_400_000;
    let row = RP_20_1.iter().find(|row| row.scale == scale)?;
    // Equation (1).
    let length_part = scaled(row.per_inch, i128::from(body.0.nanometres()), NM_PER_INCH);
    Some((row.initial + length_part, row.clause))
}

struct Rp201Row {
    scale: Scale,
    initial: Mass,
    per_inch: Mass,
    clause: Clause,
}

static RP_20_1: LazyLock<Vec<Rp201Row>> =
    LazyLock::new(|| Scale::all().filter_map(Rp201Row::read).collect());

impl Rp201Row {
    fn read(scale: Scale) -> Option<Self> {
        let cell = |column| table("nmra-rp-20.1")?.cell(scale.name(), column);
        let initial = cell("initial_oz")?;
        Some(Self {
            scale,
            initial: initial.mass()?,
            per_inch: ounces(cell("additional_oz_per_in")?.number()?)?,
            clause: Clause {
                heading: "initial and additional weight",
                ..initial.clause()
            },
        })
    }
}

/// What NEM 302 recommends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nem302 {
    /// The least mass.
    pub min: Mass,
    /// Where it stands.
    pub clause: Clause,
    /// The greatest mass, for cars with a high centre of gravity, a long overhang, a coupler pivot
    /// far from the axle, or couplers on the trucks.
    pub unfavourable_max: Mass,
    /// Where the addition stands.
    pub unfavourable_clause: Clause,
}

/// The mass that NEM 302 recommends; `None` for a scale it has no row for.
///
/// Rows go by nominal size, so HO finds that of H0 and O that of 0; the clause names the row.
/// Not for locomotives.
#[must_use]
pub fn nem_302(scale: Scale, over_buffers: LengthOverBuffers) -> Option<Nem302> {
    const NM_PER_MM: i128 = 1_000_000;
    let cell = table("nem-302")?.cell(nominal_size(scale)?, "g_per_mm")?;
    let cap = table("nem-302-cap")?.cell("unfavourable car", "over_minimum_max")?;
    let per_mm = Mass::from_grams_rounded(cell.number()?)?;
    // Equation (2).
    let min = scaled(per_mm, i128::from(over_buffers.0.nanometres()), NM_PER_MM);
    let unfavourable_max = Mass::from_grams_rounded(min.grams() * (1.0 + cap.number()? / 100.0))?;
    Some(Nem302 {
        min,
        clause: cell.clause(),
        unfavourable_max,
        unfavourable_clause: cap.clause(),
    })
}

/// What a prototype mass would weigh if the model were solid to scale, equation (3).
///
/// Model cars are built heavier than this: it is a comparison, not a target.
#[must_use]
pub fn cube_law_grams(prototype_kg: f64, ratio: Ratio) -> f64 {
    prototype_kg * 1e3 / ratio.value().powi(3)
}

fn nominal_size(scale: Scale) -> Option<&'static str> {
    Some(match scale {
        Scale::Z => "Z",
        Scale::N => "N",
        Scale::TT => "TT",
        Scale::HO | Scale::NemH0 => "H0",
        Scale::S => "S",
        Scale::O | Scale::Nem0 => "0",
        Scale::No1 => "I",
        Scale::NemII => "II",
        _ => return None,
    })
}

fn ounces(ounces: f64) -> Option<Mass> {
    Mass::from_grams_rounded(ounces * Mass::from_milliounces(1000).grams())
}

/// `mass × top / bottom`, to the nearest femtogram.
fn scaled(mass: Mass, top: i128, bottom: i128) -> Mass {
    Mass::from_femtograms((mass.femtograms() * top + bottom / 2) / bottom)
}

fn above_zero(quantity: &'static str, length: Length) -> Result<Length, StandardsError> {
    if length > Length::ZERO {
        Ok(length)
    } else {
        Err(StandardsError::NotALength {
            quantity,
            millimetres: length.mm(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_without_a_row_has_no_target() {
        let body = BodyLength::new(Length::from_thousandths(3_000)).expect("above zero");
        for scale in [Scale::Z, Scale::No1, Scale::NemH0] {
            assert_eq!(rp_20_1(scale, body), None, "{scale}");
        }
    }

    #[test]
    fn a_car_of_no_length_is_refused() {
        let refusal = BodyLength::new(Length::ZERO).expect_err("no length");
        assert_eq!(
            refusal.to_string(),
            "a body length of 0 mm is none: a length above zero is needed"
        );
        assert!(LengthOverBuffers::new(-Length::from_thousandths(1)).is_err());
    }

    #[test]
    fn ho_takes_the_h0_row_and_the_clause_says_so() {
        let car = LengthOverBuffers::new(Length::from_hundredths_mm(15_240)).expect("above zero");
        let nem = nem_302(Scale::HO, car).expect("H0 row");
        assert_eq!(nem.clause.row, "H0");
        assert!(nem.unfavourable_clause.confidence.needs_second_source());
    }
}
