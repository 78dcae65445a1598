//! A file as records between header and end: separator line, ragged rows, and the cut last line.

use super::lines::{self, Line, Read, Text};
use super::record::Record;
use super::{Answers, Lines, Question, Rejected};
use crate::Refusal;

/// Lines, and what the account of them says so far.
pub(super) struct Source {
    pub(super) lines: Vec<Line>,
    pub(super) account: Lines,
    pub(super) decisions: Vec<String>,
    /// Whether the last line has its line end.
    pub(super) ended: bool,
    /// The separator that a `sep=` line names.
    pub(super) stated: Option<char>,
}

/// Reads bytes to lines and takes a `sep=` line out.
pub(super) fn source(bytes: &[u8], answers: &Answers) -> Result<Result<Source, Question>, Refusal> {
    let text = match lines::read(bytes, answers)? {
        Read::Text(text) => text,
        Read::Ask(question) => return Ok(Err(question)),
    };
    if text.lines.is_empty() {
        return Err(empty());
    }
    let Text { mut lines, read, blank, rejected, ended, mut decisions } = text;
    let mut account = Lines { read, blank, rejected, ..Lines::default() };
    let stated = lines.first().and_then(|line| separator_line(&line.text));
    if let Some(separator) = stated {
        lines.remove(0);
        account.header += 1;
        decisions.push(format!("Line 1 names the separator: {}.", name(separator)));
    }
    Ok(Ok(Source { lines, account, decisions, ended, stated }))
}

/// The refusal of a file without values.
pub(super) fn empty() -> Refusal {
    Refusal::new(
        "file_without_readings",
        "There are no readings in this file.",
        "Check that the export finished, and choose the file again.",
    )
}

fn separator_line(text: &str) -> Option<char> {
    let bare = text.trim().trim_matches('"').to_lowercase();
    let mut rest = bare.strip_prefix("sep=")?.chars();
    rest.next().filter(|_| rest.next().is_none())
}

/// A separator in words.
pub(super) fn name(separator: char) -> String {
    match separator {
        ';' => "semicolon".into(),
        ',' => "comma".into(),
        '\t' => "tab".into(),
        other => format!("“{other}”"),
    }
}

/// Sorts out the lines that have more fields than the header; a short line is kept, and an empty
/// field after a trailing separator is no field.
pub(super) fn ragged(
    records: Vec<Record>,
    width: usize,
    account: &mut Lines,
    decisions: &mut Vec<String>,
) -> Vec<Record> {
    let (mut kept, mut short, mut trailing) = (Vec::new(), 0_usize, 0_usize);
    for record in records {
        let extra = record.fields.get(width..).unwrap_or_default();
        match extra {
            [] => short += usize::from(record.fields.len() < width),
            [only] if only.is_empty() => trailing += 1,
            _ => {
                let reason = format!("{} fields where {width} are named", record.fields.len());
                account.rejected.push(Rejected { line: record.line, reason });
                continue;
            }
        }
        kept.push(record);
    }
    if short > 0 {
        decisions
            .push(format!("Short lines: {short}; the values that they lack count as missing."));
    }
    if trailing > 0 {
        decisions.push(format!("Lines with a separator after the last value: {trailing}."));
    }
    kept
}

fn digits(text: &str) -> usize {
    text.chars().filter(char::is_ascii_digit).count()
}

/// Takes out a last line that was cut off: the file does not end with a line end, and the line has
/// fewer fields than the others, or its last number fewer digits than any other of its column.
pub(super) fn cut_last_line(
    records: &mut Vec<Record>,
    last_line: usize,
    ended: bool,
    account: &mut Lines,
) {
    let Some((last, others)) = records.split_last() else { return };
    if ended || last.line != last_line || others.is_empty() {
        return;
    }
    let fewest = others.iter().map(|record| record.fields.len()).min().unwrap_or(0);
    let at = last.fields.len().saturating_sub(1);
    let least = others.iter().map(|record| digits(record.field(at))).filter(|n| *n > 0).min();
    let text = last.field(at);
    let shorter = digits(text) > 0 && least.is_some_and(|least| digits(text) < least);
    if last.fields.len() < fewest || shorter {
        account.rejected.push(Rejected {
            line: last.line,
            reason: "cut off: the file ends within this line".into(),
        });
        records.pop();
    }
}
