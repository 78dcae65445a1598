//! Generations: a second one exists for these tests alone.

use std::path::Path;

use super::fixture::{Folder, copy_folder};
use crate::config::StoreConfig;
use crate::connect::{self, Kind};
use crate::error::{ReadOnly, Result};
use crate::migrate::{self, MIGRATIONS, Migration};
use crate::store::{Store, open_keys};

const SECOND: &str = "-- lowest reader: 1\n-- lowest writer: 2\n\
    ALTER TABLE draft ADD COLUMN typed TEXT;\n\
    CREATE TABLE note (text TEXT NOT NULL) STRICT;\n";

fn with(sql: &'static str) -> Vec<Migration> {
    let mut all = MIGRATIONS.to_vec();
    all.push(Migration { generation: 2, name: "test", sql });
    all
}

fn open(config: &StoreConfig, migrations: &[Migration]) -> Result<Store> {
    Store::with_keys(config, open_keys(config)?, None, migrations, &mut |_| {})
}

fn generation(config: &StoreConfig) -> u32 {
    let keyring = open_keys(config).unwrap();
    let reader = connect::open(&config.database(), &keyring.database, Kind::Reader).unwrap();
    migrate::state(&config.database(), &reader).unwrap().generation
}

#[test]
fn a_migration_follows_a_verified_backup_of_what_was() {
    let folder = Folder::with_entries(3);
    let store = open(&folder.config, &with(SECOND)).unwrap();
    assert_eq!(store.count().unwrap(), 3);
    drop(store);
    assert_eq!(generation(&folder.config), 2);
    let backup = folder.at(&folder.dir().join("before-migration-1-2-1"));
    assert_eq!(generation(&backup), 1);
    assert_eq!(Store::open_read_only(&backup).unwrap().count().unwrap(), 3);
}

#[test]
fn a_migration_that_fails_leaves_the_generation_before() {
    let folder = Folder::with_entries(3);
    let bad = [
        "-- lowest reader: 1\n-- lowest writer: 2\nCREATE TABLE note (text TEXT) STRICT;\nNONSENSE;",
        "-- lowest reader: 1\nCREATE TABLE note (text TEXT) STRICT;",
    ];
    for sql in bad {
        let refused = open(&folder.config, &with(sql)).unwrap_err();
        assert_eq!(refused.code(), "database", "{refused}");
        assert_eq!(generation(&folder.config), 1);
    }
    // The build before goes on as if nothing had been.
    let mut store = Store::open(&folder.config).unwrap();
    folder.append(&mut store, 1);
    assert!(
        store.check(crate::Depth::Deep, &mut |_| {}).iter().all(|f| f.code == "keys.weak_cost")
    );
}

/// What a killed process leaves is what stands in the files at that moment: they are copied at
/// each step, and the copy must open as the old generation, whole, and then migrate.
#[test]
fn a_kill_at_any_step_of_a_migration_loses_nothing() {
    for at in ["before the tables", "after the tables", "before the commit"] {
        let folder = Folder::with_entries(3);
        let (killed, path) = (tempfile::tempdir().unwrap(), folder.config.database());
        let keyring = open_keys(&folder.config).unwrap();
        let mut writer = connect::open(&path, &keyring.database, Kind::Writer).unwrap();
        let mut seen = 0;
        migrate::apply(&path, &mut writer, &with(SECOND), &mut |step| {
            if step == at {
                seen += 1;
                copy_folder(folder.dir(), killed.path());
            }
        })
        .unwrap();
        assert_eq!(seen, 1, "{at}");
        let config = folder.at(killed.path());
        assert_eq!(generation(&config), 1, "{at}");
        assert_eq!(open(&config, &with(SECOND)).unwrap().count().unwrap(), 3, "{at}");
        assert_eq!(generation(&config), 2, "{at}");
    }
}

#[test]
fn of_two_that_migrate_at_once_one_does_and_both_go_on() {
    let folder = Folder::with_entries(3);
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..4)
            .map(|_| scope.spawn(|| open(&folder.config, &with(SECOND)).unwrap().count().unwrap()))
            .collect();
        for thread in threads {
            assert_eq!(thread.join().unwrap(), 3);
        }
    });
    assert_eq!(generation(&folder.config), 2);
}

#[test]
fn line_ends_of_the_checkout_make_no_difference() {
    let (lf, crlf) = (MIGRATIONS[0].text(), MIGRATIONS[0].sql.replace('\n', "\r\n"));
    let windows = Migration { sql: Box::leak(crlf.into_boxed_str()), ..MIGRATIONS[0] };
    assert_eq!(windows.text(), lf);
    assert!(!lf.contains('\r'));
    let path = Path::new("memory");
    let mut connection = rusqlite::Connection::open_in_memory().unwrap();
    connection
        .execute_batch(&format!("PRAGMA application_id = {}", connect::APPLICATION_ID))
        .unwrap();
    migrate::apply(path, &mut connection, &[windows], &mut |_| {}).unwrap();
    assert_eq!(migrate::state(path, &connection).unwrap().lowest_writer, 1);
}

#[test]
fn a_build_below_the_floor_reads_or_says_what_to_install() {
    let folder = Folder::with_entries(3);
    drop(open(&folder.config, &with(SECOND)).unwrap());
    let mut older = Store::open(&folder.config).unwrap();
    assert_eq!(older.read_only(), Some(&ReadOnly::NewerBuild { lowest_writer: 2 }));
    assert_eq!(older.count().unwrap(), 3);
    let refused = older.put_draft("a", b"b").unwrap_err();
    assert_eq!(refused.code(), "read_only");
    assert!(refused.next_step().contains("newer build"));

    let other = Folder::with_entries(1);
    let unreadable = with("-- lowest reader: 2\n-- lowest writer: 2\n");
    drop(open(&other.config, &unreadable).unwrap());
    let refused = Store::open(&other.config).unwrap_err();
    assert_eq!(refused.code(), "too_new", "{refused}");
}
