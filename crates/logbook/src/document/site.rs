//! The site as a whole: its founding, what it adopted, and what was projected so far.

use std::collections::BTreeMap;

use ledger::{ChainId, Digest, EntryId, SiteId};
use serde::{Deserialize, Serialize};

use super::{Stamp, Unread};
use crate::Moment;
use crate::events::SiteDescribed;

/// An adopted file in its newest revision.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Adopted {
    /// The revision label.
    pub revision: String,
    /// SHA-256 of the file's bytes.
    pub hash: Digest,
    /// The title in the file.
    pub title: String,
    /// The requirement that a checklist proves.
    pub proves: Option<String>,
    /// The adopting entry.
    pub by: Stamp,
}

/// The site as described by one entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Described {
    /// What it says.
    pub site: SiteDescribed,
    /// The entry.
    pub by: Stamp,
}

/// The site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SiteDoc {
    /// The site's id.
    pub site: SiteId,
    /// Its name.
    pub name: String,
    /// The installation that founded it.
    pub installation: String,
    /// The founding entry.
    pub founded: Stamp,
    /// Adopted checklists by id, newest revision.
    pub checklists: BTreeMap<String, Adopted>,
    /// Adopted criteria sets by id, newest revision.
    pub criteria: BTreeMap<String, Adopted>,
    /// Adopted re-test rules by id, newest revision.
    pub retest_rules: BTreeMap<String, Adopted>,
    /// Adopted dish designs by type of dish, newest revision.
    pub dish_designs: BTreeMap<String, Adopted>,
    /// The description that counts: the latest.
    pub described: Option<Described>,
    /// Earlier descriptions, in the order entered; verdicts may rest on them.
    pub described_before: Vec<Described>,
}

impl SiteDoc {
    /// The description that an entry gave.
    pub fn description(&self, entry: &EntryId) -> Option<&Described> {
        self.described.iter().chain(&self.described_before).find(|one| one.by.entry == *entry)
    }
}

/// How far a chain has been heard.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChainHeard {
    /// Number of its last entry here.
    pub number: u64,
    /// That entry.
    pub entry: EntryId,
    /// What that entry claims as its time.
    pub claimed: Moment,
}

/// How often a kind was met that needs a newer version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct UnreadKind {
    /// The highest version of the kind met.
    pub version: u32,
    /// How many entries.
    pub entries: u64,
}

/// What was projected so far.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct StatusDoc {
    /// The version of the projection that wrote the documents.
    pub projection_version: u32,
    /// Entries projected.
    pub entries: u64,
    /// Chains heard from.
    pub chains: BTreeMap<ChainId, ChainHeard>,
    /// Kinds that need a newer version, kept and relayed.
    pub newer: BTreeMap<String, UnreadKind>,
    /// Entries of known kinds that could not be taken into account, in the order met.
    pub unread: Vec<Unread>,
}
