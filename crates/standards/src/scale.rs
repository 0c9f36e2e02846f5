//! Scales: their names, ratios and gauges.
//!
//! HO of the NMRA is 3.5 mm to the foot, 304.8 : 3.5 = 3048 : 35; H0 of the NEM is 1:87.
//! The two share track and trade and stay two scales here, written with the letter and the zero.
//! Likewise O is 1:48 and the NEM's 0 is 1:45.
//! Gauges are the customary millimetres printed beside the name, [NMRA-S-1.2] and [NEM-010]; the
//! limits of gauge stand with the track standards.

use std::fmt;
use std::str::FromStr;
use std::sync::LazyLock;

use gradeworthy_units::{Length, Ratio};

use crate::{PrototypeGauge, StandardsError};

/// A scale together with the gauge of its track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[expect(
    missing_docs,
    reason = "each is the name it displays; the table below says the rest"
)]
pub enum Scale {
    Z,
    N,
    Nn2,
    Nn3,
    TT,
    HO,
    HOn2,
    HOn30,
    HOn3,
    NemH0,
    NemH0e,
    NemH0m,
    OO,
    S,
    Sn2,
    Sn3,
    O,
    On2,
    On30,
    On3,
    Nem0,
    No1,
    No1n3,
    NemII,
    F,
    Fn3,
    ThreeQuarterInch,
    OneInch,
}

/// Where the gauge of a scale is printed: row and column.
#[derive(Clone, Copy)]
enum GaugeCell {
    Nmra(&'static str),
    NmraNominal(&'static str),
    Nem(&'static str, &'static str),
    NotPrinted,
}

struct Entry {
    scale: Scale,
    name: &'static str,
    /// Prototype over model.
    ratio: (i64, i64),
    gauge: GaugeCell,
    prototype: Option<PrototypeGauge>,
    /// Further spellings: small letters, without spaces and points.
    spellings: &'static [&'static str],
}

const fn entry(
    scale: Scale,
    name: &'static str,
    ratio: (i64, i64),
    gauge: GaugeCell,
    prototype: Option<PrototypeGauge>,
    spellings: &'static [&'static str],
) -> Entry {
    Entry {
        scale,
        name,
        ratio,
        gauge,
        prototype,
        spellings,
    }
}

/// 304.8 mm at full size for 3.5 mm of model.
const HO_RATIO: (i64, i64) = (3048, 35);
const STANDARD: Option<PrototypeGauge> = Some(PrototypeGauge::Standard);
const THREE_FOOT: Option<PrototypeGauge> = Some(PrototypeGauge::ThreeFoot);
const TWO_FOOT: Option<PrototypeGauge> = Some(PrototypeGauge::TwoFoot);

/// Every scale. A gauge of 30 in, and the metric narrow gauges, are none of 49 CFR 231.31.
const SCALES: &[Entry] = {
    use GaugeCell::{Nem, Nmra, NmraNominal, NotPrinted};
    use Scale as S;
    &[
        entry(S::Z, "Z", (220, 1), Nmra("Z"), STANDARD, &[]),
        entry(S::N, "N", (160, 1), NmraNominal("N"), STANDARD, &[]),
        entry(S::Nn2, "Nn2", (160, 1), NotPrinted, TWO_FOOT, &[]),
        entry(S::Nn3, "Nn3", (160, 1), Nmra("Nn3"), THREE_FOOT, &[]),
        entry(S::TT, "TT", (120, 1), Nmra("TT"), STANDARD, &[]),
        entry(S::HO, "HO", HO_RATIO, Nmra("HO"), STANDARD, &["ho1:871"]),
        entry(S::HOn2, "HOn2", HO_RATIO, Nmra("HOn2"), TWO_FOOT, &[]),
        entry(
            S::HOn30,
            "HOn30",
            HO_RATIO,
            Nmra("HOn30 (HOn2½, H0e)"),
            None,
            &["hon2½", "hon25", "hon21/2"],
        ),
        entry(S::HOn3, "HOn3", HO_RATIO, Nmra("HOn3"), THREE_FOOT, &[]),
        entry(
            S::NemH0,
            "H0",
            (87, 1),
            Nem("H0", "standard"),
            STANDARD,
            &["h01:87"],
        ),
        entry(S::NemH0e, "H0e", (87, 1), Nem("H0", "e"), None, &[]),
        entry(S::NemH0m, "H0m", (87, 1), Nem("H0", "m"), None, &[]),
        // 1:76.2 is 4 mm to the foot.
        entry(
            S::OO,
            "OO",
            (381, 5),
            Nmra("OO (American)"),
            STANDARD,
            &["oo(american)", "oo(am)"],
        ),
        entry(S::S, "S", (64, 1), Nmra("S"), STANDARD, &[]),
        entry(S::Sn2, "Sn2", (64, 1), Nmra("Sn2"), TWO_FOOT, &[]),
        entry(S::Sn3, "Sn3", (64, 1), Nmra("Sn3"), THREE_FOOT, &[]),
        entry(S::O, "O", (48, 1), Nmra("O"), STANDARD, &[]),
        entry(S::On2, "On2", (48, 1), Nmra("On2"), TWO_FOOT, &[]),
        entry(
            S::On30,
            "On30",
            (48, 1),
            Nmra("On30"),
            None,
            &["on2½", "on25", "on21/2"],
        ),
        entry(S::On3, "On3", (48, 1), Nmra("On3"), THREE_FOOT, &[]),
        entry(S::Nem0, "0", (45, 1), Nem("0", "standard"), STANDARD, &[]),
        entry(
            S::No1,
            "No. 1",
            (32, 1),
            Nmra("No. 1"),
            STANDARD,
            &["#1", "i", "#1(i)", "1"],
        ),
        entry(
            S::No1n3,
            "No. 1n3",
            (32, 1),
            NotPrinted,
            THREE_FOOT,
            &["#1n3", "1n3"],
        ),
        entry(
            S::NemII,
            "II",
            (45, 2),
            Nem("II", "standard"),
            STANDARD,
            &[],
        ),
        entry(S::F, "F", (203, 10), Nmra("F"), STANDARD, &[]),
        entry(S::Fn3, "Fn3", (203, 10), Nmra("Fn3"), THREE_FOOT, &[]),
        entry(
            S::ThreeQuarterInch,
            "3/4 in",
            (16, 1),
            Nmra("¾ in"),
            STANDARD,
            &["3/4\"", "¾in", "¾\"", "3/4inch"],
        ),
        entry(
            S::OneInch,
            "1 in",
            (12, 1),
            Nmra("1 in"),
            STANDARD,
            &["1\"", "1inch"],
        ),
    ]
};

/// The gauge of each row of [`SCALES`].
static GAUGES: LazyLock<Vec<Option<Length>>> =
    LazyLock::new(|| SCALES.iter().map(|entry| entry.gauge.length()).collect());

impl GaugeCell {
    fn length(self) -> Option<Length> {
        let (table, row, column) = match self {
            Self::Nmra(row) => ("nmra-scales", row, "gauge_mm"),
            Self::NmraNominal(row) => ("nmra-scales", row, "gauge_nominal_mm"),
            Self::Nem(row, column) => ("nem-010", row, column),
            Self::NotPrinted => return None,
        };
        crate::table(table)?.cell(row, column)?.length()
    }
}

impl Scale {
    /// Every scale, from the smallest.
    pub fn all() -> impl Iterator<Item = Self> {
        SCALES.iter().map(|entry| entry.scale)
    }

    /// The name, as its own standard writes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.entry().name
    }

    /// Prototype over model, exactly.
    #[must_use]
    pub fn ratio(self) -> Ratio {
        let (prototype, model) = self.entry().ratio;
        Ratio::new(prototype, model).expect("every ratio of the table is above one")
    }

    /// The customary gauge, in the millimetres printed beside the name.
    ///
    /// `None` for Nn2 and No. 1n3, whose gauge the scale lists do not print.
    #[must_use]
    pub fn gauge(self) -> Option<Length> {
        GAUGES[self.index()]
    }

    /// The prototype's gauge, where 49 CFR 231.31 knows it.
    #[must_use]
    pub fn prototype_gauge(self) -> Option<PrototypeGauge> {
        self.entry().prototype
    }

    fn entry(self) -> &'static Entry {
        &SCALES[self.index()]
    }

    fn index(self) -> usize {
        SCALES
            .iter()
            .position(|entry| entry.scale == self)
            .expect("every scale has a row in the table above")
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl FromStr for Scale {
    type Err = StandardsError;

    /// Reads a name in any case, with or without spaces, points and the word 'scale'.
    ///
    /// # Errors
    /// [`StandardsError::UnknownScale`] names those that would do;
    /// [`StandardsError::SeveralScales`] for G and LS.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_standards::Scale;
    /// assert_eq!("HO scale".parse(), Ok(Scale::HO));
    /// assert_eq!("H0".parse(), Ok(Scale::NemH0));
    /// assert_ne!(Scale::HO.ratio(), Scale::NemH0.ratio());
    /// ```
    fn from_str(text: &str) -> Result<Self, StandardsError> {
        let wanted = plain(text);
        if matches!(wanted.as_str(), "g" | "ls" | "g/ls") {
            return Err(StandardsError::SeveralScales {
                text: text.trim().to_owned(),
            });
        }
        SCALES
            .iter()
            .find(|entry| plain(entry.name) == wanted || entry.spellings.contains(&wanted.as_str()))
            .map(|entry| entry.scale)
            .ok_or_else(|| StandardsError::UnknownScale {
                text: text.trim().to_owned(),
                known: SCALES
                    .iter()
                    .map(|entry| entry.name)
                    .collect::<Vec<_>>()
                    .join(", "),
            })
    }
}

/// Small letters without spaces and points, and without the word 'scale' at the end.
fn plain(text: &str) -> String {
    let small = text.trim().to_lowercase();
    small
        .strip_suffix("scale")
        .unwrap_or(&small)
        .chars()
        .filter(|character| !character.is_whitespace() && *character != '.')
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_spellings() {
        for (text, scale) in [
            ("ho", Scale::HO),
            (" HO ", Scale::HO),
            ("h0", Scale::NemH0),
            ("HOn2½", Scale::HOn30),
            ("HOn2.5", Scale::HOn30),
            ("H0e", Scale::NemH0e),
            ("O scale", Scale::O),
            ("0", Scale::Nem0),
            ("No. 1", Scale::No1),
            ("#1", Scale::No1),
            ("OO (Am.)", Scale::OO),
            ("1\"", Scale::OneInch),
            ("¾ in", Scale::ThreeQuarterInch),
        ] {
            assert_eq!(text.parse(), Ok(scale), "{text}");
        }
    }

    #[test]
    fn every_name_reads_back() {
        for scale in Scale::all() {
            assert_eq!(scale.to_string().parse(), Ok(scale));
        }
    }

    #[test]
    fn what_is_no_single_scale_is_refused() {
        let unknown = "0n3".parse::<Scale>().expect_err("no such scale");
        assert!(
            unknown
                .to_string()
                .starts_with("the scale '0n3' is not known; write one of Z, N,")
        );
        let several = "G".parse::<Scale>().expect_err("several scales");
        assert!(several.to_string().starts_with("'G' is 45 mm track"));
    }

    // Sources: [NMRA-S-1.2] 3.5 mm to the foot; [NEM-010] row H0, 1:87.
    #[test]
    fn ho_and_h0_are_not_the_same_ratio() {
        assert_eq!(Scale::HO.ratio().parts(), (3048, 35));
        assert_eq!(Scale::NemH0.ratio().parts(), (87, 1));
        assert_eq!(Scale::HO.gauge(), Scale::NemH0.gauge());
    }

    /// The ratio of every scale is the printed one, within the printed places.
    #[test]
    fn ratios_agree_with_the_printed_lists() {
        for scale in Scale::all() {
            let (table, row) = match scale.entry().gauge {
                GaugeCell::Nmra(row) | GaugeCell::NmraNominal(row) => ("nmra-scales", row),
                GaugeCell::Nem(row, _) => ("nem-010", row),
                GaugeCell::NotPrinted => continue,
            };
            let printed = crate::table(table)
                .and_then(|table| table.cell(row, "ratio")?.number())
                .expect("every row prints a ratio");
            assert!(
                (scale.ratio().value() - printed).abs() < 0.05,
                "{scale}: {printed}"
            );
        }
    }
}
