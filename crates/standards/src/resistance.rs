//! Train resistance of the prototype, by the formulas of the handbooks.
//!
//! w short tons per axle, n axles of the car, V mph; results in lb per short ton of 2,000 lb.
//!
//! (1) r = a + b/w + c/(w n) + d·V + e·V²/(w n)
//!
//! with the coefficients of the table `train-resistance-formulas`. Every formula was read where
//! another work quotes it; the three plain coefficients of AREA Committee 16 come from memory, and
//! so do all of Canadian National 1990, which stand in the table `cn-1990` and have no formula
//! here. The old English formula, 6 + 0.009 V², counts long tons of 2,240 lb and has none either.
//! Full-size only: no formula for models is published.
//! Sources: [DAVIS-1926], [AREA-C16], [AAR-RP-548], each as quoted elsewhere.

use crate::error::{not_negative, positive};
use crate::{Confidence, StandardsError, table};

/// A resistance formula in short tons.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Formula {
    /// Davis, 1926, freight car of 88 ft² front.
    Davis1926,
    /// AREA Committee 16, conventional cars.
    AreaCommittee16,
    /// AAR RP-548, the modified Davis formula.
    AarRp548,
}

/// Coefficients of equation (1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coefficients {
    /// a, lb/ton.
    pub constant: f64,
    /// b, lb per axle.
    pub per_axle: f64,
    /// c, lb per car.
    pub per_car: f64,
    /// d, lb/ton per mph.
    pub speed: f64,
    /// e, lb per car per mph².
    pub air: f64,
    /// The weakest confidence among them.
    pub confidence: Confidence,
}

/// A car as it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// w, short tons.
    pub tons_per_axle: f64,
    /// n.
    pub axle_count: f64,
    /// V, mph.
    pub speed_mph: f64,
}

/// The terms of equation (1), lb per short ton.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// a.
    pub constant: f64,
    /// b/w and c/(w n).
    pub load: f64,
    /// d·V.
    pub speed: f64,
    /// e·V²/(w n).
    pub air: f64,
}

impl Terms {
    /// The resistance, lb per short ton.
    #[must_use]
    pub fn lb_per_ton(&self) -> f64 {
        self.constant + self.load + self.speed + self.air
    }

    /// The resistance over the weight.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.lb_per_ton() / 2_000.0
    }
}

impl Formula {
    /// The printed coefficients, and how far they may be trusted together.
    #[must_use]
    pub fn coefficients(self) -> Coefficients {
        let row = match self {
            Self::Davis1926 => "Davis, freight car",
            Self::AreaCommittee16 => "AREA Committee 16",
            Self::AarRp548 => "AAR RP-548",
        };
        let cell = |column| table("train-resistance-formulas")?.cell(row, column);
        let number = |column| cell(column).and_then(crate::Cell::number).unwrap_or(0.0);
        let from_memory = [
            "constant",
            "per_axle_load",
            "per_car_load",
            "per_speed",
            "air",
        ]
        .into_iter()
        .filter_map(cell)
        .any(|cell| cell.confidence() == Confidence::Memory);
        Coefficients {
            constant: number("constant"),
            per_axle: number("per_axle_load"),
            per_car: number("per_car_load"),
            speed: number("per_speed"),
            air: number("air"),
            confidence: if from_memory {
                Confidence::Memory
            } else {
                Confidence::PublishedSecondary
            },
        }
    }
}

impl Coefficients {
    /// The terms of equation (1) for a car as it runs.
    ///
    /// # Errors
    /// [`StandardsError::OutOfDomain`] for a load or a number of axles that is not above zero, or
    /// a negative speed.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_standards::resistance::{Formula, Running};
    /// let loaded = Running { tons_per_axle: 35.75, axle_count: 4.0, speed_mph: 50.0 };
    /// let terms = Formula::Davis1926.coefficients().terms(loaded)?;
    /// assert!((terms.lb_per_ton() - 5.130).abs() < 0.0005);
    /// # Ok::<(), gradeworthy_standards::StandardsError>(())
    /// ```
    pub fn terms(&self, running: Running) -> Result<Terms, StandardsError> {
        let tons_per_axle = positive("a load per axle in tons", running.tons_per_axle)?;
        let car_tons = tons_per_axle * positive("a number of axles", running.axle_count)?;
        let speed = not_negative("a speed in mph", running.speed_mph)?;
        // Equation (1).
        Ok(Terms {
            constant: self.constant,
            load: self.per_axle / tons_per_axle + self.per_car / car_tons,
            speed: self.speed * speed,
            air: self.air * speed * speed / car_tons,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_with_memory_in_it_is_memory() {
        let confidence = |formula: Formula| formula.coefficients().confidence;
        assert_eq!(confidence(Formula::AreaCommittee16), Confidence::Memory);
        assert_eq!(
            confidence(Formula::Davis1926),
            Confidence::PublishedSecondary
        );
        assert_eq!(
            confidence(Formula::AarRp548),
            Confidence::PublishedSecondary
        );
    }

    #[test]
    fn a_car_without_weight_is_refused() {
        let empty = Running {
            tons_per_axle: 0.0,
            axle_count: 4.0,
            speed_mph: 10.0,
        };
        assert!(Formula::Davis1926.coefficients().terms(empty).is_err());
    }
}
