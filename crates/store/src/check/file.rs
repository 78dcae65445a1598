//! The file, its tables and triggers, the settings of every kind of connection, and the seal.

use std::collections::BTreeMap;

use rusqlite::Connection;

use super::finding::{Findings, Level, remedy};
use super::{Examined, read_only};
use crate::backup::said;
use crate::connect::{self, Kind};
use crate::keys::KEY_FILE;
use crate::migrate::MIGRATIONS;
use crate::sql;
use crate::store::Store;

/// Where the folder stands: original, copy, restored; and how hard its passphrase is to guess.
pub(super) fn standing(store: &Store, findings: &mut Findings) {
    let folder = store.dir.display().to_string();
    if let Some(why) = &store.why {
        read_only(why, &folder, findings);
    }
    if store.keyring.cost.is_weak() {
        findings.add(
            "keys.weak_cost",
            Level::Warning,
            store.dir.join(KEY_FILE).display().to_string(),
            format!(
                "A guess at the passphrase costs {} KiB and {} passes; 65536 KiB and 3 passes are \
                 the least that RFC 9106 advises.",
                store.keyring.cost.memory_kib, store.keyring.cost.passes
            ),
            remedy::PASSPHRASE,
        );
    }
    let head = store.head().ok().flatten().map_or(0, |head| head.number);
    let marked = store.mark.read().map_or(0, |written| written.number);
    if store.why.is_none() && marked < head {
        findings.add(
            "mark.behind",
            Level::Note,
            store.outside.display().to_string(),
            format!("The mark outside the folder stands at {marked}, the chain at {head}."),
            "The next entry moves it; if it stays behind, see that the folder can be written.",
        );
    }
}

/// Opens one connection of every kind that this store uses and reads its settings back.
pub(super) fn every_connection(store: &Store, findings: &mut Findings) {
    let mut kinds = vec![Kind::Reader, Kind::Check];
    if store.writer.is_some() {
        kinds.push(Kind::Writer);
    }
    for kind in kinds {
        // Opening reads back, and fails with the setting that slipped.
        if let Err(error) = connect::open(&store.path, &store.keyring.database, kind) {
            let object = format!("the {} connection", kind.name());
            findings.error(error.code(), object, error.to_string(), remedy::PROGRAM);
        }
    }
}

/// What SQLCipher and SQLite say about pages, rows and references.
pub(super) fn integrity(connection: &Connection, database: &str, findings: &mut Findings) {
    let parts = [
        ("file.page_altered", sql::CIPHER_INTEGRITY, "Verifying the pages"),
        ("file.malformed", sql::INTEGRITY, "Verifying the tables"),
    ];
    for (code, query, doing) in parts {
        match said(connection, query) {
            Ok(lines) => {
                for line in lines.iter().filter(|line| *line != "ok") {
                    findings.error(code, database, format!("{line}."), remedy::RESTORE);
                }
            }
            Err(cause) => findings.failed(database, doing, &cause),
        }
    }
    let broken = connection.prepare(sql::FOREIGN_KEYS).and_then(|mut query| {
        query
            .query_map([], |row| {
                Ok((
                    row.get::<_, String>(0)?,
                    row.get::<_, Option<i64>>(1)?,
                    row.get::<_, String>(2)?,
                ))
            })?
            .collect::<rusqlite::Result<Vec<_>>>()
    });
    match broken {
        Ok(rows) => {
            for (table, row, parent) in rows {
                let row = row.map_or_else(String::new, |row| format!(", row {row}"));
                findings.error(
                    "file.dangling",
                    format!("{table}{row}"),
                    format!("It refers to something that {parent} no longer holds."),
                    remedy::TAMPERED,
                );
            }
        }
        Err(cause) => findings.failed(database, "Verifying the references", &cause),
    }
}

/// Tables, indexes and triggers must be those that the migrations make, word for word.
pub(super) fn schema(examined: &Examined, findings: &mut Findings) {
    let wanted = match expected() {
        Ok(wanted) => wanted,
        Err(cause) => return findings.failed(&examined.database, "Making the tables anew", &cause),
    };
    let Some(found) = examined.ask("Reading the schema", findings, objects) else { return };
    for (name, sql) in &wanted {
        let what = match found.get(name) {
            Some(there) if there == sql => continue,
            Some(_) => "It is not what this build makes.",
            None => "It is missing.",
        };
        findings.error("schema.altered", name, what, remedy::TAMPERED);
    }
    for name in found.keys().filter(|name| !wanted.contains_key(*name)) {
        findings.error("schema.foreign", name, "No build makes it.", remedy::TAMPERED);
    }
}

fn expected() -> rusqlite::Result<BTreeMap<String, String>> {
    let fresh = Connection::open_in_memory()?;
    for migration in MIGRATIONS {
        fresh.execute_batch(&migration.text())?;
    }
    objects(&fresh)
}

fn objects(connection: &Connection) -> rusqlite::Result<BTreeMap<String, String>> {
    connection
        .prepare(sql::SCHEMA)?
        .query_map([], |row| {
            let (kind, name): (String, String) = (row.get(0)?, row.get(1)?);
            Ok((format!("{kind} {name}"), row.get(2)?))
        })?
        .collect()
}
