//! A data folder with a logbook in it, and ways to look and reach inside.

use std::fs;
use std::path::{Path, PathBuf};

use ledger::{AttachmentRef, Entry};
use rusqlite::Connection;

use super::chain::{Chain, Says};
use crate::attachment::Attachment;
use crate::config::StoreConfig;
use crate::connect::{self, Kind};
use crate::keys::KdfCost;
use crate::store::{Store, open_keys};

pub(super) const PASSPHRASE: &str = "seven quiet dishes turn";

pub(super) struct Folder {
    pub(super) config: StoreConfig,
    pub(super) chain: Chain,
    root: tempfile::TempDir,
}

impl Folder {
    /// An empty logbook.
    pub(super) fn new() -> Self {
        let root = tempfile::tempdir().unwrap();
        let config =
            StoreConfig::new(root.path().join("data"), root.path().join("outside"), PASSPHRASE)
                .with_cost(KdfCost::TRIVIAL);
        drop(Store::create(&config).unwrap());
        Self { config, chain: Chain::new(1), root }
    }

    pub(super) fn with_entries(count: u64) -> Self {
        let folder = Self::new();
        folder.append(&mut folder.open(), count);
        folder
    }

    /// Three entries, the second with a photo of more than one chunk.
    pub(super) fn with_attachment() -> Self {
        let folder = Self::with_entries(1);
        let mut store = folder.open();
        let photo = photo();
        let says = Says { attachments: vec![named(&photo)], ..Says::default() };
        let entry = folder.next(&store, &says);
        assert!(store.append(&entry, &[photo]).unwrap().is_new());
        folder.append(&mut store, 1);
        folder
    }

    pub(super) fn open(&self) -> Store {
        Store::open(&self.config).unwrap()
    }

    pub(super) fn dir(&self) -> &Path {
        &self.config.dir
    }

    /// A place of its own beside the data folder.
    pub(super) fn beside(&self, name: &str) -> PathBuf {
        self.root.path().join(name)
    }

    /// The same secret and passphrase, another data folder.
    pub(super) fn at(&self, dir: &Path) -> StoreConfig {
        StoreConfig { dir: dir.to_owned(), ..self.config.clone() }
    }

    pub(super) fn next(&self, store: &Store, says: &Says<'_>) -> Entry {
        let head = store.head().unwrap().map(|head| (head.number, head.id));
        self.chain.after(head, says)
    }

    /// Appends `count` entries about changing subjects.
    pub(super) fn append(&self, store: &mut Store, count: u64) {
        for _ in 0..count {
            let subject = store.count().unwrap() % 7;
            let entry = self.next(store, &Says { subject, ..Says::default() });
            assert!(store.append(&entry, &[]).unwrap().is_new());
        }
    }

    /// A keyed connection with the settings of a writer, triggers and all.
    pub(super) fn raw(&self) -> Connection {
        let keyring = open_keys(&self.config).unwrap();
        connect::open(&self.config.database(), &keyring.database, Kind::Writer).unwrap()
    }

    /// Does with the database what no build of the program does: without triggers, references
    /// and defences. The triggers are put back when `back` says so.
    pub(super) fn tamper(&self, back: bool, sql: &str) {
        let raw = self.raw();
        raw.set_db_config(rusqlite::config::DbConfig::SQLITE_DBCONFIG_DEFENSIVE, false).unwrap();
        raw.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON")
            .unwrap();
        let triggers: Vec<(String, String)> = raw
            .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
            .unwrap()
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        for (name, _) in &triggers {
            raw.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
        }
        raw.execute_batch(sql).unwrap();
        if back {
            for (_, sql) in &triggers {
                raw.execute_batch(sql).unwrap();
            }
        }
    }

    /// Every row of the append-only tables, as text, to see that nothing changed.
    pub(super) fn every_row(&self, raw: &Connection) -> String {
        let tables =
            ["entry", "payload", "attachment", "attachment_chunk", "entry_attachment", "redaction"];
        let mut out = String::new();
        for table in tables {
            let mut query = raw.prepare(&format!("SELECT * FROM {table}")).unwrap();
            let columns = query.column_count();
            let mut rows = query.query([]).unwrap();
            while let Some(row) = rows.next().unwrap() {
                out.push_str(table);
                for column in 0..columns {
                    out.push_str(&format!(" {:?}", row.get_ref(column).unwrap()));
                }
                out.push('\n');
            }
        }
        out
    }
}

pub(super) fn photo() -> Attachment {
    let bytes = (0..600_000_u32).map(|at| at.to_le_bytes()[usize::from(at % 3 == 0)]).collect();
    Attachment::from_bytes(bytes)
}

pub(super) fn named(attachment: &Attachment) -> AttachmentRef {
    AttachmentRef { hash: *attachment.digest(), length: attachment.length() }
}

/// Copies the files of a folder as they are at this moment.
pub(super) fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let path = file.unwrap().path();
        // The shared-memory file is not on the medium in any sense that survives a kill.
        if path.is_file() && path.extension().is_none_or(|ending| ending != "db-shm") {
            fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
        }
    }
}
