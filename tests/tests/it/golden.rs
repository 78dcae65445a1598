//! The golden data folders, opened by today's build. See their READMEs.

use std::io::BufReader;
use std::path::{Path, PathBuf};

use logbook::{MemoryShelf, project};
use serde_json::Value;
use store::{Depth, Level, Store, check_folder};

use crate::folders::{Contents, Place, copy, scratch};

const LEAK: &str = "store-v1";
const MEASURED: &str = "store-v1-measured";
const ALL: [&str; 2] = [LEAK, MEASURED];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("golden").join(name)
}

fn copied(name: &str, test: &str) -> Place {
    let out = scratch(&format!("golden-{name}-{test}"));
    copy(&folder(name), &out);
    let passphrase = std::fs::read_to_string(out.join("passphrase.txt")).unwrap();
    Place::new(&out.join("site"), &out.join("outside-the-site"), passphrase.trim_end())
}

#[test]
fn todays_build_finds_nothing_wrong_in_them() {
    for name in ALL {
        let place = copied(name, "check");
        let findings = check_folder(&place.config(), Depth::Deep, &mut |_| {}).unwrap();
        // They were made with keys that cost nothing to stretch, and that is said.
        let codes: Vec<(&str, Level)> = findings.iter().map(|one| (one.code, one.level)).collect();
        assert_eq!(codes, [("keys.weak_cost", Level::Warning)], "{name}: {findings:#?}");
    }
}

#[test]
fn their_entries_are_those_that_were_written() {
    for (name, least) in [(LEAK, 120), (MEASURED, 200)] {
        let ids = std::fs::read_to_string(folder(name).join("ids.txt")).unwrap();
        let contents = copied(name, "entries").contents();
        assert_eq!(ids.lines().count(), contents.entries.len(), "{name}");
        for ((entry, number), line) in contents.entries.iter().zip(1..).zip(ids.lines()) {
            let mut words = line.split(' ');
            assert_eq!(words.next(), Some(entry.id.as_str()));
            assert_eq!(words.next(), Some(format!("{number}").as_str()));
            assert_eq!(words.next(), Some(entry.kind.as_str()));
            // The first folder's file is older than the versions in it.
            let header: Value = serde_json::from_slice(&entry.header).unwrap();
            let version = words.next().unwrap_or("1");
            assert_eq!(header["kind_version"].to_string(), version, "{line}");
        }
        assert!(contents.entries.len() > least, "{name}: {}", contents.entries.len());
    }
}

/// What it holds when opened for reading, when opened for writing and after a rebuild: the same.
fn rebuilt(name: &str) -> Contents {
    let place = copied(name, "rebuild");
    // Opened for reading, as a backup is: the entries are folded in memory where today's documents
    // are of a newer version. Opening for writing folds them in place, to the same.
    let read = place.contents();
    drop(Store::open(&place.config()).unwrap());
    let before = place.contents();
    assert_eq!(read, before, "{name}");
    let mut store = Store::open(&place.config()).unwrap();
    store.rebuild(&mut |_| {}).unwrap();
    drop(store);
    assert!(before.documents.len() > 15, "{name}: {}", before.documents.len());
    assert_eq!(place.contents(), before, "{name}");
    assert!(before.document("status")["unread"].as_array().unwrap().is_empty(), "{name}");
    before
}

fn words(contents: &Contents) -> Vec<&str> {
    let verdicts = contents.of_kind("verdict_reached");
    verdicts.map(|entry| entry.payload["verdict"].as_str().unwrap()).collect()
}

#[test]
fn of_the_leak_test_the_proof_stands() {
    let contents = rebuilt(LEAK);
    let leak = &contents.document("position/PC-04")["proofs"]["leak"];
    assert_eq!(leak["state"], "stands", "{leak}");
    assert_eq!(leak["attempt"], 3);
    assert_eq!(words(&contents), ["fail", "not_judged", "pass"]);
}

#[test]
fn of_tables_and_series_everything_given_is_read() {
    let contents = rebuilt(MEASURED);
    assert_eq!(words(&contents), ["fail", "not_judged", "fail", "pass"]);
    let record = |dish: &str| {
        let position = contents.document(&format!("position/{dish}"));
        contents.document(&format!("record/{}", position["records"][0]["record"].as_str().unwrap()))
    };
    let proof = &contents.document("position/PC-07")["proofs"]["alignment"];
    assert_eq!((&proof["state"], &proof["attempt"]), (&"stands".into(), &2.into()));

    let alignment = record("PC-07");
    assert_eq!(alignment["attempts"][0]["design"]["id"], "LV-3");
    let table = &alignment["attempts"][1]["surveys"]["as-left"]["given"][0];
    assert_eq!(table["rows"].as_array().unwrap().len(), 42);
    let row = table["rows"].as_array().unwrap().iter().find(|row| row["row"] == "R03/F19").unwrap();
    assert_eq!(row["state"], "measured");
    assert_eq!(row["typed"].as_array().unwrap().len(), 2);
    let verdict = &alignment["attempts"][1]["verdicts"][0];
    let steps: Vec<&str> = verdict["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .map(|sheet| sheet["step"].as_str().unwrap())
        .collect();
    assert_eq!(steps, ["sunrise", "as-found-errors", "as-left-errors"]);
    assert!(verdict["site"].is_string() && verdict["design"]["revision"] == "1", "{verdict}");

    let performance = record("PC-02");
    let given = performance["attempts"][1]["series"]["run-a"]["given"].as_array().unwrap();
    let zones: Vec<&str> =
        given.iter().map(|one| one["files"][0]["zone"].as_str().unwrap()).collect();
    assert_eq!(zones, ["-03:00", "-04:00"]);
    assert_eq!(given[1]["replaces"], given[0]["stamp"]["entry"]);
    assert_eq!(given[1]["channels"][0]["times"].as_array().unwrap().len(), 150);
    assert_eq!(performance["attempts"][1]["state"], "in_progress");
    assert_eq!(contents.document("site")["described"]["site"]["time_zone"], "America/Santiago");
}

/// The archive beside the folder is the same entries, and folds to the same documents.
#[test]
fn the_archive_gives_what_the_folder_gives() {
    let contents = copied(MEASURED, "archive").contents();
    let file = std::fs::File::open(folder(MEASURED).join("archive.jsonl")).unwrap();
    let (mut shelf, mut verifier) = (MemoryShelf::new(), ledger::ChainVerifier::new());
    let mut ids = Vec::new();
    for line in ledger::archive::read_lines(BufReader::new(file)) {
        let line = line.unwrap();
        let entry = verifier.feed(&line.header, line.payload.as_deref(), &line.signature).unwrap();
        ids.push(entry.id().to_string());
        project(&entry, &mut shelf).unwrap();
    }
    assert!(verifier.faults().is_empty(), "{:?}", verifier.faults());
    let stored: Vec<&String> = contents.entries.iter().map(|entry| &entry.id).collect();
    assert_eq!(ids.iter().collect::<Vec<_>>(), stored);
    let folded: std::collections::BTreeMap<String, Vec<u8>> =
        shelf.documents().map(|(key, bytes)| (key.as_str().to_owned(), bytes.to_vec())).collect();
    assert_eq!(folded, contents.documents);
}

/// The folders in the repository are opened through copies alone.
#[test]
fn they_are_small_and_whole() {
    for (name, most) in [(LEAK, 800_000), (MEASURED, 2_200_000)] {
        let mut size = 0;
        for file in ["site/logbook.db", "site/keys.json", "ids.txt", "passphrase.txt", "README.md"]
        {
            size += std::fs::metadata(folder(name).join(file)).unwrap().len();
        }
        assert!(size < most, "{name}: {size} bytes");
        let files = std::fs::read_dir(folder(name).join("site")).unwrap().count();
        assert_eq!(files, 2, "{name} was opened in place");
    }
}
