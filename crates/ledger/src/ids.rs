//! Names of things in the ledger: hashes as 64 lower-case hex digits, and short checked texts.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use sha2::{Digest as _, Sha256};

/// A text that is not 64 lower-case hex digits.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not an id: an id is 64 of the digits 0-9 and a-f, in lower case")]
pub struct NotAnId(String);

/// Shortens what is quoted in an error.
fn quoted(text: &str) -> String {
    text.chars().take(80).collect()
}

macro_rules! hash_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name([u8; 32]);

        impl $name {
            /// Takes the 32 bytes of a hash.
            pub const fn from_bytes(bytes: [u8; 32]) -> Self {
                Self(bytes)
            }

            /// The SHA-256 of `bytes`.
            pub fn of(bytes: &[u8]) -> Self {
                Self(Sha256::digest(bytes).into())
            }

            /// The 32 bytes.
            pub const fn as_bytes(&self) -> &[u8; 32] {
                &self.0
            }

            /// The first twelve digits: enough to find it again by eye, not to prove anything.
            pub fn short(&self) -> String {
                hex::encode(&self.0[..6])
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&hex::encode(self.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!(stringify!($name), "({})"), self.short())
            }
        }

        impl FromStr for $name {
            type Err = NotAnId;

            fn from_str(text: &str) -> Result<Self, NotAnId> {
                let lower = text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
                let mut bytes = [0; 32];
                if !lower || hex::decode_to_slice(text, &mut bytes).is_err() {
                    return Err(NotAnId(quoted(text)));
                }
                Ok(Self(bytes))
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                String::deserialize(deserializer)?.parse().map_err(de::Error::custom)
            }
        }
    };
}

hash_id! {
    /// An entry: SHA-256 of its header bytes.
    EntryId
}
hash_id! {
    /// A chain: SHA-256 of its public key in SPKI DER.
    ChainId
}
hash_id! {
    /// A site: SHA-256 of its authority's public key in SPKI DER.
    SiteId
}
hash_id! {
    /// The SHA-256 of a payload or an attachment.
    Digest
}

/// A text that doesn't follow the rule of its kind.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{text}\" is not usable as {what}: {rule}")]
pub struct NotAText {
    what: &'static str,
    text: String,
    rule: &'static str,
}

macro_rules! checked_text {
    ($(#[$doc:meta])* $name:ident, $what:literal, $rule:literal, $check:expr) => {
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            #[doc = concat!("Checks the text: ", $rule, ".")]
            ///
            /// # Errors
            /// Any other text.
            pub fn new(text: impl Into<String>) -> Result<Self, NotAText> {
                let text = text.into();
                let check: fn(&str) -> bool = $check;
                if check(&text) {
                    return Ok(Self(text));
                }
                Err(NotAText { what: $what, text: quoted(&text), rule: $rule })
            }

            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!(stringify!($name), "({})"), self.0)
            }
        }

        impl FromStr for $name {
            type Err = NotAText;

            fn from_str(text: &str) -> Result<Self, NotAText> {
                Self::new(text)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(&self.0)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                Self::new(String::deserialize(deserializer)?).map_err(de::Error::custom)
            }
        }
    };
}

checked_text! {
    /// The kind of an entry. The set is open: a kind that nobody here knows is kept and relayed.
    Kind, "a kind", "1 to 64 of the signs a-z, 0-9 and _",
    |t| (1..=64).contains(&t.len())
        && t.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'_'))
}
checked_text! {
    /// A person, by an id that says nothing about them; empty when no person acts.
    PersonId, "a person's id", "up to 64 printable ASCII signs without spaces",
    |t| t.len() <= 64 && t.bytes().all(|b| b.is_ascii_graphic())
}
checked_text! {
    /// What an entry is about: a UUID in its usual form.
    Subject, "a subject", "a UUID in lower case, 8-4-4-4-12 hex digits",
    |t| t.len() == 36 && t.bytes().enumerate().all(|(at, b)| match at {
        8 | 13 | 18 | 23 => b == b'-',
        _ => matches!(b, b'0'..=b'9' | b'a'..=b'f'),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_sha256() {
        // FIPS 180-4 example, "abc".
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Digest::of(b"abc").to_string(), expected);
        assert_eq!(expected.parse::<Digest>().unwrap(), Digest::of(b"abc"));
    }

    #[test]
    fn upper_case_and_short_ids_are_refused() {
        let id = Digest::of(b"abc").to_string();
        assert!(id.to_uppercase().parse::<Digest>().is_err());
        assert!(id[1..].parse::<Digest>().is_err());
        assert!("".parse::<EntryId>().is_err());
    }

    #[test]
    fn texts_follow_their_rules() {
        assert!(Kind::new("answer_given").is_ok());
        for bad in ["", "Answer", "answer given", "antwört", &"a".repeat(65)] {
            assert!(Kind::new(bad).is_err(), "{bad}");
        }
        assert!(PersonId::new("").is_ok() && PersonId::new("P-03").is_ok());
        assert!(PersonId::new("P 03").is_err());
        assert!(Subject::new("01a35a3e-8000-7000-8000-000000000001").is_ok());
        assert!(Subject::new("01A35A3E-8000-7000-8000-000000000001").is_err());
        assert!(Subject::new("01a35a3e80007000-8000-000000000001-").is_err());
    }
}
