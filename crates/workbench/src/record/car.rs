//! The car itself: whose it is, what it is called, and the few figures of it that checks need.

use std::fmt;

use gradeworthy_standards::Scale;
use gradeworthy_units::Length;

/// Reporting marks and number, as lettered: `SKV 1201`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CarMark(Box<str>);

/// A text that names no car.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CarMarkError {
    /// Nothing there.
    #[error("the car has no name; give reporting marks and number, such as 'SKV 1201'")]
    Empty,
    /// Too long to be lettered on a car.
    #[error("'{start}…' is {length} characters long; a car's name has at most {length_max}")]
    TooLong {
        /// Its beginning.
        start: String,
        /// Its length in characters.
        length: usize,
        /// The most that is taken.
        length_max: usize,
    },
    /// A character that no pen or printer makes: no sheet and no label could hold it.
    #[error("{name:?} holds a character that cannot be lettered on a car; type the name again")]
    NotLettering {
        /// The whole of it, such characters by their numbers.
        name: String,
    },
}

impl CarMark {
    /// Longest name taken. ASSUMED: real marks have at most four letters and six digits; the rest
    /// is room for owners' habits. Raising it costs nothing but width on a label.
    const LENGTH_MAX: usize = 40;

    /// A car's name with its white space tidied and its letters in capitals.
    ///
    /// # Errors
    /// [`CarMarkError`] when there is nothing, too much, or what is no lettering.
    pub fn new(text: &str) -> Result<Self, CarMarkError> {
        let name = text
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .to_uppercase();
        let length = name.chars().count();
        if length == 0 {
            return Err(CarMarkError::Empty);
        }
        if length > Self::LENGTH_MAX {
            let start = name.chars().take(12).collect();
            return Err(CarMarkError::TooLong {
                start,
                length,
                length_max: Self::LENGTH_MAX,
            });
        }
        if name.chars().any(char::is_control) {
            return Err(CarMarkError::NotLettering { name });
        }
        Ok(Self(name.into()))
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for CarMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// Car-type letters in the manner of the AAR: X box, F flat, G gondola, H hopper, L special,
/// T tank, R refrigerator, S stock, N caboose, with further letters as the club uses them.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CarType(Box<str>);

impl CarType {
    /// Type letters, in capitals.
    #[must_use]
    pub fn new(letters: &str) -> Self {
        Self(letters.trim().to_uppercase().into())
    }

    /// The letters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// How many axles, and in what arrangement.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Axles {
    /// Two axles in the body, no trucks.
    Two,
    /// Two two-axle trucks.
    #[default]
    Four,
    /// Two three-axle trucks.
    Six,
}

impl Axles {
    /// How many axles.
    #[must_use]
    pub const fn count(self) -> u8 {
        match self {
            Self::Two => 2,
            Self::Four => 4,
            Self::Six => 6,
        }
    }

    /// The arrangement with so many axles.
    #[must_use]
    pub const fn from_count(count: i64) -> Option<Self> {
        match count {
            2 => Some(Self::Two),
            4 => Some(Self::Four),
            6 => Some(Self::Six),
            _ => None,
        }
    }
}

/// A word on a car that the rule book's exceptions look for: `open top`, `brass`, `grandfathered`.
pub type Tag = Box<str>;

/// Figures of the car that checks and cures use. What nobody entered is `None`, never a guess.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures {
    /// Axles and their arrangement.
    pub axles: Axles,
    /// Length of the body, couplers left out.
    pub body_length: Option<Length>,
    /// Length over buffers or over couplers.
    pub length_over_couplers: Option<Length>,
    /// Distance between bolsters.
    pub truck_centres: Option<Length>,
    /// Distance between the outer axles of a truck.
    pub truck_wheelbase: Option<Length>,
    /// From the bolster to the coupler's face, at the A and at the B end.
    pub overhang: [Option<Length>; 2],
    /// RP-25 tread code of the wheels.
    pub wheel_code: Option<u16>,
    /// Material of the side frames, as the shop names it.
    pub frame_material: Option<Box<str>>,
    /// Washers already under the A and the B bolster.
    pub bolster_shims: [Vec<Length>; 2],
}

/// A car as the bench meets it.
#[derive(Clone, Debug, PartialEq)]
pub struct Car {
    /// Reporting marks and number.
    pub mark: CarMark,
    /// The scale it is built to.
    pub scale: Scale,
    /// Its type letters, where known.
    pub car_type: Option<CarType>,
    /// Whose it is, where known.
    pub owner: Option<Box<str>>,
    /// What the record calls it: '40-ft box car'.
    pub description: Option<Box<str>>,
    /// Words that exceptions look for.
    pub tags: Vec<Tag>,
    /// What was measured once and for all.
    pub figures: Figures,
}

impl Car {
    /// A car of which nothing but name and scale is known.
    #[must_use]
    pub fn new(mark: CarMark, scale: Scale) -> Self {
        Self {
            mark,
            scale,
            car_type: None,
            owner: None,
            description: None,
            tags: Vec::new(),
            figures: Figures::default(),
        }
    }

    /// Whether the car carries `tag`.
    #[must_use]
    pub fn has_tag(&self, tag: &str) -> bool {
        self.tags.iter().any(|own| own.eq_ignore_ascii_case(tag))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_car_has_one_name_however_it_is_typed() {
        let name = |text| CarMark::new(text).map(|mark| mark.to_string());
        assert_eq!(name("  skv   1201 "), Ok("SKV 1201".to_owned()));
        assert_eq!(name(" "), Err(CarMarkError::Empty));
        assert!(matches!(
            name(&"9".repeat(41)),
            Err(CarMarkError::TooLong { length: 41, .. })
        ));
        let refusal = CarMark::new("skv\u{0} 1201").expect_err("no lettering");
        let said = refusal.to_string();
        assert!(said.starts_with("\"SKV\\0 1201\" holds"), "{said}");
    }
}
