//! Running the outside tools. A tool that is missing fails the test: nothing is skipped.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Runs a tool and gives what it said.
pub(crate) fn run(program: &str, arguments: &[&str]) -> Output {
    match Command::new(program).args(arguments).output() {
        Ok(output) => output,
        Err(error) => panic!("{program} cannot be run ({error}); `cargo xtask setup` installs it"),
    }
}

/// Runs a tool that must succeed, and gives its output as text.
pub(crate) fn text(program: &str, arguments: &[&str]) -> String {
    let output = run(program, arguments);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program} {arguments:?} failed:\n{said}\n{errors}");
    said
}

/// Writes bytes into the test folder and gives the path.
pub(crate) fn file(name: &str, bytes: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

/// A path as an argument.
pub(crate) fn arg(path: &Path) -> &str {
    path.to_str().unwrap()
}
