//! Documents: the incremental fold equals a fold done anew, and opening folds only when it must.

use logbook::{Key, Shelf as _};
use proptest::prelude::*;

use super::chain::Says;
use super::fixture::Folder;
use crate::check::Depth;
use crate::sql;
use crate::store::Store;

fn documents(folder: &Folder) -> Vec<(String, Vec<u8>)> {
    let raw = folder.raw();
    let mut query = raw.prepare(sql::DOCUMENTS).unwrap();
    query
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap()
}

/// Kinds that the fold knows (with payloads it can't read), and one that nobody knows.
const KINDS: [&str; 6] =
    ["note", "person_enrolled", "record_opened", "answer_given", "verdict_reached", "found"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn incremental_equals_rebuilt(
        says in proptest::collection::vec((0..KINDS.len(), 0..4_u64, 0..1000_u32), 1..24)
    ) {
        let folder = Folder::new();
        let mut store = folder.open();
        for (at, (kind, subject, n)) in says.iter().enumerate() {
            let payload = format!("{{\"n\":{n}}}");
            let says = Says { kind: KINDS[*kind], subject: *subject, payload: &payload, ..Says::default() };
            let entry = folder.next(&store, &says);
            prop_assert!(store.append(&entry, &[]).unwrap().is_new());
            if at == says.payload.len() {
                // Reopened somewhere in the middle.
                store = folder.open();
            }
        }
        let incremental = documents(&folder);
        prop_assert!(!incremental.is_empty());
        store.rebuild(&mut |_| {}).unwrap();
        prop_assert_eq!(incremental, documents(&folder));
        let findings = store.check(Depth::Deep, &mut |_| {});
        prop_assert!(findings.iter().all(|finding| finding.code == "keys.weak_cost"), "{:?}", findings);
    }
}

#[test]
fn an_older_fold_is_redone_on_opening_and_a_current_one_is_not() {
    let folder = Folder::with_entries(30);
    let good = documents(&folder);
    let mut seen = Vec::new();
    Store::open_with(&folder.config, &mut |progress| seen.push(progress)).unwrap();
    assert_eq!(seen, [], "nothing to do");

    let raw = folder.raw();
    raw.execute_batch("UPDATE projection SET version = 0; UPDATE document SET value = x'00'")
        .unwrap();
    drop(raw);
    Store::open_with(&folder.config, &mut |progress| seen.push(progress)).unwrap();
    assert_eq!(seen.last().map(|last| (last.done, last.of)), Some((30, 30)));
    assert_eq!(documents(&folder), good);
}

/// Documents that cover less, e.g. after an import that was cut short: only the rest is folded.
#[test]
fn what_is_missing_is_folded_on_opening() {
    let folder = Folder::with_entries(10);
    let (through, id, good) = {
        let raw = folder.raw();
        let (through, id): (i64, Vec<u8>) = raw
            .query_row("SELECT through, id FROM projection", [], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })
            .unwrap();
        (through, id, documents(&folder))
    };
    folder.append(&mut folder.open(), 5);
    let full = documents(&folder);
    let raw = folder.raw();
    raw.execute_batch("DELETE FROM document").unwrap();
    for (key, value) in good {
        raw.execute(sql::DOCUMENT_PUT, rusqlite::params![key, value]).unwrap();
    }
    raw.execute("UPDATE projection SET through = ?1, id = ?2", rusqlite::params![through, id])
        .unwrap();
    drop(raw);
    let mut seen = Vec::new();
    Store::open_with(&folder.config, &mut |progress| seen.push(progress)).unwrap();
    assert_eq!(seen.last().map(|last| last.of), Some(5));
    assert_eq!(documents(&folder), full);
}

#[test]
fn documents_are_read_and_never_written_from_outside() {
    let folder = Folder::with_entries(3);
    let store = folder.open();
    let mut shelf = store.documents();
    let keys = shelf.keys("").unwrap();
    assert!(!keys.is_empty());
    assert!(shelf.get(&keys[0]).unwrap().is_some());
    assert!(shelf.get(&Key::from_stored("no such")).unwrap().is_none());
    let prefix = &keys[0].as_str()[..3];
    assert!(shelf.keys(prefix).unwrap().iter().all(|key| key.as_str().starts_with(prefix)));
    assert!(shelf.put(&keys[0], b"{}").is_err());
}

/// Where nothing may be written, the documents of an older fold are made anew in memory: what is
/// read is the same, nothing in the folder changes, and nothing is wrong with it.
#[test]
fn an_older_fold_is_read_anew_where_nothing_may_be_written() {
    let folder = Folder::with_entries(30);
    let good = documents(&folder);
    let raw = folder.raw();
    raw.execute_batch("UPDATE projection SET version = 0; UPDATE document SET value = x'00'")
        .unwrap();
    drop(raw);
    let mut store = Store::open_read_only(&folder.config).unwrap();
    let read = |store: &Store| -> Vec<(String, Vec<u8>)> {
        let shelf = store.documents();
        let keys = shelf.keys("").unwrap().into_iter();
        keys.map(|key| (key.as_str().to_owned(), shelf.get(&key).unwrap().unwrap())).collect()
    };
    assert_eq!(read(&store), good);
    let status = Key::status();
    assert!(store.documents().put(&status, b"{}").is_err());
    for depth in [Depth::Shallow, Depth::Deep] {
        let findings = store.check(depth, &mut |_| {});
        assert!(findings.iter().all(|one| one.code == "keys.weak_cost"), "{findings:?}");
    }
    drop(store);
    assert!(documents(&folder).iter().all(|(_, value)| value == b"\0"), "the table was written");

    // An entry that can't be read is said by whoever asks, and found by the check.
    folder.tamper(true, "UPDATE payload SET bytes = x'7b7d' WHERE entry = 7");
    let mut store = Store::open_read_only(&folder.config).unwrap();
    let refused = store.documents().get(&status).unwrap_err().to_string();
    assert!(refused.contains("can't be made from the entries"), "{refused}");
    let findings = store.check(Depth::Deep, &mut |_| {});
    for code in ["payload.altered", "check.incomplete"] {
        assert!(findings.iter().any(|one| one.code == code), "{code}: {findings:?}");
    }
}

/// Documents of this build's fold that end too early: an import was cut short.
#[test]
fn documents_that_end_too_early_are_named_and_read_whole() {
    let folder = Folder::with_entries(10);
    let full = documents(&folder);
    folder
        .raw()
        .execute_batch("UPDATE projection SET through = 4; UPDATE document SET value = x'00'")
        .unwrap();
    let mut store = Store::open_read_only(&folder.config).unwrap();
    let findings = store.check(Depth::Deep, &mut |_| {});
    let behind: Vec<_> = findings.iter().filter(|one| one.code == "documents.behind").collect();
    assert_eq!(behind.len(), 1, "{findings:?}");
    assert!(behind[0].what.contains("arrival 4"), "{behind:?}");
    let (key, value) = &full[0];
    let read = store.documents().get(&Key::from_stored(key)).unwrap();
    assert_eq!(read.as_ref(), Some(value));
}
