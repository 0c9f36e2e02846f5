//! The kinds of cure, as the rule book and the record name them.

use std::fmt;

/// Something done to a car to put it right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CureKind {
    /// A wheel twisted and pushed along its axle.
    WheelMoved,
    /// A wheelset exchanged.
    WheelsetChanged,
    /// Treads cleaned.
    WheelsCleaned,
    /// An axle of another length fitted.
    AxleChanged,
    /// Journals reamed or cleaned.
    JournalsDressed,
    /// A side frame bent and left to spring back.
    FrameBent,
    /// A truck exchanged.
    TruckChanged,
    /// A washer put under or taken from a bolster.
    BolsterShimmed,
    /// A shim or pad set between truck and body to seat the wheels.
    SeatShimmed,
    /// A truck screw turned.
    ScrewTurned,
    /// Something trimmed so that a truck can turn.
    RiggingTrimmed,
    /// A coupler freed, cleaned or given a new spring.
    CouplerFreed,
    /// A coupler or its box exchanged.
    CouplerChanged,
    /// A strip laid in a draft-gear box against droop.
    BoxStripped,
    /// A shim put between a draft-gear box and the floor.
    BoxShimmed,
    /// A trip pin bent.
    TripPinBent,
    /// A weight added, moved or taken out.
    WeightMoved,
    /// Painted or weathered.
    Painted,
    /// Repaired after a derailment.
    DerailmentRepaired,
    /// A loose, broken or missing part put right.
    PartFixed,
}

impl CureKind {
    /// Every kind.
    pub const ALL: [Self; 20] = [
        Self::WheelMoved,
        Self::WheelsetChanged,
        Self::WheelsCleaned,
        Self::AxleChanged,
        Self::JournalsDressed,
        Self::FrameBent,
        Self::TruckChanged,
        Self::BolsterShimmed,
        Self::SeatShimmed,
        Self::ScrewTurned,
        Self::RiggingTrimmed,
        Self::CouplerFreed,
        Self::CouplerChanged,
        Self::BoxStripped,
        Self::BoxShimmed,
        Self::TripPinBent,
        Self::WeightMoved,
        Self::Painted,
        Self::DerailmentRepaired,
        Self::PartFixed,
    ];

    /// The name, as the rule book writes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::WheelMoved => "wheel moved",
            Self::WheelsetChanged => "wheelset changed",
            Self::WheelsCleaned => "wheels cleaned",
            Self::AxleChanged => "axle changed",
            Self::JournalsDressed => "journals dressed",
            Self::FrameBent => "frame bent",
            Self::TruckChanged => "truck changed",
            Self::BolsterShimmed => "bolster shimmed",
            Self::SeatShimmed => "seat shimmed",
            Self::ScrewTurned => "screw turned",
            Self::RiggingTrimmed => "rigging trimmed",
            Self::CouplerFreed => "coupler freed",
            Self::CouplerChanged => "coupler changed",
            Self::BoxStripped => "box stripped",
            Self::BoxShimmed => "box shimmed",
            Self::TripPinBent => "trip pin bent",
            Self::WeightMoved => "weight moved",
            Self::Painted => "painted",
            Self::DerailmentRepaired => "derailment repaired",
            Self::PartFixed => "part fixed",
        }
    }

    /// The kind of that name; case, hyphens and underscores do not matter.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        let plain = name.trim().to_lowercase().replace(['-', '_'], " ");
        Self::ALL.into_iter().find(|kind| kind.name() == plain)
    }
}

impl fmt::Display for CureKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_by_its_name() {
        for kind in CureKind::ALL {
            assert_eq!(
                CureKind::from_name(&kind.name().replace(' ', "-")),
                Some(kind)
            );
        }
        assert_eq!(CureKind::from_name("prayed over"), None);
    }
}
