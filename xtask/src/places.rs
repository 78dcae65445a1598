//! Where things are: the clone, and the cache folder outside it for tools.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use crate::trouble::Trouble;

/// The folders that every command works in.
pub(crate) struct Places {
    /// The root of the clone.
    pub(crate) root: PathBuf,
    /// For tools that are costly to make and belong to no clone.
    pub(crate) cache: PathBuf,
}

impl Places {
    /// Finds both folders and makes the cache folder.
    pub(crate) fn find() -> Result<Self, Trouble> {
        // Cargo names the clone at run time; a target folder shared by clones may hold a binary
        // that was compiled in another one.
        let manifest = env::var_os("CARGO_MANIFEST_DIR")
            .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
        let root = manifest.parent().map(Path::to_path_buf).ok_or_else(|| {
            Trouble::new("The root of the clone was not found.", "Run it as `cargo xtask …`.")
        })?;
        let cache = cache_folder(env::var_os("XDG_CACHE_HOME"), env::var_os("HOME"))?;
        fs::create_dir_all(&cache).map_err(|error| {
            Trouble::new(
                format!("The cache folder {} can't be made: {error}.", cache.display()),
                "Set XDG_CACHE_HOME to a folder that you may write to.",
            )
        })?;
        Ok(Self { root, cache })
    }

    /// The Python of the environment that holds the independent implementations.
    pub(crate) fn python(&self) -> PathBuf {
        self.venv().join("bin").join("python")
    }

    pub(crate) fn venv(&self) -> PathBuf {
        self.cache.join("venv")
    }

    /// Where `cargo install` puts tools that the machine lacked.
    pub(crate) fn tools(&self) -> PathBuf {
        self.cache.join("tools")
    }

    /// The folder that cargo builds into.
    pub(crate) fn target(&self) -> PathBuf {
        env::var_os("CARGO_TARGET_DIR")
            .map_or_else(|| self.root.join("target"), |dir| self.root.join(dir))
    }
}

fn cache_folder(
    xdg: Option<std::ffi::OsString>,
    home: Option<std::ffi::OsString>,
) -> Result<PathBuf, Trouble> {
    let base = xdg.map(PathBuf::from).filter(|path| path.is_absolute());
    base.or_else(|| home.map(|home| PathBuf::from(home).join(".cache")))
        .map(|base| base.join("dishwright"))
        .ok_or_else(|| {
            Trouble::new("Neither XDG_CACHE_HOME nor HOME is set.", "Set HOME and run it again.")
        })
}

#[cfg(test)]
mod tests {
    use super::cache_folder;
    use std::path::PathBuf;

    #[test]
    fn the_cache_follows_the_base_directory_rules() {
        // Base Directory Specification 0.8: a relative path in the variable is to be ignored.
        let case = |xdg: Option<&str>, home: Option<&str>| {
            cache_folder(xdg.map(Into::into), home.map(Into::into)).ok()
        };
        assert_eq!(case(Some("/c"), Some("/h")), Some(PathBuf::from("/c/dishwright")));
        assert_eq!(case(None, Some("/h")), Some(PathBuf::from("/h/.cache/dishwright")));
        assert_eq!(case(Some("c"), Some("/h")), Some(PathBuf::from("/h/.cache/dishwright")));
        assert_eq!(case(None, None), None);
    }
}
