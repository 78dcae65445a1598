//! What the terminal shows: plain text for people, JSON for programs, progress on standard error.

#![expect(clippy::print_stderr, reason = "this is where the program prints")]

use std::io::{IsTerminal as _, Write as _};

use app::demo::Played;
use app::error::{AppError, Result};
use app::inspect::{Inspection, Level};
use app::progress::Progress;
use app::{Written, calc};
use serde::Serialize;

/// Prints a line. Whoever reads the output may stop reading (`| head`): then the rest is not
/// wanted, and that is no error.
macro_rules! say {
    ($($part:tt)*) => {{
        let _ = writeln!(std::io::stdout().lock(), $($part)*);
    }};
}

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
    say!("{text}");
    Ok(())
}

/// Says where the screens are: the address alone on the first line, so that it can be clicked and
/// read by a program.
pub(crate) fn serving(address: &str) {
    say!("{address}");
    say!("Open this address in a browser on this machine. It works once. Ctrl-C ends the program.");
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

/// Lists the calculations by topic; as JSON in one list.
pub(crate) fn calculations(topics: &[calc::ListedTopic], as_json: bool) -> Result<()> {
    if as_json {
        return json(&calc::list());
    }
    let names = topics.iter().flat_map(|topic| &topic.list).map(|one| one.name.len());
    let wide = names.max().unwrap_or(0);
    for (place, topic) in topics.iter().filter(|topic| !topic.list.is_empty()).enumerate() {
        if place > 0 {
            say!("");
        }
        say!("{}", topic.title);
        for one in &topic.list {
            for (line, text) in wrapped(one.purpose, LINE - wide - 4).iter().enumerate() {
                let name = if line == 0 { one.name } else { "" };
                say!("  {name:<wide$}  {text}");
            }
        }
    }
    say!("\n`dishwright calc NAME --example` prints an input to begin with.");
    Ok(())
}

/// Prints an example as it is.
pub(crate) fn example(text: &str) {
    say!("{}", text.trim_end());
}

/// Width of a line on a terminal.
pub(crate) const LINE: usize = 100;

/// A text in lines of at most so many signs, broken between words.
pub(crate) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let fits = |line: &&mut String| line.chars().count() + 1 + word.chars().count() <= width;
        match lines.last_mut().filter(fits) {
            Some(line) => {
                line.push(' ');
                line.push_str(word);
            }
            None => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Prints what an inspection found, what is wrong first.
pub(crate) fn inspection(inspection: &Inspection) {
    say!("{} {}", inspection.kind, inspection.path.display());
    let mut findings: Vec<_> = inspection.findings.iter().collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    for (index, finding) in findings.iter().enumerate() {
        say!("  {:<8} {}: {}", level(finding.level), finding.object, finding.sentence);
        // The same advice for several findings in a row is given once, after the last of them.
        let said_next = findings.get(index + 1).is_some_and(|n| n.next_step == finding.next_step);
        if !finding.next_step.is_empty() && !said_next {
            say!("  {:<8} → {}", "", finding.next_step);
        }
    }
    say!("{}", inspection.summary);
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
    for (_, verdicts) in played.by_thread() {
        if let Some(first) = verdicts.first() {
            say!("{}, {}, as judged:", first.position, first.title);
        }
        for verdict in verdicts {
            say!("  attempt {}, {}: {}", verdict.attempt, verdict.at, verdict.verdict);
            say!("    {}", verdict.reason);
        }
        say!("");
    }
    if !played.refused.is_empty() {
        say!("Refused by the rules of the logbook:");
        for refused in &played.refused {
            say!("  {}, {}: {}", refused.at, refused.by, refused.sentence);
            say!("    {} [{}]", refused.next_step, refused.code);
        }
        say!("");
    }
    say!("Verified afterwards:");
    for seen in &played.seen {
        let mark = if seen.right { "right" } else { "WRONG" };
        say!("  {mark:<6} {}: {}", seen.what, seen.found);
    }
    say!("\nWritten:");
    for (what, path) in [
        ("signed report", &played.report),
        ("root certificate", &played.root),
        ("all entries", &played.archive),
        ("data folder", &played.data),
        ("its passphrase", &played.passphrase_file),
    ] {
        say!("  {what:<17} {}", path.display());
    }
    say!(
        "\nThe report informs. It does not say that anything is safe; local rules and the padlock \
         decide."
    );
}

/// Prints what was copied.
pub(crate) fn backed_up(done: &app::backup::BackedUp) {
    say!("{}", done.folder.display());
    say!("{} entries, read back and verified", done.entries);
    for head in &done.heads {
        say!("ends at {head}");
    }
}

/// Prints where a report was written.
pub(crate) fn written(written: &Written) {
    say!("{}", written.file.display());
    say!("{}", written.headline);
    say!("SHA-256 {}", written.digest);
    say!("Verify it with: dishwright check {}", written.file.display());
    if !written.entered {
        say!("A copy for reading: nobody acted, so no issue was entered and nobody can sign it.");
    }
}
