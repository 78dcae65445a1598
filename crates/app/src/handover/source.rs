//! What a report is built from: documents and a moment, nothing else of the logbook.
//!
//! The documents may be a store's, or folded from the entries inside a report: the same entries
//! must give the same report.

use ledger::{ChainId, SiteId, Subject};
use logbook::document::{AdoptedDoc, PersonDoc, PositionDoc, RecordDoc, SiteDoc};
use logbook::source::{Checklist, Criteria};
use logbook::{Key, Moment, Shelf, read};
use serde::de::DeserializeOwned;

use crate::error::{AppError, Result};

/// Documents, and who asks when.
pub(crate) struct Source<'a> {
    pub(crate) shelf: &'a dyn Shelf,
    pub(crate) site: SiteId,
    /// The chain of the installation that makes the report.
    pub(crate) chain: ChainId,
    pub(crate) now: Moment,
    pub(crate) issuer: String,
    pub(crate) report: String,
}

impl Source<'_> {
    pub(crate) fn document<T: DeserializeOwned>(&self, key: &Key) -> Result<Option<T>> {
        Ok(read(self.shelf, key)?)
    }

    fn needed<T: DeserializeOwned>(&self, key: &Key) -> Result<T> {
        self.document(key)?.ok_or_else(|| {
            AppError::internal("Building the report", format!("{key} is not among the documents"))
        })
    }

    pub(crate) fn site_document(&self) -> Result<SiteDoc> {
        self.needed(&Key::site())
    }

    pub(crate) fn position(&self, code: &str) -> Result<PositionDoc> {
        self.needed(&Key::position(code))
    }

    pub(crate) fn record(&self, record: &Subject) -> Result<RecordDoc> {
        self.needed(&Key::record(record))
    }

    pub(crate) fn person(&self, id: &str) -> Result<PersonDoc> {
        self.needed(&Key::person(id))
    }

    pub(crate) fn criteria_of(&self, record: &RecordDoc) -> Result<Criteria> {
        let key = Key::criteria(&record.criteria.id, &record.criteria.revision);
        Ok(self.needed::<AdoptedDoc<Criteria>>(&key)?.read)
    }

    pub(crate) fn checklist_of(&self, record: &RecordDoc) -> Result<Checklist> {
        let key = Key::checklist(&record.checklist.id, &record.checklist.revision);
        Ok(self.needed::<AdoptedDoc<Checklist>>(&key)?.read)
    }
}
