//! From a reading, its limits and its uncertainty to a verdict, under a stated decision rule.
//!
//! Symbols: y reading, u its standard uncertainty, U = 2u its expanded uncertainty, `T_L` and `T_U`
//! the tolerance limits, g = r·U the guard band, c the caution band, Φ the standard normal
//! distribution.
//!
//! The conformance probability for a two-sided tolerance and a normal distribution is
//! `p_c = Φ((T_U − y)/u) − Φ((T_L − y)/u)`, [JCGM-106 §7.4, eq. 15].
//!
//! | rule | fit | watch | bad order | source |
//! |---|---|---|---|---|
//! | simple | inside by c or more | inside by less than c | outside | [JCGM-106 §8.2] |
//! | guarded | inside by max(c, g) or more | inside by less | outside | [JCGM-106 §8.3.2] |
//! | prove either | inside by max(c, g) or more | within max(c, g) inside or g outside | outside by g or more | [ISO-14253-1] |
//!
//! A reading exactly at a limit is inside: limits belong to the tolerance, [JCGM-106 §3.3.4].
//!
//! Assumptions: the reading's distribution is normal and prior knowledge of the fleet is not used.
//! A fleet that sits near a limit makes `p_c` optimistic; that is the reason for the guard band.

use gradeworthy_units::{Amount, Angle, Force, Grade, Length, Mass, Time};
use statrs::function::erf::erfc;

use crate::Verdict;

/// Which of the decision rules of the table above is in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rule {
    /// Inside is fit, outside is bad order.
    Simple,
    /// Only what is inside by the guard band is fit.
    Guarded,
    /// Both fit and bad order must be proven; between them is watch.
    ProveEither,
}

impl Rule {
    /// Every rule, with its name in the rule book.
    pub const NAMES: [(&'static str, Self); 3] = [
        ("simple", Self::Simple),
        ("guarded", Self::Guarded),
        ("prove either", Self::ProveEither),
    ];

    /// The rule's name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Simple => "simple",
            Self::Guarded => "guarded",
            Self::ProveEither => "prove either",
        }
    }
}

/// A quantity that can be judged: ordered, with a distance between two of them.
pub trait Judgeable: Copy + PartialOrd + Into<Amount> + std::ops::Sub<Output = Self> {
    /// Nothing of it.
    const NIL: Self;
    /// As a number of any fixed unit.
    fn number(self) -> f64;
    /// From a number of that unit, which the caller knows to be finite and small.
    fn from_number(number: f64) -> Self;
}

macro_rules! judgeable {
    ($($quantity:ident: $to:ident, $from:expr);+ $(;)?) => {$(
        impl Judgeable for $quantity {
            const NIL: Self = Self::ZERO;
            fn number(self) -> f64 {
                self.$to()
            }
            fn from_number(number: f64) -> Self {
                let from: fn(f64) -> Option<Self> = $from;
                from(number).unwrap_or(Self::ZERO)
            }
        }
    )+};
}

judgeable! {
    Length: mm, Self::from_mm_rounded;
    Mass: grams, Self::from_grams_rounded;
    Angle: radians, |number| Self::from_radians(number).ok();
    Grade: ratio, |number| Self::from_ratio(number).ok();
    Time: seconds, |number| Self::from_seconds(number).ok();
    Force: newtons, |number| Self::from_newtons(number).ok();
}

/// A tolerance: a lower limit, an upper limit, or both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance<Q> {
    /// The lower limit `T_L`.
    pub lower: Option<Q>,
    /// The upper limit `T_U`.
    pub upper: Option<Q>,
}

impl<Q> Tolerance<Q> {
    /// At least `lower`.
    pub const fn at_least(lower: Q) -> Self {
        Self {
            lower: Some(lower),
            upper: None,
        }
    }

    /// At most `upper`.
    pub const fn at_most(upper: Q) -> Self {
        Self {
            lower: None,
            upper: Some(upper),
        }
    }

    /// From `lower` to `upper`.
    pub const fn between(lower: Q, upper: Q) -> Self {
        Self {
            lower: Some(lower),
            upper: Some(upper),
        }
    }
}

/// The bands inside and outside a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bands<Q> {
    /// Caution band c, inside the limit.
    pub caution: Q,
    /// Guard band g; none where the uncertainty is unknown.
    pub guard: Q,
}

/// The outcome for one reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged<Q> {
    /// The verdict.
    pub verdict: Verdict,
    /// Distance to the nearer limit, positive inside.
    pub margin: Q,
    /// Conformance probability `p_c`, where the uncertainty is known.
    pub conformity: Option<f64>,
}

/// Judges `reading`.
///
/// `standard_uncertainty` is u in the unit of [`Judgeable::number`].
/// With neither limit there is nothing to judge, and `None` comes back.
#[must_use]
pub fn judge<Q: Judgeable>(
    rule: Rule,
    reading: Q,
    tolerance: Tolerance<Q>,
    bands: Bands<Q>,
    standard_uncertainty: Option<f64>,
) -> Option<Judged<Q>> {
    let margin = margin(reading, reading, tolerance)?;
    let conformity = standard_uncertainty.map(|u| conformance_probability(reading, tolerance, u));
    Some(Judged {
        verdict: verdict(rule, margin, bands),
        margin,
        conformity,
    })
}

/// The gravest verdict on readings of which `least` and `greatest` are the ends.
///
/// The verdict depends on the margin alone, and is no graver for a greater one; the reading with the
/// least margin is one of the two ends.
pub(crate) fn gravest<Q: Judgeable>(
    rule: Rule,
    least: Q,
    greatest: Q,
    tolerance: Tolerance<Q>,
    bands: Bands<Q>,
) -> Option<Verdict> {
    margin(least, greatest, tolerance).map(|margin| verdict(rule, margin, bands))
}

/// Distance to the nearer limit of whichever of two readings is nearer to it, positive inside.
fn margin<Q: Judgeable>(least: Q, greatest: Q, tolerance: Tolerance<Q>) -> Option<Q> {
    let below = tolerance.lower.map(|lower| least - lower);
    let above = tolerance.upper.map(|upper| upper - greatest);
    match (below, above) {
        (Some(below), Some(above)) => Some(if below < above { below } else { above }),
        (only, None) | (None, only) => only,
    }
}

fn verdict<Q: Judgeable>(rule: Rule, margin: Q, bands: Bands<Q>) -> Verdict {
    let guard = if rule == Rule::Simple {
        Q::NIL
    } else {
        bands.guard
    };
    let inner = if bands.caution > guard {
        bands.caution
    } else {
        guard
    };
    let outer = if rule == Rule::ProveEither {
        guard
    } else {
        Q::NIL
    };
    if margin >= inner {
        Verdict::Fit
    } else if margin >= Q::NIL || Q::NIL - margin < outer {
        Verdict::Watch
    } else {
        Verdict::BadOrder
    }
}

/// `p_c` of [JCGM-106 §7.4]; with u = 0 it is 1 inside and 0 outside.
#[must_use]
pub fn conformance_probability<Q: Judgeable>(
    reading: Q,
    tolerance: Tolerance<Q>,
    standard_uncertainty: f64,
) -> f64 {
    if standard_uncertainty <= 0.0 {
        let inside = tolerance.lower.is_none_or(|lower| reading >= lower)
            && tolerance.upper.is_none_or(|upper| reading <= upper);
        return if inside { 1.0 } else { 0.0 };
    }
    let deviation = |limit: Q| (limit.number() - reading.number()) / standard_uncertainty;
    let upper = tolerance
        .upper
        .map_or(1.0, |limit| normal_cdf(deviation(limit)));
    let lower = tolerance
        .lower
        .map_or(0.0, |limit| normal_cdf(deviation(limit)));
    (upper - lower).clamp(0.0, 1.0)
}

/// Φ(z) = ½ erfc(−z/√2).
pub(crate) fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// The standard uncertainty of reading to a step, the true value lying anywhere within it:
/// u = step/√12, [JCGM-100 §4.3.7].
#[must_use]
pub fn resolution_uncertainty(step: f64) -> f64 {
    step.abs() / 12.0_f64.sqrt()
}

/// Two independent standard uncertainties together: √(a² + b²), [JCGM-100 §5.1.2].
#[must_use]
pub fn combined(a: f64, b: f64) -> f64 {
    a.hypot(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn time(seconds: f64) -> Time {
        Time::from_seconds(seconds).expect("finite")
    }

    /// The cases are about volts, kilopascals and viscosities; only their numbers matter here, so
    /// they are carried by a quantity that is a plain float.
    ///
    /// Their figures are from memory of the publication, whose text could not be read: they are
    /// kept as illustration, not as an oracle. The oracle is the SciPy table that
    /// `tests/decision.rs` holds the same function to.
    fn from_memory(reading: f64, lower: Option<f64>, upper: Option<f64>, u: f64) -> f64 {
        let tolerance = Tolerance {
            lower: lower.map(time),
            upper: upper.map(time),
        };
        conformance_probability(time(reading), tolerance, u)
    }

    #[test]
    fn jcgm_106_one_sided_upper_breakdown_voltage() {
        // From memory, to illustrate [JCGM-106 §7.3]:
        // v_b = −5.47 V, u = 0.05 V, limit −5.40 V: p_c = 0.92.
        assert!((from_memory(-5.47, None, Some(-5.40), 0.05) - 0.92).abs() < 0.005);
    }

    #[test]
    fn jcgm_106_one_sided_lower_bursting_strength() {
        // From memory, to illustrate [JCGM-106 §7.3]:
        // b = 509.7 kPa, u = 8.6 kPa, at least 490 kPa: p_c = 0.99.
        assert!((from_memory(509.7, Some(490.0), None, 8.6) - 0.99).abs() < 0.005);
    }

    #[test]
    fn jcgm_106_two_sided_motor_oil() {
        // From memory, to illustrate [JCGM-106 §7.4]:
        // y = 13.6, u = 1.8, from 12.5 to 16.3 mm²/s: p_c = 0.66.
        assert!((from_memory(13.6, Some(12.5), Some(16.3), 1.8) - 0.66).abs() < 0.005);
    }

    #[test]
    fn jcgm_106_guard_band_of_u_keeps_the_risk_under_2_3_percent() {
        // The guarded acceptance of [JCGM-106 §8.3.2], from memory: with w = U = 2u a reading at the
        // acceptance limit has p_c = Φ(2) = 0.977.
        let u = 0.02;
        let at_guard = from_memory(1.0 - 2.0 * u, None, Some(1.0), u);
        assert!((at_guard - 0.977).abs() < 0.0005, "{at_guard}");
    }

    fn word(rule: Rule, reading_thou: i64) -> Verdict {
        let thou = Length::from_thousandths;
        let tolerance = Tolerance::between(thou(100), thou(140));
        let bands = Bands {
            caution: thou(2),
            guard: thou(5),
        };
        judge(rule, thou(reading_thou), tolerance, bands, None)
            .expect("limits are there")
            .verdict
    }

    #[test]
    fn the_table_of_rules() {
        use Verdict::{BadOrder, Fit, Watch};
        let cases = [
            // reading: simple, guarded, prove either
            (120, Fit, Fit, Fit),
            (105, Fit, Fit, Fit),
            (104, Fit, Watch, Watch),
            (102, Fit, Watch, Watch),
            (101, Watch, Watch, Watch),
            (100, Watch, Watch, Watch),
            (99, BadOrder, BadOrder, Watch),
            (96, BadOrder, BadOrder, Watch),
            (95, BadOrder, BadOrder, BadOrder),
            (140, Watch, Watch, Watch),
            (146, BadOrder, BadOrder, BadOrder),
        ];
        for (reading, simple, guarded, either) in cases {
            assert_eq!(word(Rule::Simple, reading), simple, "simple {reading}");
            assert_eq!(word(Rule::Guarded, reading), guarded, "guarded {reading}");
            assert_eq!(word(Rule::ProveEither, reading), either, "either {reading}");
        }
    }

    #[test]
    fn at_the_limit_is_inside_to_the_nanometre() {
        let limit = Length::from_thousandths(566);
        let bands = Bands {
            caution: Length::ZERO,
            guard: Length::ZERO,
        };
        let at = |nanometres: i64| {
            let reading = limit + Length::from_nanometres(nanometres);
            judge(
                Rule::Simple,
                reading,
                Tolerance::at_least(limit),
                bands,
                None,
            )
            .expect("a limit")
            .verdict
        };
        assert_eq!(at(0), Verdict::Fit);
        assert_eq!(at(-1), Verdict::BadOrder);
    }

    proptest::proptest! {
        /// What a fleet keeps of a car rests on this.
        #[test]
        fn the_gravest_of_many_readings_is_that_of_one_of_the_ends(
            readings in proptest::collection::vec(60_i64..180, 1..12),
            lower in proptest::option::of(90_i64..110),
            upper in proptest::option::of(130_i64..150),
            caution in 0_i64..6,
            guard in 0_i64..6,
        ) {
            let thou = Length::from_thousandths;
            let tolerance = Tolerance { lower: lower.map(thou), upper: upper.map(thou) };
            let bands = Bands { caution: thou(caution), guard: thou(guard) };
            for (_, rule) in Rule::NAMES {
                let each = readings.iter().filter_map(|reading| {
                    judge(rule, thou(*reading), tolerance, bands, None)
                });
                let worst = each.map(|judged| judged.verdict).max();
                let least = readings.iter().min().map_or(Length::ZERO, |own| thou(*own));
                let greatest = readings.iter().max().map_or(Length::ZERO, |own| thou(*own));
                proptest::prop_assert_eq!(gravest(rule, least, greatest, tolerance, bands), worst);
            }
        }
    }

    #[test]
    fn without_a_limit_there_is_no_verdict() {
        let bands = Bands {
            caution: Length::ZERO,
            guard: Length::ZERO,
        };
        let tolerance = Tolerance {
            lower: None,
            upper: None,
        };
        assert!(judge(Rule::Simple, Length::ZERO, tolerance, bands, None).is_none());
    }

    #[test]
    fn resolution_of_a_hundredth_is_three_thousandths_of_doubt() {
        assert!((resolution_uncertainty(0.01) - 0.002_886_75).abs() < 1e-8);
    }
}
