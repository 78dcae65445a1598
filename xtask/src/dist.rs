//! Builds the Debian package of the window and the command, then looks into it.

mod package;

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::json;

use crate::places::Places;
use crate::run;
use crate::setup::{self, Purpose};
use crate::trouble::Trouble;
use crate::ui;

/// Builds the package and checks it.
pub(crate) fn dist(places: &Places) -> Result<(), Trouble> {
    setup::setup(places, Purpose::Window)?;
    ui::build(places)?;
    println!("\n== the command, with optimisation ==");
    let build = ["build", "--release", "--locked", "--package", "cli"];
    run::show(run::cargo(&build, &places.root))?;
    println!("\n== the window and the package ==");
    let folder = places.target().join("release").join("bundle").join("deb");
    // What an earlier version left behind would be taken for this one's.
    if folder.exists() {
        fs::remove_dir_all(&folder).map_err(|error| {
            let what = format!("{} can't be emptied: {error}.", folder.display());
            Trouble::new(what, "Make it writable and run it again.")
        })?;
    }
    bundle(places)?;
    let package = only_package(&folder)?;
    package::check(&package)?;
    println!("\nThe package: {}", package.display());
    Ok(())
}

fn bundle(places: &Places) -> Result<(), Trouble> {
    let tauri = places.root.join("ui").join("node_modules").join(".bin").join("tauri");
    let command = format!("dishwright{}", env::consts::EXE_SUFFIX);
    // Where the command was built depends on the target folder, so none of this stands in the file.
    let files = json!({
        "/usr/bin/dishwright": places.target().join("release").join(command),
        "/usr/share/doc/dishwright/copyright": places.root.join("src-tauri").join("copyright"),
    });
    let more = json!({ "bundle": { "linux": { "deb": { "files": files } } } }).to_string();
    let arguments = ["build", "--ci", "--bundles", "deb", "--config", &more, "--", "--locked"];
    let mut command = run::program(tauri, &arguments, &places.root);
    command.env("CARGO_TARGET_DIR", places.target());
    run::show(command)
}

fn only_package(folder: &Path) -> Result<PathBuf, Trouble> {
    let entries = fs::read_dir(folder).map_err(|error| {
        let what = format!("{} can't be listed: {error}.", folder.display());
        Trouble::new(what, "Look at what the build above said.")
    })?;
    let mut found: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "deb"))
        .collect();
    match (found.pop(), found.len()) {
        (Some(package), 0) => Ok(package),
        (_, more) => {
            let count = if more == 0 { 0 } else { more + 1 };
            let what = format!("{} holds {count} packages, not one.", folder.display());
            Err(Trouble::new(what, "Look at what the build above said."))
        }
    }
}
