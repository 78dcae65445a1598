//! A logbook's folder, founded or opened: two connections that never leave this crate.

use std::cell::OnceCell;
use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension as _, TransactionBehavior};

use crate::append::AppendStep;
use crate::config::{OnProgress, Progress, StoreConfig, database_in};
use crate::connect::{self, Kind};
use crate::durable;
use crate::error::{ReadOnly, Result, StoreError};
use crate::keys::{self, KEY_FILE, KdfCost, Keyring, Seal};
use crate::mark::{Mark, Written};
use crate::migrate::{self, MIGRATIONS, Migration};
use crate::shelf::Folded;
use crate::{shelf, sql};

/// The names under which this store keeps what it is.
pub(crate) const OWN_SITE: &str = "site";
pub(crate) const OWN_CHAIN: &str = "chain";

/// Watches an append's steps; for proofs of durability.
pub(crate) type Watcher = Box<dyn FnMut(AppendStep) + Send>;

/// An open logbook. One writer at a time, in this process or another: the database arbitrates.
pub struct Store {
    pub(crate) dir: PathBuf,
    pub(crate) outside: PathBuf,
    pub(crate) path: PathBuf,
    pub(crate) keyring: Keyring,
    /// Before the writer, so that it is closed first: the last to close tidies the WAL away, and
    /// a reader can't.
    pub(crate) reader: Connection,
    /// `None` when the store may not be written, and then `why` says so.
    pub(crate) writer: Option<Connection>,
    pub(crate) why: Option<ReadOnly>,
    /// The table of documents is not of this build's fold, or not whole, and may not be written.
    pub(crate) other_fold: bool,
    /// The documents in its stead, made when they are first asked for.
    pub(crate) folded: OnceCell<Folded>,
    pub(crate) mark: Mark,
    pub(crate) watcher: Option<Watcher>,
}

impl Store {
    /// Founds an empty logbook in `config.dir`, which is made if it isn't there.
    ///
    /// # Errors
    /// [`StoreError::AlreadyThere`] when one is there, [`StoreError::EmptyPassphrase`],
    /// unwritable folders and a full medium. What was there before is left as it was.
    pub fn create(config: &StoreConfig) -> Result<Self> {
        let path = config.database();
        for taken in [&path, &config.dir.join(KEY_FILE)] {
            if taken.exists() {
                return Err(StoreError::AlreadyThere(config.dir.clone()));
            }
        }
        if config.passphrase.is_empty() {
            return Err(StoreError::EmptyPassphrase);
        }
        durable::create_folder(&config.dir)?;
        let founding = founding_name(&path);
        remove_leftovers(&founding)?;
        // The key file comes last but for the rename: a folder without it never was a logbook.
        let keyring = keys::fresh(&config.outside_secret_dir, config.kdf)?;
        let mut connection = connect::open(&founding, &keyring.database, Kind::Founding)?;
        migrate::found(&founding, &mut connection)?;
        connection
            .close()
            .map_err(|(_, cause)| StoreError::database(&founding, "Closing", cause))?;
        durable::sync_file(&founding)?;
        keys::write(&config.dir, &config.outside_secret_dir, &keyring, &config.passphrase)?;
        durable::rename(&founding, &path)?;
        Self::open(config)
    }

    /// Opens the logbook in `config.dir` for reading and appending. Never replays entries unless
    /// the fold has a new version.
    ///
    /// A folder restored from an older copy, or written by a newer build, opens for reading:
    /// [`Store::read_only`] says why.
    ///
    /// # Errors
    /// [`StoreError::NotFound`], [`StoreError::WrongPassphrase`], [`StoreError::Copy`],
    /// [`StoreError::Keys`], [`StoreError::Damaged`], [`StoreError::TooNew`]; none changes
    /// anything in the folder.
    pub fn open(config: &StoreConfig) -> Result<Self> {
        Self::open_with(config, &mut |_| {})
    }

    /// As [`Store::open`], telling `progress` how far a rebuild has come.
    pub fn open_with(config: &StoreConfig, progress: OnProgress<'_>) -> Result<Self> {
        let keyring = open_keys(config)?;
        match &keyring.seal {
            Seal::Opened => Self::with_keys(config, keyring, None, MIGRATIONS, progress),
            Seal::Missing(secret) => Err(copy(&config.dir, secret, false)),
            Seal::Foreign(secret) => Err(copy(&config.dir, secret, true)),
        }
    }

    /// Opens any folder that the passphrase opens, copies included, for reading alone. Documents of
    /// an older build's fold are folded anew in memory.
    pub fn open_read_only(config: &StoreConfig) -> Result<Self> {
        let keyring = open_keys(config)?;
        let why = if keyring.seal == Seal::Opened { ReadOnly::Asked } else { ReadOnly::Copy };
        Self::with_keys(config, keyring, Some(why), MIGRATIONS, &mut |_| {})
    }

    /// Makes a copied or restored folder this installation's own: new outside secret, no chain
    /// yet (the next entry appended must be number 1 of a new one), local values gone because
    /// the keys among them belong to the other installation. Entries and drafts stay.
    pub fn adopt(config: &StoreConfig) -> Result<Self> {
        let keyring = open_keys(config)?;
        let path = config.database();
        let mut writer = connect::open(&path, &keyring.database, Kind::Writer)?;
        let failed = |cause| StoreError::database(&path, "Letting go of the old chain", cause);
        let transaction =
            writer.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
        transaction.execute(sql::OWN_CLEAR, [OWN_CHAIN]).map_err(failed)?;
        transaction.execute(sql::LOCAL_CLEAR, []).map_err(failed)?;
        transaction.commit().map_err(failed)?;
        drop(writer);
        keys::adopt(&config.dir, &config.outside_secret_dir, &keyring, &config.passphrase)?;
        Self::open(config)
    }

    /// Why the store may not be written; `None` when it may.
    pub fn read_only(&self) -> Option<&ReadOnly> {
        self.why.as_ref()
    }

    /// The data folder.
    pub fn folder(&self) -> &Path {
        &self.dir
    }

    /// A secret that only this folder on this machine yields: what is sealed with it doesn't open
    /// in a copy.
    ///
    /// # Errors
    /// [`StoreError::Copy`] when this is one.
    pub fn machine_secret(&self) -> Result<zeroize::Zeroizing<[u8; 32]>> {
        keys::machine_secret(&self.dir, &self.outside, &self.keyring)
    }

    /// Rewraps the key under a new passphrase, at `cost`. Backups made before keep the old one.
    ///
    /// # Errors
    /// [`StoreError::WrongPassphrase`] when `old` doesn't open the folder now.
    pub fn change_passphrase(&mut self, old: &str, new: &str, cost: KdfCost) -> Result<()> {
        keys::open(&self.dir, &self.outside, old)?;
        self.keyring.cost = cost;
        keys::write(&self.dir, &self.outside, &self.keyring, new)
    }

    /// Folds every entry again. For repair; opening does it by itself when the fold is newer.
    pub fn rebuild(&mut self, progress: OnProgress<'_>) -> Result<()> {
        let path = self.path.clone();
        self.write("Rebuilding the documents", |connection| {
            shelf::rebuild(&path, connection, progress)
        })
    }

    /// Runs `work` in one transaction that is taken before anything is read.
    pub(crate) fn write<T>(
        &mut self,
        doing: &str,
        work: impl FnOnce(&Connection) -> Result<T>,
    ) -> Result<T> {
        let path = self.path.clone();
        let failed = |cause| StoreError::database(&path, doing, cause);
        let transaction = self
            .writer()?
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed)?;
        let out = work(&transaction)?;
        transaction.commit().map_err(failed)?;
        Ok(out)
    }

    pub(crate) fn writer(&mut self) -> Result<&mut Connection> {
        let (folder, why) = (&self.dir, &self.why);
        self.writer.as_mut().ok_or_else(|| StoreError::ReadOnly {
            folder: folder.clone(),
            why: why.clone().unwrap_or(ReadOnly::Asked),
        })
    }

    pub(crate) fn failed(&self, doing: &str) -> impl Fn(rusqlite::Error) -> StoreError + use<> {
        let (path, doing) = (self.path.clone(), doing.to_owned());
        move |cause| StoreError::database(&path, &doing, cause)
    }

    pub(crate) fn with_keys(
        config: &StoreConfig,
        keyring: Keyring,
        why: Option<ReadOnly>,
        migrations: &[Migration],
        progress: OnProgress<'_>,
    ) -> Result<Self> {
        let path = config.database();
        let mark = Mark::new(&config.outside_secret_dir, &keyring.folder);
        // Before the head is read, so that another process's append can't look like a loss.
        let known = mark.read();
        let reader = connect::open(&path, &keyring.database, Kind::Reader)?;
        let mut why = why.or(floor(config, &path, &reader, migrations)?);
        if why.is_none() {
            why = restored(&path, &reader, known.as_ref())?;
        }
        let mut store = Self {
            dir: config.dir.clone(),
            outside: config.outside_secret_dir.clone(),
            path,
            keyring,
            writer: None,
            reader,
            why,
            other_fold: false,
            folded: OnceCell::new(),
            mark,
            watcher: None,
        };
        if store.why.is_none() {
            store.writer = Some(connect::open(&store.path, &store.keyring.database, Kind::Writer)?);
            store.bring_up_to_date(migrations, progress)?;
        } else {
            // A table that can't be read says so itself, to whoever asks it.
            store.other_fold = shelf::is_current(&store.reader).is_ok_and(|current| !current);
        }
        Ok(store)
    }

    /// Migrates older tables, after a verified backup, and folds what isn't folded yet.
    fn bring_up_to_date(
        &mut self,
        migrations: &[Migration],
        progress: OnProgress<'_>,
    ) -> Result<()> {
        let state = migrate::state(&self.path, &self.reader)?;
        let ours = migrate::ours(migrations);
        if state.generation < ours {
            self.backup_before_migration(state.generation, ours, progress)?;
            let path = self.path.clone();
            migrate::apply(&path, self.writer()?, migrations, &mut |_| {})?;
            progress(Progress { doing: "Migrating the tables", done: 1, of: 1 });
        }
        let current = shelf::is_current(&self.reader)
            .map_err(self.failed("Reading the documents' version"))?;
        if current {
            return Ok(());
        }
        let path = self.path.clone();
        self.write("Folding the entries", |connection| shelf::follow(&path, connection, progress))
    }

    fn backup_before_migration(&self, from: u32, to: u32, progress: OnProgress<'_>) -> Result<()> {
        // An attempt that was cut short leaves its backup; it is kept, and a new one made.
        let mut attempt = 0;
        loop {
            attempt += 1;
            let name = format!("before-migration-{from}-{to}-{attempt}");
            let target = self.dir.join(name);
            if !target.exists() {
                return self.backup_with(&target, progress).map(|_| ());
            }
        }
    }
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store")
            .field("dir", &self.dir)
            .field("read_only", &self.why)
            .finish_non_exhaustive()
    }
}

/// Reads a value that says what this store is.
pub(crate) fn own(connection: &Connection, name: &str) -> rusqlite::Result<Option<Vec<u8>>> {
    connection.prepare_cached(sql::OWN)?.query_row([name], |row| row.get(0)).optional()
}

/// Opens the keys, after seeing that there is a logbook at all.
pub(crate) fn open_keys(config: &StoreConfig) -> Result<Keyring> {
    let (path, key_file) = (config.database(), config.dir.join(KEY_FILE));
    if !path.exists() && !key_file.exists() {
        return Err(StoreError::NotFound(config.dir.clone()));
    }
    let keyring = keys::open(&config.dir, &config.outside_secret_dir, &config.passphrase)?;
    // Founding was cut short between its last two steps: the finished database gets its name.
    let founding = founding_name(&path);
    if !path.exists() && founding.exists() {
        durable::rename(&founding, &path)?;
    }
    if !path.exists() {
        let reason = "it is missing, its key file is there".to_owned();
        return Err(StoreError::Damaged { path, reason });
    }
    Ok(keyring)
}

fn copy(dir: &Path, secret: &Path, found: bool) -> StoreError {
    StoreError::Copy { folder: dir.to_owned(), secret: secret.to_owned(), found }
}

fn founding_name(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".founding");
    PathBuf::from(name)
}

/// Removes what a founding that was cut short left: it never held an entry.
fn remove_leftovers(founding: &Path) -> Result<()> {
    for ending in ["", "-wal", "-shm", "-journal"] {
        let mut name = founding.as_os_str().to_owned();
        name.push(ending);
        let leftover = PathBuf::from(name);
        if leftover.exists() {
            fs::remove_file(&leftover).map_err(|cause| StoreError::writing(&leftover, cause))?;
        }
    }
    Ok(())
}

/// Whether this build may read, and whether it may write.
fn floor(
    config: &StoreConfig,
    path: &Path,
    reader: &Connection,
    migrations: &[Migration],
) -> Result<Option<ReadOnly>> {
    let state = migrate::state(path, reader)?;
    let ours = migrate::ours(migrations);
    if state.lowest_reader > ours {
        return Err(StoreError::TooNew {
            folder: config.dir.clone(),
            lowest_reader: state.lowest_reader,
            ours,
        });
    }
    let newer = state.lowest_writer > ours;
    Ok(newer.then_some(ReadOnly::NewerBuild { lowest_writer: state.lowest_writer }))
}

/// Whether the own chain ends before what this installation is known to have written.
fn restored(path: &Path, reader: &Connection, known: Option<&Written>) -> Result<Option<ReadOnly>> {
    let failed = |cause| StoreError::database(path, "Comparing with the high-water mark", cause);
    let Some(known) = known else { return Ok(None) };
    let chain = own(reader, OWN_CHAIN).map_err(failed)?;
    // A mark of another chain is from before this folder was adopted, unless there is no chain
    // at all: then the folder was put back from before its first entry.
    if chain.as_ref().is_some_and(|chain| chain.as_slice() != known.chain.as_slice()) {
        return Ok(None);
    }
    let number = i64::try_from(known.number).unwrap_or(i64::MAX);
    let there: Option<Vec<u8>> = reader
        .prepare_cached(sql::OWN_PLACE)
        .and_then(|mut query| {
            query.query_row(rusqlite::params![known.chain, number], |row| row.get(0)).optional()
        })
        .map_err(failed)?;
    if there.as_deref() == Some(known.id.as_slice()) {
        return Ok(None);
    }
    let found: i64 = reader
        .query_row(sql::LAST_NUMBER, [known.chain.as_slice()], |row| row.get(0))
        .map_err(failed)?;
    Ok(Some(ReadOnly::Restored { known: known.number, found: u64::try_from(found).unwrap_or(0) }))
}

/// The database of a folder, for the modules that copy it.
pub(crate) fn database_of(dir: &Path) -> PathBuf {
    database_in(dir)
}
