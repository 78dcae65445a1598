//! A line to its fields: separator, quotes.

use super::lines::Line;
use super::{Lines, MOST_FIELDS, Rejected};

/// The fields of a line.
#[derive(Debug, Clone)]
pub(super) struct Record {
    /// The line's number, from 1.
    pub(super) line: usize,
    /// The fields, quotes removed and blanks around trimmed.
    pub(super) fields: Vec<String>,
}

impl Record {
    /// The field of a column; empty when the line is too short.
    pub(super) fn field(&self, column: usize) -> &str {
        self.fields.get(column).map_or("", String::as_str)
    }
}

/// How a line ended.
enum Ended {
    Fields(Vec<String>),
    /// A quoted text is still open.
    Open,
    Bad(&'static str),
}

/// Splits lines into fields. A line whose quotes don't fit is rejected; so are the lines that a
/// quoted text runs over, because no value of these forms does.
pub(super) fn split(lines: &[Line], separator: char, account: &mut Lines) -> Vec<Record> {
    let mut records = Vec::new();
    let mut open: Option<usize> = None;
    for line in lines {
        let quotes = line.text.matches('"').count();
        if let Some(since) = open {
            if quotes % 2 == 1 {
                open = None;
            }
            account.rejected.push(Rejected {
                line: line.number,
                reason: format!("part of a quoted text that line {since} opens"),
            });
            continue;
        }
        match fields(&line.text, separator) {
            Ended::Fields(fields) => records.push(Record { line: line.number, fields }),
            Ended::Open => {
                open = Some(line.number);
                account.rejected.push(Rejected {
                    line: line.number,
                    reason: "a quoted text does not end on this line".into(),
                });
            }
            Ended::Bad(reason) => {
                account.rejected.push(Rejected { line: line.number, reason: reason.into() });
            }
        }
    }
    records
}

fn fields(text: &str, separator: char) -> Ended {
    let mut fields = Vec::new();
    let mut chars = text.chars().peekable();
    loop {
        let mut field = String::new();
        while chars.peek().is_some_and(|c| *c == ' ' && separator != ' ') {
            chars.next();
        }
        if chars.next_if_eq(&'"').is_some() {
            loop {
                match chars.next() {
                    None => return Ended::Open,
                    Some('"') if chars.next_if_eq(&'"').is_some() => field.push('"'),
                    Some('"') => break,
                    Some(c) => field.push(c),
                }
            }
            while chars.next_if_eq(&' ').is_some() {}
            if chars.peek().is_some_and(|c| *c != separator) {
                return Ended::Bad("text stands after a closing quote");
            }
        } else {
            while let Some(c) = chars.next_if(|c| *c != separator) {
                if c == '"' {
                    return Ended::Bad("a quote stands inside a field");
                }
                field.push(c);
            }
        }
        fields.push(field.trim().to_owned());
        if fields.len() > MOST_FIELDS {
            return Ended::Bad("more fields than are read");
        }
        if chars.next().is_none() {
            return Ended::Fields(fields);
        }
    }
}
