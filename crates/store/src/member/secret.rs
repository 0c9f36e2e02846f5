//! Passwords and PINs: never kept, only their Argon2id hashes; and tokens, of which only the SHA-256.
//!
//! A token has 256 random bits, so that its plain SHA-256 tells a thief of the file nothing; a
//! password has far fewer, hence the slow hash with its own salt.
//! Source: [RFC-9106] for Argon2id; cost of 19 MiB, two passes, one lane, the default of the library
//! and the first choice for memory this small in [OWASP-PASSWORDS].

use std::fmt;

use argon2::password_hash::phc::PasswordHash;
use argon2::{Argon2, PasswordHasher, PasswordVerifier};
use sha2::{Digest, Sha256};

use crate::Error;
use crate::ident::from_hex;

/// What a member types to prove who he is.
#[derive(Clone, Copy)]
pub enum Secret<'a> {
    /// A password.
    Password(&'a str),
    /// A PIN, for a bench that is known.
    Pin(&'a str),
}

impl fmt::Debug for Secret<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Password(_) => "Password(…)",
            Self::Pin(_) => "Pin(…)",
        })
    }
}

/// Least length of a password. ASSUMED: eight characters, for a basement network with a lock-out
/// after a few tries; raising it costs members patience and nothing else.
const PASSWORD_LEAST: usize = 8;
/// Least length of a PIN. ASSUMED: four; with five tries before a lock-out a thief at the bench has
/// one chance in two thousand.
const PIN_LEAST: usize = 4;
/// The most that is hashed, so that nobody keeps the machine busy with a novel.
const SECRET_MOST: usize = 256;

impl Secret<'_> {
    fn parts(&self) -> (&'static str, usize, &str) {
        match self {
            Self::Password(text) => ("password", PASSWORD_LEAST, text),
            Self::Pin(text) => ("PIN", PIN_LEAST, text),
        }
    }

    /// The Argon2id hash of a new secret, as a PHC string.
    pub(crate) fn hash(&self) -> Result<String, Error> {
        let (what, least, text) = self.parts();
        let found = text.chars().count();
        if found < least {
            return Err(Error::SecretTooShort { what, least, found });
        }
        if text.len() > SECRET_MOST {
            return Err(Error::TooLarge {
                what,
                found: text.len(),
                most: SECRET_MOST,
            });
        }
        let hash = Argon2::default().hash_password(text.as_bytes());
        hash.map(|hash| hash.to_string())
            .map_err(|error| Error::Hashing(error.to_string()))
    }

    /// Whether this is the secret of that hash. Takes as long with none, so that the time taken does
    /// not tell who is a member.
    pub(crate) fn matches(&self, hash: Option<&str>) -> bool {
        let text = self.parts().2;
        if text.len() > SECRET_MOST {
            return false;
        }
        let Some(hash) = hash.and_then(|hash| PasswordHash::new(hash).ok()) else {
            drop(Argon2::default().hash_password(text.as_bytes()));
            return false;
        };
        Argon2::default()
            .verify_password(text.as_bytes(), &hash)
            .is_ok()
    }
}

/// A token that opens a session or sets a password. Shown once, to be handed over.
#[derive(Clone, PartialEq, Eq)]
pub struct Token([u8; 32]);

impl Token {
    /// A fresh token: 256 random bits.
    ///
    /// # Errors
    /// [`Error::NoRandomness`] when the operating system gives none.
    pub fn random() -> Result<Self, Error> {
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes).map_err(Error::NoRandomness)?;
        Ok(Self(bytes))
    }

    /// The token as a cookie or link carries it: 64 hexadecimal digits.
    #[must_use]
    pub fn to_hex(&self) -> String {
        self.0.iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// The token that `text` spells.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        from_hex(text).map(Self)
    }

    /// What is kept of it.
    #[must_use]
    pub fn hash(&self) -> TokenHash {
        TokenHash(sha256(&self.0))
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(…)")
    }
}

/// The SHA-256 of a token.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct TokenHash(pub(crate) [u8; 32]);

/// The SHA-256 of some bytes.
pub(crate) fn sha256(bytes: &[u8]) -> [u8; 32] {
    Sha256::digest(bytes).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_is_known_again_and_its_hash_does_not_show_it() {
        let hash = Secret::Password("ruling grade").hash().expect("hashed");
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        assert!(Secret::Password("ruling grade").matches(Some(&hash)));
        assert!(!Secret::Password("ruling grades").matches(Some(&hash)));
        assert!(!Secret::Password("ruling grade").matches(None));
        assert!(!format!("{:?}", Secret::Password("ruling grade")).contains("ruling"));
    }

    #[test]
    fn a_short_secret_is_refused() {
        assert!(matches!(
            Secret::Pin("123").hash(),
            Err(Error::SecretTooShort {
                what: "PIN",
                least: 4,
                found: 3
            })
        ));
        assert!(matches!(
            Secret::Password("1234567").hash(),
            Err(Error::SecretTooShort { .. })
        ));
        assert!(matches!(
            Secret::Password(&"x".repeat(257)).hash(),
            Err(Error::TooLarge { .. })
        ));
    }

    /// Source: FIPS 180-4 example, SHA-256 of 'abc', as published by NIST with the standard.
    #[test]
    fn the_hash_is_sha_256() {
        let digits: String = sha256(b"abc")
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(
            digits,
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_token_reads_back_and_stays_out_of_logs() {
        let token = Token::random().expect("randomness");
        assert_eq!(Token::from_hex(&token.to_hex()).expect("64 digits"), token);
        assert_ne!(token.hash().0, token.0);
        assert_eq!(format!("{token:?}"), "Token(…)");
    }
}
