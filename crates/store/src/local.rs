//! What belongs to this installation and never travels: drafts and local values.
//!
//! These may be changed and deleted. They are in no entry, no bundle and no export; a backup
//! carries them, because it is a copy of the database.

use rusqlite::{Connection, OptionalExtension as _, params};

use crate::error::Result;
use crate::shelf::prefixed;
use crate::sql;
use crate::store::Store;

impl Store {
    /// What is typed under `key` and not yet entered.
    pub fn draft(&self, key: &str) -> Result<Option<Vec<u8>>> {
        get(&self.reader, sql::DRAFT, key).map_err(self.failed("Reading a draft"))
    }

    /// Every draft whose key begins with `prefix`, in key order.
    pub fn drafts(&self, prefix: &str) -> Result<Vec<(String, Vec<u8>)>> {
        prefixed(&self.reader, sql::DRAFTS, prefix, |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(self.failed("Reading the drafts"))
    }

    /// Keeps what is typed; durable when this returns.
    pub fn put_draft(&mut self, key: &str, value: &[u8]) -> Result<()> {
        self.put(sql::DRAFT_PUT, key, value, "Keeping a draft")
    }

    /// Lets a draft go, e.g. because it was entered. Nothing happens when there is none.
    pub fn delete_draft(&mut self, key: &str) -> Result<()> {
        self.delete(sql::DRAFT_DELETE, key, "Deleting a draft")
    }

    /// A local value, e.g. a wrapped key.
    pub fn local(&self, key: &str) -> Result<Option<Vec<u8>>> {
        get(&self.reader, sql::LOCAL, key).map_err(self.failed("Reading a local value"))
    }

    /// Every local value whose key begins with `prefix`, in key order.
    pub fn locals(&self, prefix: &str) -> Result<Vec<(String, Vec<u8>)>> {
        prefixed(&self.reader, sql::LOCALS, prefix, |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(self.failed("Reading the local values"))
    }

    /// Keeps a local value; durable when this returns.
    pub fn put_local(&mut self, key: &str, value: &[u8]) -> Result<()> {
        self.put(sql::LOCAL_PUT, key, value, "Keeping a local value")
    }

    /// Lets a local value go.
    pub fn delete_local(&mut self, key: &str) -> Result<()> {
        self.delete(sql::LOCAL_DELETE, key, "Deleting a local value")
    }

    fn put(&mut self, query: &str, key: &str, value: &[u8], doing: &str) -> Result<()> {
        let failed = self.failed(doing);
        self.write(doing, |connection| {
            connection.execute(query, params![key, value]).map(|_| ()).map_err(failed)
        })
    }

    fn delete(&mut self, query: &str, key: &str, doing: &str) -> Result<()> {
        let failed = self.failed(doing);
        self.write(doing, |connection| connection.execute(query, [key]).map(|_| ()).map_err(failed))
    }
}

fn get(connection: &Connection, query: &str, key: &str) -> rusqlite::Result<Option<Vec<u8>>> {
    connection.prepare_cached(query)?.query_row([key], |row| row.get(0)).optional()
}
