//! A number together with how it is known.

/// How a number is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Provenance {
    /// Measured on this very vehicle.
    Measured,
    /// The default of its class, from a published source.
    ClassDefault,
    /// An engineering estimate that no source backs.
    Assumed,
}

/// A number, how it is known, and between which values it may lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced {
    /// The number used, in the SI unit of its quantity.
    pub value: f64,
    /// The least it may be.
    pub low: f64,
    /// The most it may be.
    pub high: f64,
    /// How it is known.
    pub provenance: Provenance,
}

impl Sourced {
    /// A number measured on this vehicle; the result does not lean on it as on an assumption.
    #[must_use]
    pub const fn measured(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
            provenance: Provenance::Measured,
        }
    }

    /// The default of a class, with the range the class covers.
    #[must_use]
    pub const fn class_default(value: f64, low: f64, high: f64) -> Self {
        Self {
            value,
            low,
            high,
            provenance: Provenance::ClassDefault,
        }
    }

    /// An assumed number, with the range it may lie in.
    #[must_use]
    pub const fn assumed(value: f64, low: f64, high: f64) -> Self {
        Self {
            value,
            low,
            high,
            provenance: Provenance::Assumed,
        }
    }

    /// Whether nobody measured it on this vehicle.
    #[must_use]
    pub fn is_unmeasured(&self) -> bool {
        self.provenance != Provenance::Measured
    }
}
