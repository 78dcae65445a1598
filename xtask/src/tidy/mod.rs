//! The rules of the house that the compiler can't check. Every finding is collected, none stops
//! the rest.

mod documents;
mod finding;
mod floats;
mod layering;
mod members;
pub(crate) mod plan;
mod purity;
mod screens;
mod shape;
mod source;
mod sql;
mod words;

use std::fs;
use std::path::{Path, PathBuf};

use crate::places::Places;
use crate::trouble::Trouble;
use finding::Finding;
pub(crate) use members::members;
use source::{Kind, Source};

/// Checks the whole clone; prints each finding; any finding is trouble.
pub(crate) fn tidy(places: &Places) -> Result<(), Trouble> {
    let findings = findings(places)?;
    for finding in &findings {
        println!("{finding}");
    }
    match findings.len() {
        0 => {
            println!("tidy: nothing to report.");
            Ok(())
        }
        count => Err(Trouble::said_above(format!("{count} findings."))),
    }
}

/// Every finding, in the order of the files.
fn findings(places: &Places) -> Result<Vec<Finding>, Trouble> {
    let root = &places.root;
    let members = members(places)?;
    let mut found = layering::check(&members);
    found.extend(layering::check_compiled(&members::compiled(places)?));
    let mut sources = Vec::new();
    for member in &members {
        for path in files(&root.join(&member.folder), &["rs"])? {
            let relative = path.strip_prefix(root).unwrap_or(&path);
            sources.push(Source::parse(&member.name, relative, &read(&path)?));
        }
    }
    found.extend(shape::orphans(&sources));
    for source in &sources {
        found.extend(shape::check(source));
        found.extend(words::check_source(source));
        if source.kind == Kind::Product {
            found.extend(sql::check(source));
            found.extend(purity::check(source));
            found.extend(floats::check(source));
        }
    }
    for folder in ["checklists", "demo-site", "docs", "schema"] {
        for path in files(&root.join(folder), &["toml", "md", "json", "csv", "txt", "sql"])? {
            let relative = path.strip_prefix(root).unwrap_or(&path);
            found.extend(words::check_text(relative, &read(&path)?));
        }
    }
    for path in files(&root.join("ui").join("src"), &["ts", "svelte", "css"])? {
        let relative = path.strip_prefix(root).unwrap_or(&path);
        let text = read(&path)?;
        found.extend(screens::check(relative, &text));
        found.extend(words::check_text(relative, &text));
    }
    for name in ["README.md", "DEVELOPERS.md"] {
        found.extend(words::check_text(Path::new(name), &read(&root.join(name))?));
    }
    found.extend(documents::check(root, &members)?);
    found.sort();
    Ok(found)
}

fn read(path: &Path) -> Result<String, Trouble> {
    fs::read_to_string(path).map_err(|error| {
        let what = format!("{} can't be read: {error}.", path.display());
        Trouble::new(what, "Make it readable text, or restore it from version control.")
    })
}

/// The files below `folder` with one of these endings, sorted; none if there is no such folder.
fn files(folder: &Path, endings: &[&str]) -> Result<Vec<PathBuf>, Trouble> {
    let mut found = Vec::new();
    if !folder.is_dir() {
        return Ok(found);
    }
    let trouble = |error: std::io::Error| {
        let what = format!("{} can't be listed: {error}.", folder.display());
        Trouble::new(what, "Make it readable and run it again.")
    };
    for entry in fs::read_dir(folder).map_err(trouble)? {
        let path = entry.map_err(trouble)?.path();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
        if path.is_dir() && name.as_deref() != Some("target") {
            found.extend(files(&path, endings)?);
        } else if path.extension().is_some_and(|e| endings.iter().any(|ending| e == *ending)) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::{findings, source::Source};
    use crate::places::Places;
    use std::path::Path;

    /// A product source of `member`, for the rules' own tests.
    pub(super) fn product(member: &str, text: &str) -> Source {
        Source::parse(member, Path::new(&format!("crates/{member}/src/part.rs")), text)
    }

    #[test]
    fn the_clone_is_tidy() {
        let places = Places::find().unwrap();
        let found: Vec<String> =
            findings(&places).unwrap().iter().map(ToString::to_string).collect();
        assert!(found.is_empty(), "{} findings:\n{}", found.len(), found.join("\n"));
    }
}
