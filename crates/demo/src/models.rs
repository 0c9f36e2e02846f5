//! The kinds of car in the invented fleet.
//!
//! Sizes are those of ordinary North American freight cars at 1:87.1, rounded to the millimetre;
//! none is a model of anybody's product.

/// A kind of car, in model millimetres and grams.
pub(crate) struct Model {
    /// Type letters.
    pub(crate) letters: &'static str,
    /// What the record calls it.
    pub(crate) description: &'static str,
    /// Body, couplers left out.
    pub(crate) body_mm: f64,
    /// Between bolsters.
    pub(crate) centres_mm: f64,
    /// Axle to axle in a truck.
    pub(crate) wheelbase_mm: f64,
    /// Bolster to coupler face.
    pub(crate) overhang_mm: f64,
    /// Height of the centre of gravity of a car of this kind in good order.
    pub(crate) cg_mm: f64,
    /// How many of a hundred cars are of this kind.
    pub(crate) share: f64,
    /// A tag that cars of this kind carry.
    pub(crate) tag: Option<&'static str>,
}

pub(crate) const MODELS: &[Model] = &[
    Model {
        letters: "XM",
        description: "40-ft box car",
        body_mm: 141.0,
        centres_mm: 94.0,
        wheelbase_mm: 19.5,
        overhang_mm: 31.0,
        cg_mm: 11.6,
        share: 34.0,
        tag: None,
    },
    Model {
        letters: "XL",
        description: "50-ft box car",
        body_mm: 178.0,
        centres_mm: 125.0,
        wheelbase_mm: 19.5,
        overhang_mm: 34.0,
        cg_mm: 11.8,
        share: 12.0,
        tag: None,
    },
    Model {
        letters: "RS",
        description: "40-ft refrigerator car",
        body_mm: 143.0,
        centres_mm: 96.0,
        wheelbase_mm: 19.5,
        overhang_mm: 31.0,
        cg_mm: 11.7,
        share: 12.0,
        tag: None,
    },
    Model {
        letters: "HM",
        description: "two-bay hopper",
        body_mm: 122.0,
        centres_mm: 84.0,
        wheelbase_mm: 19.5,
        overhang_mm: 27.0,
        cg_mm: 11.9,
        share: 15.0,
        tag: None,
    },
    Model {
        letters: "HT",
        description: "three-bay hopper",
        body_mm: 141.0,
        centres_mm: 101.0,
        wheelbase_mm: 19.5,
        overhang_mm: 28.0,
        cg_mm: 12.0,
        share: 8.0,
        tag: None,
    },
    Model {
        letters: "GB",
        description: "52-ft gondola",
        body_mm: 184.0,
        centres_mm: 133.0,
        wheelbase_mm: 19.5,
        overhang_mm: 33.0,
        cg_mm: 9.5,
        share: 7.0,
        tag: Some("open top"),
    },
    Model {
        letters: "FM",
        description: "53-ft flat car",
        body_mm: 187.0,
        centres_mm: 136.0,
        wheelbase_mm: 19.5,
        overhang_mm: 33.0,
        cg_mm: 8.4,
        share: 5.0,
        tag: Some("open top"),
    },
    Model {
        letters: "TM",
        description: "40-ft tank car",
        body_mm: 136.0,
        centres_mm: 92.0,
        wheelbase_mm: 19.5,
        overhang_mm: 29.0,
        cg_mm: 12.2,
        share: 5.0,
        tag: None,
    },
    Model {
        letters: "NE",
        description: "caboose",
        body_mm: 112.0,
        centres_mm: 70.0,
        wheelbase_mm: 19.5,
        overhang_mm: 28.0,
        cg_mm: 12.4,
        share: 2.0,
        tag: None,
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_of_a_hundred_and_cars_hang_together() {
        let total: f64 = MODELS.iter().map(|model| model.share).sum();
        assert!((total - 100.0).abs() < 1e-9, "{total}");
        for model in MODELS {
            assert!(model.centres_mm < model.body_mm, "{}", model.description);
            let over_couplers = model.centres_mm + 2.0 * model.overhang_mm;
            assert!(over_couplers > model.body_mm, "{}", model.description);
        }
    }
}
