//! The repository's own commands: `cargo xtask demo`, `test`, `setup`, `ui`, `dist`, `tidy`
//! and `codegen`.
//!
//! **It may not know the domain**: it starts programs, reads source text and says what it saw.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "this program's answers are lines on the terminal"
)]

mod codegen;
mod demo;
mod dist;
mod places;
mod run;
mod setup;
mod test;
mod tidy;
mod trouble;
mod ui;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use places::Places;
use setup::Purpose;

/// Runs the demo and every check of the repository, and installs what they need.
#[derive(Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask", version)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Plays the demo into a folder, has its signed PDF checked, and opens the window on it.
    ///
    /// The PDF is checked by this program and by three that know nothing of it. Without a display
    /// it says how to see the screens in a browser.
    Demo {
        /// Empty folder to write to, made if missing [default: demo-out in the clone, emptied first]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Build with optimisation: a longer build, a shorter run.
        #[arg(long)]
        release: bool,
    },
    /// Runs every check: formatting, tidy, lints, licences, docs and all tests.
    ///
    /// A part that fails does not stop the ones after it. The last line counts the tests.
    Test {
        /// Only these parts, in the usual order; all of them when none is named.
        #[arg(value_enum, value_name = "PART")]
        parts: Vec<test::Part>,
        /// Leave these parts out.
        #[arg(long, value_enum, value_name = "PART", value_delimiter = ',')]
        skip: Vec<test::Part>,
    },
    /// Installs what the demo and the tests need and this machine lacks.
    Setup {
        /// Only what the demo needs.
        #[arg(long)]
        demo: bool,
    },
    /// Builds the screens into ui/dist; quick when their sources are unchanged.
    Ui,
    /// Builds the Debian package of the window and the command, and looks into it.
    Dist,
    /// Checks the rules of the house that the compiler can't: layering, purity, shape, words.
    Tidy,
    /// Writes again what is generated (schemas, the crate table) and says what changed.
    Codegen,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let outcome = Places::find().and_then(|places| match arguments.command {
        Command::Demo { out, release } => demo::demo(&places, out.as_deref(), release),
        Command::Test { parts, skip } => test::test(&places, &parts, &skip),
        Command::Setup { demo: true } => setup::setup(&places, Purpose::of_the_demo()),
        Command::Setup { demo: false } => setup::setup(&places, Purpose::Tests),
        Command::Ui => ui::build(&places),
        Command::Dist => dist::dist(&places),
        Command::Tidy => tidy::tidy(&places),
        Command::Codegen => codegen::codegen(&places),
    });
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("xtask: {trouble}");
            ExitCode::FAILURE
        }
    }
}
