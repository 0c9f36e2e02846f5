//! Amounts in the units of the bench.

use gradeworthy_units::{Amount, Length};

/// Which system of units a reader wants.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// Millimetres and grams, with inches and ounces in brackets.
    #[default]
    Both,
    /// Millimetres and grams.
    Metric,
    /// Inches and ounces.
    Inch,
}

/// An amount for reading.
#[must_use]
pub fn amount(amount: Amount, system: System) -> String {
    match amount {
        Amount::Length(length) => in_system(
            system,
            format!("{} mm", trimmed(length.mm(), 3)),
            inches(length),
        ),
        Amount::Mass(mass) => in_system(
            system,
            format!("{:.1} g", mass.grams()),
            format!("{:.2} oz", mass.ounces()),
        ),
        Amount::Angle(angle) => format!("{:.1}°", angle.degrees()),
        Amount::Grade(grade) => format!("{:.2} %", grade.percent()),
        Amount::Time(time) => format!("{:.1} s", time.seconds()),
        Amount::Force(force) => format!("{:.2} gf", force.grams_force()),
    }
}

/// A length with its sign written out.
#[must_use]
pub fn signed(length: Length, system: System) -> String {
    let sign = if length < Length::ZERO { "−" } else { "+" };
    format!("{sign}{}", amount(length.abs().into(), system))
}

/// The same amount the other way round.
pub(super) fn negated(amount: Amount) -> Amount {
    match amount {
        Amount::Length(length) => (-length).into(),
        Amount::Mass(mass) => (-mass).into(),
        Amount::Angle(angle) => (-angle).into(),
        Amount::Grade(grade) => (-grade).into(),
        Amount::Time(time) => (-time).into(),
        Amount::Force(force) => (-force).into(),
    }
}

fn in_system(system: System, metric: String, inch: String) -> String {
    match system {
        System::Both => format!("{metric} ({inch})"),
        System::Metric => metric,
        System::Inch => inch,
    }
}

/// Thousandths as the shop writes them: `.0052 in`.
fn inches(length: Length) -> String {
    let text = format!("{:.4}", length.inches());
    let text = text
        .strip_prefix("0.")
        .map_or(text.clone(), |rest| format!(".{rest}"));
    let text = text
        .strip_prefix("-0.")
        .map_or(text.clone(), |rest| format!("-.{rest}"));
    format!("{text} in")
}

/// At most `places` decimals, without zeros at the end, but at least two places.
fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_suffix('0') {
        Some(shorter) if shorter.len() >= text.find('.').unwrap_or(0) + 3 => shorter.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use gradeworthy_units::Mass;

    use super::*;

    #[test]
    fn both_systems_as_the_shop_writes_them() {
        let gauge = Length::from_thousandths(566).into();
        assert_eq!(amount(gauge, System::Both), "14.376 mm (.5660 in)");
        assert_eq!(amount(gauge, System::Inch), ".5660 in");
        assert_eq!(
            amount(Length::from_hundredths_mm(1650).into(), System::Metric),
            "16.50 mm"
        );
        assert_eq!(
            amount(Mass::from_milliounces(4_000).into(), System::Both),
            "113.4 g (4.00 oz)"
        );
        assert_eq!(
            signed(Length::from_thousandths(-5), System::Inch),
            "−.0050 in"
        );
    }
}
