//! cargo-deny, which checks licences, sources and barred dependencies.

use std::env;
use std::path::PathBuf;

use crate::places::Places;
use crate::run;
use crate::trouble::Trouble;

/// The version that deny.toml is written for.
const VERSION: &str = "0.20.2";

/// Installs cargo-deny into the cache folder, unless that version is there or on the path.
pub(super) fn install(places: &Places) -> Result<(), Trouble> {
    if deny_program(places).is_some() {
        return Ok(());
    }
    println!("setup: compiling cargo-deny {VERSION}; this happens once and takes some minutes");
    let folder = places.tools();
    let folder = folder.to_string_lossy();
    let arguments =
        ["install", "cargo-deny", "--locked", "--version", VERSION, "--root", &folder, "--quiet"];
    let mut command = run::cargo(&arguments, &places.root);
    // Its build products serve nothing else; let cargo put them into a temporary folder.
    command.env_remove("CARGO_TARGET_DIR");
    run::show(command)
}

/// The cargo-deny to run, if there is one of the right version.
pub(crate) fn deny_program(places: &Places) -> Option<PathBuf> {
    let name = format!("cargo-deny{}", env::consts::EXE_SUFFIX);
    let ours = places.tools().join("bin").join(&name);
    [ours, PathBuf::from(name)].into_iter().find(|candidate| {
        run::answer(run::program(candidate, &["--version"], &places.root))
            .is_ok_and(|text| text.trim() == format!("cargo-deny {VERSION}"))
    })
}
