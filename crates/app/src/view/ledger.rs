//! The ledger: entries in words, the latest first.

use ledger::Entry;
use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment, Screen, Target};
use super::eye::Eye;
use crate::error::Result;

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
    /// "T1-0393".
    pub(crate) name: String,
    pub(crate) chain: String,
    pub(crate) number: u32,
    pub(crate) kind: String,
    pub(crate) title: String,
    pub(crate) by: String,
    pub(crate) at: Moment,
    pub(crate) subject: String,
    pub(crate) target: Option<Target>,
}

/// So many entries stand on a page.
const PAGE: u64 = 50;

impl Eye<'_> {
    /// A page of the ledger, the latest first: entries with a lower number than `before`.
    pub(crate) fn ledger(&self, before: Option<u64>) -> Result<LedgerView> {
        let store = &self.logbook.store;
        let head = store.head()?;
        let newest = head.as_ref().map_or(0, |head| head.number);
        let end = before.unwrap_or(newest + 1).min(newest + 1);
        let from = end.saturating_sub(PAGE).max(1);
        let limit = u32::try_from(end.saturating_sub(from)).unwrap_or(0);
        let page = store.entries_of_chain(&self.logbook.chain, from, limit)?;
        Ok(LedgerView {
            entries: page.iter().rev().map(|entry| self.line(entry)).collect(),
            head: head.map(|head| head.id.to_string()).unwrap_or_default(),
            count: u32::try_from(store.count()?).unwrap_or(u32::MAX),
            knowledge: self.knowledge()?,
        })
    }

    fn line(&self, entry: &Entry) -> LedgerEntry {
        let header = entry.header();
        let subject = header.subject().to_string();
        let record = self.logbook.record(&subject).ok().map(|(_, record)| record);
        LedgerEntry {
            id: entry.id().to_string(),
            name: self.entry_name(header.chain(), header.number()),
            chain: header.chain().short().to_string(),
            number: u32::try_from(header.number()).unwrap_or(u32::MAX),
            kind: header.kind().to_owned(),
            title: self.title(entry),
            by: self.source.name(header.person().as_str()),
            at: self.zone.moment(&self.claimed(entry)),
            target: record.map(|record| Target::record(Screen::Record, &record.position, &subject)),
            subject,
        }
    }
}
