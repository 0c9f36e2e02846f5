//! Scales as they are written: `1:87.1`, `3048:35`, or plain `87`.

use gradeworthy_units::{DecimalMark, Numeral, Ratio};

/// The scale that `text` writes, prototype over model whichever way round it stands.
pub(super) fn scale(text: &str) -> Option<Ratio> {
    let number = |text: &str| -> Option<Numeral> {
        let (numeral, rest) = Numeral::read_prefix(text, DecimalMark::Point).ok()?;
        (rest.trim().is_empty() && numeral.numerator > 0).then_some(numeral)
    };
    let (first, second) = match text.split_once(':') {
        Some((first, second)) => (number(first)?, number(second)?),
        None => (
            number(text)?,
            Numeral {
                numerator: 1,
                denominator: 1,
            },
        ),
    };
    // first/second as one fraction, larger over smaller: a model is smaller than its prototype.
    let top = first.numerator.checked_mul(second.denominator)?;
    let bottom = first.denominator.checked_mul(second.numerator)?;
    let common = greatest_common_divisor(top, bottom);
    let large = i64::try_from(top.max(bottom) / common).ok()?;
    let small = i64::try_from(top.min(bottom) / common).ok()?;
    Ratio::new(large, small)
}

fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    if b == 0 {
        a
    } else {
        greatest_common_divisor(b, a % b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_is_exact_whichever_way_it_is_written() {
        for (text, parts) in [
            ("1:87.1", Some((871, 10))),
            ("87.1", Some((871, 10))),
            ("3048:35", Some((3048, 35))),
            ("1 : 160", Some((160, 1))),
            ("160:1", Some((160, 1))),
            ("HO", None),
            ("0", None),
            ("1:0", None),
            ("1:87:1", None),
            ("-87", None),
        ] {
            assert_eq!(scale(text).map(Ratio::parts), parts, "{text}");
        }
    }
}
