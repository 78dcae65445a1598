//! Installs what the demo and the tests need and the machine lacks; quick when all is there.

mod debian;
mod deny;
mod python;
mod toolchain;

use std::fs::File;

use crate::places::Places;
use crate::trouble::Trouble;

pub(crate) use deny::deny_program;

/// What the installation is for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Purpose {
    /// Building the program, and the outside readers that look at its PDF.
    Demo,
    /// Everything that the demo needs, and the tools of the tests and checks.
    Tests,
}

/// Brings the machine to where `purpose` can run, in steps that each say what they do.
pub(crate) fn setup(places: &Places, purpose: Purpose) -> Result<(), Trouble> {
    // Two clones may share the cache; the second waits for the first and then finds all there.
    let _held = lock(places)?;
    debian::packages(purpose)?;
    python::environment(places)?;
    if purpose == Purpose::Tests {
        toolchain::components(places)?;
        toolchain::crates(places)?;
        deny::install(places)?;
    }
    println!("setup: all there.");
    Ok(())
}

fn lock(places: &Places) -> Result<File, Trouble> {
    let path = places.cache.join("setup.lock");
    let trouble = |error: std::io::Error| {
        Trouble::new(
            format!("{} can't be locked: {error}.", path.display()),
            "Set XDG_CACHE_HOME to a folder that you may write to.",
        )
    };
    let file = File::create(&path).map_err(trouble)?;
    file.lock().map_err(trouble)?;
    Ok(file)
}
