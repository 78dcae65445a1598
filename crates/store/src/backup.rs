//! A backup: a copy made by SQLite itself, opened and verified before it gets its name.

use std::fs;
use std::path::{Path, PathBuf};

use ledger::HeadSeen;
use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use crate::config::{OnProgress, Progress};
use crate::connect::{self, Kind};
use crate::convert;
use crate::durable;
use crate::error::{Result, StoreError};
use crate::keys::KEY_FILE;
use crate::sql;
use crate::store::{Store, database_of};

/// Pages copied between two reports of progress.
const PAGES: i32 = 512;

/// A backup that was verified: it opened with its key, is intact, and holds every head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Backed {
    /// The folder that holds the copy and its key file.
    pub folder: PathBuf,
    /// How many entries it holds.
    pub entries: u64,
    /// The heads that it holds.
    pub heads: Vec<HeadSeen>,
}

impl Store {
    /// Copies the logbook into `target`, which is made if it isn't there, and verifies the copy.
    /// Others may go on appending meanwhile; the copy holds at least what was there at the start.
    ///
    /// # Errors
    /// [`StoreError::Taken`] when a logbook is there already, [`StoreError::Unwritable`],
    /// [`StoreError::OutOfSpace`], [`StoreError::CopyDiffers`]; what was copied is removed then.
    pub fn backup(&self, target: &Path, progress: OnProgress<'_>) -> Result<Backed> {
        self.backup_with(target, progress)
    }

    pub(crate) fn backup_with(&self, target: &Path, progress: OnProgress<'_>) -> Result<Backed> {
        let (database, key_file) = (database_of(target), target.join(KEY_FILE));
        for taken in [&database, &key_file] {
            if taken.exists() {
                return Err(StoreError::Taken(taken.clone()));
            }
        }
        let keys = fs::read(self.dir.join(KEY_FILE))
            .map_err(|cause| StoreError::reading(&self.dir.join(KEY_FILE), cause))?;
        durable::create_folder(target)?;
        let unfinished = durable::unfinished_name(&database);
        let copied = self.copy_and_verify(&unfinished, progress).and_then(|backed| {
            durable::write_private(&key_file, &keys)?;
            // The database comes last: a folder without it is not taken for a backup.
            durable::rename(&unfinished, &database)?;
            Ok(backed)
        });
        copied.map(|backed| Backed { folder: target.to_owned(), ..backed }).inspect_err(|_| {
            // What was begun is taken away again; the error already says what went wrong.
            let _ = fs::remove_file(&unfinished);
            let _ = fs::remove_file(&key_file);
        })
    }

    fn copy_and_verify(&self, copy: &Path, progress: OnProgress<'_>) -> Result<Backed> {
        // Opened anew: a read transaction pins one state of the whole database while pages go.
        let source = connect::open(&self.path, &self.keyring.database, Kind::Reader)?;
        let failed = |cause| StoreError::database(&self.path, "Reading for the backup", cause);
        source.execute_batch("BEGIN").map_err(failed)?;
        let heads = convert::heads(&source).map_err(failed)?;
        {
            let mut target = connect::open(copy, &self.keyring.database, Kind::Copy)?;
            copy_pages(&source, &mut target, progress)
                .map_err(|cause| StoreError::database(copy, "Writing the backup", cause))?;
        }
        source.execute_batch("COMMIT").map_err(failed)?;
        drop(source);
        self.verify_copy(copy, heads)
    }

    fn verify_copy(&self, copy: &Path, heads: Vec<HeadSeen>) -> Result<Backed> {
        let differs = |reason: String| StoreError::CopyDiffers { path: copy.to_owned(), reason };
        let failed = |cause: rusqlite::Error| differs(cause.to_string());
        // Opening it sets the journal back to the kind that leaves one file and nothing beside.
        let opened = connect::open(copy, &self.keyring.database, Kind::Copy)?;
        for query in [sql::CIPHER_INTEGRITY, sql::INTEGRITY] {
            let said = said(&opened, query).map_err(failed)?;
            if said.iter().any(|line| line != "ok") {
                return Err(differs(said.join("; ")));
            }
        }
        let found = convert::heads(&opened).map_err(failed)?;
        if found != heads {
            return Err(differs("it holds other heads".to_owned()));
        }
        for head in &heads {
            let row = convert::row_by_id(&opened, &head.id).map_err(failed)?;
            row.ok_or_else(|| differs(format!("it lacks entry {}", head.id)))?.entry()?;
        }
        let entries: i64 =
            opened.query_row(sql::ENTRY_COUNT, [], |row| row.get(0)).map_err(failed)?;
        opened.close().map_err(|(_, cause)| failed(cause))?;
        durable::sync_file(copy)?;
        Ok(Backed { folder: PathBuf::new(), entries: entries.unsigned_abs(), heads })
    }
}

fn copy_pages(
    source: &Connection,
    target: &mut Connection,
    progress: OnProgress<'_>,
) -> rusqlite::Result<()> {
    let backup = Backup::new(source, target)?;
    loop {
        let step = backup.step(PAGES)?;
        let at = backup.progress();
        let pages = |count: i32| u64::from(count.unsigned_abs());
        progress(Progress {
            doing: "Copying pages",
            done: pages(at.pagecount - at.remaining),
            of: pages(at.pagecount),
        });
        match step {
            StepResult::Done => return Ok(()),
            StepResult::More => {}
            // Nobody else knows the temporary name, and the source is pinned: give up at once.
            _ => return Err(busy()),
        }
    }
}

fn busy() -> rusqlite::Error {
    rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_BUSY), None)
}

/// Every row of a pragma that answers in text.
pub(crate) fn said(connection: &Connection, query: &str) -> rusqlite::Result<Vec<String>> {
    connection.prepare(query)?.query_map([], |row| row.get(0))?.collect()
}
