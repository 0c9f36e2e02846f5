//! Plain lists: each a closed set of words that people tick and the file spells out.

use gradeworthy_workbench::cures::CureKind;

macro_rules! plain_list {
    ($(#[$doc:meta])* $name:ident { $( $(#[$item_doc:meta])* $item:ident = $word:literal ),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $( $(#[$item_doc])* $item ),+ }

        impl $name {
            /// Every one, in the order a page lists them.
            pub const ALL: &'static [Self] = &[$(Self::$item),+];

            /// The words for it.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$item => $word),+ }
            }

            /// The one with that name.
            #[must_use]
            pub fn from_name(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|own| own.name() == name)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.name())
            }
        }
    };
}
pub(crate) use plain_list;

plain_list! {
    /// What is wrong with a car, as a crew can tick it. Common practice, no source: the prototype's
    /// card has some thirty lines; these are the ones a model can have.
    Defect {
        /// It left the rails.
        Derailed = "left the rails",
        /// It came uncoupled.
        Uncoupled = "came uncoupled",
        /// It would not couple.
        WouldNotCouple = "would not couple",
        /// The coupler is high, low or droops.
        CouplerHeight = "coupler high or low",
        /// The coupler is broken or gone.
        CouplerBroken = "coupler broken",
        /// Something drags or catches.
        Drags = "drags or catches",
        /// It rolls stiffly.
        Stiff = "rolls stiffly",
        /// It rocks or leans.
        Leans = "rocks or leans",
        /// A wheel is loose, dirty or out of gauge.
        Wheel = "wheel",
        /// A truck is loose, stiff or broken.
        Truck = "truck",
        /// A part is loose or gone.
        PartLoose = "part loose or gone",
        /// It shorts the track.
        Shorts = "shorts the track",
        /// Something else; the note says what.
        Other = "something else",
    }
}

plain_list! {
    /// What a car waits for.
    WaitFor {
        /// Parts.
        Parts = "parts",
        /// The owner's word.
        Owner = "owner",
    }
}

plain_list! {
    /// Kinds of work on which an owner has a say.
    Work {
        /// Cleaning of wheels and track dirt.
        Cleaning = "cleaning",
        /// Wheels moved or exchanged.
        Wheels = "wheels",
        /// Trucks bent, reamed, shimmed, exchanged.
        Trucks = "trucks",
        /// Couplers and their boxes.
        Couplers = "couplers",
        /// Weights added, moved, taken out.
        Weights = "weights",
        /// Body, rigging, paint.
        Body = "body",
    }
}

impl Work {
    /// The kind of work that a cure is.
    #[must_use]
    pub const fn of(cure: CureKind) -> Self {
        match cure {
            CureKind::WheelsCleaned => Self::Cleaning,
            CureKind::WheelMoved | CureKind::WheelsetChanged | CureKind::AxleChanged => {
                Self::Wheels
            }
            CureKind::JournalsDressed
            | CureKind::FrameBent
            | CureKind::TruckChanged
            | CureKind::BolsterShimmed
            | CureKind::SeatShimmed
            | CureKind::ScrewTurned => Self::Trucks,
            CureKind::CouplerFreed
            | CureKind::CouplerChanged
            | CureKind::BoxStripped
            | CureKind::BoxShimmed
            | CureKind::TripPinBent => Self::Couplers,
            CureKind::WeightMoved => Self::Weights,
            CureKind::RiggingTrimmed
            | CureKind::Painted
            | CureKind::DerailmentRepaired
            | CureKind::PartFixed => Self::Body,
        }
    }
}

impl Work {
    /// The kind of work that fitting a part is.
    #[must_use]
    pub const fn of_part(part: Part) -> Self {
        match part {
            Part::Truck => Self::Trucks,
            Part::Wheelset => Self::Wheels,
            Part::Coupler | Part::DraftGearBox => Self::Couplers,
            Part::Weight => Self::Weights,
            Part::Other => Self::Body,
        }
    }
}

plain_list! {
    /// A kind of part whose history is kept.
    Part {
        /// A truck.
        Truck = "truck",
        /// A wheelset.
        Wheelset = "wheelset",
        /// A coupler.
        Coupler = "coupler",
        /// A draft-gear box.
        DraftGearBox = "draft-gear box",
        /// A weight.
        Weight = "weight",
        /// Something else.
        Other = "something else",
    }
}

plain_list! {
    /// How a photograph is coded.
    PhotoType {
        /// JPEG.
        Jpeg = "image/jpeg",
        /// PNG.
        Png = "image/png",
        /// WebP.
        WebP = "image/webp",
    }
}
