//! The parts of the Rust toolchain that the checks use, and the sources of every dependency.

use crate::places::Places;
use crate::run;
use crate::trouble::Trouble;

/// Adds rustfmt and clippy where a minimal installation lacks them.
pub(super) fn components(places: &Places) -> Result<(), Trouble> {
    for component in ["fmt", "clippy"] {
        if run::works(run::cargo(&[component, "--version"], &places.root)) {
            continue;
        }
        let name = if component == "fmt" { "rustfmt" } else { component };
        println!("setup: adding {name} to the toolchain");
        run::show(run::program("rustup", &["component", "add", name], &places.root)).map_err(
            |trouble| {
                let next = format!("Install {name} for this toolchain, then run it again.");
                Trouble::new(trouble.to_string(), next)
            },
        )?;
    }
    Ok(())
}

/// Fetches what the lock file names, for every platform: the licence check reads all of it.
pub(super) fn crates(places: &Places) -> Result<(), Trouble> {
    let offline = ["fetch", "--locked", "--offline", "--quiet"];
    if run::works(run::cargo(&offline, &places.root)) {
        return Ok(());
    }
    println!("setup: fetching the sources of the dependencies");
    run::show(run::cargo(&["fetch", "--locked"], &places.root))
}
