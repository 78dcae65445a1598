//! Tests of the ledger from outside, as one program.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test that can't go on stops")]

mod archives;
mod bonds;
mod chains;
mod entries;
mod flips;
mod golden;
mod history;
mod kinds;
mod limits;
mod recipe;
mod trust;

use std::collections::BTreeSet;
use std::path::Path;

#[test]
fn no_module_file_is_forgotten() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it");
    let named: BTreeSet<String> = include_str!("main.rs")
        .lines()
        .filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';'))
        .map(|name| format!("{name}.rs"))
        .chain(["main.rs".to_owned()])
        .collect();
    let there: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(named, there);
}
