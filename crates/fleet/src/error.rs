//! What can be wrong with a car that is put into the fleet.

use gradeworthy_workbench::record::{CarMark, Measure, Place};

/// Why a car was not taken in.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FleetError {
    /// A reading is of another kind than its measure.
    #[error(
        "{mark}: the reading of {measure} at {place} is of another kind than {measure} is; \
         strike it and read it again"
    )]
    WrongKind {
        /// The car.
        mark: CarMark,
        /// What was read.
        measure: Measure,
        /// Where.
        place: Place,
    },
}
