//! Backups, copied folders, folders put back, archives.

use std::fs;
use std::sync::atomic::{AtomicBool, Ordering};

use ledger::ChainVerifier;

use super::chain::{Chain, Says};
use super::fixture::{Folder, copy_folder};
use crate::check::{Depth, Level, check_folder};
use crate::config::StoreConfig;
use crate::error::ReadOnly;
use crate::store::Store;

#[test]
fn a_backup_holds_everything_and_opens_elsewhere_with_the_passphrase() {
    let folder = Folder::with_attachment();
    let mut store = folder.open();
    store.put_draft("a", b"typed").unwrap();
    let target = folder.beside("stick");
    let mut seen = Vec::new();
    let backed = store.backup(&target, &mut |progress| seen.push(progress)).unwrap();
    assert_eq!(backed.entries, 3);
    assert_eq!(backed.heads, store.heads().unwrap());
    assert!(seen.last().is_some_and(|last| last.done == last.of && last.of > 100));
    let mut names: Vec<_> =
        fs::read_dir(&target).unwrap().map(|file| file.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["keys.json", "logbook.db"], "one file and its keys, no journal beside");

    let elsewhere =
        StoreConfig { outside_secret_dir: folder.beside("other machine"), ..folder.at(&target) };
    let mut copy = Store::open_read_only(&elsewhere).unwrap();
    assert_eq!(copy.read_only(), Some(&ReadOnly::Copy));
    assert_eq!(copy.draft("a").unwrap().unwrap(), b"typed");
    let findings = copy.check(Depth::Deep, &mut |_| {});
    let codes: Vec<_> = findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, ["copy", "keys.weak_cost"], "{findings:?}");
}

#[test]
fn a_backup_never_takes_the_place_of_another() {
    let folder = Folder::with_entries(2);
    let (store, target) = (folder.open(), folder.beside("stick"));
    assert_eq!(store.backup(&target, &mut |_| {}).unwrap().entries, 2);
    let before = fs::read(target.join("logbook.db")).unwrap();
    assert_eq!(store.backup(&target, &mut |_| {}).unwrap_err().code(), "taken");
    assert!(before == fs::read(target.join("logbook.db")).unwrap());
}

#[test]
fn a_backup_to_an_unwritable_place_is_a_sentence_and_leaves_nothing() {
    let folder = Folder::with_entries(2);
    let (store, file) = (folder.open(), folder.beside("a file"));
    fs::write(&file, b"x").unwrap();
    let refused = store.backup(&file.join("stick"), &mut |_| {}).unwrap_err();
    assert_eq!(refused.code(), "unwritable");
    assert!(refused.to_string().contains("a file"), "{refused}");
    assert_eq!(fs::read(&file).unwrap(), b"x");
}

/// Ends the writer also when an assertion fails.
struct StopOnDrop<'a>(&'a AtomicBool);

impl Drop for StopOnDrop<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// A copy under a writing load: whatever the moment, it holds what was there when it began, and
/// every entry verifies.
#[test]
fn a_backup_while_others_append_is_one_moment() {
    let folder = Folder::with_entries(30);
    let stop = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut store = folder.open();
            while !stop.load(Ordering::Relaxed) {
                folder.append(&mut store, 1);
            }
        });
        let _stop = StopOnDrop(&stop);
        for round in 0..8 {
            let store = folder.open();
            let before = store.head().unwrap().unwrap();
            let target = folder.beside(&format!("copy {round}"));
            let backed = store.backup(&target, &mut |_| {}).unwrap();
            let copy = Store::open_read_only(&folder.at(&target)).unwrap();
            assert!(copy.entry(&before.id).unwrap().is_some());
            let mut verifier = ChainVerifier::new();
            copy.for_each_entry(&mut |entry| {
                verifier.feed(entry.header_bytes(), entry.payload(), entry.signature());
                Ok(())
            })
            .unwrap();
            assert_eq!(verifier.faults(), []);
            assert_eq!(verifier.entries(), backed.entries);
        }
    });
    let (first, last) = (folder.at(&folder.beside("copy 0")), folder.at(&folder.beside("copy 7")));
    let count = |config| Store::open_read_only(config).unwrap().count().unwrap();
    assert!(count(&last) > count(&first), "the writer got on meanwhile");
}

#[test]
fn a_copied_folder_says_so_and_goes_on_with_a_chain_of_its_own() {
    let folder = Folder::with_entries(3);
    let dir = folder.beside("copied");
    copy_folder(folder.dir(), &dir);
    let config =
        StoreConfig { outside_secret_dir: folder.beside("other machine"), ..folder.at(&dir) };
    let refused = Store::open(&config).unwrap_err();
    assert_eq!(refused.code(), "copy");
    assert!(refused.to_string().contains("copy of another installation's folder"), "{refused}");

    // A secret that doesn't fit is no better than none.
    let keys: serde_json::Value =
        serde_json::from_slice(&fs::read(dir.join("keys.json")).unwrap()).unwrap();
    let secret = format!("{}.secret", keys["folder"].as_str().unwrap());
    fs::create_dir(&config.outside_secret_dir).unwrap();
    for text in ["00", &"11".repeat(32)] {
        fs::write(config.outside_secret_dir.join(&secret), text).unwrap();
        let refused = Store::open(&config).unwrap_err();
        assert!(refused.to_string().contains("does not fit"), "{refused}");
    }

    let mut adopted = Store::adopt(&config).unwrap();
    assert_eq!((adopted.chain().unwrap(), adopted.head().unwrap()), (None, None));
    assert!(adopted.site().unwrap().is_some());
    let goes_on = folder.next(&folder.open(), &Says::default());
    assert!(adopted.append(&goes_on, &[]).is_err(), "never the old chain");
    let own = Chain::new(2);
    let first = own.after(None, &Says::default());
    assert!(adopted.append(&first, &[]).unwrap().is_new());
    assert_eq!(adopted.heads().unwrap().len(), 2);
    let findings = adopted.check(Depth::Deep, &mut |_| {});
    assert!(findings.iter().all(|finding| finding.level < Level::Error), "{findings:?}");
    // The original is none the wiser.
    let mut original = folder.open();
    folder.append(&mut original, 1);
}

#[test]
fn a_folder_put_back_from_an_older_copy_does_not_go_on() {
    let folder = Folder::with_entries(10);
    let old = folder.beside("yesterday");
    copy_folder(folder.dir(), &old);
    let mut store = folder.open();
    folder.append(&mut store, 5);
    drop(store);
    fs::remove_dir_all(folder.dir()).unwrap();
    copy_folder(&old, folder.dir());

    let mut restored = folder.open();
    assert_eq!(restored.read_only(), Some(&ReadOnly::Restored { known: 15, found: 10 }));
    let eleventh = folder.next(&restored, &Says { subject: 77, ..Says::default() });
    let refused = restored.append(&eleventh, &[]).unwrap_err();
    assert_eq!(refused.code(), "read_only");
    assert!(refused.to_string().contains("restored from an older copy"), "{refused}");
    let findings = restored.check(Depth::Shallow, &mut |_| {});
    assert!(findings.iter().any(|finding| finding.code == "restored"), "{findings:?}");
    drop(restored);

    let mut adopted = Store::adopt(&folder.config).unwrap();
    let first = Chain::new(3).after(None, &Says::default());
    assert!(adopted.append(&first, &[]).unwrap().is_new());
    drop(adopted);
    assert_eq!(folder.open().read_only(), None);
}

/// A backup that is as new as the mark takes the folder's place and is gone on with.
#[test]
fn a_backup_of_the_last_entry_goes_on_in_place() {
    let folder = Folder::with_entries(4);
    let target = folder.beside("stick");
    assert_eq!(folder.open().backup(&target, &mut |_| {}).unwrap().entries, 4);
    fs::remove_dir_all(folder.dir()).unwrap();
    copy_folder(&target, folder.dir());
    let mut store = folder.open();
    folder.append(&mut store, 2);
    assert_eq!(store.head().unwrap().unwrap().number, 6);
    let findings = store.check(Depth::Deep, &mut |_| {});
    assert!(findings.iter().all(|finding| finding.code == "keys.weak_cost"), "{findings:?}");
}

#[test]
fn a_mark_that_is_torn_or_gone_does_not_stand_in_the_way() {
    let folder = Folder::with_entries(3);
    let mark = fs::read_dir(&folder.config.outside_secret_dir)
        .unwrap()
        .map(|file| file.unwrap().path())
        .find(|path| path.extension().is_some_and(|ending| ending == "mark"))
        .unwrap();
    for text in ["", "torn", "00 7"] {
        fs::write(&mark, text).unwrap();
        let mut store = folder.open();
        assert_eq!(store.read_only(), None, "{text:?}");
        let findings = store.check(Depth::Shallow, &mut |_| {});
        assert!(findings.iter().any(|finding| finding.code == "mark.behind"), "{findings:?}");
    }
    folder.append(&mut folder.open(), 1);
    assert!(fs::read_to_string(&mark).unwrap().contains(" 00000000000000000004 "));
}

#[test]
fn an_archive_verifies_and_is_never_overwritten() {
    let folder = Folder::with_entries(40);
    let (store, path) = (folder.open(), folder.beside("archive.jsonl"));
    assert_eq!(store.export(&path, &mut |_| {}).unwrap(), 40);
    let mut verifier = ChainVerifier::new();
    for line in ledger::archive::read_lines(fs::read(&path).unwrap().as_slice()) {
        let line = line.unwrap();
        verifier.feed(&line.header, line.payload.as_deref(), &line.signature);
    }
    assert_eq!((verifier.entries(), verifier.faults()), (40, &[][..]));
    assert_eq!(store.export(&path, &mut |_| {}).unwrap_err().code(), "taken");
    let nowhere = folder.beside("no folder").join("archive.jsonl");
    let refused = store.export(&nowhere, &mut |_| {}).unwrap_err();
    assert_eq!(refused.code(), "unwritable");
    assert!(refused.to_string().contains("archive.jsonl"), "{refused}");
}

#[test]
fn a_folder_that_does_not_open_is_checked_all_the_same() {
    let folder = Folder::with_entries(3);
    fs::write(folder.config.database(), b"").unwrap();
    let findings = check_folder(&folder.config, Depth::Deep, &mut |_| {}).unwrap();
    assert_eq!(findings[0].code, "damaged");
    assert_eq!(findings[0].level, Level::Error);
    let wrong = StoreConfig { passphrase: "no".to_owned().into(), ..folder.config.clone() };
    let refused = check_folder(&wrong, Depth::Deep, &mut |_| {}).unwrap_err();
    assert_eq!(refused.code(), "wrong_passphrase");
}
