//! Generations of the tables: SQL files, applied once each, all or nothing.
//!
//! Each file states in its head the lowest generation of this program that may still read and
//! still write what it makes. A build below those opens for reading, or says which build to
//! install. Entries themselves are never migrated.

use std::path::Path;

use rusqlite::{Connection, OptionalExtension as _, TransactionBehavior, params};
use sha2::{Digest, Sha256};

use crate::connect::APPLICATION_ID;
use crate::error::{Result, StoreError};
use crate::sql;

/// One step from the generation below to `generation`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Migration {
    pub(crate) generation: u32,
    pub(crate) name: &'static str,
    pub(crate) sql: &'static str,
}

/// All generations that this build knows, oldest first.
pub(crate) const MIGRATIONS: &[Migration] = &[Migration {
    generation: 1,
    name: "ledger",
    sql: include_str!("../../../schema/sql/0001_ledger.sql"),
}];

/// What the database says about itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct State {
    /// The last generation applied; 0 for an empty file.
    pub(crate) generation: u32,
    pub(crate) lowest_reader: u32,
    pub(crate) lowest_writer: u32,
}

impl Migration {
    /// The text with line ends as they are in the repository, so that a checkout with other line
    /// ends hashes and applies alike.
    pub(crate) fn text(&self) -> String {
        self.sql.replace("\r\n", "\n")
    }

    fn floor(&self, who: &str) -> Option<u32> {
        let prefix = format!("-- lowest {who}: ");
        self.text().lines().find_map(|line| line.strip_prefix(&prefix)?.trim().parse().ok())
    }

    fn digest(&self) -> Vec<u8> {
        Sha256::digest(self.text().as_bytes()).to_vec()
    }
}

/// The generation of this build.
pub(crate) fn ours(migrations: &[Migration]) -> u32 {
    migrations.last().map_or(0, |last| last.generation)
}

/// Reads what has been applied. A file that isn't a logbook is damaged, never an empty one.
pub(crate) fn state(path: &Path, connection: &Connection) -> Result<State> {
    let failed = |cause| StoreError::database(path, "Reading the generation of the tables", cause);
    let id: i64 =
        connection.query_row(sql::APPLICATION_ID, [], |row| row.get(0)).map_err(failed)?;
    if id != APPLICATION_ID {
        let reason = "it is empty or not a logbook".to_owned();
        return Err(StoreError::Damaged { path: path.to_owned(), reason });
    }
    connection
        .query_row(sql::MIGRATION_STATE, [], |row| {
            Ok(State {
                generation: row.get(0)?,
                lowest_reader: row.get(1)?,
                lowest_writer: row.get(2)?,
            })
        })
        .optional()
        .map_err(failed)?
        .ok_or_else(|| StoreError::Damaged {
            path: path.to_owned(),
            reason: "it has no list of generations".to_owned(),
        })
}

/// Makes the tables of a new database.
pub(crate) fn found(path: &Path, connection: &mut Connection) -> Result<()> {
    connection
        .execute_batch(&format!("PRAGMA application_id = {APPLICATION_ID}"))
        .map_err(|cause| StoreError::database(path, "Marking the new database", cause))?;
    apply(path, connection, MIGRATIONS, &mut |_| {})
}

/// Applies what is missing, in one transaction taken before the state is read: of two processes
/// one migrates, and the other finds it done. `step` is told before each statement batch.
pub(crate) fn apply(
    path: &Path,
    connection: &mut Connection,
    migrations: &[Migration],
    step: &mut dyn FnMut(&str),
) -> Result<()> {
    let failed = |cause| StoreError::database(path, "Migrating the tables", cause);
    let transaction =
        connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
    let done = generation(&transaction).map_err(failed)?;
    for migration in migrations.iter().filter(|migration| migration.generation > done) {
        step("before the tables");
        transaction.execute_batch(&migration.text()).map_err(failed)?;
        step("after the tables");
        let floor = |who| {
            migration.floor(who).ok_or_else(|| StoreError::Database {
                doing: format!("Migrating to generation {}", migration.generation),
                cause: format!("the file states no lowest {who}").into(),
            })
        };
        transaction
            .execute(
                sql::MIGRATION_INSERT,
                params![
                    migration.generation,
                    migration.name,
                    migration.digest(),
                    floor("reader")?,
                    floor("writer")?
                ],
            )
            .map_err(failed)?;
    }
    let broken: Option<String> = transaction
        .query_row(sql::FOREIGN_KEY_CHECK, [], |row| row.get(0))
        .optional()
        .map_err(failed)?;
    if let Some(table) = broken {
        return Err(StoreError::Database {
            doing: "Migrating the tables".to_owned(),
            cause: format!("rows of {table} would lose what they refer to").into(),
        });
    }
    step("before the commit");
    transaction.commit().map_err(failed)
}

/// The last generation applied; 0 where there is no list yet.
fn generation(connection: &Connection) -> rusqlite::Result<u32> {
    if connection.query_row(sql::HAS_MIGRATIONS, [], |row| row.get::<_, i64>(0))? == 0 {
        return Ok(0);
    }
    connection.query_row(sql::MIGRATION_GENERATION, [], |row| row.get(0))
}
