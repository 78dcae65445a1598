//! Where projected documents lie: a key, bytes, and a place that keeps them.

use std::collections::BTreeMap;
use std::error::Error;
use std::fmt;

use ledger::Subject;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// The name of one projected document, such as `position/PC-04`.
///
/// Parts that come from people are kept as typed, so a key is no file name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(String);

impl Key {
    /// The founding facts and what the site has adopted.
    pub fn site() -> Self {
        Self("site".into())
    }

    /// What was projected so far: counts, chains heard from, entries that could not be read.
    pub fn status() -> Self {
        Self("status".into())
    }

    /// A person, by opaque id.
    pub fn person(id: &str) -> Self {
        Self(format!("person/{id}"))
    }

    /// An instrument, by the id on its label.
    pub fn instrument(id: &str) -> Self {
        Self(format!("instrument/{id}"))
    }

    /// A dish position, by its code.
    pub fn position(code: &str) -> Self {
        Self(format!("position/{code}"))
    }

    /// One adopted revision of a checklist.
    pub fn checklist(id: &str, revision: &str) -> Self {
        Self(format!("checklist/{id}/{revision}"))
    }

    /// One adopted revision of a criteria set.
    pub fn criteria(id: &str, revision: &str) -> Self {
        Self(format!("criteria/{id}/{revision}"))
    }

    /// One adopted revision of the re-test rules.
    pub fn retest_rules(id: &str, revision: &str) -> Self {
        Self(format!("retest-rules/{id}/{revision}"))
    }

    /// One adopted revision of a dish design.
    pub fn dish_design(id: &str, revision: &str) -> Self {
        Self(format!("dish-design/{id}/{revision}"))
    }

    /// A record, by its subject.
    pub fn record(record: &Subject) -> Self {
        Self(format!("record/{record}"))
    }

    /// A finding, by its subject.
    pub fn finding(finding: &Subject) -> Self {
        Self(format!("finding/{finding}"))
    }

    /// An issued report, by its subject.
    pub fn report(report: &Subject) -> Self {
        Self(format!("report/{report}"))
    }

    /// Entries about this subject that could not be taken into account.
    pub fn unread(subject: &Subject) -> Self {
        Self(format!("unread/{subject}"))
    }

    /// Which position a subject is.
    pub(crate) fn position_of(subject: &Subject) -> Self {
        Self(format!("position-of/{subject}"))
    }

    /// Where a serial is fitted now.
    pub(crate) fn serial(serial: &str) -> Self {
        Self(format!("serial/{serial}"))
    }

    /// A key read back from storage.
    pub fn from_stored(text: impl Into<String>) -> Self {
        Self(text.into())
    }

    /// The key as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A shelf that could not be read or written, or holds bytes that are no document.
#[derive(Debug, thiserror::Error)]
#[error("document {key}: {what}")]
pub struct ShelfError {
    /// Which document.
    pub key: Key,
    /// What went wrong.
    pub what: String,
    /// The cause below, where there is one.
    #[source]
    pub source: Option<Box<dyn Error + Send + Sync>>,
}

impl ShelfError {
    /// A fault of the storage below.
    pub fn new(key: &Key, what: impl Into<String>) -> Self {
        Self { key: key.clone(), what: what.into(), source: None }
    }

    /// A fault of the storage below, with its cause.
    pub fn caused(
        key: &Key,
        what: impl Into<String>,
        source: Box<dyn Error + Send + Sync>,
    ) -> Self {
        Self { key: key.clone(), what: what.into(), source: Some(source) }
    }
}

/// Keeps projected documents. Documents are JSON; they can be thrown away and rebuilt.
pub trait Shelf {
    /// The document's bytes, or none.
    fn get(&self, key: &Key) -> Result<Option<Vec<u8>>, ShelfError>;

    /// Puts or replaces a document.
    fn put(&mut self, key: &Key, document: &[u8]) -> Result<(), ShelfError>;

    /// All keys that begin with `prefix`, in byte order.
    fn keys(&self, prefix: &str) -> Result<Vec<Key>, ShelfError>;
}

/// A shelf in memory, for tests and for folding an archive without a store.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MemoryShelf {
    documents: BTreeMap<Key, Vec<u8>>,
}

impl MemoryShelf {
    /// An empty shelf.
    pub fn new() -> Self {
        Self::default()
    }

    /// Every document, in key order.
    pub fn documents(&self) -> impl Iterator<Item = (&Key, &[u8])> {
        self.documents.iter().map(|(key, bytes)| (key, bytes.as_slice()))
    }
}

impl Shelf for MemoryShelf {
    fn get(&self, key: &Key) -> Result<Option<Vec<u8>>, ShelfError> {
        Ok(self.documents.get(key).cloned())
    }

    fn put(&mut self, key: &Key, document: &[u8]) -> Result<(), ShelfError> {
        self.documents.insert(key.clone(), document.to_vec());
        Ok(())
    }

    fn keys(&self, prefix: &str) -> Result<Vec<Key>, ShelfError> {
        Ok(self.documents.keys().filter(|key| key.0.starts_with(prefix)).cloned().collect())
    }
}

/// Reads one document as its type.
///
/// # Errors
/// The shelf's own fault, or bytes that are no document of this type (rebuild the projection).
pub fn read<T: DeserializeOwned>(shelf: &dyn Shelf, key: &Key) -> Result<Option<T>, ShelfError> {
    let Some(bytes) = shelf.get(key)? else { return Ok(None) };
    serde_json::from_slice(&bytes)
        .map(Some)
        .map_err(|source| ShelfError::caused(key, "is not readable; rebuild it", Box::new(source)))
}

/// Writes one document.
pub(crate) fn write<T: Serialize>(
    shelf: &mut dyn Shelf,
    key: &Key,
    document: &T,
) -> Result<(), ShelfError> {
    let bytes = serde_json::to_vec(document).map_err(|source| {
        ShelfError::caused(key, "could not be written as JSON", Box::new(source))
    })?;
    shelf.put(key, &bytes)
}
