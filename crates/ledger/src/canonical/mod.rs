//! Canonical JSON: the one spelling of a value, within RFC 8785.
//!
//! Objects have keys of `a-z`, `0-9` and `_` in byte order, each once; integers lie strictly
//! between -2^53 and 2^53; everything else is a string. There is no fraction, no exponent, no
//! `true`, `false` or `null`, and no blank outside strings. Strings escape what RFC 8785 (3.2.2.2)
//! escapes, in its way, and nothing else.

mod bridge;
mod parse;
mod write;

pub use bridge::{from_bytes, from_value, to_bytes, to_value};
pub use parse::parse;

use std::collections::BTreeMap;

/// How deep lists and objects may be nested.
pub const MAX_DEPTH: usize = 32;

/// How many bytes are read at the most.
pub const MAX_BYTES: usize = 16 * 1024 * 1024;

/// Integers are strictly smaller than this, either side of zero: beyond, other readers round.
pub const INTEGER_BOUND: i64 = 1 << 53;

/// A value that has exactly one spelling.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Value {
    /// A whole number within the bound.
    Int(i64),
    /// Text.
    Text(String),
    /// Values in order.
    List(Vec<Self>),
    /// Named values.
    Object(BTreeMap<String, Self>),
}

impl Value {
    /// The bytes of this value.
    ///
    /// # Errors
    /// A number out of bound, a key with other signs, or nesting too deep: what was built by hand
    /// may hold them, what was parsed can't.
    pub fn to_bytes(&self) -> Result<Vec<u8>, CanonicalError> {
        write::write(self)
    }
}

/// Why bytes or a value are not canonical.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CanonicalError {
    /// The text breaks a rule at a place.
    #[error("not canonical JSON at byte {at}: {what}")]
    Text {
        /// Offset of the byte where it shows.
        at: usize,
        /// Which rule.
        what: &'static str,
    },
    /// A value that can't be written.
    #[error("{0} has no canonical form; write it as text")]
    NoForm(&'static str),
    /// A key with other signs.
    #[error("the key \"{0}\" has signs other than a-z, 0-9 and _")]
    Key(String),
    /// The value is not what the reader expected.
    #[error("the value does not fit: {0}")]
    Shape(String),
}

/// Whether a key follows the rule.
pub(crate) fn is_key(key: &str) -> bool {
    !key.is_empty() && key.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'_'))
}
