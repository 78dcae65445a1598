//! What stands behind the report: entries, chains, versions, and what is not known.

use serde::{Deserialize, Serialize};

/// How old the knowledge is, and who has not been heard from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Knowledge {
    /// Such as "As known to T1 on Fri 28 Aug 2026, 07:31 (UTC−4)".
    pub as_known: String,
    /// Installations not heard from since a moment.
    pub not_heard_from: Vec<NotHeardFrom>,
}

/// An installation that has not been heard from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotHeardFrom {
    /// Its name, such as "T2".
    pub installation: String,
    /// Since when, such as "never" or "Tue 25 Aug 18:02".
    pub since: String,
}

/// A program, checklist, criteria or calculation with its version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Component {
    /// Its name.
    pub name: String,
    /// Its version or revision.
    pub version: String,
    /// SHA-256 of its content (hex), where it has content; may be empty.
    pub digest: String,
}

/// The entries behind the report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// Number of entries in `entries.jsonl`.
    pub entries: u64,
    /// Head of each chain when the report was made.
    pub heads: Vec<ChainHead>,
    /// Files attached to the entries that are not embedded, and where they are; may be empty.
    pub note: String,
}

/// The head of a chain.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChainHead {
    /// Short name of the installation, such as "T1".
    pub installation: String,
    /// Chain id (hex).
    pub chain: String,
    /// Number of the last entry.
    pub number: u64,
    /// Its id (hex).
    pub id: String,
}
