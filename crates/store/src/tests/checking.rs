//! Deliberately damaged stores, and what a check says of each.

use std::fs;

use super::fixture::{Folder, photo};
use crate::check::{Depth, Finding, Level};

/// The findings as lines, with what differs from run to run left out.
fn found(folder: &Folder, depth: Depth) -> Vec<String> {
    let mut store = folder.open();
    let line = |finding: &Finding| {
        assert!(finding.what.ends_with('.') && finding.remedy.ends_with('.'), "{finding:?}");
        let object = numbered(folder, &finding.object);
        format!("{:?} {} {object}", finding.level, finding.code).to_lowercase()
    };
    let mut lines: Vec<_> = store
        .check(depth, &mut |_| {})
        .iter()
        .filter(|finding| finding.code != "keys.weak_cost")
        .map(line)
        .collect();
    lines.dedup();
    lines
}

/// Entry ids as numbers, so that the expected findings can be read.
fn numbered(folder: &Folder, object: &str) -> String {
    let Some(id) = object.strip_prefix("entry ") else { return object.to_owned() };
    let number: Result<i64, _> =
        folder
            .raw()
            .query_row("SELECT arrival FROM entry WHERE id = unhex(?1)", [id], |row| row.get(0));
    number.map_or_else(|_| object.to_owned(), |number| format!("entry {number}"))
}

#[test]
fn a_good_store_gives_no_finding() {
    let folder = Folder::with_attachment();
    assert_eq!(found(&folder, Depth::Shallow), [""; 0]);
    assert_eq!(found(&folder, Depth::Deep), [""; 0]);
}

/// What was done by raw SQL, and every finding that it must give, deep and shallow. The triggers
/// were dropped for it and put back.
#[test]
fn each_alteration_is_named() {
    let cases: &[(&str, &[&str])] = &[
        ("UPDATE payload SET bytes = x'7b7d' WHERE entry = 4", &["error payload.altered entry 4"]),
        ("DELETE FROM payload WHERE entry = 4", &["error payload.missing entry 4"]),
        (
            "UPDATE entry SET header = CAST(replace(CAST(header AS TEXT), '2026', '2025') AS BLOB) WHERE arrival = 4",
            &["error entry.altered entry 4", "error entry.signature entry 4"],
        ),
        (
            "UPDATE entry SET header = x'7b7d' WHERE arrival = 4",
            &["error entry.altered entry 4", "error entry.header entry 4"],
        ),
        (
            "UPDATE entry SET signature = (SELECT signature FROM entry WHERE arrival = 2) \
             WHERE arrival = 4",
            &["error entry.signature entry 4"],
        ),
        ("UPDATE entry SET kind = 'lock_off' WHERE arrival = 4", &["error entry.index entry 4"]),
        (
            "DELETE FROM payload WHERE entry = 4; DELETE FROM entry WHERE arrival = 4",
            &["error chain.count CHAIN", "error chain.broken entry 5"],
        ),
    ];
    for (sql, expected) in cases {
        let folder = Folder::with_entries(6);
        folder.tamper(true, sql);
        let chain = folder.chain.id().to_string();
        let expected: Vec<_> = expected.iter().map(|line| line.replace("CHAIN", &chain)).collect();
        // Folding anew needs every entry: where one is unusable, that is said as well.
        let of_entries = |depth| {
            let mut lines = found(&folder, depth);
            lines.retain(|line| !line.starts_with("error check.incomplete documents"));
            lines.retain(|line| !line.starts_with("error document.differs"));
            lines
        };
        assert_eq!(of_entries(Depth::Shallow), expected, "shallow: {sql}");
        let deep: Vec<_> =
            expected.iter().map(|line| line.replace("chain.broken", "chain.gap")).collect();
        assert_eq!(of_entries(Depth::Deep), deep, "deep: {sql}");
    }
}

/// Rows that the entries don't vouch for: documents, heads, attachments.
#[test]
fn derived_rows_and_attachments_are_compared() {
    let hash = photo().digest().to_string();
    let cases: &[(&str, String)] = &[
        (
            "UPDATE document SET value = x'7b7d' WHERE key = 'status'",
            "error document.differs status".into(),
        ),
        (
            "INSERT INTO document VALUES ('record/0', x'7b7d')",
            "error document.differs record/0".into(),
        ),
        ("DELETE FROM document WHERE key = 'status'", "error document.differs status".into()),
        ("UPDATE head SET number = 2", "error heads.differ head".into()),
        (
            "UPDATE attachment_chunk SET bytes = zeroblob(262144) WHERE position = 1",
            format!("error attachment.altered {hash}"),
        ),
        ("UPDATE attachment SET length = 5", format!("error attachment.length {hash}")),
        (
            "DELETE FROM attachment_chunk WHERE position = 2",
            format!("error attachment.altered {hash}"),
        ),
    ];
    for (sql, expected) in cases {
        let folder = Folder::with_attachment();
        folder.tamper(true, sql);
        assert_eq!(found(&folder, Depth::Deep), [expected.as_str()], "{sql}");
    }
}

#[test]
fn missing_and_stray_attachments_are_told_apart() {
    let hash = photo().digest().to_string();
    let folder = Folder::with_attachment();
    folder.tamper(true, "DELETE FROM attachment_chunk; DELETE FROM attachment");
    assert_eq!(found(&folder, Depth::Shallow), [format!("error attachment.missing {hash}")]);

    let folder = Folder::with_attachment();
    folder.tamper(true, "DELETE FROM entry_attachment");
    let expected =
        ["error entry.attachments entry 2".to_owned(), format!("warning attachment.stray {hash}")];
    assert_eq!(found(&folder, Depth::Shallow), expected);
    assert_eq!(found(&folder, Depth::Deep), expected);
}

#[test]
fn a_dropped_trigger_an_altered_and_a_foreign_one_are_named() {
    let folder = Folder::with_entries(2);
    let raw = folder.raw();
    raw.execute_batch(
        "DROP TRIGGER entry_keep; DROP TRIGGER payload_fixed; \
         CREATE TRIGGER payload_fixed BEFORE UPDATE ON payload BEGIN SELECT 1; END; \
         CREATE TABLE extra (x)",
    )
    .unwrap();
    drop(raw);
    let expected = [
        "error schema.altered trigger entry_keep",
        "error schema.altered trigger payload_fixed",
        "error schema.foreign table extra",
    ];
    assert_eq!(found(&folder, Depth::Shallow), expected);
}

/// Many things at once: the first doesn't hide the others.
#[test]
fn a_check_never_stops_at_the_first() {
    let folder = Folder::with_attachment();
    folder.append(&mut folder.open(), 200);
    folder.tamper(
        false,
        "UPDATE payload SET bytes = x'7b7d' WHERE entry > 20 AND entry <= 150; \
         UPDATE entry SET signature = x'00' WHERE arrival = 160; \
         DELETE FROM attachment; UPDATE head SET number = 1",
    );
    let lines = found(&folder, Depth::Deep);
    let count = |code: &str| lines.iter().filter(|line| line.contains(code)).count();
    assert_eq!(count("schema.altered trigger"), 18, "{lines:#?}");
    assert_eq!(count("payload.altered"), 101, "a hundred, and one line for the further thirty");
    assert_eq!(count("entry.signature entry 160"), 1);
    assert_eq!(count("attachment.missing"), 1);
    assert_eq!(count("file.dangling"), 3, "chunks without their attachment");
}

/// Bytes flipped in the file itself, under the encryption.
#[test]
fn an_altered_page_is_named_and_the_rest_is_read() {
    let folder = Folder::with_entries(100);
    let path = folder.config.database();
    let mut bytes = fs::read(&path).unwrap();
    let page = bytes.len() / 4096 / 2;
    bytes[page * 4096 + 100] ^= 1;
    fs::write(&path, &bytes).unwrap();
    let mut store = folder.open();
    let findings = store.check(Depth::Deep, &mut |_| {});
    let altered: Vec<_> =
        findings.iter().filter(|finding| finding.code == "file.page_altered").collect();
    assert_eq!(altered.len(), 1, "{findings:#?}");
    assert!(altered[0].what.contains(&format!("page {}", page + 1)), "{altered:?}");
    assert_eq!(altered[0].level, Level::Error);
    assert!(findings.len() > 1, "the parts that need the page say so too");
}

/// The moving part: after enough shallow checks every entry has been looked at.
#[test]
fn shallow_checks_get_round_to_every_entry() {
    let folder = Folder::with_entries(700);
    folder.tamper(true, "UPDATE payload SET bytes = x'7b7d' WHERE entry = 400");
    let mut store = folder.open();
    let rounds: Vec<bool> = (0..4)
        .map(|_| {
            let findings = store.check(Depth::Shallow, &mut |_| {});
            findings.iter().any(|finding| finding.code == "payload.altered")
        })
        .collect();
    assert_eq!(rounds, [false, true, false, false]);
}
