//! Scratch folders, and what a data folder holds, for comparing before and after.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use logbook::Shelf as _;
use store::{Store, StoreConfig};

/// A new, empty folder of that name below the test's own.
pub(crate) fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("crossing").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Copies a folder with all that is in it.
pub(crate) fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// Where a data folder is, and what opens it.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    pub(crate) data: PathBuf,
    pub(crate) secrets: PathBuf,
    pub(crate) passphrase: String,
}

/// One entry as stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Stored {
    pub(crate) id: String,
    pub(crate) kind: String,
    pub(crate) person: String,
    pub(crate) claimed: String,
    pub(crate) subject: String,
    pub(crate) header: Vec<u8>,
    pub(crate) payload: serde_json::Value,
}

/// What a data folder says: every entry, every document, and its key file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Contents {
    pub(crate) entries: Vec<Stored>,
    pub(crate) documents: BTreeMap<String, Vec<u8>>,
    keys: Vec<u8>,
}

impl Place {
    pub(crate) fn new(data: &Path, secrets: &Path, passphrase: &str) -> Self {
        Self {
            data: data.to_owned(),
            secrets: secrets.to_owned(),
            passphrase: passphrase.to_owned(),
        }
    }

    pub(crate) fn config(&self) -> StoreConfig {
        StoreConfig::new(&self.data, &self.secrets, self.passphrase.as_str())
    }

    /// Everything in the folder, read without writing.
    pub(crate) fn contents(&self) -> Contents {
        let store = Store::open_read_only(&self.config()).unwrap();
        let mut entries = Vec::new();
        store
            .for_each_entry(&mut |entry| {
                let header = entry.header();
                entries.push(Stored {
                    id: entry.id().to_string(),
                    kind: header.kind().to_owned(),
                    person: header.person().as_str().to_owned(),
                    claimed: header.claimed().to_owned(),
                    subject: header.subject().to_string(),
                    header: entry.header_bytes().to_vec(),
                    payload: serde_json::from_slice(entry.payload().unwrap()).unwrap(),
                });
                Ok(())
            })
            .unwrap();
        let shelf = store.documents();
        let documents = shelf
            .keys("")
            .unwrap()
            .into_iter()
            .map(|key| (key.as_str().to_owned(), shelf.get(&key).unwrap().unwrap()))
            .collect();
        let keys = std::fs::read(self.data.join(store::KEY_FILE)).unwrap();
        Contents { entries, documents, keys }
    }
}

impl Contents {
    /// The entries of one kind.
    pub(crate) fn of_kind<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a Stored> {
        self.entries.iter().filter(move |entry| entry.kind == kind)
    }

    /// A document, read.
    pub(crate) fn document(&self, key: &str) -> serde_json::Value {
        let bytes = self.documents.get(key).unwrap_or_else(|| panic!("no document {key}"));
        serde_json::from_slice(bytes).unwrap()
    }
}
