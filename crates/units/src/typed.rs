//! Readings as typed: the text, the unit it was taken in, the exact amount and its resolution.
//!
//! Decides what a bare number means (the field's stated unit) and what is an error: a unit of
//! another dimension, an unknown unit, a scale unit where no scale is known, anything left over.

use crate::numeral::divide_rounded;
use crate::{Amount, Angle, DecimalMark, Dimension, Force, Grade, Length, Mass, Numeral};
use crate::{Ratio, Time, Unit};

/// A reading that keeps what was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed {
    /// The text, without the white space around it.
    pub text: Box<str>,
    /// What it means.
    pub amount: Amount,
    /// The unit it was read in.
    pub unit: Unit,
    /// Whether the typist wrote the unit; otherwise it is the field's own.
    pub unit_was_typed: bool,
    /// The step that the spelling shows: one in its last place.
    pub resolution: Amount,
}

/// How to read one field.
#[derive(Clone, Copy, Debug)]
pub struct Reader {
    /// What the field measures.
    pub dimension: Dimension,
    /// The unit of a bare number.
    pub unit: Unit,
    /// The scale of the car, where scale inches and feet are to be understood.
    pub ratio: Option<Ratio>,
    /// The decimal mark in force.
    pub mark: DecimalMark,
}

/// Why a text is no reading of its field.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReadError {
    /// Nothing but white space.
    #[error("nothing was typed")]
    Empty,
    /// No number where one should be.
    #[error("'{text}' is not a number")]
    NotANumber {
        /// What was found.
        text: String,
    },
    /// Two decimal marks in one number.
    #[error("'{text}' has two decimal marks; write the number without marks of thousands")]
    TwoMarks {
        /// What was found.
        text: String,
    },
    /// A comma or point that could be decimals or thousands.
    #[error(
        "the decimal mark in '{text}' is doubtful; write it with the sheet's own mark, \
         and without marks of thousands"
    )]
    DoubtfulMark {
        /// What was found.
        text: String,
    },
    /// A fraction with nothing to divide by.
    #[error("'{text}' divides by zero")]
    DividedByZero {
        /// What was found.
        text: String,
    },
    /// More digits than any instrument shows.
    #[error("'{text}' has more than {digits_max} digits, which no instrument here shows")]
    TooManyDigits {
        /// What was found.
        text: String,
        /// The most that is taken.
        digits_max: usize,
    },
    /// A unit nobody here knows.
    #[error("the unit '{unit}' is not known; {expected} is wanted, in {accepted}")]
    UnknownUnit {
        /// What was found.
        unit: String,
        /// What the field measures.
        expected: Dimension,
        /// The units that would do.
        accepted: String,
    },
    /// A known unit of something else.
    #[error("'{unit}' measures {found}; {expected} is wanted, in {accepted}")]
    WrongDimension {
        /// What was found.
        unit: String,
        /// What it measures.
        found: Dimension,
        /// What the field measures.
        expected: Dimension,
        /// The units that would do.
        accepted: String,
    },
    /// Scale inches of an unknown scale.
    #[error("'{unit}' needs the car's scale, which is not known here; give the length in mm or in")]
    ScaleUnknown {
        /// What was found.
        unit: String,
    },
    /// Larger than the type can hold.
    #[error("'{text}' is larger than any {expected} this tool can hold")]
    TooLarge {
        /// What was found.
        text: String,
        /// What the field measures.
        expected: Dimension,
    },
}

impl Reader {
    /// A reader of a `dimension` whose bare numbers are in `unit`.
    #[must_use]
    pub fn new(unit: Unit) -> Self {
        Self {
            dimension: unit.dimension(),
            unit,
            ratio: None,
            mark: DecimalMark::Either,
        }
    }

    /// The same reader for a car of known scale.
    #[must_use]
    pub fn with_ratio(self, ratio: Ratio) -> Self {
        Self {
            ratio: Some(ratio),
            ..self
        }
    }

    /// The same reader for a sheet with a known decimal mark.
    #[must_use]
    pub fn with_mark(self, mark: DecimalMark) -> Self {
        Self { mark, ..self }
    }

    /// Reads `text`, keeping it.
    ///
    /// # Errors
    /// [`ReadError`] says what was found, what was wanted and what to write instead.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_units::{Amount, Length, Reader, Unit};
    /// let height = Reader::new(Unit::Millimetre).read("25/64 in")?;
    /// assert_eq!(height.amount, Amount::Length(Length::from_sixty_fourths(25)));
    /// assert!(Reader::new(Unit::Millimetre).read("142 g").is_err());
    /// # Ok::<(), gradeworthy_units::ReadError>(())
    /// ```
    pub fn read(&self, text: &str) -> Result<Typed, ReadError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(ReadError::Empty);
        }
        let (numeral, rest) = Numeral::read_prefix(text, self.mark)?;
        let rest = rest.trim();
        if self.dimension == Dimension::Grade
            && let Some(run) = one_in(numeral, rest)
        {
            return self.read_one_in(text, run);
        }
        let unit = if rest.is_empty() {
            self.unit
        } else {
            self.find_unit(rest)?
        };
        Ok(Typed {
            amount: self.amount(text, numeral, unit)?,
            resolution: self.amount(
                text,
                Numeral {
                    numerator: 1,
                    ..numeral
                },
                unit,
            )?,
            text: text.into(),
            unit,
            unit_was_typed: !rest.is_empty(),
        })
    }

    fn find_unit(&self, spelling: &str) -> Result<Unit, ReadError> {
        let Some(unit) = Unit::from_spelling(spelling) else {
            return Err(ReadError::UnknownUnit {
                unit: spelling.to_owned(),
                expected: self.dimension,
                accepted: accepted(self.dimension),
            });
        };
        if unit.dimension() != self.dimension {
            return Err(ReadError::WrongDimension {
                unit: spelling.to_owned(),
                found: unit.dimension(),
                expected: self.dimension,
                accepted: accepted(self.dimension),
            });
        }
        Ok(unit)
    }

    fn read_one_in(&self, text: &str, run_text: &str) -> Result<Typed, ReadError> {
        let (run, rest) = Numeral::read_prefix(run_text, self.mark)?;
        if !rest.trim().is_empty() || run.numerator <= 0 {
            return Err(ReadError::NotANumber {
                text: text.to_owned(),
            });
        }
        let grade = 1.0 / run.value();
        let step = Numeral {
            numerator: 1,
            ..run
        }
        .value();
        let finite = |ratio| {
            Grade::from_ratio(ratio).map_err(|_| ReadError::NotANumber {
                text: text.to_owned(),
            })
        };
        Ok(Typed {
            text: text.into(),
            amount: finite(grade)?.into(),
            // d(1/run) = d(run)/run².
            resolution: finite(grade * grade * step)?.into(),
            unit: Unit::OneIn,
            unit_was_typed: true,
        })
    }

    fn amount(&self, text: &str, numeral: Numeral, unit: Unit) -> Result<Amount, ReadError> {
        let too_large = || ReadError::TooLarge {
            text: text.to_owned(),
            expected: self.dimension,
        };
        let (worth, by) = self.worth(unit)?;
        let top = numeral.numerator.checked_mul(worth).ok_or_else(too_large)?;
        let bottom = numeral.denominator.checked_mul(by).ok_or_else(too_large)?;
        let float = || exact_ratio(top, bottom);
        Ok(match self.dimension {
            Dimension::Length => {
                let nanometres = i64::try_from(divide_rounded(top, bottom));
                Length::from_nanometres(nanometres.map_err(|_| too_large())?).into()
            }
            Dimension::Mass => Mass::from_femtograms(divide_rounded(top, bottom)).into(),
            Dimension::Angle => Angle::from_radians(float() / 1e18)
                .map_err(|_| too_large())?
                .into(),
            Dimension::Grade => Grade::from_ratio(float() / 1e18)
                .map_err(|_| too_large())?
                .into(),
            Dimension::Time => Time::from_seconds(float() / 1e6)
                .map_err(|_| too_large())?
                .into(),
            Dimension::Force => Force::from_newtons(float() / 1e9)
                .map_err(|_| too_large())?
                .into(),
        })
    }

    fn worth(&self, unit: Unit) -> Result<(i128, i128), ReadError> {
        if let Some(worth) = unit.worth() {
            return Ok(worth);
        }
        let prototype_nm = match unit {
            Unit::ScaleInch => 25_400_000,
            Unit::ScaleFoot => 304_800_000,
            _ => {
                return Err(ReadError::NotANumber {
                    text: unit.symbol().to_owned(),
                });
            }
        };
        let Some(ratio) = self.ratio else {
            return Err(ReadError::ScaleUnknown {
                unit: unit.symbol().to_owned(),
            });
        };
        let (numerator, denominator) = ratio.parts();
        Ok((
            prototype_nm * i128::from(denominator),
            i128::from(numerator),
        ))
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a double is what the result is kept in"
)]
fn exact_ratio(top: i128, bottom: i128) -> f64 {
    top as f64 / bottom as f64
}

/// The `36` of `1 in 36` or `1:36`.
fn one_in(numeral: Numeral, rest: &str) -> Option<&str> {
    if numeral.numerator != 1 || numeral.denominator != 1 {
        return None;
    }
    rest.strip_prefix(':')
        .or_else(|| rest.strip_prefix("in "))
        .map(str::trim)
}

fn accepted(dimension: Dimension) -> String {
    let symbols: Vec<_> = Unit::all()
        .filter(|unit| unit.dimension() == dimension && !unit.symbol().is_empty())
        .map(|unit| {
            if unit == Unit::OneIn {
                "1 in N"
            } else {
                unit.symbol()
            }
        })
        .collect();
    symbols.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(unit: Unit, text: &str) -> Amount {
        let ho = Ratio::new(3048, 35).expect("positive");
        Reader::new(unit)
            .with_ratio(ho)
            .read(text)
            .unwrap_or_else(|error| panic!("{text}: {error}"))
            .amount
    }

    fn refusal(unit: Unit, text: &str) -> String {
        Reader::new(unit).read(text).expect_err(text).to_string()
    }

    #[test]
    fn lengths_in_every_spelling_of_the_bench() {
        let inch_566 = Amount::Length(Length::from_thousandths(566));
        for text in [
            "0.566 in",
            ".566\"",
            "566 thou",
            "0,566 inch",
            ".566 IN",
            "14.3764 mm",
        ] {
            assert_eq!(read(Unit::Millimetre, text), inch_566, "{text}");
        }
        assert_eq!(read(Unit::Inch, ".566"), inch_566);
        let foot = Amount::Length(Length::from_hundredths_mm(350));
        assert_eq!(read(Unit::Millimetre, "1 scale ft"), foot);
        assert_eq!(read(Unit::Millimetre, "12 scale in"), foot);
    }

    #[test]
    fn weights_in_ounces_and_grams() {
        assert_eq!(
            read(Unit::Gram, "5 1/2 oz"),
            Amount::Mass(Mass::from_milliounces(5_500))
        );
        assert_eq!(
            read(Unit::Ounce, "142 g"),
            Amount::Mass(Mass::from_milligrams(142_000))
        );
    }

    #[test]
    fn a_grade_may_be_percent_per_mille_or_one_in() {
        for text in ["2 %", "20 ‰", "1 in 50", "1:50", "2"] {
            let amount = read(Unit::Percent, text);
            assert!((amount.base() - 0.02).abs() < 1e-15, "{text}: {amount:?}");
        }
    }

    #[test]
    fn the_resolution_is_one_in_the_last_place_typed() {
        let typed = Reader::new(Unit::Inch).read("0.5660").expect("a length");
        assert_eq!(
            typed.resolution,
            Amount::Length(Length::from_nanometres(2_540))
        );
        let typed = Reader::new(Unit::Inch).read("25/64").expect("a length");
        assert_eq!(
            typed.resolution,
            Amount::Length(Length::from_sixty_fourths(1))
        );
        assert!(!typed.unit_was_typed);
    }

    #[test]
    fn a_wrong_or_doubtful_unit_is_an_error_and_says_what_would_do() {
        assert_eq!(
            refusal(Unit::Inch, "142 g"),
            "'g' measures weight; length is wanted, in mm, µm, cm, m, in, thou, ft, \
             scale in, scale ft"
        );
        assert_eq!(
            refusal(Unit::GramForce, "25 g"),
            "'g' measures weight; force is wanted, in N, mN, gf, ozf"
        );
        assert_eq!(
            refusal(Unit::Inch, "3 scale in"),
            "'scale in' needs the car's scale, which is not known here; \
             give the length in mm or in"
        );
        assert_eq!(
            refusal(Unit::Second, "20 furlongs"),
            "the unit 'furlongs' is not known; time is wanted, in s, ms, min"
        );
        assert_eq!(refusal(Unit::Inch, " "), "nothing was typed");
        assert_eq!(refusal(Unit::Inch, "n/a"), "'n/a' is not a number");
    }

    proptest::proptest! {
        #[test]
        fn thousandths_read_back_exactly(thousandths in -9_999_i64..9_999) {
            let sign = if thousandths < 0 { "-" } else { "" };
            let text = format!("{sign}{}.{:03}", thousandths.abs() / 1000, thousandths.abs() % 1000);
            let typed = Reader::new(Unit::Inch).read(&text).expect("a plain decimal");
            proptest::prop_assert_eq!(
                typed.amount, Amount::Length(Length::from_thousandths(thousandths)));
        }

        #[test]
        fn reading_never_panics(text in "\\PC{0,24}") {
            for unit in Unit::all() {
                drop(Reader::new(unit).read(&text));
            }
        }
    }
}
