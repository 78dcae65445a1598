//! Runs every check, one part after the other, and sums up.

mod parts;
mod tally;

use std::time::{Duration, Instant};

use clap::ValueEnum;

use crate::places::Places;
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
    /// The screens: types, unit tests, build.
    Ui,
    /// Lints, by clippy; a warning is an error.
    Clippy,
    /// Licences, sources and barred dependencies, by cargo-deny.
    Deny,
    /// The documentation builds without a warning.
    Docs,
    /// All tests but those that need a screen, the generated files among them.
    Tests,
    /// The screens end to end, in a browser and in the window; pictures of each.
    Screens,
    /// The Debian package: built, looked into, installed where that is allowed.
    Deb,
}

const ALL: [Part; 10] = [
    Part::Setup,
    Part::Format,
    Part::Tidy,
    Part::Ui,
    Part::Clippy,
    Part::Deny,
    Part::Docs,
    Part::Tests,
    Part::Screens,
    Part::Deb,
];

/// Parts that run only when they are named: the package is for whoever hands it out.
const ON_REQUEST: [Part; 1] = [Part::Deb];

struct Outcome {
    part: Part,
    took: Duration,
    result: Result<(), Trouble>,
}

/// Runs the chosen parts; if none is named, all but those on request.
pub(crate) fn test(places: &Places, only: &[Part], skip: &[Part]) -> Result<(), Trouble> {
    let mut tally = Tally::default();
    let mut outcomes = Vec::new();
    for part in ALL {
        let wanted =
            if only.is_empty() { !ON_REQUEST.contains(&part) } else { only.contains(&part) };
        if !wanted || skip.contains(&part) {
            continue;
        }
        println!("\n== {} ==", name(part));
        let start = now();
        let result = parts::run(places, part, &mut tally);
        if let Err(trouble) = &result {
            println!("{}: {trouble}", name(part));
        }
        outcomes.push(Outcome { part, took: start.elapsed(), result });
    }
    println!("\n{}", summary(&outcomes));
    let failed: Vec<&str> =
        outcomes.iter().filter(|o| o.result.is_err()).map(|o| name(o.part)).collect();
    if outcomes.iter().any(|outcome| [Part::Tests, Part::Screens].contains(&outcome.part)) {
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
        Part::Ui => "ui",
        Part::Clippy => "clippy",
        Part::Deny => "deny",
        Part::Docs => "docs",
        Part::Tests => "tests",
        Part::Screens => "screens",
        Part::Deb => "deb",
    }
}

#[expect(clippy::disallowed_methods, reason = "how long a check took is asked of nobody else")]
fn now() -> Instant {
    Instant::now()
}
