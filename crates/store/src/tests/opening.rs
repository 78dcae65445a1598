//! Opening: wrong passphrase, damaged and missing files, and what opening must not cost.

use std::fs;
use std::path::Path;

use super::fixture::{Folder, PASSPHRASE};
use crate::config::StoreConfig;
use crate::error::StoreError;
use crate::keys::KdfCost;
use crate::store::Store;

/// Every file of the folder, to see that a refusal changed nothing.
fn contents(dir: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(dir)
        .unwrap()
        .map(|file| file.unwrap().path())
        .map(|path| {
            (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap())
        })
        // SQLite's own scratch files: the shared index, and a WAL with nothing in it.
        .filter(|(name, bytes)| {
            !(name.ends_with("-shm") || name.ends_with("-wal") && bytes.is_empty())
        })
        .collect();
    files.sort();
    files
}

fn refused(folder: &Folder, config: &StoreConfig) -> StoreError {
    let before = contents(folder.dir());
    let refused = Store::open(config).unwrap_err();
    assert!(before == contents(folder.dir()), "a refusal changed the folder: {refused}");
    assert!(refused.to_string().ends_with('.') && refused.next_step().ends_with('.'));
    refused
}

#[test]
fn a_wrong_passphrase_changes_nothing_and_says_what_to_do() {
    let folder = Folder::with_entries(3);
    let mut config = folder.config.clone();
    for wrong in ["", "seven quiet dishes turn ", "Seven quiet dishes turn"] {
        config.passphrase = wrong.to_owned().into();
        let refused = refused(&folder, &config);
        assert_eq!(refused.code(), "wrong_passphrase");
        assert!(refused.next_step().contains("Type it once more"));
    }
    assert_eq!(folder.open().count().unwrap(), 3);
}

#[test]
fn the_passphrase_can_be_changed_and_the_database_stays() {
    let folder = Folder::with_entries(3);
    let database = fs::read(folder.config.database()).unwrap();
    let mut store = folder.open();
    let wrong = store.change_passphrase("no", "new words", KdfCost::TRIVIAL).unwrap_err();
    assert_eq!(wrong.code(), "wrong_passphrase");
    let empty = store.change_passphrase(PASSPHRASE, "", KdfCost::TRIVIAL).unwrap_err();
    assert_eq!(empty.code(), "empty_passphrase");
    store.change_passphrase(PASSPHRASE, "new words", KdfCost::TRIVIAL).unwrap();
    drop(store);
    assert!(database == fs::read(folder.config.database()).unwrap());
    assert_eq!(Store::open(&folder.config).unwrap_err().code(), "wrong_passphrase");
    let config = StoreConfig { passphrase: "new words".to_owned().into(), ..folder.config.clone() };
    assert_eq!(Store::open(&config).unwrap().count().unwrap(), 3);
}

#[test]
fn an_empty_folder_and_a_second_founding_are_named() {
    let folder = Folder::with_entries(1);
    let nowhere = folder.at(&folder.beside("nowhere"));
    assert_eq!(Store::open(&nowhere).unwrap_err().code(), "not_found");
    let again = Store::create(&folder.config).unwrap_err();
    assert_eq!(again.code(), "already_there");
    let mut config = folder.at(&folder.beside("fresh"));
    config.passphrase = String::new().into();
    assert_eq!(Store::create(&config).unwrap_err().code(), "empty_passphrase");
    assert!(!config.dir.exists());
    assert_eq!(folder.open().count().unwrap(), 1);
}

#[test]
fn a_founding_that_was_cut_short_goes_on_or_begins_again() {
    // Before the key file: nothing was founded, the next attempt clears the rest away.
    let folder = Folder::new();
    let config = folder.at(&folder.beside("half"));
    fs::create_dir(&config.dir).unwrap();
    fs::write(config.dir.join("logbook.db.founding"), b"half").unwrap();
    assert_eq!(Store::open(&config).unwrap_err().code(), "not_found");
    Store::create(&config).unwrap();
    // Between key file and rename: opening finishes it.
    fs::rename(config.database(), config.dir.join("logbook.db.founding")).unwrap();
    assert_eq!(Store::open(&config).unwrap().count().unwrap(), 0);
}

#[test]
fn a_damaged_key_file_names_the_backup() {
    let folder = Folder::with_entries(1);
    let path = folder.dir().join("keys.json");
    let good = fs::read_to_string(&path).unwrap();
    let cases = [
        ("", "EOF"),
        (&good[..good.len() / 2], "EOF"),
        (&good.replace("\"format\": 1", "\"format\": 9"), "format 9"),
        (&good.replace("\"memory_kib\": 8", "\"memory_kib\": 4000000000"), "more work"),
        (&good.replace("\"folder\": \"", "\"folder\": \"../"), "32 hex digits"),
        (&good.replace("argon2id-19", "md5"), "md5"),
    ];
    for (text, words) in cases {
        fs::write(&path, text).unwrap();
        let refused = refused(&folder, &folder.config);
        assert_eq!(refused.code(), "keys_damaged", "{refused}");
        assert!(refused.to_string().contains(words), "{refused}");
        assert!(refused.next_step().contains("backup"));
    }
    fs::remove_file(&path).unwrap();
    assert!(refused(&folder, &folder.config).to_string().contains("it is missing"));
    fs::write(&path, good).unwrap();
    assert_eq!(folder.open().count().unwrap(), 1);
}

/// The whole database, cut and overwritten in many places.
#[test]
fn a_damaged_database_is_named_and_never_written() {
    let folder = Folder::with_entries(60);
    let path = folder.config.database();
    let good = fs::read(&path).unwrap();
    assert!(good.len() > 20 * 4096, "enough pages to cut");
    let cuts =
        [0, 1, 100, 4095, 4096, 5000, 2 * 4096, good.len() / 2, good.len() - 4096, good.len() - 1];
    for cut in cuts {
        fs::write(&path, &good[..cut]).unwrap();
        let refused = refused(&folder, &folder.config);
        assert_eq!(refused.code(), "damaged", "cut to {cut}: {refused}");
        assert!(refused.next_step().contains("backup"));
    }
    // The first page overwritten, a bit of it flipped, and another file put in its place.
    let mut flipped = good.clone();
    flipped[2000] ^= 1;
    for bytes in [vec![0; good.len()], flipped, b"SQLite format 3\0 is what I say".repeat(400)] {
        fs::write(&path, bytes).unwrap();
        assert_eq!(refused(&folder, &folder.config).code(), "damaged");
    }
    fs::remove_file(&path).unwrap();
    assert_eq!(refused(&folder, &folder.config).code(), "damaged");
    fs::write(&path, good).unwrap();
    assert_eq!(folder.open().count().unwrap(), 60);
}

/// Damage further inside doesn't keep the rest from being read.
#[test]
fn a_damaged_page_inside_is_an_error_of_what_needs_it() {
    let folder = Folder::with_entries(60);
    let path = folder.config.database();
    let good = fs::read(&path).unwrap();
    let mut errors = 0;
    for page in 1..good.len() / 4096 {
        let mut bytes = good.clone();
        bytes[page * 4096 + 700] ^= 0x40;
        fs::write(&path, &bytes).unwrap();
        let read = Store::open_read_only(&folder.config).and_then(|store| {
            store.for_each_entry(&mut |_| Ok(()))?;
            Ok(())
        });
        if let Err(error) = read {
            assert_eq!(error.code(), "damaged", "page {page}: {error}");
            errors += 1;
        }
    }
    assert!(errors > 5, "{errors}");
}

/// Opening looks at a fixed number of pages: a damaged page in the middle of many entries isn't
/// even noticed, because it isn't read.
#[test]
fn opening_reads_no_entries() {
    let folder = Folder::with_entries(400);
    let path = folder.config.database();
    let mut bytes = fs::read(&path).unwrap();
    let middle = (bytes.len() / 4096 / 2) * 4096;
    bytes[middle + 9] ^= 1;
    fs::write(&path, &bytes).unwrap();
    let store = folder.open();
    assert_eq!(store.head().unwrap().unwrap().number, 400);
}

#[test]
fn an_unwritable_place_is_a_sentence() {
    let folder = Folder::new();
    let file = folder.beside("a file");
    fs::write(&file, b"x").unwrap();
    // A file stands where the folder should be: refused for everyone, also for root.
    let refused = Store::create(&folder.at(&file.join("data"))).unwrap_err();
    assert_eq!(refused.code(), "unwritable");
    let mut config = folder.at(&folder.beside("new"));
    config.outside_secret_dir = file.join("outside");
    let refused = Store::create(&config).unwrap_err();
    assert_eq!(refused.code(), "unwritable");
    assert!(refused.next_step().contains("permissions"));
}
