//! The acceptance calculations by name, as the command line and the window call them.

use acceptance::{Calculation, Sheet};
use serde::Serialize;

use crate::error::{AppError, Result};

/// A calculation in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Listed {
    /// Its name.
    pub name: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What it is for.
    pub purpose: &'static str,
    /// Its version.
    pub version: u32,
}

/// The calculations of one topic.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ListedTopic {
    /// Its title.
    pub title: &'static str,
    /// Its calculations, in order of name.
    pub list: Vec<Listed>,
}

/// Every calculation, in order of name.
pub fn list() -> Vec<Listed> {
    acceptance::calculations().iter().map(listed).collect()
}

/// Every calculation by topic, in the order of the work on a dish.
pub fn topics() -> Vec<ListedTopic> {
    acceptance::topics()
        .iter()
        .map(|topic| ListedTopic {
            title: topic.title,
            list: topic.calculations().map(listed).collect(),
        })
        .collect()
}

fn listed(calculation: &Calculation) -> Listed {
    Listed {
        name: calculation.name(),
        title: calculation.title(),
        purpose: calculation.purpose(),
        version: calculation.version(),
    }
}

/// The text of an example input: the one of a name, without a name the first that the calculation
/// takes.
pub fn example(name: &str, which: Option<&str>) -> Result<&'static str> {
    let calculation = find(name)?;
    let good =
        || calculation.examples().iter().filter_map(|e| Some((e.name.strip_prefix("good-")?, e)));
    let found = match which.filter(|which| !which.is_empty()) {
        Some(which) => good().find(|(name, _)| *name == which),
        None => good().next(),
    };
    found.map(|(_, example)| example.text).ok_or_else(|| {
        let names: Vec<_> = good().map(|(name, _)| name).collect();
        AppError::new(
            "calc.no_example",
            format!("\"{name}\" has no example \"{}\".", which.unwrap_or_default()),
            format!("It has these: {}.", names.join(", ")),
        )
    })
}

/// The JSON Schema of a calculation's input.
pub fn schema(name: &str) -> Result<serde_json::Value> {
    find(name).map(Calculation::input_schema)
}

/// Runs a calculation on an input in JSON.
pub fn run(name: &str, input: &str) -> Result<Sheet> {
    Ok(find(name)?.run_text(input)?)
}

/// Whether a sheet says yes: within the limit, or computed where there is no limit. A failure and
/// "not judged" both say that something is left to do.
pub fn says_yes(sheet: &Sheet) -> bool {
    matches!(sheet.verdict, acceptance::Verdict::Pass | acceptance::Verdict::Computed)
}

/// What to do after a sheet that says no; empty after one that says yes.
pub fn next_step(sheet: &Sheet) -> &'static str {
    match sheet.verdict {
        acceptance::Verdict::Pass | acceptance::Verdict::Computed => "",
        acceptance::Verdict::Fail => {
            "Do what the procedure says on failure, then test again; this result stays on record."
        }
        acceptance::Verdict::NotJudged => {
            "Supply what is missing or too doubtful, or repeat the test; nothing failed yet."
        }
    }
}

/// The calculation of a name.
pub(crate) fn find(name: &str) -> Result<&'static Calculation> {
    acceptance::calculation(name).ok_or_else(|| {
        AppError::new(
            "calc.unknown",
            format!("There is no calculation \"{name}\"."),
            "`dishwright calc --list` shows their names.",
        )
    })
}
