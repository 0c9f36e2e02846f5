//! Numbers as people write them: `14.38`, `14,38`, `.015`, `25/64`, `5 1/2`, `5½`.
//!
//! A numeral is read as an exact fraction, never through a float, and remembers the step that its
//! spelling shows: `14.38` was read to a hundredth, `25/64` to a sixty-fourth.

use crate::ReadError;

/// Which character separates the whole from the decimals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalMark {
    /// A point; a comma is an error.
    Point,
    /// A comma; a point is an error.
    Comma,
    /// Either, as the typist pleases; a comma before exactly three digits is doubtful.
    #[default]
    Either,
}

/// An exact number with the step it was written to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Numeral {
    /// Top of the fraction; carries the sign.
    pub numerator: i128,
    /// Bottom of the fraction, positive; one of this is the step.
    pub denominator: i128,
}

/// Longest run of digits taken: keeps every product of a number and a unit inside an `i128`.
const DIGITS_MAX: usize = 15;

impl Numeral {
    /// Reads the number at the start of `text` and returns it with what follows it.
    ///
    /// # Errors
    /// [`ReadError`] when `text` does not start with a number, when a comma is doubtful under
    /// `mark`, when a fraction is divided by zero, or when there are more than fifteen digits.
    pub fn read_prefix(text: &str, mark: DecimalMark) -> Result<(Self, &str), ReadError> {
        let text = text.trim_start();
        let (negative, unsigned) = match text.strip_prefix(['-', '−']) {
            Some(rest) => (true, rest.trim_start()),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (value, rest) = read_unsigned(unsigned, mark)?;
        let numerator = if negative {
            -value.numerator
        } else {
            value.numerator
        };
        Ok((Self { numerator, ..value }, rest))
    }

    /// The number as a float, for quantities that need no exactness.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "at most fifteen digits, a double keeps them"
    )]
    pub fn value(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }
}

/// `numerator / denominator` to the nearest whole number, halves away from zero.
pub(crate) fn divide_rounded(numerator: i128, denominator: i128) -> i128 {
    let half = denominator / 2;
    if numerator >= 0 {
        (numerator + half) / denominator
    } else {
        (numerator - half) / denominator
    }
}

fn read_unsigned(text: &str, mark: DecimalMark) -> Result<(Numeral, &str), ReadError> {
    let (whole_digits, rest) = split_digits(text);
    let decimals = rest
        .strip_prefix(['.', ','])
        .map(split_digits)
        .filter(|(digits, _)| !digits.is_empty() || !whole_digits.is_empty());
    if let Some((decimal_digits, after)) = decimals {
        if rest.starts_with(',') || mark == DecimalMark::Comma {
            check_mark(text, whole_digits, rest, decimal_digits, mark)?;
        }
        if after.starts_with(['.', ',']) {
            return Err(ReadError::TwoMarks {
                text: text.to_owned(),
            });
        }
        return Ok((with_decimals(whole_digits, decimal_digits)?, after));
    }
    if let Some((vulgar, after)) = read_vulgar(rest) {
        let units = if whole_digits.is_empty() {
            0
        } else {
            whole(whole_digits)?
        };
        return Ok((add_whole(units, vulgar), after));
    }
    if whole_digits.is_empty() {
        return Err(ReadError::NotANumber {
            text: text.to_owned(),
        });
    }
    read_fraction(text, whole_digits, rest)
}

/// After whole digits: `25/64`, `5 1/2`, `5-1/2`, `5½`, `5 ½`, or nothing more.
fn read_fraction<'a>(
    text: &str,
    whole_digits: &str,
    rest: &'a str,
) -> Result<(Numeral, &'a str), ReadError> {
    if let Some(after_slash) = rest.strip_prefix('/') {
        let (bottom, after) = split_digits(after_slash);
        return Ok((fraction(text, whole_digits, bottom)?, after));
    }
    let spaced = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    if let Some((vulgar, after)) = read_vulgar(spaced) {
        return Ok((add_whole(whole(whole_digits)?, vulgar), after));
    }
    let (top, after_top) = split_digits(spaced);
    if let (false, Some(after_slash)) = (top.is_empty(), after_top.strip_prefix('/')) {
        let (bottom, after) = split_digits(after_slash);
        let part = fraction(text, top, bottom)?;
        return Ok((add_whole(whole(whole_digits)?, part), after));
    }
    Ok((
        Numeral {
            numerator: whole(whole_digits)?,
            denominator: 1,
        },
        rest,
    ))
}

fn fraction(text: &str, top: &str, bottom: &str) -> Result<Numeral, ReadError> {
    if bottom.is_empty() {
        return Err(ReadError::NotANumber {
            text: text.to_owned(),
        });
    }
    let numeral = Numeral {
        numerator: whole(top)?,
        denominator: whole(bottom)?,
    };
    if numeral.denominator == 0 {
        return Err(ReadError::DividedByZero {
            text: text.to_owned(),
        });
    }
    Ok(numeral)
}

fn add_whole(units: i128, part: Numeral) -> Numeral {
    Numeral {
        numerator: units * part.denominator + part.numerator,
        ..part
    }
}

/// A comma is a decimal mark only where it cannot be taken for a mark of thousands.
fn check_mark(
    text: &str,
    whole_digits: &str,
    rest: &str,
    decimal_digits: &str,
    mark: DecimalMark,
) -> Result<(), ReadError> {
    let comma = rest.starts_with(',');
    let doubtful = match mark {
        DecimalMark::Point => comma,
        DecimalMark::Comma => !comma,
        DecimalMark::Either => {
            let leads = !whole_digits.is_empty() && !whole_digits.starts_with('0');
            comma && leads && whole_digits.len() <= 3 && decimal_digits.len() == 3
        }
    };
    if doubtful {
        Err(ReadError::DoubtfulMark {
            text: text.to_owned(),
        })
    } else {
        Ok(())
    }
}

fn split_digits(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    text.split_at(end)
}

fn whole(digits: &str) -> Result<i128, ReadError> {
    if digits.len() > DIGITS_MAX {
        return Err(ReadError::TooManyDigits {
            text: digits.to_owned(),
            digits_max: DIGITS_MAX,
        });
    }
    digits.parse().map_err(|_| ReadError::NotANumber {
        text: digits.to_owned(),
    })
}

/// `14` and `38` as 1438/100; either may be empty.
fn with_decimals(whole_digits: &str, decimal_digits: &str) -> Result<Numeral, ReadError> {
    if whole_digits.len() + decimal_digits.len() > DIGITS_MAX {
        return Err(ReadError::TooManyDigits {
            text: format!("{whole_digits}{decimal_digits}"),
            digits_max: DIGITS_MAX,
        });
    }
    let digits = whole_digits.bytes().chain(decimal_digits.bytes());
    let numerator = digits.fold(0, |sum, digit| 10 * sum + i128::from(digit - b'0'));
    let denominator = decimal_digits.bytes().fold(1, |power, _| 10 * power);
    Ok(Numeral {
        numerator,
        denominator,
    })
}

fn read_vulgar(text: &str) -> Option<(Numeral, &str)> {
    const VULGAR: &[(char, i128, i128)] = &[
        ('¼', 1, 4),
        ('½', 1, 2),
        ('¾', 3, 4),
        ('⅛', 1, 8),
        ('⅜', 3, 8),
        ('⅝', 5, 8),
        ('⅞', 7, 8),
        ('⅓', 1, 3),
        ('⅔', 2, 3),
    ];
    let first = text.chars().next()?;
    let (_, numerator, denominator) = VULGAR.iter().find(|row| row.0 == first).copied()?;
    Some((
        Numeral {
            numerator,
            denominator,
        },
        &text[first.len_utf8()..],
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (i128, i128, String) {
        let (numeral, rest) = Numeral::read_prefix(text, DecimalMark::Either)
            .unwrap_or_else(|error| panic!("{text}: {error}"));
        (numeral.numerator, numeral.denominator, rest.to_owned())
    }

    #[test]
    fn numbers_as_clubs_write_them() {
        for (text, numerator, denominator, rest) in [
            ("14.38 mm", 1438, 100, " mm"),
            ("14,38", 1438, 100, ""),
            (".015\"", 15, 1000, "\""),
            ("0,566", 566, 1000, ""),
            ("25/64 in", 25, 64, " in"),
            ("5 1/2 oz", 11, 2, " oz"),
            ("5-1/2oz", 11, 2, "oz"),
            ("5½ oz", 11, 2, " oz"),
            ("½", 1, 2, ""),
            ("-0.5", -5, 10, ""),
            ("−0.5", -5, 10, ""),
            ("142 g", 142, 1, " g"),
            ("1 in 36", 1, 1, " in 36"),
            ("7. ", 7, 1, " "),
        ] {
            assert_eq!(
                read(text),
                (numerator, denominator, rest.to_owned()),
                "{text}"
            );
        }
    }

    #[test]
    fn a_comma_that_may_mark_thousands_is_doubtful() {
        let read = |text, mark| Numeral::read_prefix(text, mark);
        assert!(matches!(
            read("1,234", DecimalMark::Either),
            Err(ReadError::DoubtfulMark { .. })
        ));
        assert!(matches!(
            read("14,38", DecimalMark::Point),
            Err(ReadError::DoubtfulMark { .. })
        ));
        assert!(matches!(
            read("14.38", DecimalMark::Comma),
            Err(ReadError::DoubtfulMark { .. })
        ));
        assert!(read("1,234", DecimalMark::Comma).is_ok());
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in [
            "",
            "abc",
            "-",
            ".",
            "5/",
            "5/0",
            "1.2.3",
            "1234567890123456",
        ] {
            assert!(
                Numeral::read_prefix(text, DecimalMark::Either).is_err(),
                "{text}"
            );
        }
    }
}
