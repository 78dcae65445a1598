//! What the terminal shows: plain text for people, JSON for programs, progress on standard error.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "this is where the program prints")]

use std::io::IsTerminal as _;

use app::demo::Played;
use app::error::{AppError, Result};
use app::inspect::{Inspection, Level};
use app::progress::Progress;
use app::{Sheet, Written, calc};
use serde::Serialize;

/// Prints an error: what is wrong, what to do, and the code that a program matches on.
pub(crate) fn error(error: &AppError, as_json: bool) {
    if let Some(text) = as_json.then(|| serde_json::to_string_pretty(error).ok()).flatten() {
        eprintln!("{text}");
        return;
    }
    eprintln!("{}", error.sentence);
    eprintln!("{}", error.next_step);
    eprintln!("[{}]", error.code);
}

/// Prints a value as JSON.
pub(crate) fn json<T: Serialize + ?Sized>(value: &T) -> Result<()> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|cause| AppError::internal("Writing JSON", cause))?;
    println!("{text}");
    Ok(())
}

/// Shows progress: one line that is written over on a terminal, nothing repeated elsewhere.
pub(crate) fn progress(progress: &Progress) {
    if !std::io::stderr().is_terminal() {
        if progress.of.is_none() && progress.done == 0 {
            eprintln!("{} …", progress.doing);
        }
        return;
    }
    match progress.of {
        Some(of) => eprint!("\r\x1b[K{}: {} of {of}", progress.doing, progress.done),
        None if progress.done > 0 => eprint!("\r\x1b[K{}: {}", progress.doing, progress.done),
        None => eprint!("\r\x1b[K{} …", progress.doing),
    }
    if progress.of == Some(progress.done) || progress.of.is_none() {
        eprintln!();
    }
}

/// Lists the calculations.
pub(crate) fn calculations(list: &[calc::Listed], as_json: bool) -> Result<()> {
    if as_json {
        return json(list);
    }
    for listed in list {
        println!("{:<18} {} (version {})", listed.name, listed.title, listed.version);
        println!("{:<18} {}", "", listed.purpose);
    }
    Ok(())
}

/// Prints a calculation sheet.
pub(crate) fn sheet(sheet: &Sheet) {
    println!("{}, version {}", sheet.title, sheet.version);
    println!("{}", word(sheet));
    println!("{}", sheet.reason);
    if !calc::next_step(sheet).is_empty() {
        println!("{}", calc::next_step(sheet));
    }
    section("Inputs, as typed");
    for input in &sheet.inputs {
        println!("  {:<36} {}", input.meaning, input.typed);
    }
    for missing in &sheet.missing {
        println!("  {:<36} missing", missing.meaning);
    }
    section("Working");
    for line in &sheet.working {
        println!("  {:<10} {} {}   {}", line.symbol, line.value, line.unit, line.meaning);
        if !line.formula.is_empty() {
            println!("  {:<10} {}", "", line.formula);
        }
    }
    section("Results");
    for result in &sheet.results {
        let doubt = result.standard_uncertainty.as_ref().map(|u| format!(" (u = {u})"));
        println!(
            "  {:<36} {} {}{}",
            result.meaning,
            result.value,
            result.unit,
            doubt.unwrap_or_default()
        );
    }
    if !sheet.doubt.is_empty() {
        section("Doubt");
    }
    for line in &sheet.doubt {
        println!(
            "  {:<36} {} {}, {} % of the variance",
            line.source, line.contribution, line.contribution_unit, line.share
        );
    }
    if let Some(all) = &sheet.combined {
        println!("  expanded, k = {}: {} {}", all.coverage_factor, all.expanded, all.unit);
    }
    if let Some(rule) = &sheet.rule {
        section("Rule");
        println!("  {}", rule.text);
        println!("  limit {}", rule.limit);
        if let Some(source) = &rule.limit_source {
            println!("  source of the limit: {source}");
        }
    }
    if !sheet.flags.is_empty() {
        section("Mind");
    }
    for flag in &sheet.flags {
        println!("  {}", flag.sentence);
    }
    section("Valid");
    println!("  {}", sheet.validity);
    section("Sources");
    for source in &sheet.sources {
        println!("  {source}");
    }
}

fn word(sheet: &Sheet) -> String {
    serde_json::to_value(sheet.verdict)
        .ok()
        .and_then(|value| value.as_str().map(|word| word.replace('_', " ")))
        .unwrap_or_default()
        .to_uppercase()
}

fn section(title: &str) {
    println!("\n{title}");
}

/// Prints what an inspection found, what is wrong first.
pub(crate) fn inspection(inspection: &Inspection) {
    println!("{} {}", inspection.kind, inspection.path.display());
    let mut findings: Vec<_> = inspection.findings.iter().collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    for finding in findings {
        println!("  {:<8} {}: {}", level(finding.level), finding.object, finding.sentence);
        if !finding.next_step.is_empty() {
            println!("  {:<8} → {}", "", finding.next_step);
        }
    }
    println!("{}", inspection.summary);
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Error => "WRONG",
        Level::Warning => "look",
        Level::Note => "note",
        Level::Right => "right",
    }
}

/// Prints what the story did and what was verified.
pub(crate) fn played(played: &Played) {
    println!("The leak test of dish PC-04, as judged:");
    for (number, verdict) in (1..).zip(&played.verdicts) {
        println!("  attempt {number}, {}: {}", verdict.at, verdict.verdict);
        println!("    {}", verdict.reason);
    }
    if !played.refused.is_empty() {
        println!("\nRefused by the rules of the logbook:");
    }
    for refused in &played.refused {
        println!("  {}, {}: {}", refused.at, refused.by, refused.sentence);
        println!("    {} [{}]", refused.next_step, refused.code);
    }
    println!("\nVerified afterwards:");
    for seen in &played.seen {
        let mark = if seen.right { "right" } else { "WRONG" };
        println!("  {mark:<6} {}: {}", seen.what, seen.found);
    }
    println!("\nWritten:");
    for (what, path) in [
        ("signed report", &played.report),
        ("root certificate", &played.root),
        ("all entries", &played.archive),
        ("data folder", &played.data),
        ("its passphrase", &played.passphrase_file),
    ] {
        println!("  {what:<17} {}", path.display());
    }
    println!(
        "\nThe report informs. It does not say that anything is safe; local rules and the padlock \
         decide."
    );
}

/// Prints where a report was written.
pub(crate) fn written(written: &Written) {
    println!("{}", written.file.display());
    println!("{}", written.headline);
    println!("SHA-256 {}", written.digest);
    if !written.entered {
        println!(
            "A copy for reading: nobody acted, so no issue was entered and nobody can sign it."
        );
    }
}
