//! Running the outside tools. A tool that is missing fails the test: nothing is skipped.

use std::path::Path;
use std::process::{Command, Output};

/// Runs a tool and gives what it said.
pub(crate) fn run(program: &str, arguments: &[&str]) -> Output {
    match Command::new(program).args(arguments).output() {
        Ok(output) => output,
        Err(error) => panic!("{program} cannot be run ({error}); `cargo xtask setup` installs it"),
    }
}

/// Whether a tool succeeded, and all that it said.
pub(crate) fn said(program: &str, arguments: &[&str]) -> (bool, String) {
    let out = run(program, arguments);
    (out.status.success(), String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned())
}

/// Runs a tool that must succeed, and gives its output as text.
#[track_caller]
pub(crate) fn text(program: &str, arguments: &[&str]) -> String {
    let (succeeded, said) = said(program, arguments);
    assert!(succeeded, "{program} {arguments:?} failed:\n{said}");
    said
}

/// The Python that has pyHanko and CoolProp.
pub(crate) fn python() -> String {
    std::env::var("DISHWRIGHT_PYTHON").unwrap_or_else(|_| {
        panic!("DISHWRIGHT_PYTHON names no Python with pyHanko; `cargo xtask setup` makes one")
    })
}

/// A path as an argument.
pub(crate) fn arg(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// Runs a script of `tests/oracle` with these arguments, from the root of the repository, and reads
/// the JSON that it prints.
#[track_caller]
pub(crate) fn oracle(script: &str, arguments: &[&str]) -> serde_json::Value {
    let package = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut command = Command::new(python());
    command.current_dir(package.join("..")).arg(package.join("oracle").join(script));
    let out = command.args(arguments).output().unwrap();
    let (said, trouble) =
        (String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
    assert!(out.status.success(), "{script}: {said}{trouble}");
    serde_json::from_str(&said).unwrap_or_else(|fault| panic!("{script}: {fault}: {said}"))
}
