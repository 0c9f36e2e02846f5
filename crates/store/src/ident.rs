//! The names by which rows are known. A car's identity is its [`CarId`], whatever is lettered on it.

use std::fmt;

use sha2::{Digest, Sha256};

use crate::Error;

macro_rules! row_number {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub(crate) i64);

        impl $name {
            /// The identity with this number, as a page or a label quotes it.
            #[must_use]
            pub const fn from_number(number: i64) -> Self {
                Self(number)
            }

            /// The number, for a page or a label.
            #[must_use]
            pub const fn number(self) -> i64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl rusqlite::ToSql for $name {
            fn to_sql(&self) -> rusqlite::Result<rusqlite::types::ToSqlOutput<'_>> {
                self.0.to_sql()
            }
        }

        impl rusqlite::types::FromSql for $name {
            fn column_result(
                value: rusqlite::types::ValueRef<'_>,
            ) -> rusqlite::types::FromSqlResult<Self> {
                i64::column_result(value).map(Self)
            }
        }
    };
}

row_number! {
    /// A car, through renumbering, retrucking and change of owner.
    CarId
}
row_number! {
    /// A member of the club.
    MemberId
}
row_number! {
    /// The place of an event in the order of everything ever recorded.
    Seq
}
row_number! {
    /// How far a car's record had come: the sequence number of its last event.
    Version
}

impl From<Seq> for Version {
    fn from(seq: Seq) -> Self {
        Self(seq.0)
    }
}

/// The identity that the sender of an event gave it, so that sending it twice enters it once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClientId([u8; 16]);

impl ClientId {
    /// The identity with these bytes.
    #[must_use]
    pub const fn from_bytes(bytes: [u8; 16]) -> Self {
        Self(bytes)
    }

    /// A fresh identity: 128 random bits.
    ///
    /// # Errors
    /// [`Error::NoRandomness`] when the operating system gives none.
    pub fn random() -> Result<Self, Error> {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes).map_err(Error::NoRandomness)?;
        Ok(Self(bytes))
    }

    /// The bytes.
    #[must_use]
    pub const fn bytes(self) -> [u8; 16] {
        self.0
    }

    /// The identity that follows from this one for `what` is sent along under it, so that sending it twice
    /// enters it once.
    #[must_use]
    pub fn derived(self, what: &str) -> Self {
        let digest = Sha256::new()
            .chain_update(self.0)
            .chain_update(what)
            .finalize();
        let mut bytes = [0; 16];
        bytes.copy_from_slice(&digest[..16]);
        Self(bytes)
    }

    /// The identity written as 32 hexadecimal digits.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        from_hex(text).map(Self)
    }
}

impl fmt::Display for ClientId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// Bytes written as hexadecimal digits, exactly `N` of them.
pub(crate) fn from_hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    if text.len() != 2 * N || !text.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return None;
    }
    let mut bytes = [0; N];
    for (index, byte) in bytes.iter_mut().enumerate() {
        *byte = u8::from_str_radix(&text[2 * index..2 * index + 2], 16).ok()?;
    }
    Some(bytes)
}

/// A bench, by the name the shop gives it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bench(Box<str>);

impl Bench {
    /// The bench of that name; `None` for an empty one.
    #[must_use]
    pub fn new(name: &str) -> Option<Self> {
        let name = name.trim();
        (!name.is_empty()).then(|| Self(name.into()))
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_client_id_reads_back_from_its_digits() {
        let id = ClientId::random().expect("randomness");
        assert_eq!(ClientId::from_hex(&id.to_string()), Some(id));
        assert_eq!(ClientId::from_hex("0"), None);
        assert_eq!(ClientId::from_hex(&"é".repeat(16)), None);
    }
}
