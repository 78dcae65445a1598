//! Starting other programs: silently, with their output shown, or with it shown and read.

use std::ffi::OsStr;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::trouble::Trouble;

/// A program with its arguments, ready to start in `folder`.
pub(crate) fn program(name: impl AsRef<OsStr>, arguments: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(name);
    command.args(arguments).current_dir(folder);
    command
}

/// The cargo that started us, or the one on the path.
pub(crate) fn cargo(arguments: &[&str], folder: &Path) -> Command {
    let name = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = program(name, arguments, folder);
    // These describe xtask's own build; a build script that watches them would run again.
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("CARGO_PKG_") {
            command.env_remove(name);
        }
    }
    command.env_remove("CARGO_MANIFEST_DIR").env_remove("CARGO_MANIFEST_PATH");
    command
}

/// Runs it with its output shown; an exit code other than 0 is trouble.
pub(crate) fn show(mut command: Command) -> Result<(), Trouble> {
    let status = command.status().map_err(|error| not_started(&command, &error))?;
    if status.success() { Ok(()) } else { Err(ended_badly(&command, &status.to_string())) }
}

/// Runs it in silence and hands over what it said and how it ended.
pub(crate) fn hear(mut command: Command) -> Result<Output, Trouble> {
    command.stdin(Stdio::null()).output().map_err(|error| not_started(&command, &error))
}

/// Runs it in silence and hands over what it printed; an exit code other than 0 is trouble, told
/// with the program's own last words.
pub(crate) fn answer(command: Command) -> Result<String, Trouble> {
    let described = line(&command);
    let output = hear(command)?;
    if output.status.success() {
        return Ok(String::from_utf8_lossy(&output.stdout).into_owned());
    }
    let words = String::from_utf8_lossy(&output.stderr);
    Err(Trouble::new(
        format!("`{described}` ended with {}: {}", output.status, words.trim()),
        "Put right what it names and run the same command again.",
    ))
}

/// True if the program starts and ends well. For asking whether something is there.
pub(crate) fn works(command: Command) -> bool {
    hear(command).is_ok_and(|output| output.status.success())
}

/// Runs it with its output shown, and gives each line of it to `read` as well.
pub(crate) fn show_and_read(
    mut command: Command,
    mut read: impl FnMut(&str),
) -> Result<(), Trouble> {
    command.stdout(Stdio::piped());
    let mut child = command.spawn().map_err(|error| not_started(&command, &error))?;
    if let Some(stdout) = child.stdout.take() {
        let mut reader = BufReader::new(stdout);
        let mut bytes = Vec::new();
        // By bytes: a test may print what is not UTF-8.
        while reader.read_until(b'\n', &mut bytes).is_ok_and(|count| count > 0) {
            let text = String::from_utf8_lossy(&bytes).into_owned();
            let text = text.trim_end_matches(['\n', '\r']);
            println!("{text}");
            read(text);
            bytes.clear();
        }
    }
    let status = child.wait().map_err(|error| not_started(&command, &error))?;
    if status.success() { Ok(()) } else { Err(ended_badly(&command, &status.to_string())) }
}

/// The command as one would type it.
pub(crate) fn line(command: &Command) -> String {
    let mut words = vec![short(command.get_program())];
    words.extend(command.get_args().map(|word| word.to_string_lossy().into_owned()));
    words.join(" ")
}

fn short(program: &OsStr) -> String {
    let name = Path::new(program).file_name().unwrap_or(program);
    name.to_string_lossy().into_owned()
}

fn not_started(command: &Command, error: &std::io::Error) -> Trouble {
    Trouble::new(
        format!("`{}` could not be started: {error}.", line(command)),
        "Run `cargo xtask setup`; it installs what is missing.",
    )
}

fn ended_badly(command: &Command, status: &str) -> Trouble {
    Trouble::said_above(format!("`{}` ended with {status}", line(command)))
}

#[cfg(test)]
mod tests {
    use super::{program, show_and_read, works};
    use std::path::Path;

    #[test]
    fn every_line_is_read_and_a_bad_end_is_trouble() {
        let mut seen = Vec::new();
        let script = "printf 'one\\n\\377two\\nthree'; exit 3";
        let outcome = show_and_read(program("sh", &["-c", script], Path::new("/")), |line| {
            seen.push(line.to_owned());
        });
        assert_eq!(seen, ["one", "\u{fffd}two", "three"]);
        assert!(outcome.is_err_and(|trouble| trouble.to_string().contains("exit status: 3")));
    }

    #[test]
    fn a_program_that_is_not_there_does_not_work() {
        assert!(works(program("true", &[], Path::new("/"))));
        assert!(!works(program("false", &[], Path::new("/"))));
        assert!(!works(program("no-such-program-here", &[], Path::new("/"))));
    }
}
