//! An adopted file as read. Its text stands in the adopting entry.

use ledger::Digest;
use serde::{Deserialize, Serialize};

use super::Stamp;

/// An adopted file in one revision: `T` is a checklist, a criteria set, a set of re-test
/// rules or a dish design.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AdoptedDoc<T> {
    /// SHA-256 of the file's bytes.
    pub hash: Digest,
    /// What it says.
    pub read: T,
    /// The adopting entry.
    pub by: Stamp,
}
