//! One function a command: from arguments to the app's use case to what is printed.

use std::io::Read;
use std::path::Path;
use std::process::ExitCode;

use app::error::{AppError, Result};
use app::inspect::InspectOptions;
use app::progress::Progress;

use crate::arguments::{
    BackupOptions, CalcOptions, CheckOptions, DemoOptions, Opening, ReportOptions, ServeOptions,
};
use crate::print;
use crate::serve;
use crate::sheet;

/// Done; 1 when something is wrong with what was looked at.
fn verdict(is_wrong: bool) -> ExitCode {
    ExitCode::from(u8::from(is_wrong))
}

/// Plays the story into an empty folder.
pub(crate) fn demo(options: &DemoOptions) -> Result<ExitCode> {
    let played = app::demo::play(&options.out, &mut show)?;
    if options.json {
        print::json(&played)?;
    } else {
        print::played(&played);
    }
    Ok(verdict(!played.verified || !played.refused.is_empty()))
}

/// Lists, describes or runs a calculation.
pub(crate) fn calc(options: &CalcOptions) -> Result<ExitCode> {
    let Some(name) = &options.name else {
        print::calculations(&app::calc::topics(), options.json)?;
        return Ok(ExitCode::SUCCESS);
    };
    if options.schema {
        print::json(&app::calc::schema(name)?)?;
        return Ok(ExitCode::SUCCESS);
    }
    if let Some(which) = &options.example {
        print::example(app::calc::example(name, Some(which))?);
        return Ok(ExitCode::SUCCESS);
    }
    let text = match &options.input {
        Some(path) => read_file(path)?,
        None => read_standard_input()?,
    };
    let sheet = app::calc::run(name, &text)?;
    if options.json {
        print::json(&sheet)?;
    } else {
        sheet::print(&sheet);
    }
    Ok(verdict(!app::calc::says_yes(&sheet)))
}

/// Verifies a report, a data folder or an archive.
pub(crate) fn check(options: &CheckOptions) -> Result<ExitCode> {
    let inspect = InspectOptions {
        deep: options.deep,
        root: options.root.clone(),
        secrets: options.opening.secrets.clone(),
    };
    let mut ask = || passphrase(&options.opening);
    let inspection = app::inspect::inspect(&options.path, &inspect, &mut ask, &mut show)?;
    if options.json {
        print::json(&inspection)?;
    } else {
        print::inspection(&inspection);
    }
    Ok(verdict(!inspection.settled))
}

/// Writes the handover report of one dish.
pub(crate) fn report(options: &ReportOptions) -> Result<ExitCode> {
    let typed = passphrase(&options.opening)?;
    let secrets = options.opening.secrets.as_deref();
    let mut logbook = app::Logbook::open_to_read(&options.data, secrets, &typed)?;
    let written = logbook.write_report(&options.dish, &options.out)?;
    if options.json {
        print::json(&written)?;
    } else {
        print::written(&written);
    }
    Ok(ExitCode::SUCCESS)
}

/// Copies a data folder and verifies the copy.
pub(crate) fn backup(options: &BackupOptions) -> Result<ExitCode> {
    let typed = passphrase(&options.opening)?;
    let secrets = options.opening.secrets.as_deref();
    let done = app::backup::back_up(&options.data, secrets, &typed, &options.out, &mut show)?;
    if options.json {
        print::json(&done)?;
    } else {
        print::backed_up(&done);
    }
    Ok(ExitCode::SUCCESS)
}

/// Serves the screens until Ctrl-C.
pub(crate) fn serve(options: &ServeOptions) -> Result<ExitCode> {
    serve::run(options.door(), options.port, print::serving)?;
    Ok(ExitCode::SUCCESS)
}

fn show(progress: Progress) {
    print::progress(&progress);
}

fn read_file(path: &Path) -> Result<String> {
    std::fs::read_to_string(path).map_err(|cause| {
        AppError::new(
            "input.unreadable",
            format!("{} can't be read: {cause}.", path.display()),
            "See that the path is right and that this user may read the file, then try again.",
        )
    })
}

fn read_standard_input() -> Result<String> {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text).map_err(|cause| {
        AppError::new(
            "input.unreadable",
            format!("The input can't be read as text: {cause}."),
            "Give the readings as JSON in UTF-8, or name the file with `--input FILE`.",
        )
    })?;
    Ok(text)
}

/// The passphrase from the named file or from the terminal, never from an argument.
fn passphrase(opening: &Opening) -> Result<String> {
    if let Some(path) = &opening.passphrase_file {
        let text = read_file(path)?;
        return Ok(text.lines().next().unwrap_or_default().to_owned());
    }
    rpassword::prompt_password("Passphrase of the data folder: ").map_err(|cause| {
        AppError::new(
            "passphrase.no_terminal",
            format!("There is no terminal to ask for the passphrase: {cause}."),
            "Run the command in a terminal, or name a file with `--passphrase-file FILE`.",
        )
    })
}
