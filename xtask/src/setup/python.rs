//! The Python environment with the independent implementations, outside the clone.

use std::fs;
use std::path::Path;

use crate::places::Places;
use crate::run;
use crate::trouble::Trouble;

/// Makes the environment, or leaves it as it is when it was made from the same requirements.
pub(super) fn environment(places: &Places) -> Result<(), Trouble> {
    let requirements = places.root.join("xtask").join("requirements.txt");
    let wanted = fs::read_to_string(&requirements).map_err(|error| {
        let what = format!("{} can't be read: {error}.", requirements.display());
        Trouble::new(what, "Restore the file from version control.")
    })?;
    let venv = places.venv();
    let stamp = venv.join("requirements-as-installed.txt");
    let made = fs::read_to_string(&stamp).is_ok_and(|text| text == wanted);
    if made && run::works(run::program(places.python(), &["-c", "import pyhanko"], Path::new("/")))
    {
        return Ok(());
    }
    println!("setup: making the Python environment in {}", venv.display());
    let folder = venv.to_string_lossy();
    let python = ["python3", "/usr/bin/python3"]
        .into_iter()
        .find(|python| {
            run::works(run::program(python, &["-c", "import venv, ensurepip"], &places.root))
        })
        .unwrap_or("python3");
    run::answer(run::program(python, &["-m", "venv", "--clear", &folder], &places.root))?;
    let file = requirements.to_string_lossy();
    let arguments =
        ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement", &file];
    run::show(run::program(places.python(), &arguments, &places.root)).map_err(|trouble| {
        Trouble::new(
            format!("The Python packages could not be installed: {trouble}."),
            "Check the network and pip's own settings, then run `cargo xtask setup` again.",
        )
    })?;
    // Last, so that a half-made environment is made anew.
    fs::write(&stamp, wanted).map_err(|error| {
        let what = format!("{} can't be written: {error}.", stamp.display());
        Trouble::new(what, "Free some space or set XDG_CACHE_HOME, then run it again.")
    })
}
