//! The ledger: entries in words, the latest first.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment, Target};

/// A page of the ledger.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LedgerView {
    pub(crate) entries: Vec<LedgerEntry>,
    /// Id of the last entry.
    pub(crate) head: String,
    pub(crate) count: u32,
    pub(crate) knowledge: Knowledge,
}

/// An entry in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LedgerEntry {
    pub(crate) id: String,
    pub(crate) short: String,
    pub(crate) chain: String,
    pub(crate) number: u32,
    pub(crate) kind: String,
    pub(crate) title: String,
    pub(crate) by: String,
    pub(crate) at: Moment,
    pub(crate) subject: String,
    pub(crate) target: Option<Target>,
}
