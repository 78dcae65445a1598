//! The documents of the fold, kept in a table and brought along in the append's transaction.
//!
//! Where the table may not be written and an older build filled it, its entries are folded in
//! memory instead: a copy or a backup of any age is read as this build reads.

use std::path::Path;

use logbook::{Key, MemoryShelf, Shelf, ShelfError};
use rusqlite::{Connection, OptionalExtension as _, params};

use crate::config::{OnProgress, Progress};
use crate::convert;
use crate::error::{Result, StoreError};
use crate::sql;

/// How many entries are read at once while folding many.
const PAGE: u32 = 256;

/// The documents, for reading and, within an append, for writing.
pub struct Documents<'a> {
    lie: Lie<'a>,
    writable: bool,
}

/// Where they lie.
enum Lie<'a> {
    InTheTable(&'a Connection),
    InMemory(&'a Folded),
}

/// Every entry folded into memory, or why that did not work.
pub(crate) type Folded = Result<MemoryShelf>;

impl<'a> Documents<'a> {
    pub(crate) fn reading(connection: &'a Connection) -> Self {
        Self { lie: Lie::InTheTable(connection), writable: false }
    }

    pub(crate) fn folded(folded: &'a Folded) -> Self {
        Self { lie: Lie::InMemory(folded), writable: false }
    }

    fn writing(connection: &'a Connection) -> Self {
        Self { lie: Lie::InTheTable(connection), writable: true }
    }
}

fn in_memory<'f>(folded: &'f Folded, key: &Key) -> Result<&'f MemoryShelf, ShelfError> {
    folded
        .as_ref()
        .map_err(|cause| ShelfError::new(key, format!("can't be made from the entries: {cause}")))
}

impl Shelf for Documents<'_> {
    fn get(&self, key: &Key) -> Result<Option<Vec<u8>>, ShelfError> {
        let connection = match self.lie {
            Lie::InTheTable(connection) => connection,
            Lie::InMemory(folded) => return in_memory(folded, key)?.get(key),
        };
        connection
            .prepare_cached(sql::DOCUMENT)
            .and_then(|mut query| query.query_row([key.as_str()], |row| row.get(0)).optional())
            .map_err(|cause| ShelfError::caused(key, "could not be read", Box::new(cause)))
    }

    fn put(&mut self, key: &Key, document: &[u8]) -> Result<(), ShelfError> {
        let Lie::InTheTable(connection) = &self.lie else { return Err(derived(key)) };
        if !self.writable {
            return Err(derived(key));
        }
        connection
            .prepare_cached(sql::DOCUMENT_PUT)
            .and_then(|mut put| put.execute(params![key.as_str(), document]))
            .map(|_| ())
            .map_err(|cause| ShelfError::caused(key, "could not be written", Box::new(cause)))
    }

    fn keys(&self, prefix: &str) -> Result<Vec<Key>, ShelfError> {
        let key = Key::from_stored(prefix);
        let connection = match self.lie {
            Lie::InTheTable(connection) => connection,
            Lie::InMemory(folded) => return in_memory(folded, &key)?.keys(prefix),
        };
        prefixed(connection, sql::DOCUMENT_KEYS, prefix, |row| row.get::<_, String>(0))
            .map(|keys| keys.into_iter().map(Key::from_stored).collect())
            .map_err(|cause| ShelfError::caused(&key, "could not be listed", Box::new(cause)))
    }
}

fn derived(key: &Key) -> ShelfError {
    ShelfError::new(key, "is derived: only an entry changes it")
}

/// Rows in key order from `prefix` on, up to the first key that doesn't begin with it.
pub(crate) fn prefixed<T>(
    connection: &Connection,
    query: &str,
    prefix: &str,
    take: impl Fn(&rusqlite::Row<'_>) -> rusqlite::Result<T>,
) -> rusqlite::Result<Vec<T>> {
    let mut statement = connection.prepare_cached(query)?;
    let mut rows = statement.query([prefix])?;
    let mut out = Vec::new();
    while let Some(row) = rows.next()? {
        if !row.get_ref(0)?.as_str()?.starts_with(prefix) {
            break;
        }
        out.push(take(row)?);
    }
    Ok(out)
}

/// By what the documents were made, and how far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cover {
    pub(crate) version: u32,
    pub(crate) through: i64,
    pub(crate) id: Vec<u8>,
}

pub(crate) fn cover(connection: &Connection) -> rusqlite::Result<Cover> {
    connection.prepare_cached(sql::PROJECTION)?.query_row([], |row| {
        Ok(Cover { version: row.get(0)?, through: row.get(1)?, id: row.get(2)? })
    })
}

/// The last entry that arrived, and its id.
fn last(connection: &Connection) -> rusqlite::Result<(i64, Vec<u8>)> {
    let row = connection
        .prepare_cached(sql::LAST)?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    Ok(row.unwrap_or_default())
}

/// Whether the documents are those of this build's fold and cover every entry.
pub(crate) fn is_current(connection: &Connection) -> rusqlite::Result<bool> {
    let cover = cover(connection)?;
    let (through, id) = last(connection)?;
    Ok(cover == Cover { version: logbook::PROJECTION_VERSION, through, id })
}

/// Brings the documents up to the last entry: nothing to do as a rule, the missing entries after
/// an import that was cut short, everything when the fold has a new version.
pub(crate) fn follow(
    database: &Path,
    connection: &Connection,
    progress: OnProgress<'_>,
) -> Result<()> {
    let failed = |cause| StoreError::database(database, "Reading the documents' version", cause);
    let cover = cover(connection).map_err(failed)?;
    if cover.version != logbook::PROJECTION_VERSION {
        return rebuild(database, connection, progress);
    }
    fold_table(database, connection, cover.through, progress)
}

/// Throws the documents away and folds every entry again.
pub(crate) fn rebuild(
    database: &Path,
    connection: &Connection,
    progress: OnProgress<'_>,
) -> Result<()> {
    connection
        .execute_batch(sql::DOCUMENTS_CLEAR)
        .map_err(|cause| StoreError::database(database, "Clearing the documents", cause))?;
    fold_table(database, connection, 0, progress)
}

fn fold_table(
    database: &Path,
    connection: &Connection,
    after: i64,
    progress: OnProgress<'_>,
) -> Result<()> {
    let mut table = Documents::writing(connection);
    let (end, id) = fold(database, connection, after, &mut table, progress)?;
    set_cover(connection, end, &id)
        .map_err(|cause| StoreError::database(database, "Folding the entries", cause))
}

/// Folds every entry into memory and leaves the table as it is.
pub(crate) fn fold_in_memory(database: &Path, connection: &Connection) -> Folded {
    let mut memory = MemoryShelf::new();
    fold(database, connection, 0, &mut memory, &mut |_| {})?;
    Ok(memory)
}

/// Folds what arrived after `after`; gives the last entry that it covers.
fn fold(
    database: &Path,
    connection: &Connection,
    after: i64,
    shelf: &mut dyn Shelf,
    progress: OnProgress<'_>,
) -> Result<(i64, Vec<u8>)> {
    let failed = |cause| StoreError::database(database, "Folding the entries", cause);
    let (end, id) = last(connection).map_err(failed)?;
    let mut at = after;
    while at < end {
        let page = convert::rows_after(connection, at, PAGE).map_err(failed)?;
        let Some(last) = page.last() else { break };
        at = last.arrival;
        for row in &page {
            project(&row.entry()?, shelf)?;
        }
        progress(Progress {
            doing: "Rebuilding the documents",
            done: u64::try_from(at - after).unwrap_or(0),
            of: u64::try_from(end - after).unwrap_or(0),
        });
    }
    Ok((end, id))
}

/// Folds one entry that has just been inserted.
pub(crate) fn fold_one(
    database: &Path,
    connection: &Connection,
    arrival: i64,
    entry: &ledger::Entry,
) -> Result<()> {
    project(entry, &mut Documents::writing(connection))?;
    set_cover(connection, arrival, entry.id().as_bytes())
        .map_err(|cause| StoreError::database(database, "Folding the entry", cause))
}

/// Folds one entry into any shelf.
pub(crate) fn project(entry: &ledger::Entry, shelf: &mut dyn Shelf) -> Result<()> {
    logbook::project(entry, shelf)
        .map_err(|cause| StoreError::Project { id: entry.id().to_string(), cause: Box::new(cause) })
}

fn set_cover(connection: &Connection, through: i64, id: &[u8]) -> rusqlite::Result<()> {
    connection
        .prepare_cached(sql::PROJECTION_SET)?
        .execute(params![logbook::PROJECTION_VERSION, through, id])
        .map(|_| ())
}
