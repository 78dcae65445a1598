//! The desktop window: shows the screens and hands what they ask to the app.
//!
//! **It may not contain an `if` about the domain, nor offer the page a command that `build.rs`
//! does not list.**

#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

mod arguments;
mod commands;
mod shell;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    shell::run(&arguments::Arguments::parse())
}
