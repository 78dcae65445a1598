//! Bytes to numbered lines of text: size limits, encoding, line ends, marks and zero bytes.

use super::{Answers, Choice, LONGEST_LINE, MOST_BYTES, MOST_LINES, Question, Rejected};
use crate::Refusal;

/// A line of the file.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// From 1.
    pub(super) number: usize,
    /// Its text without the line end.
    pub(super) text: String,
}

/// A file as lines.
#[derive(Debug, Default)]
pub(super) struct Text {
    /// Lines with something in them.
    pub(super) lines: Vec<Line>,
    /// Count of all lines.
    pub(super) read: usize,
    /// Count of empty lines.
    pub(super) blank: usize,
    /// Lines that can't be text.
    pub(super) rejected: Vec<Rejected>,
    /// Whether the last line has its line end.
    pub(super) ended: bool,
    /// What was done to bytes.
    pub(super) decisions: Vec<String>,
}

/// Text, or what has to be asked first.
pub(super) enum Read {
    Text(Text),
    Ask(Question),
}

/// The upper half of Windows-1252 where it differs from Latin-1.
const WINDOWS: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}',
    '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// Reads the lines.
pub(super) fn read(bytes: &[u8], answers: &Answers) -> Result<Read, Refusal> {
    sized(bytes)?;
    let mut text = Text::default();
    let decoded = match std::str::from_utf8(bytes) {
        Ok(decoded) => decoded.to_owned(),
        Err(fault) => match answers.get("encoding").map(String::as_str) {
            Some("windows-1252") => {
                text.decisions.push("Read as Windows-1252, as answered.".into());
                bytes.iter().map(|byte| windows(*byte)).collect()
            }
            _ => return Ok(Read::Ask(encoding(bytes, fault.valid_up_to()))),
        },
    };
    let body = match decoded.strip_prefix('\u{feff}') {
        Some(rest) => {
            text.decisions.push("A byte-order mark before the first line was left out.".into());
            rest
        }
        None => &decoded,
    };
    split(body, &mut text)?;
    Ok(Read::Text(text))
}

fn sized(bytes: &[u8]) -> Result<(), Refusal> {
    if bytes.len() > MOST_BYTES {
        return Err(Refusal::new(
            "file_too_large",
            format!("The file has {} bytes; at most {MOST_BYTES} are read.", bytes.len()),
            "Export the hours of the test alone.",
        ));
    }
    let zeros = |from: usize| {
        let places = bytes.len() / 2;
        let count = bytes.iter().skip(from).step_by(2).filter(|byte| **byte == 0).count();
        places > 8 && count * 10 > places * 3
    };
    let marked = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    if marked || (zeros(0) != zeros(1)) {
        return Err(Refusal::new(
            "file_utf16",
            "The file is UTF-16 text.",
            "Export it again as UTF-8, from the program that wrote it.",
        ));
    }
    Ok(())
}

fn windows(byte: u8) -> char {
    match byte {
        0x80..=0x9F => WINDOWS.get(usize::from(byte) - 0x80).copied().unwrap_or('\u{fffd}'),
        _ => char::from(byte),
    }
}

/// Asks how to read bytes that are not UTF-8, and shows the first such place.
fn encoding(bytes: &[u8], at: usize) -> Question {
    let near = |from: usize, to: usize| bytes.get(from..to.min(bytes.len())).unwrap_or_default();
    let place: String = near(at.saturating_sub(12), at + 8)
        .iter()
        .map(|byte| windows(*byte))
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    Question {
        id: "encoding".into(),
        title: "Which characters are these?".into(),
        sentence: format!("The file is not UTF-8: byte {} does not fit.", at + 1),
        choices: vec![Choice {
            id: "windows-1252".into(),
            text: format!("Windows-1252: the place then reads “{}”", place.trim()),
        }],
    }
}

/// Cuts the text at CR LF, LF or CR.
fn split(body: &str, text: &mut Text) -> Result<(), Refusal> {
    let (mut ends, mut rest) = ([0_usize; 3], body);
    while !rest.is_empty() {
        let at = rest.find(['\r', '\n']);
        let (line, after) = match at {
            None => (rest, ""),
            Some(at) => {
                let tail = rest.get(at..).unwrap_or_default();
                let (kind, width) = match tail.as_bytes() {
                    [b'\r', b'\n', ..] => (0, 2),
                    [b'\n', ..] => (1, 1),
                    _ => (2, 1),
                };
                if let Some(count) = ends.get_mut(kind) {
                    *count += 1;
                }
                (rest.get(..at).unwrap_or_default(), tail.get(width..).unwrap_or_default())
            }
        };
        text.ended = at.is_some();
        text.read += 1;
        if text.read > MOST_LINES {
            return Err(Refusal::new(
                "file_too_long",
                format!("The file has more than {MOST_LINES} lines."),
                "Export the hours of the test alone.",
            ));
        }
        take(line, text);
        rest = after;
    }
    if ends.iter().filter(|count| **count > 0).count() > 1 {
        text.decisions.push(format!(
            "Line ends are mixed ({} CR LF, {} LF, {} CR); each ends a line.",
            ends[0], ends[1], ends[2]
        ));
    }
    Ok(())
}

fn take(line: &str, text: &mut Text) {
    let number = text.read;
    let mut reject = |reason: String| text.rejected.push(Rejected { line: number, reason });
    if line.len() > LONGEST_LINE {
        return reject(format!("longer than {LONGEST_LINE} bytes"));
    }
    let mut body = line;
    let stripped = body.trim_start_matches('\0');
    if stripped.len() < body.len() {
        let count = body.len() - stripped.len();
        text.decisions.push(format!(
            "Line {number}: {count} zero bytes before the text were left out (a logger lost power)."
        ));
        body = stripped;
    }
    if let Some(rest) = body.strip_prefix('\u{feff}') {
        text.decisions.push(format!(
            "Line {number}: a byte-order mark before the text was left out (files joined?)."
        ));
        body = rest;
    }
    if body.contains('\0') {
        return text
            .rejected
            .push(Rejected { line: number, reason: "zero bytes inside the line".into() });
    }
    if body.trim().is_empty() {
        text.blank += 1;
        return;
    }
    text.lines.push(Line { number, text: body.to_owned() });
}
