//! Writes again what is generated, and says what changed.
//!
//! The generators are tests of the crates that own the files: without `DISHWRIGHT_BLESS` they
//! compare, with it they write.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::places::Places;
use crate::run;
use crate::tidy::{self, plan};
use crate::trouble::Trouble;

/// The crates whose tests write schemas.
const OWNERS: [&str; 2] = ["acceptance", "logbook"];

/// Runs every generator.
pub(crate) fn codegen(places: &Places) -> Result<(), Trouble> {
    let before = generated(places);
    write_plan(places)?;
    for owner in OWNERS {
        println!("codegen: {owner}");
        let mut command = run::cargo(&["test", "--quiet", "--package", owner], &places.root);
        command.env("DISHWRIGHT_BLESS", "1").env("DISHWRIGHT_PYTHON", places.python());
        run::show(command)?;
    }
    let changes = compare(&before, &generated(places));
    if changes.is_empty() {
        println!("codegen: nothing changed.");
    } else {
        println!("codegen: {}", changes.join("\ncodegen: "));
    }
    Ok(())
}

fn write_plan(places: &Places) -> Result<(), Trouble> {
    let path = places.root.join("DEVELOPERS.md");
    let trouble = |error: std::io::Error| {
        let what = format!("{} can't be rewritten: {error}.", path.display());
        Trouble::new(what, "Restore the file from version control and make it writable.")
    };
    let text = fs::read_to_string(&path).map_err(trouble)?;
    let members = tidy::members(places)?;
    let table = plan::table(&members.iter().map(|m| m.name.as_str()).collect::<Vec<_>>());
    let Some(text) = plan::put_table(&text, &table) else {
        return Err(Trouble::new(
            format!("{} has no place for the crate table.", path.display()),
            format!("Put the lines `{}` and `{}` where it belongs.", plan::BEGIN, plan::END),
        ));
    };
    fs::write(&path, text).map_err(trouble)
}

/// Every generated file with its bytes.
fn generated(places: &Places) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut files = BTreeMap::new();
    gather(&places.root.join("schema"), &places.root, &mut files);
    gather(&places.root.join("DEVELOPERS.md"), &places.root, &mut files);
    files
}

fn gather(path: &Path, root: &Path, files: &mut BTreeMap<PathBuf, Vec<u8>>) {
    if let Ok(entries) = fs::read_dir(path) {
        for entry in entries.flatten() {
            gather(&entry.path(), root, files);
        }
    } else if let Ok(bytes) = fs::read(path) {
        files.insert(path.strip_prefix(root).unwrap_or(path).to_path_buf(), bytes);
    }
}

fn compare(before: &BTreeMap<PathBuf, Vec<u8>>, after: &BTreeMap<PathBuf, Vec<u8>>) -> Vec<String> {
    let mut changes = Vec::new();
    for (path, bytes) in after {
        match before.get(path) {
            None => changes.push(format!("new: {}", path.display())),
            Some(old) if old != bytes => changes.push(format!("changed: {}", path.display())),
            Some(_) => {}
        }
    }
    let gone = before.keys().filter(|path| !after.contains_key(*path));
    changes.extend(gone.map(|path| format!("gone: {}", path.display())));
    changes
}

#[cfg(test)]
mod tests {
    use super::compare;
    use std::collections::BTreeMap;
    use std::path::PathBuf;

    #[test]
    fn new_changed_and_gone_files_are_told_apart() {
        let files = |list: &[(&str, &str)]| -> BTreeMap<PathBuf, Vec<u8>> {
            list.iter()
                .map(|(path, text)| (PathBuf::from(path), text.as_bytes().to_vec()))
                .collect()
        };
        let before = files(&[("a", "1"), ("b", "1"), ("c", "1")]);
        let after = files(&[("a", "1"), ("b", "2"), ("d", "1")]);
        assert_eq!(compare(&before, &after), ["changed: b", "new: d", "gone: c"]);
        assert!(compare(&before, &before).is_empty());
    }
}
