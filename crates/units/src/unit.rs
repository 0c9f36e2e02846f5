//! The units that a reading may be typed in, how they are written, and what each is worth.
//!
//! Spellings are those of [SP811] and of the workshop: `thou` and `mil` for a thousandth of an
//! inch, `gf` for the gram-force of a spring scale.
//! A gram typed where a force is wanted is not taken for a gram-force: the two differ by a factor
//! that depends on what the typist meant.

use crate::Dimension;

/// A unit of one of the bench's dimensions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    /// Millimetre.
    Millimetre,
    /// Micrometre.
    Micrometre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch of 25.4 mm.
    Inch,
    /// Thousandth of an inch.
    Thousandth,
    /// Foot of 12 inches.
    Foot,
    /// Prototype inch, divided by the scale.
    ScaleInch,
    /// Prototype foot, divided by the scale.
    ScaleFoot,
    /// Gram.
    Gram,
    /// Milligram.
    Milligram,
    /// Kilogram.
    Kilogram,
    /// Avoirdupois ounce.
    Ounce,
    /// Avoirdupois pound.
    Pound,
    /// Degree of angle.
    Degree,
    /// Radian.
    Radian,
    /// A plain ratio, rise over run or drag over weight.
    Ratio,
    /// Percent.
    Percent,
    /// Per mille.
    PerMille,
    /// The run of a unit rise: the 36 of '1 in 36'.
    OneIn,
    /// Second.
    Second,
    /// Millisecond.
    Millisecond,
    /// Minute of time.
    Minute,
    /// Newton.
    Newton,
    /// Millinewton.
    Millinewton,
    /// Gram-force.
    GramForce,
    /// Ounce-force.
    OunceForce,
}

/// Every unit with its dimension, its symbol for printing, and all the ways it may be typed.
const UNITS: &[(Unit, Dimension, &str, &[&str])] = &[
    (
        Unit::Millimetre,
        Dimension::Length,
        "mm",
        &[
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
        ],
    ),
    (
        Unit::Micrometre,
        Dimension::Length,
        "µm",
        &["µm", "um", "μm", "micrometre", "micron", "microns"],
    ),
    (
        Unit::Centimetre,
        Dimension::Length,
        "cm",
        &["cm", "centimetre", "centimetres"],
    ),
    (
        Unit::Metre,
        Dimension::Length,
        "m",
        &["m", "metre", "metres", "meter", "meters"],
    ),
    (
        Unit::Inch,
        Dimension::Length,
        "in",
        &["in", "in.", "inch", "inches", "\"", "″", "”", "''"],
    ),
    (
        Unit::Thousandth,
        Dimension::Length,
        "thou",
        &["thou", "thous", "mil", "mils", "thousandths"],
    ),
    (
        Unit::Foot,
        Dimension::Length,
        "ft",
        &["ft", "ft.", "foot", "feet", "'", "′", "’"],
    ),
    (
        Unit::ScaleInch,
        Dimension::Length,
        "scale in",
        &["scale in", "scale inch", "scale inches", "scale \""],
    ),
    (
        Unit::ScaleFoot,
        Dimension::Length,
        "scale ft",
        &["scale ft", "scale foot", "scale feet", "scale '"],
    ),
    (
        Unit::Gram,
        Dimension::Mass,
        "g",
        &["g", "gr.", "gram", "grams", "gramme", "grammes"],
    ),
    (
        Unit::Milligram,
        Dimension::Mass,
        "mg",
        &["mg", "milligram", "milligrams"],
    ),
    (
        Unit::Kilogram,
        Dimension::Mass,
        "kg",
        &["kg", "kilogram", "kilograms"],
    ),
    (
        Unit::Ounce,
        Dimension::Mass,
        "oz",
        &["oz", "oz.", "ounce", "ounces"],
    ),
    (
        Unit::Pound,
        Dimension::Mass,
        "lb",
        &["lb", "lb.", "lbs", "pound", "pounds"],
    ),
    (
        Unit::Degree,
        Dimension::Angle,
        "°",
        &["°", "deg", "deg.", "degree", "degrees"],
    ),
    (
        Unit::Radian,
        Dimension::Angle,
        "rad",
        &["rad", "radian", "radians"],
    ),
    (Unit::Ratio, Dimension::Grade, "", &["ratio"]),
    (
        Unit::Percent,
        Dimension::Grade,
        "%",
        &["%", "pct", "percent", "per cent"],
    ),
    (Unit::PerMille, Dimension::Grade, "‰", &["‰", "per mille"]),
    (Unit::OneIn, Dimension::Grade, "1 in", &[]),
    (
        Unit::Second,
        Dimension::Time,
        "s",
        &["s", "sec", "sec.", "secs", "second", "seconds"],
    ),
    (Unit::Millisecond, Dimension::Time, "ms", &["ms", "msec"]),
    (
        Unit::Minute,
        Dimension::Time,
        "min",
        &["min", "min.", "minute", "minutes"],
    ),
    (
        Unit::Newton,
        Dimension::Force,
        "N",
        &["n", "newton", "newtons"],
    ),
    (
        Unit::Millinewton,
        Dimension::Force,
        "mN",
        &["mn", "millinewton", "millinewtons"],
    ),
    (
        Unit::GramForce,
        Dimension::Force,
        "gf",
        &["gf", "gram-force", "grams-force", "p", "pond"],
    ),
    (
        Unit::OunceForce,
        Dimension::Force,
        "ozf",
        &["ozf", "ounce-force"],
    ),
];

impl Unit {
    /// Every unit, in the order of this page.
    pub fn all() -> impl Iterator<Item = Self> {
        UNITS.iter().map(|row| row.0)
    }

    /// The dimension that this unit measures.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        self.row().1
    }

    /// How the unit is printed after a number.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        self.row().2
    }

    /// The unit that `text` spells, whatever its dimension; case does not matter.
    #[must_use]
    pub fn from_spelling(text: &str) -> Option<Self> {
        // Most are spelled as the table has them.
        spelled(text).or_else(|| {
            let words: Vec<_> = text.split_whitespace().collect();
            spelled(&words.join(" ").to_lowercase())
        })
    }

    /// What one of this unit is worth in the base of its dimension, as an exact fraction.
    ///
    /// Bases: nanometre, femtogram, radian × 10⁻¹⁸, ratio × 10⁻¹⁸, microsecond, nanonewton.
    /// `None` for scale units, whose worth depends on the scale, and for [`Unit::OneIn`], which is
    /// a reciprocal.
    pub(crate) fn worth(self) -> Option<(i128, i128)> {
        Some(match self {
            Self::Millimetre => (1_000_000, 1),
            Self::Micrometre => (1_000, 1),
            Self::Centimetre => (10_000_000, 1),
            Self::Metre => (1_000_000_000, 1),
            Self::Inch => (25_400_000, 1),
            Self::Thousandth => (25_400, 1),
            Self::Foot => (304_800_000, 1),
            Self::Gram => (1_000_000_000_000_000, 1),
            Self::Milligram => (1_000_000_000_000, 1),
            Self::Kilogram => (1_000_000_000_000_000_000, 1),
            Self::Ounce => (28_349_523_125_000_000, 1),
            Self::Pound => (453_592_370_000_000_000, 1),
            // π/180 to 18 places.
            Self::Degree => (17_453_292_519_943_296, 1),
            Self::Radian | Self::Ratio => (1_000_000_000_000_000_000, 1),
            Self::Percent => (10_000_000_000_000_000, 1),
            Self::PerMille => (1_000_000_000_000_000, 1),
            Self::Second => (1_000_000, 1),
            Self::Millisecond => (1_000, 1),
            Self::Minute => (60_000_000, 1),
            Self::Newton => (1_000_000_000, 1),
            Self::Millinewton => (1_000_000, 1),
            // 9.806 65 mN exactly.
            Self::GramForce => (9_806_650, 1),
            // 28.349 523 125 gf.
            Self::OunceForce => (28_349_523_125 * 980_665, 100_000_000),
            Self::ScaleInch | Self::ScaleFoot | Self::OneIn => return None,
        })
    }

    fn row(self) -> &'static (Self, Dimension, &'static str, &'static [&'static str]) {
        UNITS
            .iter()
            .find(|row| row.0 == self)
            .expect("every unit has a row in the table above")
    }
}

fn spelled(wanted: &str) -> Option<Unit> {
    let row = UNITS.iter().find(|row| row.3.contains(&wanted))?;
    Some(row.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_spelling_means_two_units() {
        let mut seen = std::collections::BTreeMap::new();
        for (unit, _, _, spellings) in UNITS {
            for spelling in *spellings {
                assert_eq!(
                    seen.insert(*spelling, *unit),
                    None,
                    "{spelling} is spelt twice"
                );
            }
        }
    }

    #[test]
    fn every_unit_knows_its_row() {
        for unit in Unit::all() {
            assert_eq!(unit.row().0, unit);
        }
    }

    #[test]
    fn an_ounce_force_is_28_349_gram_force() {
        let (ounce, by) = Unit::OunceForce.worth().expect("a fixed unit");
        let newtons = ounce as f64 / by as f64 / 1e9;
        assert!((newtons - 0.278_013_851).abs() < 1e-9, "{newtons}");
    }
}
