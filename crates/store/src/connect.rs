//! The one place that opens the database, with every setting made and read back.
//!
//! A setting that a connection silently doesn't keep (an old library, a build option, a medium
//! that can't do WAL) would void durability or append-only, so nothing is assumed: after setting,
//! each value is asked for again, on every kind of connection.

use std::path::Path;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use zeroize::Zeroizing;

use crate::error::{Result, StoreError};
use crate::keys::Secret;
use crate::sql;

/// Marks the file as a logbook of this program (`PRAGMA application_id`, "DISH").
pub(crate) const APPLICATION_ID: i64 = 0x4449_5348;

/// The size of a page in bytes.
const PAGE: u64 = 4096;

/// How long one writer waits for another.
const BUSY: Duration = Duration::from_secs(15);

/// What a connection is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Appends.
    Writer,
    /// Answers questions.
    Reader,
    /// Examines, and changes nothing whatever it finds.
    Check,
    /// Fills a copy, in a file of its own without WAL: a stick may not be able to do WAL.
    Copy,
    /// Makes a new database before it gets its name.
    Founding,
}

impl Kind {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Writer => "writer",
            Self::Reader => "reader",
            Self::Check => "check",
            Self::Copy => "copy",
            Self::Founding => "founding",
        }
    }

    fn flags(self) -> OpenFlags {
        let common = OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_EXRESCODE;
        common
            | match self {
                Self::Writer => OpenFlags::SQLITE_OPEN_READ_WRITE,
                Self::Reader | Self::Check => OpenFlags::SQLITE_OPEN_READ_ONLY,
                Self::Copy | Self::Founding => {
                    OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE
                }
            }
    }
}

/// A setting, what it is set to, and what it must read back as.
struct Setting {
    pragma: &'static str,
    set: &'static str,
    wanted: &'static str,
}

const fn setting(pragma: &'static str, set: &'static str, wanted: &'static str) -> Setting {
    Setting { pragma, set, wanted }
}

const QUIET: Setting = setting("cipher_log_level", "NONE", "NONE");

/// The cipher's settings: those of SQLCipher 4, written out so that a library with other
/// defaults fails here and not at the first page.
const CIPHER: [Setting; 5] = [
    setting("cipher_page_size", "4096", "4096"),
    setting("cipher_use_hmac", "ON", "1"),
    setting("cipher_hmac_algorithm", "HMAC_SHA512", "HMAC_SHA512"),
    setting("cipher_kdf_algorithm", "PBKDF2_HMAC_SHA512", "PBKDF2_HMAC_SHA512"),
    setting("cipher_plaintext_header_size", "0", "0"),
];

/// What durability and append-only rest on.
const COMMON: [Setting; 9] = [
    setting("synchronous", "FULL", "2"),
    setting("fullfsync", "ON", "1"),
    setting("checkpoint_fullfsync", "ON", "1"),
    setting("foreign_keys", "ON", "1"),
    setting("recursive_triggers", "ON", "1"),
    setting("trusted_schema", "OFF", "0"),
    setting("secure_delete", "ON", "1"),
    setting("cell_size_check", "ON", "1"),
    // Nothing of the logbook is ever spilled to disk in clear.
    setting("temp_store", "MEMORY", "2"),
];

/// Opens `path` for `kind` with `key`, and proves that the key fits by reading the schema.
pub(crate) fn open(path: &Path, key: &Secret, kind: Kind) -> Result<Connection> {
    let failed = |doing: &str, cause| StoreError::database(path, doing, cause);
    refuse_torn(path)?;
    let connection = Connection::open_with_flags(path, kind.flags())
        .map_err(|cause| failed("Opening the database", cause))?;
    connection.busy_timeout(BUSY).map_err(|cause| failed("Opening the database", cause))?;
    // The library would otherwise write to the terminal what is said here as an error.
    apply(&connection, &QUIET).map_err(|cause| failed("Quietening the library", cause))?;
    give_key(&connection, key).map_err(|cause| failed("Handing over the key", cause))?;
    for setting in &CIPHER {
        apply(&connection, setting).map_err(|cause| failed("Setting the cipher", cause))?;
    }
    // The first read: a wrong key or a damaged first page shows here.
    connection
        .query_row(sql::FIRST_READ, [], |row| row.get::<_, i64>(0))
        .map_err(|cause| failed("Reading the first page", cause))?;
    for setting in COMMON.iter().chain(particular(kind)) {
        apply(&connection, setting).map_err(|cause| failed("Setting the connection up", cause))?;
    }
    for (option, on) in OPTIONS {
        connection
            .set_db_config(option, on)
            .map_err(|cause| failed("Setting the connection up", cause))?;
    }
    connection.set_prepared_statement_cache_capacity(64);
    read_back(&connection, kind)
        .map_err(|cause| failed("Reading the settings back", cause))?
        .map_or(Ok(connection), Err)
}

/// Refuses a file that ends within a page, which SQLite itself notices when that page is read.
/// With a WAL beside it that may be a checkpoint cut short, which the WAL mends.
fn refuse_torn(path: &Path) -> Result<()> {
    let length = |path: &Path| std::fs::metadata(path).map_or(0, |meta| meta.len());
    let mut wal = path.as_os_str().to_owned();
    wal.push("-wal");
    if length(path) % PAGE == 0 || length(Path::new(&wal)) > 0 {
        return Ok(());
    }
    let reason = "it ends within a page: it was cut short".to_owned();
    Err(StoreError::Damaged { path: path.to_owned(), reason })
}

/// Reads every setting back; `Some` names the first that isn't what it must be.
pub(crate) fn read_back(
    connection: &Connection,
    kind: Kind,
) -> rusqlite::Result<Option<StoreError>> {
    Ok(readings(connection, kind)?.into_iter().find(|(_, wanted, found)| wanted != found).map(
        |(pragma, wanted, found)| StoreError::Pragma { kind: kind.name(), pragma, wanted, found },
    ))
}

/// Every setting of `kind` with what it must be and what the connection says it is.
pub(crate) fn readings(
    connection: &Connection,
    kind: Kind,
) -> rusqlite::Result<Vec<(&'static str, String, String)>> {
    let mut out = Vec::new();
    for setting in CIPHER.iter().chain(&COMMON).chain(particular(kind)) {
        let found = ask(connection, setting.pragma)?;
        out.push((setting.pragma, setting.wanted.to_owned(), found));
    }
    if matches!(kind, Kind::Reader | Kind::Check) {
        // A backup lies there without WAL until a writer opens it. No other journal is safe.
        let found = ask(connection, "journal_mode")?;
        let wanted = if found == "delete" { "delete" } else { "wal" };
        out.push(("journal_mode", wanted.to_owned(), found));
    }
    out.push(("cipher_status", "1".to_owned(), ask(connection, "cipher_status")?));
    for (option, on) in OPTIONS {
        let found = connection.db_config(option)?;
        out.push((option_name(option), on.to_string(), found.to_string()));
    }
    Ok(out)
}

/// What differs by kind. A reader takes the journal as it finds it; see [`readings`].
fn particular(kind: Kind) -> &'static [Setting] {
    const WAL: &[Setting] =
        &[setting("journal_mode", "WAL", "wal"), setting("query_only", "OFF", "0")];
    const ONE_FILE: &[Setting] =
        &[setting("journal_mode", "DELETE", "delete"), setting("query_only", "OFF", "0")];
    const READING: &[Setting] = &[setting("query_only", "ON", "1")];
    match kind {
        Kind::Writer | Kind::Founding => WAL,
        Kind::Copy => ONE_FILE,
        Kind::Reader | Kind::Check => READING,
    }
}

/// No SQL, however it got in, may rewrite the schema table, switch the journal off, or call a
/// function from the schema that isn't known to be harmless.
const OPTIONS: [(DbConfig, bool); 2] = [
    (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
    (DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false),
];

fn option_name(option: DbConfig) -> &'static str {
    match option {
        DbConfig::SQLITE_DBCONFIG_DEFENSIVE => "defensive",
        _ => "trusted_schema (of the library)",
    }
}

fn give_key(connection: &Connection, key: &Secret) -> rusqlite::Result<()> {
    let hex = Zeroizing::new(hex::encode(key.as_slice()));
    let value = Zeroizing::new(format!("x'{}'", hex.as_str()));
    connection.pragma_update(None, "key", value.as_str())
}

/// Some settings answer with a row when they are set and some don't; both are fine.
fn apply(connection: &Connection, setting: &Setting) -> rusqlite::Result<()> {
    let sql = format!("PRAGMA {} = {}", setting.pragma, setting.set);
    let mut statement = connection.prepare(&sql)?;
    let mut rows = statement.query([])?;
    while rows.next()?.is_some() {}
    Ok(())
}

/// The value of a pragma as text, whatever its type; empty when it doesn't answer.
fn ask(connection: &Connection, pragma: &str) -> rusqlite::Result<String> {
    use rusqlite::types::ValueRef;
    let mut statement = connection.prepare(&format!("PRAGMA {pragma}"))?;
    let mut rows = statement.query([])?;
    let Some(row) = rows.next()? else { return Ok(String::new()) };
    Ok(match row.get_ref(0)? {
        ValueRef::Integer(value) => value.to_string(),
        ValueRef::Text(text) => String::from_utf8_lossy(text).into_owned(),
        other => format!("{other:?}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key() -> Secret {
        Zeroizing::new([7; 32])
    }

    #[test]
    fn every_kind_of_connection_keeps_every_setting() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.db");
        let founding = open(&path, &key(), Kind::Founding).unwrap();
        founding.execute_batch("CREATE TABLE t (x)").unwrap();
        let kinds = [Kind::Writer, Kind::Reader, Kind::Check, Kind::Copy, Kind::Founding];
        for kind in kinds {
            let at = match kind {
                Kind::Copy => folder.path().join("copy.db"),
                _ => path.clone(),
            };
            let connection = open(&at, &key(), kind).unwrap();
            let readings = readings(&connection, kind).unwrap();
            assert_eq!(readings.len(), 19, "{kind:?}");
            for (pragma, wanted, found) in readings {
                assert_eq!(found, wanted, "{pragma} on the {kind:?} connection");
            }
        }
    }

    /// The read-back can fail: each setting is turned away in turn and must be named.
    #[test]
    fn a_setting_that_slipped_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.db");
        let connection = open(&path, &key(), Kind::Founding).unwrap();
        let turn = [
            ("synchronous", "NORMAL"),
            ("foreign_keys", "OFF"),
            ("recursive_triggers", "OFF"),
            ("trusted_schema", "ON"),
            ("secure_delete", "OFF"),
            ("temp_store", "FILE"),
            ("query_only", "ON"),
        ];
        for (pragma, value) in turn {
            let before = ask(&connection, pragma).unwrap();
            connection.execute_batch(&format!("PRAGMA {pragma} = {value}")).unwrap();
            let named = read_back(&connection, Kind::Founding).unwrap().unwrap();
            assert!(named.to_string().contains(pragma), "{named}");
            connection.execute_batch(&format!("PRAGMA {pragma} = {before}")).unwrap();
            assert!(read_back(&connection, Kind::Founding).unwrap().is_none(), "{pragma}");
        }
    }

    #[test]
    fn a_reader_can_not_write() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.db");
        open(&path, &key(), Kind::Founding).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
        for kind in [Kind::Reader, Kind::Check] {
            let connection = open(&path, &key(), kind).unwrap();
            assert!(connection.execute_batch("INSERT INTO t VALUES (1)").is_err(), "{kind:?}");
        }
    }

    #[test]
    fn another_key_shows_as_damage_and_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.db");
        let founding = open(&path, &key(), Kind::Founding).unwrap();
        founding.execute_batch("CREATE TABLE t (x)").unwrap();
        drop(founding);
        let before = std::fs::read(&path).unwrap();
        let refused = open(&path, &Zeroizing::new([8; 32]), Kind::Writer).unwrap_err();
        assert_eq!(refused.code(), "damaged");
        assert_eq!(std::fs::read(&path).unwrap(), before);
    }
}
