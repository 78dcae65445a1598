//! The screens: their packages, their checks, and the build that the window and the page server
//! carry inside them.

mod inputs;

use std::fs;
use std::path::PathBuf;

use crate::places::Places;
use crate::run;
use crate::setup::node;
use crate::trouble::Trouble;

/// Builds the screens into `ui/dist`, unless what is there was made from the same sources.
pub(crate) fn build(places: &Places) -> Result<(), Trouble> {
    packages(places)?;
    let folder = folder(places);
    let wanted = inputs::digest(&folder)?;
    let stamp = folder.join("node_modules").join(".built-from");
    let page = folder.join("dist").join("index.html");
    if page.is_file() && fs::read_to_string(&stamp).is_ok_and(|made_from| made_from == wanted) {
        println!("ui: ui/dist was made from these sources.");
        return Ok(());
    }
    // Away first, so that a build cut short is made anew.
    let _ = fs::remove_file(&stamp);
    npm(places, &["run", "build"])?;
    if !page.is_file() {
        let what = "The build of the screens left no ui/dist/index.html.";
        return Err(Trouble::new(what, "Look at the output folder in ui/vite.config.ts."));
    }
    write(&stamp, &wanted)
}

/// Types, accessibility hints and unit tests of the screens, then the build. `read` gets what the
/// unit tests print.
pub(crate) fn check(places: &Places, read: impl FnMut(&str)) -> Result<(), Trouble> {
    packages(places)?;
    let types = npm(places, &["run", "check"]);
    let mut command = node::npm(&["run", "test"], &folder(places));
    command.env("NO_COLOR", "1").env("CI", "1");
    let tests = run::show_and_read(command, read);
    let built = build(places);
    types.and(tests).and(built)
}

/// Installs what `package-lock.json` names, exactly, unless that is what is there.
pub(crate) fn packages(places: &Places) -> Result<(), Trouble> {
    node::versions()?;
    let folder = folder(places);
    let lock = folder.join("package-lock.json");
    let wanted = fs::read_to_string(&lock).map_err(|error| {
        let what = format!("{} can't be read: {error}.", lock.display());
        Trouble::new(what, "Restore the file from version control.")
    })?;
    let stamp = folder.join("node_modules").join(".installed-from");
    if fs::read_to_string(&stamp).is_ok_and(|made_from| made_from == wanted) {
        return Ok(());
    }
    println!("ui: installing the packages of the screens");
    npm(places, &["ci", "--no-audit", "--no-fund"]).map_err(|trouble| {
        Trouble::new(
            format!("The packages of the screens could not be installed: {trouble}."),
            "Check the network and npm's own settings, then run it again.",
        )
    })?;
    write(&stamp, &wanted)
}

fn npm(places: &Places, arguments: &[&str]) -> Result<(), Trouble> {
    run::show(node::npm(arguments, &folder(places)))
}

fn folder(places: &Places) -> PathBuf {
    places.root.join("ui")
}

fn write(path: &PathBuf, text: &str) -> Result<(), Trouble> {
    fs::write(path, text).map_err(|error| {
        let what = format!("{} can't be written: {error}.", path.display());
        Trouble::new(what, "Free some space or make the folder writable, then run it again.")
    })
}
