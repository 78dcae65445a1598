//! Programs that the tests start, and their end: nothing that a test started outlives it.

use std::ffi::OsStr;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

/// A program that was started here; killed when dropped.
pub(crate) struct Running {
    child: Child,
    said: BufReader<ChildStdout>,
}

impl Running {
    pub(crate) fn start(command: &mut Command) -> Self {
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = command.spawn().unwrap_or_else(|error| {
            let name = command.get_program().display();
            panic!(
                "{name} can't be started ({error}); `cargo xtask setup` installs what is missing"
            )
        });
        let said = BufReader::new(child.stdout.take().unwrap());
        Self { child, said }
    }

    /// Reads what it prints up to the line of which `wanted` makes something.
    pub(crate) fn line<T>(&mut self, wanted: impl Fn(&str) -> Option<T>) -> T {
        let mut all = String::new();
        loop {
            let from = all.len();
            if self.said.read_line(&mut all).unwrap() == 0 {
                panic!("it ended before it said what was waited for: {all}");
            }
            if let Some(found) = all.get(from..).map(str::trim).and_then(&wanted) {
                return found;
            }
        }
    }

    /// Ends it as a power cut does: it gets no word of it.
    pub(crate) fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill();
    }
}

/// Kills every program that was started with this path among its arguments. The path is one test's
/// own, so nobody else's programs are meant by it.
pub(crate) fn kill_all_with(path: &Path) {
    let wanted = path.to_str().unwrap();
    let mark = |arguments: &str| arguments.split('\0').any(|one| one.contains(wanted));
    let own = std::process::id().to_string();
    for entry in fs::read_dir("/proc").unwrap().flatten() {
        let pid = entry.file_name().into_string().unwrap_or_default();
        let arguments = fs::read(entry.path().join("cmdline")).unwrap_or_default();
        if pid.parse::<u32>().is_ok() && pid != own && mark(&String::from_utf8_lossy(&arguments)) {
            let _ = Command::new("kill").args(["-KILL", &pid]).stderr(Stdio::null()).status();
        }
    }
}

/// The program of this name: where `variable` says, else beside the tests, in the same profile.
pub(crate) fn built(variable: &str, name: &str) -> PathBuf {
    if let Some(path) = std::env::var_os(variable) {
        return path.into();
    }
    let test = std::env::current_exe().unwrap();
    // <target>/<profile>/deps/screens-…
    let profile = test.parent().and_then(Path::parent).unwrap();
    let path = profile.join(format!("{name}{}", std::env::consts::EXE_SUFFIX));
    assert!(path.is_file(), "{} is not built; `cargo xtask test screens` does", path.display());
    path
}

/// A command with these arguments.
pub(crate) fn command(program: impl AsRef<OsStr>, arguments: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(arguments);
    command
}
