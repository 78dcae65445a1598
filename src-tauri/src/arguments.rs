//! The window's command line: which data folder it opens.

use std::env;
use std::path::PathBuf;

use clap::Parser;

/// The desktop window of Dishwright, an offline field logbook.
#[derive(Debug, Parser)]
#[command(name = "dishwright-window", version)]
pub(crate) struct Arguments {
    /// The data folder of the site [default: dishwright in the user's folder for data]
    #[arg(long, value_name = "DIR", env = "DISHWRIGHT_DATA", conflicts_with = "demo")]
    pub(crate) data: Option<PathBuf>,
    /// A folder that `dishwright demo` wrote; it opens on the time of its story
    #[arg(long, value_name = "OUT")]
    pub(crate) demo: Option<PathBuf>,
    /// Folder of the secret that this installation keeps outside its data folder
    #[arg(long, value_name = "DIR")]
    pub(crate) secrets: Option<PathBuf>,
}

impl Arguments {
    /// The folder to open.
    pub(crate) fn folder(&self) -> PathBuf {
        let named = self.demo.clone().or_else(|| self.data.clone());
        named.unwrap_or_else(|| user_folder(|name| env::var_os(name).map(PathBuf::from)))
    }
}

/// The folder for a launcher that names none: `dishwright` below `$XDG_DATA_HOME`, which is
/// `~/.local/share` when unset or relative (Base Directory Specification 0.8).
fn user_folder(variable: impl Fn(&str) -> Option<PathBuf>) -> PathBuf {
    variable("XDG_DATA_HOME")
        .filter(|path| path.is_absolute())
        .or_else(|| variable("HOME").map(|home| home.join(".local").join("share")))
        .unwrap_or_default()
        .join("dishwright")
}

#[cfg(test)]
mod tests {
    use super::{Arguments, user_folder};
    use clap::Parser;
    use std::path::{Path, PathBuf};

    #[test]
    fn the_folder_named_is_the_folder_opened() {
        let folder = |words: &[&str]| Arguments::try_parse_from(words).map(|a| a.folder()).ok();
        let window = "dishwright-window";
        assert_eq!(folder(&[window, "--data", "/d"]), Some(PathBuf::from("/d")));
        assert_eq!(folder(&[window, "--demo", "/o"]), Some(PathBuf::from("/o")));
        assert_eq!(folder(&[window, "--demo", "/o", "--data", "/d"]), None, "one or the other");
    }

    #[test]
    fn without_a_name_it_is_the_users_own() {
        let folder = |xdg: Option<&str>| {
            user_folder(|name| match name {
                "XDG_DATA_HOME" => xdg.map(PathBuf::from),
                _ => Some(PathBuf::from("/home/u")),
            })
        };
        assert_eq!(folder(Some("/x")), Path::new("/x/dishwright"));
        assert_eq!(folder(Some("x")), Path::new("/home/u/.local/share/dishwright"));
        assert_eq!(folder(None), Path::new("/home/u/.local/share/dishwright"));
    }
}
