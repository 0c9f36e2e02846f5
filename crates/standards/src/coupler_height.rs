//! The height of the coupler above the rail: the prototype's band, and what the models print.
//!
//! The prototype's rule is a band of three inches for each gauge of track, from the top of the
//! rail to the centre of the drawbar. At scale it is divided by the exact ratio, so HO differs in
//! the fourth decimal of an inch from tables divided by 87.1.
//! That loaded cars ride low in the band and empty ones high is from memory: the section has one
//! band. Sources: [CFR-231.31], [NEM-362],
//! [NEM-360], [NEM-356].

use gradeworthy_units::{Length, Ratio};

use crate::limit::{Bounds, Limit};
use crate::{Scale, table};

/// Prototype gauges that 49 CFR 231.31 gives a band for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PrototypeGauge {
    /// 56½ in.
    Standard,
    /// 36 in.
    ThreeFoot,
    /// 24 in.
    TwoFoot,
}

/// The band of 49 CFR 231.31 at full size.
#[must_use]
pub fn cfr_231_31(gauge: PrototypeGauge) -> Option<Bounds> {
    let row = match gauge {
        PrototypeGauge::Standard => "56½ in",
        PrototypeGauge::ThreeFoot => "36 in",
        PrototypeGauge::TwoFoot => "24 in",
    };
    let table = table("cfr-231.31")?;
    Some(Bounds {
        min: Limit::of(table.cell(row, "min")?),
        max: Limit::of(table.cell(row, "max")?),
        target: None,
    })
}

/// The least and greatest height of 49 CFR 231.31 at model size, to the nearest nanometre.
///
/// `None` where the section knows no such gauge: 30 in, metre, and the other metric gauges.
///
/// # Example
/// ```
/// use gradeworthy_standards::{Scale, coupler_height::cfr_231_31_at_scale};
/// let (least, greatest) = cfr_231_31_at_scale(Scale::O).ok_or("no band")?;
/// assert_eq!(least.nanometres(), 16_668_750); // 31½ in over 48
/// assert_eq!(greatest.nanometres(), 18_256_250); // 34½ in over 48
/// # Ok::<(), &'static str>(())
/// ```
#[must_use]
pub fn cfr_231_31_at_scale(scale: Scale) -> Option<(Length, Length)> {
    let band = cfr_231_31(scale.prototype_gauge()?)?;
    let at_scale = |limit: Limit| scale.ratio().model(limit.value);
    Some((at_scale(band.min?), at_scale(band.max?)))
}

/// The customary height of a model's coupler; `None` where none is recorded.
///
/// Only HO was read anywhere, and at second hand; the rest come from memory and their clause says
/// so. It stands for no tolerance: that is the club's.
#[must_use]
pub fn model_height(scale: Scale) -> Option<Limit> {
    let row = match scale {
        Scale::HO => "HO centreline",
        Scale::O => "O",
        Scale::S => "S",
        Scale::TT => "TT",
        Scale::N => "N",
        _ => return None,
    };
    Limit::of(table("model-coupler-height")?.cell(row, "height_in")?)
}

/// The height that a NEM sheet prints, with its tolerance: row as in the table
/// `model-coupler-height`.
#[must_use]
pub fn nem_height(sheet: NemCoupler) -> Option<Bounds> {
    let table = table("model-coupler-height")?;
    let row = match sheet {
        NemCoupler::H0Pocket => "NEM 362 pocket (H0)",
        NemCoupler::H0Standard => "NEM 360 coupler (H0)",
        NemCoupler::N => "NEM 356 coupler (N)",
    };
    let target = Limit::of(table.cell(row, "height_mm")?)?;
    let tolerance = table.cell(row, "plus_minus_mm")?.length()?;
    let at = |value| Some(Limit { value, ..target });
    Some(Bounds {
        min: at(target.value - tolerance),
        max: at(target.value + tolerance),
        target: Some(target),
    })
}

/// NEM sheets that print a height of the coupler with a tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NemCoupler {
    /// NEM 362, pocket of H0.
    H0Pocket,
    /// NEM 360, standard coupler of H0.
    H0Standard,
    /// NEM 356, coupler of N.
    N,
}

/// A model's coupler height at full size.
///
/// `None` when the result is beyond the range of a length.
#[must_use]
pub fn at_full_size(model: Length, ratio: Ratio) -> Option<Length> {
    Length::from_mm_rounded(model.mm() * ratio.value())
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: [CFR-231.31] allows 31½ to 34½ in; 25/64 in is the customary HO height.
    #[test]
    fn the_customary_ho_height_lies_in_the_prototypes_band_near_its_top() {
        let ho = model_height(Scale::HO).expect("recorded");
        let (least, greatest) = cfr_231_31_at_scale(Scale::HO).expect("standard gauge");
        assert!(least < ho.value && ho.value < greatest);
        assert!(greatest - ho.value < ho.value - least);
        let full = at_full_size(ho.value, Scale::HO.ratio()).expect("in range");
        assert!((full.inches() - 34.0).abs() < 0.05, "{}", full.inches());
    }

    #[test]
    fn heights_from_memory_say_so() {
        for scale in [Scale::O, Scale::S, Scale::TT, Scale::N] {
            let height = model_height(scale).expect("recorded");
            assert!(!height.confidence().may_be_oracle(), "{scale}");
            assert!(height.clause.to_string().ends_with("(from memory, verify)"));
        }
    }

    // Source: NEM 362, as listed in NEM 004: 8.5 ±0.2 mm.
    #[test]
    fn the_pocket_of_nem_362() {
        let pocket = nem_height(NemCoupler::H0Pocket).expect("recorded");
        assert_eq!(
            (
                pocket.min.map(|limit| limit.value),
                pocket.max.map(|limit| limit.value)
            ),
            (
                Some(Length::from_hundredths_mm(830)),
                Some(Length::from_hundredths_mm(870))
            )
        );
    }
}
