//! Runs every check, one part after the other, and sums up.

mod tally;

use std::time::{Duration, Instant};

use clap::ValueEnum;

use crate::places::Places;
use crate::run;
use crate::setup::{self, Purpose};
use crate::tidy;
use crate::trouble::Trouble;
use tally::Tally;

/// One part of the checks, in the order in which they run.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Part {
    /// Install what is missing.
    Setup,
    /// Formatting, by rustfmt.
    Format,
    /// The rules of the house.
    Tidy,
    /// Lints, by clippy; a warning is an error.
    Clippy,
    /// Licences, sources and barred dependencies, by cargo-deny.
    Deny,
    /// The documentation builds without a warning.
    Docs,
    /// All tests, the generated files among them.
    Tests,
}

const ALL: [Part; 7] =
    [Part::Setup, Part::Format, Part::Tidy, Part::Clippy, Part::Deny, Part::Docs, Part::Tests];

struct Outcome {
    part: Part,
    took: Duration,
    result: Result<(), Trouble>,
}

/// Runs the chosen parts; all of them, if none is named.
pub(crate) fn test(places: &Places, only: &[Part], skip: &[Part]) -> Result<(), Trouble> {
    let mut tally = Tally::default();
    let mut outcomes = Vec::new();
    for part in ALL {
        if (!only.is_empty() && !only.contains(&part)) || skip.contains(&part) {
            continue;
        }
        println!("\n== {} ==", name(part));
        let start = now();
        let result = run_part(places, part, &mut tally);
        if let Err(trouble) = &result {
            println!("{}: {trouble}", name(part));
        }
        outcomes.push(Outcome { part, took: start.elapsed(), result });
    }
    println!("\n{}", summary(&outcomes));
    let failed: Vec<&str> =
        outcomes.iter().filter(|o| o.result.is_err()).map(|o| name(o.part)).collect();
    if outcomes.iter().any(|outcome| outcome.part == Part::Tests) {
        // The last line on standard output, in a form that a program can read.
        println!("{tally}");
    }
    if failed.is_empty() {
        Ok(())
    } else {
        Err(Trouble::new(
            format!("these parts failed: {}", failed.join(", ")),
            format!("`cargo xtask test {}` runs them alone.", failed.join(" ")),
        ))
    }
}

fn run_part(places: &Places, part: Part, tally: &mut Tally) -> Result<(), Trouble> {
    let root = &places.root;
    match part {
        Part::Setup => setup::setup(places, Purpose::Tests),
        Part::Format => run::show(run::cargo(&["fmt", "--all", "--check"], root)),
        Part::Tidy => tidy::tidy(places),
        Part::Clippy => {
            let arguments = [
                "clippy",
                "--workspace",
                "--all-targets",
                "--locked",
                "--keep-going",
                "--",
                "-D",
                "warnings",
            ];
            run::show(run::cargo(&arguments, root))
        }
        Part::Deny => {
            let program = setup::deny_program(places).ok_or_else(|| {
                Trouble::new("cargo-deny is not there.", "Run `cargo xtask setup`.")
            })?;
            let arguments =
                ["--offline", "--log-level", "error", "check", "licenses", "bans", "sources"];
            run::show(run::program(program, &arguments, root))
        }
        Part::Docs => {
            let arguments = [
                "doc",
                "--workspace",
                "--no-deps",
                "--locked",
                "--document-private-items",
                "--keep-going",
            ];
            let mut command = run::cargo(&arguments, root);
            command.env("RUSTDOCFLAGS", "-D warnings");
            run::show(command)
        }
        Part::Tests => {
            let arguments = ["test", "--workspace", "--locked", "--no-fail-fast"];
            let mut command = run::cargo(&arguments, root);
            command.env("DISHWRIGHT_PYTHON", places.python()).env("INSTA_UPDATE", "no");
            let ended = run::show_and_read(command, |line| tally.read(line));
            ended.and_then(|()| tally.believe())
        }
    }
}

fn summary(outcomes: &[Outcome]) -> String {
    let lines = outcomes.iter().map(|outcome| {
        let word = if outcome.result.is_ok() { "ok" } else { "FAILED" };
        format!("{:<8} {word:<7} {:>7.1} s", name(outcome.part), outcome.took.as_secs_f64())
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn name(part: Part) -> &'static str {
    match part {
        Part::Setup => "setup",
        Part::Format => "format",
        Part::Tidy => "tidy",
        Part::Clippy => "clippy",
        Part::Deny => "deny",
        Part::Docs => "docs",
        Part::Tests => "tests",
    }
}

#[expect(clippy::disallowed_methods, reason = "how long a check took is asked of nobody else")]
fn now() -> Instant {
    Instant::now()
}
