//! The crates of the workspace and what they depend on, as cargo sees them.

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::places::Places;
use crate::run;
use crate::trouble::Trouble;

/// A crate of the workspace.
pub(crate) struct Member {
    pub(crate) name: String,
    /// Its folder, relative to the root of the clone.
    pub(super) folder: PathBuf,
    pub(super) manifest: PathBuf,
    pub(super) dependencies: Vec<Dependency>,
}

/// One line of a crate's manifest.
pub(super) struct Dependency {
    pub(super) name: String,
    /// Ours: a folder of the workspace.
    pub(super) local: bool,
    /// For tests and benches only.
    pub(super) development: bool,
}

/// Asks cargo for every crate of the workspace.
pub(crate) fn members(places: &Places) -> Result<Vec<Member>, Trouble> {
    let arguments = ["metadata", "--format-version", "1", "--no-deps", "--offline"];
    let text = run::answer(run::cargo(&arguments, &places.root))?;
    parse(&text, &places.root).ok_or_else(|| {
        Trouble::new("`cargo metadata` answered in a form unknown to tidy.", "Teach tidy the form.")
    })
}

/// Every package that is compiled for some platform, one a line, its name first.
pub(super) fn compiled(places: &Places) -> Result<String, Trouble> {
    let arguments =
        ["tree", "--workspace", "--offline", "--target", "all", "--edges", "normal,build,dev"];
    let mut command = run::cargo(&arguments, &places.root);
    command.args(["--prefix", "none", "--format", "{p}"]);
    run::answer(command)
}

fn parse(text: &str, root: &Path) -> Option<Vec<Member>> {
    let metadata: Value = serde_json::from_str(text).ok()?;
    let mut members = Vec::new();
    for package in metadata.get("packages")?.as_array()? {
        let manifest = PathBuf::from(package.get("manifest_path")?.as_str()?);
        let manifest = manifest.strip_prefix(root).unwrap_or(&manifest).to_path_buf();
        let mut dependencies = Vec::new();
        for dependency in package.get("dependencies")?.as_array()? {
            dependencies.push(Dependency {
                name: dependency.get("name")?.as_str()?.to_owned(),
                local: dependency.get("path").is_some_and(|path| !path.is_null()),
                development: dependency.get("kind").and_then(Value::as_str) == Some("dev"),
            });
        }
        members.push(Member {
            name: package.get("name")?.as_str()?.to_owned(),
            folder: manifest.parent()?.to_path_buf(),
            manifest,
            dependencies,
        });
    }
    Some(members)
}

#[cfg(test)]
pub(super) mod tests {
    use super::{Dependency, Member, parse};
    use std::path::{Path, PathBuf};

    /// A crate with these dependencies; `ours:` and `dev:` before a name say which kind.
    pub(crate) fn member(name: &str, dependencies: &[&str]) -> Member {
        let dependencies = dependencies.iter().map(|text| {
            let (development, text) =
                text.strip_prefix("dev:").map_or((false, *text), |t| (true, t));
            let (local, text) = text.strip_prefix("ours:").map_or((false, text), |t| (true, t));
            Dependency { name: text.to_owned(), local, development }
        });
        Member {
            name: name.to_owned(),
            folder: PathBuf::from(format!("crates/{name}")),
            manifest: PathBuf::from(format!("crates/{name}/Cargo.toml")),
            dependencies: dependencies.collect(),
        }
    }

    #[test]
    fn the_form_of_cargo_metadata_is_read() {
        // Shortened from the answer of cargo 1.95; format version 1 is described in the cargo book.
        let text = r#"{"packages":[{"name":"store","manifest_path":"/w/crates/store/Cargo.toml",
            "dependencies":[
              {"name":"ledger","kind":null,"path":"/w/crates/ledger"},
              {"name":"proptest","kind":"dev"}]}],"version":1}"#;
        let members = parse(text, Path::new("/w")).unwrap();
        let store = &members[0];
        assert_eq!(store.folder, Path::new("crates/store"));
        let kinds: Vec<_> =
            store.dependencies.iter().map(|d| (d.name.as_str(), d.local, d.development)).collect();
        assert_eq!(kinds, [("ledger", true, false), ("proptest", false, true)]);
        assert!(parse("{}", Path::new("/w")).is_none());
    }
}
