//! Rows to entries: the stored bytes are the only source, nothing is serialised again.

use ledger::{ChainId, Entry, EntryId, Head, HeadSeen, Header};
use rusqlite::{Connection, OptionalExtension as _, Row, params};

use crate::error::{Result, StoreError};
use crate::sql;

/// An entry as it stands in the tables.
#[derive(Clone, Debug)]
pub(crate) struct StoredEntry {
    pub(crate) arrival: i64,
    pub(crate) id: Vec<u8>,
    pub(crate) header: Vec<u8>,
    pub(crate) payload: Option<Vec<u8>>,
    pub(crate) signature: Vec<u8>,
}

impl StoredEntry {
    fn take(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            arrival: row.get(0)?,
            id: row.get(1)?,
            header: row.get(2)?,
            payload: row.get(3)?,
            signature: row.get(4)?,
        })
    }

    /// The entry, its hashes checked. The signature was checked when it came in, and `check`
    /// does so again.
    pub(crate) fn entry(&self) -> Result<Entry> {
        let bad = |reason: String| StoreError::EntryBytes { id: hex::encode(&self.id), reason };
        let entry = Entry::from_stored(&self.header, self.payload.as_deref(), &self.signature)
            .map_err(|fault| bad(fault.to_string()))?;
        if entry.id().as_bytes().as_slice() != self.id.as_slice() {
            return Err(bad("the header hashes to another id".to_owned()));
        }
        Ok(entry)
    }
}

pub(crate) fn row_by_id(
    connection: &Connection,
    id: &EntryId,
) -> rusqlite::Result<Option<StoredEntry>> {
    connection
        .prepare_cached(&sql::entry_by_id())?
        .query_row([id.as_bytes().as_slice()], StoredEntry::take)
        .optional()
}

pub(crate) fn row_at(
    connection: &Connection,
    arrival: i64,
) -> rusqlite::Result<Option<StoredEntry>> {
    connection.prepare_cached(&sql::entry_at())?.query_row([arrival], StoredEntry::take).optional()
}

pub(crate) fn rows_after(
    connection: &Connection,
    arrival: i64,
    limit: u32,
) -> rusqlite::Result<Vec<StoredEntry>> {
    connection
        .prepare_cached(&sql::entries_after())?
        .query_map(params![arrival, limit], StoredEntry::take)?
        .collect()
}

pub(crate) fn rows_of_chain(
    connection: &Connection,
    chain: &[u8],
    from: i64,
    limit: u32,
) -> rusqlite::Result<Vec<StoredEntry>> {
    connection
        .prepare_cached(&sql::entries_of_chain())?
        .query_map(params![chain, from, limit], StoredEntry::take)?
        .collect()
}

pub(crate) fn rows_of_subject(
    connection: &Connection,
    subject: &str,
) -> rusqlite::Result<Vec<StoredEntry>> {
    connection
        .prepare_cached(&sql::entries_by_subject())?
        .query_map([subject], StoredEntry::take)?
        .collect()
}

/// A 32-byte column.
pub(crate) fn bytes32(bytes: &[u8]) -> Option<[u8; 32]> {
    bytes.try_into().ok()
}

/// The heads, in order of chain and id.
pub(crate) fn heads(connection: &Connection) -> rusqlite::Result<Vec<HeadSeen>> {
    connection
        .prepare_cached(sql::HEADS)?
        .query_map([], |row| {
            let (chain, number, id): ([u8; 32], i64, [u8; 32]) =
                (row.get(0)?, row.get(1)?, row.get(2)?);
            Ok(HeadSeen {
                chain: ChainId::from_bytes(chain),
                number: number.unsigned_abs(),
                id: EntryId::from_bytes(id),
            })
        })?
        .collect()
}

/// A head from its columns.
pub(crate) fn head(number: u64, id: [u8; 32]) -> Head {
    Head { number, id: EntryId::from_bytes(id) }
}

/// The id of the entry before; `None` for the first of a chain.
pub(crate) fn previous(header: &Header) -> Option<&[u8]> {
    header.previous().map(|id| id.as_bytes().as_slice())
}
