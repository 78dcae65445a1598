//! Node and npm, which build the screens. They are asked for, not installed: a developer's machine
//! has them by means of its own, and Debian 12's are too old.

use std::path::Path;
use std::process::Command;

use crate::run;
use crate::trouble::Trouble;

/// Makes sure that a Node of the right age and an npm are there.
pub(crate) fn versions() -> Result<(), Trouble> {
    let here = Path::new("/");
    let next =
        "Install Node 20.19 or newer with npm (nodejs.org says how), and put both on the PATH.";
    let said = run::answer(run::program("node", &["--version"], here))
        .map_err(|_| Trouble::new("Node is not there; it builds the screens.", next))?;
    if !new_enough(&said) {
        let what = format!("Node {} is too old to build the screens.", said.trim());
        return Err(Trouble::new(what, next));
    }
    if !run::works(npm(&["--version"], here)) {
        return Err(Trouble::new("npm is not there; it fetches what the screens need.", next));
    }
    Ok(())
}

/// An npm, ready to start.
pub(crate) fn npm(arguments: &[&str], folder: &Path) -> Command {
    let mut command =
        run::program(if cfg!(windows) { "npm.cmd" } else { "npm" }, arguments, folder);
    command.env("npm_config_update_notifier", "false");
    command
}

fn new_enough(said: &str) -> bool {
    let mut numbers = said.trim().trim_start_matches('v').split('.').map(str::parse::<u32>);
    let (Some(Ok(major)), Some(Ok(minor))) = (numbers.next(), numbers.next()) else {
        return false;
    };
    matches!((major, minor), (20, 19..) | (22, 12..) | (23.., _))
}

#[cfg(test)]
mod tests {
    use super::new_enough;

    #[test]
    fn the_versions_that_vite_names_are_taken() {
        // Vite 8 asks for ^20.19.0 || >=22.12.0.
        for good in ["v20.19.0", "v20.20.2\n", "v22.12.0", "v24.0.1"] {
            assert!(new_enough(good), "{good}");
        }
        for bad in ["v18.20.4", "v20.18.3", "v21.7.0", "v22.11.0", "", "node"] {
            assert!(!new_enough(bad), "{bad}");
        }
    }
}
