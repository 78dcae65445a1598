//! The `dishwright` command: reads arguments, calls the app, prints what it answers.
//!
//! **It may not contain an `if` about the domain**: what a verdict means, who may act and which
//! checks exist is the app's business.

#[macro_use]
mod print;

mod arguments;
mod commands;
mod serve;
mod sheet;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Command};

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let as_json = arguments.command.wants_json();
    let outcome = match arguments.command {
        Command::Demo(options) => commands::demo(&options),
        Command::Calc(options) => commands::calc(&options),
        Command::Check(options) => commands::check(&options),
        Command::Report(options) => commands::report(&options),
        Command::Backup(options) => commands::backup(&options),
        Command::Serve(options) => commands::serve(&options),
    };
    match outcome {
        Ok(code) => code,
        Err(error) => {
            print::error(&error, as_json);
            ExitCode::from(2)
        }
    }
}
