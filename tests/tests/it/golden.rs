//! The golden data folder of store format 1, opened by today's build. See its README.

use std::path::{Path, PathBuf};

use store::{Depth, Level, Store, check_folder};

use crate::folders::{Place, copy, scratch};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("golden/store-v1")
}

fn copied(name: &str) -> Place {
    let out = scratch(name);
    copy(&folder(), &out);
    let passphrase = std::fs::read_to_string(out.join("passphrase.txt")).unwrap();
    Place::new(&out.join("site"), &out.join("outside-the-site"), passphrase.trim_end())
}

#[test]
fn todays_build_finds_nothing_wrong_in_it() {
    let place = copied("golden-check");
    let findings = check_folder(&place.config(), Depth::Deep, &mut |_| {}).unwrap();
    // It was made with keys that cost nothing to stretch, and that is said.
    let codes: Vec<(&str, Level)> = findings.iter().map(|one| (one.code, one.level)).collect();
    assert_eq!(codes, [("keys.weak_cost", Level::Warning)], "{findings:#?}");
}

#[test]
fn its_entries_are_those_that_were_written() {
    let place = copied("golden-entries");
    let ids = std::fs::read_to_string(folder().join("ids.txt")).unwrap();
    let contents = place.contents();
    let found: String = contents
        .entries
        .iter()
        .zip(1..)
        .map(|(entry, number)| format!("{} {number} {}\n", entry.id, entry.kind))
        .collect();
    assert_eq!(found, ids);
    assert!(contents.entries.len() > 120, "{}", contents.entries.len());
}

#[test]
fn the_proof_stands_and_a_rebuild_gives_the_same_documents() {
    let place = copied("golden-rebuild");
    // Opened for reading, as a backup is: the entries are folded in memory where today's documents
    // are of a newer version. Opening for writing folds them in place, to the same.
    let read = place.contents();
    drop(Store::open(&place.config()).unwrap());
    let before = place.contents();
    assert_eq!(read, before);
    let leak = &before.document("position/PC-04")["proofs"]["leak"];
    assert_eq!(leak["state"], "stands", "{leak}");
    assert_eq!(leak["attempt"], 3);
    let verdicts: Vec<&str> = before
        .of_kind("verdict_reached")
        .map(|entry| entry.payload["verdict"].as_str().unwrap())
        .collect();
    assert_eq!(verdicts, ["fail", "not_judged", "pass"]);
    let mut store = Store::open(&place.config()).unwrap();
    store.rebuild(&mut |_| {}).unwrap();
    drop(store);
    assert!(before.documents.len() > 15, "{}", before.documents.len());
    assert_eq!(place.contents(), before);
}

/// The folder in the repository is opened through copies alone.
#[test]
fn it_is_small_and_whole() {
    let mut size = 0;
    for name in ["site/logbook.db", "site/keys.json", "ids.txt", "passphrase.txt", "README.md"] {
        size += std::fs::metadata(folder().join(name)).unwrap().len();
    }
    assert!(size < 800_000, "{size} bytes");
    assert_eq!(std::fs::read_dir(folder().join("site")).unwrap().count(), 2, "opened in place");
}
