//! Installs what the demo and the tests need and the machine lacks; quick when all is there.

mod debian;
mod deny;
pub(crate) mod node;
mod python;
mod toolchain;

use std::env;
use std::fs::File;

use crate::places::Places;
use crate::trouble::Trouble;
use crate::ui;

pub(crate) use deny::deny_program;

/// What the installation is for; each needs what the one before it needs, and more.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Purpose {
    /// Building the program and the screens, and the outside readers that look at its PDF.
    Demo,
    /// Building the window and its package as well.
    Window,
    /// The tools of the tests and checks.
    Tests,
}

impl Purpose {
    /// What the demo needs here: a window needs a display.
    pub(crate) fn of_the_demo() -> Self {
        if has_display() { Self::Window } else { Self::Demo }
    }
}

/// True if a window could be shown.
pub(crate) fn has_display() -> bool {
    ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|name| env::var_os(name).is_some_and(|value| !value.is_empty()))
}

/// Brings the machine to where `purpose` can run, in steps that each say what they do.
pub(crate) fn setup(places: &Places, purpose: Purpose) -> Result<(), Trouble> {
    // Two clones may share the cache; the second waits for the first and then finds all there.
    let _held = lock(places)?;
    debian::packages(purpose)?;
    python::environment(places)?;
    ui::packages(places)?;
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
