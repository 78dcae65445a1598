//! What the build of the screens was made from, as one short text.

use std::collections::hash_map::DefaultHasher;
use std::fs;
use std::hash::{Hash, Hasher};
use std::path::Path;

use crate::trouble::Trouble;

/// Not read by the build: its own products, and what npm installed by the lock file.
const LEFT_OUT: [&str; 3] = ["node_modules", "dist", "coverage"];

/// A digest over the names and the bytes of every file that the build may read.
pub(super) fn digest(folder: &Path) -> Result<String, Trouble> {
    let mut hasher = DefaultHasher::new();
    gather(folder, folder, &mut hasher)?;
    Ok(format!("{:016x}", hasher.finish()))
}

fn gather(folder: &Path, root: &Path, hasher: &mut impl Hasher) -> Result<(), Trouble> {
    let trouble = |error: std::io::Error| {
        let what = format!("{} can't be read: {error}.", folder.display());
        Trouble::new(what, "Make it readable and run it again.")
    };
    let entries = fs::read_dir(folder).map_err(trouble)?;
    let mut paths = Vec::new();
    for entry in entries {
        paths.push(entry.map_err(trouble)?.path());
    }
    paths.sort();
    for path in paths {
        let name = path.strip_prefix(root).unwrap_or(&path);
        if LEFT_OUT.iter().any(|left_out| name == Path::new(left_out)) {
            continue;
        }
        if path.is_dir() {
            gather(&path, root, hasher)?;
        } else {
            name.hash(hasher);
            fs::read(&path).map_err(trouble)?.hash(hasher);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::digest;
    use std::fs;

    #[test]
    fn a_changed_new_or_renamed_file_is_seen_and_a_product_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        };
        write("src/main.ts", "a");
        let first = digest(folder.path()).unwrap();
        write("dist/index.html", "built");
        write("node_modules/x/index.js", "installed");
        assert_eq!(digest(folder.path()).unwrap(), first);
        write("src/main.ts", "b");
        let changed = digest(folder.path()).unwrap();
        assert_ne!(changed, first);
        write("src/other.ts", "");
        let more = digest(folder.path()).unwrap();
        assert_ne!(more, changed);
        fs::rename(folder.path().join("src/other.ts"), folder.path().join("src/last.ts")).unwrap();
        assert_ne!(digest(folder.path()).unwrap(), more);
    }
}
