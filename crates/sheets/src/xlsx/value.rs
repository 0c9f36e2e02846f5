//! The text of a workbook's values.
//!
//! A number is a binary fraction in the file; its text is the shortest decimal that reads back to
//! it, so that what was typed as 14.38 is `14.38`.
//! Arithmetic can leave more digits than the fifteen that a spreadsheet keeps and shows
//! ([MS-EXCEL-LIMITS] 'Number precision'): such a number is rounded to fifteen and said to be.

use calamine::{DataRef, ExcelDateTime};

use crate::Kind;

/// A value as text.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Value<'a> {
    pub(super) text: std::borrow::Cow<'a, str>,
    pub(super) kind: Kind,
    pub(super) rounded: bool,
}

/// Significant digits that a spreadsheet keeps.
const DIGITS_SHOWN: usize = 15;

/// Days from 1900 that end with the year 9999, the last a spreadsheet shows as a date.
const LAST_DAY: f64 = 2_958_466.0;

/// The text and kind of a value under a number-format code.
pub(super) fn value<'a>(data: &'a DataRef<'_>, format: Option<&str>) -> Value<'a> {
    let plain = |text: String, kind| Value {
        text: text.into(),
        kind,
        rounded: false,
    };
    match data {
        DataRef::Empty => plain(String::new(), Kind::Empty),
        DataRef::String(text) => text_value(text),
        DataRef::SharedString(text) => text_value(text),
        DataRef::Int(number) => plain(number.to_string(), Kind::Number),
        DataRef::Float(number) => number_value(*number, format),
        DataRef::Bool(true) => plain("TRUE".to_owned(), Kind::Boolean),
        DataRef::Bool(false) => plain("FALSE".to_owned(), Kind::Boolean),
        DataRef::DateTime(date) => date_value(*date),
        DataRef::DateTimeIso(text) => plain(text.clone(), Kind::Date),
        DataRef::DurationIso(text) => plain(text.clone(), Kind::Duration),
        DataRef::Error(error) => plain(error.to_string(), Kind::Error),
    }
}

fn text_value(text: &str) -> Value<'_> {
    Value {
        text: text.into(),
        kind: Kind::Text,
        rounded: false,
    }
}

fn number_value(number: f64, format: Option<&str>) -> Value<'static> {
    let (text, rounded) = number_text(number);
    let (text, kind) = match format.map(format_kind) {
        Some(Kind::Percent) => (times_hundred(&text) + "%", Kind::Percent),
        Some(kind) => (text, kind),
        None => (text, Kind::Number),
    };
    Value {
        text: text.into(),
        kind,
        rounded,
    }
}

/// The shortest decimal that reads back, of at most fifteen significant digits; and whether it had
/// to be rounded to that.
pub(crate) fn number_text(number: f64) -> (String, bool) {
    let text = number.to_string();
    if significant_digits(&text) <= DIGITS_SHOWN {
        return (text, false);
    }
    let fifteen = format!("{number:.*e}", DIGITS_SHOWN - 1);
    let rounded = fifteen
        .parse::<f64>()
        .map_or(text, |nearest| nearest.to_string());
    (rounded, true)
}

fn significant_digits(text: &str) -> usize {
    let digits: Vec<u8> = text.bytes().filter(u8::is_ascii_digit).collect();
    let first = digits.iter().position(|&digit| digit != b'0');
    let last = digits.iter().rposition(|&digit| digit != b'0');
    match (first, last) {
        (Some(first), Some(last)) => last - first + 1,
        _ => 0,
    }
}

/// A decimal times a hundred, by moving its point, so that nothing is rounded.
fn times_hundred(text: &str) -> String {
    let (sign, digits) = text
        .strip_prefix('-')
        .map_or(("", text), |digits| ("-", digits));
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
    let padded = format!("{decimals:0<2}");
    let (moved, rest) = padded.split_at(2);
    let joined = format!("{whole}{moved}");
    let whole = joined.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    let point = if rest.is_empty() { "" } else { "." };
    format!("{sign}{whole}{point}{rest}")
}

/// What a number-format code makes of a number, by its first section and outside what it quotes.
fn format_kind(code: &str) -> Kind {
    let mut characters = code.chars();
    let (mut digit_before, mut quoted) = (false, false);
    while let Some(character) = characters.next() {
        match character {
            '"' => quoted = !quoted,
            _ if quoted => {}
            // The next character is printed, filled with, or as wide as a space.
            '\\' | '_' | '*' => drop(characters.next()),
            ';' => break,
            '%' => return Kind::Percent,
            '/' if digit_before => return Kind::Fraction,
            _ => {}
        }
        digit_before = !quoted && matches!(character, '?' | '#' | '0'..='9');
    }
    Kind::Number
}

/// ISO 8601 for a date or time; the number itself where no calendar has such a day.
fn date_value(date: ExcelDateTime) -> Value<'static> {
    let serial = date.as_f64();
    if date.is_duration() {
        return Value {
            text: duration_text(serial).into(),
            kind: Kind::Duration,
            rounded: false,
        };
    }
    if !(0.0..LAST_DAY).contains(&serial) {
        return number_value(serial, None);
    }
    let (year, month, day, hour, minute, second, milli) = date.to_ymd_hms_milli();
    let day_text = format!("{year:04}-{month:02}-{day:02}");
    let time_text = clock_text((hour.into(), minute, second, milli));
    let has_time = (hour, minute, second, milli) != (0, 0, 0, 0);
    let text = if serial < 1.0 {
        time_text
    } else if has_time {
        format!("{day_text}T{time_text}")
    } else {
        day_text
    };
    Value {
        text: text.into(),
        kind: Kind::Date,
        rounded: false,
    }
}

fn clock_text((hour, minute, second, milli): (u64, u8, u8, u16)) -> String {
    let decimals = if milli == 0 {
        String::new()
    } else {
        format!(".{milli:03}")
    };
    format!("{hour:02}:{minute:02}:{second:02}{decimals}")
}

/// Days as hours, minutes and seconds to the millisecond.
fn duration_text(days: f64) -> String {
    const MILLIS_PER_DAY: f64 = 86_400_000.0;
    let sign = if days < 0.0 { "-" } else { "" };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "not negative; the cast stops at the largest integer"
    )]
    let millis = (days.abs() * MILLIS_PER_DAY).round() as u64;
    let (seconds, milli) = (millis / 1000, millis % 1000);
    let (minute, second) = (seconds / 60 % 60, seconds % 60);
    let decimals = if milli == 0 {
        String::new()
    } else {
        format!(".{milli:03}")
    };
    format!(
        "{sign}{:02}:{minute:02}:{second:02}{decimals}",
        seconds / 3600
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_the_shortest_text_that_reads_back() {
        for (number, text, rounded) in [
            (14.38, "14.38", false),
            // What the file spells 14.380000000000001 is this very number.
            (
                "14.380000000000001".parse().expect("a number"),
                "14.38",
                false,
            ),
            (14.38_f64.next_up(), "14.38", true),
            (0.1 + 0.2, "0.3", true),
            (1.0 / 3.0, "0.333333333333333", true),
            (-0.015, "-0.015", false),
            (142.0, "142", false),
            (
                100_000_000_000_000_000_000.0,
                "100000000000000000000",
                false,
            ),
            (0.390_625, "0.390625", false),
            (0.0, "0", false),
        ] {
            assert_eq!(number_text(number), (text.to_owned(), rounded), "{number}");
        }
    }

    #[test]
    fn percentages_move_the_point_and_round_nothing() {
        for (text, percent) in [
            ("0.021", "2.1"),
            ("0.0075", "0.75"),
            ("1", "100"),
            ("-0.5", "-50"),
            ("0", "0"),
            ("12.345", "1234.5"),
            ("0.0000001", "0.00001"),
        ] {
            assert_eq!(times_hundred(text), percent, "{text}");
        }
    }

    #[test]
    fn a_format_code_tells_percent_and_fraction_outside_quotes() {
        for (code, kind) in [
            ("General", Kind::Number),
            ("0.00", Kind::Number),
            ("0.00%", Kind::Percent),
            ("0.0\"%\"", Kind::Number),
            ("0\\%", Kind::Number),
            ("# ?/?", Kind::Fraction),
            ("# ?/64", Kind::Fraction),
            ("0.00\" mm/s\"", Kind::Number),
            ("0;0%", Kind::Number),
        ] {
            assert_eq!(format_kind(code), kind, "{code}");
        }
    }

    /// A day has 86,400 seconds and a spreadsheet holds each as a binary fraction.
    #[test]
    fn every_second_of_a_day_is_told_exactly() {
        use calamine::ExcelDateTimeType::{DateTime, TimeDelta};
        for second in 0..86_400_u32 {
            let of_day = f64::from(second) / 86_400.0;
            let clock = format!(
                "{:02}:{:02}:{:02}",
                second / 3600,
                second / 60 % 60,
                second % 60
            );
            let text = |serial, kind| date_value(ExcelDateTime::new(serial, kind, false)).text;
            assert_eq!(text(of_day, DateTime), clock);
            assert_eq!(text(of_day, TimeDelta), clock);
            // 46351 is 2026-11-25: [ECMA-376] counts 61 as 1900-03-01.
            let day = if second == 0 {
                String::new()
            } else {
                format!("T{clock}")
            };
            assert_eq!(
                text(46_351.0 + of_day, DateTime),
                format!("2026-11-25{day}")
            );
        }
    }
}
