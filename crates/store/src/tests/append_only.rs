//! Raw SQL on a keyed connection: whatever an upset programmer might try.

use super::fixture::Folder;

/// Each must be refused with the words of a trigger; none may change what is stored.
const REFUSED: &[&str] = &[
    // Deleting.
    "DELETE FROM entry",
    "DELETE FROM entry WHERE arrival = 2",
    "DELETE FROM payload",
    "DELETE FROM attachment",
    "DELETE FROM attachment_chunk",
    "DELETE FROM entry_attachment",
    // Updating, one column at a time, and also to the same value.
    "UPDATE entry SET header = x'00'",
    "UPDATE entry SET id = randomblob(32) WHERE arrival = 1",
    "UPDATE entry SET number = number + 10",
    "UPDATE entry SET own = 0",
    "UPDATE entry SET signature = signature",
    "UPDATE OR REPLACE entry SET arrival = 1 WHERE arrival = 2",
    "UPDATE payload SET bytes = x'00'",
    "UPDATE OR IGNORE payload SET bytes = x'00'",
    "UPDATE attachment SET length = 0",
    "UPDATE attachment_chunk SET bytes = x'00'",
    "UPDATE entry_attachment SET hash = randomblob(32)",
    // Replacing, by each of the keys.
    "INSERT OR REPLACE INTO entry SELECT * FROM entry WHERE arrival = 2",
    "REPLACE INTO entry (arrival, id, chain, number, own, kind, subject, header, signature) \
     SELECT NULL, id, chain, number, own, kind, subject, x'00', signature FROM entry WHERE arrival = 2",
    "REPLACE INTO entry (arrival, id, chain, number, own, kind, subject, header, signature) \
     SELECT NULL, randomblob(32), chain, number, own, kind, subject, x'00', signature \
     FROM entry WHERE arrival = 2",
    "REPLACE INTO entry (arrival, id, chain, number, own, kind, subject, header, signature) \
     SELECT 2, randomblob(32), randomblob(32), 1, 0, kind, subject, x'00', signature \
     FROM entry WHERE arrival = 2",
    "REPLACE INTO payload SELECT entry, x'00' FROM payload",
    "REPLACE INTO attachment SELECT hash, 0 FROM attachment",
    "REPLACE INTO attachment_chunk (rowid, hash, position, bytes) \
     SELECT rowid, hash, position, x'00' FROM attachment_chunk",
    "REPLACE INTO attachment_chunk (hash, position, bytes) \
     SELECT hash, position, x'00' FROM attachment_chunk",
    // Upserting.
    "INSERT INTO entry SELECT * FROM entry WHERE arrival = 2 \
     ON CONFLICT (arrival) DO UPDATE SET header = x'00'",
    "INSERT INTO entry SELECT * FROM entry WHERE arrival = 2 \
     ON CONFLICT (id) DO UPDATE SET header = x'00'",
    "INSERT INTO payload SELECT * FROM payload WHERE true \
     ON CONFLICT (entry) DO UPDATE SET bytes = x'00'",
    "INSERT INTO attachment SELECT * FROM attachment WHERE true \
     ON CONFLICT (hash) DO UPDATE SET length = 0",
    "INSERT INTO attachment_chunk (hash, position, bytes) \
     SELECT hash, position, x'00' FROM attachment_chunk WHERE true \
     ON CONFLICT (hash, position) DO UPDATE SET bytes = excluded.bytes",
    // A second entry in a place of an own chain.
    "INSERT INTO entry (id, chain, number, own, kind, subject, header, signature) \
     SELECT randomblob(32), chain, number, own, kind, subject, header, signature \
     FROM entry WHERE arrival = 2",
    // A redaction that no entry asked for.
    "INSERT INTO redaction (target, entry) SELECT id, arrival FROM entry WHERE arrival = 2",
];

#[test]
fn update_delete_replace_and_upsert_are_refused() {
    let folder = Folder::with_attachment();
    let raw = folder.raw();
    let before = folder.every_row(&raw);
    for attempt in REFUSED {
        let refused = raw.execute(attempt, []).unwrap_err().to_string();
        assert!(refused.contains("append-only: "), "{attempt}\n{refused}");
        assert!(before == folder.every_row(&raw), "{attempt} changed something");
    }
}

/// Even where a connection has lost `recursive_triggers`, on which the delete triggers depend
/// when a row is replaced.
#[test]
fn replacing_is_refused_without_recursive_triggers() {
    let folder = Folder::with_attachment();
    let raw = folder.raw();
    raw.execute_batch("PRAGMA recursive_triggers = OFF").unwrap();
    let before = folder.every_row(&raw);
    for attempt in REFUSED.iter().filter(|sql| sql.contains("REPLACE INTO")) {
        assert!(raw.execute(attempt, []).is_err(), "{attempt}");
    }
    assert!(before == folder.every_row(&raw));
}

#[test]
fn the_schema_table_can_not_be_rewritten() {
    let folder = Folder::with_entries(1);
    let raw = folder.raw();
    raw.execute_batch("PRAGMA writable_schema = ON").unwrap();
    let refused = raw.execute("DELETE FROM sqlite_schema WHERE type = 'trigger'", []).unwrap_err();
    assert!(refused.to_string().contains("may not be modified"), "{refused}");
}

/// A redaction entry lets exactly its target go.
#[test]
fn a_payload_goes_by_redaction_alone() {
    let folder = Folder::with_entries(3);
    let raw = folder.raw();
    raw.execute(
        "INSERT INTO entry (id, chain, number, own, kind, subject, header, signature) \
         SELECT randomblob(32), chain, 4, own, 'redact', subject, header, signature \
         FROM entry WHERE arrival = 3",
        [],
    )
    .unwrap();
    raw.execute(
        "INSERT INTO redaction (target, entry) \
         SELECT id, (SELECT arrival FROM entry WHERE kind = 'redact') FROM entry WHERE arrival = 2",
        [],
    )
    .unwrap();
    assert!(raw.execute("DELETE FROM payload WHERE entry = 3", []).is_err());
    assert_eq!(raw.execute("DELETE FROM payload WHERE entry = 2", []).unwrap(), 1);
    assert!(raw.execute("DELETE FROM redaction", []).is_err());
    assert!(raw.execute("UPDATE redaction SET target = randomblob(32)", []).is_err());
}
