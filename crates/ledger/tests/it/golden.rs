//! The golden archive: written once, opened by every later build.

use std::path::{Path, PathBuf};

use ledger::{ChainVerifier, Trust, archive};

use crate::history::{archive_of, story};

pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/golden/ledger-v1")
}

fn text(name: &str) -> String {
    let path = folder().join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|cause| panic!("{}: {cause}", path.display()))
}

#[test]
fn the_golden_archive_opens_verifies_and_has_the_ids_of_old() {
    let golden = text("archive.jsonl");
    let (mut verifier, mut trust) = (ChainVerifier::new(), Trust::new());
    let (mut ids, mut again) = (String::new(), Vec::new());
    for line in archive::read_lines(golden.as_bytes()) {
        let line = line.unwrap();
        let entry = verifier.feed(&line.header, line.payload.as_deref(), &line.signature).unwrap();
        trust.follow(&entry).unwrap();
        let header = entry.header();
        ids += &format!("{} {} {}\n", entry.id(), header.number(), header.kind());
        archive::write_line(&mut again, &entry).unwrap();
    }
    assert_eq!(verifier.faults(), []);
    assert_eq!(ids, text("ids.txt"));
    assert_eq!(String::from_utf8(again).unwrap(), golden, "relayed byte for byte");
    for head in verifier.frontier().iter() {
        assert!(trust.standing(&head.chain).is_some(), "both chains stand");
    }
}

/// Today's build still writes what was written then. When a later format replaces what is
/// written, this test moves to that format's archive; the one above stays for ever.
#[test]
fn the_same_acts_are_still_written_in_the_same_bytes() {
    let written = String::from_utf8(archive_of(&story())).unwrap();
    let golden = text("archive.jsonl");
    assert_eq!(written.lines().count(), golden.lines().count());
    for (number, (written, golden)) in (1..).zip(written.lines().zip(golden.lines())) {
        assert_eq!(written, golden, "line {number}");
    }
}
