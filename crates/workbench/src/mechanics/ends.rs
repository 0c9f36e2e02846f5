//! The two ends and the two sides of a car.
//!
//! The B end is the one with the hand brake (common practice, no source); left and right are as
//! seen by a person who faces the A end.

use std::fmt;

/// One end of a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum End {
    /// The end without the hand brake.
    A,
    /// The hand-brake end.
    B,
}

impl End {
    /// Both ends, A first.
    pub const BOTH: [Self; 2] = [Self::A, Self::B];

    /// 0 for A and 1 for B.
    #[must_use]
    pub const fn index(self) -> usize {
        match self {
            Self::A => 0,
            Self::B => 1,
        }
    }

    /// The other end.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }
}

impl fmt::Display for End {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::A => "A",
            Self::B => "B",
        })
    }
}

/// One side of a car, as seen by a person who faces the A end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// Left, where y is positive.
    Left,
    /// Right.
    Right,
}

impl Side {
    /// Both sides, left first.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// 0 for left and 1 for right.
    #[must_use]
    pub const fn index(self) -> usize {
        match self {
            Self::Left => 0,
            Self::Right => 1,
        }
    }

    /// The other side.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Left => "left",
            Self::Right => "right",
        })
    }
}

/// One of something at each end of a car.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Ends<T> {
    /// At the A end.
    pub a: T,
    /// At the B end.
    pub b: T,
}

impl<T> Ends<T> {
    /// The same thing worked out at each end.
    pub fn map<U>(self, mut work: impl FnMut(T) -> U) -> Ends<U> {
        Ends {
            a: work(self.a),
            b: work(self.b),
        }
    }

    /// The same thing worked out at each end, where it may fail.
    ///
    /// # Errors
    /// Whatever `work` returns for the first end that fails.
    pub fn try_map<U, E>(self, mut work: impl FnMut(T) -> Result<U, E>) -> Result<Ends<U>, E> {
        Ok(Ends {
            a: work(self.a)?,
            b: work(self.b)?,
        })
    }

    /// The car turned end for end.
    #[must_use]
    pub fn swapped(self) -> Self {
        Self {
            a: self.b,
            b: self.a,
        }
    }

    /// What stands at `end`.
    #[must_use]
    pub const fn at(&self, end: End) -> &T {
        match end {
            End::A => &self.a,
            End::B => &self.b,
        }
    }

    /// What stands at `end`, to change it.
    #[must_use]
    pub const fn at_mut(&mut self, end: End) -> &mut T {
        match end {
            End::A => &mut self.a,
            End::B => &mut self.b,
        }
    }
}
