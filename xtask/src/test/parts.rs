//! What each part of the checks runs.

use std::env;
use std::ffi::OsString;
use std::process::Command;

use super::Part;
use super::tally::Tally;
use crate::dist;
use crate::places::Places;
use crate::run;
use crate::setup::{self, Purpose};
use crate::tidy;
use crate::trouble::Trouble;
use crate::ui;

/// Runs one part; tests that it ran are counted in `tally`.
pub(super) fn run(places: &Places, part: Part, tally: &mut Tally) -> Result<(), Trouble> {
    match part {
        Part::Setup => setup::setup(places, Purpose::Tests),
        Part::Format => run::show(run::cargo(&["fmt", "--all", "--check"], &places.root)),
        Part::Tidy => tidy::tidy(places),
        Part::Ui => ui::check(places, |line| tally.read_of_screens(line)),
        Part::Clippy => clippy(places),
        Part::Deny => deny(places),
        Part::Docs => docs(places),
        Part::Tests => tests(places, tally),
        Part::Screens => screens(places, tally),
        Part::Deb => dist::dist(places),
    }
}

fn clippy(places: &Places) -> Result<(), Trouble> {
    // The window embeds the built screens, so they have to be there when it is compiled.
    ui::build(places)?;
    let arguments = [
        "clippy",
        "--workspace",
        "--all-targets",
        "--features",
        "tests/screens",
        "--locked",
        "--keep-going",
        "--",
        "-D",
        "warnings",
    ];
    run::show(run::cargo(&arguments, &places.root))
}

fn deny(places: &Places) -> Result<(), Trouble> {
    let program = setup::deny_program(places)
        .ok_or_else(|| Trouble::new("cargo-deny is not there.", "Run `cargo xtask setup`."))?;
    let arguments = ["--offline", "--log-level", "error", "check", "licenses", "bans", "sources"];
    run::show(run::program(program, &arguments, &places.root))
}

fn docs(places: &Places) -> Result<(), Trouble> {
    ui::build(places)?;
    let arguments =
        ["doc", "--workspace", "--no-deps", "--locked", "--document-private-items", "--keep-going"];
    let mut command = run::cargo(&arguments, &places.root);
    command.env("RUSTDOCFLAGS", "-D warnings");
    run::show(command)
}

fn tests(places: &Places, tally: &mut Tally) -> Result<(), Trouble> {
    ui::build(places)?;
    let arguments = ["test", "--workspace", "--locked", "--no-fail-fast"];
    counted(places, run::cargo(&arguments, &places.root), tally)
}

/// The programs are built first, and the tests are told where they are.
fn screens(places: &Places, tally: &mut Tally) -> Result<(), Trouble> {
    ui::build(places)?;
    let build = ["build", "--locked", "--package", "cli", "--package", "window"];
    run::show(run::cargo(&build, &places.root))?;
    let mut arguments = vec!["test", "--locked", "--package", "tests", "--features", "screens"];
    // One after the other: they share two processors with a browser, a window and a server each.
    arguments.extend(["--test", "screens", "--", "--test-threads", "1"]);
    let mut command = run::cargo(&arguments, &places.root);
    let built = |name: &str| -> OsString {
        places.target().join("debug").join(format!("{name}{}", env::consts::EXE_SUFFIX)).into()
    };
    command.env("DISHWRIGHT_PROGRAM", built("dishwright"));
    command.env("DISHWRIGHT_WINDOW", built("dishwright-window"));
    command.env("DISHWRIGHT_PICTURES", places.target().join("screens"));
    let outcome = counted(places, command, tally);
    println!("The pictures of the screens: {}", places.target().join("screens").display());
    outcome
}

fn counted(places: &Places, mut command: Command, tally: &mut Tally) -> Result<(), Trouble> {
    command.env("DISHWRIGHT_PYTHON", places.python()).env("INSTA_UPDATE", "no");
    let ended = run::show_and_read(command, |line| tally.read(line));
    ended.and_then(|()| tally.believe())
}
