//! The `dishwright` program, built once and run as its users run it.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use serde_json::Value;

/// The program beside this test, in the same target folder and profile.
fn path() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| {
        let test = std::env::current_exe().unwrap();
        // <target>/<profile>/deps/it-…
        let profile = test.parent().and_then(Path::parent).unwrap();
        let target = profile.parent().unwrap();
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let mut build = Command::new(cargo);
        build
            .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(".."))
            .args(["build", "--quiet", "--package", "cli", "--bin", "dishwright", "--target-dir"])
            .arg(target);
        if profile.ends_with("release") {
            build.arg("--release");
        }
        let out = build.output().unwrap();
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        profile.join(format!("dishwright{}", std::env::consts::EXE_SUFFIX))
    })
}

/// What came of one run.
#[derive(Debug)]
pub(crate) struct Ran {
    pub(crate) code: Option<i32>,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// Runs the program with this text on standard input.
pub(crate) fn run_with(input: &[u8], arguments: &[&str]) -> Ran {
    let mut command = Command::new(path());
    command
        .args(arguments)
        .env_remove("DISHWRIGHT_DATA")
        .env("RUST_BACKTRACE", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    // A program that refuses before it reads closes the pipe; that is no fault.
    let _ = child.stdin.take().unwrap().write_all(input);
    let out = child.wait_with_output().unwrap();
    Ran {
        code: out.status.code(),
        out: String::from_utf8(out.stdout).unwrap(),
        err: String::from_utf8(out.stderr).unwrap(),
    }
}

/// Runs the program with nothing on standard input.
pub(crate) fn run(arguments: &[&str]) -> Ran {
    run_with(b"", arguments)
}

impl Ran {
    /// All that was said.
    pub(crate) fn all(&self) -> String {
        format!("{}{}", self.out, self.err)
    }

    /// The JSON on standard output.
    #[track_caller]
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|fault| panic!("{fault}: {self:?}"))
    }

    /// Not done: exit code 2, nothing on standard output, and on standard error a sentence, the
    /// next step and the code in brackets, as the last three lines.
    #[track_caller]
    pub(crate) fn refused(&self, code: &str, words: &[&str]) {
        assert_eq!(self.code, Some(2), "{self:?}");
        assert_eq!(self.out, "", "{self:?}");
        let lines: Vec<&str> = self.err.trim_end().lines().collect();
        let [.., sentence, next_step, bracketed] = lines[..] else { panic!("{self:?}") };
        assert_eq!(bracketed, format!("[{code}]"), "{self:?}");
        assert!(sentence.len() > 10 && next_step.len() > 10, "{self:?}");
        assert!(next_step.ends_with(['.', '?']), "{self:?}");
        let all = self.all();
        assert!(!all.contains("panicked") && !all.contains("backtrace"), "{all}");
        for word in words {
            assert!(all.contains(word), "no \"{word}\" in {all}");
        }
    }
}
